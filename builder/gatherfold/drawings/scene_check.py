"""What is wrong with a scene: lettering that overlaps, is clipped or too small, leaders crossed.

In: a scene.  Out: sentences, none when all is well.  The rule: a text may touch no other text
and no line, arrowhead or edge of a fill that is visible beneath it, nor may anything be laid over
it.  Lines count with their inked width, and lettering on a white box counts with the box, which
would blot out what it touches.  A line is hidden where a later area covers the text's place; the
lines of a texture may lie behind boxed lettering, the line round the texture may not.  The end of a
leader keeps clear of all lettering but its own.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from typing import TypeGuard

from gatherfold.drawings.kernel.lettering import inked_rect
from gatherfold.drawings.kernel.plane import (
    Place,
    Rect,
    around,
    bounding,
    ring_holds,
    segment_meets,
    segments_apart,
)
from gatherfold.drawings.kernel.scene import Area, Item, Ring, Scene, Strokes, Text
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT, TEXTURES, Fill, Line

#: Metrics are trusted to this many mm.
_TOLERANCE = 0.02
#: Leaders nearer to each other than this would be taken for one.
_LEADERS_APART = 0.3
#: An end nearer to lettering would seem to belong to it.
_ENDS_APART = 1.0


def overlaps(scene: Scene) -> tuple[str, ...]:
    """Every fault of the lettering and the leaders, as a sentence."""
    faults = [*_clipped(scene), *_too_small(scene), *_on_texts(scene), *_on_drawing(scene)]
    leaders = (*_crossed_leaders(scene), *_leaders_through_marks(scene), *_ends_at_words(scene))
    return (*faults, *leaders)


def _clipped(scene: Scene) -> Iterator[str]:
    frame = Rect(0.0, 0.0, scene.width, scene.height)
    for item in scene.items:
        if isinstance(item, Text):
            if not frame.contains(inked_rect(item), _TOLERANCE):
                yield f"'{item.text}' is clipped by the edge of the drawing"
        elif not frame.contains(_inked(item), _TOLERANCE):
            kind = item.fill if isinstance(item, Area) else item.line
            yield f"{kind.meaning} is clipped by the edge of the drawing"


def _inked(item: Area | Strokes) -> Rect:
    """The rectangle round a fill or a line, the line's width included."""
    if isinstance(item, Area):
        return around(bounding(ring) for ring in item.rings)
    half = item.line.look.width / 2
    return around(bounding(run) for run in item.runs).grown(half)


def _too_small(scene: Scene) -> Iterator[str]:
    for text in scene.texts:
        if text.size_pt < SMALLEST_LETTERING_PT:
            yield f"'{text.text}' is set in {text.size_pt} pt, below {SMALLEST_LETTERING_PT} pt"


def _on_texts(scene: Scene) -> Iterator[str]:
    boxes = [(text, inked_rect(text).grown(-_TOLERANCE / 2)) for text in scene.texts]
    for (first, box), (second, other) in combinations(boxes, 2):
        if box.meets(other):
            yield f"'{first.text}' overlaps '{second.text}'"


def _on_drawing(scene: Scene) -> Iterator[str]:
    inked = [(i, it, _inked(it)) for i, it in enumerate(scene.items) if not isinstance(it, Text)]
    for index, item in enumerate(scene.items):
        if isinstance(item, Text):
            box = inked_rect(item).grown(-_TOLERANCE)
            near = [(i, it) for i, it, ink in inked if ink.meets(box)]
            fault = _fault_of(near, index, item, box)
            if fault is not None:
                yield f"'{item.text}' {fault}"


def _fault_of(
    near: Sequence[tuple[int, Area | Strokes]], index: int, text: Text, box: Rect
) -> str | None:
    """The first fault among the items whose ink comes near the text, each with its number."""
    covered = max(
        (i for i, item in near if i < index and isinstance(item, Area) and _covers(item, box)),
        default=-1,
    )
    for i, item in near:
        if i <= covered:
            continue
        fault = _area_fault(item, box, i > index) if isinstance(item, Area) else None
        if isinstance(item, Strokes) and _line_meets(item, box, text.boxed and i < index):
            fault = f"lies on a line: {item.line.meaning}"
        if fault is not None:
            return fault
    return None


