"""Pieces that nothing keeps in place, tabs that reach past their wall, heads past their part.

In: the work at rest and closed.  Out: findings.
"""

from collections.abc import Iterator
from fractions import Fraction

from gatherfold.checks.joins.folded import glue_among
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import Exact, clears
from gatherfold.lengths import INCH, nearest_on_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import (
    ACROSS,
    Assembly,
    Bond,
    FaceKey,
    FoldKey,
    GlueArea,
    Work,
    glue_areas,
    size,
    work_of,
    wrapped_round,
)

#: The fold of a tab may lie so far from the edge that it is glued to (common practice, no source).
_APART = INCH / 8
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
    yield from _edges_apart(resolved, work)
    for fastening in resolved.fastenings.values():
        yield from _head(resolved, fastening)


def _unheld(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A mat, strip, pocket, hinge or flap that no glue and no fastening ties to what bears it."""
    placement = piece.source.placement
    if placement is None or not _belongs_in_place(piece):
        return
    carried = {key for key in resolved.pieces if piece.key in resolved.hosts_of(key)}
    if _tied_to(work, piece.key) <= carried:
        yield finding_kind("nothing-holds").found(resolved, piece, host=placement.host)


def _belongs_in_place(piece: ResolvedPiece) -> bool:
    """Whether a piece without glue is of a kind that stays where it is laid."""
    is_loose = not piece.glued and not piece.is_in_pocket
    return is_loose and any(map(piece.source.has, (Trait.SIDE_BY_SIDE, Trait.HARD_TO_MOVE)))


def _tied_to(work: Work, key: str) -> set[str]:
    """The pieces that glue or a fastening ties to one, open, closed or apart."""
    tied: set[str] = set()
    for assembly in (work.opened, work.closed, *work.assemblies):
        for bond in assembly.bonds:
            ends = {face.piece for face in bond.faces}
            if key in ends and bond.kind != "rest":
                tied |= ends - {key}
    return tied


def _past_walls(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """Tabs that lie in part beyond what they are glued to."""
    past: dict[str, GlueArea] = {}
    for area in _tab_areas(resolved, work):
        if area.meeting.area < (1 - _PAST) * area.whole.area:
            past.setdefault(area.face.piece, area)
    for key, area in past.items():
        tab, wall = in_words(area.face.face), in_words(area.joined[0].face)
        yield finding_kind("tab-past-wall").found(
            resolved, resolved.pieces[key], tab=tab, wall=wall
        )


def _edges_apart(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """Sections that a tab closes to a ring, where the fold of the tab misses the edge of the one
    that it is glued to; a band laps as far as it has to."""
    apart: dict[str, tuple[Bond, Fraction]] = {}
    tabs = {
        FaceKey(key, join.face) for key, piece in resolved.pieces.items() for join in piece.joins
    }
    tabs |= _tabs(resolved)
    for moment in work.moments:
        for bond in (each for each in glue_among(moment.bonds) if each.first in tabs):
            missed = Fraction(_missed(moment.assembly, bond)) / work.scale
            if missed > _APART:
                apart.setdefault(bond.first.piece, (bond, missed))
    rings = (key for key in apart if not resolved.pieces[key].source.has(Trait.GOES_ROUND))
    for bond, missed in map(apart.__getitem__, rings):
        told = {"tab": in_words(bond.first.face), "wall": in_words(bond.second.face)}
        away = nearest_on_grid(missed, resolved.edition.grid)
        piece = resolved.pieces[bond.first.piece]
        yield finding_kind("tab-off-edge").found(resolved, piece, **told, away=away)


def _missed(assembly: Assembly, bond: Bond) -> Exact:
    """How far the fold of a tab lies from the nearer edge of the section of its own piece that it
    is glued to."""
    fold, plate = FoldKey(*bond.first), assembly.plates[bond.second]
    if bond.second.piece != fold.piece or fold not in assembly.creases:
        return 0
    line = assembly.lines[fold]
    across = [axis for axis in ACROSS[line.axis] if axis != plate.axis]
    if len(across) != 1:
        return 0
    at = line.at[ACROSS[line.axis].index(across[0])]
    return min(size(at - end) for end in plate.extent(across[0]))


def _tabs(resolved: ResolvedDesign) -> set[FaceKey]:
    """All glue tabs."""
    pieces = resolved.pieces.items()
    return {FaceKey(key, tab.name) for key, piece in pieces for tab in piece.source.tabs}


def _tab_areas(resolved: ResolvedDesign, work: Work) -> Iterator[GlueArea]:
    """The glue of every tab, as it was when that met."""
    tabs = _tabs(resolved)
    for moment in work.moments:
        bonds = [bond for bond in moment.bonds if bond.first in tabs]
        yield from glue_areas(moment.assembly, bonds)


def _head(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    """A head larger than the part that it lies on, or too near its edge."""
    point = fastening.point
    if point is None or not _pierces(fastening):
        return
    first = resolved.pieces[fastening.source.through[0]]
    if not all(clears(edge, point, fastening.head / 2) for edge in first.outline.edges):
        told = {"head": fastening.head}
        yield finding_kind("head-over-edge").found(resolved, fastening, first=first.key, **told)


def _pierces(fastening: ResolvedFastening) -> bool:
    """Whether a fastening has a head, and goes through something."""
    source = fastening.source
    return bool(source.through and fastening.head) and source.fastener.piercing is not None
