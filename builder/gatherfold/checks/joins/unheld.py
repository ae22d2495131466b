"""Pieces that nothing keeps in place, tabs that reach past their wall, heads past their part.

In: the work at rest and closed.  Out: findings.
"""

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import clears
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import FaceKey, Work, glue_areas, work_of, wrapped_round

#: What a tab may reach past the wall that it is glued to, of its own size (common practice).
_PAST = 0.15


def check_unheld(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece that is laid without glue, every tab, every head."""
    work = work_of(resolved)
    off = wrapped_round(work.moments, work.closed)
    for piece in resolved.pieces.values():
        if piece.key not in off:
            yield from _unheld(resolved, work, piece)
    yield from _past_walls(resolved, work)
    for fastening in resolved.fastenings.values():
        yield from _head(resolved, fastening)


def _unheld(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A mat, strip, pocket, hinge or flap that no glue and no fastening ties to what bears it."""
    placement = piece.source.placement
    is_fixed = any(map(piece.source.has, (Trait.SIDE_BY_SIDE, Trait.HARD_TO_MOVE)))
    if placement is None or piece.glued or piece.is_in_pocket or not is_fixed:
        return
    carried = {key for key in resolved.pieces if piece.key in resolved.hosts_of(key)}
    for assembly in (work.opened, work.closed, *work.assemblies):
        for bond in assembly.bonds:
            ends = {face.piece for face in bond.faces}
            if piece.key in ends and bond.kind != "rest" and ends - carried - {piece.key}:
                return
    yield finding_kind("nothing-holds").found(resolved, piece, host=placement.host)


def _past_walls(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """Tabs that lie in part beyond what they are glued to."""
    told: set[str] = set()
    for moment in work.moments:
        bonds = [bond for bond in moment.bonds if _is_tab(resolved, bond.first)]
        for area in glue_areas(moment.assembly, bonds):
            key = area.face.piece
            if area.meeting.area < (1 - _PAST) * area.whole.area and key not in told:
                told.add(key)
                names = (in_words(face.face) for face in (area.face, area.joined[0]))
                tab, wall = names
                yield finding_kind("tab-past-wall").found(
                    resolved, resolved.pieces[key], tab=tab, wall=wall
                )


def _is_tab(resolved: ResolvedDesign, face: FaceKey) -> bool:
    return any(tab.name == face.face for tab in resolved.pieces[face.piece].source.tabs)


def _head(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    """A head larger than the part that it lies on, or too near its edge."""
    through, point = fastening.source.through, fastening.point
    is_pierced = fastening.source.fastener.piercing is not None
    if point is None or not through or not fastening.head or not is_pierced:
        return
    first = resolved.pieces[through[0]]
    if not all(clears(edge, point, fastening.head / 2) for edge in first.outline.edges):
        told = {"head": fastening.head}
        yield finding_kind("head-over-edge").found(resolved, fastening, first=first.key, **told)
