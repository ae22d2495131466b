"""Raised views: the projection after ISO 5456-3 (from memory), and the nearest face on top.

What is nearest is found independently: shapely holds the faces on paper, and depth is worked out
from the planes of the placed faces.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence

import pytest
from shapely.geometry import Point as ShapelyPoint, Polygon

from gatherfold.drawings.kernel.axonometric import ISOMETRIC, PLAN, Projection
from gatherfold.drawings.motion.movements import sequences
from gatherfold.drawings.views.features import outline_ring
from gatherfold.drawings.views.raised_view import raised_work, visible_faces
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import Assembly, work_of
from tests.drawings.made_designs import SHIPPED, frames_of, made
from tests.works import PlacedFace, placed_faces

AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def test_isometric_axes_are_equal_and_120_degrees_apart() -> None:
    drawn = [ISOMETRIC(axis) for axis in AXES]
    assert [math.hypot(*place) for place in drawn] == pytest.approx([1, 1, 1])
    angles = sorted(math.degrees(math.atan2(y, x)) % 180 for x, y in drawn)
    assert angles == pytest.approx([30, 90, 150])


def test_the_viewer_stands_above_to_the_right_and_before_the_work() -> None:
    x, y, z = ISOMETRIC.viewer
    assert x > 0 > y
    assert z > 0
    assert ISOMETRIC(ISOMETRIC.viewer) == pytest.approx((0.0, 0.0))


def stages(resolved: ResolvedDesign) -> Iterator[Assembly]:
    """The work after every movement."""
    for sequence in sequences(resolved):
        for move in sequence.moves:
            yield move.after


@pytest.mark.parametrize("name", [*SHIPPED, "hinged-album", "sleeve-tray", "box-in-box"])
def test_the_nearest_face_lies_on_top(name: str) -> None:
    resolved = made(name)
    scale = work_of(resolved).scale
    chance = random.Random(7)
    for assembly in stages(resolved):
        faces = placed_faces(assembly, scale)
        for projection in (ISOMETRIC, PLAN):
            painted = raised_work(resolved, assembly, scale, projection)
            spots = Spots(resolved, faces, projection)
            for _ in range(60):
                place = spots.random(chance)
                wanted = spots.nearest(place)
                if wanted is not None:
                    top = [f.key for f in painted if f.holds(place)][-1]
                    assert top == wanted


class Spots:
    """Faces on paper as shapely polygons, with the depth of each at any place."""

    def __init__(
        self, resolved: ResolvedDesign, faces: Sequence[PlacedFace], projection: Projection
    ) -> None:
        self.viewer, self.projection = projection.viewer, projection
        self.faces = faces
        self.shapes = [self._shape(resolved, face) for face in faces]
        bounds = [shape.bounds for shape in self.shapes if not shape.is_empty]
        self.box = (
            min(b[0] for b in bounds),
            min(b[1] for b in bounds),
            max(b[2] for b in bounds),
            max(b[3] for b in bounds),
        )

    def _shape(self, resolved: ResolvedDesign, face: PlacedFace) -> Polygon:
        piece = resolved.pieces[face.piece]
        box = piece.face(face.face).box
        corners = [(box.left, box.bottom), (box.right, box.bottom)]
        corners += [(box.right, box.top), (box.left, box.top)]
        window = Polygon([(float(x), float(y)) for x, y in corners])
        holes = [list(outline_ring(window)) for window in piece.windows]
        met = Polygon(outline_ring(piece.outline), holes).intersection(window)
        # A face may touch its neighbour along a line: that part is not its own.
        flat = max(getattr(met, "geoms", [met]), key=lambda part: part.area)
        for hole in piece.holes:
            centre = ShapelyPoint(float(hole.centre.x), float(hole.centre.y))
            flat = flat.difference(centre.buffer(float(hole.diameter) / 2))
        rotation, shift = face.pose.rotation, face.pose.shift
        rings = [flat.exterior, *flat.interiors]
        drawn = [
            [
                self.projection(
                    [
                        float(rotation[k][0]) * x + rotation[k][1] * y + float(shift[k])
                        for k in range(3)
                    ]
                )
                for x, y in ring.coords
            ]
            for ring in rings
        ]
        return Polygon(drawn[0], drawn[1:])

    def random(self, chance: random.Random) -> tuple[float, float]:
        left, bottom, right, top = self.box
        return chance.uniform(left, right), chance.uniform(bottom, top)

    def nearest(self, place: tuple[float, float]) -> tuple[str, str] | None:
        """The face nearest to the viewer; None beside the work or within 0.2 mm of an edge."""
        spot = ShapelyPoint(place)
        found = []
        for face, shape in zip(self.faces, self.shapes, strict=True):
            if shape.exterior.distance(spot) < 0.2 or any(
                ring.distance(spot) < 0.2 for ring in shape.interiors
            ):
                return None
            if shape.contains(spot):
                axis = next(k for k, along in enumerate(face.pose.normal) if along)
                sign = 1 if self.viewer[axis] > 0 else -1
                found.append((round(self._depth(face, axis, place), 6), sign * face.rank, face))
        if not found:
            return None
        nearest = max(found, key=lambda each: each[:2])[2]
        return nearest.piece, nearest.face

    def _depth(self, face: PlacedFace, axis: int, place: tuple[float, float]) -> float:
        """How far towards the viewer the face is met: places in space that come out on ``place``
        are start + far · viewer, and the plane of the face picks one."""
        (a, d), (b, e) = self.projection.x, self.projection.y
        bottom = a * e - b * d
        start = (
            (place[0] * e - place[1] * b) / bottom,
            (place[1] * a - place[0] * d) / bottom,
            0.0,
        )
        return (float(face.pose.shift[axis]) - start[axis]) / self.viewer[axis]


def test_what_shows_of_the_box_and_what_is_hidden() -> None:
    shown = {key.piece for key in visible_faces(frames_of("keepsake-box", 6)[-1].faces)}
    # The viewer looks over the front and right walls into the tray.
    dividers = {"front_divider", "middle_divider", "back_divider"}
    assert shown == {"tray", "tray_front_mat", "tray_right_mat", *dividers}


def test_the_closed_folio_hides_its_inside() -> None:
    folio = made("observatory-folio")
    work = work_of(folio)
    faces = raised_work(folio, work.closed, work.scale, ISOMETRIC)
    shown = {key.piece for key in visible_faces(faces)}
    assert {"front_outer_mat", "title_mat", "band_front_mat"} <= shown
    assert not {"back_inner_mat", "back_outer_mat", "page", "left_pocket"} & shown
