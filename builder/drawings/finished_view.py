"""Pictures of the finished work, open or closed, from the front or from the back.

In: a resolved design, a state, the room on paper.  Out: a scene painted from the farthest face to
the nearest, so that what lies in front covers what lies behind.  Stocks are told apart by their
tints and, for printed papers, by simple patterns that survive a black and white print.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Literal

from builder.choices import SIDES, Fold, SideName, is_front
from builder.drawings.canvas import Canvas
from builder.drawings.fastening_ends import FasteningEnd, draw_end, visible_ends
from builder.drawings.hatching import PRINTS
from builder.drawings.labels import margin_notes, margin_room
from builder.drawings.margin_targets import MOST_CHOICES, chosen_targets
from builder.drawings.placed_view import SeenFace, extent_of, seen_faces, uncovered
from builder.drawings.plane import Mapping, Place, Rect, bounding, fitted, ring_holds
from builder.drawings.raised_view import Strip, paint_strips
from builder.drawings.round_ribbons import ribbons_in_plan, round_ties
from builder.drawings.scene import Scene
from builder.drawings.stock_tints import StockTints, picture_tints
from builder.drawings.styles import SHADOWS, Line
from builder.drawings.wording import named, spoken_size, words_in, words_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.wording import Wording

#: From where a picture shows the work: a side of it, or a corner above it.
Viewpoint = Literal[SideName, "front, right and above"]

_MARGIN = 1.0
_FOLDS: dict[Fold, Line] = {"valley": Line.SEEN_VALLEY, "mountain": Line.SEEN_MOUNTAIN}


def finished_scene(
    resolved: ResolvedDesign,
    state: str,
    max_width: float,
    max_height: float,
    view: SideName = "front",
    labelled: Sequence[str] = (),
) -> Scene:
    """The work in ``state`` (flat, open or closed) seen from ``view`` (front or back).

    The pieces named in ``labelled`` get their codes and titles by leaders, if they can be seen.
    """
    canvas = Canvas(max_width, max_height)
    picture = _picture(resolved, state, is_front(view))
    notes = _notes(resolved, picture, labelled)
    side_room = margin_room([text for _, text in notes]) if notes else _MARGIN
    room = Rect(side_room, _MARGIN, max_width - side_room, max_height - _MARGIN)
    mapping = fitted(picture.extent, room, 1.0, mirrored=not is_front(view))
    _paint(canvas, resolved, picture, mapping)
    frame = mapping.rect(picture.extent)
    choices = [(mapping.ring(places), text) for places, text in notes]
    margin_notes(canvas, frame, chosen_targets(canvas.frame, frame, choices))
    title = _titled(resolved, state, view)
    visible = _visible(resolved, picture.faces)
    words = finished_equivalent(resolved, state, view, visible) + tied_words(resolved, state)
    return canvas.scene(f"finished-{state}-{view}", title, words)


@dataclass(frozen=True)
class _Picture:
    """Faces from the farthest to the nearest, the fastenings that show, and the ribbons round it
    all."""

    faces: tuple[SeenFace, ...]
    ends: tuple[FasteningEnd, ...]
    ribbons: tuple[Strip, ...]

    @property
    def extent(self) -> Rect:
        return extent_of(self.faces)


def _picture(resolved: ResolvedDesign, state: str, from_front: bool) -> _Picture:
    placed = resolved.states[state].faces
    faces = uncovered(seen_faces(resolved.pieces, placed, from_front))
    fills = picture_tints(resolved).fills
    ribbons = ribbons_in_plan(resolved, placed, from_front, fills) if state == "closed" else ()
    return _Picture(faces, tuple(visible_ends(resolved, state, faces, from_front)), ribbons)


def _paint(canvas: Canvas, resolved: ResolvedDesign, picture: _Picture, mapping: Mapping) -> None:
    tints = picture_tints(resolved)
    for face in picture.faces:
        _paint_face(canvas, face, tints, mapping)
    for end in picture.ends:
        draw_end(canvas, end, mapping)
    paint_strips(canvas, mapping, picture.ribbons)


def _paint_face(canvas: Canvas, face: SeenFace, tints: StockTints, mapping: Mapping) -> None:
    rings = tuple(mapping.ring(ring) for ring in face.rings)
    canvas.area(rings, tints.fill(face.piece, face.shows_front))
    pattern = tints.pattern(face.piece, face.shows_front)
    if pattern is not None:
        canvas.hatch(PRINTS[pattern], Line.PATTERN, rings)
    edges = [mapping.ring(run) for run in face.edges]
    canvas.strokes(edges, Line.FAINT, face.piece.key, is_obstacle=False)
    for kind, run in face.folds:
        canvas.strokes([mapping.ring(run)], _FOLDS[kind], "fold", is_obstacle=False)


def _notes(
    resolved: ResolvedDesign, picture: _Picture, labelled: Sequence[str]
) -> list[tuple[tuple[Place, ...], str]]:
    """Places where each named piece can be seen, the best first, and what to write of it."""
    notes = []
    for key in labelled:
        places = tuple(islice(_seen_places(picture.faces, key), MOST_CHOICES))
        if places:
            piece = resolved.pieces[key]
            notes.append((places, f"{piece.code} {piece.title}"))
    return notes


def _seen_places(faces: Sequence[SeenFace], key: str) -> Iterator[Place]:
    """Places of the piece that nothing in front covers; none when it is hidden."""
    for index, face in enumerate(faces):
        if face.piece.key == key:
            later = [other.rings[0] for other in faces[index + 1 :]]
            yield from _uncovered(face.rings[0], later)


def _uncovered(ring: Sequence[Place], later: Sequence[Sequence[Place]]) -> Iterator[Place]:
    box = bounding(ring)
    for share_y in (0.5, 0.8, 0.2, 0.93, 0.07, 0.99, 0.01):
        for share_x in (0.5, 0.2, 0.8, 0.07, 0.93, 0.01, 0.99):
            place = (box.left + share_x * box.width, box.bottom + share_y * box.height)
            if ring_holds(ring, place) and not any(ring_holds(r, place) for r in later):
                yield place


def visible_pieces(
    resolved: ResolvedDesign, state: str, view: SideName = "front"
) -> tuple[str, ...]:
    """The keys of pieces of which something can be seen, in the design's order."""
    placed = resolved.states[state].faces
    faces = uncovered(seen_faces(resolved.pieces, placed, is_front(view)))
    return _visible(resolved, faces)


