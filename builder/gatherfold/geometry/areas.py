"""Exact algebra of upright rectangles: in one plane, and flat ones in space.

Units: millimetres as Fractions.  Rectangles that only touch do not cross; a rectangle without
width or height is a line, and a line crosses what it runs through.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from fractions import Fraction

from gatherfold.geometry.edges import EdgeName
from gatherfold.geometry.outline import Box, Point, UprightRectangle
from gatherfold.geometry.pose import Length

_ZERO = Fraction(0)


def crosses(first: UprightRectangle[Length], second: UprightRectangle[Length]) -> bool:
    """Whether one reaches into the inside of the other."""
    return (
        first.left < second.right
        and second.left < first.right
        and first.bottom < second.top
        and second.bottom < first.top
    )


def holds(box: UprightRectangle[Length], other: UprightRectangle[Length]) -> bool:
    """Whether the other lies within the box."""
    return (
        box.left <= other.left
        and box.bottom <= other.bottom
        and other.right <= box.right
        and other.top <= box.top
    )


def common(
    first: UprightRectangle[Length], second: UprightRectangle[Length]
) -> UprightRectangle[Length] | None:
    """The part that both cover; None where they do not cross."""
    if not crosses(first, second):
        return None
    return UprightRectangle(
        max(first.left, second.left),
        max(first.bottom, second.bottom),
        min(first.right, second.right),
        min(first.top, second.top),
    )


def around(boxes: Iterable[UprightRectangle[Length]]) -> UprightRectangle[Length]:
    """The smallest box round them all."""
    lefts, bottoms, rights, tops = zip(*boxes, strict=True)
    return UprightRectangle(min(lefts), min(bottoms), max(rights), max(tops))


def difference(
    box: UprightRectangle[Length], holes: Iterable[UprightRectangle[Length]]
) -> tuple[UprightRectangle[Length], ...]:
    """What the holes leave of the box, in parts that do not overlap."""
    parts = [box]
    for hole in holes:
        parts = [rest for part in parts for rest in _without(part, hole)]
    return tuple(parts)


def _without(
    box: UprightRectangle[Length], hole: UprightRectangle[Length]
) -> Iterator[UprightRectangle[Length]]:
    """The parts left of, right of, below and above the hole."""
    inside = common(box, hole)
    if inside is None:
        yield box
        return
    if box.left < inside.left:
        yield replace(box, right=inside.left)
    if inside.right < box.right:
        yield replace(box, left=inside.right)
    if box.bottom < inside.bottom:
        yield replace(inside, bottom=box.bottom, top=inside.bottom)
    if inside.top < box.top:
        yield replace(inside, bottom=inside.top, top=box.top)


def distance_squared(place: Point, box: Box) -> Fraction:
    """The square of the distance from a place to the nearest point of the box; 0 inside it."""
    across = max(box.left - place.x, place.x - box.right, _ZERO)
    upward = max(box.bottom - place.y, place.y - box.top, _ZERO)
    return across * across + upward * upward


def room_within(
    inner: UprightRectangle[Length], outer: UprightRectangle[Length]
) -> dict[EdgeName, Length]:
    """How far one box lies within each edge of another; below zero where it reaches beyond."""
    return {
        "left": inner.left - outer.left,
        "right": outer.right - inner.right,
        "bottom": inner.bottom - outer.bottom,
        "top": outer.top - inner.top,
    }
