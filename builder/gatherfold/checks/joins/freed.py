"""What is glued and must come off, open or be seen: lids, bands, cards, tucked flaps.

In: the work.  Out: a lid or a band that glue keeps on, a card that is glued into what it is kept
in, a tucked section that is glued, and glue on a decorated side.
"""

from collections.abc import Iterator
from itertools import islice

from gatherfold.checks.joins.folded import glue_among, is_glued_over, turned
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, Crease, FaceKey, Work, work_of


def check_freed(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if piece.glued and placement is not None:
            yield from _kept_on(resolved, work, piece, placement.host)
            yield from _glued_card(resolved, piece, placement.host)
        yield from _glued_shut(resolved, work, piece)


def _kept_on(
    resolved: ResolvedDesign, work: Work, piece: ResolvedPiece, host: str
) -> Iterator[Finding]:
    """A raised piece with sides, or a band that is a ring, with glue on what it lies by."""
    standing = list(turned(work.closed, 90, piece.key))
    if len(standing) < 2:
        return
    if piece.raised:
        yield finding_kind("glued-lid").found(resolved, piece, host=host)
    is_ring = any(work.closed.is_locked(crease.key) for crease in standing)
    if is_ring and piece.source.has(Trait.GOES_ROUND):
        yield finding_kind("glued-band").found(resolved, piece, host=host)


# ---- cards


def _glued_card(resolved: ResolvedDesign, piece: ResolvedPiece, host: str) -> Iterator[Finding]:
    """A card, glued on the inside of what keeps it, and an insert, glued on anything."""
    if piece.is_in_pocket or not piece.source.has(Trait.TAKEN_OUT):
        return
    if piece.source.has(Trait.HOLDS_CARDS):
        yield finding_kind("glued-card, glued insert").found(resolved, piece, host=host)
        return
    for keeper in islice(_keepers(resolved, piece), 1):
        yield finding_kind("glued-card").found(resolved, piece, keeper=keeper)


def _keepers(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """What keeps a card that lies on the inside of it, or on the inside of what does."""
    inside = piece
    for key in resolved.hosts_of(piece.key):
        placement = inside.source.placement
        if placement is None or placement.relation not in ("on", "inside"):
            return
        inside = resolved.pieces[key]
        if inside.source.has(Trait.KEEPS):
            yield key


# ---- sections


def _glued_shut(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """Sections that fold right over and are glued all over by that."""
    tucked = {tuck.section for tuck in piece.source.tucks}
    seamed = {seam.section for seam in piece.seams} | {join.face for join in piece.joins}
    for crease in _glued_right_over(work, piece):
        section = crease.hanging.face
        told = {"section": in_words(section), "name": section}
        if section in tucked:
            yield finding_kind("glued-tuck").found(resolved, piece, **told)
        if section not in seamed:
            for cover in islice(_linings(work, crease), 1):
                yield finding_kind("glue-over-print").found(resolved, piece, cover=cover, **told)


def _glued_right_over(work: Work, piece: ResolvedPiece) -> Iterator[Crease]:
    for crease in work.parts.pieces[piece.key].creases:
        if crease.closed == 180 and is_glued_over(work, crease):
            yield crease


def _linings(work: Work, crease: Crease) -> Iterator[str]:
    """The pieces that were glued to the inner side of a section before it was folded."""
    section = crease.hanging
    for then, other in _attached(work, section):
        is_inside = then.side_of(section, other) == crease.inner and not then.angle(crease.key)
        if is_inside and other.piece != section.piece:
            yield other.piece


def _attached(work: Work, section: FaceKey) -> Iterator[tuple[Assembly, FaceKey]]:
    """What is glued to a section as it is attached, and the work just then."""
    for moment in work.moments:
        if moment.operation == "attach":
            for bond in glue_among(moment.bonds):
                if section in bond.faces:
                    yield moment.assembly, bond.other(section)
