"""Pictures of the finished work, open or closed: from the front, from the back, or obliquely.

In: a resolved design, open or closed, the room on paper.  Out: a scene painted from the farthest
face to the nearest, so that what lies in front covers what lies behind.  Stocks are told apart by
their tints and, for printed papers, by simple patterns that survive a black and white print.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal, assert_never

from builder.choices import SideName
from builder.drawings.axonometric import ISOMETRIC, PLAN
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.fastening_ends import FasteningEnd, draw_end, ends_seen
from builder.drawings.labels import MOST_CHOICES, margin_notes, margin_room
from builder.drawings.plane import Mapping, Rect, fitted
from builder.drawings.raised_view import (
    RaisedFace,
    Strip,
    extent_of,
    paint_raised,
    raised_work,
    visible_keys,
    visible_places,
)
from builder.drawings.round_ribbons import ribbons_in_plan, round_ribbons, round_ties
from builder.drawings.scene import Scene
from builder.drawings.stock_tints import StockTints, drawing_tints, picture_tints
from builder.drawings.styles import FOLD_LINES, Line
from builder.drawings.wording import named, spoken_size, words_in, words_of
from builder.resolve.resolved import ResolvedDesign
from builder.work import Assembly, work_of
from builder.work.finished import lying, lying_open
from builder.work.plates import extent
from builder.work.space import Rigid
from builder.work.visible import Look, is_seen, visible_parts

#: The work with everything open, or with everything closed.
State = Literal["open", "closed"]
#: From where a picture shows the work: a side of it, or a corner above it.
Viewpoint = Literal[SideName, "front, right and above"]
OBLIQUE: Viewpoint = "front, right and above"

_MARGIN = 1.0
_UPWARD = 2
_FROM_ABOVE = Look(_UPWARD, 1)
#: Turned over sideways, as the page of a book is.
_TURNED_OVER = Rigid(((-1, 0, 0), (0, 1, 0), (0, 0, -1)), (0, 0, 0))
#: Folds are drawn finer from the front or back, where the picture is of the work itself.
_SEEN_FOLDS = {
    FOLD_LINES["valley"]: Line.SEEN_VALLEY,
    FOLD_LINES["mountain"]: Line.SEEN_MOUNTAIN,
}


def finished_scene(
    resolved: ResolvedDesign,
    state: State,
    max_width: float,
    max_height: float,
    view: Viewpoint = "front",
    labelled: Sequence[str] = (),
) -> Scene:
    """The work open or closed, within ``max_width`` x ``max_height`` mm.

    The pieces named in ``labelled`` get their codes and titles by leaders, if they can be seen.
    """
    canvas = Canvas(max_width, max_height)
    picture = picture_of(resolved, state, view)
    notes = []
    for key in labelled:
        places = visible_places(picture.faces, key, MOST_CHOICES)
        if places:
            notes.append((places, f"{resolved.pieces[key].code} {resolved.pieces[key].title}"))
    side = margin_room([text for _, text in notes]) + MARGIN if notes else _MARGIN
    room = Rect(side, _MARGIN, max_width - side, max_height - _MARGIN)
    mapping = fitted(picture.extent, room, 1.0)
    picture.paint(canvas, resolved, mapping)
    frame = mapping.rect(picture.extent)
    choices = [(mapping.ring(places), text) for places, text in notes]
    margin_notes(canvas, frame, choices)
    words = finished_equivalent(resolved, state, view)
    key = f"raised-{state}" if view == OBLIQUE else f"finished-{state}-{view}"
    return canvas.scene(key, _titled(resolved, state, view), words)


def stands(resolved: ResolvedDesign, state: State) -> bool:
    """Whether something of the work stands up, open or closed."""
    return any(plate.axis != _UPWARD for plate in work_in(resolved, state).plates.values())


def work_in(resolved: ResolvedDesign, state: State, view: Viewpoint = "front") -> Assembly:
    """The work open or closed, as it lies on the table, the side up that is seen."""
    work = work_of(resolved)
    match state:
        case "open":
            found = lying(lying_open(work))
        case "closed":
            found = lying(work.closed)
        case _:
            assert_never(state)
    return found.all_moved(_TURNED_OVER) if view == "back" else found


@dataclass(frozen=True)
class Picture:
    """Faces from the farthest to the nearest, the fastenings that show, and the ribbons round it
    all."""

    faces: tuple[RaisedFace, ...]
    ends: tuple[FasteningEnd, ...]
    ribbons: tuple[Strip, ...]
    tints: StockTints

    @property
    def extent(self) -> Rect:
        return extent_of(self.faces)

    def paint(self, canvas: Canvas, resolved: ResolvedDesign, mapping: Mapping) -> None:
        """Ink it."""
        paint_raised(canvas, resolved, self.faces, mapping, tints=self.tints, strips=self.ribbons)
        for end in self.ends:
            draw_end(canvas, end, mapping)


def picture_of(resolved: ResolvedDesign, state: State, view: Viewpoint) -> Picture:
    """What is to be seen of the work."""
    work, assembly = work_of(resolved), work_in(resolved, state, view)
    if view == OBLIQUE:
        faces = raised_work(resolved, assembly, work.scale, ISOMETRIC)
        has_folds = any(line is not Line.FAINT for face in faces for line, _ in face.folds)
        tints = drawing_tints(resolved) if has_folds else picture_tints(resolved)
        ribbons = [
            strip
            for tie in round_ties(resolved)
            if state == "closed"
            for strip in round_ribbons(work, tie, assembly, faces, ISOMETRIC, tints.fills)
        ]
        return Picture(faces, (), tuple(ribbons), tints)
    tints = picture_tints(resolved)
    faces = _from_above(resolved, assembly, work.scale)
    is_closed, from_front = state == "closed", view != "back"
    in_plan = ribbons_in_plan(work, assembly, from_front, tints.fills) if is_closed else ()
    ends = tuple(ends_seen(resolved, assembly, work.scale, _FROM_ABOVE))
    return Picture(faces, ends, in_plan, tints)


def _from_above(resolved: ResolvedDesign, assembly: Assembly, scale: int) -> tuple[RaisedFace, ...]:
    """What shows straight from above: of what stands, nothing."""
    seen = {key for key, part in visible_parts(assembly, _FROM_ABOVE).items() if is_seen(part)}
    flat = {key: plate for key, plate in assembly.plates.items() if plate.axis == _UPWARD}
    faces = raised_work(resolved, replace(assembly, plates=flat), scale, PLAN)
    return tuple(_with_fine_folds(face) for face in faces if face.key in seen)


def _with_fine_folds(face: RaisedFace) -> RaisedFace:
    folds = tuple((_SEEN_FOLDS.get(line, line), run) for line, run in face.folds)
    return replace(face, folds=folds)


def visible_pieces(
    resolved: ResolvedDesign, state: State, view: Viewpoint = "front"
) -> tuple[str, ...]:
    """The keys of pieces of which something can be seen, in the design's order."""
    assembly = work_in(resolved, state, view)
    if view == OBLIQUE:
        shown = set(
            visible_keys(raised_work(resolved, assembly, work_of(resolved).scale, ISOMETRIC))
        )
    else:
        parts = visible_parts(assembly, _FROM_ABOVE)
        shown = {key.piece for key, part in parts.items() if is_seen(part)}
    return tuple(key for key in resolved.pieces if key in shown)


