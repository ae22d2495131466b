"""Where placed faces lie in space, as upright boxes; shared by the checks of geometry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.areas import around
from builder.geometry.outline import Box
from builder.resolve.resolved import PlacedFace, ResolvedDesign

X, Y, Z = 0, 1, 2


@dataclass(frozen=True)
class Span:
    """From ``low`` to ``high`` along one axis."""

    low: Fraction
    high: Fraction

    @property
    def length(self) -> Fraction:
        return self.high - self.low


def placed_box(resolved: ResolvedDesign, face: PlacedFace) -> Box:
    """The upright box that a placed face covers, seen from the front."""
    return resolved.slab(face).seen


def placed_spans(resolved: ResolvedDesign, face: PlacedFace) -> tuple[Span, Span, Span]:
    """What a placed face spans along x, y and z; one of them has no length."""
    slab = resolved.slab(face)
    across, upward, deep = (Span(*ends) for ends in zip(slab.low, slab.high, strict=True))
    return across, upward, deep


def closed_boxes(resolved: ResolvedDesign) -> Mapping[str, Box]:
    """The box of each piece that lies in the plane of the page when everything is closed."""
    found: dict[str, list[Box]] = {}
    for face in resolved.states["closed"].faces:
        if face.pose.normal[Z] != 0:
            found.setdefault(face.piece, []).append(placed_box(resolved, face))
    return {key: around(boxes) for key, boxes in found.items()}
