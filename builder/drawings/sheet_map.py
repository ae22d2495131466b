"""The map of one sheet: what lies where, and the cuts in order.

In: a resolved design, one sheet plan and the room on paper.  Out: a scene with the sheet, each
piece's code and size, every cut with its number in a circle, offcuts shaded and sized, and an
arrow for the print's direction.
"""

from __future__ import annotations

from collections.abc import Mapping as Names
from collections.abc import Sequence
from fractions import Fraction

from builder.choices import SideName, has_direction
from builder.drawings.arrangement import Arrangement
from builder.drawings.canvas import Canvas
from builder.drawings.cut_numbers import cut_marks, cut_segments, draw_numbers
from builder.drawings.dimensions import Span, dimension
from builder.drawings.hatching import WASTE
from builder.drawings.offcut_labels import label_offcuts
from builder.drawings.placings import Mark
from builder.drawings.plane import Mapping, Rect
from builder.drawings.print_arrow import draw_arrow, draw_grain, grain_arrow, print_arrow
from builder.drawings.scene import Scene
from builder.drawings.sheet_labels import NamedPiece, SheetLayout, piece_marks, sheet_layout
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
from builder.drawings.styles import Fill, Line
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
    for placing in arrangement.chosen.values():
        placing.write(canvas)
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
    stand on their cuts, labels of narrow pieces, of others the larger first, and the rest."""
    arrangement = Arrangement(canvas)
    labels = piece_marks(pieces, layout, canvas.frame)
    on_cuts = [number for number in numbers if number.best.is_sound]
    narrow = [mark for mark, piece in labels if piece.is_narrow]
    labels.sort(key=lambda label: -min(label[1].box.width, label[1].box.height))
    for mark in (*on_cuts, *narrow, *(label for label, _ in labels), *numbers, *arrow, *others):
        if mark not in arrangement.chosen:
            arrangement.place(mark)
    arrangement.settle()
    return arrangement


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
    across = Span(frame.left, frame.right, frame.top + 3.0, True)
    dimension(canvas, across, (frame.top,) * 2, width)
    upward = Span(frame.bottom, frame.top, frame.left - 3.0, False)
    dimension(canvas, upward, (frame.left,) * 2, height)


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
