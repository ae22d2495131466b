"""What is cut away of a folded piece at its corners: too little, so that sections cannot fold; too
much, so that a foot has nothing left to glue.

In: a resolved design.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Polygon, box

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import CORNERS, flattened, is_left, is_low
from gatherfold.model import takes_whole_box
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Trouble, work_of

#: A foot keeps so much of itself at least (no source).
_KEPT = 0.6
#: So many sections in a row have a middle that two of them fold round.
_ROUND = 3


def check_cut_away(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece that folds in both directions, and every foot."""
    problems = work_of(resolved).problems
    stuck = {each.part.partition(".")[0] for each in problems if each.trouble in _STUCK}
    for piece in resolved.pieces.values():
        if piece.key in stuck:
            yield from _standing(resolved, piece)
        if len(piece.faces) > 1 and piece.glued and piece.source.placement is not None:
            yield from _foot(resolved, piece)


_STUCK = (Trouble.CANNOT_TURN, Trouble.JOIN_MISSES, Trouble.GLUED_OPEN)


def _standing(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A corner that is left where two sections meet which both fold, of a piece that does not
    close."""
    across, up = piece.source.across, piece.source.up
    if min(len(across), len(up)) < 2 or max(len(across), len(up)) < _ROUND:
        return
    left = [name for name in CORNERS if _is_left(piece, is_left(name), is_low(name))]
    for name in left[:1]:
        column, row = across[0 if is_left(name) else -1], up[0 if is_low(name) else -1]
        told = {"column": in_words(column.name), "row": in_words(row.name)}
        where = " and ".join(left)
        yield finding_kind("corner-not-cut").found(resolved, piece, where=where, **told)


def _is_left(piece: ResolvedPiece, at_left: bool, at_bottom: bool) -> bool:
    """Whether a corner of the whole piece is a face of its own, with two folds that close."""
    x, y = (0 if at_left else piece.width), (0 if at_bottom else piece.height)
    face = next(
        (
            each
            for each in piece.faces
            if x in (each.box.left, each.box.right) and y in (each.box.bottom, each.box.top)
        ),
        None,
    )
    folds = [] if face is None else [each for each in piece.scores if face.name in each.sides]
    return len({each.axis for each in folds}) == 2 and all(each.closed for each in folds)


def _foot(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """The section that a piece is glued by, and of which its notches leave little."""
    shapes = [each.shape for each in piece.source.corners.values()]
    if piece.glued != (piece.by,) or not any(map(takes_whole_box, shapes)):
        return
    face = piece.face(piece.by).box
    whole = box(*map(float, (face.left, face.bottom, face.right, face.top)))
    kept = Polygon(flattened(piece.outline)).intersection(whole).area / whole.area
    if kept < _KEPT:
        told = {"foot": in_words(piece.by), "share": round(100 * kept)}
        yield finding_kind("foot-cut-away").found(resolved, piece, **told)
