"""The map of one sheet: what lies where, and the cuts in order.

In: a resolved design, one sheet plan and the room on paper.  Out: a scene with the sheet, each
piece's code and size, every cut with its number in a circle, offcuts shaded and sized, and an
arrow for the print's direction.
"""

from __future__ import annotations

from collections.abc import Mapping as Names
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, product

from builder.design import Side
from builder.drawings.canvas import LEADERS_APART, Canvas
from builder.drawings.cut_numbers import (
    OFF_MIDDLES,
    cut_segments,
    middle_of,
    number_cuts,
    numbers_on_cuts,
)
from builder.drawings.dimensions import (
    arrowhead,
    horizontal_dimension,
    spread,
    vertical_dimension,
)
from builder.drawings.hatching import WASTE
from builder.drawings.labels import (
    NOTE_PT,
    inner_label,
    margin_room,
    note,
    pointed_leader,
    uncross,
)
from builder.drawings.lettering import centred_text, level_text, text_width
from builder.drawings.plane import (
    Mapping,
    Place,
    Rect,
    distance_to_segment,
    fitted,
    segments_apart,
)
from builder.drawings.scene import Scene, Text
from builder.drawings.scene_check import overlaps
from builder.drawings.sheet_marks import (
    as_it_lies,
    label_margins,
    label_offcuts,
    name_printed_places,
    outline_printed_places,
    outline_strips,
    placed_piece,
    shade_margins,
)
from builder.drawings.sheet_words import sheet_equivalent
from builder.drawings.styles import SMALLEST_LETTERING_PT, Fill, Line
from builder.drawings.wording import words_in, words_of
from builder.lengths import UnitSystem
from builder.resolve.resolved import ResolvedDesign
from builder.sheet_places import CutOut
from builder.sheets.model import Placed, SheetPlan
from builder.stock_plans import facing_side
from builder.wording import Wording

_LEFT, _TOP, _RIGHT, _BOTTOM = 7.2, 7.2, 5.0, 5.0
_ARROW_ROOM = 7.0
_CODE_PT = 9.0
_LINE_STEP = 3.6
_NOTE_PITCH = 3.0
#: A piece narrower than this on paper holds no lettering.
_LEAST_ACROSS = 2.9


@dataclass(frozen=True)
class _Order:
    """A way to place what is hemmed in: how much it counts that the leader of a note runs over the
    middle of a cut that has no number yet, and whether such numbers go before the notes."""

    off_middles: float
    numbers_first: bool = False


#: On a crowded sheet one way finds room where another does not; the first without a fault is taken.
_ORDERS = (_Order(150.0), _Order(0.0), _Order(50.0), _Order(600.0), _Order(0.0, True))


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
    found: list[tuple[int, Scene]] = []
    for order in _ORDERS:
        canvas = Canvas(max_width, max_height)
        _draw_map(canvas, resolved, stock_key, sheet_plan, kept or {}, order)
        scene = canvas.scene(f"sheet-{stock_key}-{index}", title, words)
        found.append((len(overlaps(scene)), scene))
        if not found[-1][0]:
            break
    return min(found, key=lambda each: each[0])[1]


def _draw_map(
    canvas: Canvas,
    resolved: ResolvedDesign,
    stock_key: str,
    sheet_plan: SheetPlan,
    kept: Names[int, str],
    order: _Order,
) -> None:
    units = resolved.edition.units
    facing = facing_side(resolved, sheet_plan)
    side = _side(resolved, stock_key, facing)
    sheet = Rect(0.0, 0.0, float(sheet_plan.sheet.width), float(sheet_plan.sheet.height))
    arrow = _ARROW_ROOM if side.print != "any" else 0.0
    mapping, notes = _layout(resolved, sheet_plan, facing, canvas.frame, arrow)
    _draw_sheet(canvas, sheet_plan, mapping)
    shade_margins(canvas, resolved, stock_key, sheet_plan, mapping)
    motifs = outline_printed_places(canvas, resolved, sheet_plan, mapping)
    outline_strips(canvas, resolved, sheet_plan, facing, mapping)
    segments = cut_segments(sheet_plan, mapping)
    canvas.strokes(segments, Line.CUT, "cut")
    frame = mapping.rect(sheet)
    canvas.outline(frame.ring, Line.VISIBLE, "sheet")
    _dimension_sheet(canvas, sheet_plan, frame, units)
    on_cuts = numbers_on_cuts(canvas, sheet_plan.cuts, segments, frame)
    waiting = [
        middle_of(segment)
        for cut, segment in zip(sheet_plan.cuts, segments, strict=True)
        if cut.number not in on_cuts
    ]
    if order.numbers_first:
        number_cuts(canvas, sheet_plan.cuts, segments, on_cuts)
    middles = _Middles(tuple(waiting), order.off_middles)
    _note_narrow(canvas, resolved, sheet_plan, facing, mapping, notes, middles)
    if not order.numbers_first:
        number_cuts(canvas, sheet_plan.cuts, segments, on_cuts)
    if side.print != "any":
        x = frame.left - _LEFT - 6.0 if notes.arrow_is_left else frame.right + _RIGHT + 1.0
        _print_arrow(canvas, frame, x, side, words_in(units))
    _label_pieces(canvas, resolved, sheet_plan, facing, mapping, notes.narrow)
    name_printed_places(canvas, sheet_plan, mapping, motifs)
    label_margins(canvas, resolved, stock_key, sheet_plan, mapping)
    label_offcuts(canvas, resolved, stock_key, sheet_plan, mapping, kept)


