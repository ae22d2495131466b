"""Seals and bands: what is put on the closed work to hold it has to reach both sides.

In: the work when a seal was glued, and closed.  Out: a seal on one side of an opening only, and a
band whose ends nothing joins.
"""

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, is_upright
from gatherfold.lengths import INCH, nearest_on_grid, up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, FoldKey, Placing, Work, work_of, wraps

#: A seal holds by at least so much on either side of an edge (common practice, no source).
_HOLDS = INCH * 3 / 16


def check_sealing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every seal that is glued on closed work, and every band."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        if piece.source.has(Trait.SEALS_EDGE):
            yield from _seal(resolved, work, piece)
            yield from _small(resolved, piece)
    for key, _ in wraps(work):
        yield from _band(resolved, work, resolved.pieces[key])


def _seal(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A tag at an edge of a section that is closed and free to open, glued to that alone."""
    then = _when_placed(work, piece.key)
    placement = piece.source.placement
    if then is None or placement is None or not piece.glued or piece.offsets is None:
        return
    section = FaceKey(placement.host, piece.host_face)
    if not any(
        crease.hanging == section and then.angle(fold) == 180 and not then.is_locked(fold)
        for fold, crease in then.creases.items()
    ):
        return
    edges = [edge for edge in EDGES if piece.offsets.at(edge) <= resolved.tolerance]
    joined = {
        face
        for assembly in (then, work.closed)
        for bond in assembly.bonds
        if bond.kind == "glue" and piece.key in (bond.first.piece, bond.second.piece)
        for face in bond.faces
        if face.piece != piece.key
    }
    if edges and joined == {section}:
        told = {"section": in_words(section.face), "edge": edges[0]}
        yield finding_kind("seals-nothing").found(resolved, piece, host=section.piece, **told)


def _small(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A seal over an edge, with next to nothing of it on one side."""
    if piece.offsets is None or not piece.glued:
        return
    for edge in EDGES:
        over = -piece.offsets.at(edge)
        across = piece.laid_size[0] if is_upright(edge) else piece.laid_size[1]
        if 0 < over < across and min(over, across - over) < _HOLDS:
            grid = resolved.edition.grid
            told = {"width": nearest_on_grid(min(over, across - over), grid)}
            yield finding_kind("seal-too-small").found(
                resolved, piece, least=up_to_grid(2 * _HOLDS, grid), **told
            )


def _when_placed(work: Work, key: str) -> Assembly | None:
    """The work just after a piece came to it."""
    for moment in work.moments:
        if isinstance(moment.motion, Placing) and moment.motion.piece == key:
            return moment.assembly
    return None


def _band(resolved: ResolvedDesign, work: Work, band: ResolvedPiece) -> Iterator[Finding]:
    """A band with laps at both ends, which neither glue nor a fastening makes a ring."""
    folds = [fold for fold in work.closed.creases if fold.piece == band.key]
    ends = [fold for fold in folds if not _hangs_more(work, fold)]
    fastened = {key for each in resolved.fastenings.values() for key in _holds(each)}
    is_wrapped = len(folds) >= 4 and len(ends) == 2 and not band.source.tabs
    own = {face.piece for face in work.closed.block_of(band.key)}
    if not is_wrapped or fastened & own:
        return
    if not any(map(work.closed.is_locked, folds)):
        yield finding_kind("band-not-joined").found(resolved, band)


def _hangs_more(work: Work, fold: FoldKey) -> bool:
    """Whether another section hangs on what hangs on a fold."""
    return any(crease.staying == fold.face for crease in work.closed.creases.values())


def _holds(fastening: ResolvedFastening) -> Iterator[str]:
    """The pieces that a fastening goes through, round or holds."""
    source = fastening.source
    yield from (*source.through, *(each for each in (source.round, source.holds) if each))
