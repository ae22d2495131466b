"""Where glue lies between two things, as a shape: on a face, where it meets what it joins.

In: an assembly and the bonds that one adhesive made in it.  Out: shapes in the coordinates of the
adhesive's own face, in units, in floats.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from shapely import unary_union
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import EdgeName
from gatherfold.work.assembly import Adhesive, Assembly, Bond
from gatherfold.work.regions import FaceKey, Plate
from gatherfold.work.space import ACROSS, Sense
from gatherfold.work.visible import region_shape, shape_of

#: Glue on more than this of where two things meet is all over.
_ALL_OVER = 0.98


@dataclass(frozen=True, eq=False)
class GlueArea:
    """The glue of one adhesive on its face: ``glue`` is where it goes, ``meeting`` where the face
    lies on what it is joined to, with and without glue, ``whole`` the face, ``parts`` on which
    face of that."""

    adhesive: Adhesive
    glue: BaseGeometry
    meeting: BaseGeometry
    whole: BaseGeometry
    parts: Mapping[FaceKey, BaseGeometry]

    @cached_property
    def shares(self) -> Mapping[FaceKey, float]:
        """How much of the meeting lies on each face."""
        whole = self.meeting.area or 1.0
        return {key: shape.area / whole for key, shape in self.parts.items()}

    @cached_property
    def edges(self) -> tuple[EdgeName, ...]:
        """The edges of its face that it lies along in strips; none where it is all over."""
        if self.glue.area > _ALL_OVER * self.meeting.area:
            return ()
        found: dict[EdgeName, None] = {}
        low0, low1, high0, high1 = self.whole.bounds
        middle = (low0 + high0) / 2, (low1 + high1) / 2
        for region in self.adhesive.spread:
            box = region.bounds
            x, y = float(box.centre.x), float(box.centre.y)
            if box.width > box.height:
                found["top" if y > middle[1] else "bottom"] = None
            else:
                found["right" if x > middle[0] else "left"] = None
        return tuple(found)

    @property
    def joined(self) -> tuple[FaceKey, ...]:
        """What it is joined to."""
        return tuple(self.parts)

    @property
    def face(self) -> FaceKey:
        """The face that it is spread on."""
        return self.adhesive.face


def glue_areas(assembly: Assembly, bonds: Iterable[Bond]) -> tuple[GlueArea, ...]:
    """The areas of the adhesives of some bonds, one for each side of a face, in their order."""
    joined: dict[tuple[FaceKey, Sense], tuple[Adhesive, list[FaceKey]]] = {}
    for bond in bonds:
        if bond.adhesive is not None:
            side = bond.adhesive.face, bond.adhesive.side
            adhesive, faces = joined.setdefault(side, (bond.adhesive, []))
            faces.append(bond.second)
            if bond.adhesive.spread != adhesive.spread:
                spread = (*adhesive.spread, *bond.adhesive.spread)
                joined[side] = replace(adhesive, spread=spread), faces
    return tuple(_area(assembly, adhesive, faces) for adhesive, faces in joined.values())


def _area(assembly: Assembly, adhesive: Adhesive, faces: list[FaceKey]) -> GlueArea:
    plate = assembly.plates[adhesive.face]
    own = region_shape(plate.own)
    others = {key: in_own(plate, shape_of(assembly.plates[key])) for key in faces}
    is_up = adhesive.side == plate.facing
    parts = {}
    for key, shape in others.items():
        nearer = [others[k] for k in others if k != key and assembly.is_above(k, key) is is_up]
        parts[key] = own.intersection(shape.difference(unary_union(nearer)))
    meeting = unary_union(list(parts.values()))
    spread = unary_union([region_shape(region) for region in adhesive.spread])
    glue = meeting.intersection(spread)
    if adhesive.dry:
        glue = glue.difference(unary_union([region_shape(region) for region in adhesive.dry]))
    return GlueArea(adhesive, glue, meeting, own, parts)


def in_own(plate: Plate, shape: BaseGeometry) -> BaseGeometry:
    """A shape in the plane of a plate in its own coordinates."""
    back = plate.pose.undone()
    first, second = ACROSS[plate.axis]
    # Its own two axes lie in the plane: where that is on its axis changes nothing.
    (a, b), (c, d) = ((row[first], row[second]) for row in back.rotation[:2])
    return affine_transform(shape, [a, b, c, d, float(back.shift[0]), float(back.shift[1])])
