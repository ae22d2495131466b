"""The drawing of one piece with every dimension needed to make it, and none twice.

In: a resolved design, a piece and the room on paper.  Out: a scene.  Overall width stands above
and overall height on the left; scores, holes and windows have running dimensions from the left
edge (below the piece) and from the bottom edge (on its right); V and M name the folds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import (
    LETTERS_DEPTH,
    NUMBER_PT,
    Edge,
    Mark,
    are_apart,
    edge_letters,
    horizontal_dimension,
    letters_extent,
    running_depth,
    running_dimensions,
    vertical_dimension,
)
from builder.drawings.features import (
    corner_features,
    folds_by_place,
    hole_ring,
    outline_ring,
    rect_of,
    score_run,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.lettering import capital_height, text_width
from builder.drawings.plane import Mapping, Place, Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from builder.drawings.wording import (
    FOLD_LETTERS,
    corner_note,
    named,
    side_words,
    spoken_size,
    tab_label,
    tab_size,
    thumb_notch_label,
    unit_word,
    words_in,
)
from builder.geometry.outline import Arc, bounds
from builder.lengths import UnitSystem
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.wording import Wording

FOLD_LINES = {"valley": Line.VALLEY, "mountain": Line.MOUNTAIN}
LARGEST_SCALE = 1.0
_CAPTION_HEIGHT = 5.0
_OVERALL = 3.4
_NUMBER_ROOM = _OVERALL + 0.95 + capital_height(NUMBER_PT) + 0.9


@dataclass(frozen=True)
class _Running:
    """Places to dimension along one axis: exact distance from the datum, and the distance from
    the edge on which the labels stand to where the line to it begins."""

    at: Fraction
    inset: Fraction


@dataclass(frozen=True)
class _Layout:
    """Where the piece lies on paper."""

    mapping: Mapping
    box: Rect


def piece_scene(
    resolved: ResolvedDesign, piece_key: str, max_width: float, max_height: float
) -> Scene:
    """Draw the piece within ``max_width`` x ``max_height`` mm, at true size if it fits so."""
    piece = resolved.pieces[piece_key]
    units = resolved.edition.units
    across, upward = _running_across(piece), _running_upward(piece)
    canvas = Canvas(max_width, max_height)
    layout = _layout(piece, units, across, upward, canvas.frame)
    _draw_piece(canvas, piece, layout.mapping)
    _draw_dimensions(canvas, piece, units, layout, across, upward)
    _draw_caption(canvas, piece, units, layout)
    _size_windows(canvas, piece, units, layout.mapping)
    _draw_notes(canvas, piece, units, layout.mapping)
    _name_faces(canvas, piece, layout.mapping)
    title = f"{piece.code} {piece.title}".strip()
    return canvas.scene(f"piece-{piece.key}", title, piece_equivalent(resolved, piece_key))


def _running_across(piece: ResolvedPiece) -> tuple[_Running, ...]:
    """Scores, holes and left edges of windows, from the left edge."""
    found: dict[Fraction, Fraction] = {}
    for score in piece.scores:
        if score.axis == "vertical":
            found[score.at] = Fraction(0)
    for hole in piece.holes:
        _keep_nearest(found, hole.centre.x, hole.centre.y)
    for window in piece.windows:
        box = bounds(window)
        _keep_nearest(found, box.left, box.bottom)
    return tuple(_Running(at, inset) for at, inset in sorted(found.items()) if at > 0)


def _running_upward(piece: ResolvedPiece) -> tuple[_Running, ...]:
    """Scores, holes and lower edges of windows, from the bottom edge."""
    found: dict[Fraction, Fraction] = {}
    for score in piece.scores:
        if score.axis == "horizontal":
            found[score.at] = Fraction(0)
    for hole in piece.holes:
        _keep_nearest(found, hole.centre.y, piece.width - hole.centre.x)
    for window in piece.windows:
        box = bounds(window)
        _keep_nearest(found, box.bottom, piece.width - box.right)
    return tuple(_Running(at, inset) for at, inset in sorted(found.items()) if at > 0)


def _keep_nearest(found: dict[Fraction, Fraction], at: Fraction, inset: Fraction) -> None:
    """One line per place, long enough to reach the feature farthest from the edge."""
    found[at] = max(inset, found.get(at, inset))


def _layout(
    piece: ResolvedPiece,
    units: UnitSystem,
    across: Sequence[_Running],
    upward: Sequence[_Running],
    frame: Rect,
) -> _Layout:
    """The largest scale at which the piece and everything round it fit."""
    has_letters_above = any(s.axis == "vertical" for s in piece.scores)
    has_letters_left = any(s.axis == "horizontal" for s in piece.scores)
    left = _NUMBER_ROOM + (LETTERS_DEPTH if has_letters_left else 0.0)
    top = _NUMBER_ROOM + (LETTERS_DEPTH if has_letters_above else 0.0)
    right = 3.0
    if upward:
        right = running_depth([units.number(r.at) for r in upward], False, False) + 1.0
    width, height = float(piece.width), float(piece.height)
    overall = text_width(units.number(piece.width), NUMBER_PT)

    def placed(bottom: float) -> _Layout:
        room = Rect(
            frame.left + left,
            frame.bottom + bottom + _CAPTION_HEIGHT,
            frame.right - max(right, overall),
            frame.top - top,
        )
        scale = min(room.width / width, room.height / height, LARGEST_SCALE)
        x = (frame.width - width * scale + left - right) / 2
        x = min(max(x, room.left), room.right - width * scale)
        box = Rect(x, room.top - height * scale, x + width * scale, room.top)
        return _Layout(Mapping(scale, x, box.bottom), box)

    if not across:
        return placed(2.0)
    texts = [units.number(r.at) for r in across]
    turned = placed(running_depth(texts, True, False))
    if are_apart([Mark(turned.box.left, "0"), *_marks(across, turned, units, "bottom")]):
        return placed(running_depth(texts, True, True))
    return turned


def _marks(
    running: Sequence[_Running], layout: _Layout, units: UnitSystem, side: str
) -> list[Mark]:
    scale = layout.mapping.scale
    start = layout.box.left if side == "bottom" else layout.box.bottom
    return [
        Mark(start + float(r.at) * scale, units.number(r.at), -float(r.inset) * scale)
        for r in running
    ]


def _draw_piece(canvas: Canvas, piece: ResolvedPiece, mapping: Mapping) -> None:
    outline = mapping.ring(outline_ring(piece.outline))
    canvas.area([outline], Fill.PAPER)
    canvas.outline(outline, Line.VISIBLE, "outline")
    for score in piece.scores:
        canvas.strokes([mapping.ring(score_run(score))], FOLD_LINES[score.fold], "score")
    for window in piece.windows:
        canvas.outline(mapping.ring(outline_ring(window)), Line.VISIBLE, "window")
    for hole in piece.holes:
        ring = mapping.ring(hole_ring(hole))
        canvas.area([ring], Fill.PAPER)
        canvas.outline(ring, Line.VISIBLE, "hole")


def _draw_dimensions(
    canvas: Canvas,
    piece: ResolvedPiece,
    units: UnitSystem,
    layout: _Layout,
    across: Sequence[_Running],
    upward: Sequence[_Running],
) -> None:
    box = layout.box
    if across:
        marks = _marks(across, layout, units, "bottom")
        running_dimensions(canvas, Edge("bottom", box.bottom), box.left, marks)
    if upward:
        marks = _marks(upward, layout, units, "right")
        running_dimensions(canvas, Edge("right", box.right), box.bottom, marks)
    above, beside = Edge("top", box.top), Edge("left", box.left)
    spill_above = _draw_letters(canvas, above, _letters(piece, "vertical", layout), box)
    spill_beside = _draw_letters(canvas, beside, _letters(piece, "horizontal", layout), box)
    level = box.top + _OVERALL + (0.0 if spill_above is None else LETTERS_DEPTH)
    heights = (_foot(piece, layout, "top left")[1], _foot(piece, layout, "top right")[1])
    if spill_above:
        heights = (box.top + LETTERS_DEPTH,) * 2
    horizontal_dimension(canvas, box.left, box.right, level, heights, units.number(piece.width))
    level = box.left - _OVERALL - (0.0 if spill_beside is None else LETTERS_DEPTH)
    places = (_foot(piece, layout, "bottom left")[0], _foot(piece, layout, "top left")[0])
    if spill_beside:
        places = (box.left - LETTERS_DEPTH,) * 2
    vertical_dimension(canvas, box.bottom, box.top, level, places, units.number(piece.height))


def _draw_letters(canvas: Canvas, edge: Edge, letters: Sequence[Mark], box: Rect) -> bool | None:
    """Fold letters outside an edge; None if there are none, True if they spill past its ends.

    Where they spill, the extension lines of the overall size have to start beyond them.
    """
    if not letters:
        return None
    low, high = (box.left, box.right) if edge.is_level else (box.bottom, box.top)
    spill = (letters_extent(edge, len(letters)) - (high - low) + 1.2) / 2
    spilled = max(0.0, spill)
    edge_letters(canvas, edge, letters, low + 0.6 - spilled, high - 0.6 + spilled)
    return spill > 0


def _foot(piece: ResolvedPiece, layout: _Layout, corner: str) -> Place:
    """Where the piece's own edges end at a corner: (x on the level edge, y on the upright one)."""
    box, scale = layout.box, layout.mapping.scale
    x = box.left if "left" in corner else box.right
    y = box.bottom if "bottom" in corner else box.top
    for feature in corner_features(piece):
        if feature.corner == corner:
            x += (1 if "left" in corner else -1) * float(feature.width) * scale
            y += (1 if "bottom" in corner else -1) * float(feature.height) * scale
    return x, y


