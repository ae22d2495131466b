"""What lies inside a pocket must rest on no adhesive and slide out some way, past everything.

An insert moves straight, over one edge of its host, until it is clear of it, in the work at rest.
What it sweeps must be free of adhesive and of fastenings at its own level, and of what stands.
"""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from shapely import box, union_all
from shapely.geometry.base import BaseGeometry

from gatherfold.checks.fits import widest_tape
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding, Severity
from gatherfold.geometry import (
    EDGES,
    EDGES_BY_AXIS,
    Box,
    EdgeName,
    Exact,
    Sense,
    around,
    bounds,
    crosses,
    difference,
    edge_towards,
    ends_across,
    is_upright,
    opposite,
    outward,
    room_within,
)
from gatherfold.lengths import up_to_grid
from gatherfold.model import GlueEdge
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    ACROSS,
    Bounds,
    FaceKey,
    InTheWay,
    Layers,
    Place,
    Placing,
    Plate,
    Trouble,
    Work,
    host_side,
    walls_met,
    work_of,
)

#: Shapes in floats that share no more than this, in square units, only touch.
_TOUCHES = 1e-3


@dataclass(frozen=True)
class _Exit:
    """One edge of the host, how wide and long the lane over it is, in units, and what lies in the
    way, of that what lies over the edge itself.

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
        yield finding_kind("closed-pocket").found(resolved, host, insert=insert.key)
        return
    offsets, tape = insert.offsets, widest_tape(resolved)
    if offsets is None or insert.host_face != host.by:
        return
    face = host.face(host.by).box
    left, bottom = face.left + offsets.left, face.bottom + offsets.bottom
    rest = Box(left, bottom, face.right - offsets.right, face.top - offsets.top)
    for edge, bands in _glue_bands(host, tape).items():
        if not any(crosses(rest, band) for band in bands):
            continue
        if edge == "all":
            if _has_room(resolved, insert, host):
                yield finding_kind("insert-on-glue").found(resolved, insert, host=host.key)
        elif (distance := offsets.at(edge)) < 0:
            # It can look out of its pocket only where the pocket is not glued.
            free = ", ".join(other for other in EDGES if other not in host.glue.edges) or "none"
            yield finding_kind("glued-mouth").found(
                resolved, host, insert=insert.key, edge=edge, free=free
            )
        elif not is_upright(edge) or _has_room(resolved, insert, host):
            told = {"distance": distance, "wanted": up_to_grid(tape, resolved.edition.grid)}
            yield finding_kind("insert-on-glue, on glue").found(
                resolved, insert, host=host.key, edge=edge, **told
            )


def _glue_bands(piece: ResolvedPiece, width: Fraction) -> dict[GlueEdge, tuple[Box, ...]]:
    """The adhesive along each glued edge of the piece, or of all of it, in its own coordinates.

    A band is so wide; areas to keep free of adhesive, and windows, are left out.
    """
    box = piece.face(piece.by).box
    dry = (*piece.glue.keep_off, *(bounds(window) for window in piece.windows))
    if piece.glue.is_all_over:
        return {"all": difference(box, dry)}
    return {
        edge: difference(box.strip(edge, min(width, box.across(edge))), dry)
        for edge in EDGES_BY_AXIS
        if edge in piece.glue.edges
    }


def _has_room(resolved: ResolvedDesign, insert: ResolvedPiece, host: ResolvedPiece) -> bool:
    """Whether the insert would fit between the glued sides; else it is not moving that helps."""
    sides = [edge for edge in ends_across("vertical") if edge in host.glue.edges]
    room = host.face(host.by).box.width - widest_tape(resolved) * len(sides)
    return insert.laid_size[0] + 2 * resolved.tolerance <= room


def _way_out(resolved: ResolvedDesign, insert: ResolvedPiece, placing: Placing) -> list[Finding]:
    """Nothing, if some edge lets the insert out; else what keeps it in."""
    work, host = work_of(resolved), resolved.pieces[placing.host.piece]
    is_stuck = any(
        each.trouble is Trouble.CANNOT_GO_IN and each.part == insert.key for each in work.problems
    )
    own = _carried(work, placing)
    # The work at rest, if the insert is in its pocket then; else as it was when it came.
    is_there = {placing.piece, placing.host.piece} <= set(work.opened.pieces)
    assembly = work.opened if is_there else placing.put.after
    # It lies behind its pocket: that is above it.
    up: Sense = 1 if assembly.plates[placing.host].facing != host_side("inside") else -1
    layers = Layers(resolved, work, assembly, placing.host, up)
    level = (
        layers.level_below(placing.host)
        if is_stuck
        else layers.level_of(FaceKey(insert.key, insert.by))
    )
    boxes = _boxes_of(layers, own)
    if not boxes:
        return []
    near = union_all([_shape(each) for each in (layers.plane.bounds, *boxes)])
    lanes = [_lane(layers.plane, boxes, edge) for edge in EDGES]
    swept = around([box for lane in lanes for box in lane.boxes])
    blocking = list(layers.in_the_way(level, own, swept))
    exits: list[_Exit] = []
    for lane in lanes:
        exits.append(_exit(layers, blocking, own, lane, near))
        if not exits[-1].in_the_way:
            kind = finding_kind("pocket-shut")
            return [kind.found(resolved, insert, host=host.key)] if is_stuck else []
    free = [way for way in exits if host.key not in way.in_the_way]
    if not free:
        return [finding_kind("path-blocked").found(resolved, insert, host=host.key)]
    best = min(free, key=lambda way: (way.is_sure, len(way.in_the_way)))
    return [_blocked(resolved, work.scale, insert, host, best)]


def _carried(work: Work, placing: Placing) -> frozenset[FaceKey]:
    """What is slid in, and what is laid on it then: they move as one."""
    own = set(placing.put.after.plates.keys() - placing.before.plates.keys())
    for moment in work.moments:
        if isinstance(moment.motion, Placing) and moment.motion.host in own:
            own |= moment.motion.put.after.plates.keys() - moment.motion.before.plates.keys()
    return frozenset(own)


@dataclass(frozen=True)
class _Lane:
    """The way straight out over one edge of the host: the edge as it lies in the plane, how far
    it goes, and the rectangles that what moves sweeps."""

    edge: EdgeName
    way: EdgeName
    out: Place
    sides: tuple[Exact, Exact]
    boxes: tuple[Bounds, ...]


def _lane(plane: Plate, boxes: Sequence[Bounds], edge: EdgeName) -> _Lane:
    out, (first, second) = plane.pose.direction((*outward(edge), 0)), ACROSS[plane.axis]
    way, block = edge_towards(out[first], out[second]), around(boxes)
    distance = max(room_within(block, plane.bounds)[way] + block.across(way), 0)
    swept = (each.strip(opposite(way), each.across(way) + distance) for each in boxes)
    shift = (out[0] * distance, out[1] * distance, out[2] * distance)
    sides = (block.along(way), block.across(way) + distance)
    return _Lane(edge, way, shift, sides, tuple(swept))


def _boxes_of(layers: Layers, own: Collection[FaceKey]) -> list[Bounds]:
    """The rectangles round what moves, of that what lies in the plane."""
    plates = layers.assembly.plates
    here = layers.assembly.in_plane(layers.plane.axis, layers.plane.plane)
    return [plates[key].bounds for key in here if key in own]


def _exit(
    layers: Layers,
    blocking: Sequence[InTheWay],
    own: Collection[FaceKey],
    lane: _Lane,
    near: BaseGeometry,
) -> _Exit:
    """What lies in the way of a straight move over one edge of the host; ``near`` are that host
    and the insert at rest."""
    assembly, plane = layers.assembly, layers.plane
    swept = union_all([_shape(each) for each in lane.boxes])
    met = [each for each in blocking if _shares(each.shape, swept)]
    named = {each.name for each in met} - {plane.key.piece}
    here = assembly.in_plane(plane.axis, plane.plane) if named else ()
    over_edge = {
        key.piece
        for key in here
        if key.piece in named and _lies_over_edge(assembly.plates[key].bounds, plane, lane.way)
    }
    across = dict.fromkeys(each.name for each in met if each.name in over_edge)
    walls = [face.piece for face in walls_met(assembly, own, lane.out, layers.work.parts.tolerance)]
    is_sure = bool(walls) or any(
        not each.is_glue or each.name in across or _shares(each.shape, near) for each in met
    )
    names = dict.fromkeys([*(each.name for each in met), *walls])
    return _Exit(lane.edge, lane.sides, tuple(names), tuple(across), is_sure)


def _lies_over_edge(box: Bounds, host: Plate, edge: EdgeName) -> bool:
    return -box.across(edge) < room_within(box, host.bounds)[edge] < 0


def _shares(shape: BaseGeometry, lane: BaseGeometry) -> bool:
    """Whether something reaches into a lane, and does not only touch it."""
    return bool(shape.intersection(lane).area > _TOUCHES)


def _shape(own: Bounds) -> BaseGeometry:
    return box(float(own.left), float(own.bottom), float(own.right), float(own.top))


def _blocked(
    resolved: ResolvedDesign, scale: int, insert: ResolvedPiece, host: ResolvedPiece, way: _Exit
) -> Finding:
    names = way.across_mouth or way.in_the_way
    is_one = len(names) == 1
    told: dict[str, Fraction | str] = {
        "insert": insert.key,
        "host": host.key,
        "edge": way.edge,
        "listed": " and ".join(f"'{name}'" for name in names),
        "lane_width": Fraction(way.sides[0]) / scale,
        "lane_length": Fraction(way.sides[1]) / scale,
    }
    if way.across_mouth:
        are = "is" if is_one else "are"
        return finding_kind("mouth-covered").found(
            resolved, resolved.pieces[names[0]], **told, are=are
        )
    kind = (
        finding_kind("path-blocked, blocked")
        if way.is_sure
        else replace(finding_kind("path-blocked, blocked"), severity=Severity.WARNING)
    )
    cure = "cover what sticks out" if way.is_sure else "place what it passes over first"
    return kind.found(resolved, insert, **told, lie="lies" if is_one else "lie", cure=cure)
