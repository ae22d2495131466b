"""What lies inside a pocket must rest on no adhesive and slide out some way, past everything.

An insert moves straight, over one edge of its host, until it is clear of it, in the work at rest.
What it sweeps must be free of adhesive and of fastenings at its own level, and of what stands.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from shapely import box, union_all
from shapely.geometry.base import BaseGeometry

from builder.checks.glue_zones import glue_bands, tape_width
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.areas import crosses
from builder.geometry.edges import EDGES, EdgeName, ends_across, is_upright, outward
from builder.geometry.outline import Box
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.work import Assembly, FaceKey, Work, work_of
from builder.work.joins import host_side
from builder.work.lanes import InTheWay, Layers
from builder.work.moments import Placing, Trouble
from builder.work.paths import crossings_of_slide
from builder.work.regions import Bounds
from builder.work.space import ACROSS, Exact, Sense

#: Shapes in floats that share no more than this, in square units, only touch.
_TOUCHES = 1e-3


@dataclass(frozen=True)
class _Exit:
    """One edge of the host, how wide and long the lane over it is, and what lies in the way.

    ``is_sure`` says that it cannot be slid over: it lies on the insert at rest or on the host.
    """

    edge: EdgeName
    sides: tuple[Exact, Exact]
    in_the_way: tuple[str, ...]
    across_mouth: tuple[str, ...]
    is_sure: bool


def check_inserts(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece that goes into a pocket: what is wrong at rest, or else its way out."""
    for moment in work_of(resolved).moments:
        placing = moment.motion
        if not isinstance(placing, Placing) or not resolved.pieces[placing.piece].is_in_pocket:
            continue
        insert, host = resolved.pieces[placing.piece], resolved.pieces[placing.host.piece]
        at_rest = list(_at_rest(resolved, insert, host))
        yield from at_rest or _way_out(resolved, insert, placing)


def _at_rest(
    resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece
) -> Iterator[Finding]:
    """What is wrong before the insert moves at all."""
    closed = "all" in host.glue.edges or set(host.glue.edges) == set(EDGES)
    if closed and not host.glue.keep_off:
        yield found(
            resolved,
            Severity.ERROR,
            "closed-pocket",
            host.source.position,
            f"pocket '{host.key}' is glued on all sides, so '{insert.key}' cannot go in",
            "Say which edges are glued, for example 'glue: left, bottom, right'.",
        )
        return
    rest = _rest_area(insert, host)
    if rest is None:
        return
    for edge, bands in glue_bands(host, tape_width(resolved)).items():
        if not any(crosses(rest, band) for band in bands):
            continue
        if edge == "all":
            if _has_room(resolved, insert, host):
                yield _on_all_glue(resolved, insert, host)
        elif insert.offsets is not None and insert.offsets.at(edge) < 0:
            yield _glued_mouth(resolved, insert, host, edge)
        elif not is_upright(edge) or _has_room(resolved, insert, host):
            yield _on_glue(resolved, insert, host, edge)


def _rest_area(insert: ResolvedPiece, host: ResolvedPiece) -> Box | None:
    """Where the insert lies, in its host's coordinates, if on the face that the host lies by."""
    if insert.offsets is None or insert.host_face != host.by:
        return None
    box, (width, height) = host.face(host.by).box, insert.laid_size
    left, bottom = box.left + insert.offsets.left, box.bottom + insert.offsets.bottom
    return Box(left, bottom, left + width, bottom + height)


def _has_room(resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece) -> bool:
    """Whether the insert would fit between the glued sides; else it is not moving that helps."""
    sides = [edge for edge in ends_across("vertical") if edge in host.glue.edges]
    room = host.face(host.by).box.width - tape_width(resolved) * len(sides)
    return insert.laid_size[0] + 2 * resolved.tolerance <= room


def _glued_mouth(
    resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece, edge: EdgeName
) -> Finding:
    """An insert can look out of its pocket only where the pocket is not glued."""
    free = [other for other in EDGES if other not in host.glue.edges]
    return found(
        resolved,
        Severity.ERROR,
        "glued-mouth",
        host.source.position,
        f"'{insert.key}' comes out of pocket '{host.key}' at its {edge} edge, and that "
        "edge is glued",
        f"Leave the {edge} edge free of glue; free now: {', '.join(free) or 'none'}.",
    )