def _area_fault(area: Area, box: Rect, is_later: bool) -> str | None:
    """What is wrong with a box on this area, or under it."""
    on_edge = any(_run_meets((*ring, ring[0]), box, 0.0) for ring in area.rings)
    around_box = sum(ring_holds(ring, box.centre) for ring in area.rings) % 2 == 1
    inside_box = any(box.holds(ring[0]) for ring in area.rings)
    if area.fill is Fill.INK:
        return "lies on an arrowhead or dot" if on_edge or around_box or inside_box else None
    if is_later and (on_edge or around_box or inside_box):
        return f"is covered: {area.fill.meaning}"
    return f"lies across the edge of a fill: {area.fill.meaning}" if on_edge else None


def _line_meets(strokes: Strokes, box: Rect, is_blotted: bool) -> bool:
    """Whether lettering in the box touches the line; single strokes of a texture that its box
    blots out (``is_blotted``) do not count."""
    half = strokes.line.look.width / 2
    runs = strokes.runs
    if strokes.line in TEXTURES and is_blotted:
        runs = tuple(run for run in runs if len(run) > 2)
    return any(_run_meets(run, box, half) for run in runs)


def _covers(area: Area, box: Rect) -> bool:
    """Whether one ring of the area holds all of the box and its other rings none of it."""
    outer, *inner = area.rings
    if area.fill is Fill.INK or not bounding(outer).contains(box):
        return False
    if not all(ring_holds(outer, corner) for corner in box.ring):
        return False
    if _run_meets((*outer, outer[0]), box, 0.0):
        return False
    return not any(bounding(ring).meets(box) for ring in inner)


def _run_meets(run: Ring, box: Rect, half_width: float) -> bool:
    grown = box.grown(half_width)
    return any(segment_meets(a, b, grown) for a, b in pairwise(run))


def _leaders(scene: Scene) -> list[tuple[Place, Place]]:
    return [
        pair for item in scene.strokes(Line.LEADER) for run in item.runs for pair in pairwise(run)
    ]


def _crossed_leaders(scene: Scene) -> Iterator[str]:
    for first, second in combinations(_leaders(scene), 2):
        if segments_apart(*first, *second) < _LEADERS_APART:
            yield "two leaders cross"


def _leaders_through_marks(scene: Scene) -> Iterator[str]:
    """Leaders that run over an arrowhead, or over the dot that another one ends in."""
    rings = [ring for item in scene.items if _is_mark(item) for ring in item.rings]
    marks = [(ring, bounding(ring)) for ring in rings]
    for start, end in _leaders(scene):
        path = bounding((start, end)).grown(_TOLERANCE)
        for ring, box in marks:
            if not path.meets(box) or math.dist(box.centre, end) < _TOLERANCE:
                continue
            edges = pairwise((*ring, ring[0]))
            if any(segments_apart(start, end, a, b) == 0.0 for a, b in edges):
                yield "a leader runs through an arrowhead or dot"


def _ends_at_words(scene: Scene) -> Iterator[str]:
    """Leaders whose dot or arrowhead lies close to lettering that they do not start from; a number
    in a circle is parted from it by that."""
    circles = [
        bounding(item.rings[0])
        for item in scene.items
        if isinstance(item, Area) and item.fill is Fill.BADGE
    ]
    boxes = [(text, inked_rect(text)) for text in scene.texts]
    boxes = [each for each in boxes if not any(circle.contains(each[1]) for circle in circles)]
    marks = [bounding(ring) for item in scene.items if _is_mark(item) for ring in item.rings]
    for start, end in _leaders(scene):
        mark = next((m for m in marks if math.dist(m.centre, end) < _TOLERANCE), None)
        if mark is None:
            continue
        near = mark.grown(_ENDS_APART - _TOLERANCE)
        own = min(boxes, key=lambda each: _apart(each[1], start), default=None)
        for text, box in boxes:
            if own is not None and text is not own[0] and box.meets(near):
                yield f"a leader ends beside '{text.text}'"


def _is_mark(item: Item) -> TypeGuard[Area]:
    return isinstance(item, Area) and item.fill is Fill.INK


def _apart(box: Rect, place: Place) -> float:
    """How far a place is from a rectangle; 0 within."""
    x, y = place
    across = max(box.left - x, 0.0, x - box.right)
    return math.hypot(across, max(box.bottom - y, 0.0, y - box.top))
