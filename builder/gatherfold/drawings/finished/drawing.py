"""Pictures of the finished work, open or closed: from the front, from the back, or obliquely; and
the picture for the cover.

In: a resolved design, open or closed, the room on paper.  Out: a scene painted from the farthest
face to the nearest, so that what lies in front covers what lies behind.  Stocks are told apart by
their tints and, for printed papers, by simple patterns that survive a black and white print.
"""

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import Literal, assert_never

from shapely import Polygon, unary_union
from shapely.affinity import translate

from gatherfold.drawings.fastening.ends import FasteningEnd, draw_end, ends_towards
from gatherfold.drawings.kernel.axonometric import ISOMETRIC, PLAN
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Rect, ToPaper, bounding, fitted
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.stock_tints import StockTints, drawing_tints, picture_tints
from gatherfold.drawings.kernel.styles import FOLD_LINES, SHADOWS, Line
from gatherfold.drawings.kernel.wording import named, spoken_size, words_of
from gatherfold.drawings.views.raised_view import (
    LaidStrip,
    RaisedFace,
    RaisedPicture,
    paint_raised,
    raised_work,
    shown_parts,
    visible_faces,
)
from gatherfold.drawings.views.ribbons import ribbons_of, round_ties
from gatherfold.drawings.views.seen_pieces import rings_of
from gatherfold.geometry import Sense
from gatherfold.model import SIDES, SideName
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    AXES,
    FLAT,
    TURNED_OVER,
    Assembly,
    FaceKey,
    Look,
    extent,
    finished_size,
    is_seen,
    lying,
    lying_open,
    visible_parts,
    work_of,
)

#: The work with everything open, or with everything closed.
Opening = Literal["open", "closed"]
#: From where a picture shows the work: a side of it, or a corner above it.
Viewpoint = Literal[SideName, "front, right and above"]
OBLIQUE: Viewpoint = "front, right and above"

_MARGIN = 1.0
#: Where more of what is seen than this share is hidden when all is closed, it is the inside.
_LEAST_INSIDE = 0.25
_UPWARD = 2
_BOTH_WAYS: tuple[Sense, ...] = (1, -1)
_FROM_ABOVE = Look(_UPWARD, 1)
#: Folds are drawn finer from the front or back, where the picture is of the work itself.
_SEEN_FOLDS = {
    FOLD_LINES["valley"]: Line.SEEN_VALLEY,
    FOLD_LINES["mountain"]: Line.SEEN_MOUNTAIN,
}