def finished_equivalent(resolved: ResolvedDesign, state: State, view: Viewpoint = "front") -> str:
    """The picture in words: the size over all, the pieces that show, and the ribbons round it."""
    units, work = resolved.edition.units, work_of(resolved)
    wording, title = words_in(units), resolved.design.title
    written = wording.phrase(f"draw_state_{state}")
    plates = work_in(resolved, state, view).plates
    if not plates:
        return wording.phrase("draw_view_nothing", design=title, state=written)
    width, height, _ = (Fraction(high - low) / work.scale for low, high in extent(plates.values()))
    words = wording.phrase(
        "draw_view_words",
        design=title,
        state=written,
        view=_view_words(resolved, state, view),
        size=spoken_size(units, width, height),
        names=wording.listed(
            named(resolved.pieces[key]) for key in visible_pieces(resolved, state, view)
        ),
    )
    ties = round_ties(resolved)
    if state != "closed" or not ties:
        return words
    names = wording.listed(resolved.fastenings[tie].source.title for tie in ties)
    return f"{words} {wording.phrase('draw_tied_round', names=names)}"


def _titled(resolved: ResolvedDesign, state: State, view: Viewpoint) -> str:
    wording, title = words_of(resolved), resolved.design.title
    written = wording.phrase(f"draw_state_{state}")
    if view == OBLIQUE:
        return wording.phrase("draw_oblique", design=title, state=written)
    seen = _view_words(resolved, state, view)
    return wording.phrase("draw_view_title", design=title, state=written, view=seen)


def _view_words(resolved: ResolvedDesign, state: State, view: Viewpoint) -> str:
    """From where the work is seen; closed it lies on the table, a box as well as a folio."""
    is_lying = state == "closed" and view != OBLIQUE
    return words_of(resolved).phrase(f"view_closed_{view}" if is_lying else f"view_{view}")
