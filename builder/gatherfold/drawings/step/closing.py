"""How sections are glued as they close: seen from the side with the glue, before they are folded.

In: a resolved design, a stage of a step that glues sections, the room on paper.  Out: a scene of
the work when the glue is put on, what the step has closed before it folded in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import LineString, unary_union

from gatherfold.drawings.dimensions.placing import dimension_between
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import BLACK, GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from gatherfold.drawings.kernel.wording import face_words, named, unit_word, words_of
from gatherfold.drawings.kernel.wrapping import draw_caption
from gatherfold.drawings.labels.labels import NOTE_PT, inner_label, note
from gatherfold.drawings.motion.frames import draw_arrow
from gatherfold.drawings.step.assembly import draw_stack
from gatherfold.drawings.step.glue import hatched
from gatherfold.drawings.step.stages import Glued
from gatherfold.drawings.step.view import View, whole_view, work_at
from gatherfold.drawings.step.words import closing_equivalent, side_words
from gatherfold.drawings.views.features import score_run
from gatherfold.drawings.views.seen_pieces import SeenPiece, polygons_of, rings_of
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedSeam, Score
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
#: Of more sections than these only the piece is named.
_MOST_NAMES = 4
#: No arrow reaches further than this either way on paper.
_LONGEST_REACH = 16.0


def closing_scene(
    resolved: ResolvedDesign, stage: Glued, max_width: float, max_height: float
) -> Scene:
    """The scene of a stage that glues sections."""
    wording = words_of(resolved)
    canvas = Canvas(max_width, max_height)
    view = whole_view(work_at(resolved, stage), canvas.frame)
    draw_stack(canvas, resolved, view)
    sections = [_section(resolved, stage, view, key) for key in stage.sections]
    for section in sections:
        if section.seams:
            _dimension(canvas, resolved, view, section)
    for section in sections:
        _draw_arrow(canvas, view, section)
    _name(canvas, resolved, stage, view, sections)
    words = [side_words(resolved, view.work), wording.phrase("draw_hatched_seam")]
    if any(section.goes_away for section in sections):
        words.append(wording.phrase("draw_fold_away"))
    if any(section.seams for section in sections):
        words.insert(0, unit_word(resolved.edition.units))
    draw_caption(canvas, words)
    first = resolved.pieces[stage.sections[0].piece]
    names = wording.listed(face_words(key.face) for key in stage.sections)
    return canvas.scene(
        f"close-{first.key}-{'-'.join(key.face for key in stage.sections)}",
        wording.phrase("draw_glue_shut", code=first.code, section=names),
        closing_equivalent(resolved, view.work, stage.folded),
    )


@dataclass(frozen=True, eq=False)
class _Section:
    """A section that is glued: the part that shows it, its ``box`` on paper, the fold that it turns
    on, where it shows flat, and its seams."""

    key: FaceKey
    laid: SeenPiece
    box: Rect
    fold: Score | None
    goes_away: bool
    seams: tuple[ResolvedSeam, ...]

    def run(self, view: View, places: Sequence[Place]) -> tuple[Place, ...]:
        """Places of its piece on paper."""
        return view.mapping.ring(self.laid.ring(places))


def _section(resolved: ResolvedDesign, stage: Glued, view: View, key: FaceKey) -> _Section:
    piece = resolved.pieces[key.piece]
    flat = view.work.with_face(key)
    laid, is_flat = flat or view.work.parts(key.piece)[-1], flat is not None
    creases = stage.before.creases.values()
    sides = [{crease.staying.face, key.face} for crease in creases if crease.hanging == key]
    fold = next((score for score in piece.scores if set(score.sides) in sides), None)
    seen_as = fold.fold_seen(laid.faces_front == view.work.from_front) if fold else ""
    return _Section(
        key,
        laid,
        view.mapping.rect(laid.face_rect(key.face) if is_flat else laid.extent),
        fold if is_flat else None,
        is_flat and seen_as == "mountain",
        tuple(seam for seam in piece.seams if seam.section == key.face),
    )


def _dimension(canvas: Canvas, resolved: ResolvedDesign, view: View, section: _Section) -> None:
    """How long one strip is and how far from the fold it begins, beside the work."""
    units, fold, (seam, *others) = resolved.edition.units, section.fold, section.seams
    length = units.number(seam.length)
    if any((s.dry, s.length) == (seam.dry, seam.length) for s in others):
        length = words_of(resolved).phrase("draw_each_side", distance=length)
    first, last = seam.runs[0]
    start, end = section.run(view, [(float(p.x), float(p.y)) for p in (first, last)])
    _beside(canvas, start, end, section.box, length)
    if seam.dry and fold is not None:
        foot = (fold.at, first.y) if fold.is_vertical else (first.x, fold.at)
        (here,) = section.run(view, [(float(foot[0]), float(foot[1]))])
        _beside(canvas, here, start, section.box, units.number(seam.dry))


def _draw_arrow(canvas: Canvas, view: View, section: _Section) -> None:
    """Over the fold, from the section to what it is folded over; round its far edge, and dashed
    behind it, where it folds away from the viewer."""
    if section.fold is None:
        return
    box = section.box
    (x0, y0), *_, (x1, y1) = section.run(view, score_run(section.fold))
    is_level = abs(x1 - x0) > abs(y1 - y0)
    deep, wide = (box.height, box.width) if is_level else (box.width, box.height)
    out = box.centre[1] - y0 if is_level else box.centre[0] - x0
    up = 1 if out > 0 else -1
    across = _ARROW_AT if wide > _NARROW else 0.5
    at = (box.left if is_level else box.bottom) + across * wide
    reach = min(_ARROW_REACH * deep, _LONGEST_REACH)
    beyond = max(reach, _LEAST_REACH)
    bulge = max(min(_ARROW_BULGE * wide, reach), _LEAST_BULGE)

    def place(aside: float, away: float) -> Place:
        """So far along the fold, and away from it towards the section."""
        return (at + aside, y0 + up * away) if is_level else (x0 + up * away, at + aside)

    before: list[Place] = []
    way = _over(place(0.0, reach), place(0.0, -beyond), bulge)
    if section.goes_away:
        hook, behind = _round_edge(deep, min(_ARROW_BULGE * wide, reach), beyond)
        before, way = [place(*p) for p in hook], tuple(place(*p) for p in behind)
    _clear_hatching(canvas, view, section, [run for run in (before, way) if run])
    if before:
        canvas.strokes([before], Line.FAINT, "arrow", is_obstacle=False)
    draw_arrow(canvas, way, is_behind=section.goes_away)
    canvas.keep_free(bounding([*way, *before]).grown(_WHITE))


def _clear_hatching(
    canvas: Canvas, view: View, section: _Section, runs: Sequence[Sequence[Place]]
) -> None:
    """White round an arrow where it lies over the hatching of a section."""
    arrow = unary_union([LineString(run) for run in runs]).buffer(_WHITE)
    for shape in hatched(view, section.laid):
        for part in polygons_of(arrow.intersection(shape.buffer(-_WHITE / 2))):
            canvas.area(rings_of(part), Fill.PAPER)


def _name(
    canvas: Canvas,
    resolved: ResolvedDesign,
    stage: Glued,
    view: View,
    sections: Sequence[_Section],
) -> None:
    """The sections that are glued, and those folded in before them; of tabs, which have no names of
    their own, and of very many sections the piece alone."""
    wording, pieces = words_of(resolved), [resolved.pieces[key] for key in view.work.new]
    tabs = {FaceKey(piece.key, tab.name) for piece in pieces for tab in piece.source.tabs}
    strips = [
        bounding(ring)
        for laid in view.stack
        for shape in hatched(view, laid)
        for ring in rings_of(shape)
    ]
    if len(sections) > _MOST_NAMES or not tabs.isdisjoint(stage.sections):
        laid = max(view.work.parts(pieces[0].key), key=lambda each: each.shown.area)
        _write(canvas, view, laid, [named(laid.piece)], strips)
    else:
        for section in sections:
            code, face = section.laid.piece.code, face_words(section.key.face)
            texts = [f"{named(section.laid.piece)} ({face})", f"{code} {face}", face]
            _write(canvas, view, section.laid, texts, strips, section.box)
    for laid in view.stack:
        if not laid.shown.is_empty and set(laid.keys) & set(stage.folded):
            text = wording.phrase("draw_folded_in", section=face_words(laid.faces[0]))
            _write(canvas, view, laid, [text])


def _write(
    canvas: Canvas,
    view: View,
    laid: SeenPiece,
    texts: Sequence[str],
    strips: Sequence[Rect] | None = None,
    box: Rect | None = None,
) -> None:
    """A name within a part, or within a ``box`` of it, clear of what lies over it and of strips of
    glue, else beside it; grey where it has none."""
    clear_of = [*(strips or ()), *view.covers(laid)]
    is_bold = strips is not None
    size, colour = (NOTE_PT, BLACK) if is_bold else (SMALLEST_LETTERING_PT, GREY_TEXT)
    if inner_label(
        canvas, box or view.rect(laid), texts, size,
        bold=is_bold, boxed=True, colour=colour, clear_of=clear_of,
    ):  # fmt: skip
        return
    middle = view.shown(laid).representative_point()
    place = box.centre if box else (middle.x, middle.y)
    rest = [view.rect(other) for other in view.stack if other.piece is not laid.piece]
    note(canvas, [place], texts[:2][-1], size_pt=size, bold=is_bold, boxed=True, avoid=rest)


def _round_edge(
    deep: float, half: float, reach: float
) -> tuple[list[tuple[float, float]], list[tuple[float, float]]]:
    """The way round the far edge of a section that is ``deep``, beside its middle and away from its
    fold: before it from its middle to the edge and round that, then behind it and over the fold."""
    half = min(max(half, _LEAST_HOOK), deep / 2)
    angles = [math.pi * step / 12 for step in range(13)]
    turn = [(-half * math.cos(a), deep + min(half, _ROUND) * math.sin(a)) for a in angles]
    return [(-half, deep / 2), *turn], [turn[-1], (half, 0.0), (half, -reach)]


def _over(start: Place, end: Place, bulge: float) -> tuple[Place, ...]:
    """Half an ellipse from one place to another, bulging to the right of the way."""
    (x0, y0), (x1, y1) = start, end
    length = math.dist(start, end)
    side = ((y1 - y0) / length, (x0 - x1) / length)
    found = []
    for number in range(25):
        share, out = (1 - math.cos(math.pi * number / 24)) / 2, math.sin(math.pi * number / 24)
        x, y = x0 + share * (x1 - x0), y0 + share * (y1 - y0)
        found.append((x + bulge * out * side[0], y + bulge * out * side[1]))
    return tuple(found)


def _beside(canvas: Canvas, start: Place, end: Place, box: Rect, text: str) -> None:
    """A distance along the longer way between two places, outside the box on their side of it."""
    away = abs(end[0] - start[0]) > abs(end[1] - start[1])
    near, far = (box.bottom, box.top) if away else (box.left, box.right)
    is_nearer = (start[away] + end[away]) / 2 < box.centre[away]
    level, out = (near, -_BESIDE) if is_nearer else (far, _BESIDE)
    dimension_between(canvas, start, end, text, (level + out, level + 2 * out))
