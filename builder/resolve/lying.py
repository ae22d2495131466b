"""Where a piece lies in the plane of its host, by its offsets from the edges of the host's face.

In: two resolved pieces.  Out: the pose of the one within the other's plane.
"""

from __future__ import annotations

from builder.geometry.outline import Box
from builder.geometry.pose import Pose, flipped, shifted, turned
from builder.resolve.resolved import ResolvedPiece


def lying_pose(child: ResolvedPiece, host: ResolvedPiece) -> Pose:
    """Give the pose of a piece within its host's plane."""
    placement = child.source.placement
    assert child.offsets is not None and placement is not None
    face = child.face(child.by).box
    host_box = host.face(child.host_face).box
    in_place = _turned_to_origin(face, placement.turned)
    up = child.raised if placement.relation in ("on", "inside") else -child.raised
    if placement.relation == "on_back":
        # Seen from the back, the host's right edge is on the left.
        corner = shifted(
            host_box.right - child.offsets.left, host_box.bottom + child.offsets.bottom, up
        )
        return corner.then(flipped()).then(in_place)
    corner = shifted(host_box.left + child.offsets.left, host_box.bottom + child.offsets.bottom, up)
    return corner.then(in_place)


def _turned_to_origin(box: Box, degrees: int) -> Pose:
    """Turn about the origin, then move so that the box's lower left corner is the origin."""
    turn = turned(degrees)
    corners = [turn.apply(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    return shifted(-min(c[0] for c in corners), -min(c[1] for c in corners)).then(turn)