@dataclass(frozen=True)
class _Notes:
    """Which placed pieces have no room for code and size, and where their notes stand: how far
    from the sheet, on both sides of it or on its right alone.

    The print's arrow stands on the right, or on the left where leaders would cross it.
    """

    narrow: frozenset[int]
    left: float
    right: float
    on_both_sides: bool
    arrow_is_left: bool


def _layout(
    resolved: ResolvedDesign, plan: SheetPlan, facing: str, frame: Rect, arrow: float
) -> tuple[Mapping, _Notes]:
    """The mapping that leaves room for the notes, on the sides that leave the sheet larger."""
    sheet = Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height))
    plain = fitted(sheet, _room(frame, _LEFT, _RIGHT + arrow), 1.0)
    narrow = _narrow_ones(resolved, plan, facing, plain)
    if not narrow:
        return plain, _Notes(narrow, _LEFT, _RIGHT + arrow, True, False)
    beside = margin_room([_one_line(resolved, plan.placed[i], facing) for i in narrow])
    both = fitted(sheet, _room(frame, _LEFT + beside, _RIGHT + arrow + beside), 1.0)
    one = fitted(sheet, _room(frame, _LEFT + arrow, _RIGHT + beside), 1.0)
    on_both_sides = both.scale > _NEARLY_AS_LARGE * one.scale
    mapping, left, right = (
        (both, _LEFT, _RIGHT + arrow) if on_both_sides else (one, _LEFT + arrow, _RIGHT)
    )
    narrow = _narrow_ones(resolved, plan, facing, mapping)
    return mapping, _Notes(narrow, left, right, on_both_sides, not on_both_sides)


#: Notes on both sides have shorter leaders: worth a sheet this much smaller.
_NEARLY_AS_LARGE = 0.9


def _room(frame: Rect, left: float, right: float) -> Rect:
    return Rect(left, _BOTTOM, frame.right - right, frame.top - _TOP)


def _narrow_ones(
    resolved: ResolvedDesign, plan: SheetPlan, facing: str, mapping: Mapping
) -> frozenset[int]:
    return frozenset(
        index
        for index, placed in enumerate(plan.placed)
        if not _holds_label(
            _rect(mapping, placed.x, placed.y, placed.width, placed.height),
            _code(placed_piece(resolved, placed), facing, words_of(resolved)),
            as_it_lies(resolved.edition.units, placed),
        )
    )


def _holds_label(box: Rect, code: str, size: str) -> bool:
    """Whether a piece on paper has room for its code and its size, in a line or in two."""
    in_line = text_width(f"{code}  {size}", SMALLEST_LETTERING_PT, True) + 1.4
    if min(box.width, box.height) >= _LEAST_ACROSS and max(box.width, box.height) >= in_line:
        return True
    return _fits_two_lines(box, code, size, _TWO_LINES[-1])


def _side(resolved: ResolvedDesign, stock_key: str, facing: str) -> Side:
    source = resolved.stocks[stock_key].source
    return source.front if facing == "front" else source.back


def _draw_sheet(canvas: Canvas, plan: SheetPlan, mapping: Mapping) -> None:
    width, height = float(plan.sheet.width), float(plan.sheet.height)
    canvas.area([mapping.rect(Rect(0.0, 0.0, width, height)).ring], Fill.PAPER)
    for offcut in plan.offcuts:
        ring = _rect(mapping, offcut.x, offcut.y, offcut.width, offcut.height).ring
        canvas.area([ring], Fill.WASTE)
        canvas.hatch(WASTE, Line.WASTE, [ring])


def _rect(
    mapping: Mapping, x: int | Fraction, y: int | Fraction, w: int | Fraction, h: int | Fraction
) -> Rect:
    return mapping.rect(Rect(float(x), float(y), float(x + w), float(y + h)))


