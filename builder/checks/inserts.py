"""What lies inside a pocket must rest on no adhesive and slide out some way, past everything.

Everything is looked at in the flat work, from the front of the page.  An insert moves straight,
over one edge of its host, until it is clear of it; the area it sweeps must be free of adhesive
and of fastenings at its own level.
"""

from __future__ import annotations

from collections.abc import Iterator, Set
from dataclasses import dataclass
from typing import assert_never

from builder.checks.flat_work import FlatWork, Layer, ends_reaching, glue_reaching
from builder.checks.glue_zones import glue_bands, tape_width
from builder.checks.report import found
from builder.choices import is_in_pocket
from builder.findings import Finding, Severity
from builder.geometry.areas import around, crosses, stretched, travel
from builder.geometry.edges import EDGES, EdgeName, edge_towards, ends_across, is_upright, outward
from builder.geometry.outline import Box
from builder.lengths import up_to_grid
from builder.resolve.placement import Tree, tree_of
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


@dataclass(frozen=True)
class _Exit:
    """One edge of the host, the area the insert sweeps over it, and what lies in the way.

    ``is_sure`` says that it cannot be slid over: it lies on the insert at rest or on the host.
    """

    edge: EdgeName
    lane: Box
    in_the_way: tuple[str, ...]
    across_mouth: tuple[str, ...]
    is_sure: bool


def check_inserts(resolved: ResolvedDesign) -> Iterator[Finding]:
    inserts = [piece for piece in resolved.pieces.values() if piece.is_in_pocket]
    tree = tree_of(resolved)
    works: dict[str, FlatWork] = {}
    for insert in inserts:
        assert insert.source.placement is not None
        host = resolved.pieces[insert.source.placement.host]
        at_rest = list(_at_rest(resolved, insert, host))
        yield from at_rest
        if not at_rest:
            state = "flat" if insert.source.present == "closed" else "open"
            work = works.get(state) or works.setdefault(state, FlatWork(resolved, state))
            yield from _way_out(work, tree, insert, host)


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


def _way_out(
    work: FlatWork, tree: Tree, insert: ResolvedPiece, host: ResolvedPiece
) -> Iterator[Finding]:
    """Nothing, if some edge lets the insert out; else what keeps it in."""
    layer = work.layer_of(insert.key)
    mouth = work.layers.get((host.key, insert.host_face))
    if layer is None or mouth is None:
        return
    loose = {key for other in _inside(tree, host.key) for key in tree.below(other)}
    carried = [
        at.box for key in _carried(tree, insert.key) if (at := work.layer_of(key)) is not None
    ]
    exits = []
    for edge in EDGES:
        exits.append(_exit(work, layer, mouth, edge, carried, loose))
        if not exits[-1].in_the_way:
            return
    free = [way for way in exits if host.key not in way.in_the_way]
    if not free:
        yield _held_by_host(work.resolved, insert, host)
        return
    best = min(free, key=lambda way: (way.is_sure, len(way.in_the_way)))
    yield _blocked(work, insert, host, best)


def _inside(tree: Tree, host: str) -> list[str]:
    """The pieces that lie loose inside the host."""
    placements = {key: tree.pieces[key].source.placement for key in tree.children.get(host, ())}
    return [key for key, lies in placements.items() if lies and is_in_pocket(lies.relation)]


def _carried(tree: Tree, key: str) -> Iterator[str]:
    """The piece, and what lies on the face it lies by: they move as one."""
    yield key
    for child in tree.children.get(key, ()):
        if tree.pieces[child].host_face == tree.pieces[key].by:
            yield from _carried(tree, child)


def _exit(
    work: FlatWork, layer: Layer, mouth: Layer, edge: EdgeName, carried: list[Box], loose: Set[str]
) -> _Exit:
    """What lies in the way of a straight move over one edge, as seen from the front."""
    distance = travel(around(carried), edge, mouth.box)
    lanes = [stretched(box, edge, distance) for box in carried]
    whole = around(lanes)
    glue = [
        (key, box)
        for key, box in glue_reaching(work, layer, whole, loose)
        if any(crosses(box, lane) for lane in lanes)
    ]
    ends = [
        end
        for end in ends_reaching(work, layer, whole, loose)
        if any(end.meets(lane) for lane in lanes)
    ]
    names = dict.fromkeys([*(key for key, _ in glue), *(end.fastening for end in ends)])
    near = [mouth.box, *carried]
    across = [key for key in names if _is_across(work, key, mouth, edge)]
    sure = [key for key, box in glue if key in across or any(crosses(box, at) for at in near)]
    return _Exit(edge, whole, tuple(names), tuple(across), bool(sure or ends))


def _is_across(work: FlatWork, key: str, mouth: Layer, edge: EdgeName) -> bool:
    """Whether a piece lies over the edge itself, part within the host and part beyond it."""
    layer = work.layer_of(key) if key in work.resolved.pieces else None
    if layer is None or key == mouth.piece:
        return False
    line = mouth.box.edge(edge)
    low, high = (
        (layer.box.left, layer.box.right) if is_upright(edge) else (layer.box.bottom, layer.box.top)
    )
    return low < line < high


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


def _blocked(work: FlatWork, insert: ResolvedPiece, host: ResolvedPiece, way: _Exit) -> Finding:
    resolved, units = work.resolved, work.resolved.edition.units
    edge = _edge_of(resolved, host, insert.host_face, way.edge)
    sideways = is_upright(way.edge)
    width = way.lane.height if sideways else way.lane.width
    length = way.lane.width if sideways else way.lane.height
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


def _edge_of(resolved: ResolvedDesign, host: ResolvedPiece, face: str, edge: EdgeName) -> EdgeName:
    """The name of the host's own edge that looks to this side of the flat work."""
    pose = next(
        at.pose for at in resolved.states["flat"].faces if (at.piece, at.face) == (host.key, face)
    )
    x, y = outward(edge)
    across = (pose.rotation[0][0], pose.rotation[1][0])
    upward = (pose.upward[0], pose.upward[1])
    return edge_towards(x * across[0] + y * across[1], x * upward[0] + y * upward[1])
