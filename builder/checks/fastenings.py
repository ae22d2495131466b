"""Fastenings: far enough from edges, long enough, through every layer between.

The limits are those of each kind; holes and magnets are checked in ``holes`` and ``magnets``.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import pairwise

from builder.checks.holes import check_holes
from builder.checks.magnets import check_magnets
from builder.checks.report import FindingKind
from builder.findings import Finding, Severity
from builder.geometry.clearance import holds, run_misses, run_stays_within
from builder.geometry.outline import Point
from builder.lengths import down_to_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening, ResolvedPiece
from builder.work import work_of
from builder.work.piercing import Stack, setting_of, stack_in

_AXES = ((1, 0), (0, 1))

_SHORT_LEGS = FindingKind(
    "legs-too-short",
    "the legs of '{key}' are too short to spread behind {layers} layers",
    "Use legs of at least {wanted}.",
)
_LEGS_OVER_EDGE = FindingKind(
    "legs-stick-out",
    "the spread legs of '{key}' reach beyond the edge of '{last}'",
    "{remedy} {short} further from the edge.",
    Severity.WARNING,
)
_MISSED_LAYER = FindingKind(
    "layer-not-pierced",
    "'{layer}' lies between the layers that '{key}' goes through",
    "Add '{layer}' to 'through', or move the fastening.",
)
_OUT_OF_ORDER = FindingKind(
    "through-out-of-order",
    "'{key}' names its layers in another order than they lie in",
    "Write 'through: {names}'; its distances run from the edges of the first.",
)
_SHOWING_PRONGS = FindingKind(
    "prongs-showing",
    "nothing covers the prongs of '{key}' on '{last}'",
    "Glue a mat over them on that side of '{last}', or turn the fastening round.",
    Severity.ADVICE,
)


def check_fastenings(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Holes, legs, layers and magnets."""
    yield from check_holes(resolved)
    yield from check_magnets(resolved)
    work = work_of(resolved)
    for fastening in resolved.fastenings.values():
        spread = fastening.source.fastener.spread
        if spread is not None and fastening.point is not None:
            yield from _short_legs(resolved, fastening, spread)
            yield from _legs_over_edge(resolved, fastening, spread)
        stack = stack_in(work, setting_of(work, fastening.key), fastening.key)
        if stack is not None:
            # Layers that lie between those it goes through, at its place, and are not pierced.
            for face in stack.between:
                yield _MISSED_LAYER.found(resolved, fastening, layer=face.piece)
            yield from _out_of_order(resolved, fastening, stack)
        stack = stack_in(work, work.opened, fastening.key)
        if stack is not None:
            yield from _showing_prongs(resolved, fastening, stack)


def _thickness(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Fraction:
    calipers = (resolved.pieces[key].stock.caliper for key in fastening.source.through)
    return sum(calipers, Fraction(0))


def _short_legs(
    resolved: ResolvedDesign, fastening: ResolvedFastening, spread: Fraction
) -> Iterator[Finding]:
    needed = _thickness(resolved, fastening) + spread
    if fastening.leg < needed:
        layers, wanted = len(fastening.source.through), up_to_grid(needed, resolved.edition.grid)
        yield _SHORT_LEGS.found(resolved, fastening, layers=layers, wanted=wanted)


def _legs_over_edge(
    resolved: ResolvedDesign, fastening: ResolvedFastening, spread: Fraction
) -> Iterator[Finding]:
    """Legs spread both ways along one axis, flat on the last layer; the better axis counts."""
    last = resolved.pieces[fastening.source.through[-1]]
    point = fastening.marks.get(last.key)
    thickness = _thickness(resolved, fastening)
    reach = fastening.leg - thickness
    if point is None or reach <= 0 or not holds(last.outline, point):
        return
    if any(_legs_stay_on(last, point, axis, reach) for axis in _AXES):
        return
    units, grid = resolved.edition.units, resolved.edition.grid
    room = max(_room_for_legs(last, point, axis, grid, reach) for axis in _AXES)
    longest = down_to_grid(thickness + room, grid)
    shorter = f"Use legs of at most {units.text(longest)}, or move it"
    yield _LEGS_OVER_EDGE.found(
        resolved,
        fastening,
        last=last.key,
        remedy=shorter if longest >= thickness + spread else "Move it",
        short=units.text(up_to_grid(reach - room, grid)),
        reach=reach,
        room=room,
    )


def _legs_stay_on(
    piece: ResolvedPiece, point: Point, axis: tuple[int, int], reach: Fraction
) -> bool:
    """Whether both legs lie on the paper of the piece when spread along the axis."""
    tips = [point.moved(sign * axis[0] * reach, sign * axis[1] * reach) for sign in (1, -1)]
    return all(
        run_stays_within(piece.outline, point, tip)
        and all(run_misses(window, point, tip) for window in piece.windows)
        for tip in tips
    )


def _room_for_legs(
    piece: ResolvedPiece, point: Point, axis: tuple[int, int], step: Fraction, most: Fraction
) -> Fraction:
    """The longest whole number of steps, up to ``most``, that both legs may reach."""
    steps = 0
    while (steps + 1) * step <= most and _legs_stay_on(piece, point, axis, (steps + 1) * step):
        steps += 1
    return steps * step


def _out_of_order(
    resolved: ResolvedDesign, fastening: ResolvedFastening, stack: Stack
) -> Iterator[Finding]:
    """The layers are named as they are met, from the front or from the back."""
    rises = [first < second for first, second in pairwise(stack.places)]
    if all(rises) or not any(rises):
        return
    in_order = sorted(stack.through, key=stack.layers.index)
    if 2 * in_order.index(stack.through[0]) >= len(in_order):
        in_order.reverse()
    names = ", ".join(face.piece for face in in_order)
    yield _OUT_OF_ORDER.found(resolved, fastening, names=names)


def _showing_prongs(
    resolved: ResolvedDesign, fastening: ResolvedFastening, stack: Stack
) -> Iterator[Finding]:
    """Spread prongs catch and scratch unless a layer is glued over them."""
    is_spread = fastening.source.fastener.spread is not None
    if is_spread and not any(_stays(resolved, face.piece) for face in stack.beyond_last):
        yield _SHOWING_PRONGS.found(resolved, fastening, last=stack.through[-1].piece)


def _stays(resolved: ResolvedDesign, key: str) -> bool:
    """Whether a layer is there for good, and not only slid in or laid there."""
    if resolved.pieces[key].is_in_pocket:
        return False
    bonds = work_of(resolved).opened.bonds
    return any(key in (b.first.piece, b.second.piece) and b.kind != "rest" for b in bonds)
