"""A piece glued over a score of its host keeps the host from folding there, or tears."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction

from builder.checks.glue_zones import glue_bands, seen_by, tape_width
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.areas import common
from builder.geometry.outline import Box
from builder.lengths import up_to_grid
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece, Score


def check_across_folds(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A face ends at the piece's own folds; what goes on beyond a host's score does not bend."""
    faces = {(face.piece, face.face): face for face in resolved.states["flat"].faces}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is None or not piece.glue.edges:
            continue
        host = resolved.pieces[placement.host]
        for score in host.scores:
            short = _beyond(resolved, piece, host, score, faces)
            if short is not None:
                yield _finding(resolved, piece, host, score, short)


def _beyond(
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    host: ResolvedPiece,
    score: Score,
    faces: Mapping[tuple[str, str], PlacedFace],
) -> Fraction | None:
    """How far adhesive reaches beyond the score, on the side where it reaches less far.

    None where the score folds nothing or there is adhesive on one side of it alone.
    """
    own, below = faces.get((piece.key, piece.by)), faces.get((host.key, piece.host_face))
    if own is None or below is None or score.closed == 0:
        return None
    bands = glue_bands(piece, tape_width(resolved)).values()
    zone = [seen_by(below, own, box) for band in bands for box in band]
    low: list[Fraction] = []
    high: list[Fraction] = []
    for box in zone:
        start, end = _along(box, score)
        if start < score.end and score.start < end:
            near, far = _across(box, score)
            low.append(score.at - near)
            high.append(far - score.at)
    reach = min(max(low, default=Fraction(0)), max(high, default=Fraction(0)))
    return reach if reach > 0 and _touches(host, score, zone) else None


def _touches(host: ResolvedPiece, score: Score, zone: list[Box]) -> bool:
    """Whether adhesive lies on both of the faces that the score divides."""
    sides = (host.face(name).box for name in score.sides)
    return all(any(common(side, box) for box in zone) for side in sides)


def _across(box: Box, score: Score) -> tuple[Fraction, Fraction]:
    return (box.left, box.right) if score.is_vertical else (box.bottom, box.top)


def _along(box: Box, score: Score) -> tuple[Fraction, Fraction]:
    return (box.bottom, box.top) if score.is_vertical else (box.left, box.right)


def _finding(
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    host: ResolvedPiece,
    score: Score,
    reach: Fraction,
) -> Finding:
    units = resolved.edition.units
    wanted = up_to_grid(reach, resolved.edition.grid)
    first, second = (name.replace("_", " ") for name in score.sides)
    return found(
        resolved,
        Severity.ERROR,
        "glued-across-fold",
        piece.source.position,
        f"'{piece.key}' is glued across the fold of '{host.key}' between its {first} and its "
        f"{second}, {units.text(reach)} beyond it",
        f"End it at the fold, {units.text(wanted)} shorter, or give it a fold of its own there.",
        reach=reach,
        wanted=wanted,
    )
