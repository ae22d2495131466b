"""The cut list: every piece with its size, stock, side, scores and features, alike ones together.

In: :class:`ResolvedDesign`.  Out: rows as exact data; wording and number style come later.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.design import CORNERS
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
    return (
        *_motif(piece),
        *_corners(piece),
        *_tabs(piece),
        *_thumb_notches(piece),
        *_windows(piece),
        *_holes(piece),
    )


def _motif(piece: ResolvedPiece) -> list[Feature]:
    """The printed picture that the piece is cut round."""
    motif = piece.motif
    return [] if motif is None else [Feature("motif", motif.title, ())]


def _corners(piece: ResolvedPiece) -> list[Feature]:
    """Shaped corners of the piece and of its sections, those of one size together."""
    found: dict[tuple[str, tuple[Fraction, ...]], list[str]] = {}
    for name, shape in _shapes(piece).items():
        size = piece.corner_sizes[name]
        both = shape == "notch" or size.width != size.height
        kind = f"{shape} of two lengths" if both else shape
        lengths = (size.width, size.height) if both else (size.width,)
        found.setdefault((kind, lengths), []).append(name.replace("_", " "))
    return [
        Feature(kind, "all corners" if set(names) == set(CORNERS) else ", ".join(names), lengths)
        for (kind, lengths), names in found.items()
    ]


def _shapes(piece: ResolvedPiece) -> dict[str, str]:
    shapes = {name: corner.shape for name, corner in piece.source.corners.items()}
    for (section, name), corner in piece.source.section_corners.items():
        shapes[f"{section} {name}"] = corner.shape
    return shapes


def _tabs(piece: ResolvedPiece) -> list[Feature]:
    """Glue tabs by their depth: the distance from the fold to the tab's outer edge."""
    found: dict[Fraction, list[str]] = {}
    for tab in piece.source.tabs:
        box = piece.face(f"{tab.section}_{tab.edge}_tab").box
        depth = box.width if tab.edge in ("left", "right") else box.height
        found.setdefault(depth, []).append(f"{tab.section} {tab.edge}".replace("_", " "))
    return [Feature("tab", ", ".join(names), (depth,)) for depth, names in found.items()]


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
