"""The map of one sheet: what lies where, and the cuts in order.

In: a resolved design, one sheet plan and the room on paper.  Out: a scene with the sheet, each
piece's code and size, every cut with its number in a circle, offcuts shaded and sized, and an
arrow for the print's direction.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from builder.design import Side
from builder.drawings.canvas import Canvas, Segment
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
from builder.drawings.plane import Mapping, Place, Rect, fitted, segment_meets
from builder.drawings.scene import Scene, Text
from builder.drawings.sheet_marks import (
    label_margins,
    label_offcuts,
    margin_strips,
    name_motifs,
    offcut_to_keep,
    outline_motifs,
    shade_margins,
)
from builder.drawings.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from builder.drawings.wording import counted, joined, spoken_size, unit_word
from builder.lengths import UnitSystem
from builder.resolve.bought_sizes import printed_size
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.sheets.model import Cut, Placed, SheetPlan

_LEFT, _TOP, _RIGHT, _BOTTOM = 7.2, 7.2, 5.0, 10.0
_ARROW_ROOM = 7.0
_BADGE = 1.9
_CODE_PT = 9.0
_LINE_STEP = 3.6
_NOTE_PITCH = 3.0
_CIRCLE = tuple(math.tau * step / 24 for step in range(24))


@dataclass(frozen=True)
class _Part:
    """A part of the sheet, exact, as the cuts leave it."""

    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction


def sheet_scene(
    resolved: ResolvedDesign,
    stock_key: str,
    sheet_plan: SheetPlan,
    index: int,
    total: int,
    max_width: float,
    max_height: float,
    last: int | None = None,
) -> Scene:
    """Map sheet ``index`` of ``total`` (from 1) within ``max_width`` x ``max_height`` mm; the
    sheets up to ``last`` are cut alike."""
    units = resolved.edition.units
    facing = _facing_side(resolved, sheet_plan)
    side = _side(resolved, stock_key, facing)
    canvas = Canvas(max_width, max_height)
    sheet = Rect(0.0, 0.0, float(sheet_plan.sheet.width), float(sheet_plan.sheet.height))
    right = _RIGHT + (_ARROW_ROOM if side.print != "any" else 0.0)
    mapping, notes = _layout(resolved, sheet_plan, sheet, canvas.frame, right)
    _draw_sheet(canvas, sheet_plan, mapping)
    shade_margins(canvas, resolved, stock_key, sheet_plan, mapping)
    motifs = outline_motifs(canvas, resolved, sheet_plan, mapping)
    segments = _cut_segments(sheet_plan, mapping)
    canvas.strokes(segments, Line.CUT, "cut")
    frame = mapping.rect(sheet)
    canvas.outline(frame.ring, Line.VISIBLE, "sheet")
    _dimension_sheet(canvas, sheet_plan, frame, units)
    _number_cuts(canvas, sheet_plan.cuts, segments, frame)
    which = _which(index, last or index, total)
    _caption(canvas, resolved, stock_key, facing, which, frame)
    _note_narrow(canvas, resolved, sheet_plan, facing, mapping, notes, right)
    if side.print != "any":
        _print_arrow(canvas, frame, side)
    _label_pieces(canvas, resolved, sheet_plan, facing, mapping, notes.narrow)
    name_motifs(canvas, sheet_plan, mapping, motifs)
    label_margins(canvas, resolved, stock_key, sheet_plan, mapping)
    label_offcuts(canvas, resolved, stock_key, sheet_plan, mapping)
    title = f"{resolved.stocks[stock_key].source.title}, {which}"
    words = sheet_equivalent(resolved, stock_key, sheet_plan, which)
    return canvas.scene(f"sheet-{stock_key}-{index}", title, words)


@dataclass(frozen=True)
class _Notes:
    """Which placed pieces are too narrow for their code, and the columns of notes for them:
    with sizes on both sides of the sheet, or codes alone on its right."""

    narrow: frozenset[int]
    with_sizes: bool


def _layout(
    resolved: ResolvedDesign, plan: SheetPlan, sheet: Rect, frame: Rect, right: float
) -> tuple[Mapping, _Notes]:
    """The mapping that leaves room for the notes; sizes are left out where they cost too much."""
    plain = fitted(sheet, _room(frame, right, 0.0, 0.0), 1.0)
    narrow = _narrow_ones(resolved, plan, plain)
    if not narrow:
        return plain, _Notes(narrow, True)
    beside = _notes_room([_one_line(resolved, plan.placed[i], "") for i in narrow])
    mapping = fitted(sheet, _room(frame, right, beside, beside), 1.0)
    with_sizes = mapping.scale > 0.9 * plain.scale
    if not with_sizes:
        beside = _notes_room([placed_piece(resolved, plan.placed[i]).code for i in narrow])
        mapping = fitted(sheet, _room(frame, right, 0.0, beside), 1.0)
    return mapping, _Notes(_narrow_ones(resolved, plan, mapping), with_sizes)


def _room(frame: Rect, right: float, beside_left: float, beside_right: float) -> Rect:
    return Rect(_LEFT + beside_left, _BOTTOM, frame.right - right - beside_right, frame.top - _TOP)


def _notes_room(texts: Sequence[str]) -> float:
    return margin_room(texts) + text_width(" (back)", SMALLEST_LETTERING_PT, True)


def _narrow_ones(resolved: ResolvedDesign, plan: SheetPlan, mapping: Mapping) -> frozenset[int]:
    found = set()
    for index, placed in enumerate(plan.placed):
        box = _rect(mapping, placed.x, placed.y, placed.width, placed.height)
        code = placed_piece(resolved, placed).code
        length = text_width(code, SMALLEST_LETTERING_PT, True) + 1.4
        if min(box.width, box.height) < 2.9 or max(box.width, box.height) < length:
            found.add(index)
    return frozenset(found)


def placed_piece(resolved: ResolvedDesign, placed: Placed) -> ResolvedPiece:
    """The piece of a placed copy; copies are keyed ``piece#2``."""
    return resolved.pieces[placed.key.partition("#")[0]]


