"""What a piece's drawing speaks of: its rings for ink and the exact sizes of its shaped corners.

In: a :class:`ResolvedPiece`.  Out: float rings, and corner and notch features with Fractions.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.drawings.kernel.plane import Place, Rect, circle_ring
from gatherfold.geometry import (
    Arc,
    Axis,
    Box,
    CornerName,
    EdgeName,
    Outline,
    Point,
    flattened,
    is_left,
    is_low,
    is_upright,
)
from gatherfold.lengths import nearest_on_grid
from gatherfold.model import CornerShape, Fold, is_front, takes_whole_box
from gatherfold.plans import as_front_shows, round_motif
from gatherfold.resolve import Hole, ResolvedPiece, Score, cut_away

Ring = tuple[Place, ...]


@dataclass(frozen=True)
class CornerFeature:
    """A shaped corner; ``inner`` is a place on its boundary for a leader to point at, ``reach``
    is the exact place as far inward as the shape goes, which is a notch's own corner."""

    corner: CornerName
    shape: CornerShape
    width: Fraction
    height: Fraction
    inner: Place
    reach: Point
    #: The section that it is a corner of; empty for the whole piece.
    section: str = ""


#: How far into its box a shaped corner reaches on the diagonal, as a share of it.
_REACHES: dict[CornerShape, float] = {
    "notch": 1.0,
    "mitre": 0.5,
    "round": 1 - math.sqrt(0.5),
}


@dataclass(frozen=True)
class ThumbNotchFeature:
    """A half circle cut into an edge; ``box`` is the square that it lies in, half of it beyond the
    piece."""

    edge: EdgeName
    radius: Fraction
    bottom: Place
    box: Rect


#: Chords in a quarter of a circle: enough for a small picture, and for a template at true size,
#: where a radius of 200 mm comes out within 0.03 mm.
ROUGH, FINE = 8, 48
#: How far a chord may stray from its circle without being seen as straight, in mm on paper.
_UNSEEN = 0.02


def smooth_chords(outline: Outline, scale: float) -> int:
    """So many chords in a quarter of a circle that no arc of the outline, drawn to this scale,
    shows its corners."""
    arcs = [edge for edge in outline.edges if isinstance(edge, Arc)]
    radii = [math.dist((a.start.x, a.start.y), (a.centre.x, a.centre.y)) * scale for a in arcs]
    turn = math.acos(1 - min(_UNSEEN / max(radii, default=1.0), 1.0))
    return max(ROUGH, math.ceil(math.pi / 4 / turn))


def outline_ring(outline: Outline, steps_in_quarter: int = ROUGH) -> Ring:
    return tuple(flattened(outline, steps_in_quarter))


def hole_ring(hole: Hole, steps_in_quarter: int = ROUGH) -> Ring:
    centre = float(hole.centre.x), float(hole.centre.y)
    return circle_ring(centre, float(hole.diameter) / 2, 4 * steps_in_quarter)


def rim_place(hole: Hole) -> Place:
    """A place on the rim of a hole, off its centre lines, for a leader to end."""
    reach = float(hole.diameter) / 2 * math.sqrt(0.5)
    return float(hole.centre.x) - reach, float(hole.centre.y) + reach


def piece_rings(piece: ResolvedPiece, steps_in_quarter: int = ROUGH) -> tuple[Ring, ...]:
    """The outline, then its windows and holes."""
    outlines = (piece.outline, *piece.windows)
    return (
        *(outline_ring(outline, steps_in_quarter) for outline in outlines),
        *(hole_ring(hole, steps_in_quarter) for hole in piece.holes),
    )


def rect_of(box: Box) -> Rect:
    return Rect(float(box.left), float(box.bottom), float(box.right), float(box.top))


def score_run(score: Score) -> tuple[Place, Place]:
    at, start, end = float(score.at), float(score.start), float(score.end)
    if score.is_vertical:
        return (at, start), (at, end)
    return (start, at), (end, at)


def leading_score(piece: ResolvedPiece, score: Score) -> Score:
    """Find the longest score on the line of one: margins that are turned in bend as that does."""
    on_line = (each for each in piece.scores if (each.axis, each.at) == (score.axis, score.at))
    return max(score, *on_line, key=lambda each: each.end - each.start)


def narrowest(piece: ResolvedPiece) -> float:
    """The least width or height, in mm, of the piece, its sections and its shaped corners."""
    corners = (*corner_features(piece), *section_corner_features(piece))
    sizes = [piece.width, piece.height]
    sizes += [side for face in piece.faces for side in (face.box.width, face.box.height)]
    sizes += [side for corner in corners for side in (corner.width, corner.height)]
    return float(min(sizes))


def is_same_from_behind(piece: ResolvedPiece) -> bool:
    """Whether the piece, turned over from side to side, has its edges, windows and holes where
    they were."""
    holes = {(hole.centre.x, hole.centre.y, hole.diameter) for hole in piece.holes}
    windows = {(p.x, p.y, Fraction(0)) for window in piece.windows for p in window.corners}
    edges = {(p.x, p.y, Fraction(0)) for p in piece.outline.corners}
    return all(
        places == {(piece.width - x, y, size) for x, y, size in places}
        for places in (holes, windows, edges)
    )


def circle_across(piece: ResolvedPiece) -> Fraction | None:
    """The diameter of a piece that is rounded to a circle; None for any other."""
    edges = piece.outline.edges
    centres = {edge.centre for edge in edges if isinstance(edge, Arc) and not edge.clockwise}
    is_circle = all(isinstance(edge, Arc) for edge in edges) and len(centres) == 1
    return piece.width if is_circle and piece.width == piece.height else None


