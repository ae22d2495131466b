"""The cut list: every piece with its size, stock, side, scores and features, alike ones together.

In: :class:`ResolvedDesign`.  Out: rows as exact data; wording and number style come later.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.formulas import Pair
from builder.geometry.outline import Arc, Line
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece


@dataclass(frozen=True)
class Feature:
    """Something to do to a piece beside cutting and scoring it.

    ``lengths`` are its sizes and distances in the order that ``kind``'s wording uses them.
    """

    kind: str
    where: str
    lengths: tuple[Fraction, ...]


@dataclass(frozen=True)
class CutRow:
    """One line of the cut list: pieces that are cut and shaped alike from one side of a stock."""

    pieces: tuple[ResolvedPiece, ...]
    count: int
    scores_from_left: tuple[Fraction, ...]
    scores_from_bottom: tuple[Fraction, ...]
    features: tuple[Feature, ...]

    @property
    def first(self) -> ResolvedPiece:
        return self.pieces[0]


def cut_list(resolved: ResolvedDesign) -> tuple[CutRow, ...]:
    """Rows in the order of the stocks, then of the design."""
    groups: dict[object, list[ResolvedPiece]] = {}
    for key in resolved.stocks:
        for piece in resolved.pieces.values():
            if piece.stock.key == key:
                groups.setdefault(_likeness(piece), []).append(piece)
    return tuple(_row(group) for group in groups.values())


def _likeness(piece: ResolvedPiece) -> object:
    """Equal for pieces that are made in the same way, whatever they are called."""
    holes = tuple((hole.centre, hole.diameter) for hole in piece.holes)
    return (
        piece.stock.key,
        piece.source.side,
        piece.source.kind,
        piece.outline,
        piece.scores,
        holes,
        piece.windows,
    )


def _row(group: list[ResolvedPiece]) -> CutRow:
    first = group[0]
    scores = {
        axis: tuple(dict.fromkeys(score.at for score in first.scores if score.axis == axis))
        for axis in ("vertical", "horizontal")
    }
    return CutRow(
        pieces=tuple(group),
        count=sum(piece.source.count for piece in group),
        scores_from_left=scores["vertical"],
        scores_from_bottom=scores["horizontal"],
        features=features(first),
    )


def features(piece: ResolvedPiece) -> tuple[Feature, ...]:
    """Corners, thumb notches, windows and holes, each with its exact lengths."""
    return (*_corners(piece), *_thumb_notches(piece), *_windows(piece), *_holes(piece))


def _corners(piece: ResolvedPiece) -> list[Feature]:
    found: dict[tuple[str, tuple[Fraction, ...]], list[str]] = {}
    for name, corner in piece.source.corners.items():
        size = _corner_size(piece, name)
        lengths = (size.width, size.height) if corner.shape == "notch" else (size.width,)
        found.setdefault((corner.shape, lengths), []).append(name)
    return [
        Feature(shape, "all corners" if len(names) == 4 else ", ".join(names), lengths)
        for (shape, lengths), names in found.items()
    ]


def _corner_size(piece: ResolvedPiece, corner: str) -> Pair:
    """The size of a shaped corner, read off the finished outline.

    The outline leaves the two sides at the corner's ends, so the nearest points on the two sides
    tell how far the shape reaches.
    """
    x = Fraction(0) if "left" in corner else piece.width
    y = Fraction(0) if "bottom" in corner else piece.height
    along_x = min(abs(p.x - x) for p in piece.outline.corners if p.y == y)
    along_y = min(abs(p.y - y) for p in piece.outline.corners if p.x == x)
    return Pair(along_x, along_y)


def _thumb_notches(piece: ResolvedPiece) -> list[Feature]:
    arcs = [e for e in piece.outline.edges if isinstance(e, Arc) and e.clockwise]
    found = []
    for notch in piece.source.thumb_notches:
        for arc in arcs:
            if _edge_of(piece, arc) == notch.edge:
                radius = max(abs(arc.start.x - arc.centre.x), abs(arc.start.y - arc.centre.y))
                found.append(Feature("thumb notch", notch.edge, (2 * radius,)))
    return found


def _edge_of(piece: ResolvedPiece, arc: Arc) -> str:
    if arc.centre.y == 0:
        return "bottom"
    if arc.centre.y == piece.height:
        return "top"
    return "left" if arc.centre.x == 0 else "right"


def _windows(piece: ResolvedPiece) -> list[Feature]:
    found = []
    for window in piece.windows:
        xs = [edge.start.x for edge in window.edges if isinstance(edge, Line)]
        ys = [edge.start.y for edge in window.edges if isinstance(edge, Line)]
        size = (max(xs) - min(xs), max(ys) - min(ys))
        found.append(Feature("window", "", (*size, min(xs), min(ys))))
    return found


def _holes(piece: ResolvedPiece) -> list[Feature]:
    return [
        Feature(
            "hole" if hole.fastening is None else "pierced hole",
            hole.fastening or "",
            (hole.diameter, hole.centre.x, hole.centre.y),
        )
        for hole in piece.holes
    ]
