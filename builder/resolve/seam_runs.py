"""Where adhesive runs on sections that are closed for good.

In: a piece with its outline and folds.  Out: the same with its seams: stretches of the outline, by
the section that they belong to and the edge of it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from builder.design import Seam
from builder.geometry.edges import EdgeName, is_far, is_upright
from builder.geometry.outline import Box, Line, Point
from builder.resolve.resolved import ResolvedPiece, ResolvedSeam, Score
from builder.resolve.values import Values

_Run = tuple[Point, Point]


def with_seams(piece: ResolvedPiece, values: Values) -> ResolvedPiece:
    """The piece with its seams; raises :class:`Unresolved` after reporting what is wrong."""
    if not piece.source.seams:
        return piece
    return replace(piece, seams=tuple(_seam(piece, seam, values) for seam in piece.source.seams))


def _seam(piece: ResolvedPiece, seam: Seam, values: Values) -> ResolvedSeam:
    folds = {hanging: score for _, hanging, score in piece.folds_outward()}
    fold = folds.get(seam.section)
    if fold is None:
        message = f"section '{seam.section}' of piece '{piece.key}' does not fold in"
        remedy = "A seam is on a section that folds over others: name that one."
        raise values.refused("no-fold", seam.position, message, remedy)
    dry = values.length_of(seam.dry)
    runs = tuple(_runs(piece, piece.face(seam.section).box, fold, seam.edge, dry))
    if not runs:
        message = f"no straight edge of '{seam.section}' is left for a seam at its {seam.edge}"
        remedy = "Choose an edge that is no fold, or begin the seam nearer to the fold."
        raise values.refused("no-edge", seam.dry.position, message, remedy)
    return ResolvedSeam(seam.section, seam.edge, dry, runs)


def _runs(
    piece: ResolvedPiece, box: Box, fold: Score, edge: EdgeName, dry: Fraction
) -> Iterator[_Run]:
    """Along an edge beside the fold the longest stretch of the outline, from ``dry`` beyond the
    fold outward; along the edge across from it every stretch, ``dry`` left free at both ends."""
    upright = is_upright(edge)
    lines = [each for each in piece.outline.edges if isinstance(each, Line)]
    if upright != fold.is_vertical:
        found = [run for line in lines if (run := _beside(line, box, fold, edge, dry))]
        yield from sorted(found, key=lambda run: -_length(run))[:1]
        return
    at = box.edge(edge)
    if at == fold.at:
        return
    for line in lines:
        start, end = sorted((line.start, line.end), key=lambda point: (point.x, point.y))
        places = [point.x if upright else point.y for point in (start, end)]
        moved = (Fraction(0), dry) if upright else (dry, Fraction(0))
        if places == [at, at] and _length((start, end)) > 2 * dry:
            yield start.moved(*moved), end.moved(-moved[0], -moved[1])


def _beside(line: Line, box: Box, fold: Score, edge: EdgeName, dry: Fraction) -> _Run | None:
    """What of a line lies in the section beside its fold, on the half that ``edge`` names."""
    upright = is_upright(edge)

    def along(point: Point) -> Fraction:
        return point.y if upright else point.x

    def across(point: Point) -> Fraction:
        return point.x if upright else point.y

    low, high = (box.bottom, box.top) if upright else (box.left, box.right)
    middle = box.centre.x if upright else box.centre.y
    near, far = (low + dry, high) if fold.at == low else (low, high - dry)
    first, last = sorted((line.start, line.end), key=along)
    start, end = max(along(first), near), min(along(last), far)
    if start >= end:
        return None

    def at(place: Fraction) -> Point:
        share = (place - along(first)) / (along(last) - along(first))
        x, y = last.x - first.x, last.y - first.y
        return first.moved(share * x, share * y)

    run = (at(start), at(end)) if fold.at == low else (at(end), at(start))
    sides = [across(point) for point in run]
    reach = (box.left, box.right) if upright else (box.bottom, box.top)
    if not all(reach[0] <= side <= reach[1] for side in sides):
        return None
    return run if (sum(sides) / 2 < middle) != is_far(edge) else None


def _length(run: _Run) -> Fraction:
    first, last = run
    return max(abs(first.x - last.x), abs(first.y - last.y))
