"""What is wrong with a scene: lettering that overlaps, is clipped or too small, leaders crossed.

In: a scene.  Out: sentences, none when all is well.  The rule: a text may touch no other text
and no line, arrowhead or edge of a fill that is visible beneath it, nor may anything be laid over
it.  Lines count with their inked width, and lettering on a white box counts with the box, which
would blot out what it touches.  A line is hidden where a later area covers the text's place; the
lines of a texture may lie behind boxed lettering, the line round the texture may not.  The end of a
leader keeps clear of all lettering but its own.
"""

import math
from collections.abc import Iterator, Sequence
from functools import reduce
from itertools import combinations, pairwise
from typing import TypeGuard

import shapely
from shapely import LineString, MultiLineString, Point, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.lettering import inked_rect
from gatherfold.drawings.kernel.plane import Rect, around, bounding
from gatherfold.drawings.kernel.scene import Area, Item, Scene, Strokes, Text
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


#: A fill or line, its number among the items of a scene, and what it covers or runs along.
_Drawn = tuple[int, Area | Strokes, BaseGeometry]
_WIDEST = max(line.look.width for line in Line)


def _on_drawing(scene: Scene) -> Iterator[str]:
    items = [(n, item) for n, item in enumerate(scene.items) if not isinstance(item, Text)]
    drawn = [(n, item, _shape(item)) for n, item in items]
    tree = STRtree([shape for _, _, shape in drawn])
    for number, item in enumerate(scene.items):
        if isinstance(item, Text):
            box = shapely.box(*inked_rect(item).grown(-_TOLERANCE))
            found = tree.query(box, "dwithin", _WIDEST / 2)
            fault = _fault_of([drawn[at] for at in sorted(found)], number, item, box)
            if fault is not None:
                yield f"'{item.text}' {fault}"


def _shape(item: Area | Strokes) -> BaseGeometry:
    if isinstance(item, Strokes):
        return MultiLineString(item.runs)
    rings = (shapely.make_valid(Polygon(ring)) for ring in item.rings)
    return reduce(shapely.symmetric_difference, rings)


def _fault_of(near: Sequence[_Drawn], number: int, text: Text, box: BaseGeometry) -> str | None:
    """The first fault among what comes near the text."""
    covered = max(
        (n for n, item, shape in near if n < number and _is_fill(item) and shape.contains(box)),
        default=-1,
    )
    for n, item, shape in near:
        if n <= covered:
            continue
        if isinstance(item, Area):
            fault = _area_fault(item, shape, box, n > number)
        else:
            fault = _line_fault(item, shape, box, text.boxed and n < number)
        if fault is not None:
            return fault
    return None


def _area_fault(area: Area, shape: BaseGeometry, box: BaseGeometry, is_later: bool) -> str | None:
    """What is wrong with a box on this area, or under it."""
    if not shape.intersects(box):
        return None
    if _is_mark(area):
        return "lies on an arrowhead or dot"
    if is_later:
        return f"is covered: {area.fill.meaning}"
    is_on_edge = shape.boundary.intersects(box)
    return f"lies across the edge of a fill: {area.fill.meaning}" if is_on_edge else None


def _line_fault(
    strokes: Strokes, shape: BaseGeometry, box: BaseGeometry, is_blotted: bool
) -> str | None:
    """What is wrong where lettering in the box touches the line; single strokes of a texture that
    its box blots out (``is_blotted``) do not count."""
    if strokes.line in TEXTURES and is_blotted:
        shape = MultiLineString([run for run in strokes.runs if len(run) > 2])
    is_touched = not shape.is_empty and shape.distance(box) < strokes.line.look.width / 2
    return f"lies on a line: {strokes.line.meaning}" if is_touched else None


def _leaders(scene: Scene) -> list[LineString]:
    runs = [run for item in scene.strokes(Line.LEADER) for run in item.runs]
    return [LineString(pair) for run in runs for pair in pairwise(run)]


def _crossed_leaders(scene: Scene) -> Iterator[str]:
    for first, second in combinations(_leaders(scene), 2):
        if first.distance(second) < _LEADERS_APART:
            yield "two leaders cross"


def _marks(scene: Scene) -> list[Polygon]:
    """Arrowheads and dots."""
    return [Polygon(ring) for item in scene.items if _is_mark(item) for ring in item.rings]


def _ends_in(leader: LineString, mark: Polygon) -> bool:
    return math.dist(leader.coords[-1], Rect(*mark.bounds).centre) < _TOLERANCE


def _leaders_through_marks(scene: Scene) -> Iterator[str]:
    """Leaders that run over an arrowhead, or over the dot that another one ends in."""
    marks = _marks(scene)
    for leader in _leaders(scene):
        crossed = (mark for mark in marks if mark.exterior.intersects(leader))
        for _ in (mark for mark in crossed if not _ends_in(leader, mark)):
            yield "a leader runs through an arrowhead or dot"


def _ends_at_words(scene: Scene) -> Iterator[str]:
    """Leaders whose dot or arrowhead lies close to lettering that they do not start from; a number
    in a circle is parted from it by that."""
    fills = [item for item in scene.items if isinstance(item, Area)]
    circles = [bounding(item.rings[0]) for item in fills if item.fill is Fill.BADGE]
    boxes = [(text, inked_rect(text)) for text in scene.texts]
    boxes = [each for each in boxes if not any(circle.contains(each[1]) for circle in circles)]
    marks = _marks(scene)
    for leader in _leaders(scene):
        mark = next((mark for mark in marks if _ends_in(leader, mark)), None)
        if mark is None or not boxes:
            continue
        near, start = Rect(*mark.bounds).grown(_ENDS_APART - _TOLERANCE), Point(leader.coords[0])
        own, _ = min(boxes, key=lambda each: start.distance(shapely.box(*each[1])))
        for text, box in boxes:
            if text is not own and box.meets(near):
                yield f"a leader ends beside '{text.text}'"


def _is_mark(item: Item) -> TypeGuard[Area]:
    return isinstance(item, Area) and item.fill is Fill.INK


def _is_fill(item: Item) -> TypeGuard[Area]:
    return isinstance(item, Area) and item.fill is not Fill.INK