def _facing_side(resolved: ResolvedDesign, plan: SheetPlan) -> str:
    """The stock's side that lies up: the one most pieces are cut from.

    A piece cut round a motif is placed as the front shows it, and so are margins that differ, so
    then the front lies up.
    """
    if plan.sheet.margins[0] != plan.sheet.margins[1]:
        return "front"
    pieces = [placed_piece(resolved, placed) for placed in plan.placed]
    if any(piece.motif is not None for piece in pieces):
        return "front"
    sides = [piece.source.side for piece in pieces]
    return "back" if sides.count("back") > sides.count("front") else "front"


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


def _cut_segments(plan: SheetPlan, mapping: Mapping) -> list[Segment]:
    """Each cut's line on paper, in order, by replaying the cuts on the sheet's parts."""
    whole = _Part(Fraction(0), Fraction(0), Fraction(plan.sheet.width), Fraction(plan.sheet.height))
    parts = {0: whole}
    segments: list[Segment] = []
    for cut in plan.cuts:
        part = parts.pop(cut.part)
        near = Fraction(cut.setting)
        if cut.edge in ("right", "top"):
            near = (part.width if cut.axis == "vertical" else part.height) - near
        first, second, line = _divided(part, cut, near)
        parts[cut.parts[0]], parts[cut.parts[1]] = first, second
        start, end = line
        segments.append((mapping(*start), mapping(*end)))
    return segments


def _divided(part: _Part, cut: Cut, near: Fraction) -> tuple[_Part, _Part, tuple[Place, Place]]:
    x, y = part.x, part.y
    if cut.axis == "vertical":
        first = _Part(x, y, near, part.height)
        second = _Part(x + near, y, part.width - near, part.height)
        ends = (x + near, y), (x + near, y + part.height)
    else:
        first = _Part(x, y, part.width, near)
        second = _Part(x, y + near, part.width, part.height - near)
        ends = (x, y + near), (x + part.width, y + near)
    (x0, y0), (x1, y1) = ends
    return first, second, ((float(x0), float(y0)), (float(x1), float(y1)))


