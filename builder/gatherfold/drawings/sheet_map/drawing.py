"""The map of one sheet: what lies where, and the cuts in order.

In: a resolved design, one sheet plan and the room on paper.  Out: a scene with the sheet, each
piece's code and size, every cut with its number in a circle, offcuts shaded and sized, and an
arrow for the print's direction.  The label of a piece stands inside it, else in a column beside the
sheet where it is too narrow, else at the end of a leader.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from heapq import merge
from itertools import chain

from gatherfold.drawings.dimensions.dimensions import Span, dimension
from gatherfold.drawings.kernel.canvas import CLEARANCE, Canvas
from gatherfold.drawings.kernel.lettering import inked_rect
from gatherfold.drawings.kernel.plane import Place, Rect, ToPaper, fitted
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT, Line
from gatherfold.drawings.labels.arrangement import arranged
from gatherfold.drawings.labels.cut_numbers import cut_marks, cut_segments
from gatherfold.drawings.labels.labels import (
    NOTE_PT,
    PLAINER,
    NoteColumn,
    beside,
    in_column,
    inside,
    margin_room,
    placed_within,
)
from gatherfold.drawings.labels.placings import Block, LabelLook, Mark, MarkPlace, block
from gatherfold.drawings.labels.print_arrow import map_arrows
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.drawings.sheet_map.marks import (
    draw_parts,
    label_offcuts,
    part_marks,
    part_rect,
)
from gatherfold.drawings.sheet_map.words import sheet_equivalent
from gatherfold.plans import CutOut

#: Room round the sheet for its dimensions and for numbers of cuts, and from there to a leader.
_LEFT, _TOP, _RIGHT, _BOTTOM, _BESIDE = 7.2, 7.2, 5.0, 5.0, 1.0
_NOTE_PITCH = 3.0
_NOTE = LabelLook(SMALLEST_LETTERING_PT, bold=True)


@dataclass(frozen=True)
class NamedPiece:
    """A placed piece: its box on the sheet or on paper, its code and its size."""

    box: Rect
    code: str
    size: str

    @property
    def line(self) -> str:
        return f"{self.code}  {self.size}"

    def on(self, mapping: ToPaper) -> NamedPiece:
        return NamedPiece(mapping.rect(self.box), self.code, self.size)

    @property
    def is_narrow(self) -> bool:
        return not _holds_label(self)


def sheet_mapping(sheet: Rect, named: Sequence[NamedPiece], paper: Rect, arrows: float) -> ToPaper:
    """The sheet as large as it can be with its arrows on the left and notes on the right, where no
    leader crosses an arrow."""
    plain = fitted(sheet, _room(paper, arrows, 0.0), 1.0)
    notes = [each.line for each in named if each.on(plain).is_narrow]
    return fitted(sheet, _room(paper, arrows, margin_room(notes)), 1.0) if notes else plain


def _room(paper: Rect, arrows: float, notes: float) -> Rect:
    return Rect(_LEFT + arrows, _BOTTOM, paper.right - _RIGHT - notes, paper.top - _TOP)


#: How a code and the size below it are written: as large as there is room for.
_TWO_LINES = (
    (LabelLook(9.0, bold=True), LabelLook(NOTE_PT)),
    (_NOTE, LabelLook(SMALLEST_LETTERING_PT)),
)
_LINE_STEP, _ROUND_LINES = 3.6, (0.5, 0.95)
#: A piece narrower than this on paper holds no lettering, and one shorter than its line and this.
_LEAST_ACROSS, _LEAST_OVER = 2.9, 1.4


def _two_lines(piece: NamedPiece, looks: tuple[LabelLook, LabelLook]) -> Block:
    """The code of a piece over its size."""
    lines = list(zip((piece.code, piece.size), looks, strict=True))
    return block(lines, pitch=_LINE_STEP, white=_ROUND_LINES)


def _holds_label(piece: NamedPiece) -> bool:
    """Whether a piece on paper has room for its code and its size, in a line or in two."""
    box, lines = piece.box, _two_lines(piece, _TWO_LINES[-1])
    if any(True for _ in placed_within(box, lines)):
        return True
    ink = inked_rect(_NOTE.at(piece.line, 0.0, 0.0))
    along, across = max(box.width, box.height), min(box.width, box.height)
    least_across = max(_LEAST_ACROSS, ink.height + 2 * CLEARANCE + Line.CUT.look.width)
    return across >= least_across and along >= ink.width + _LEAST_OVER


#: What it costs a piece to be named beside itself rather than inside, a narrow one in a column, and
#: a narrow one elsewhere; and a mm that a leader ends off the middle of a narrow one.
_ASIDE, _IN_COLUMN, _NEAR_NARROW, _OFF_MIDDLE = 10.0, 18.0, 30.0, 0.02


def piece_marks(pieces: Sequence[NamedPiece], column: NoteColumn) -> list[tuple[Mark, NamedPiece]]:
    """Code and size inside each piece, else beside it; for narrow ones in a column first."""
    marks = []
    for piece in pieces:
        others = [other.box for other in pieces if other is not piece]
        ends = [(end, _OFF_MIDDLE * math.dist(end, piece.box.centre)) for end in _ends(piece.box)]
        places = chain(
            () if piece.is_narrow else _inside(piece),
            merge(
                in_column(ends, piece.line, column, 0.0 if piece.is_narrow else _IN_COLUMN),
                _beside(piece, others, column.paper),
                key=lambda placing: placing.cost,
            ),
        )
        marks.append((Mark(piece.line, places), piece))
    return marks


def _inside(piece: NamedPiece) -> Iterator[MarkPlace]:
    for step, looks in enumerate(_TWO_LINES):
        yield from placed_within(piece.box, _two_lines(piece, looks), step * PLAINER)
    yield from inside(piece.box, [piece.line], LabelLook(8.0, bold=True), len(_TWO_LINES) * PLAINER)


def _beside(piece: NamedPiece, others: Sequence[Rect], paper: Rect) -> Iterator[MarkPlace]:
    """By a leader to the middle of the piece, or to a place nearer to one of its corners."""
    box, (x, y), shares = piece.box, piece.box.centre, (0.25, -0.25)
    nearer = [(x + a * box.width, y + b * box.height) for a in shares for b in shares]
    look = LabelLook(SMALLEST_LETTERING_PT, bold=True, boxed=True)
    cost = _NEAR_NARROW if piece.is_narrow else _ASIDE
    yield from beside([(x, y), *nearer], piece.line, look, cost, paper, others)


def _ends(box: Rect) -> list[Place]:
    """Where leaders can end in a narrow piece, all along it."""
    x, y = box.centre
    if box.height >= box.width:
        reach = max(box.height / 2 - 1.0, 0.0)
        steps = int(reach / 1.5) + 1
        return [(x, y + reach * step / steps) for step in range(-steps, steps + 1)]
    reach = max(box.width / 2 - 1.5, 0.0)
    return [(x + share * reach, y) for share in (1.0, 0.5, 0.0, -0.5, -1.0)]


def sheet_scene(sheet: MappedSheet, max_width: float, max_height: float) -> Scene:
    """Map a sheet within ``max_width`` x ``max_height`` mm."""
    canvas = Canvas(max_width, max_height)
    _draw_map(canvas, sheet)
    title = f"{sheet.stock.title}, {sheet.which}"
    return canvas.scene(f"sheet-{sheet.stock_key}-{sheet.first}", title, sheet_equivalent(sheet))


_ARROW_ROOM = 7.0


def _draw_map(canvas: Canvas, sheet: MappedSheet) -> None:
    plan, arrows = sheet.plan, map_arrows(sheet.side, sheet.grain, sheet.wording)
    named = [
        NamedPiece(part_rect(placed), _code(sheet, piece), sheet.size_of(placed))
        for placed, piece in sheet.pieces
    ]
    whole = Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height))
    paper, arrow_room = canvas.frame, _ARROW_ROOM * len(arrows)
    mapping = sheet_mapping(whole, named, paper, arrow_room)
    frame = mapping.rect(whole)
    left = frame.left - _LEFT - arrow_room
    column = NoteColumn(frame.right + _RIGHT + _BESIDE, paper, _NOTE, _NOTE_PITCH)
    draw_parts(canvas, sheet, mapping)
    segments = cut_segments(plan, mapping)
    canvas.strokes(segments, Line.CUT, "cut")
    canvas.outline(frame.ring, Line.VISIBLE, "sheet")
    _dimension_sheet(canvas, sheet, frame)
    numbers = cut_marks(plan.cuts, segments, frame, paper)
    arrow_marks = [
        arrow.mark(frame, left + number * _ARROW_ROOM + 1.0) for number, arrow in enumerate(arrows)
    ]
    labels = piece_marks([each.on(mapping) for each in named], column)
    others = [*arrow_marks, *part_marks(sheet, mapping, paper)]
    chosen = _chosen(canvas, numbers, labels, others)
    for placing in chosen.values():
        placing.write(canvas)
    for arrow, mark in zip(arrows, arrow_marks, strict=True):
        arrow.draw(canvas, chosen[mark].ground)
    label_offcuts(canvas, sheet, mapping)


def _chosen(
    canvas: Canvas,
    numbers: Sequence[Mark],
    labels: Sequence[tuple[Mark, NamedPiece]],
    others: Sequence[Mark],
) -> dict[Mark, MarkPlace]:
    """The best places of all marks together, found from what each takes in turn: numbers that can
    stand on their cuts, labels of narrow pieces, of others the larger first, and the rest."""
    on_cuts = [number for number in numbers if number.best.is_sound]
    narrow = [mark for mark, piece in labels if piece.is_narrow]
    larger = sorted(labels, key=lambda label: -min(label[1].box.width, label[1].box.height))
    in_turn = (*on_cuts, *narrow, *(mark for mark, _ in larger), *numbers, *others)
    return arranged(canvas, dict.fromkeys(in_turn))


def _dimension_sheet(canvas: Canvas, sheet: MappedSheet, frame: Rect) -> None:
    """The sheet's width with the unit of all sizes, and its height."""
    width = sheet.units.text(Fraction(sheet.plan.sheet.width))
    height = sheet.units.number(Fraction(sheet.plan.sheet.height))
    across = Span(frame.left, frame.right, frame.top + 3.0, True)
    dimension(canvas, across, (frame.top,) * 2, width)
    upward = Span(frame.bottom, frame.top, frame.left - 3.0, False)
    dimension(canvas, upward, (frame.left,) * 2, height)


def _code(sheet: MappedSheet, piece: CutOut) -> str:
    """The code, and whether the side that the piece is cut from lies down."""
    if piece.side == sheet.facing:
        return piece.code
    return sheet.wording.phrase("draw_code_down", code=piece.code)
