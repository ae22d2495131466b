"""The cut list: every piece with its size, stock, side, scores and features, alike ones together.

In: :class:`ResolvedDesign`.  Out: rows as exact data; wording and number style come later.
"""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, assert_never

from gatherfold.formulas import Pair
from gatherfold.geometry import AXES, CORNERS, Arc, CornerName, EdgeName, bounds
from gatherfold.model import CornerShape
from gatherfold.plans import edge_of
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, cut_away

#: The place of a shape that is at all four corners.
AllCorners = Literal["all corners"]
ALL_CORNERS: AllCorners = "all corners"


@dataclass(frozen=True)
class Spot:
    """An edge or a corner of the whole piece, or of the section of this name."""

    section: str
    place: EdgeName | CornerName | AllCorners


#: What is done to a piece beside cutting and scoring it, and where the print says that it lies.
FeatureKind = Literal[
    "motif", "region", "edge", "tab", "notch of two lengths", "mitre", "mitre of two lengths",
    "round", "thumb notch", "window", "hole", "pierced hole",
]  # fmt: skip
_SHAPE_OF_TWO_LENGTHS: dict[CornerShape, FeatureKind] = {
    "notch": "notch of two lengths",
    "mitre": "mitre of two lengths",
    "round": "round",
}
#: Features that take away what a square piece is laid against the guide by, as they are called
#: whatever their lengths; None of all others.
_SHAPED_EDGES: dict[FeatureKind, str | None] = {
    "motif": None,
    "region": None,
    "edge": None,
    "tab": "tab",
    "notch of two lengths": "notch",
    "mitre": "mitre",
    "mitre of two lengths": "mitre",
    "round": "round",
    "thumb notch": "thumb notch",
    "window": None,
    "hole": None,
    "pierced hole": None,
}


@dataclass(frozen=True)
class Feature:
    """Something to do to a piece beside cutting and scoring it.

    ``lengths`` are its sizes and distances in the order that ``kind``'s wording uses them.
    ``spots`` are the edges or corners it is at; what is named otherwise is in ``name``.
    """

    kind: FeatureKind
    lengths: tuple[Fraction, ...]
    spots: tuple[Spot, ...] = ()
    name: str = ""

    @property
    def is_place_on_sheet(self) -> bool:
        """Whether it says in which region of its sheet or along which edge the piece lies."""
        return self.kind in ("region", "edge")

    @property
    def is_rounding(self) -> bool:
        """Whether it rounds corners, or all of them into a circle."""
        return self.kind == "round"

    @property
    def is_notch(self) -> bool:
        """Whether it cuts a rectangle out of corners."""
        return self.kind == "notch of two lengths"

    @property
    def is_pierced(self) -> bool:
        """Whether it is a hole that a fastening goes through."""
        return self.kind == "pierced hole"

    @property
    def where(self) -> str:
        """Where it is, as a design names it."""
        spots = (f"{spot.section} {spot.place}".replace("_", " ").strip() for spot in self.spots)
        return self.name or ", ".join(spots)


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

    @property
    def cut_after_scoring(self) -> tuple[str, ...]:
        """The shapes that are cut only after the scores are made: while the piece is square it
        lies true against the guide."""
        if not self.scores_from_left and not self.scores_from_bottom:
            return ()
        shapes = (_SHAPED_EDGES[feature.kind] for feature in self.features)
        return tuple(dict.fromkeys(shape for shape in shapes if shape is not None))


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
        tuple((feature.kind, feature.where) for feature in _place_on_sheet(piece)),
    )


def _row(group: list[ResolvedPiece]) -> CutRow:
    first = group[0]
    scores = {
        axis: tuple(dict.fromkeys(score.at for score in first.scores if score.axis == axis))
        for axis in AXES
    }
    return CutRow(
        pieces=tuple(group),
        count=sum(piece.source.count for piece in group),
        scores_from_left=scores["vertical"],
        scores_from_bottom=scores["horizontal"],
        features=features(first),
    )


