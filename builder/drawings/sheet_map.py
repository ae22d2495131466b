"""The map of one sheet: what lies where, and the cuts in order.

In: a resolved design, one sheet plan and the room on paper.  Out: a scene with the sheet, each
piece's code and size, every cut with its number in a circle, offcuts shaded and sized, and an
arrow for the print's direction.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from collections.abc import Mapping as Names
from fractions import Fraction
from heapq import merge
from itertools import chain

from builder.choices import SideName, has_direction
from builder.drawings.arrangement import Arrangement
from builder.drawings.canvas import Canvas
from builder.drawings.cut_numbers import cut_marks, cut_segments, draw_numbers
from builder.drawings.dimensions import horizontal_dimension, vertical_dimension
from builder.drawings.hatching import WASTE
from builder.drawings.labels import pointed_leader
from builder.drawings.narrow_notes import (
    NamedPiece,
    SheetLayout,
    column_places,
    place_columns,
    sheet_layout,
)
from builder.drawings.offcut_labels import label_offcuts
from builder.drawings.placings import Mark, Placing
from builder.drawings.plane import Mapping, Place, Rect
from builder.drawings.print_arrow import draw_arrow, draw_grain, grain_arrow, print_arrow
from builder.drawings.scene import Scene
from builder.drawings.sheet_labels import Look, beside, inside, two_lines
from builder.drawings.sheet_marks import (
    as_it_lies,
    grain_of,
    kept_marks,
    margin_marks,
    outline_printed_places,
    outline_strips,
    part_box,
    placed_piece,
    printed_place_marks,
    shade_margins,
)
from builder.drawings.sheet_words import sheet_equivalent
from builder.drawings.styles import SMALLEST_LETTERING_PT, Fill, Line
from builder.drawings.wording import words_in, words_of
from builder.lengths import UnitSystem
from builder.resolve.resolved import ResolvedDesign
from builder.sheet_places import CutOut
from builder.sheets.model import SheetPlan
from builder.stock_plans import facing_side
from builder.wording import Wording

_ARROW_ROOM = 7.0


def sheet_scene(
    resolved: ResolvedDesign,
    stock_key: str,
    sheet_plan: SheetPlan,
    index: int,
    total: int,
    max_width: float,
    max_height: float,
    last: int | None = None,
    kept: Names[int, str] | None = None,
) -> Scene:
    """Map sheet ``index`` of ``total`` (from 1) within ``max_width`` x ``max_height`` mm; the
    sheets up to ``last`` are cut alike, and ``kept`` says what offcuts are kept for, by part."""
    which = words_of(resolved).counted(
        "draw_sheet", (last or index) - index + 1, first=index, last=last or index, total=total
    )
    title = f"{resolved.stocks[stock_key].source.title}, {which}"
    words = sheet_equivalent(resolved, stock_key, sheet_plan, which, kept or {})
    canvas = Canvas(max_width, max_height)
    _draw_map(canvas, resolved, stock_key, sheet_plan, kept or {})
    return canvas.scene(f"sheet-{stock_key}-{index}", title, words)


def _draw_map(
    canvas: Canvas,
    resolved: ResolvedDesign,
    stock_key: str,
    plan: SheetPlan,
    kept: Names[int, str],
) -> None:
    facing = facing_side(resolved, plan)
    side = resolved.stocks[stock_key].source.side(facing)
    named = _named(resolved, plan, facing)
    grain = grain_of(resolved, plan)
    room = _ARROW_ROOM * (has_direction(side.print) + (grain is not None))
    layout = sheet_layout(_sheet_box(plan), named, canvas.frame, room)
    mapping, frame, paper = layout.mapping, layout.frame, canvas.frame
    _draw_sheet(canvas, plan, mapping)
    shade_margins(canvas, resolved, stock_key, plan, mapping)
    printed = outline_printed_places(canvas, resolved, plan, mapping)
    outline_strips(canvas, resolved, plan, facing, mapping)
    segments = cut_segments(plan, mapping)
    canvas.strokes(segments, Line.CUT, "cut")
    canvas.outline(frame.ring, Line.VISIBLE, "sheet")
    _dimension_sheet(canvas, plan, frame, resolved.edition.units)
    numbers = cut_marks(plan.cuts, segments, frame)
    wording = words_in(resolved.edition.units)
    arrow = print_arrow(frame, layout.arrow_x, side, wording)
    further = layout.arrow_x + (_ARROW_ROOM if arrow else 0.0) * layout.arrow_way
    double_arrow = grain_arrow(frame, further, grain, wording)
    arrangement = _placed(
        canvas,
        layout,
        numbers,
        [*arrow, *double_arrow],
        [each.on(mapping) for each in named],
        [
            *printed_place_marks(plan, mapping, paper, printed),
            *margin_marks(resolved, stock_key, plan, mapping, paper),
            *kept_marks(resolved, stock_key, plan, mapping, paper, kept),
        ],
    )
    _write(canvas, arrangement.chosen.values())
    draw_numbers(canvas, plan.cuts, [arrangement.chosen[number] for number in numbers])
    for mark in arrow:
        draw_arrow(canvas, arrangement.chosen[mark].ground, side)
    if grain is not None:
        for mark in double_arrow:
            draw_grain(canvas, arrangement.chosen[mark].ground, grain)
    label_offcuts(canvas, resolved, stock_key, plan, mapping, kept)


def _placed(
    canvas: Canvas,
    layout: SheetLayout,
    numbers: Sequence[Mark],
    arrow: Sequence[Mark],
    pieces: Sequence[NamedPiece],
    others: Sequence[Mark],
) -> Arrangement:
    """The best places of all marks together, found from what each takes in turn: numbers that can
    stand on their cuts, notes in columns, numbers that cannot, and labels, of larger pieces
    first."""
    arrangement = Arrangement(canvas)
    labels = _piece_marks(pieces, layout, canvas.frame)
    on_cuts = [number for number in numbers if number.best.is_sound]
    notes = [(mark, piece) for mark, piece in labels if piece.is_narrow]
    for number in on_cuts:
        arrangement.place(number)
    place_columns(arrangement, notes, layout, canvas.frame)
    labels.sort(key=lambda label: -min(label[1].box.width, label[1].box.height))
    for mark in (*(label for label, _ in labels), *numbers, *arrow, *others):
        if mark not in arrangement.chosen:
            arrangement.place(mark)
    arrangement.settle()
    return arrangement


def _write(canvas: Canvas, placings: Iterable[Placing]) -> None:
    for placing in placings:
        for text in placing.texts:
            canvas.text(text)
        if placing.leader is not None:
            pointed_leader(canvas, *placing.leader)


def _sheet_box(plan: SheetPlan) -> Rect:
    return Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height))


def _draw_sheet(canvas: Canvas, plan: SheetPlan, mapping: Mapping) -> None:
    canvas.area([mapping.rect(_sheet_box(plan)).ring], Fill.PAPER)
    for offcut in plan.offcuts:
        ring = mapping.rect(part_box(offcut)).ring
        canvas.area([ring], Fill.WASTE)
        canvas.hatch(WASTE, Line.WASTE, [ring])


def _dimension_sheet(canvas: Canvas, plan: SheetPlan, frame: Rect, units: UnitSystem) -> None:
    """The sheet's width with the unit of all sizes, and its height."""
    width = units.text(Fraction(plan.sheet.width))
    height = units.number(Fraction(plan.sheet.height))
    horizontal_dimension(canvas, frame.left, frame.right, frame.top + 3.0, (frame.top,) * 2, width)
    vertical_dimension(canvas, frame.bottom, frame.top, frame.left - 3.0, (frame.left,) * 2, height)


