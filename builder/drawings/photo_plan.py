"""The photo plan: where pictures go in the open work, how large, and how many of each size.

In: a resolved design, the room on paper.  Out: a scene of the open work, loose pages beside it,
every place for a picture outlined and numbered, and the totals below.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from builder.counts.photographs import PhotoPlace, photo_places, photo_sizes
from builder.drawings.canvas import Canvas
from builder.drawings.labels import NOTE_PT
from builder.drawings.lettering import capital_height, centred_text, text_width
from builder.drawings.placed_view import SeenFace, extent_of, seen_faces, uncovered
from builder.drawings.plane import Mapping, Rect, bounding, fitted
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import Fill, Line
from builder.drawings.wording import named, words_of
from builder.resolve.placement import main_body, piece_tree
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.turns import folded_faces
from builder.wording import Wording

_EDGE = 1.0
_GUTTER = 6.0
_CAPTION = 5.0
_LINE_PITCH = 3.8
_NUMBER_PT = 12.0
_LEAST_ICON = 6.0


def has_photo_plan(resolved: ResolvedDesign) -> bool:
    """Whether the design has any place for a picture."""
    return bool(photo_places(resolved))


@dataclass(frozen=True)
class _View:
    """One part of the work as it lies open, seen from one side, with its places."""

    caption: str
    faces: tuple[SeenFace, ...]
    places: tuple[PhotoPlace, ...]
    mirrored: bool

    @property
    def extent(self) -> Rect:
        return extent_of(self.faces)


def photo_scene(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """The plan within ``max_width`` x ``max_height`` mm; the design has a place for a picture."""
    canvas = Canvas(max_width, max_height)
    views = _views(resolved)
    lines = [_size_line(words_of(resolved), *row) for row in _rows(resolved)]
    below = len(lines) * _LINE_PITCH + 2.0 + (_CAPTION if len(views) > 1 else 0.0)
    spare = max_width - _GUTTER * (len(views) - 1) - 2 * _EDGE
    wide = sum(view.extent.width for view in views)
    tall = max(view.extent.height for view in views)
    scale = min(spare / wide, (max_height - below - 2 * _EDGE) / tall, 1.0)
    left, top = _EDGE, max_height - _EDGE
    for view in views:
        width = view.extent.width * scale
        room = Rect(left, top - tall * scale, left + width, top)
        _draw(canvas, resolved, view, fitted(view.extent, room, scale, view.mirrored))
        if len(views) > 1:
            y = room.bottom - _CAPTION + 1.0
            canvas.text(Text(view.caption, room.centre[0], y, NOTE_PT))
        left += width + _GUTTER
    y = top - tall * scale - (_CAPTION if len(views) > 1 else 0.0) - _LINE_PITCH
    for number, line in enumerate(lines):
        canvas.text(Text(line, _EDGE, y - number * _LINE_PITCH, NOTE_PT, "start"))
    title = words_of(resolved).phrase("draw_photo_title", design=resolved.design.title)
    return canvas.scene("photo-plan", title, photo_equivalent(resolved))


def _views(resolved: ResolvedDesign) -> tuple[_View, ...]:
    tree, wording = piece_tree(resolved.pieces), words_of(resolved)
    places = photo_places(resolved)
    views = []
    for body, side in dict.fromkeys((place.body, place.side) for place in places):
        faces = [
            face
            for face in folded_faces(resolved, body, ())
            if resolved.pieces[face.piece].source.present in ("always", "open")
        ]
        piece = resolved.pieces[body]
        is_main = body == main_body(tree)
        part = wording.phrase("draw_open_work") if is_main else named(piece)
        views.append(
            _View(
                caption=f"{part}, {wording.phrase(f'side_{side}')}",
                faces=uncovered(seen_faces(resolved.pieces, faces, side == "front")),
                places=tuple(p for p in places if (p.body, p.side) == (body, side)),
                mirrored=side == "back",
            )
        )
    return tuple(views)


def _draw(canvas: Canvas, resolved: ResolvedDesign, view: _View, mapping: Mapping) -> None:
    """The work in grey, the places white within wide lines."""
    numbers = {place.piece.key: place for place in view.places}
    for face in view.faces:
        rings = tuple(mapping.ring(ring) for ring in face.rings)
        is_place = face.piece.key in numbers
        canvas.area(rings, Fill.PAPER if is_place else Fill.SHADOW_3)
        line = Line.VISIBLE if is_place else Line.EXISTING
        for ring in rings:
            canvas.outline(ring, line, face.piece.key)
    for index, face in enumerate(view.faces):
        place = numbers.get(face.piece.key)
        if place is not None:
            box = bounding(mapping.ring(face.rings[0]))
            over = [bounding(mapping.ring(f.rings[0])) for f in view.faces[index + 1 :]]
            _mark(canvas, resolved, _left_free(box, over), place)


def _left_free(box: Rect, over: Sequence[Rect]) -> Rect:
    """The part of a place that nothing laid over its lower or upper end hides."""
    for cover in over:
        if not cover.meets(box):
            continue
        if cover.top < box.centre[1]:
            box = Rect(box.left, max(box.bottom, cover.top), box.right, box.top)
        elif cover.bottom > box.centre[1]:
            box = Rect(box.left, box.bottom, box.right, min(box.top, cover.bottom))
    return box


def _mark(canvas: Canvas, resolved: ResolvedDesign, box: Rect, place: PhotoPlace) -> None:
    """The number, the size below it, and the sign of a picture, as far as there is room."""
    x, y = box.centre
    number = f"{place.number}"
    if place.count > 1:
        number = words_of(resolved).phrase("draw_times", number=number, count=place.count)
    size = _size(resolved, place)
    heights = [capital_height(_NUMBER_PT), capital_height(NOTE_PT)]
    has_size = text_width(size, NOTE_PT) + 2.0 < box.width and sum(heights) + 4.0 < box.height
    spare = box.height - sum(heights) - 6.0
    icon = min(spare, 0.38 * box.height, 0.5 * box.width, 12.0) if has_size else 0.0
    has_icon = icon >= _LEAST_ICON
    total = heights[0] + (1.8 + heights[1] if has_size else 0.0) + (2.0 + icon if has_icon else 0.0)
    top = y + total / 2
    canvas.text(centred_text(number, x, top - heights[0] / 2, _NUMBER_PT, bold=True))
    if has_size:
        middle = top - heights[0] - 1.8 - heights[1] / 2
        canvas.text(centred_text(size, x, middle, NOTE_PT))
    if has_icon:
        _picture_sign(
            canvas, Rect(x - 0.7 * icon, y - total / 2, x + 0.7 * icon, y - total / 2 + icon)
        )


def _picture_sign(canvas: Canvas, box: Rect) -> None:
    """Two hills below a sun, in a frame: a picture."""
    hills = ((0.0, 0.0), (0.28, 0.55), (0.5, 0.2), (0.72, 0.72), (1.0, 0.0))
    ring = [(box.left + u * box.width, box.bottom + v * box.height) for u, v in hills]
    canvas.area([ring], Fill.SHADOW_6)
    canvas.outline(ring, Line.EXISTING, "picture")
    x, y, radius = box.left + 0.3 * box.width, box.top - 0.16 * box.height, 0.11 * box.height
    angles = [math.tau * step / 16 for step in range(16)]
    sun = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
    canvas.area([sun], Fill.SHADOW_6)
    canvas.outline(sun, Line.EXISTING, "picture")
    canvas.outline(box.ring, Line.EXISTING, "picture")


def _rows(resolved: ResolvedDesign) -> list[tuple[int, str, tuple[int, ...]]]:
    """Count, size in words, numbers of the places."""
    units = resolved.edition.units
    return [
        (row.count, units.size_text(row.width, row.height), row.numbers)
        for row in photo_sizes(photo_places(resolved))
    ]


def _size(resolved: ResolvedDesign, place: PhotoPlace) -> str:
    """A place's size as the list of sizes has it: the shorter length first, as photographs are
    sold, however they lie."""
    shorter, longer = sorted((place.width, place.height))
    return resolved.edition.units.size_text(shorter, longer)


def _size_line(wording: Wording, count: int, size: str, numbers: Sequence[int]) -> str:
    listed = wording.listed(str(number) for number in numbers)
    places = wording.counted("draw_places", len(numbers), numbers=listed)
    return wording.counted("draw_pictures", count, size=size, places=places)


def photo_equivalent(resolved: ResolvedDesign) -> str:
    """Every place and the totals, from the same rows."""
    wording = words_of(resolved)
    totals = "; ".join(_size_line(wording, *row) for row in _rows(resolved))
    places = []
    for place in photo_places(resolved):
        piece, size = named(place.piece), _size(resolved, place)
        if place.on is not None:
            piece = wording.phrase("draw_piece_on", piece=piece, host=named(place.on))
        if place.count > 1:
            size = wording.phrase("draw_size_times", size=size, count=place.count)
        view = wording.phrase(f"view_{place.side}")
        places.append(
            wording.phrase(
                "draw_photo_place", number=place.number, piece=piece, size=size, view=view
            )
        )
    return wording.phrase("draw_photo_words", totals=totals, places="; ".join(places))
