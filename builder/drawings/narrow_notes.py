"""Notes for pieces too narrow for lettering, in columns beside the sheet.

In: boxes of pieces on paper and what is written on them.  Out: which pieces need a note, how large
the sheet can be beside the columns, and where notes can stand.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from builder.drawings.arrangement import Arrangement
from builder.drawings.canvas import CLEARANCE
from builder.drawings.dimensions import spread
from builder.drawings.labels import margin_room, uncross
from builder.drawings.lettering import inked_rect, level_text
from builder.drawings.placings import Mark, Placing
from builder.drawings.plane import Mapping, Place, Rect, fitted
from builder.drawings.scene import Anchor
from builder.drawings.sheet_labels import holds_label
from builder.drawings.styles import SMALLEST_LETTERING_PT

#: Room round the sheet for its dimensions and for numbers of cuts.
_LEFT, _TOP, _RIGHT, _BOTTOM = 7.2, 7.2, 5.0, 5.0
_NOTE_PITCH = 3.0
#: Half of what a note takes in its column: notes a pitch apart are clear of each other.
_NOTE_HALF = (_NOTE_PITCH - CLEARANCE) / 2 - 0.01
#: From the end of a leader to its note, and from what stands beside the sheet to the leader.
_GAP, _BESIDE = 0.6, 1.0


@dataclass(frozen=True)
class NamedPiece:
    """A placed piece: its box on the sheet or on paper, its code and its size."""

    box: Rect
    code: str
    size: str

    @property
    def line(self) -> str:
        return f"{self.code}  {self.size}"

    def on(self, mapping: Mapping) -> NamedPiece:
        return NamedPiece(mapping.rect(self.box), self.code, self.size)

    @property
    def is_narrow(self) -> bool:
        return not holds_label(self.box, self.code, self.size)


@dataclass(frozen=True)
class SheetLayout:
    """How the sheet lies on paper, and where the columns of notes stand: at what x their leaders
    start, on both sides of the sheet or on its right alone.

    The arrow of the print and that of the grain stand on the right, or on the left where leaders
    would cross them; the next one stands further to the side ``arrow_way`` (1 or -1).
    """

    mapping: Mapping
    frame: Rect
    left: float
    right: float
    on_both_sides: bool
    arrow_x: float

    @property
    def arrow_way(self) -> int:
        return 1 if self.on_both_sides else -1


#: Notes on both sides have shorter leaders: worth a sheet this much smaller.
_NEARLY_AS_LARGE = 0.9


def sheet_layout(
    sheet: Rect, named: Sequence[NamedPiece], paper: Rect, arrow: float
) -> SheetLayout:
    """The layout that leaves room for the notes, on the sides that leave the sheet larger."""
    plain = fitted(sheet, _room(paper, _LEFT, _RIGHT + arrow), 1.0)
    notes = [each.line for each in named if each.on(plain).is_narrow]
    if not notes:
        return _layout(sheet, plain, arrow, True)
    width = margin_room(notes)
    both = fitted(sheet, _room(paper, _LEFT + width, _RIGHT + arrow + width), 1.0)
    one = fitted(sheet, _room(paper, _LEFT + arrow, _RIGHT + width), 1.0)
    if both.scale > _NEARLY_AS_LARGE * one.scale:
        return _layout(sheet, both, arrow, True)
    return _layout(sheet, one, arrow, False)


def _room(paper: Rect, left: float, right: float) -> Rect:
    return Rect(left, _BOTTOM, paper.right - right, paper.top - _TOP)


def _layout(sheet: Rect, mapping: Mapping, arrow: float, on_both_sides: bool) -> SheetLayout:
    frame = mapping.rect(sheet)
    left, right = (_LEFT, _RIGHT + arrow) if on_both_sides else (_LEFT + arrow, _RIGHT)
    return SheetLayout(
        mapping,
        frame,
        frame.left - left - _BESIDE,
        frame.right + right + _BESIDE,
        on_both_sides,
        frame.right + _RIGHT + 1.0 if on_both_sides else frame.left - _LEFT - 6.0,
    )


#: What it costs a leader of a note to be a mm longer, a mm off the level, and a mm off the middle.
_LONG, _SLANTED, _OFF_MIDDLE = 0.1, 0.5, 0.02
_SLANTS = tuple(step * sign * 1.5 for step in range(20) for sign in (1, -1))[1:]


def column_places(
    piece: NamedPiece, layout: SheetLayout, paper: Rect, cost: float
) -> Iterator[Placing]:
    """Where the note of a piece can stand in the columns."""
    found = []
    for is_left in (False, True):
        in_middle = _note(piece.line, layout, is_left, paper.centre[1], paper.centre, cost)
        if not paper.contains(in_middle.clear):
            continue
        for end, slant in product(_ends(piece.box, is_left), _SLANTS):
            y = end[1] + slant
            if paper.bottom + _NOTE_PITCH / 2 <= y <= paper.top - _NOTE_PITCH / 2:
                off_middle = _OFF_MIDDLE * math.dist(end, piece.box.centre)
                dearer = off_middle + _leader_cost(layout, is_left, y, end)
                found.append((cost + dearer, is_left, y, end))
    for dearer, is_left, y, end in sorted(found):
        yield _note(piece.line, layout, is_left, y, end, dearer)


def _leader_cost(layout: SheetLayout, is_left: bool, y: float, end: Place) -> float:
    x = layout.left if is_left else layout.right
    return _LONG * abs(x - end[0]) + _SLANTED * abs(y - end[1])


def _note(
    text: str, layout: SheetLayout, is_left: bool, y: float, end: Place, cost: float
) -> Placing:
    """A note in a column, at height ``y``."""
    x = layout.left if is_left else layout.right
    anchor: Anchor = "end" if is_left else "start"
    away = -_GAP if is_left else _GAP
    label = level_text(text, x + away, y, SMALLEST_LETTERING_PT, anchor, bold=True)
    left, _, right, _ = inked_rect(label)
    ground = Rect(left, y - _NOTE_HALF, right, y + _NOTE_HALF)
    return Placing(ground, cost, (label,), ((x, y), end))


def _ends(box: Rect, is_left: bool) -> list[Place]:
    """Where leaders can end in a narrow piece, all along it."""
    x, y = box.centre
    if box.height >= box.width:
        reach = max(box.height / 2 - 1.0, 0.0)
        steps = int(reach / 1.5) + 1
        return [(x, y + reach * step / steps) for step in range(-steps, steps + 1)]
    reach = max(box.width / 2 - 1.5, 0.0) * (-1 if is_left else 1)
    return [(x + share * reach, y) for share in (1.0, 0.5, 0.0, -0.5, -1.0)]


def place_columns(
    arrangement: Arrangement,
    notes: Sequence[tuple[Mark, NamedPiece]],
    layout: SheetLayout,
    paper: Rect,
) -> None:
    """Place notes in columns as wholes, each as high as its leaders touch least."""
    middle = layout.frame.centre[0]
    for is_left in (True, False):
        column = [
            (mark, piece)
            for mark, piece in notes
            if is_left == (layout.on_both_sides and piece.box.centre[0] < middle)
        ]
        if not column:
            continue
        column.sort(key=lambda note: (note[1].box.centre[1], note[1].box.left))
        pieces = [piece for _, piece in column]
        shifts = [step * sign * 0.5 for step in range(54) for sign in (1, -1)]
        tried = (_column(arrangement, pieces, layout, is_left, shift, paper) for shift in shifts)
        best = min(tried, key=arrangement.cost_of)
        arrangement.chosen.update(zip((mark for mark, _ in column), best, strict=True))


def _column(
    arrangement: Arrangement,
    pieces: Sequence[NamedPiece],
    layout: SheetLayout,
    is_left: bool,
    shift: float,
    paper: Rect,
) -> list[Placing]:
    """The notes when all want to stand ``shift`` higher than their pieces."""
    heights = spread(
        [piece.box.centre[1] + shift for piece in pieces],
        [_NOTE_PITCH] * len(pieces),
        paper.bottom + _NOTE_PITCH / 2,
        paper.top - _NOTE_PITCH / 2,
    )
    ends = [
        _level_end(arrangement, piece.box, y, is_left)
        for piece, y in zip(pieces, heights, strict=True)
    ]
    notes = [(end, piece.line) for end, piece in zip(ends, pieces, strict=True)]
    uncross(notes, [(layout.left if is_left else layout.right, y) for y in heights])
    placed = {
        end: _note(text, layout, is_left, y, end, _leader_cost(layout, is_left, y, end))
        for (end, text), y in zip(notes, heights, strict=True)
    }
    return [placed[end] for end in ends]


def _level_end(arrangement: Arrangement, box: Rect, y: float, is_left: bool) -> Place:
    """Where a leader from height y ends in a narrow piece, as level as can be and on no number."""
    if box.height < box.width:
        return _ends(box, is_left)[0]
    x = box.centre[0]
    level = (x, min(max(y, box.bottom + 1.0), box.top - 1.0))
    ends = sorted(_ends(box, is_left), key=lambda end: abs(end[1] - y))
    return next((end for end in (level, *ends) if arrangement.can_end(end)), level)
