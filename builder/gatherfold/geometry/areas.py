"""Exact algebra of upright rectangles: in one plane, and flat ones in space.

Units: millimetres as Fractions.  Rectangles that only touch do not cross; a rectangle without
width or height is a line, and a line crosses what it runs through.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction

from gatherfold.geometry.edges import EdgeName
from gatherfold.geometry.outline import Box, Point

_ZERO = Fraction(0)


def crosses(first: Box, second: Box) -> bool:
    """Whether one reaches into the inside of the other."""
    return (
        first.left < second.right
        and second.left < first.right
        and first.bottom < second.top
        and second.bottom < first.top
    )


def holds(box: Box, other: Box) -> bool:
    """Whether the other lies within the box."""
    return (
        box.left <= other.left
        and box.bottom <= other.bottom
        and other.right <= box.right
        and other.top <= box.top
    )


def common(first: Box, second: Box) -> Box | None:
    """The part that both cover; None where they do not cross."""
    if not crosses(first, second):
        return None
    return Box(
        max(first.left, second.left),
        max(first.bottom, second.bottom),
        min(first.right, second.right),
        min(first.top, second.top),
    )


def around(boxes: Sequence[Box]) -> Box:
    """The smallest box round them all."""
    return Box(
        min(box.left for box in boxes),
        min(box.bottom for box in boxes),
        max(box.right for box in boxes),
        max(box.top for box in boxes),
    )


def difference(box: Box, holes: Iterable[Box]) -> tuple[Box, ...]:
    """What the holes leave of the box, in parts that do not overlap."""
    parts = [box]
    for hole in holes:
        parts = [rest for part in parts for rest in _without(part, hole)]
    return tuple(parts)


def _without(box: Box, hole: Box) -> Iterator[Box]:
    """The parts left of, right of, below and above the hole."""
    inside = common(box, hole)
    if inside is None:
        yield box
        return
    if box.left < inside.left:
        yield Box(box.left, box.bottom, inside.left, box.top)
    if inside.right < box.right:
        yield Box(inside.right, box.bottom, box.right, box.top)
    if box.bottom < inside.bottom:
        yield Box(inside.left, box.bottom, inside.right, inside.bottom)
    if inside.top < box.top:
        yield Box(inside.left, inside.top, inside.right, box.top)


def distance_squared(place: Point, box: Box) -> Fraction:
    """The square of the distance from a place to the nearest point of the box; 0 inside it."""
    across = max(box.left - place.x, place.x - box.right, _ZERO)
    upward = max(box.bottom - place.y, place.y - box.top, _ZERO)
    return across * across + upward * upward


def room_within(inner: Box, outer: Box) -> dict[EdgeName, Fraction]:
    """How far one box lies within each edge of another; below zero where it reaches beyond."""
    return {
        "left": inner.left - outer.left,
        "right": outer.right - inner.right,
        "bottom": inner.bottom - outer.bottom,
        "top": outer.top - inner.top,
    }
