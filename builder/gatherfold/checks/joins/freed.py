"""What is glued and must come off, open or be seen: lids, bands, cards, tucked flaps.

In: the work.  Out: a lid or a band that glue keeps on, a card that is glued into what it is kept
in, a tucked section that is glued, glue on a decorated side, and an ``open`` of what is glued.
"""

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.model import Trait
from gatherfold.reading import matching_names
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Crease, FoldKey, Work, work_of

_ALL = "all"


def check_freed(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece, and every step that opens something."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        yield from _kept_on(resolved, work, piece)
        yield from _glued_card(resolved, piece)
        yield from _glued_shut(resolved, work, piece)
    yield from _opens_glued(resolved, work)


def _kept_on(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A raised piece with sides, or a band that is a ring, with glue on what it lies by."""
    placement = piece.source.placement
    if placement is None or not piece.glued or not piece.scores:
        return
    folds = [fold for fold in work.closed.creases if fold.piece == piece.key]
    standing = [fold for fold in folds if work.closed.angle(fold) == 90]
    if piece.raised and len(standing) > 1:
        yield finding_kind("glued-lid").found(resolved, piece, host=placement.host)
    is_round = piece.source.has(Trait.GOES_ROUND) and len(standing) > 1
    if is_round and any(work.closed.is_locked(fold) for fold in standing):
        yield finding_kind("glued-band").found(resolved, piece, host=placement.host)


def _glued_card(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A card, glued on the inside of what keeps it, and an insert, glued on anything."""
    placement = piece.source.placement
    is_taken_out = piece.source.has(Trait.TAKEN_OUT) and not piece.is_in_pocket
    if placement is None or not piece.glued or not is_taken_out:
        return
    if piece.source.has(Trait.HOLDS_CARDS):
        yield finding_kind("glued-card, glued insert").found(resolved, piece, host=placement.host)
        return
    inside, sides = piece, []
    for key in resolved.hosts_of(piece.key):
        place = inside.source.placement
        sides.append(place is not None and place.relation in ("on", "inside"))
        inside = resolved.pieces[key]
        if inside.source.has(Trait.KEEPS) and all(sides):
            yield finding_kind("glued-card").found(resolved, piece, keeper=key)
            return


def _glued_shut(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """Sections that fold right over and are glued all over by that."""
    part = work.parts.pieces[piece.key]
    tucked = {tuck.section for tuck in piece.source.tucks}
    seamed = {seam.section for seam in piece.seams} | {join.face for join in piece.joins}
    for crease in part.creases:
        fold = crease.key
        if crease.closed != 180 or not is_glued_over(work, fold):
            continue
        told = {"section": in_words(fold.hanging), "name": fold.hanging}
        if fold.hanging in tucked:
            yield finding_kind("glued-tuck").found(resolved, piece, **told)
        cover = None if fold.hanging in seamed else _lies_within(work, crease)
        if cover is not None:
            yield finding_kind("glue-over-print").found(resolved, piece, cover=cover, **told)


def is_glued_over(work: Work, fold: FoldKey) -> bool:
    """Whether closing the fold spread glue on its section."""
    return any(
        bond.kind == "glue" and bond.first == fold.face
        for moment in work.moments
        if moment.operation == "close"
        for bond in moment.bonds
    )


def _lies_within(work: Work, crease: Crease) -> str | None:
    """Another piece that is glued to the inner side of a section, if there is one."""
    inner, section = (1 if crease.sense == "valley" else -1), crease.hanging
    for moment in work.moments:
        for bond in moment.bonds:
            if bond.kind != "glue" or section not in bond.faces:
                continue
            other = bond.other(section)
            side = moment.assembly.side_of(section, other)
            is_before = moment.operation == "attach" and not moment.assembly.angle(crease.key)
            if other.piece != section.piece and side == inner and is_before:
                return other.piece
    return None


def _opens_glued(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """What a step opens by name, and of which a section is glued to what it was folded over."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for name in step.operations.get("open", ()):
            pattern, _, section = name.partition(".")
            for key in matching_names(pattern, resolved.pieces) if name != _ALL else ():
                for fold in _stuck_folds(work, number, key):
                    if section in ("", fold.hanging):
                        told = {"section": in_words(fold.hanging), "name": fold.hanging}
                        piece = resolved.pieces[key]
                        yield finding_kind("opens-glued").found(
                            resolved, piece, number=number, **told
                        )


def _stuck_folds(work: Work, number: int, piece: str) -> Iterator[FoldKey]:
    """Folds of a piece, both sides of which are glued to one another before a step."""
    before = [m for m in work.moments if 0 < m.step < number and piece in m.assembly.pieces]
    if not before:
        return
    now = before[-1].assembly
    glued = {frozenset(bond.faces) for bond in now.bonds if bond.kind == "glue"}
    for fold, crease in now.creases.items():
        if fold.piece == piece and now.angle(fold) == 180 and frozenset(crease.faces) in glued:
            yield fold
