"""The edges and corners of an upright rectangle, and the two ways a line runs: their names and what
is true of each.

In: names.  Out: facts that every stage asks for instead of comparing a name.
"""

from typing import Literal, get_args

EdgeName = Literal["left", "right", "top", "bottom"]
CornerName = Literal["top left", "top right", "bottom left", "bottom right"]
#: ``vertical`` is a line x = constant, ``horizontal`` a line y = constant.
Axis = Literal["vertical", "horizontal"]
#: Across and up: the two extents of a rectangle.
Extent = Literal["width", "height"]

EDGES: tuple[EdgeName, ...] = get_args(EdgeName)
#: The near and the far edge of each axis, as margins and drawings have them.
EDGES_BY_AXIS: tuple[EdgeName, ...] = ("left", "right", "bottom", "top")
CORNERS: tuple[CornerName, ...] = get_args(CornerName)
AXES: tuple[Axis, ...] = get_args(Axis)
EXTENTS: tuple[Extent, ...] = get_args(Extent)

_IS_VERTICAL: dict[Axis, bool] = {"vertical": True, "horizontal": False}
_IS_WIDTH: dict[Extent, bool] = {"width": True, "height": False}
_AXIS_OF: dict[EdgeName, Axis] = {
    "left": "vertical",
    "right": "vertical",
    "top": "horizontal",
    "bottom": "horizontal",
}
_IS_FAR: dict[EdgeName, bool] = {"left": False, "right": True, "top": True, "bottom": False}
#: The upright and the level edge that meet at a corner.
_EDGES_AT: dict[CornerName, tuple[EdgeName, EdgeName]] = {
    "top left": ("left", "top"),
    "top right": ("right", "top"),
    "bottom left": ("left", "bottom"),
    "bottom right": ("right", "bottom"),
}


def is_vertical(axis: Axis) -> bool:
    """Whether a line that runs this way is upright."""
    return _IS_VERTICAL[axis]


def other_axis(axis: Axis) -> Axis:
    """The way at right angles."""
    return "horizontal" if is_vertical(axis) else "vertical"


def axis_of(edge: EdgeName) -> Axis:
    """The way an edge runs."""
    return _AXIS_OF[edge]


def is_upright(edge: EdgeName) -> bool:
    """Whether an edge runs up: the left and the right one do."""
    return is_vertical(axis_of(edge))


def is_far(edge: EdgeName) -> bool:
    """Whether an edge lies at the end of its direction: the right and the top one do."""
    return _IS_FAR[edge]


def ends_across(axis: Axis) -> tuple[EdgeName, EdgeName]:
    """The edges that run this way, the near one first."""
    return ("left", "right") if is_vertical(axis) else ("bottom", "top")


def opposite(edge: EdgeName) -> EdgeName:
    """The edge across from an edge."""
    near, far = ends_across(axis_of(edge))
    return near if is_far(edge) else far


def mirrored(edge: EdgeName) -> EdgeName:
    """The edge as it is seen from behind."""
    return opposite(edge) if is_upright(edge) else edge


def edge_towards(across: int, upward: int) -> EdgeName:
    """The edge in a direction, which is one step along an axis."""
    return next(edge for edge in EDGES if outward(edge) == (across, upward))


def outward(edge: EdgeName) -> tuple[int, int]:
    """The direction from the middle to an edge."""
    way = 1 if is_far(edge) else -1
    return (way, 0) if is_upright(edge) else (0, way)


def is_left(corner: CornerName) -> bool:
    """Whether a corner lies at the left edge."""
    return not is_far(_EDGES_AT[corner][0])


def is_low(corner: CornerName) -> bool:
    """Whether a corner lies at the bottom edge."""
    return not is_far(_EDGES_AT[corner][1])


def is_width(extent: Extent) -> bool:
    """Whether an extent is measured across."""
    return _IS_WIDTH[extent]


def other_extent(extent: Extent) -> Extent:
    """The extent at right angles."""
    return "height" if is_width(extent) else "width"
