"""Which part of the work a picture shows: what has to be seen, and what costs nothing besides.

In: rectangles in any unit.  Out: the rectangle to show.
"""

from gatherfold.drawings.kernel.plane import Rect
from gatherfold.geometry import EDGES_BY_AXIS, outward

#: What is shown round what is needed, as a share of its longer side; a side is broken off where the
#: work goes on for so many times that.
AROUND, _WORTH_IT = 0.15, 2.0
#: And only if what is left is no more than this share of the whole.
_MOST_LEFT = 0.7


def focused(needed: Rect, whole: Rect) -> Rect:
    """What is needed with a little round it; everything, when that is nearly all of it."""
    margin = AROUND * max(needed.width, needed.height)
    ends = []
    for edge in EDGES_BY_AXIS:
        at, end, out = needed.edge(edge), whole.edge(edge), sum(outward(edge))
        ends.append(at + out * margin if out * (end - at) > _WORTH_IT * margin else end)
    left, right, bottom, top = ends
    part = Rect(left, bottom, right, top)
    is_worth_it = part.width * part.height <= _MOST_LEFT * whole.width * whole.height
    return part if is_worth_it else whole


def widened(shown: Rect, most: Rect, room: Rect) -> Rect:
    """As much more of the ``most`` that may be shown as there is room for at the same scale."""
    scale = scale_within(shown, room)
    beside, above = room.width / scale - shown.width, room.height / scale - shown.height
    spare = Rect(
        shown.left - beside / 2,
        shown.bottom - above / 2,
        shown.right + beside / 2,
        shown.top + above / 2,
    )
    return spare.common(most) or shown


def scale_within(shown: Rect, room: Rect) -> float:
    """The scale at which a part of the work fits in its room."""
    return min(room.width / shown.width, room.height / shown.height, 1.0)
