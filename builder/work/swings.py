"""Where a part that turns on a fastening may lie when what it holds has closed.

In: a work and the key of such a fastening.  Out: :class:`Swings`, in the plane of the part.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.outline import Box, Point
from builder.work.assembly import Assembly
from builder.work.closing import Turn
from builder.work.moments import Work
from builder.work.pivots import quarters
from builder.work.placed import seen_box
from builder.work.plates import FaceKey
from builder.work.setting import faces_of, setting_of
from builder.work.space import ACROSS, whole


@dataclass(frozen=True)
class Swings:
    """A part as it was set, carried along by what it turns on, in mm.

    ``turns`` are its boxes as it is turned by quarters about ``centre``; ``before`` are those of
    what lies flat over its own level, by piece.
    """

    centre: Point
    turns: tuple[Box, ...]
    before: Mapping[str, list[Box]]


def swings_of(work: Work, fastening: str) -> Swings | None:
    """Find where a part may be turned to; None where it does not lie on what it turns on."""
    own, setting = work.parts.resolved.fastenings[fastening], setting_of(work, fastening)
    faces = faces_of(work, setting, fastening)
    if len(faces) < 2 or own.point is None:
        return None
    face, anchor = faces[:2]
    then = _when_held(work, own.source.holds or "", anchor)
    if not {face, anchor} <= setting.plates.keys() & then.plates.keys():
        return None
    carried = then.plates[anchor].pose.then(setting.plates[anchor].pose.undone())
    plate = setting.plates[face].moved(carried)
    point = plate.pose.apply((whole(own.point.x, work.scale), whole(own.point.y, work.scale), 0))
    x, y = (Fraction(point[axis]) / work.scale for axis in ACROSS[plate.axis])
    # Seen from what it turns on: on its front, unless it is known to lie on its back.
    is_on_front = setting.side_of(anchor, face) != -1
    is_up = is_on_front == (then.plates[anchor].facing > 0)
    turned = (plate.moved(motion) for motion in quarters(work.scale, plate, own))
    turns = tuple(seen_box(each, work.scale) for each in turned)
    return Swings(Point(x, y), turns, _before(then, anchor, is_up, work.scale))


def _when_held(work: Work, held: str, anchor: FaceKey) -> Assembly:
    """The work just after what is held has closed over what the part turns on."""
    for motion in reversed(work.closing):
        if not isinstance(motion, Turn) or anchor in motion.moved:
            continue
        if any(key.piece == held for key in motion.moved):
            return motion.after
    return work.closed


def _before(then: Assembly, anchor: FaceKey, is_up: bool, scale: int) -> dict[str, list[Box]]:
    """What lies flat over the level of a part, away from what it turns on."""
    found: dict[str, list[Box]] = {}
    own = then.plates[anchor]
    for key, plate in then.plates.items():
        height = plate.plane - own.plane if is_up else own.plane - plate.plane
        is_over = height > 0 or (height == 0 and then.is_above(anchor, key) is is_up)
        if plate.axis == own.axis and is_over:
            found.setdefault(key.piece, []).append(seen_box(plate, scale))
    return found
