"""Stock fit for its role: what is folded to stand, hinges or carries is cut from cardstock.

The limits are common practice, no source (from memory): cardstock begins at about 150 g/m², and
what is sold as paper ends below 300.
"""

from collections.abc import Iterator

from gatherfold.checks.joins.folded import glue_among
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.model import Material, Trait, breaks_when_folded, is_soft
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, ResolvedStock, Score
from gatherfold.work import work_of

#: Grams per square metre; below 150 with some slack.
_USUAL: dict[Material, tuple[int, int]] = {
    "cardstock": (140, 1000),
    "paper": (0, 290),
    "board": (200, 10_000),
    "ribbon": (0, 10_000),
}


def check_roles(resolved: ResolvedDesign) -> Iterator[Finding]:
    """The stock of every piece against what it does, and weights against their material."""
    used = {piece.stock.key for piece in resolved.pieces.values()}
    for key in filter(used.__contains__, resolved.stocks):
        yield from _weight(resolved, resolved.stocks[key])
    for piece in resolved.pieces.values():
        yield from _weak(resolved, piece)
        if piece.scores and breaks_when_folded(piece.stock.source.material):
            yield finding_kind("folded-board").found(resolved, piece)


def _weight(resolved: ResolvedDesign, stock: ResolvedStock) -> Iterator[Finding]:
    weight, material = stock.source.weight, stock.source.material
    if weight is None:
        return
    least, most = _USUAL[material]
    told = {"grams": round(weight.grams), "material": material}
    if weight.grams < least:
        yield finding_kind("unlikely-weight").found(resolved, stock, **told)
    if weight.grams > most:
        yield finding_kind("unlikely-weight, heavy").found(resolved, stock, **told)


def _weak(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    material = piece.stock.source.material
    does = next(_roles(resolved, piece), None)
    if does is not None and is_soft(material) and not _is_carried(resolved, piece):
        told = {"does": does, "stock": piece.stock.key, "material": material}
        yield finding_kind("weak-stock").found(resolved, piece, **told)


# ---- what a piece does that thin stock cannot


def _roles(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """In words, the plainest first."""
    if _is_folded_to_bear(piece):
        yield "is folded and has to carry"
    if any(tab.closed == 90 for tab in piece.source.tabs):
        yield "stands on its glue tabs"
    if stands_on(piece) is not None:
        yield "stands up from the foot that it is glued by"
    if _is_folded_card(piece) and _carries(resolved, piece):
        yield "is a folded card that others are glued on"
    yield from (f"turns on '{key}'" for key in _pivots(resolved, piece))
    yield from (f"is the ground that '{key}' is glued on" for key in _carried(resolved, piece))
    yield from (f"is what '{key}' hangs on" for key in _hinges(resolved, piece))


def stands_on(piece: ResolvedPiece) -> Score | None:
    """The fold on which a piece stands up from the foot that it is glued by."""
    folds = [score for score in piece.scores if piece.by in score.sides and score.closed == 90]
    return folds[0] if len(folds) == 1 and piece.glued == (piece.by,) else None


def _is_folded_to_bear(piece: ResolvedPiece) -> bool:
    return piece.source.has(Trait.BEARS) and bool(piece.scores)


def _carries(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether anything is glued straight on a piece."""
    return any(each.host == piece.key and each.glued for each in resolved.pieces.values())


def _is_folded_card(piece: ResolvedPiece) -> bool:
    return piece.source.has(Trait.TAKEN_OUT) and bool(piece.scores)


def _pivots(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """The fastenings that a piece turns on."""
    for fastening in resolved.fastenings.values():
        if fastening.source.pivot and fastening.source.through[:1] == (piece.key,):
            yield fastening.key


def _carried(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """What lies straight on a cover that lies on nothing."""
    if piece.source.has(Trait.COVERS) and piece.source.placement is None:
        yield from (key for key, each in resolved.pieces.items() if each.host == piece.key)


def _hinges(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[str]:
    """The folded hinges that are glued straight to a cover, a panel that turns on them."""
    if piece.source.has(Trait.COVERS):
        for each in resolved.pieces.values():
            if each.host == piece.key and each.glued and _is_folded_to_bear(each):
                yield each.key


def _is_carried(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether board or cardstock is glued to it, which it only covers."""
    bonds = (bond for moment in work_of(resolved).moments for bond in glue_among(moment.bonds))
    return any(
        breaks_when_folded(resolved.pieces[bond.other(face).piece].stock.source.material)
        for bond in bonds
        for face in bond.faces
        if face.piece == piece.key
    )