def _named(resolved: ResolvedDesign, plan: SheetPlan, facing: SideName) -> list[NamedPiece]:
    """What is written on each placed piece."""
    units, wording = resolved.edition.units, words_of(resolved)
    return [
        NamedPiece(
            part_box(placed),
            _code(placed_piece(resolved, placed), facing, wording),
            as_it_lies(units, placed),
        )
        for placed in plan.placed
    ]


def _code(piece: CutOut, facing: SideName, wording: Wording) -> str:
    """The code, and whether the side that the piece is cut from lies down."""
    if piece.side == facing:
        return piece.code
    return wording.phrase("draw_code_down", code=piece.code)


#: What it costs a piece to be named beside itself rather than inside, a narrow one in a column, and
#: a narrow one elsewhere.
_BESIDE, _IN_COLUMN, _NEAR_NARROW = 10.0, 18.0, 30.0


def _piece_marks(
    pieces: Sequence[NamedPiece], layout: SheetLayout, paper: Rect
) -> list[tuple[Mark, NamedPiece]]:
    """Code and size inside each piece, else beside it; for narrow ones in columns first."""
    boxes = [piece.box for piece in pieces]
    marks = []
    for index, piece in enumerate(pieces):
        others = [*boxes[:index], *boxes[index + 1 :]]
        cost = 0.0 if piece.is_narrow else _IN_COLUMN
        places = chain(
            _inside(piece),
            merge(
                column_places(piece, layout, paper, cost),
                _beside(piece, others, paper, _NEAR_NARROW if piece.is_narrow else _BESIDE),
                key=lambda placing: placing.cost,
            ),
        )
        marks.append((Mark(piece.line, places), piece))
    return marks


def _inside(piece: NamedPiece) -> Iterator[Placing]:
    if not piece.is_narrow:
        yield from two_lines(piece.box, piece.code, piece.size)
        yield from inside(piece.box, [piece.line], Look(8.0, bold=True), 2.0)


def _beside(
    piece: NamedPiece, others: Sequence[Rect], paper: Rect, cost: float
) -> Iterator[Placing]:
    targets = [piece.box.centre, *_further_places(piece.box)]
    look = Look(SMALLEST_LETTERING_PT, bold=True, boxed=True)
    yield from beside(targets, piece.line, look, cost, paper, others)


def _further_places(box: Rect) -> list[Place]:
    """More places in a piece for a leader to end, nearer to its corners."""
    (x, y), shares = box.centre, (0.5, -0.5)
    return [(x + a * box.width / 2, y + b * box.height / 2) for a in shares for b in shares]