def _letters(piece: ResolvedPiece, axis: str, layout: _Layout) -> list[Mark]:
    start = layout.box.left if axis == "vertical" else layout.box.bottom
    return [
        Mark(start + float(at) * layout.mapping.scale, "".join(FOLD_LETTERS[k] for k in kinds))
        for at, kinds in folds_by_place(piece.scores, axis).items()
    ]


def _draw_caption(canvas: Canvas, piece: ResolvedPiece, units: UnitSystem, layout: _Layout) -> None:
    """The unit, once, and what the letters mean."""
    wording = words_in(units)
    words = [unit_word(units)]
    if layout.mapping.scale == LARGEST_SCALE:
        words.append(wording.phrase("draw_at_true_size"))
    for fold in dict.fromkeys(score.fold for score in piece.scores):
        words.append(wording.phrase(f"draw_letter_{fold}", letter=FOLD_LETTERS[fold]))
    if piece.holes:
        words.append(wording.phrase("draw_diameter"))
    if any(isinstance(edge, Arc) for edge in piece.outline.edges):
        words.append(wording.phrase("draw_radius"))
    if piece.source.thumb_notches:
        words.append(wording.phrase("draw_thumb_centred"))
    text = " · ".join(words)
    half = text_width(text, NOTE_PT) / 2
    x = (layout.box.left + layout.box.right) / 2
    x = min(max(x, canvas.frame.left + half), canvas.frame.right - half)
    y = layout.box.bottom - _bottom_depth(canvas, layout) - 3.4
    canvas.text(Text(text, x, y, NOTE_PT, colour=GREY_TEXT))


