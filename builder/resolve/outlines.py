"""The outline of a piece: its sides, with corners notched, mitred or rounded and thumb notches."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import assert_never

from builder.choices import CornerShape
from builder.design import Corner, Piece
from builder.formulas import Pair
from builder.geometry.edges import CornerName, EdgeName
from builder.geometry.outline import Arc, Box, Edge, Line, Outline, Point
from builder.resolve.resolved import Face
from builder.resolve.values import Values

_ZERO = Fraction(0)
#: Corners in the order of a counter-clockwise walk, each with the direction back along the edge
#: it comes from and the direction along the edge it goes to.
_WALK: tuple[tuple[CornerName, tuple[int, int], tuple[int, int]], ...] = (
    ("bottom left", (0, 1), (1, 0)),
    ("bottom right", (-1, 0), (0, 1)),
    ("top right", (0, -1), (-1, 0)),
    ("top left", (1, 0), (0, -1)),
)
_EDGE_AFTER: dict[CornerName, EdgeName] = {
    "bottom left": "bottom",
    "bottom right": "right",
    "top right": "top",
    "top left": "left",
}

#: Shape and size by corner.
CornerSizes = dict[CornerName, tuple[CornerShape, Pair]]


def corner_size(corner: Corner, values: Values) -> tuple[CornerShape, Pair]:
    """The shape of a corner and its exact size."""
    is_round = False
    match corner.shape:
        case "notch":
            size = values.pair_of(corner.size)
        case "mitre":
            size = values.square_or_pair_of(corner.size)
        case "round":
            size, is_round = values.square_or_pair_of(corner.size), True
        case _:
            assert_never(corner.shape)
    values.above_zero(size, corner.size, f"this {corner.shape}")
    if is_round and size.width != size.height:
        message = "a round corner has one radius"
        raise values.refused("wrong-type", corner.size.position, message, "Write 'round 1/4'.")
    return corner.shape, size


def outline_of(piece: Piece, whole: Box, corners: CornerSizes, values: Values) -> Outline:
    """The boundary, counter-clockwise from the lower left corner."""
    notches = {
        notch.edge: values.measured(notch.radius, "the radius of this thumb notch")
        for notch in piece.thumb_notches
    }
    shaped = [
        _corner_edges(whole.corner(name), back, along, corners.get(name))
        for name, back, along in _WALK
    ]
    outline: list[Edge] = []
    for index, (name, _, along) in enumerate(_WALK):
        edges, _, start = shaped[index]
        _, end, _ = shaped[(index + 1) % 4]
        _require_room(piece, start, end, along, _EDGE_AFTER[name], notches, values)
        outline += [*edges, *_side(start, end, along, notches.get(_EDGE_AFTER[name]))]
    return Outline(tuple(outline))


def _require_room(
    piece: Piece,
    start: Point,
    end: Point,
    along: tuple[int, int],
    edge: EdgeName,
    notches: Mapping[EdgeName, Fraction],
    values: Values,
) -> None:
    """What shapes an edge from both its corners and its middle must fit along it."""
    left_over = (end.x - start.x) * along[0] + (end.y - start.y) * along[1]
    missing = 2 * notches.get(edge, _ZERO) - left_over
    if missing > 0:
        short = values.edition.units.text(missing)
        message = f"the {edge} edge of piece '{piece.key}' is {short} too short for its shapes"
        remedy = "Make its corners or its thumb notch smaller."
        raise values.refused("corner-too-large", piece.position, message, remedy)


def with_section_corners(
    piece: Piece, outline: Outline, sections: Sequence[Face], values: Values
) -> Outline:
    """Shapes the outer corners of single sections, such as those of a flap."""
    for (section, where), corner in piece.section_corners.items():
        shaped = corner_size(corner, values)
        face = next((face for face in sections if face.name == section), None)
        edges = None if face is None else _with_corner(outline, face.box, where, shaped)
        if edges is None:
            message = f"'{section}' of piece '{piece.key}' has no free {where} corner of that size"
            remedy = "Shape a corner where two cut edges meet, and keep it within both."
            raise values.refused("no-such-corner", corner.size.position, message, remedy)
        outline = edges
    return outline


def _with_corner(
    outline: Outline, box: Box, where: CornerName, shaped: tuple[CornerShape, Pair]
) -> Outline | None:
    """The outline with one corner of a box shaped; None where it has no room for that."""
    at = box.corner(where)
    _, back, along = next(walk for walk in _WALK if walk[0] == where)
    shape, first, last = _corner_edges(at, back, along, shaped)
    for index, after in enumerate(outline.edges):
        before = outline.edges[index - 1]
        is_corner = after.start == at
        if is_corner and runs_along(before, first, at) and runs_along(after, at, last):
            edges = list(outline.edges)
            edges[index - 1], edges[index] = Line(before.start, first), Line(last, after.end)
            edges[index:index] = shape
            return Outline(tuple(edge for edge in edges if edge.start != edge.end))
    return None


def runs_along(edge: Edge, start: Point, end: Point) -> bool:
    """Whether a straight edge along an axis holds the whole run from ``start`` to ``end``, in that
    direction."""
    if not isinstance(edge, Line):
        return False
    places = [edge.start, start, end, edge.end]
    across, upward = [point.x for point in places], [point.y for point in places]
    fixed, moving = (across, upward) if len(set(across)) == 1 else (upward, across)
    return len(set(fixed)) == 1 and moving in (sorted(moving), sorted(moving, reverse=True))


def _corner_edges(
    at: Point,
    back: tuple[int, int],
    along: tuple[int, int],
    corner: tuple[CornerShape, Pair] | None,
) -> tuple[list[Edge], Point, Point]:
    """The edges that make a corner, and the points where it leaves its two sides."""
    if corner is None:
        return [], at, at
    shape, size = corner

    def reach(direction: tuple[int, int]) -> Point:
        return at.moved(direction[0] * size.width, direction[1] * size.height)

    first, last = reach(back), reach(along)
    inner = Point(first.x + last.x - at.x, first.y + last.y - at.y)
    match shape:
        case "notch":
            return [Line(first, inner), Line(inner, last)], first, last
        case "mitre":
            return [Line(first, last)], first, last
        case "round":
            return [Arc(first, last, inner, clockwise=False)], first, last
        case _:
            assert_never(shape)


def _side(start: Point, end: Point, along: tuple[int, int], notch: Fraction | None) -> list[Edge]:
    """One straight side, with a half circle cut into its middle where there is a thumb notch."""
    if start == end:
        return []
    if notch is None or notch == 0:
        return [Line(start, end)]
    middle = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
    before = middle.moved(-along[0] * notch, -along[1] * notch)
    after = middle.moved(along[0] * notch, along[1] * notch)
    edges: list[Edge] = [
        Line(start, before),
        Arc(before, after, middle, clockwise=True),
        Line(after, end),
    ]
    return [edge for edge in edges if edge.start != edge.end]