def _visible(resolved: ResolvedDesign, faces: Sequence[SeenFace]) -> tuple[str, ...]:
    return tuple(key for key in resolved.pieces if any(True for _ in _seen_places(faces, key)))


def finished_equivalent(
    resolved: ResolvedDesign,
    state: str,
    view: Viewpoint,
    visible: Sequence[str],
    faces: Sequence[PlacedFace] | None = None,
) -> str:
    """The picture in words: the size over all, and the pieces that show; ``faces`` are those of
    the picture where they do not lie as they do in the state."""
    units = resolved.edition.units
    xs, ys = [], []
    for face in resolved.states[state].faces if faces is None else faces:
        box = resolved.pieces[face.piece].face(face.face).box
        for corner in ((box.left, box.bottom), (box.right, box.top)):
            place = face.pose.apply(*corner)
            xs.append(place[0])
            ys.append(place[1])
    wording, title = words_in(units), resolved.design.title
    written = wording.phrase(f"draw_state_{state}")
    if not xs:
        return wording.phrase("draw_view_nothing", design=title, state=written)
    return wording.phrase(
        "draw_view_words",
        design=title,
        state=written,
        view=_view_words(wording, state, view),
        size=spoken_size(units, max(xs) - min(xs), max(ys) - min(ys)),
        names=wording.listed(named(resolved.pieces[key]) for key in visible),
    )


def tied_words(resolved: ResolvedDesign, state: str) -> str:
    """The sentence on the ribbons round closed work, to be added; "" if there are none."""
    ties = round_ties(resolved)
    if state != "closed" or not ties:
        return ""
    wording = words_of(resolved)
    names = wording.listed(resolved.fastenings[tie].source.title for tie in ties)
    return f" {wording.phrase('draw_tied_round', names=names)}"


def _titled(resolved: ResolvedDesign, state: str, view: Viewpoint) -> str:
    wording = words_of(resolved)
    return wording.phrase(
        "draw_view_title",
        design=resolved.design.title,
        state=wording.phrase(f"draw_state_{state}"),
        view=_view_words(wording, state, view),
    )


def _view_words(wording: Wording, state: str, view: Viewpoint) -> str:
    """From where the work is seen; closed it lies on the table, a box as well as a folio."""
    is_lying = state == "closed" and view in SIDES
    return wording.phrase(f"view_closed_{view}" if is_lying else f"view_{view}")


def cover_scene(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """A picture for the cover: the closed work before the open one, with soft shadows, no text."""
    canvas = Canvas(max_width, max_height)
    closed, opened = _picture(resolved, "closed", True), _picture(resolved, "open", True)
    behind = Rect(0.02 * max_width, 0.30 * max_height, 0.98 * max_width, 0.98 * max_height)
    before = Rect(0.26 * max_width, 0.04 * max_height, 0.74 * max_width, 0.66 * max_height)
    for picture, room, degrees, lightest in ((opened, behind, 0.0, 0), (closed, before, -5.0, 3)):
        mapping = _tilted(picture.extent, room, math.radians(degrees))
        _cast_shadow(canvas, picture, mapping, lightest)
        _paint(canvas, resolved, picture, mapping)
    wording, title = words_of(resolved), resolved.design.title
    noun = wording.within_sentence(title.split()[-1])
    return canvas.scene("cover", title, wording.phrase("draw_cover", design=title, noun=noun))


def _tilted(model: Rect, room: Rect, tilt: float) -> Mapping:
    """As large as the tilted rectangle fits, in the middle of the room."""
    cosine, sine = abs(math.cos(tilt)), abs(math.sin(tilt))
    width = model.width * cosine + model.height * sine
    height = model.width * sine + model.height * cosine
    scale = min(room.width / width, room.height / height, 1.0)
    x, y = Mapping(scale, 0.0, 0.0, tilt=tilt)(*model.centre)
    return Mapping(scale, room.centre[0] - x, room.centre[1] - y, tilt=tilt)


def _cast_shadow(canvas: Canvas, picture: _Picture, mapping: Mapping, lightest: int) -> None:
    """Layers of ever darker grey, each a little smaller, down and to the right.

    Over another picture the lightest layers would look like a white border; they are left out.
    """
    outlines = [mapping.ring(face.rings[0]) for face in picture.faces]
    for step, fill in enumerate(SHADOWS[lightest:], start=lightest):
        for ring in outlines:
            canvas.area([_grown(ring, 2.2 - 0.45 * step, 1.4, -1.6)], fill)


def _grown(ring: Iterable[Place], by: float, dx: float, dy: float) -> tuple[Place, ...]:
    """The ring moved by (dx, dy), its corners pushed away from its middle."""
    places = list(ring)
    middle_x = sum(p[0] for p in places) / len(places)
    middle_y = sum(p[1] for p in places) / len(places)
    grown = []
    for x, y in places:
        away = math.hypot(x - middle_x, y - middle_y) or 1.0
        grown.append((x + dx + by * (x - middle_x) / away, y + dy + by * (y - middle_y) / away))
    return tuple(grown)