def _dimension_sheet(canvas: Canvas, plan: SheetPlan, frame: Rect, units: UnitSystem) -> None:
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    horizontal_dimension(
        canvas, frame.left, frame.right, frame.top + 3.0, (frame.top,) * 2, units.number(width)
    )
    vertical_dimension(
        canvas, frame.bottom, frame.top, frame.left - 3.0, (frame.left,) * 2, units.number(height)
    )


def _number_cuts(
    canvas: Canvas, cuts: Sequence[Cut], segments: Sequence[Segment], frame: Rect
) -> None:
    """A circled number at the end of each cut, where it touches no other line or circle.

    Numbers that stand on their cuts take their places first; the others go round them.
    """
    badges: list[Rect] = []
    centres: dict[int, Place] = {}
    for cut, segment in zip(cuts, segments, strict=True):
        others = [s for s in segments if not _is_on_one_line(s, segment)]
        centre = _badge_centre(canvas, segment, others, badges, frame)
        if centre is not None:
            centres[cut.number] = centre
            badges.append(_badge_rect(centre))
            canvas.keep_free(badges[-1])
    leaders: list[Segment] = []
    for cut, segment in zip(cuts, segments, strict=True):
        if cut.number not in centres:
            centre, target = _aside(canvas, segment, [*segments, *leaders], badges, frame)
            pointed_leader(canvas, _towards(centre, target), target)
            centres[cut.number] = centre
            leaders.append((centre, target))
            badges += [_badge_rect(centre), Rect(*target, *target).grown(0.6)]
            canvas.keep_free(_badge_rect(centre))
    for cut in cuts:
        x, y = centres[cut.number]
        ring = tuple((x + _BADGE * math.cos(a), y + _BADGE * math.sin(a)) for a in _CIRCLE)
        canvas.area([ring], Fill.BADGE)
        canvas.outline(ring, Line.DIMENSION, f"cut {cut.number}")
        canvas.text(centred_text(str(cut.number), x, y, SMALLEST_LETTERING_PT, bold=True))


def _towards(centre: Place, target: Place) -> Place:
    """The place on a badge's circle that faces the target."""
    dx, dy = target[0] - centre[0], target[1] - centre[1]
    length = math.hypot(dx, dy)
    return centre[0] + _BADGE * dx / length, centre[1] + _BADGE * dy / length


def _aside(
    canvas: Canvas,
    segment: Segment,
    segments: Sequence[Segment],
    badges: Sequence[Rect],
    frame: Rect,
) -> tuple[Place, Place]:
    """For a cut too hemmed in: the nearest place off all lines, and where its leader ends."""
    (x0, y0), (x1, y1) = segment
    lines = [*segments, *_borders(frame)]
    best: tuple[float, Place, Place] | None = None
    for distance in (4.0, 5.5, 7.0, 9.0, 12.0, 16.0, 21.0, 27.0):
        for share, step in product((0.5, 0.2, 0.8, 0.35, 0.65), range(24)):
            target = (x0 + share * (x1 - x0), y0 + share * (y1 - y0))
            angle = math.tau * (step + 0.5) / 24
            centre = (
                target[0] + distance * math.cos(angle),
                target[1] + distance * math.sin(angle),
            )
            rect = _badge_rect(centre).grown(0.2)
            clashes = sum(5.0 for badge in badges if badge.meets(rect))
            clashes += 5.0 if canvas.is_taken(rect) else 0.0
            clashes += sum(1.0 for a, b in lines if segment_meets(a, b, rect))
            clashes += 5.0 * canvas.leader_faults(_towards(centre, target), target)[0]
            if best is None or clashes < best[0]:
                best = (clashes, centre, target)
        if best is not None and best[0] == 0:
            break
    assert best is not None
    return best[1], best[2]


def _borders(frame: Rect) -> list[Segment]:
    corners = frame.ring
    return list(zip(corners, (*corners[1:], corners[0]), strict=True))


def _badge_rect(centre: Place) -> Rect:
    return Rect(centre[0], centre[1], centre[0], centre[1]).grown(_BADGE)


def _is_on_one_line(first: Segment, second: Segment) -> bool:
    axis = 0 if first[0][0] == first[1][0] else 1
    return all(abs(place[axis] - first[0][axis]) < 1e-6 for place in second)