def _on_all_glue(resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece) -> Finding:
    """An insert that lies under a pocket glued with its whole face sticks there."""
    message = f"'{insert.key}' lies on the adhesive of pocket '{host.key}'"
    remedy = "Let 'keep_off' of the pocket cover all that the insert lies under."
    return found(
        resolved, Severity.ERROR, "insert-on-glue", insert.source.position, message, remedy
    )


def _on_glue(
    resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece, edge: EdgeName
) -> Finding:
    """An insert that lies over the adhesive of its pocket sticks there."""
    assert insert.offsets is not None
    units = resolved.edition.units
    wanted = up_to_grid(tape_width(resolved), resolved.edition.grid)
    near = insert.offsets.at(edge)
    match edge:
        case "bottom":
            reaches = f"reaches down to {units.text(near)} above the lower edge"
            remedy = f"Let it end {units.text(wanted)} above that edge ('bottom:')."
        case "left" | "right" | "top":
            reaches = f"lies {units.text(near)} from the {edge} edge"
            remedy = f"Keep it {units.text(wanted)} from that edge ('{edge}:')."
        case _:
            assert_never(edge)
    return found(
        resolved,
        Severity.ERROR,
        "insert-on-glue",
        insert.source.position,
        f"'{insert.key}' {reaches} of pocket '{host.key}', into its adhesive",
        remedy,
        distance=near,
        wanted=wanted,
    )


def _way_out(resolved: ResolvedDesign, insert: ResolvedPiece, placing: Placing) -> list[Finding]:
    """Nothing, if some edge lets the insert out; else what keeps it in."""
    work, host = work_of(resolved), resolved.pieces[placing.host.piece]
    is_stuck = any(
        each.trouble is Trouble.CANNOT_GO_IN and each.part == insert.key for each in work.problems
    )
    own = _carried(work, placing)
    assembly = _assembly_with(work, placing)
    # It lies behind its pocket: that is above it.
    up: Sense = 1 if assembly.plates[placing.host].facing != host_side("inside") else -1
    layers = Layers(resolved, work, assembly, placing.host, up)
    level = (
        layers.level_below(placing.host)
        if is_stuck
        else layers.level_of(FaceKey(insert.key, insert.by))
    )
    blocking = list(layers.in_the_way(level, own))
    exits = [_exit(layers, blocking, own, edge) for edge in EDGES]
    if any(not way.in_the_way for way in exits):
        return [_no_way_in(resolved, insert, host)] if is_stuck else []
    free = [way for way in exits if host.key not in way.in_the_way]
    if not free:
        return [_held_by_host(resolved, insert, host)]
    best = min(free, key=lambda way: (way.is_sure, len(way.in_the_way)))
    return [_blocked(resolved, work.scale, insert, host, best)]


def _assembly_with(work: Work, placing: Placing) -> Assembly:
    """The work at rest, if the insert is in it then; else as it was when it came."""
    if placing.piece in work.opened.pieces:
        return work.opened
    return placing.put.after


def _carried(work: Work, placing: Placing) -> frozenset[FaceKey]:
    """What is slid in, and what is laid on it then: they move as one."""
    own = set(placing.put.after.plates.keys() - placing.before.plates.keys())
    for moment in work.moments:
        if isinstance(moment.motion, Placing) and moment.motion.host in own:
            own |= moment.motion.put.after.plates.keys() - moment.motion.before.plates.keys()
    return frozenset(own)


def _exit(
    layers: Layers, blocking: Sequence[InTheWay], own: Collection[FaceKey], edge: EdgeName
) -> _Exit:
    """What lies in the way of a straight move over one edge of the host."""
    plates, plane = layers.assembly.plates, layers.plane
    moving = [plates[key] for key in own if key in plates]
    boxes = [plate.bounds for plate in moving if plate.shares_plane(plane)]
    x, y = outward(edge)
    out = plane.pose.direction((x, y, 0))
    way = out[ACROSS[plane.axis][0]], out[ACROSS[plane.axis][1]]
    distance = max(_travel(box, way, plane.bounds) for box in boxes)
    lanes = [_stretched(box, way, distance) for box in boxes]
    lane = union_all([_shape(each) for each in lanes])
    near = union_all([_shape(each) for each in (plane.bounds, *boxes)])
    met = [each for each in blocking if _shares(each.shape, lane)]
    across = [each.name for each in met if _is_across(layers, each.name, edge)]
    shift = (out[0] * distance, out[1] * distance, out[2] * distance)
    still = [plate for key, plate in plates.items() if key not in own]
    walls = [
        each.still.key.piece
        for each in crossings_of_slide(moving, still, shift)
        if each.depth > layers.work.parts.tolerance
    ]
    is_sure = bool(walls) or any(
        not each.is_glue or each.name in across or _shares(each.shape, near) for each in met
    )
    names = dict.fromkeys([*(each.name for each in met), *walls])
    whole = _round(lanes)
    sides = (whole.high1 - whole.low1, whole.high0 - whole.low0)
    sides = sides if way[0] else (sides[1], sides[0])
    return _Exit(edge, sides, tuple(names), tuple(dict.fromkeys(across)), is_sure)


