"""The photo plan: where pictures go in the open work, how large, and how many of each size.

In: a resolved design, the room on paper.  Out: a scene of the open work, loose pages beside it,
every place for a picture outlined and numbered, dashed where something lies over it, and the totals
below.
"""

from collections.abc import Iterator, Sequence

from shapely import unary_union

from gatherfold.counts import PhotoPlace, PhotoSide, photo_places, photo_sizes, photo_views
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import capital_height, text_width
from gatherfold.drawings.kernel.plane import Rect, ToPaper, around, circle_ring, fitted
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.kernel.wording import named, words_of
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.labels.placings import LabelLook
from gatherfold.drawings.views.seen_pieces import SeenPiece, seen
from gatherfold.drawings.views.sight import covered_runs
from gatherfold.model import is_front
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import FaceKey, is_seen, work_of

_EDGE = 1.0
_GUTTER = 6.0
_CAPTION = 5.0
_LINE_PITCH = 3.8
_NUMBER_PT = 12.0
_LEAST_ICON = 6.0
#: The longer side of a picture's sign to its shorter.
_ICON_SHAPE = 1.4


def has_photo_plan(resolved: ResolvedDesign) -> bool:
    """Whether the design has any place for a picture."""
    return bool(photo_places(resolved))


def photo_scene(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """The plan within ``max_width`` x ``max_height`` mm; the design has a place for a picture."""
    canvas = Canvas(max_width, max_height)
    views = photo_views(resolved)
    faces = [tuple(_shown(resolved, view)) for view in views]
    extents = [around(face.extent for face in each) for each in faces]
    lines, caption = _totals(resolved), _CAPTION if len(views) > 1 else 0.0
    below = len(lines) * _LINE_PITCH + 2.0 + caption
    spare = max_width - _GUTTER * (len(views) - 1) - 2 * _EDGE
    tall = max(extent.height for extent in extents)
    wide = sum(extent.width for extent in extents)
    scale = min(spare / wide, (max_height - below - 2 * _EDGE) / tall, 1.0)
    room = Rect(_EDGE, max_height - _EDGE - tall * scale, _EDGE, max_height - _EDGE)
    for view, own, extent in zip(views, faces, extents, strict=True):
        room = room._replace(right=room.left + extent.width * scale)
        mapping = fitted(extent, room, scale, mirrored=not is_front(view.side))
        _draw(canvas, resolved, view, own, mapping)
        if caption:
            y = room.bottom - caption + 1.0
            canvas.text(Text(_caption(resolved, view), room.centre[0], y, NOTE_PT))
        room = room._replace(left=room.right + _GUTTER)
    for number, line in enumerate(lines, start=1):
        y = room.bottom - caption - number * _LINE_PITCH
        canvas.text(Text(line, _EDGE, y, NOTE_PT, "start"))
    title = words_of(resolved).phrase("draw_photo_title", design=resolved.design.title)
    return canvas.scene("photo-plan", title, photo_equivalent(resolved))


def _caption(resolved: ResolvedDesign, view: PhotoSide) -> str:
    wording = words_of(resolved)
    is_open = view.is_open_work
    part = wording.phrase("draw_open_work") if is_open else named(resolved.pieces[view.body])
    return f"{part}, {wording.phrase(f'side_{view.side}')}"


def _shown(resolved: ResolvedDesign, view: PhotoSide) -> Iterator[SeenPiece]:
    """The faces of which something shows, and all places, the farthest first."""
    places = {place.piece.key for place in view.places}
    scale, is_from_front = work_of(resolved).scale, is_front(view.side)
    stack, _ = seen(resolved.pieces, view.assembly, scale, is_from_front, are_apart=True)
    for item in stack:
        is_leaf = view.leaf is not None and FaceKey(item.piece.key, item.faces[0]) in view.leaf
        if is_leaf or (view.leaf is None and (item.piece.key in places or is_seen(item.shown))):
            yield item


def _over(faces: Sequence[SeenPiece], face: SeenPiece) -> list[SeenPiece]:
    """What lies over a part of a face."""
    later = faces[faces.index(face) + 1 :]
    return [each for each in later if covered_runs(face.rings[0], [each.outline])]


def _draw(
    canvas: Canvas,
    resolved: ResolvedDesign,
    view: PhotoSide,
    faces: Sequence[SeenPiece],
    mapping: ToPaper,
) -> None:
    """The work in grey, the places white within wide lines."""
    numbers = {place.piece.key: place for place in view.places}
    for face in faces:
        rings = tuple(mapping.ring(ring) for ring in face.rings)
        is_place = face.piece.key in numbers
        canvas.area(rings, Fill.PAPER if is_place else Fill.SHADOW_3)
        line = Line.VISIBLE if is_place else Line.EXISTING
        for ring in rings:
            canvas.outline(ring, line, face.piece.key)
    for face in faces:
        if face.piece.key in numbers:
            over = [each.outline for each in _over(faces, face)]
            hidden = covered_runs(face.rings[0], over)
            canvas.strokes(map(mapping.ring, hidden), Line.HIDDEN, face.piece.key)
            left = mapping.shape(face.outline.difference(unary_union(over)))
            _mark(canvas, resolved, Rect(*left.bounds), numbers[face.piece.key])


def _mark(canvas: Canvas, resolved: ResolvedDesign, box: Rect, place: PhotoPlace) -> None:
    """The number, the size below it, and the sign of a picture, as far as there is room."""
    x, y = box.centre
    number = f"{place.number}"
    if place.count > 1:
        number = words_of(resolved).phrase("draw_times", number=number, count=place.count)
    high, low = capital_height(_NUMBER_PT), capital_height(NOTE_PT)
    lines = _size_lines(resolved, place, box.width - 2.0)
    if high + len(lines) * (1.8 + low) + 2.0 > box.height:
        lines = ()
    words = high + len(lines) * (1.8 + low)
    wide, tall = _icon(place, box, box.height - words - 4.0) if lines else (0.0, 0.0)
    total = words + (2.0 + tall if tall else 0.0)
    top = y + total / 2
    canvas.text(LabelLook(_NUMBER_PT, bold=True).at(number, x, top - high / 2))
    for index, line in enumerate(lines):
        middle = top - high - index * (1.8 + low) - 1.8 - low / 2
        canvas.text(LabelLook(NOTE_PT).at(line, x, middle))
    if tall:
        foot = y - total / 2
        _picture_sign(canvas, Rect(x - wide / 2, foot, x + wide / 2, foot + tall))


def _size_lines(resolved: ResolvedDesign, place: PhotoPlace, room: float) -> tuple[str, ...]:
    """The size as the list has it, on one line or two; none where it does not fit the room."""
    size, whole = _size(resolved, place), _lying_size(resolved, place)
    parts = (size, words_of(resolved).phrase("draw_lies_across"))
    choices = ((whole,), parts) if _lies_across(place) else ((whole,),)
    for lines in choices:
        if all(text_width(line, NOTE_PT) <= room for line in lines):
            return lines
    return ()


def _icon(place: PhotoPlace, box: Rect, room: float) -> tuple[float, float]:
    """Width and height of a picture's sign, which lies or stands as the picture does; nothing
    where it would be too small."""
    shape = _ICON_SHAPE if _lies_across(place) else 1 / _ICON_SHAPE
    tall = min(room, 0.38 * box.height, 0.7 * box.width / shape, 12.0)
    return (shape * tall, tall) if tall >= _LEAST_ICON else (0.0, 0.0)


def _picture_sign(canvas: Canvas, box: Rect) -> None:
    """Two hills below a sun, in a frame: a picture."""
    hills = ((0.0, 0.0), (0.28, 0.55), (0.5, 0.2), (0.72, 0.72), (1.0, 0.0))
    ring = [(box.left + u * box.width, box.bottom + v * box.height) for u, v in hills]
    canvas.area([ring], Fill.SHADOW_6)
    canvas.outline(ring, Line.EXISTING, "picture")
    radius = 0.11 * min(box.width, box.height)
    sun = circle_ring((box.left + 0.3 * box.width, box.top - 1.5 * radius), radius, 16)
    canvas.area([sun], Fill.SHADOW_6)
    canvas.outline(sun, Line.EXISTING, "picture")
    canvas.outline(box.ring, Line.EXISTING, "picture")


def _totals(resolved: ResolvedDesign) -> list[str]:
    """How many pictures there are of each size, and in which places."""
    wording, places, lines = words_of(resolved), photo_places(resolved), []
    for row in photo_sizes(places):
        numbers = [
            wording.phrase("draw_number_across", number=place.number)
            if _lies_across(place)
            else str(place.number)
            for place in places
            if place.number in row.numbers
        ]
        size = resolved.edition.units.size_text(row.width, row.height)
        listed = wording.counted("draw_places", len(numbers), numbers=wording.listed(numbers))
        lines.append(wording.counted("draw_pictures", row.count, size=size, places=listed))
    return lines


def _size(resolved: ResolvedDesign, place: PhotoPlace) -> str:
    """A place's size as the list of sizes has it: the shorter length first, as photographs are
    sold, however they lie."""
    shorter, longer = sorted((place.width, place.height))
    return resolved.edition.units.size_text(shorter, longer)


def _lying_size(resolved: ResolvedDesign, place: PhotoPlace) -> str:
    """The size, and that the picture lies on its side where it does."""
    size = _size(resolved, place)
    if not _lies_across(place):
        return size
    return words_of(resolved).phrase("draw_size_across", size=size)


def _lies_across(place: PhotoPlace) -> bool:
    return place.width > place.height


def photo_equivalent(resolved: ResolvedDesign) -> str:
    """Every place and the totals, from the same rows."""
    wording = words_of(resolved)
    hidden, places = _hidden_places(resolved), []
    for place in photo_places(resolved):
        piece, size = named(place.piece), _lying_size(resolved, place)
        if place.on is not None:
            piece = wording.phrase("draw_piece_on", piece=piece, host=named(place.on))
        if place.count > 1:
            size = wording.phrase("draw_size_times", size=size, count=place.count)
        view = wording.phrase(f"view_{place.side}")
        words = wording.phrase(
            "draw_photo_place", number=place.number, piece=piece, size=size, view=view
        )
        if hidden.get(place.number):
            names = wording.listed(hidden[place.number])
            words = wording.phrase("draw_half_hidden", place=words, names=names)
        places.append(words)
    return wording.phrase(
        "draw_photo_words", totals="; ".join(_totals(resolved)), places="; ".join(places)
    )


def _hidden_places(resolved: ResolvedDesign) -> dict[int, list[str]]:
    """For each place by its number, what lies over a part of it."""
    found = {}
    for view in photo_views(resolved):
        numbers = {place.piece.key: place.number for place in view.places}
        faces = tuple(_shown(resolved, view))
        for face in faces:
            if face.piece.key in numbers:
                names = (named(each.piece) for each in _over(faces, face))
                found[numbers[face.piece.key]] = list(dict.fromkeys(names))
    return found
