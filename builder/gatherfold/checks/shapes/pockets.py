"""Pockets and what goes in: something to take hold of, sides that hold, a notch at the mouth.

In: a resolved design, its steps played.  Out: findings.  How wide an insert is beside the adhesive
is a condition of ``fits``, whether it finds a way out a matter of ``inserts``.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from shapely import Polygon, unary_union

from gatherfold.checks.fits import widest_tape
from gatherfold.checks.report import finding_kind
from gatherfold.checks.shapes.laid import in_mm, is_broad, notches
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, EdgeName, ends_across, flattened, opposite, outward
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import FaceKey, Placing, shape_of, work_of

#: So much has to stand out to be taken between two fingers, in mm (common practice, no source).
_HOLD = 3
#: A pocket that fills less of the rectangle round it holds a corner, and needs two edges.
_CORNER_POCKET = 0.7


def check_pockets(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every pocket, and every insert as it lies in it."""
    inserts = {
        piece.source.placement.host: piece
        for piece in resolved.pieces.values()
        if piece.is_in_pocket and piece.source.placement is not None
    }
    for piece in resolved.pieces.values():
        yield from _glued_notch(resolved, piece)
        if piece.key in inserts or piece.source.has(Trait.HOLDS_CARDS | Trait.HIDES):
            yield from _open_sides(resolved, piece, inserts.get(piece.key))
    yield from _lost(resolved)
    yield from _in_no_pocket(resolved)


def _glued_notch(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    seams = {seam.edge for seam in piece.seams if _is_outermost(piece, seam.section, seam.edge)}
    for notch in notches(piece):
        if notch.edge in piece.glue.strips or notch.edge in seams:
            yield finding_kind("notch-on-glued-edge").found(resolved, piece, edge=notch.edge)


def _is_outermost(piece: ResolvedPiece, section: str, edge: EdgeName) -> bool:
    """Whether an edge of a section is one of the whole piece."""
    ends = [face.box.edge(edge) for face in piece.faces]
    return piece.face(section).box.edge(edge) in (min(ends), max(ends))


def _open_sides(
    resolved: ResolvedDesign, pocket: ResolvedPiece, insert: ResolvedPiece | None
) -> Iterator[Finding]:
    """A pocket of one plain part holds by three glued edges."""
    glued = [edge for edge in EDGES if edge in pocket.glue.strips]
    is_joined = pocket.joins or pocket.glue.keep_off or len(pocket.faces) > 1
    if is_joined or not glued or _holds_corner(pocket):
        return
    free = [edge for edge in EDGES if edge not in glued]
    if len(free) > 1:
        told = {"glued": _listed(glued), "open": _listed(free)}
        yield finding_kind("pocket-open").found(resolved, pocket, **told)
    elif insert is not None and free and _looks_down(resolved, pocket, free[0]):
        upper = opposite(free[0])
        yield finding_kind("pocket-upside-down").found(
            resolved, pocket, insert=insert.key, edge=free[0], upper=upper
        )


def _listed(edges: list[EdgeName]) -> str:
    """Edges in words."""
    return f"{' and '.join(edges)} edge{'s' if len(edges) > 1 else ''}"


def _holds_corner(pocket: ResolvedPiece) -> bool:
    """Whether a pocket is cut as a triangle."""
    shape = Polygon(flattened(pocket.outline))
    return bool(shape.area < _CORNER_POCKET * shape.envelope.area)


def _looks_down(resolved: ResolvedDesign, pocket: ResolvedPiece, edge: EdgeName) -> bool:
    """Whether an edge is the lowest in the work at rest, as its reader has it."""
    plate = work_of(resolved).opened.plates.get(FaceKey(pocket.key, pocket.by))
    across, upward = outward(edge)
    return (
        plate is not None and plate.axis == 2 and plate.pose.direction((across, upward, 0))[1] < 0
    )


def _lost(resolved: ResolvedDesign) -> Iterator[Finding]:
    """An insert, with all that is laid on it, behind its pocket as it is cut."""
    work = work_of(resolved)
    for moment in work.moments:
        placing = moment.motion
        if not isinstance(placing, Placing) or not resolved.pieces[placing.piece].is_in_pocket:
            continue
        plates, before = placing.put.after.plates, placing.before.plates
        pocket = plates[placing.host]
        own = [
            shape_of(plate)
            for key, plate in plates.items()
            if key not in before and plate.shares_plane(pocket)
        ]
        shows = in_mm(unary_union(own).difference(shape_of(pocket)), work.scale)
        if not is_broad(shows, _HOLD):
            insert = resolved.pieces[placing.piece]
            yield finding_kind("insert-lost").found(resolved, insert, host=placing.host.piece)


def _in_no_pocket(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A card that lies nowhere in the work, and is wider than every pocket is between its glued
    sides."""
    pockets = {
        piece.key: _room(resolved, piece)
        for piece in resolved.pieces.values()
        if piece.source.has(Trait.KEEPS) and piece.source.has(Trait.HOLDS_CARDS)
    }
    widest = max(pockets, key=lambda key: pockets[key], default="")
    bearing = {host for key in resolved.pieces for host in resolved.hosts_of(key)}
    for piece in resolved.pieces.values() if pockets else ():
        is_kept = piece.source.placement is None and piece.source.has(Trait.TAKEN_OUT)
        if is_kept and piece.key not in bearing and piece.width > pockets[widest]:
            told = {"width": piece.width, "room": pockets[widest]}
            yield finding_kind("in-no-pocket").found(resolved, piece, pocket=widest, **told)


def _room(resolved: ResolvedDesign, pocket: ResolvedPiece) -> Fraction:
    """How wide a pocket is between those of its sides that are glued."""
    glued = [edge for edge in ends_across("vertical") if edge in pocket.glue.strips]
    return pocket.face(pocket.by).box.width - widest_tape(resolved) * len(glued)
