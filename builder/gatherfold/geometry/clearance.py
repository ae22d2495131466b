"""How far a point lies from cut edges, and whether it lies within an outline; all exact.

Distances to slanted lines and to arcs are irrational, so a distance is never computed: it is
compared with a given one, both squared.  Arcs are at most half a circle, their radii start along
an axis, as in :mod:`gatherfold.geometry.outline`.
"""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from fractions import Fraction

from gatherfold.geometry.outline import Arc, Edge, Outline, Point, Segment


def clears(edge: Edge, point: Point, distance: Fraction) -> bool:
    """Whether the point lies at least ``distance`` from every point of the edge."""
    if isinstance(edge, Segment):
        return squared_to_line(edge, point) >= distance**2
    return _clears_arc(edge, point, distance)


def squared(first: Point, second: Point) -> Fraction:
    """The square of the distance of two points."""
    return (first.x - second.x) ** 2 + (first.y - second.y) ** 2


def squared_to_line(line: Segment, point: Point) -> Fraction:
    """The square of the distance from a point to a straight edge, its ends included."""
    along_x, along_y = line.end.x - line.start.x, line.end.y - line.start.y
    length = along_x**2 + along_y**2
    if length == 0:
        return squared(line.start, point)
    away_x, away_y = point.x - line.start.x, point.y - line.start.y
    share = (away_x * along_x + away_y * along_y) / length
    share = min(max(share, Fraction(0)), Fraction(1))
    return (away_x - share * along_x) ** 2 + (away_y - share * along_y) ** 2


def _clears_arc(arc: Arc, point: Point, distance: Fraction) -> bool:
    """Beside an arc its circle is nearest, elsewhere one of its ends."""
    if not arc.faces(point.x - arc.centre.x, point.y - arc.centre.y):
        return all(squared(end, point) >= distance**2 for end in (arc.start, arc.end))
    radius, to_centre = arc.radius, squared(arc.centre, point)
    is_inside = distance <= radius and to_centre <= (radius - distance) ** 2
    return is_inside or to_centre >= (radius + distance) ** 2


def _turn(corner: Point, first: Point, second: Point) -> Fraction:
    """Above zero where ``second`` lies to the left of the ray from ``corner`` to ``first``."""
    return (first.x - corner.x) * (second.y - corner.y) - (first.y - corner.y) * (
        second.x - corner.x
    )


def room_around(step: Fraction, most: Fraction, has_room: Callable[[Fraction], bool]) -> Fraction:
    """Find the largest multiple of ``step`` up to ``most`` that has room, as all below it have."""
    steps = range(1, (most / step).__floor__() + 1)
    return bisect_left(steps, True, key=lambda n: not has_room(n * step)) * step


def encloses(outline: Outline, point: Point) -> bool:
    """Whether the point lies within the outline; on its very edge either answer may come.

    The level ray from a point within to the right crosses the outline an odd number of times.
    """
    is_inside = False
    for edge in outline.edges:
        if isinstance(edge, Segment):
            is_inside ^= _ray_crosses_line(edge.start, edge.end, point)
        else:
            for start, end in _quarters(edge):
                is_inside ^= _ray_crosses_quarter(edge, start, end, point)
    return is_inside


def is_in_paper(outline: Outline, windows: Sequence[Outline], point: Point) -> bool:
    """Whether the point lies within the outline and in none of its windows."""
    return encloses(outline, point) and not any(encloses(window, point) for window in windows)


def _ray_crosses_line(start: Point, end: Point, point: Point) -> bool:
    if (start.y > point.y) == (end.y > point.y):
        return False
    low, high = (start, end) if start.y < end.y else (end, start)
    return _turn(low, high, point) > 0


def _quarters(arc: Arc) -> list[tuple[Point, Point]]:
    """The ends of the quarter circles that an arc consists of."""
    across, upward = arc.start.x - arc.centre.x, arc.start.y - arc.centre.y
    ahead = (upward, -across) if arc.clockwise else (-upward, across)
    middle = arc.centre.moved(*ahead)
    return [(arc.start, arc.end)] if middle == arc.end else [(arc.start, middle), (middle, arc.end)]


def _ray_crosses_quarter(arc: Arc, start: Point, end: Point, point: Point) -> bool:
    if (start.y > point.y) == (end.y > point.y):
        return False
    across, upward = point.x - arc.centre.x, point.y - arc.centre.y
    reach = arc.radius**2 - upward**2
    is_right_half = start.x + end.x > 2 * arc.centre.x
    if is_right_half:
        return across < 0 or across**2 < reach
    return across < 0 and across**2 > reach


def run_stays_within(outline: Outline, start: Point, end: Point) -> bool:
    """Whether an upright or level run from a point within the outline ends and stays within it."""
    run = Segment(start, end)
    return encloses(outline, end) and not any(_is_left_by(edge, run) for edge in outline.edges)


def run_misses(outline: Outline, start: Point, end: Point) -> bool:
    """Whether a run passes clear of an outline, such as that of a window."""
    run = Segment(start, end)
    is_outside = not encloses(outline, start) and not encloses(outline, end)
    return is_outside and not any(_is_left_by(edge, run) for edge in outline.edges)


def _is_left_by(edge: Edge, run: Segment) -> bool:
    """Whether the run crosses the edge; of arcs only those cut into the paper can be crossed by
    a run with both its ends inside."""
    if isinstance(edge, Arc):
        return edge.clockwise and squared_to_line(run, edge.centre) < edge.radius**2
    ends = _turn(run.start, run.end, edge.start) * _turn(run.start, run.end, edge.end)
    own = _turn(edge.start, edge.end, run.start) * _turn(edge.start, edge.end, run.end)
    return ends < 0 and own < 0