def _dimension_sheet(canvas: Canvas, plan: SheetPlan, frame: Rect, units: UnitSystem) -> None:
    """The sheet's width with the unit of all sizes, and its height."""
    width = units.text(Fraction(plan.sheet.width))
    height = units.number(Fraction(plan.sheet.height))
    horizontal_dimension(canvas, frame.left, frame.right, frame.top + 3.0, (frame.top,) * 2, width)
    vertical_dimension(canvas, frame.bottom, frame.top, frame.left - 3.0, (frame.left,) * 2, height)


def _print_arrow(canvas: Canvas, frame: Rect, x: float, side: Side, wording: Wording) -> None:
    """An arrow beside the sheet, clear of leaders, that says which way the print runs."""
    words = wording.phrase(f"draw_print_{side.print}")
    half = max(text_width(words, NOTE_PT) / 2 + 1.0, 8.0)
    reach = max(frame.height / 2 - half - 2.0, 0.0)
    levels = [
        frame.centre[1] + share / 5 * reach for share in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5)
    ]
    y = min(
        levels, key=lambda at: canvas.collisions(Rect(x - 1.0, at - half, x + 5.0, at + half + 3))
    )
    if side.print == "upright":
        canvas.strokes([((x, y - half), (x, y + half - 2.0))], Line.VISIBLE, "print direction")
        arrowhead(canvas, (x, y + half), 0, 1, 2.0)
        canvas.text(Text(words, x + 0.8 + 2.0, y, NOTE_PT, rotation=90))
        return
    canvas.strokes([((x, y), (x + 4.0, y))], Line.VISIBLE, "print direction")
    arrowhead(canvas, (x + 6.0, y), 1, 0, 2.0)
    canvas.text(Text(words, x + 3.8, y + 1.5 + half, NOTE_PT, rotation=90))


def _code(piece: CutOut, facing: str, wording: Wording) -> str:
    """The code, and whether the side that the piece is cut from lies down."""
    if piece.side == facing:
        return piece.code
    return wording.phrase("draw_code_down", code=piece.code)


def _one_line(resolved: ResolvedDesign, placed: Placed, facing: str) -> str:
    code = _code(placed_piece(resolved, placed), facing, words_of(resolved))
    return f"{code}  {as_it_lies(resolved.edition.units, placed)}"


def _note_narrow(
    canvas: Canvas,
    resolved: ResolvedDesign,
    plan: SheetPlan,
    facing: str,
    mapping: Mapping,
    notes: _Notes,
    waiting: _Middles,
) -> None:
    """Notes for narrow pieces in columns beside the sheet, where their leaders cross no number and
    keep off the middles of the cuts that still wait for theirs."""
    frame = mapping.rect(Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height)))
    sides: dict[bool, list[tuple[Rect, str]]] = {True: [], False: []}
    for index in sorted(notes.narrow):
        placed = plan.placed[index]
        box = _rect(mapping, placed.x, placed.y, placed.width, placed.height)
        is_left = notes.on_both_sides and box.centre[0] < frame.centre[0]
        sides[is_left].append((box, _one_line(resolved, placed, facing)))
    for is_left, items in sides.items():
        x = frame.left - notes.left - 1.0 if is_left else frame.right + notes.right + 1.0
        shifts = [step * sign * 0.5 for step in range(54) for sign in (1, -1)]
        columns = [_column(canvas, items, x, is_left, shift) for shift in shifts]
        best = min(columns, key=lambda column: _column_faults(canvas, column, waiting))
        for start, target, text in best:
            anchor, away = ("end", -0.6) if is_left else ("start", 0.6)
            label = level_text(text, x + away, start[1], SMALLEST_LETTERING_PT, anchor, bold=True)
            canvas.text(label)
            pointed_leader(canvas, start, target)


_Column = list[tuple[Place, Place, str]]


@dataclass(frozen=True)
class _Middles:
    """The middles of cuts that wait for their numbers, and how much a mm too near them counts."""

    places: tuple[Place, ...]
    weight: float


def _column(
    canvas: Canvas, items: Sequence[tuple[Rect, str]], x: float, is_left: bool, shift: float
) -> _Column:
    """Where each leader starts and ends when all labels want to stand ``shift`` higher."""
    wanted = sorted(items, key=lambda item: (item[0].centre[1], item[0].left))
    heights = spread(
        [box.centre[1] + shift for box, _ in wanted],
        [_NOTE_PITCH] * len(wanted),
        canvas.frame.bottom + _NOTE_PITCH / 2,
        canvas.frame.top - _NOTE_PITCH / 2,
    )
    starts = [(x, y) for y in heights]
    notes = [
        (_end_in(canvas, box, y, is_left), text)
        for (box, text), y in zip(wanted, heights, strict=True)
    ]
    uncross(notes, starts)
    return [(start, end, text) for start, (end, text) in zip(starts, notes, strict=True)]