def _badge_centre(
    canvas: Canvas, segment: Segment, others: Sequence[Segment], badges: Sequence[Rect], frame: Rect
) -> Place | None:
    """The first free place on the cut's own line: outside the sheet, then along it; or None."""
    lines = [*others, *_borders(frame)]
    for centre in _badge_places(segment, frame):
        rect = _badge_rect(centre).grown(0.2)
        if any(badge.meets(rect) for badge in badges) or canvas.is_taken(rect):
            continue
        if not any(segment_meets(a, b, rect) for a, b in lines):
            return centre
    return None


def _badge_places(segment: Segment, frame: Rect) -> Iterator[Place]:
    (x0, y0), (x1, y1) = segment
    is_vertical = x0 == x1
    out = _BADGE + 0.5
    if is_vertical and abs(y0 - frame.bottom) < 1e-6:
        yield x0, frame.bottom - out
    if not is_vertical and abs(x1 - frame.right) < 1e-6:
        yield frame.right + out, y0
    length = abs(x1 - x0) + abs(y1 - y0)
    steps = max(1, int((length - 2 * out) / 0.8))
    for step in range(steps + 1):
        share = (out + step * (length - 2 * out) / steps) / length if length > 2 * out else 0.5
        share = share if is_vertical else 1 - share
        yield x0 + share * (x1 - x0), y0 + share * (y1 - y0)


def _print_arrow(canvas: Canvas, frame: Rect, side: Side) -> None:
    """An arrow beside the sheet, clear of leaders, that says which way the print runs."""
    words = "print upright" if side.print == "upright" else "print sideways"
    half = max(text_width(words, NOTE_PT) / 2 + 1.0, 8.0)
    x = frame.right + _RIGHT + 1.0
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


def _caption(
    canvas: Canvas,
    resolved: ResolvedDesign,
    stock_key: str,
    facing: str,
    which: str,
    frame: Rect,
) -> None:
    stock = resolved.stocks[stock_key].source
    words = [stock.title]
    if stock.two_sided:
        words.append(f"{facing} side up ({_side(resolved, stock_key, facing).title})")
    words.extend([which, unit_word(resolved.edition.units)])
    text = " · ".join(words)
    half = text_width(text, NOTE_PT) / 2
    x = min(max((frame.left + frame.right) / 2, half), canvas.frame.right - half)
    canvas.text(Text(text, x, frame.bottom - 8.2, NOTE_PT, colour=GREY_TEXT))


def _code(piece: ResolvedPiece, facing: str) -> str:
    """The code, with the side if the piece is cut from the side that lies down."""
    is_down = bool(facing) and piece.source.side != facing
    return f"{piece.code} ({piece.source.side})" if is_down else piece.code


def _one_line(resolved: ResolvedDesign, placed: Placed, facing: str) -> str:
    code = _code(placed_piece(resolved, placed), facing)
    return f"{code}  {_as_it_lies(resolved.edition.units, placed)}"


def _note_narrow(
    canvas: Canvas,
    resolved: ResolvedDesign,
    plan: SheetPlan,
    facing: str,
    mapping: Mapping,
    notes: _Notes,
    right: float,
) -> None:
    """Notes for narrow pieces in columns beside the sheet, where their leaders cross no number."""
    frame = mapping.rect(Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height)))
    sides: dict[bool, list[tuple[Rect, str]]] = {True: [], False: []}
    for index in sorted(notes.narrow):
        placed = plan.placed[index]
        box = _rect(mapping, placed.x, placed.y, placed.width, placed.height)
        text = _code(placed_piece(resolved, placed), facing)
        if notes.with_sizes:
            text = _one_line(resolved, placed, facing)
        is_left = notes.with_sizes and box.centre[0] < frame.centre[0]
        sides[is_left].append((box, text))
    for is_left, items in sides.items():
        x = frame.left - _LEFT - 1.0 if is_left else frame.right + right + 1.0
        shifts = [step * sign * 1.5 for step in range(18) for sign in (1, -1)]
        columns = [_column(canvas, items, x, is_left, shift) for shift in shifts]
        best = min(columns, key=lambda column: _column_faults(canvas, column))
        for start, target, text in best:
            anchor, away = ("end", -0.6) if is_left else ("start", 0.6)
            label = level_text(text, x + away, start[1], SMALLEST_LETTERING_PT, anchor, bold=True)
            canvas.text(label)
            pointed_leader(canvas, start, target)