@dataclass(frozen=True)
class Picture:
    """The finished work open or closed, as it is seen from somewhere."""

    resolved: ResolvedDesign
    opening: Opening
    view: Viewpoint = "front"

    @cached_property
    def assembly(self) -> Assembly:
        """The work as it lies on the table, the side up that is seen."""
        work = work_of(self.resolved)
        match self.opening:
            case "open":
                found = lying(lying_open(work))
            case "closed":
                found = lying(work.closed)
            case _:
                assert_never(self.opening)
        return found.all_moved(TURNED_OVER) if self.view == "back" else found

    @cached_property
    def faces(self) -> tuple[RaisedFace, ...]:
        """What is drawn, from the farthest to the nearest: straight from above what shows, and of
        what stands, nothing."""
        scale = work_of(self.resolved).scale
        if self.view == OBLIQUE:
            return raised_work(self.resolved, self.assembly, scale, ISOMETRIC)
        parts = visible_parts(self.assembly, _FROM_ABOVE)
        flat = {key: self.assembly.plates[key] for key in parts}
        faces = raised_work(self.resolved, replace(self.assembly, plates=flat), scale, PLAN)
        return tuple(_with_fine_folds(face) for face in faces if is_seen(parts[face.key]))

    @cached_property
    def tints(self) -> StockTints:
        has_folds = any(line is not Line.FAINT for face in self.faces for line, _ in face.folds)
        is_drawn = self.view == OBLIQUE and has_folds
        return drawing_tints(self.resolved) if is_drawn else picture_tints(self.resolved)

    @property
    def ends(self) -> tuple[FasteningEnd, ...]:
        """The fastenings that show."""
        if self.view == OBLIQUE:
            return ()
        scale = work_of(self.resolved).scale
        ends = ends_towards(self.resolved, self.assembly, scale, _FROM_ABOVE)
        return tuple(each.end for each in ends if not each.over)

    @property
    def ties(self) -> tuple[str, ...]:
        """The ribbons round it all."""
        return round_ties(self.resolved) if self.opening == "closed" else ()

    @property
    def ribbons(self) -> tuple[LaidStrip, ...]:
        work, projection = work_of(self.resolved), ISOMETRIC if self.view == OBLIQUE else PLAN
        fills = self.tints.fills
        return ribbons_of(work, self.ties, self.assembly, self.faces, projection, fills)

    @property
    def extent(self) -> Rect:
        return bounding(place for face in self.faces for place in face.rings[0])

    @property
    def pieces(self) -> tuple[str, ...]:
        """The keys of pieces of which something can be seen, in the design's order."""
        faces = visible_faces(self.faces) if self.view == OBLIQUE else [f.key for f in self.faces]
        shown = {key.piece for key in faces}
        return tuple(key for key in self.resolved.pieces if key in shown)

    def paint(self, canvas: Canvas, mapping: ToPaper) -> None:
        """Ink it."""
        paint_raised(canvas, RaisedPicture(self.faces, self.ribbons), mapping, self.tints)
        for end in self.ends:
            draw_end(canvas, end, mapping)

    @cached_property
    def state(self) -> Opening:
        """Whether it shows the work open: what does not open is closed at all times."""
        open_work, closed = self.assembly, work_of(self.resolved).closed
        is_closed = open_work.plates.keys() == closed.plates.keys() and all(
            open_work.angle(fold) == closed.angle(fold) for fold in closed.creases
        )
        return "closed" if is_closed else self.opening

    @property
    def inside(self) -> float:
        """How much of what it shows is hidden when all is closed, as a share."""
        outside = sides_without(work_of(self.resolved).closed)
        shown = {True: 0.0, False: 0.0}
        for face, part in shown_parts(self.faces):
            shown[(face.key, face.shows_front) in outside] += part.area
        return shown[False] / (sum(shown.values()) or 1.0)

    @property
    def title(self) -> str:
        """What the picture shows, in a few words."""
        return f"{self._seen[:1].upper()}{self._seen[1:]}"

    @property
    def words(self) -> str:
        """The picture in words: the size over all, the pieces that show, the ribbons round it."""
        wording, plates = words_of(self.resolved), self.assembly.plates
        design = self.resolved.design.title
        if not plates:
            return self._phrase("draw_view_nothing", design=design, state=self._state)
        scale = work_of(self.resolved).scale
        width, height, _ = (Fraction(b - a) / scale for a, b in extent(plates.values()))
        size = spoken_size(self.resolved.edition.units, width, height)
        names = wording.listed(named(self.resolved.pieces[key]) for key in self.pieces)
        words = wording.phrase(
            "draw_view_words", design=design, seen=self._seen, size=size, names=names
        )
        if not self.ties:
            return words
        ties = wording.listed(self.resolved.fastenings[tie].source.title for tie in self.ties)
        return f"{words} {self._phrase('draw_tied_round', names=ties)}"

    @cached_property
    def _seen(self) -> str:
        """The state of the work and what is seen of it: closed it lies on the table, a box as well
        as a folio."""
        views = {
            "closed": f"closed_{self.view}",
            "open": "inside" if self.inside > _LEAST_INSIDE else "outside",
        }
        view = self._phrase(f"view_{views[self.state]}")
        return self._phrase("draw_state_seen", state=self._state, view=view)

    @property
    def _state(self) -> str:
        return self._phrase(f"draw_state_{self.state}")

    def _phrase(self, name: str, **places: str) -> str:
        return words_of(self.resolved).phrase(name, **places)


def sides_without(assembly: Assembly) -> frozenset[tuple[FaceKey, bool]]:
    """The sides of faces, True for a front, that are seen straight from one of six directions."""
    looks = [Look(axis, towards) for axis in AXES for towards in _BOTH_WAYS]
    return frozenset(
        (key, assembly.plates[key].facing == look.towards)
        for look in looks
        for key, part in visible_parts(assembly, look).items()
        if is_seen(part)
    )


