"""The picture for the cover, without any text.

In: a resolved design and the room on paper.  Out: a scene: work that stands up, a box, as it stands
on the table; flat work closed, before the same work open.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from builder.drawings.canvas import Canvas
from builder.drawings.finished_view import OBLIQUE, Picture, State, finished_scene, picture_of
from builder.drawings.plane import Mapping, Place, Rect
from builder.drawings.scene import Scene
from builder.drawings.styles import SHADOWS
from builder.drawings.wording import words_of
from builder.resolve.resolved import ResolvedDesign
from builder.work import work_of
from builder.work.finished import FLAT, finished_size


def stands_up(resolved: ResolvedDesign) -> bool:
    """Whether the closed work is so high that it is to be seen from the side."""
    size = finished_size(work_of(resolved))
    return size is not None and size[2] >= FLAT * min(size[0], size[1])


def scene_for_cover(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """``cover``, within ``max_width`` x ``max_height`` mm."""
    if not stands_up(resolved):
        return _lying_scene(resolved, max_width, max_height)
    scene = finished_scene(resolved, "closed", max_width, max_height, OBLIQUE)
    title = resolved.design.title
    words = words_of(resolved).phrase("draw_cover_standing", design=title)
    return replace(scene, key="cover", title=title, text_equivalent=words)


def _lying_scene(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """The closed work before the open one, with soft shadows, no text."""
    canvas = Canvas(max_width, max_height)
    behind = Rect(0.02 * max_width, 0.30 * max_height, 0.98 * max_width, 0.98 * max_height)
    before = Rect(0.26 * max_width, 0.04 * max_height, 0.74 * max_width, 0.66 * max_height)
    states: tuple[tuple[State, Rect, float, int], ...] = (
        ("open", behind, 0.0, 0),
        ("closed", before, -5.0, 3),
    )
    for state, room, degrees, lightest in states:
        picture = picture_of(resolved, state, "front")
        mapping = _tilted(picture.extent, room, math.radians(degrees))
        _cast_shadow(canvas, picture, mapping, lightest)
        picture.paint(canvas, resolved, mapping)
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


def _cast_shadow(canvas: Canvas, picture: Picture, mapping: Mapping, lightest: int) -> None:
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