_Column = list[tuple[Place, Place, str]]


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


def _column_faults(canvas: Canvas, column: _Column) -> float:
    faults = 0.0
    for start, end, _ in column:
        words, lines = canvas.leader_faults(start, end)
        faults += 100.0 * words + lines + abs(start[1] - end[1]) / 10
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
        size = _as_it_lies(units, placed)
        code = _code(placed_piece(resolved, placed), facing)
        if _two_lines(canvas, box, code, size):
            continue
        if inner_label(canvas, box, [f"{code}  {size}", code], 8.0, bold=True):
            continue
        others = [other for j, other in enumerate(boxes) if j != i]
        text = f"{code}  {size}"
        note(canvas, [box.centre], text, size_pt=7.0, bold=True, boxed=True, avoid=others)


def _as_it_lies(units: UnitSystem, placed: Placed) -> str:
    return f"{units.number(Fraction(placed.width))} × {units.number(Fraction(placed.height))}"


def _two_lines(canvas: Canvas, box: Rect, code: str, size: str) -> bool:
    """The code over the size, in the middle of the piece or near it."""
    width = max(text_width(code, _CODE_PT, True), text_width(size, NOTE_PT))
    if box.width < width + 1.6 or box.height < 2 * _LINE_STEP + 1.0:
        return False
    x, middle = box.centre
    reach = box.height / 2 - _LINE_STEP - 0.5
    for share in (0.0, 0.3, -0.3, 0.6, -0.6, 0.9, -0.9):
        y = middle + share * reach
        area = Rect(x - width / 2, y - 3.2, x + width / 2, y + 3.2)
        if canvas.is_free(area, 0.4):
            canvas.text(centred_text(code, x, y + _LINE_STEP / 2, _CODE_PT, bold=True))
            canvas.text(centred_text(size, x, y - _LINE_STEP / 2, NOTE_PT))
            return True
    return False


def _which(first: int, last: int, total: int) -> str:
    return f"sheet {first} of {total}" if first == last else f"sheets {first} to {last} of {total}"


def sheet_equivalent(resolved: ResolvedDesign, stock_key: str, plan: SheetPlan, which: str) -> str:
    """The map in words: the sheet, its pieces, its margins and offcuts, how many cuts."""
    units = resolved.edition.units
    source = resolved.stocks[stock_key].source
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    pieces = [
        f"{piece.code} {piece.title} ({_as_it_lies(units, placed)})"
        for placed in plan.placed
        for piece in (placed_piece(resolved, placed),)
    ]
    sentences = [
        f"{source.title}, {which}, {spoken_size(units, width, height)}.",
        f"{counted(len(pieces), 'piece')}: {joined(pieces)}.",
        f"{counted(len(plan.cuts), 'cut')}, numbered in order.",
    ]
    if source.two_sided:
        facing = _facing_side(resolved, plan)
        side = _side(resolved, stock_key, facing)
        turn = "" if side.print == "any" else f", print {side.print}"
        sentences.append(f"The {facing} side ({side.title}{turn}) lies up.")
    motifs = [
        f"{piece.motif.title} ({piece.code})"
        for placed in plan.placed
        for piece in (placed_piece(resolved, placed),)
        if piece.motif is not None
    ]
    if motifs:
        sentences.append(f"Printed pictures outlined: {joined(motifs)}.")
    margins = [
        units.text(printed_size(margin, resolved))
        for _, margin in margin_strips(resolved, stock_key, plan)
    ]
    if margins:
        sentences.append(f"Without print along the edge: {joined(margins)}.")
    if plan.offcuts:
        left = [
            f"{units.number(Fraction(o.width))} × {units.number(Fraction(o.height))}"
            for o in plan.offcuts
        ]
        sentences.append(f"Left over: {joined(left)}.")
    kept = offcut_to_keep(plan)
    if kept is not None:
        size = f"{units.number(Fraction(kept.width))} × {units.number(Fraction(kept.height))}"
        sentences.append(f"Keep {size} for later pieces.")
    return " ".join(sentences)