def features(piece: ResolvedPiece) -> tuple[Feature, ...]:
    """Tabs, corners, thumb notches, windows and holes, each with its exact lengths.

    Tabs come first: the corners are cut out round them.
    """
    return (
        *_place_on_sheet(piece),
        *_tabs(piece),
        *_corners(piece),
        *_thumb_notches(piece),
        *_windows(piece),
        *_holes(piece),
    )


def _place_on_sheet(piece: ResolvedPiece) -> list[Feature]:
    """The printed picture that the piece is cut round, or its region and the edge it touches, as
    the front of the sheet shows it."""
    found = []
    if piece.motif is not None:
        found.append(Feature("motif", (), name=piece.motif.title))
    if piece.source.region is not None:
        region = piece.printed_side.regions[piece.source.region]
        found.append(Feature("region", (), name=region.title))
    edge = edge_of(piece)
    if edge is not None:
        found.append(Feature("edge", (), (Spot("", edge),)))
    return found


def _corners(piece: ResolvedPiece) -> list[Feature]:
    """Shaped corners of the piece and of its sections, those of one size together."""
    found: dict[tuple[FeatureKind, tuple[Fraction, ...]], list[Spot]] = {}
    for spot, shape in _shapes(piece).items():
        size = piece.corner_sizes[f"{spot.section} {spot.place}".strip()]
        kind = _corner_kind(shape, size)
        lengths = (size.width,) if kind == shape else (size.width, size.height)
        found.setdefault((kind, lengths), []).append(spot)
    everywhere = {Spot("", corner) for corner in CORNERS}
    return [
        Feature(
            kind, lengths, (Spot("", ALL_CORNERS),) if set(spots) == everywhere else tuple(spots)
        )
        for (kind, lengths), spots in found.items()
    ]


def _corner_kind(shape: CornerShape, size: Pair) -> FeatureKind:
    """A notch is always named by both its lengths, what is as wide as high by one."""
    match shape:
        case "round" | "mitre" if size.width == size.height:
            return shape
        case "notch" | "mitre" | "round":
            return _SHAPE_OF_TWO_LENGTHS[shape]
        case _:
            assert_never(shape)


def _shapes(piece: ResolvedPiece) -> dict[Spot, CornerShape]:
    shapes = {Spot("", name): corner.shape for name, corner in piece.source.corners.items()}
    for (section, name), corner in piece.source.section_corners.items():
        shapes[Spot(section, name)] = corner.shape
    return shapes


def _tabs(piece: ResolvedPiece) -> list[Feature]:
    """Glue tabs by their depth, the distance from the fold to the tab's outer edge, and by how
    much is cut away at both their ends."""
    found: dict[tuple[Fraction, Fraction], list[Spot]] = {}
    for tab in piece.source.tabs:
        box = piece.face(f"{tab.section}_{tab.edge}_tab").box
        depth = box.across(tab.edge)
        taper = cut_away(piece.outline, box, tab.edge)
        found.setdefault((depth, taper), []).append(Spot(tab.section, tab.edge))
    return [Feature("tab", lengths, tuple(spots)) for lengths, spots in found.items()]


def _thumb_notches(piece: ResolvedPiece) -> list[Feature]:
    arcs = [e for e in piece.outline.edges if isinstance(e, Arc) and e.clockwise]
    found = []
    for edge in piece.source.thumb_notches:
        for arc in arcs:
            if _edge_of(piece, arc) == edge:
                found.append(Feature("thumb notch", (2 * arc.radius,), (Spot("", edge),)))
    return found


def _edge_of(piece: ResolvedPiece, arc: Arc) -> EdgeName:
    if arc.centre.y == 0:
        return "bottom"
    if arc.centre.y == piece.height:
        return "top"
    return "left" if arc.centre.x == 0 else "right"


def _windows(piece: ResolvedPiece) -> list[Feature]:
    return [
        Feature("window", (box.width, box.height, box.left, box.bottom))
        for box in map(bounds, piece.windows)
    ]


def _holes(piece: ResolvedPiece) -> list[Feature]:
    return [
        Feature(
            "hole" if hole.fastening is None else "pierced hole",
            (hole.diameter, hole.centre.x, hole.centre.y),
            name=hole.fastening or "",
        )
        for hole in piece.holes
    ]
