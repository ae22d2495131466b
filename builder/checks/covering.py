"""Which placed faces cover one place, layer by layer; shared by the checks of fastenings and steps.

In: a resolved design, its flat state.  Out: faces whose paper is really there: what lies in a
window, a notch or beyond a mitre is not covered.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from builder.checks.placed import Span, placed_spans
from builder.fastenings import Meets
from builder.geometry.clearance import is_in_paper, squared
from builder.geometry.outline import Point
from builder.geometry.pose import Vector
from builder.resolve.resolved import (
    PlacedFace,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
)

Spans = tuple[Span, Span, Span]
_STARTS_IN_STRIP = 4


class FlatLayers:
    """The faces of the flat state, ready to be asked many times what lies at a place.

    They are sorted into upright strips, each with the faces that reach into it, so that a place
    is compared with those of its own strip alone.
    """

    def __init__(self, resolved: ResolvedDesign) -> None:
        self._pieces = resolved.pieces
        flat = resolved.states["flat"].faces
        self._of_piece: dict[str, list[PlacedFace]] = {}
        for face in flat:
            self._of_piece.setdefault(face.piece, []).append(face)
        placed = [(face, placed_spans(resolved, face)) for face in flat]
        starts = sorted({spans[0].low for _, spans in placed})
        self._starts = starts[::_STARTS_IN_STRIP]
        self._strips: list[list[tuple[PlacedFace, Spans]]] = [[] for _ in self._starts]
        for face, spans in placed:
            for strip in range(self._strip_of(spans[0].low), self._strip_of(spans[0].high) + 1):
                self._strips[strip].append((face, spans))

    def _strip_of(self, across: Fraction) -> int:
        return max(bisect_right(self._starts, across) - 1, 0)

    def at(self, place: Vector) -> tuple[PlacedFace, ...]:
        """The faces that cover the place, from the back to the front."""
        strip = self._strips[self._strip_of(place[0])] if self._strips else []
        return tuple(
            face
            for face, spans in strip
            if all(span.low <= k <= span.high for span, k in zip(spans, place, strict=True))
            and _is_paper(self._pieces[face.piece], face, place)
        )

    def face_of(self, piece: str, place: Vector) -> PlacedFace | None:
        """The face of the piece whose box, cut-outs or not, holds the place."""
        for face in self._of_piece.get(piece, ()):
            x, y, z = face.pose.undo(place)
            if z == 0 and self._pieces[piece].face(face.face).box.contains(Point(x, y)):
                return face
        return None


def _is_paper(piece: ResolvedPiece, face: PlacedFace, place: Vector) -> bool:
    x, y, _ = face.pose.undo(place)
    point = Point(x, y)
    in_hole = any(
        hole.fastening is None and 4 * squared(hole.centre, point) < hole.diameter**2
        for hole in piece.holes
    )
    return not in_hole and is_in_paper(piece.outline, piece.windows, point)


def place_of(
    resolved: ResolvedDesign, piece: str, point: Point, state: str
) -> tuple[PlacedFace, Vector] | None:
    """The face of the piece that holds the point, and where it lies in space in that state."""
    for face in resolved.states[state].faces:
        if face.piece == piece and resolved.pieces[piece].face(face.face).box.contains(point):
            return face, face.pose.apply(point.x, point.y)
    return None


@dataclass(frozen=True)
class Stack:
    """The layers at a fastening's place, from the back to the front, and those it goes through.

    ``through`` holds one face for each piece, in the order of the design.
    """

    layers: tuple[PlacedFace, ...]
    through: tuple[PlacedFace, ...]

    @property
    def between(self) -> tuple[PlacedFace, ...]:
        """Layers that it passes and does not go through."""
        low, high = self._orders
        return tuple(face for face in self._others if low < face.order < high)

    @property
    def outside(self) -> tuple[PlacedFace, ...]:
        """Layers before its first or behind its last."""
        low, high = self._orders
        return tuple(face for face in self._others if not low <= face.order <= high)

    @property
    def beyond_last(self) -> tuple[PlacedFace, ...]:
        """Layers that lie over the last piece it goes through, away from its head."""
        last, first = self.through[-1], self.through[0]
        is_towards_front = last.order > first.order
        if first == last:
            is_towards_front = first.pose.normal[2] < 0
        return tuple(face for face in self._others if (face.order > last.order) == is_towards_front)

    @property
    def _orders(self) -> tuple[int, int]:
        orders = [face.order for face in self.through]
        return min(orders), max(orders)

    @property
    def _others(self) -> tuple[PlacedFace, ...]:
        own = {face.piece for face in self.through}
        return tuple(face for face in self.layers if face.piece not in own)


def _pierces(fastening: ResolvedFastening) -> bool:
    meets = fastening.source.fastener.meets
    match meets:
        case Meets.PIERCED:
            return True
        case Meets.FACING:
            return False
        case _:
            assert_never(meets)


def stack_of(
    resolved: ResolvedDesign, fastening: ResolvedFastening, flat: FlatLayers
) -> Stack | None:
    """The layers where the fastening pierces the flat work; None where it pierces none of it."""
    through = fastening.source.through
    if fastening.point is None or not through or not _pierces(fastening):
        return None
    located = place_of(resolved, through[0], fastening.point, "flat")
    if located is None:
        return None
    _, place = located
    faces = [flat.face_of(key, place) for key in through]
    pierced = tuple(face for face in faces if face is not None)
    return Stack(flat.at(place), pierced) if pierced else None
