"""Stock fit for its role: what is folded to stand, hinges or carries is cut from cardstock.

The limits are common practice, no source (from memory): cardstock begins at about 150 g/m², and
what is sold as paper ends below 300.
"""

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.model import Material, Trait, breaks_when_folded, is_soft
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, ResolvedStock
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
    for key in used & resolved.stocks.keys():
        yield from _weight(resolved, resolved.stocks[key])
    for piece in resolved.pieces.values():
        material = piece.stock.source.material
        does = _role(resolved, piece)
        if does and is_soft(material) and not _is_carried(resolved, piece):
            told = {"does": does, "stock": piece.stock.key, "material": material}
            yield finding_kind("weak-stock").found(resolved, piece, **told)
        if piece.scores and breaks_when_folded(material):
            yield finding_kind("folded-board").found(resolved, piece)


def _weight(resolved: ResolvedDesign, stock: ResolvedStock) -> Iterator[Finding]:
    weight = stock.source.weight
    if weight is None:
        return
    grams = round(weight.grams)
    material = stock.source.material
    least, most = _USUAL[material]
    if weight.grams < least:
        yield finding_kind("unlikely-weight").found(resolved, stock, grams=grams, material=material)
    if weight.grams > most:
        yield finding_kind("unlikely-weight, heavy").found(
            resolved, stock, grams=grams, material=material
        )


def _role(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    """What a piece does that thin stock cannot; empty where nothing."""
    if piece.source.has(Trait.BEARS) and piece.scores:
        return "is folded and has to carry"
    if any(tab.closed == 90 for tab in piece.source.tabs):
        return "stands on its glue tabs"
    for each in resolved.fastenings.values():
        if each.source.pivot and each.source.through[:1] == (piece.key,):
            return f"turns on '{each.key}'"
    if piece.source.has(Trait.COVERS) and piece.source.placement is None:
        carried = [key for key in resolved.pieces if resolved.hosts_of(key)[:1] == (piece.key,)]
        if carried:
            return f"is the ground that '{carried[0]}' is glued on"
    hinges = (each for each in resolved.pieces.values() if _hangs_on(each, piece))
    hinge = next(hinges, None)
    return "" if hinge is None else f"is what '{hinge.key}' hangs on"


def _hangs_on(hinge: ResolvedPiece, piece: ResolvedPiece) -> bool:
    """Whether a folded hinge is glued straight to a piece, a panel that it turns on."""
    placement = hinge.source.placement
    is_on = placement is not None and placement.host == piece.key and bool(hinge.glued)
    bears = hinge.source.has(Trait.BEARS) and bool(hinge.scores)
    return is_on and bears and piece.source.has(Trait.COVERS)


def _is_carried(resolved: ResolvedDesign, piece: ResolvedPiece) -> bool:
    """Whether board or cardstock is glued to it, which it only covers."""
    for moment in work_of(resolved).moments:
        for bond in moment.bonds:
            own = [face for face in bond.faces if face.piece == piece.key]
            if not own or bond.kind != "glue":
                continue
            other = resolved.pieces[bond.other(own[0]).piece].stock.source.material
            if breaks_when_folded(other):
                return True
    return False
