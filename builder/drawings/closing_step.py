"""How a section is glued shut: seen from the side that it folds over, glue hatched on its edges.

In: a resolved design, a step that closes sections for good, the pieces already there, the room on
paper.  Out: a scene for each section with seams, the section itself still open and those that the
step closes before it folded in.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from builder.design import Step
from builder.drawings.canvas import Canvas
from builder.drawings.captions import draw_caption
from builder.drawings.closed_stack import strip_depth
from builder.drawings.closed_work import LaidFace, laid_faces
from builder.drawings.closing_words import closing_equivalent
from builder.drawings.dimensions import horizontal_dimension, vertical_dimension
from builder.drawings.features import piece_rings, rect_of, score_run
from builder.drawings.frames import draw_arrow
from builder.drawings.hatching import GLUE
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.plane import (
    Mapping,
    Place,
    Rect,
    around,
    bounding,
    clipped_run,
    fitted,
)
from builder.drawings.scene import Scene
from builder.drawings.styles import (
    EXISTING_FOLD_LINES,
    GREY_TEXT,
    SMALLEST_LETTERING_PT,
    Fill,
    Line,
)
from builder.drawings.wording import face_words, named, unit_word, words_of
from builder.geometry.outline import Point
from builder.resolve.closed_for_good import closed_sections, fold_of_section
from builder.resolve.placement import FaceKey, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.resolve.seams import ResolvedSeam
from builder.resolve.turns import folded_faces, only, turn_of
from builder.wording import Wording

_SIDE_ROOM, _TOP_ROOM, _BOTTOM_ROOM = 14.0, 2.0, 11.0
#: The least that a strip of glue is wide on paper, and how far beside the work its length stands.
_NARROWEST_STRIP, _BESIDE = 1.4, 5.0
#: Where the arrow over the fold stands across the section, and how far it reaches either way.
_ARROW_AT, _ARROW_REACH, _ARROW_BULGE = 0.62, 0.55, 0.1


def closing_scenes(
    resolved: ResolvedDesign,
    step: Step,
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> tuple[Scene, ...]:
    """A scene for each section that the step glues shut, in its order."""
    closed = _closed_before(resolved, step)
    scenes = []
    for key, section in closed_sections(step):
        if any(seam.section == section for seam in resolved.pieces[key].seams):
            picture = _Picture(resolved, (key, section), tuple(closed), present)
            scenes.append(picture.scene(max_width, max_height))
        closed.append((key, section))
    return tuple(scenes)


def _closed_before(resolved: ResolvedDesign, step: Step) -> list[FaceKey]:
    steps = resolved.design.steps
    return [each for before in steps[: steps.index(step)] for each in closed_sections(before)]


class _Picture:
    """One section about to be closed, and all that lies round it."""

    def __init__(
        self,
        resolved: ResolvedDesign,
        section: FaceKey,
        closed: Sequence[FaceKey],
        present: Sequence[str],
    ) -> None:
        self.resolved, self.section = resolved, section
        self.piece = resolved.pieces[section[0]]
        self.seams = tuple(s for s in self.piece.seams if s.section == section[1])
        self.folded = tuple(each for each in closed if each[0] == section[0])
        tree = tree_of(resolved)
        motions = [turn_of(tree, *each).angles for each in closed]
        root = tree.root_of(section[0])
        placed = only(folded_faces(resolved, root, motions), {*present, root})
        own = next(face for face in placed if (face.piece, face.face) == section)
        fold = fold_of_section(self.piece, section[1])
        assert fold is not None
        self.fold = fold[1]
        self.from_front = (own.pose.normal[2] > 0) == self.fold.is_valley
        self.faces = tuple(laid_faces(resolved, placed, self.from_front))
        self.turned = {(f.piece, f.face) for f in placed if _is_turned(f, own)}

    def scene(self, max_width: float, max_height: float) -> Scene:
        canvas = Canvas(max_width, max_height)
        room = Rect(_SIDE_ROOM, _BOTTOM_ROOM, max_width - _SIDE_ROOM, max_height - _TOP_ROOM)
        whole = around(laid.extent for laid in self.faces)
        mapping = fitted(whole, room, 1.0, mirrored=not self.from_front)
        for laid in self.faces:
            self._draw(canvas, laid, mapping)
        strips = [self._hatch(canvas, seam, mapping) for seam in self.seams]
        self._dimension(canvas, self.seams[0], mapping)
        self._arrow(canvas, mapping)
        self._name(canvas, mapping, [strip for strip in strips if strip])
        wording = words_of(self.resolved)
        self._caption(canvas, wording)
        code = self.piece.code
        words = {"code": code, "section": face_words(self.section[1])}
        title = wording.phrase("draw_glue_shut", **words)
        key = f"close-{self.section[0]}-{self.section[1]}"
        equivalent = closing_equivalent(self.resolved, self.section, self.folded, self.from_front)
        return canvas.scene(key, title, equivalent)

    def _laid(self) -> LaidFace:
        return next(laid for laid in self.faces if self._key(laid) == self.section)

    def _key(self, laid: LaidFace) -> FaceKey:
        return laid.piece.key, laid.face

    def _draw(self, canvas: Canvas, laid: LaidFace, mapping: Mapping) -> None:
        """A face, in wide lines where it is what the step folds; its folds as they lie."""
        is_new = self._key(laid) == self.section or self._key(laid) in self.folded
        canvas.area([mapping.ring(ring) for ring in laid.rings], _FILLS[is_new])
        box = rect_of(laid.piece.face(laid.face).box)
        closed = [(*ring, ring[0]) for ring in piece_rings(laid.piece)]
        runs = [run for ring in closed for run in clipped_run(ring, box)]
        folds = [s for s in laid.piece.scores if laid.face in s.sides]
        for score in folds:
            line = score_run(score)
            if len({(laid.piece.key, side) in self.turned for side in score.sides}) > 1:
                runs.append(line)
                continue
            look = EXISTING_FOLD_LINES[score.fold_seen(laid.faces_front == self.from_front)]
            canvas.strokes([mapping.ring(laid.ring(line))], look, "score")
        edges = [mapping.ring(laid.ring(run)) for run in runs]
        canvas.strokes(edges, _EDGES[is_new], laid.piece.key)

    def _hatch(self, canvas: Canvas, seam: ResolvedSeam, mapping: Mapping) -> Rect | None:
        """Strips of glue on the side that is seen; returns what they take."""
        laid = self._laid()
        whole = [mapping.ring(ring) for ring in laid.rings]
        middle = bounding(whole[0]).centre
        depth = max(float(strip_depth(self.resolved)) * mapping.scale, _NARROWEST_STRIP)
        rings = []
        for run in seam.runs:
            start, end = self._on_paper(run, mapping)
            dx, dy = _inwards(start, end, middle)
            rings.append(
                (start, end, (end[0] + depth * dx, end[1] + depth * dy),
                 (start[0] + depth * dx, start[1] + depth * dy))
            )  # fmt: skip
        for ring in rings:
            canvas.hatch(GLUE, Line.GLUE, [ring], [whole])
            canvas.strokes([ring[1:] + ring[:1]], Line.FAINT, "glue")
        return bounding(place for ring in rings for place in ring) if rings else None

    def _on_paper(self, run: tuple[Point, Point], mapping: Mapping) -> tuple[Place, Place]:
        places = [(float(point.x), float(point.y)) for point in run]
        start, end = mapping.ring(self._laid().ring(places))
        return start, end

    def _dimension(self, canvas: Canvas, seam: ResolvedSeam, mapping: Mapping) -> None:
        """How long one strip is and how far from the fold it begins, beside the work."""
        units = self.resolved.edition.units
        alike = [s for s in self.seams if (s.dry, s.length) == (seam.dry, seam.length)]
        length = units.number(seam.length)
        if len(alike) > 1:
            length = words_of(self.resolved).phrase("draw_each_side", distance=length)
        start, end = self._on_paper(seam.runs[0], mapping)
        box = bounding(mapping.ring(self._laid().rings[0]))
        _beside(canvas, start, end, box, length)
        if seam.dry:
            at = self.fold.at
            foot = (seam.runs[0][0].x, at) if not self.fold.is_vertical else (
                at, seam.runs[0][0].y
            )  # fmt: skip
            here = mapping.ring(self._laid().ring([(float(foot[0]), float(foot[1]))]))[0]
            _beside(canvas, here, start, box, units.number(seam.dry))

    def _arrow(self, canvas: Canvas, mapping: Mapping) -> None:
        """Over the fold, from the section to what it is folded over."""
        box = bounding(mapping.ring(self._laid().rings[0]))
        run = mapping.ring(self._laid().ring(score_run(self.fold)))
        x0, y0 = run[0]
        if not self.fold.is_vertical:
            x, reach = box.left + _ARROW_AT * box.width, _ARROW_REACH * box.height
            up = 1 if box.centre[1] < y0 else -1
            way = _over((x, y0 - up * reach), (x, y0 + up * reach), _ARROW_BULGE * box.width)
        else:
            y, reach = box.bottom + _ARROW_AT * box.height, _ARROW_REACH * box.width
            up = 1 if box.centre[0] < x0 else -1
            way = _over((x0 - up * reach, y), (x0 + up * reach, y), _ARROW_BULGE * box.height)
        draw_arrow(canvas, way)
        canvas.keep_free(bounding(way).grown(0.6))

    def _name(self, canvas: Canvas, mapping: Mapping, strips: Sequence[Rect]) -> None:
        """The section that is glued, and those folded in before it."""
        code, face = self.piece.code, face_words(self.section[1])
        texts = [f"{named(self.piece)} ({face})", f"{code} {face}", face]
        box = bounding(mapping.ring(self._laid().rings[0]))
        if not inner_label(
            canvas, box, texts, NOTE_PT, bold=True, boxed=True, may_turn=False, clear_of=strips
        ):
            note(canvas, [box.centre], texts[1], bold=True, boxed=True)
        for index, other in enumerate(self.faces):
            if self._key(other) in self.folded:
                self._name_folded(canvas, other, mapping, self.faces[index + 1 :])

    def _name_folded(
        self, canvas: Canvas, laid: LaidFace, mapping: Mapping, later: Sequence[LaidFace]
    ) -> None:
        wording = words_of(self.resolved)
        text = wording.phrase("draw_folded_in", section=face_words(laid.face))
        box = bounding(mapping.ring(laid.rings[0]))
        covers = [mapping.rect(other.extent) for other in later]
        size = SMALLEST_LETTERING_PT
        if not inner_label(
            canvas, box, [text], size, boxed=True, colour=GREY_TEXT, clear_of=covers
        ):
            rest = [mapping.rect(other.extent) for other in self.faces if other != laid]
            note(canvas, [box.centre], text, size_pt=size, boxed=True, avoid=rest)

    def _caption(self, canvas: Canvas, wording: Wording) -> None:
        side = "draw_from_front" if self.from_front else "draw_from_behind"
        words = [
            unit_word(self.resolved.edition.units),
            wording.phrase(side),
            wording.phrase("draw_hatched_seam"),
        ]
        draw_caption(canvas, words)


_FILLS = {True: Fill.PAPER, False: Fill.EXISTING}
_EDGES = {True: Line.VISIBLE, False: Line.EXISTING}


def _is_turned(face: PlacedFace, own: PlacedFace) -> bool:
    """Whether a face of the piece lies the other way up than its open section."""
    return face.piece == own.piece and face.pose.normal != own.pose.normal


def _inwards(start: Place, end: Place, middle: Place) -> Place:
    """The direction square to a line that leads towards a place."""
    length = math.dist(start, end)
    x, y = (start[1] - end[1]) / length, (end[0] - start[0]) / length
    is_right = (middle[0] - start[0]) * x + (middle[1] - start[1]) * y > 0
    return (x, y) if is_right else (-x, -y)


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
