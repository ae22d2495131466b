"""The cuts on a sheet map: where each runs, and its number in a circle, clear of everything else.

In: the cuts of a sheet plan and the mapping to paper.  Out: segments, and numbers on the canvas.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from collections.abc import Mapping as Names
from dataclasses import dataclass
from fractions import Fraction
from itertools import product

from builder.drawings.canvas import Canvas
from builder.drawings.labels import pointed_leader
from builder.drawings.lettering import centred_text
from builder.drawings.plane import Mapping, Place, Rect, distance_to_segment, segment_meets
from builder.drawings.styles import SMALLEST_LETTERING_PT, Fill, Line
from builder.sheets.model import Cut, SheetPlan

#: A cut on paper, from end to end.
Segment = tuple[Place, Place]

_BADGE = 1.9
_CIRCLE = tuple(math.tau * step / 24 for step in range(24))


@dataclass(frozen=True)
class _Part:
    """A part of the sheet, exact, as the cuts leave it."""

    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction


def cut_segments(plan: SheetPlan, mapping: Mapping) -> list[Segment]:
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


def numbers_on_cuts(
    canvas: Canvas, cuts: Sequence[Cut], segments: Sequence[Segment], frame: Rect
) -> dict[int, Place]:
    """Where each number stands on its own cut, touching no other line or circle.

    Their places are kept free; :func:`number_cuts` draws them with those that find no place so.
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
    return centres


def number_cuts(
    canvas: Canvas,
    cuts: Sequence[Cut],
    segments: Sequence[Segment],
    on_cuts: Names[int, Place],
) -> None:
    """Every cut's number in a circle; those that do not stand on their cuts go round all that is
    there, each with a leader."""
    badges = [_badge_rect(centre) for centre in on_cuts.values()]
    centres = dict(on_cuts)
    waiting = [(c, s) for c, s in zip(cuts, segments, strict=True) if c.number not in centres]
    for index, (cut, segment) in enumerate(waiting):
        centre, target = _aside(canvas, segment, badges, [s for _, s in waiting[index + 1 :]])
        pointed_leader(canvas, _towards(centre, target), target)
        centres[cut.number] = centre
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
    canvas: Canvas, segment: Segment, badges: Sequence[Rect], waiting: Sequence[Segment]
) -> tuple[Place, Place]:
    """For a cut too hemmed in: the nearest place off all lines, arrowheads and lettering, and where
    its leader ends; it keeps off the middles of the cuts that still wait for theirs."""
    middles = [middle_of(other) for other in waiting]
    best: tuple[float, Place, Place] | None = None
    for distance in (4.0, 5.5, 7.0, 9.0, 12.0, 16.0, 21.0, 27.0):
        for share, step in product((0.5, 0.2, 0.8, 0.35, 0.65), range(24)):
            target = _along(segment, share)
            angle = math.tau * (step + 0.5) / 24
            centre = (
                target[0] + distance * math.cos(angle),
                target[1] + distance * math.sin(angle),
            )
            clashes = _clashes(canvas, centre, target, badges, middles)
            if best is None or clashes < best[0]:
                best = (clashes, centre, target)
        if best is not None and best[0] == 0:
            break
    assert best is not None
    return best[1], best[2]


def middle_of(segment: Segment) -> Place:
    return _along(segment, 0.5)


def _along(segment: Segment, share: float) -> Place:
    (x0, y0), (x1, y1) = segment
    return x0 + share * (x1 - x0), y0 + share * (y1 - y0)


#: Leaders keep so far from the middle of a cut that needs one of its own.
OFF_MIDDLES = 1.2


def _clashes(
    canvas: Canvas,
    centre: Place,
    target: Place,
    badges: Sequence[Rect],
    middles: Sequence[Place],
) -> float:
    """How much a number at ``centre`` and its leader would touch."""
    rect, start = _badge_rect(centre), _towards(centre, target)
    clashes = 5.0 * sum(badge.meets(rect.grown(0.2)) for badge in badges)
    clashes += 5.0 * canvas.is_taken(rect) + canvas.collisions(rect, 0.2)
    clashes += 5.0 * canvas.leaders_under(rect)
    clashes += 5.0 * canvas.leader_faults(start, target)[0]
    near = (distance_to_segment(middle, centre, target) < OFF_MIDDLES for middle in middles)
    return clashes + 2.0 * sum(near)


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