def _end_in(canvas: Canvas, box: Rect, y: float, is_left: bool) -> Place:
    """Where a leader from height y ends in a narrow piece, as level as can be and on no number."""
    if box.height >= box.width:
        level = min(max(y, box.bottom + 1.0), box.top - 1.0)
        steps = [box.bottom + 1.0 + step * (box.height - 2.0) / 12 for step in range(13)]
        levels = [level, *sorted(steps, key=lambda each: abs(each - level))]
        x = box.centre[0]
        return next(((x, at) for at in levels if canvas.is_clear_of_words((x, at))), (x, level))
    return (box.left + 1.5 if is_left else box.right - 1.5), box.centre[1]


def _column_faults(canvas: Canvas, column: _Column, waiting: _Middles) -> float:
    """How much the leaders of a column touch: what is there already, what is to be pointed at, and
    one another."""
    faults = 0.0
    for start, end, _ in column:
        words, lines = canvas.leader_faults(start, end)
        faults += 100.0 * words + lines + abs(start[1] - end[1]) / 10
        for middle in waiting.places:
            missing = OFF_MIDDLES - distance_to_segment(middle, start, end)
            faults += waiting.weight * max(missing, 0.0)
    for (start, end, _), (other, its_end, _) in combinations(column, 2):
        faults += 100.0 * (segments_apart(start, end, other, its_end) < LEADERS_APART)
    return faults


def _label_pieces(
    canvas: Canvas,
    resolved: ResolvedDesign,
    plan: SheetPlan,
    facing: str,
    mapping: Mapping,
    narrow: frozenset[int],
) -> None:
    """Code and size inside each piece; largest pieces first."""
    units = resolved.edition.units
    boxes = [_rect(mapping, p.x, p.y, p.width, p.height) for p in plan.placed]
    order = sorted(range(len(boxes)), key=lambda i: -min(boxes[i].width, boxes[i].height))
    for i in order:
        if i in narrow:
            continue
        placed, box = plan.placed[i], boxes[i]
        size = as_it_lies(units, placed)
        code = _code(placed_piece(resolved, placed), facing, words_of(resolved))
        if any(_two_lines(canvas, box, code, size, points) for points in _TWO_LINES):
            continue
        text = f"{code}  {size}"
        if inner_label(canvas, box, [text], 8.0, bold=True):
            continue
        others = [other for j, other in enumerate(boxes) if j != i]
        targets = [box.centre, *_further_places(box)]
        note(canvas, targets, text, size_pt=7.0, bold=True, boxed=True, avoid=others)


def _further_places(box: Rect) -> list[Place]:
    """More places in a piece for a leader to end, nearer to its corners."""
    (x, y), shares = box.centre, (0.5, -0.5)
    return [(x + a * box.width / 2, y + b * box.height / 2) for a in shares for b in shares]


#: Size of a code and of the size below it, in points: as large as there is room for.
_TWO_LINES = ((_CODE_PT, NOTE_PT), (SMALLEST_LETTERING_PT, SMALLEST_LETTERING_PT))


def _fits_two_lines(box: Rect, code: str, size: str, points: tuple[float, float]) -> bool:
    width = max(text_width(code, points[0], True), text_width(size, points[1]))
    return box.width >= width + 1.6 and box.height >= 2 * _LINE_STEP + 1.0


def _two_lines(
    canvas: Canvas, box: Rect, code: str, size: str, points: tuple[float, float]
) -> bool:
    """The code over the size, in the middle of the piece or near it."""
    if not _fits_two_lines(box, code, size, points):
        return False
    width = max(text_width(code, points[0], True), text_width(size, points[1]))
    middle_x, middle_y = box.centre
    reach_x, reach_y = (box.width - width) / 2 - 0.7, box.height / 2 - _LINE_STEP - 0.5
    for across, up in product((0.0, 0.5, -0.5, 1.0, -1.0), (0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9)):
        x, y = middle_x + across * reach_x, middle_y + up * reach_y
        area = Rect(x - width / 2, y - 3.2, x + width / 2, y + 3.2)
        if canvas.is_free(area, 0.4):
            canvas.text(centred_text(code, x, y + _LINE_STEP / 2, points[0], bold=True))
            canvas.text(centred_text(size, x, y - _LINE_STEP / 2, points[1]))
            return True
    return False