def _bottom_depth(canvas: Canvas, layout: _Layout) -> float:
    """How far what is drawn already reaches below the piece."""
    return layout.box.bottom - canvas.lowest


def _name_faces(canvas: Canvas, piece: ResolvedPiece, mapping: Mapping) -> None:
    """The sections' names inside them; narrow ones get a leader.  Tabs have notes already."""
    if len(piece.faces) < 2:
        return
    tabs = {tab.name for tab in piece.source.tabs}
    narrow = []
    for face in (face for face in piece.faces if face.name not in tabs):
        box = mapping.rect(rect_of(face.box))
        name = face.name.replace("_", " ")
        if not inner_label(canvas, box, [name], NOTE_PT):
            narrow.append((box, name))
    for box, name in narrow:
        note(canvas, _along_middle(box), name, size_pt=SMALLEST_LETTERING_PT)


def _along_middle(box: Rect) -> list[Place]:
    """Places along the longer middle line of a narrow box, from its centre outwards."""
    x, y = box.centre
    shares = (0.0, 0.15, -0.15, 0.3, -0.3, 0.42, -0.42)
    if box.width > box.height:
        return [(x + share * box.width, y) for share in shares]
    return [(x, y + share * box.height) for share in shares]


def _size_windows(
    canvas: Canvas, piece: ResolvedPiece, units: UnitSystem, mapping: Mapping
) -> None:
    for window in piece.windows:
        exact = bounds(window)
        size = f"{units.number(exact.width)} × {units.number(exact.height)}"
        box = mapping.rect(rect_of(exact))
        words = words_in(units).phrase("draw_window", size=size)
        if not inner_label(canvas, box, [words, size], NOTE_PT):
            note(canvas, _along_middle(box), words)


