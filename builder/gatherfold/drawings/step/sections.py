"""Sections that are glued as they close: how long their seams are, and over which fold they turn.

In: a view of the work when the glue is put on.  Out: dimensions and arrows on the canvas.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely import LineString, unary_union

from gatherfold.drawings.dimensions.placing import dimension_between
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.drawings.step.glue import hatched
from gatherfold.drawings.step.view import View
from gatherfold.drawings.views.features import score_run
from gatherfold.drawings.views.seen_pieces import SeenPiece, polygons_of, rings_of
from gatherfold.geometry import Point
from gatherfold.model import Fold
from gatherfold.resolve import Score
from gatherfold.work import FaceKey

#: How far beside the work the length of a seam stands.
_BESIDE = 5.0
#: Where the arrow over the fold stands across the section, and how far it reaches either way:
#: beside its name, but in the middle of one narrower than this in mm on paper, which has none.
_ARROW_AT, _ARROW_REACH, _ARROW_BULGE = 0.62, 0.55, 0.1
_NARROW = 16.0
#: How far an arrow that goes behind keeps from itself at least, and reaches over the far edge.
_LEAST_HOOK, _ROUND = 0.9, 1.6
#: How far an arrow goes beyond the fold, and one before the section bulges, at least.
_LEAST_REACH, _LEAST_BULGE = 5.0, 1.6
#: How far the hatching keeps off the arrow, and that room off the edges of what is hatched.
_WHITE = 0.6
#: No arrow reaches further than this either way on paper.
_LONGEST_REACH = 16.0


@dataclass(frozen=True, eq=False)
class GluedSection:
    """A section that is glued: the part that shows it, its ``box`` on paper, and the fold that it
    turns on, as that is seen, where it shows flat."""

    key: FaceKey
    laid: SeenPiece
    box: Rect
    fold: Score | None = None
    seen_as: Fold | None = None


def section_of(view: View, key: FaceKey) -> GluedSection:
    """A section of a piece as a view shows it."""
    laid = view.work.with_face(key)
    if laid is None:
        laid = view.work.parts(key.piece)[-1]
        return GluedSection(key, laid, view.mapping.rect(laid.extent))
    box = view.mapping.rect(laid.face_rect(key.face))
    creases = view.work.assembly.creases.values()
    sides = [{crease.staying.face, key.face} for crease in creases if crease.hanging == key]
    fold = next((score for score in laid.piece.scores if set(score.sides) in sides), None)
    seen_as = fold.fold_seen(laid.faces_front == view.work.from_front) if fold else None
    return GluedSection(key, laid, box, fold, seen_as)


def draw_sections(canvas: Canvas, view: View) -> None:
    """The lengths of the seams of all sections that are glued, then their arrows."""
    sections = [section_of(view, key) for key in view.work.sections]
    for section in sections:
        _dimension_seam(canvas, view, section)
    for section in sections:
        if section.fold is not None:
            _draw_arrow(canvas, view, section, section.fold)


def _dimension_seam(canvas: Canvas, view: View, section: GluedSection) -> None:
    """How long one strip is and how far from the fold it begins, beside the work."""
    units, fold, laid = view.work.units, section.fold, section.laid
    seams = [seam for seam in laid.piece.seams if seam.section == section.key.face]
    if not seams:
        return
    seam, *others = seams
    length = units.number(seam.length)
    if any((s.dry, s.length) == (seam.dry, seam.length) for s in others):
        length = view.work.wording.phrase("draw_each_side", distance=length)
    first, last = seam.runs[0]
    places, texts = [last, first], [length]
    if seam.dry and fold is not None:
        foot = Point(fold.at, first.y) if fold.is_vertical else Point(first.x, fold.at)
        places, texts = [*places, foot], [length, units.number(seam.dry)]
    run = view.mapping.ring(laid.ring([(float(p.x), float(p.y)) for p in places]))
    for text, (start, end) in zip(texts, pairwise(run), strict=True):
        # Outside the section, on the side on which the strip lies.
        away = abs(end[0] - start[0]) > abs(end[1] - start[1])
        near, far = (section.box.bottom, section.box.top) if away else section.box[::2]
        is_nearer = (start[away] + end[away]) / 2 < section.box.centre[away]
        level, out = (near, -_BESIDE) if is_nearer else (far, _BESIDE)
        dimension_between(canvas, start, end, text, (level + out, level + 3 * out))


def _draw_arrow(canvas: Canvas, view: View, section: GluedSection, fold: Score) -> None:
    """Over the fold, from the section to what it is folded over; round its far edge, and dashed
    behind it, where it folds away from the viewer."""
    box, goes_away = section.box, section.seen_as == "mountain"
    (x0, y0), *_, (x1, y1) = view.mapping.ring(section.laid.ring(score_run(fold)))
    is_level = abs(x1 - x0) > abs(y1 - y0)
    deep, wide = (box.height, box.width) if is_level else (box.width, box.height)
    out = box.centre[1] - y0 if is_level else box.centre[0] - x0
    up = 1 if out > 0 else -1
    across = _ARROW_AT if wide > _NARROW else 0.5
    at = (box.left if is_level else box.bottom) + across * wide
    reach = min(_ARROW_REACH * deep, _LONGEST_REACH)
    beyond, bulge = max(reach, _LEAST_REACH), min(_ARROW_BULGE * wide, reach)
    arrow = _behind if goes_away else _over
    before, way = (
        [
            (at + aside, y0 + up * away) if is_level else (x0 + up * away, at + aside)
            for aside, away in run
        ]
        for run in arrow(deep, bulge, reach, beyond)
    )
    _clear_hatching(canvas, view, section, [run for run in (before, way) if run])
    canvas.strokes([before], Line.FAINT, "arrow", is_obstacle=False)
    draw_arrow(canvas, tuple(way), is_behind=goes_away)
    canvas.keep_free(bounding([*way, *before]).grown(_WHITE))


def _clear_hatching(
    canvas: Canvas, view: View, section: GluedSection, runs: Sequence[Sequence[Place]]
) -> None:
    """White round an arrow where it lies over the hatching of a section."""
    arrow = unary_union([LineString(run) for run in runs]).buffer(_WHITE)
    for shape in hatched(view, section.laid):
        for part in polygons_of(arrow.intersection(shape.buffer(-_WHITE / 2))):
            canvas.area(rings_of(part), Fill.PAPER)


#: What of an arrow lies before a section's edge and what leads to its head: places by how far they
#: are along the fold, and away from it towards the section.
_Arrow = tuple[list[Place], list[Place]]
_HALF_TURN = tuple(math.pi * step / 24 for step in range(25))


def _over(deep: float, bulge: float, reach: float, beyond: float) -> _Arrow:
    """Half an ellipse from a section over its fold."""
    bulge, middle, half = max(bulge, _LEAST_BULGE), (reach - beyond) / 2, (reach + beyond) / 2
    return [], [(bulge * math.sin(a), middle + half * math.cos(a)) for a in _HALF_TURN]


def _behind(deep: float, bulge: float, reach: float, beyond: float) -> _Arrow:
    """From the middle of a section to its far edge and round that, then behind it and over its
    fold."""
    half = min(max(bulge, _LEAST_HOOK), deep / 2)
    turn = [(-half * math.cos(a), deep + min(half, _ROUND) * math.sin(a)) for a in _HALF_TURN]
    return [(-half, deep / 2), *turn], [turn[-1], (half, 0.0), (half, -beyond)]
