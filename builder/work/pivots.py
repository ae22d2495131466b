"""Parts that turn on a fastening and hold something shut: turned aside, then over what they hold.

In: an assembly with such a part, and what is closed.  Out: the assembly with the part in another
place.  It turns by quarters: aside, to where least comes to lie on it, and back until it laps over
what it holds, lifted to lie on it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from builder.resolve.resolved import ResolvedFastening
from builder.work.assembly import Assembly
from builder.work.parts import Parts
from builder.work.plates import FaceKey, Plate
from builder.work.space import (
    ACROSS,
    AT_REST,
    Exact,
    Rigid,
    Sense,
    SpaceLine,
    quarter_turn,
    shifted_by,
    whole,
)


@dataclass(frozen=True, eq=False)
class Swing:
    """A part turned on its fastening: aside, or over what it holds."""

    fastening: str
    is_aside: bool
    before: Assembly
    after: Assembly
    moved: frozenset[FaceKey]


@dataclass(frozen=True)
class Pivot:
    """A part that turns on a fastening: its own face, what it turns on, and all that turns."""

    fastening: ResolvedFastening
    face: FaceKey
    anchor: FaceKey
    moved: frozenset[FaceKey]

    @property
    def held(self) -> str:
        """The piece that it holds shut."""
        return self.fastening.source.holds or ""


def pivots_in(parts: Parts, assembly: Assembly) -> Iterator[Pivot]:
    """The parts of an assembly that turn on a fastening and hold one of its pieces."""
    for bond in assembly.bonds:
        if bond.kind != "pivot":
            continue
        fastening = parts.resolved.fastenings[bond.joins]
        if fastening.source.holds in assembly.pieces:
            moved = assembly.block_of(bond.first.piece, loose=[bond])
            if bond.second not in moved:
                yield Pivot(fastening, bond.first, bond.second, moved)


def swung_aside(parts: Parts, assembly: Assembly, pivot: Pivot, closed: Assembly) -> Swing:
    """Turn a part out of the way: where least of what is closed comes to lie over it."""
    own = assembly.plates[pivot.face]
    up = _up(assembly, pivot)
    above = [
        plate
        for plate in closed.plates.values()
        if plate.axis == own.axis and (plate.plane - own.plane) * up > 0
    ]

    def covered(motion: Rigid) -> int:
        moved = own.moved(motion)
        return sum(moved.region.overlaps(plate.region) for plate in above)

    motion = min(quarters(parts.scale, own, pivot.fastening), key=covered)
    return Swing(
        pivot.fastening.key, True, assembly, _moved(assembly, pivot, motion, up), pivot.moved
    )


def swung_over(parts: Parts, assembly: Assembly, pivot: Pivot) -> Swing | None:
    """Turn a part over what it holds, to lie on it; None where it does not reach it."""
    own, up = assembly.plates[pivot.face], _up(assembly, pivot)
    held = [
        plate
        for key, plate in assembly.plates.items()
        if key.piece == pivot.held and plate.axis == own.axis
    ]
    for motion in quarters(parts.scale, own, pivot.fastening):
        turned = own.moved(motion)
        under = [plate for plate in held if turned.region.overlaps(plate.region)]
        if under:
            top = max(under, key=lambda plate: plate.plane * up).plane
            lifted = shifted_by(_along(own.axis, top - own.plane)).then(motion)
            after = _moved(assembly, pivot, lifted, up)
            return Swing(pivot.fastening.key, False, assembly, after, pivot.moved)
    return None


def swung_back(assembly: Assembly, swing: Swing) -> Assembly:
    """Put a part back where it was before it was turned, nothing else having moved since."""
    plates = {
        key: swing.before.plates[key] if key in swing.moved else plate
        for key, plate in assembly.plates.items()
    }
    sides = {pair: side for pair, side in assembly.sides.items() if not set(pair) & swing.moved}
    before = {pair: side for pair, side in swing.before.sides.items() if set(pair) & swing.moved}
    return replace(assembly, plates=plates, sides={**sides, **before})


def _up(assembly: Assembly, pivot: Pivot) -> Sense:
    """Towards which end of the axis the part lies on what it turns on."""
    is_above = assembly.is_above(pivot.anchor, pivot.face)
    if is_above is None:
        return assembly.plates[pivot.face].facing
    return 1 if is_above else -1


def quarters(scale: int, plate: Plate, fastening: ResolvedFastening) -> Sequence[Rigid]:
    """Give the turns of a face about its fastening: none, a quarter, a half, three quarters."""
    point = fastening.point
    assert point is not None
    own = (whole(point.x, scale), whole(point.y, scale), 0)
    place = plate.pose.apply(own)
    first, second = ACROSS[plate.axis]
    quarter = quarter_turn(SpaceLine(plate.axis, (place[first], place[second])), plate.facing)
    half = quarter.then(quarter)
    return (AT_REST, quarter, half, half.then(quarter))


def _moved(assembly: Assembly, pivot: Pivot, motion: Rigid, up: Sense) -> Assembly:
    """The part moved: it lies over all that it comes to lie on."""
    after = assembly.moved(pivot.moved, motion)
    axis = after.plates[pivot.face].axis
    return after.layered(
        pivot.moved, lambda own, _: up < 0 if after.plates[own].axis == axis else None
    )


def _along(axis: int, length: Exact) -> tuple[Exact, Exact, Exact]:
    first, second, third = (length if k == axis else 0 for k in (0, 1, 2))
    return first, second, third