def _draw_notes(canvas: Canvas, piece: ResolvedPiece, units: UnitSystem, mapping: Mapping) -> None:
    """Sizes of holes, corners, tabs and thumb notches: one note for all of one kind and size.

    The longest are placed first: they find room least easily.
    """
    notes: dict[str, list[Place]] = {}
    for feature in (*corner_features(piece), *section_corner_features(piece)):
        words = corner_note(units, piece, feature)
        if words:
            notes.setdefault(words, []).append(mapping(*feature.inner))
    for hole in piece.holes:
        place = mapping(float(hole.centre.x), float(hole.centre.y))
        notes.setdefault(f"Ø {units.number(hole.diameter)}", []).append(place)
    for tab in tab_features(piece):
        notes.setdefault(tab_label(units, tab), []).append(mapping(*tab.end))
    for notch in thumb_notch_features(piece):
        notes.setdefault(thumb_notch_label(units, notch), []).append(mapping(*notch.bottom))
    for label, places in sorted(notes.items(), key=lambda item: -len(item[0])):
        times = f"{len(places)} × " if len(places) > 1 else ""
        note(canvas, places[::-1], f"{times}{label}")


def piece_equivalent(resolved: ResolvedDesign, piece_key: str) -> str:
    """The drawing in words, from the same exact lengths."""
    piece, units = resolved.pieces[piece_key], resolved.edition.units
    wording = words_in(units)
    size = spoken_size(units, piece.width, piece.height)
    side = ", ".join(side_words(piece, wording))
    sentences = [wording.phrase("draw_piece_words", piece=named(piece), size=size, side=side)]
    for axis in ("vertical", "horizontal"):
        folds = [
            f"{units.number(at)} ({_kinds(kinds, wording)})"
            for at, kinds in folds_by_place(piece.scores, axis).items()
        ]
        if folds:
            places = wording.listed(folds)
            sentences.append(wording.counted(f"draw_{axis}", len(folds), places=places))
    sentences.extend(_opening_sentences(piece, units))
    sentences.extend(_corner_sentences(piece, units))
    sentences.extend(_edge_sentences(piece, units))
    return " ".join(sentences)


def _kinds(kinds: Iterable[str], wording: Wording) -> str:
    """The folds at one place: ``valley``, ``valley and mountain``."""
    return wording.listed(wording.phrase(f"draw_kind_{kind}") for kind in kinds)


def _opening_sentences(piece: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    wording = words_in(units)
    for hole in piece.holes:
        yield wording.phrase(
            "draw_hole",
            diameter=units.number(hole.diameter),
            left=units.number(hole.centre.x),
            bottom=units.number(hole.centre.y),
        )
    for window in piece.windows:
        box = bounds(window)
        yield wording.phrase(
            "draw_window_words",
            size=spoken_size(units, box.width, box.height),
            left=units.number(box.left),
            bottom=units.number(box.bottom),
        )


def _corner_sentences(piece: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    """Shaped corners, those of one shape and size together."""
    wording = words_in(units)
    groups: dict[str, list[str]] = {}
    for feature in (*corner_features(piece), *section_corner_features(piece)):
        words = corner_note(units, piece, feature) or wording.phrase("draw_notch_to_scores")
        corner = wording.places[feature.corner]
        if feature.section:
            section = feature.section.replace("_", " ")
            corner = wording.phrase("draw_corner_of", corner=corner, section=section)
        groups.setdefault(words, []).append(corner)
    for words, corners in groups.items():
        spoken = words.replace("R ", f"{wording.phrase('draw_radius_word')} ")
        what = f"{spoken[0].upper()}{spoken[1:]}"
        yield wording.phrase("draw_corner_at", what=what, places=wording.listed(corners))


def _edge_sentences(piece: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    """Tabs and thumb notches."""
    wording = words_in(units)
    for tab in tab_features(piece):
        section, _, edge = tab.name.removesuffix("_tab").rpartition("_")
        place = wording.place(section, edge)
        name = wording.phrase("draw_tab_name", place=place)
        yield f"{name[0].upper()}{name[1:]}: {tab_size(units, tab)}."
    for notch in thumb_notch_features(piece):
        radius, edge = units.number(notch.radius), wording.places[notch.edge]
        yield wording.phrase("draw_thumb_words", radius=radius, edge=edge)
