"""Exact plane and space geometry of paper pieces; no drawing, no design knowledge."""

# fmt: off
# isort: off
from gatherfold.geometry.areas import (around as around, common as common, crosses as crosses,
    difference as difference, distance_squared as distance_squared, holds as holds,
    room_within as room_within)
from gatherfold.geometry.clearance import (clears as clears, encloses as encloses,
    is_in_paper as is_in_paper, room_around as room_around, run_misses as run_misses,
    run_stays_within as run_stays_within, squared as squared)
from gatherfold.geometry.edges import (AXES as AXES, CORNERS as CORNERS, EDGES as EDGES,
    EDGES_BY_AXIS as EDGES_BY_AXIS, EXTENTS as EXTENTS, Axis as Axis, CornerName as CornerName,
    EdgeName as EdgeName, Extent as Extent, axis_of as axis_of, edge_towards as edge_towards,
    ends_across as ends_across, is_far as is_far, is_left as is_left, is_low as is_low,
    is_upright as is_upright, is_vertical as is_vertical, is_width as is_width,
    mirrored as mirrored, opposite as opposite, other_axis as other_axis,
    other_extent as other_extent, outward as outward)
from gatherfold.geometry.outline import (Arc as Arc, Box as Box, Edge as Edge, Outline as Outline,
    Point as Point, Segment as Segment, UprightRectangle as UprightRectangle, bounds as bounds,
    circle as circle, flattened as flattened, rectangle as rectangle)
from gatherfold.geometry.pose import (IDENTITY as IDENTITY, Exact as Exact, Pose as Pose,
    RigidMotion as RigidMotion, Rotation as Rotation, Sense as Sense, SpaceAxis as SpaceAxis,
    flipped as flipped, shifted as shifted, turned as turned)
from gatherfold.geometry.stacks import Layer as Layer, thickest as thickest