def _with_fine_folds(face: RaisedFace) -> RaisedFace:
    folds = tuple((_SEEN_FOLDS.get(line, line), run) for line, run in face.folds)
    return replace(face, folds=folds)


def finished_scene(
    resolved: ResolvedDesign,
    opening: Opening,
    max_width: float,
    max_height: float,
    view: Viewpoint = "front",
) -> Scene:
    """The work open or closed, within ``max_width`` x ``max_height`` mm."""
    canvas, picture = Canvas(max_width, max_height), Picture(resolved, opening, view)
    picture.paint(canvas, fitted(picture.extent, canvas.frame.grown(-_MARGIN), 1.0))
    key = f"raised-{opening}" if view == OBLIQUE else f"finished-{opening}-{view}"
    return canvas.scene(key, picture.title, picture.words)


def view_into(resolved: ResolvedDesign) -> Viewpoint:
    """From where the open work is seen best: obliquely where something of it stands up, else from
    the side that shows more of its inside."""
    plates = Picture(resolved, "open").assembly.plates.values()
    if any(plate.axis != _UPWARD for plate in plates):
        return OBLIQUE
    return max(SIDES, key=lambda side: Picture(resolved, "open", side).inside)


def stands_up(resolved: ResolvedDesign) -> bool:
    """Whether the closed work is so high that it is to be seen from the side."""
    size = finished_size(work_of(resolved))
    return size is not None and size[2] >= FLAT * min(size[0], size[1])


def scene_for_cover(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """``cover``, without any text: a box as it stands on the table; flat work closed, before the
    same work open."""
    if not stands_up(resolved):
        return _lying_scene(resolved, max_width, max_height)
    scene = finished_scene(resolved, "closed", max_width, max_height, OBLIQUE)
    title = resolved.design.title
    words = words_of(resolved).phrase("draw_cover_standing", design=title)
    return replace(scene, key="cover", title=title, text_equivalent=words)


def _lying_scene(resolved: ResolvedDesign, max_width: float, max_height: float) -> Scene:
    """The closed work before the open one, with soft shadows."""
    canvas = Canvas(max_width, max_height)
    behind = Rect(0.02 * max_width, 0.30 * max_height, 0.98 * max_width, 0.98 * max_height)
    before = Rect(0.26 * max_width, 0.04 * max_height, 0.74 * max_width, 0.66 * max_height)
    opened, closed = Picture(resolved, "open"), Picture(resolved, "closed")
    for picture, room, degrees, lightest in ((opened, behind, 0.0, 0), (closed, before, -5.0, 3)):
        mapping = _tilted(picture.extent, room, math.radians(degrees))
        _cast_shadow(canvas, picture, mapping, lightest)
        picture.paint(canvas, mapping)
    wording, title = words_of(resolved), resolved.design.title
    noun = wording.within_sentence(title.split()[-1])
    return canvas.scene("cover", title, wording.phrase("draw_cover", design=title, noun=noun))


def _tilted(model: Rect, room: Rect, tilt: float) -> ToPaper:
    """As large as the tilted rectangle fits, in the middle of the room."""
    cosine, sine = abs(math.cos(tilt)), abs(math.sin(tilt))
    width = model.width * cosine + model.height * sine
    height = model.width * sine + model.height * cosine
    scale = min(room.width / width, room.height / height, 1.0)
    x, y = ToPaper(scale, 0.0, 0.0, tilt=tilt)(*model.centre)
    return ToPaper(scale, room.centre[0] - x, room.centre[1] - y, tilt=tilt)


def _cast_shadow(canvas: Canvas, picture: Picture, mapping: ToPaper, lightest: int) -> None:
    """Layers of ever darker grey, each a little smaller, down and to the right.

    Over another picture the lightest layers would look like a white border; they are left out.
    """
    whole = unary_union([Polygon(mapping.ring(face.rings[0])) for face in picture.faces])
    for step, fill in enumerate(SHADOWS[lightest:], start=lightest):
        shadow = translate(whole.buffer(2.2 - 0.45 * step, join_style="mitre"), 1.4, -1.6)
        canvas.area(rings_of(shadow), fill)
