"""The flat work, layer upon layer: what the adhesive and the fastenings of others do at one layer.

In: a resolved design.  Out: :class:`FlatWork`, and what reaches the level of one of its layers.
Adhesive looks from its piece towards the piece's host; it reaches a layer on that side where no
other layer lies between.  So do the head and the prongs of a fastening.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from fractions import Fraction

from builder.checks.glue_zones import glue_zone
from builder.geometry.areas import (
    BoxIndex,
    common,
    crosses,
    difference,
    distance_squared,
    inflated,
    placed,
)
from builder.geometry.outline import Box, Point, bounds
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedFastening, ResolvedPiece


@dataclass(frozen=True)
class Layer:
    """One face, seen from the front of the flat work; a larger ``order`` lies in front.

    ``paper`` is the face without its windows.
    """

    piece: str
    face: str
    box: Box
    plane: Fraction
    order: int
    looks_front: bool
    paper: tuple[Box, ...]


@dataclass(frozen=True)
class End:
    """What of a fastening lies at a layer's level: ``parts`` of the disc about its centre."""

    fastening: str
    centre: Point
    radius: Fraction
    parts: tuple[Box, ...]

    def meets(self, box: Box) -> bool:
        """Whether the disc reaches into the box."""
        shared = (common(part, box) for part in self.parts)
        reach = self.radius * self.radius
        return any(area and distance_squared(self.centre, area) < reach for area in shared)


class FlatWork:
    """The layers by piece and face, the adhesive of each piece, and what each fastening goes
    through: its centre and the layers in the order the design names them.

    ``state`` is ``open``, or ``flat``, where everything is there.
    """

    def __init__(self, resolved: ResolvedDesign, state: str = "open") -> None:
        faces = {(face.piece, face.face): face for face in resolved.states[state].faces}
        self.resolved = resolved
        self.layers: Mapping[tuple[str, str], Layer] = {
            name: _layer(face, resolved.pieces[face.piece]) for name, face in faces.items()
        }
        self._ordered = list(self.layers.values())
        self._index = BoxIndex([layer.box for layer in self._ordered])
        self._glue = [
            (piece.key, slab.seen)
            for piece in resolved.pieces.values()
            if piece.glue.edges
            for slab in glue_zone(resolved, piece, faces)
        ]
        self._glue_index = BoxIndex([box for _, box in self._glue])
        self.pierced: Mapping[str, tuple[Point, tuple[Layer, ...]]] = {
            key: found
            for key, fastening in resolved.fastenings.items()
            if (found := _pierced(resolved, fastening, faces, self.layers)) is not None
        }

    def layer_of(self, key: str) -> Layer | None:
        """The layer of the face that the piece lies by."""
        return self.layers.get((key, self.resolved.pieces[key].by))

    def host_layer(self, key: str) -> Layer | None:
        """The layer that the piece lies on."""
        piece = self.resolved.pieces[key]
        placement = piece.source.placement
        return None if placement is None else self.layers.get((placement.host, piece.host_face))

    def glue_within(self, area: Box) -> list[tuple[str, Box]]:
        """Adhesive that crosses the area: the piece it is on, and where, at whatever level."""
        return [self._glue[number] for number in self._glue_index.crossing(area)]

    def between(self, first: Layer, order: int, loose: Set[str], area: Box) -> list[Box]:
        """What lies between a layer and an order of layers, over the area; loose pieces do not."""
        low, high = sorted((first.order, order))
        near = (self._ordered[number] for number in self._index.crossing(area))
        return [
            part
            for layer in near
            if low < layer.order < high and layer.plane == first.plane and layer.piece not in loose
            for part in layer.paper
        ]


def _layer(face: PlacedFace, piece: ResolvedPiece) -> Layer:
    slab = placed(face.pose, piece.face(face.face).box)
    windows = [placed(face.pose, bounds(window)).seen for window in piece.windows]
    looks_front = face.pose.normal[2] > 0
    paper = difference(slab.seen, windows)
    return Layer(face.piece, face.face, slab.seen, slab.plane, face.order, looks_front, paper)


def _pierced(
    resolved: ResolvedDesign,
    fastening: ResolvedFastening,
    faces: Mapping[tuple[str, str], PlacedFace],
    layers: Mapping[tuple[str, str], Layer],
) -> tuple[Point, tuple[Layer, ...]] | None:
    """The fastening's centre in the flat work, and the layers there that it goes through."""
    centre: Point | None = None
    found: list[Layer] = []
    for key in fastening.source.through:
        for face in resolved.pieces[key].faces:
            layer, name = layers.get((key, face.name)), (key, face.name)
            if layer is None:
                continue
            if centre is None and fastening.point and face.box.contains(fastening.point):
                x, y, _ = faces[name].pose.apply(fastening.point.x, fastening.point.y)
                centre = Point(x, y)
            if centre is not None and layer.box.contains(centre):
                found.append(layer)
                break
    return None if centre is None or not found else (centre, tuple(found))


def glue_reaching(
    work: FlatWork, at: Layer, area: Box, loose: Set[str]
) -> Iterator[tuple[str, Box]]:
    """Adhesive that reaches the level of a layer within an area: the piece it is on, and where."""
    for key, box in work.glue_within(area):
        layer, host = work.layer_of(key), work.host_layer(key)
        if key in loose or layer is None or host is None or layer.plane != at.plane:
            continue
        if (at.order < layer.order) != (host.order < layer.order):
            continue
        parts = difference(box, work.between(at, layer.order, loose, box))
        yield from ((key, part) for part in parts if crosses(part, area))


def ends_reaching(work: FlatWork, at: Layer, area: Box, loose: Set[str]) -> Iterator[End]:
    """The fastenings that reach the level of a layer near an area: shafts, and heads and prongs
    left bare."""
    for key, (centre, layers) in work.pierced.items():
        fastening = work.resolved.fastenings[key]
        widest = _square(centre, max(fastening.head, fastening.leg))
        if layers[0].plane != at.plane or not crosses(widest, area):
            continue
        low = min(layer.order for layer in layers)
        high = max(layer.order for layer in layers)
        if low <= at.order <= high:
            radius = _shaft(work.resolved, fastening)
            yield End(key, centre, radius, (_square(centre, radius),))
            continue
        is_in_front = at.order > high
        radius = _reach(fastening, is_in_front == _head_in_front(layers))
        disc = _square(centre, radius)
        covers = work.between(at, high if is_in_front else low, loose, disc)
        parts = difference(disc, covers)
        if parts:
            yield End(key, centre, radius, parts)


def _head_in_front(layers: Sequence[Layer]) -> bool:
    """The head lies on the first layer named, the prongs behind the last."""
    first, last = layers[0], layers[-1]
    return first.looks_front if first == last else first.order > last.order


def _reach(fastening: ResolvedFastening, is_head: bool) -> Fraction:
    """How far the fastening reaches from its centre: half its head, or its spread prongs."""
    return fastening.head / 2 if is_head or not fastening.leg else fastening.leg


def _shaft(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Fraction:
    """Half the hole it goes through."""
    first = resolved.pieces[fastening.source.through[0]]
    holes = (hole.diameter / 2 for hole in first.holes if hole.fastening == fastening.key)
    return next(holes, fastening.head / 2)


def _square(centre: Point, radius: Fraction) -> Box:
    return inflated(Box(centre.x, centre.y, centre.x, centre.y), radius)
