"""Seals and bands: what is put on the closed work to hold it has to reach both sides.

In: the work when a seal was glued, and closed.  Out: a seal on one side of an opening only, and a
band whose ends nothing joins.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import chain

from gatherfold.checks.joins.folded import glue_among, right_over
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES, EdgeName, is_upright
from gatherfold.lengths import INCH, nearest_on_grid, up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, FoldKey, Placing, Work, work_of, wraps

#: A seal holds by at least so much on either side of an edge (common practice, no source).
_HOLDS = INCH * 3 / 16


def check_sealing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every seal that is glued on closed work, and every band."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        if _is_laid_seal(piece):
            yield from _seal(resolved, work, piece)
            yield from _small(resolved, piece)
    for key, _ in wraps(work):
        yield from _band(resolved, work, resolved.pieces[key])


# ---- seals


def _seal(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A tag at an edge of a section that is closed and free to open, glued to that alone."""
    then, section = _when_placed(work, piece.key), _lies_on(piece)
    edges = [edge for edge, over in _reaching_over(piece) if over >= -resolved.tolerance]
    if then is None or not edges or not _may_open(then, section):
        return
    if _joined(piece.key, then, work.closed) == {section}:
        told = {"section": in_words(section.face), "edge": edges[0]}
        yield finding_kind("seals-nothing").found(resolved, piece, host=section.piece, **told)


def _small(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A seal over an edge, with next to nothing of it on one side, or nothing at all."""
    grid = resolved.edition.grid
    for edge, over in _reaching_over(piece):
        across = piece.laid_size[0] if is_upright(edge) else piece.laid_size[1]
        less = min(over, across - over)
        if over > 0 and less < _HOLDS:
            width = nearest_on_grid(max(less, Fraction(0)), grid)
            told = {"least": up_to_grid(2 * _HOLDS, grid), "width": width}
            yield finding_kind("seal-too-small").found(resolved, piece, **told)


def _is_laid_seal(piece: ResolvedPiece) -> bool:
    return piece.source.has(Trait.SEALS_EDGE) and bool(piece.glued) and piece.offsets is not None


def _lies_on(piece: ResolvedPiece) -> FaceKey:
    return FaceKey(piece.host, piece.host_face)


def _reaching_over(piece: ResolvedPiece) -> Iterator[tuple[EdgeName, Fraction]]:
    """How far a laid piece reaches over each edge of its host."""
    assert piece.offsets is not None
    return ((edge, -piece.offsets.at(edge)) for edge in EDGES)


def _when_placed(work: Work, key: str) -> Assembly | None:
    """The work just after a piece came to it."""
    for moment in work.moments:
        if isinstance(moment.motion, Placing) and moment.motion.piece == key:
            return moment.assembly
    return None


def _may_open(then: Assembly, section: FaceKey) -> bool:
    """Whether a section is folded right over and free to open again."""
    return any(
        crease.hanging == section and not then.is_locked(crease.key)
        for crease in right_over(then, section.piece)
    )


def _joined(key: str, *assemblies: Assembly) -> set[FaceKey]:
    """What a piece is glued to."""
    bonds = chain.from_iterable(glue_among(assembly.bonds) for assembly in assemblies)
    faces = (bond.faces for bond in bonds if key in (bond.first.piece, bond.second.piece))
    return {face for face in chain.from_iterable(faces) if face.piece != key}


# ---- bands


def _band(resolved: ResolvedDesign, work: Work, band: ResolvedPiece) -> Iterator[Finding]:
    """A band with laps at both ends, which neither glue nor a fastening makes a ring."""
    folds = [fold for fold in work.closed.creases if fold.piece == band.key]
    own = {face.piece for face in work.closed.block_of(band.key)}
    is_wrapped = len(folds) >= 4 and not band.source.tabs and _ends(work, folds) == 2
    is_joined = any(map(work.closed.is_locked, folds)) or not own.isdisjoint(_fastened(resolved))
    if is_wrapped and not is_joined:
        yield finding_kind("band-not-joined").found(resolved, band)


def _ends(work: Work, folds: list[FoldKey]) -> int:
    """How many folds have a section on them that nothing more hangs on."""
    staying = {crease.staying for crease in work.closed.creases.values()}
    return sum(fold.face not in staying for fold in folds)


def _fastened(resolved: ResolvedDesign) -> Iterator[str]:
    """The pieces that fastenings go through, round or hold."""
    for fastening in resolved.fastenings.values():
        source = fastening.source
        yield from filter(None, (*source.through, source.round, source.holds))