def motif_box(piece: ResolvedPiece, grid: Fraction) -> Box | None:
    """Where the printed picture lies that a piece is cut round, on the piece as it is drawn; to the
    grid of cuts, as nobody cuts round a print closer."""
    cut = round_motif(piece, grid)
    if cut is None or piece.source.motif is None:
        return None
    box = piece.stock.motifs[piece.source.side, piece.source.motif]
    if not is_front(piece.source.side):
        cut = as_front_shows(cut, piece.stock.sheet_width)
    x, y = (nearest_on_grid(at, grid) for at in (box.left - cut.left, box.bottom - cut.bottom))
    size = [nearest_on_grid(side, grid) for side in (box.width, box.height)]
    return Box(x, y, x + size[0], y + size[1])


def needs_drawing(piece: ResolvedPiece) -> bool:
    """Whether there is more to a piece than its width and height: a shape, folds, openings, or a
    printed picture that it is cut round."""
    return not piece.is_plain or piece.motif is not None


def corner_features(piece: ResolvedPiece) -> tuple[CornerFeature, ...]:
    """The shaped corners of the whole piece with their exact sizes."""
    box = Box(Fraction(0), Fraction(0), piece.width, piece.height)
    sizes = piece.corner_sizes
    return tuple(
        _feature_at(box.corner(name), name, each.shape, sizes[name].width, sizes[name].height)
        for name, each in piece.source.corners.items()
    )


def section_corner_features(piece: ResolvedPiece) -> tuple[CornerFeature, ...]:
    """The shaped outer corners of single sections."""
    found = []
    for (section, where), corner in piece.source.section_corners.items():
        for face in (face for face in piece.faces if face.name == section):
            feature = _read_corner(piece.outline, face.box, where, corner.shape)
            if feature is not None:
                found.append(replace(feature, section=section))
    return tuple(found)


def given_by_scores(piece: ResolvedPiece, feature: CornerFeature) -> tuple[bool, bool]:
    """Whether the width and the height of a notch follow from scores that run into its corner."""
    if not takes_whole_box(feature.shape):
        return False, False
    return (
        any(s.is_vertical and s.at == feature.reach.x for s in piece.scores),
        any(not s.is_vertical and s.at == feature.reach.y for s in piece.scores),
    )


def _read_corner(
    outline: Outline, box: Box, where: CornerName, shape: CornerShape
) -> CornerFeature | None:
    """The size of a corner of one section, read off the outline's own corners within it."""
    corner = box.corner(where)
    x, y = corner.x, corner.y
    inside = [
        p for p in outline.corners if box.left <= p.x <= box.right and box.bottom <= p.y <= box.top
    ]
    widths = [abs(p.x - x) for p in inside if p.y == y]
    heights = [abs(p.y - y) for p in inside if p.x == x]
    if not widths or not heights:
        return None
    return _feature_at(corner, where, shape, min(widths), min(heights))


def _feature_at(
    corner: Point, where: CornerName, shape: CornerShape, width: Fraction, height: Fraction
) -> CornerFeature:
    inward_x = width if is_left(where) else -width
    inward_y = height if is_low(where) else -height
    reach = _REACHES[shape]
    inner = float(corner.x) + reach * float(inward_x), float(corner.y) + reach * float(inward_y)
    return CornerFeature(where, shape, width, height, inner, corner.moved(inward_x, inward_y))


@dataclass(frozen=True)
class TabFeature:
    """A glue tab: how deep it is and how much both its ends are cut away."""

    name: str
    depth: Fraction
    taper: Fraction
    end: Place


def tab_features(piece: ResolvedPiece) -> tuple[TabFeature, ...]:
    """The tabs with their sizes read off faces and outline."""
    found = []
    names = {face.name: face.box for face in piece.faces}
    for tab in piece.source.tabs:
        if (box := names.get(tab.name)) is None:
            continue
        taper = cut_away(piece.outline, box, tab.edge)
        end = float(box.left + taper / 2), float(box.centre.y)
        if is_upright(tab.edge):
            end = float(box.centre.x), float(box.bottom + taper / 2)
        found.append(TabFeature(tab.name, box.across(tab.edge), taper, end))
    return tuple(found)


def thumb_notch_features(piece: ResolvedPiece) -> tuple[ThumbNotchFeature, ...]:
    """Half circles cut into edges: the clockwise arcs of the outline."""
    found = []
    for arc in (edge for edge in piece.outline.edges if isinstance(edge, Arc) and edge.clockwise):
        radius = max(abs(arc.end.x - arc.start.x), abs(arc.end.y - arc.start.y)) / 2
        edge, dx, dy = _edge_of(piece, arc.centre)
        x, y, r = float(arc.centre.x), float(arc.centre.y), float(radius)
        box = Rect(x, y, x, y).grown(r)
        found.append(ThumbNotchFeature(edge, radius, (x + dx * r, y + dy * r), box))
    return tuple(found)


def _edge_of(piece: ResolvedPiece, centre: Point) -> tuple[EdgeName, int, int]:
    if centre.x == 0:
        return "left", 1, 0
    if centre.x == piece.width:
        return "right", -1, 0
    return ("bottom", 0, 1) if centre.y == 0 else ("top", 0, -1)


def folds_by_place(scores: Sequence[Score], axis: Axis) -> dict[Fraction, tuple[Fold, ...]]:
    """The kinds of fold at each place along one axis, in rising order."""
    found: dict[Fraction, tuple[Fold, ...]] = {}
    for score in sorted((s for s in scores if s.axis == axis), key=lambda s: s.at):
        kinds = found.get(score.at, ())
        if score.fold not in kinds:
            found[score.at] = (*kinds, score.fold)
    return found
