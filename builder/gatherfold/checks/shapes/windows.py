"""Windows: a frame wide enough, in one face, with all of one picture behind.

In: a resolved design, its steps played.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from gatherfold.checks.report import finding_kind
from gatherfold.checks.shapes.laid import Resting, in_mm, rounded
from gatherfold.findings import Finding
from gatherfold.geometry import Outline, flattened
from gatherfold.lengths import up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, Score
from gatherfold.work import FaceKey, in_own, shape_of, work_of

#: So wide is a frame that can be cut and handled, in mm (common practice, no source).
_FRAME = 3
#: What covers more than this of a window covers it, and less than this nothing of it.
_ALL, _NOTHING = 0.97, 0.03


def check_windows(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every window, as it is cut and as the work lies open."""
    for piece in resolved.pieces.values():
        for window in piece.windows:
            yield from _cut(resolved, piece, window)
            yield from _pictures(resolved, piece, Polygon(flattened(window)))


def _cut(resolved: ResolvedDesign, piece: ResolvedPiece, window: Outline) -> Iterator[Finding]:
    opening, paper = Polygon(flattened(window)), Polygon(flattened(piece.outline))
    frame = opening.distance(paper.exterior) if paper.contains(opening) else 0.0
    if frame < _FRAME:
        grid = resolved.edition.grid
        wanted = up_to_grid(rounded(_FRAME, grid), grid)
        yield finding_kind("window-near-edge").found(
            resolved, piece, frame=rounded(frame, grid), wanted=wanted
        )
    for score in piece.scores:
        if opening.intersection(_line(score)).length > float(resolved.tolerance):
            first, second = score.sides
            yield finding_kind("window-across-fold").found(
                resolved, piece, first=first, second=second
            )


def _line(score: Score) -> LineString:
    at, start, end = float(score.at), float(score.start), float(score.end)
    ends = [(at, start), (at, end)] if score.is_vertical else [(start, at), (end, at)]
    return LineString(ends)


def _pictures(
    resolved: ResolvedDesign, piece: ResolvedPiece, opening: BaseGeometry
) -> Iterator[Finding]:
    """What carries a photograph or a motif in the same plane, and looks out of the window in part
    only: it neither fills it nor lies all within it."""
    work, plates = work_of(resolved), work_of(resolved).opened.plates
    own = plates.get(FaceKey(piece.key, piece.by))
    if own is None:
        return
    for key, plate in plates.items():
        other = resolved.pieces[key.piece]
        is_picture = other.source.has(Trait.CARRIES_PHOTOGRAPH) or other.motif is not None
        if not is_picture or key.piece == piece.key or not plate.shares_plane(own):
            continue
        shape = in_mm(in_own(own, shape_of(plate)), work.scale)
        seen = opening.intersection(shape).area
        if _NOTHING * opening.area < seen < _ALL * min(opening.area, shape.area):
            yield finding_kind("window-out-of-line").found(resolved, piece, picture=key.piece)


def check_window_covers(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """What is glued over a window on the side that looks away from what its piece is glued to."""
    host = laid.host.source.placement
    if host is None or not laid.host.glued or not laid.is_glued or not laid.faces:
        return
    for window in laid.host.windows:
        opening = Polygon(flattened(window))
        if laid.shape.intersection(opening).area > _ALL * opening.area and laid.is_outside:
            yield finding_kind("window-covered").found(resolved, laid.piece, host=laid.host.key)
            return
