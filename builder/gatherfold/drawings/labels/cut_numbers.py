"""The cuts on a sheet map: where each runs, and where its number can stand in a circle.

In: the cuts of a sheet plan and the mapping to paper.  Out: segments, and marks with their places.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from heapq import merge
from operator import attrgetter

from gatherfold.drawings.kernel.plane import Place, Rect, ToPaper, part_way, segment_meets
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT
from gatherfold.drawings.labels.labels import beside
from gatherfold.drawings.labels.placings import BADGE, LabelLook, Mark, MarkPlace, block
from gatherfold.geometry import Box, is_far, is_vertical
from gatherfold.sheets import Cut, SheetPlan

#: A cut on paper, from end to end.
CutSegment = tuple[Place, Place]


def cut_segments(plan: SheetPlan, mapping: ToPaper) -> list[CutSegment]:
    """Each cut's line on paper, in order, by replaying the cuts on the sheet's parts."""
    width, height = Fraction(plan.sheet.width), Fraction(plan.sheet.height)
    parts = {0: Box(Fraction(0), Fraction(0), width, height)}
    segments: list[CutSegment] = []
    for cut in plan.cuts:
        part, setting = parts.pop(cut.part), Fraction(cut.setting)
        at = part.edge(cut.edge) + (-setting if is_far(cut.edge) else setting)
        first, second = replace(part, top=at), replace(part, bottom=at)
        ends = (part.left, at), (part.right, at)
        if is_vertical(cut.axis):
            first, second = replace(part, right=at), replace(part, left=at)
            ends = (at, part.bottom), (at, part.top)
        parts[cut.parts[0]], parts[cut.parts[1]] = first, second
        start, end = (mapping(float(x), float(y)) for x, y in ends)
        segments.append((start, end))
    return segments


def cut_marks(
    cuts: Sequence[Cut], segments: Sequence[CutSegment], frame: Rect, paper: Rect
) -> list[Mark]:
    """The number of each cut, on its line where that can be, else beside it with a leader."""
    marks = []
    for cut, segment in zip(cuts, segments, strict=True):
        others = [other for other in segments if not _is_on_one_line(other, segment)]
        number, targets = str(cut.number), [part_way(*segment, share) for share in _SHARES]
        places = merge(
            _on_cut(number, segment, others, frame),
            beside(targets, number, CUT_NUMBER, _OFF_CUT, paper),
            key=attrgetter("cost"),
        )
        marks.append(Mark(f"cut {number}", places))
    return marks


#: How the number of a cut is written, and what it costs it to stand off its cut.
CUT_NUMBER = LabelLook(SMALLEST_LETTERING_PT, bold=True, circled=True)
_OFF_CUT = 9.0
#: Where its leader may point to, the middle of the cut first.
_SHARES = (0.5, 0.2, 0.8, 0.35, 0.65)


def _is_on_one_line(first: CutSegment, second: CutSegment) -> bool:
    axis = 0 if first[0][0] == first[1][0] else 1
    return all(abs(place[axis] - first[0][axis]) < 1e-6 for place in second)


#: What it costs a number to stand one step further along its cut, and on one of which less than so
#: much, in mm, would be seen beside it.
_ALONG, _HIDING, _SEEN = 0.02, 25.0, 3.4


def _on_cut(
    number: str, segment: CutSegment, others: Sequence[CutSegment], frame: Rect
) -> Iterator[MarkPlace]:
    """Places on the cut's own line that touch no other: outside the sheet, then along it; there
    the number would hide a cut that is hardly longer than its circle."""
    corners, words = frame.ring, block([(number, CUT_NUMBER)])
    lines = [*others, *zip(corners, (*corners[1:], corners[0]), strict=True)]
    hides = math.dist(*segment) < 2 * BADGE + _SEEN
    for step, (centre, is_outside) in enumerate(_badge_places(segment, frame)):
        ground = words.ground.moved(*centre)
        if not any(segment_meets(a, b, ground.grown(0.2)) for a, b in lines):
            cost = step * _ALONG + (_HIDING if hides and not is_outside else 0.0)
            yield MarkPlace(ground, cost, words.texts, at=centre, is_circle=True, is_sound=True)


def _badge_places(segment: CutSegment, frame: Rect) -> Iterator[tuple[Place, bool]]:
    """Middles of circles on the line of a cut, and whether they lie outside the sheet."""
    (x0, y0), (x1, y1) = segment
    is_vertical = x0 == x1
    out = BADGE + 0.5
    if is_vertical and abs(y0 - frame.bottom) < 1e-6:
        yield (x0, frame.bottom - out), True
    if not is_vertical and abs(x1 - frame.right) < 1e-6:
        yield (frame.right + out, y0), True
    length = abs(x1 - x0) + abs(y1 - y0)
    steps = max(1, int((length - 2 * out) / 0.8))
    for step in range(steps + 1):
        share = (out + step * (length - 2 * out) / steps) / length if length > 2 * out else 0.5
        share = share if is_vertical else 1 - share
        yield part_way(*segment, share), False