def _shares(shape: BaseGeometry, lane: BaseGeometry) -> bool:
    """Whether something reaches into a lane, and does not only touch it."""
    return bool(shape.intersection(lane).area > _TOUCHES)


def _shape(bounds: Bounds) -> BaseGeometry:
    return box(*(float(end) for end in bounds))


def _travel(own: Bounds, way: tuple[int, int], host: Bounds) -> Exact:
    """How far something moves until it is clear of its host."""
    across, upward = way
    if across:
        return max(host.high0 - own.low0 if across > 0 else own.high0 - host.low0, 0)
    return max(host.high1 - own.low1 if upward > 0 else own.high1 - host.low1, 0)


def _stretched(own: Bounds, way: tuple[int, int], by: Exact) -> Bounds:
    """What a rectangle sweeps when it moves so far."""
    across, upward = way[0] * by, way[1] * by
    return Bounds(
        own.low0 + min(across, 0),
        own.low1 + min(upward, 0),
        own.high0 + max(across, 0),
        own.high1 + max(upward, 0),
    )


def _round(boxes: Sequence[Bounds]) -> Bounds:
    return Bounds(
        min(each.low0 for each in boxes),
        min(each.low1 for each in boxes),
        max(each.high0 for each in boxes),
        max(each.high1 for each in boxes),
    )


def _is_across(layers: Layers, name: str, edge: EdgeName) -> bool:
    """Whether a piece lies over the edge itself, part within the host and part beyond it."""
    plane = layers.plane
    if name == plane.key.piece:
        return False
    own = plane.own.bounds
    line = {"left": own.low0, "right": own.high0, "bottom": own.low1, "top": own.high1}[edge]
    along = 0 if is_upright(edge) else 1
    for key, plate in layers.assembly.plates.items():
        if key.piece == name and plate.shares_plane(plane):
            corners = [
                plane.pose.undone().apply(plate.pose.apply((x, y, 0)))[along]
                for x, y in plate.own.bounds.ring
            ]
            if min(corners) < line < max(corners):
                return True
    return False


def _no_way_in(resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "pocket-shut",
        insert.source.position,
        f"'{insert.key}' finds no way into '{host.key}': it is closed on every side by then",
        "Insert it before it is closed, or leave one edge free of glue, as wide as the insert.",
    )


def _held_by_host(resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "path-blocked",
        insert.source.position,
        f"'{insert.key}' cannot slide out of '{host.key}': whichever way it goes, it meets the "
        f"adhesive of '{host.key}'",
        "Leave one edge of the pocket free of glue, as wide as the insert.",
    )


def _blocked(
    resolved: ResolvedDesign, scale: int, insert: ResolvedPiece, host: ResolvedPiece, way: _Exit
) -> Finding:
    units, edge = resolved.edition.units, way.edge
    width, length = (Fraction(side) / scale for side in way.sides)
    names = way.across_mouth or way.in_the_way
    listed = " and ".join(f"'{name}'" for name in names)
    lane = f"a lane {units.text(width)} wide"
    if way.across_mouth:
        return found(
            resolved,
            Severity.ERROR,
            "mouth-covered",
            resolved.pieces[names[0]].source.position,
            f"{listed} {'is' if len(names) == 1 else 'are'} glued across the {edge} edge of pocket "
            f"'{host.key}', so '{insert.key}' cannot slide out there",
            f"Keep it clear of that edge, or glue it only beside {lane}.",
            lane_width=width,
            lane_length=length,
        )
    return found(
        resolved,
        Severity.ERROR if way.is_sure else Severity.WARNING,
        "path-blocked",
        insert.source.position,
        f"'{insert.key}' cannot slide out of '{host.key}' over its {edge} edge: {listed} "
        f"{'lies' if len(names) == 1 else 'lie'} in its way, and no other way is free",
        f"Keep adhesive and fastenings off {lane} and {units.text(length)} long over that edge"
        + (
            ", or cover what sticks out."
            if way.is_sure
            else ", or place what it passes over first."
        ),
        lane_width=width,
        lane_length=length,
    )
