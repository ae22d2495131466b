"""How sections are glued as they close: seen from the side with the glue, before they are folded.

In: a resolved design, a stage of a step that glues sections, the room on paper.  Out: a scene of
the work when the glue is put on, what the step has closed before it folded in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from shapely import LineString
from shapely.geometry.base import BaseGeometry

from builder.drawings.canvas import Canvas
from builder.drawings.captions import draw_caption
from builder.drawings.closing_words import closing_equivalent
from builder.drawings.dimensions import horizontal_dimension, vertical_dimension
from builder.drawings.features import score_run
from builder.drawings.frames import draw_arrow
from builder.drawings.glue_marks import hatch_area, narrowest, rim_of
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.plane import Mapping, Place, Rect, around, bounding, fitted
from builder.drawings.scene import Scene
from builder.drawings.seen_pieces import (
    SeenPiece,
    rings_of,
    runs_of,
    runs_within,
    seen,
    turned_to_viewer,
)
from builder.drawings.step_stages import Glued, side_seen_from
from builder.drawings.styles import (
    EXISTING_FOLD_LINES,
    GREY_TEXT,
    SMALLEST_LETTERING_PT,
    Fill,
    Line,
)
from builder.drawings.wording import face_words, named, unit_word, words_of
from builder.geometry.outline import Point
from builder.resolve.resolved import ResolvedDesign, Score
from builder.resolve.seams import ResolvedSeam
from builder.wording import Wording
from builder.work import FaceKey, work_of
from builder.work.glue_areas import GlueArea

_SIDE_ROOM, _TOP_ROOM, _BOTTOM_ROOM = 14.0, 2.0, 11.0
#: The least that a strip of glue is wide on paper, and how far beside the work its length stands.
_NARROWEST_STRIP, _BESIDE = 1.4, 5.0
#: Where the arrow over the fold stands across the section, and how far it reaches either way.
_ARROW_AT, _ARROW_REACH, _ARROW_BULGE = 0.62, 0.55, 0.1
#: How far an arrow that goes behind keeps from itself at least, and reaches over the far edge.
_LEAST_HOOK, _ROUND = 0.9, 1.6
#: Of more sections than these only the piece is named.
_MOST_NAMES = 4
#: No arrow reaches further than this either way on paper.
_LONGEST_REACH = 18.0


def closing_scene(
    resolved: ResolvedDesign, stage: Glued, max_width: float, max_height: float
) -> Scene:
    """The scene of a stage that glues sections."""
    return _Picture(resolved, stage).scene(max_width, max_height)


class _Picture:
    """Sections about to be closed, and all that lies round them."""

    def __init__(self, resolved: ResolvedDesign, stage: Glued) -> None:
        self.resolved, self.stage = resolved, stage
        self.sections = tuple(dict.fromkeys(area.face for area in stage.areas))
        self.folded = tuple(key for key in stage.folded if key not in self.sections)
        upright = self.sections[0]
        flat, self.from_front = turned_to_viewer(stage.before, stage.look, upright)
        self.from_side = side_seen_from(stage.look)
        self.scale = work_of(resolved).scale
        apart = {*self.sections, *self.folded}
        found = seen(resolved.pieces, flat, self.scale, self.from_front, apart)
        self.parts, self.edges = found.stack, found.edges

    def scene(self, max_width: float, max_height: float) -> Scene:
        canvas = Canvas(max_width, max_height)
        room = Rect(_SIDE_ROOM, _BOTTOM_ROOM, max_width - _SIDE_ROOM, max_height - _TOP_ROOM)
        whole = around(
            [*(part.extent for part in self.parts), *(bounding(e.run) for e in self.edges)]
        )
        mapping = fitted(whole, room, 1.0, mirrored=not self.from_front)
        for laid in self.parts:
            self._draw(canvas, laid, mapping)
        for edge in self.edges:
            canvas.strokes([mapping.ring(edge.run)], Line.EXISTING, edge.piece)
        strips = [
            strip for area in self.stage.areas for strip in self._hatch(canvas, area, mapping)
        ]
        for seams in self._seams():
            self._dimension(canvas, seams, mapping)
        for section in self.sections:
            self._arrow(canvas, section, mapping)
        self._name(canvas, mapping, strips)
        wording = words_of(self.resolved)
        self._caption(canvas, wording)
        first = self.sections[0]
        code = self.resolved.pieces[first.piece].code
        names = wording.listed(face_words(section.face) for section in self.sections)
        title = wording.phrase("draw_glue_shut", code=code, section=names)
        key = f"close-{first.piece}-{'-'.join(section.face for section in self.sections)}"
        equivalent = closing_equivalent(
            self.resolved, self.stage.areas, self.folded, self.from_front
        )
        return canvas.scene(key, title, equivalent)

    def _laid(self, section: FaceKey) -> SeenPiece:
        """The part that shows a section; of one that stands on edge the nearest of its piece."""
        own = [laid for laid in self.parts if laid.piece.key == section.piece]
        return next((laid for laid in own if laid.has_face(section.face)), own[-1])

    def _keys(self, laid: SeenPiece) -> set[FaceKey]:
        return {FaceKey(laid.piece.key, face) for face in laid.faces}

    def _seams(self) -> list[tuple[FaceKey, tuple[ResolvedSeam, ...]]]:
        """The seams of each section that has some."""
        found = []
        for section in self.sections:
            seams = self.resolved.pieces[section.piece].seams
            own = tuple(seam for seam in seams if seam.section == section.face)
            if own:
                found.append((section, own))
        return found

    def _fold(self, section: FaceKey) -> Score | None:
        """The fold that a section turns on."""
        crease = next((c for c in self.stage.before.creases.values() if c.hanging == section), None)
        if crease is None:
            return None
        sides = {crease.staying.face, crease.hanging.face}
        piece = self.resolved.pieces[section.piece]
        return next((score for score in piece.scores if set(score.sides) == sides), None)

    def _draw(self, canvas: Canvas, laid: SeenPiece, mapping: Mapping) -> None:
        """A part, in wide lines where it is what the step folds; its folds as they lie."""
        is_new = bool(self._keys(laid) & {*self.sections, *self.folded})
        shown = self._on_paper(laid, mapping)
        canvas.area(rings_of(shown), _FILLS[is_new])
        if shown.is_empty:
            return
        flat = [
            (score, mapping.ring(laid.ring(score_run(score))))
            for score in laid.piece.scores
            if any(laid.has_face(side) for side in score.sides) and self._is_flat(laid, score)
        ]
        folds = [run for _, run in flat]
        for ring in laid.rings:
            on_paper = mapping.ring(ring)
            edges = runs_within((*on_paper, on_paper[0]), shown)
            for run in folds:
                edges = [
                    part
                    for edge in edges
                    for part in runs_of(LineString(edge).difference(LineString(run).buffer(0.02)))
                ]
            canvas.strokes(edges, _EDGES[is_new], laid.piece.key)
        for score, run in flat:
            look = EXISTING_FOLD_LINES[score.fold_seen(laid.faces_front == self.from_front)]
            canvas.strokes(runs_within(run, shown), look, "score")

    def _is_flat(self, laid: SeenPiece, score: Score) -> bool:
        """Whether the faces beside a fold lie flat beside one another."""
        sides = {FaceKey(laid.piece.key, side) for side in score.sides}
        return any(
            {crease.staying, crease.hanging} == sides and self.stage.before.angle(fold) == 0
            for fold, crease in self.stage.before.creases.items()
        )

    def _on_paper(self, laid: SeenPiece, mapping: Mapping) -> BaseGeometry:
        return mapping.shape(laid.shown)

    def _hatch(self, canvas: Canvas, area: GlueArea, mapping: Mapping) -> list[Rect]:
        """Glue on the side that is seen; returns what it takes."""
        laid = self._laid(area.face)
        if not laid.has_face(area.face.face):
            return []
        whole, glue = (
            mapping.shape(laid.placed(shape, self.scale)) for shape in (area.meeting, area.glue)
        )
        if area.edges or any(seam.section == area.face.face for seam in laid.piece.seams):
            width = narrowest(glue)
            if width < _NARROWEST_STRIP:
                glue = glue.buffer(_NARROWEST_STRIP - width, join_style="mitre")
                glue = glue.intersection(whole)
        else:
            glue = rim_of(glue)
        hatch_area(canvas, glue)
        rings = rings_of(glue)
        canvas.strokes([(*ring, ring[0]) for ring in rings], Line.FAINT, "glue")
        return [bounding(ring) for ring in rings]

    def _run(
        self, section: FaceKey, run: tuple[Point, Point], mapping: Mapping
    ) -> tuple[Place, Place]:
        places = [(float(point.x), float(point.y)) for point in run]
        start, end = mapping.ring(self._laid(section).ring(places))
        return start, end

    def _dimension(
        self, canvas: Canvas, seams: tuple[FaceKey, tuple[ResolvedSeam, ...]], mapping: Mapping
    ) -> None:
        """How long one strip is and how far from the fold it begins, beside the work."""
        section, (seam, *others) = seams
        units = self.resolved.edition.units
        fold = self._fold(section)
        length = units.number(seam.length)
        if any((s.dry, s.length) == (seam.dry, seam.length) for s in others):
            length = words_of(self.resolved).phrase("draw_each_side", distance=length)
        start, end = self._run(section, seam.runs[0], mapping)
        laid = self._laid(section)
        box = bounding(mapping.ring(laid.rings[0]))
        _beside(canvas, start, end, box, length)
        if seam.dry and fold is not None:
            first = seam.runs[0][0]
            foot = (fold.at, first.y) if fold.is_vertical else (first.x, fold.at)
            here = mapping.ring(laid.ring([(float(foot[0]), float(foot[1]))]))[0]
            _beside(canvas, here, start, box, units.number(seam.dry))

    def _arrow(self, canvas: Canvas, section: FaceKey, mapping: Mapping) -> None:
        """Over the fold, from the section to what it is folded over; round its far edge, and dashed
        behind it, where it folds away from the viewer."""
        fold, laid = self._fold(section), self._laid(section)
        if fold is None or not laid.has_face(section.face):
            return
        box = bounding(mapping.ring(laid.rings[0]))
        run = mapping.ring(laid.ring(score_run(fold)))
        (x0, y0), (x1, y1) = run[0], run[-1]
        is_level = abs(x1 - x0) > abs(y1 - y0)
        deep, wide = (box.height, box.width) if is_level else (box.width, box.height)
        out = box.centre[1] - y0 if is_level else box.centre[0] - x0
        up = 1 if out > 0 else -1
        at = (box.left if is_level else box.bottom) + _ARROW_AT * wide
        reach = min(_ARROW_REACH * deep, _LONGEST_REACH)

        def place(aside: float, away: float) -> Place:
            """So far along the fold, and away from it towards the section."""
            return (at + aside, y0 + up * away) if is_level else (x0 + up * away, at + aside)

        if self._goes_away(laid, fold):
            before, behind = _round_edge(deep, min(_ARROW_BULGE * wide, reach), reach)
            canvas.strokes([[place(*p) for p in before]], Line.FAINT, "arrow", is_obstacle=False)
            way = tuple(place(*p) for p in behind)
            draw_arrow(canvas, way, is_behind=True)
            canvas.keep_free(bounding([*way, *(place(*p) for p in before)]).grown(0.6))
            return
        bulge = min(_ARROW_BULGE * wide, reach)
        way = _over(place(0.0, reach), place(0.0, -reach), bulge)
        draw_arrow(canvas, way)
        canvas.keep_free(bounding(way).grown(0.6))

    def _goes_away(self, laid: SeenPiece, fold: Score) -> bool:
        """Whether what hangs on a fold is turned away from the viewer."""
        return fold.fold_seen(laid.faces_front == self.from_front) == "mountain"

    def _name(self, canvas: Canvas, mapping: Mapping, strips: Sequence[Rect]) -> None:
        """The sections that are glued, and those folded in before them."""
        is_piece_named = len(self.sections) > _MOST_NAMES or self._are_tabs()
        if is_piece_named:
            self._name_piece(canvas, mapping, strips)
        for section in () if is_piece_named else self.sections:
            laid = self._laid(section)
            code, face = laid.piece.code, face_words(section.face)
            texts = [f"{named(laid.piece)} ({face})", f"{code} {face}", face]
            box = bounding(mapping.ring(laid.rings[0]))
            if not inner_label(
                canvas, box, texts, NOTE_PT, bold=True, boxed=True, may_turn=False, clear_of=strips
            ):
                rest = [mapping.rect(other.extent) for other in self.parts if other is not laid]
                note(canvas, [box.centre], texts[1], bold=True, boxed=True, avoid=rest)
        for index, other in enumerate(self.parts):
            if self._keys(other) & set(self.folded):
                self._name_folded(canvas, other, mapping, self.parts[index + 1 :])

    def _are_tabs(self) -> bool:
        """Whether these are tabs, which have no names of their own."""
        tabs = {
            FaceKey(key, tab.name)
            for key in {section.piece for section in self.sections}
            for tab in self.resolved.pieces[key].source.tabs
        }
        return not tabs.isdisjoint(self.sections)

    def _name_piece(self, canvas: Canvas, mapping: Mapping, strips: Sequence[Rect]) -> None:
        """The piece alone, where its tabs or all its margins are glued; not on what lies on it."""
        piece = self.resolved.pieces[self.sections[0].piece]
        name = named(piece)
        own = [
            (index, laid)
            for index, laid in reversed(list(enumerate(self.parts)))
            if laid.piece.key == piece.key and not self._keys(laid) & set(self.sections)
        ]
        for index, laid in own:
            covers = [mapping.rect(other.extent) for other in self.parts[index + 1 :]]
            others = [*strips, *covers]
            box = mapping.rect(laid.extent)
            if inner_label(canvas, box, [name], NOTE_PT, bold=True, boxed=True, clear_of=others):
                return
        for _, laid in own:
            shown = mapping.shape(laid.shown)
            if not shown.is_empty:
                middle = shown.representative_point()
                rest = [mapping.rect(o.extent) for o in self.parts if o.piece is not piece]
                place = (middle.x, middle.y)
                note(canvas, [place], name, bold=True, boxed=True, avoid=rest)
                return

    def _name_folded(
        self, canvas: Canvas, laid: SeenPiece, mapping: Mapping, later: Sequence[SeenPiece]
    ) -> None:
        wording = words_of(self.resolved)
        text = wording.phrase("draw_folded_in", section=face_words(laid.faces[0]))
        shown = mapping.shape(laid.shown)
        if shown.is_empty:
            return
        box = bounding(mapping.ring(laid.rings[0]))
        covers = [mapping.rect(other.extent) for other in later]
        size = SMALLEST_LETTERING_PT
        if not inner_label(
            canvas, box, [text], size, boxed=True, colour=GREY_TEXT, clear_of=covers
        ):
            rest = [mapping.rect(other.extent) for other in self.parts if other is not laid]
            middle = shown.representative_point()
            place = (middle.x, middle.y)
            note(canvas, [place], text, size_pt=size, boxed=True, avoid=rest)

    def _caption(self, canvas: Canvas, wording: Wording) -> None:
        side = "draw_from_front" if self.from_front else "draw_from_behind"
        if self.from_side is not None:
            side = f"draw_from_{self.from_side}"
        words = [wording.phrase(side), wording.phrase("draw_hatched_seam")]
        shown = ((self._fold(section), self._laid(section)) for section in self.sections)
        if any(fold is not None and self._goes_away(laid, fold) for fold, laid in shown):
            words.append(wording.phrase("draw_fold_away"))
        if self._seams():
            words.insert(0, unit_word(self.resolved.edition.units))
        draw_caption(canvas, words)


_FILLS = {True: Fill.PAPER, False: Fill.EXISTING}
_EDGES = {True: Line.VISIBLE, False: Line.EXISTING}


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
    (x0, y0), (x1, y1) = sorted((start, end), key=lambda place: (place[1], place[0]))
    if abs(x1 - x0) > abs(y1 - y0):
        is_low = (y0 + y1) / 2 < box.centre[1]
        level = box.bottom - _BESIDE if is_low else box.top + _BESIDE
        left, right = sorted((start, end))
        horizontal_dimension(canvas, left[0], right[0], level, (left[1], right[1]), text)
        return
    is_left = (x0 + x1) / 2 < box.centre[0]
    level = box.left - _BESIDE if is_left else box.right + _BESIDE
    vertical_dimension(canvas, y0, y1, level, (x0, x1), text)
