"""The drawing of one piece with every dimension needed to make it, and none twice.

In: a resolved design, a piece and the room on paper.  Out: a scene.  Overall width stands above
and overall height on the left; scores, holes and windows have running dimensions from the left
edge (below the piece) and from the bottom edge (on its right); V and M name the folds.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.dimensions.dimensions import (
    LETTERS_DEPTH,
    NUMBER_PT,
    Edge,
    RunningMark,
    Span,
    are_apart,
    dimension,
    edge_letters,
    letters_extent,
    running_depth,
    running_dimensions,
)
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.lettering import capital_height, text_width
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.scene import Scene, Text
from gatherfold.drawings.kernel.styles import GREY_TEXT, Line
from gatherfold.drawings.kernel.wording import (
    FOLD_LETTERS,
    facing_words,
    has_two_sizes,
    pieces_alike,
    title_of,
    unit_word,
    words_in,
)
from gatherfold.drawings.kernel.wrapping import wrapped
from gatherfold.drawings.labels.labels import NOTE_PT
from gatherfold.drawings.piece.laid import LaidPiece, trace_piece
from gatherfold.drawings.piece.notes import label_drawing, notes_of
from gatherfold.drawings.piece.words import piece_equivalent
from gatherfold.drawings.views.features import (
    circle_across,
    corner_features,
    folds_by_place,
    given_by_scores,
    motif_box,
    narrowest,
    section_corner_features,
    smooth_chords,
)
from gatherfold.geometry import (
    AXES,
    Arc,
    Axis,
    Box,
    CornerName,
    EdgeName,
    bounds,
    is_upright,
    is_vertical,
)
from gatherfold.lengths import UnitSystem
from gatherfold.resolve import Hole, ResolvedDesign, ResolvedPiece

LARGEST_SCALE = 1.0
#: The diameter on paper, in mm, that a hole is drawn with at least.
SMALLEST_HOLE = 1.8
_CAPTION_HEIGHT = 5.0
_CAPTION_PITCH = 3.5
_MOST_CAPTION_LINES = 4
_OVERALL = 3.4
_NUMBER_ROOM = _OVERALL + 0.95 + capital_height(NUMBER_PT) + 0.9


@dataclass(frozen=True)
class _Running:
    """Places to dimension along one axis: exact distance from the datum, and the distance from
    the edge on which the labels stand to where the line to it begins, beyond a hole by its
    radius."""

    at: Fraction
    inset: Fraction


def piece_scene(
    resolved: ResolvedDesign,
    piece_key: str,
    max_width: float,
    max_height: float,
    others: Sequence[str] = (),
) -> Scene:
    """Draw the piece within ``max_width`` x ``max_height`` mm, at true size if it fits so; the
    ``others`` are made as it is."""
    pieces = pieces_alike(resolved, piece_key, others)
    piece = pieces[0]
    units, grid = resolved.edition.units, resolved.edition.grid
    across, upward = (_running(piece, grid, axis) for axis in AXES)
    canvas = Canvas(max_width, max_height)
    laid = _laid(piece, units, across, upward, canvas.frame)
    trace_piece(canvas, laid, smooth_chords(piece.outline, laid.scale), grid)
    _draw_dimensions(canvas, units, laid, across, upward)
    caption = _draw_caption(canvas, units, laid)
    shunned = [*_beyond_sizes(canvas, laid, across, upward), caption]
    label_drawing(canvas, resolved, laid, shunned)
    title = title_of(pieces, words_in(units))
    return canvas.scene(f"piece-{piece.key}", title, piece_equivalent(resolved, pieces))


def is_cramped(
    resolved: ResolvedDesign, piece_key: str, max_width: float, max_height: float
) -> bool:
    """Whether the piece, drawn in this room, is too small to be read: its narrowest section or
    corner is no more than a line, a hole touches its edge, or many things are said of a small
    picture."""
    piece, units = resolved.pieces[piece_key], resolved.edition.units
    grid, frame = resolved.edition.grid, Canvas(max_width, max_height).frame
    across, upward = (_running(piece, grid, axis) for axis in AXES)
    laid = _laid(piece, units, across, upward, frame)
    things = len(piece.scores) + len(piece.holes) + len(piece.windows)
    is_full = things + len(notes_of(laid, resolved)) >= _MANY_THINGS
    is_small = laid.scale < _SMALL_SCALE and is_full
    is_narrow = narrowest(piece) * laid.scale < _NARROWEST
    return is_small or is_narrow or any(_touches_edge(laid, hole) for hole in piece.holes)


def _touches_edge(laid: LaidPiece, hole: Hole) -> bool:
    """Whether the ring of a hole, as it is drawn, leaves no white beside the piece's edge."""
    (x, y), box = laid.place(hole.centre.x, hole.centre.y), laid.box
    nearest = min(x - box.left, box.right - x, y - box.bottom, box.top - y)
    return nearest - SMALLEST_HOLE / 2 < _RIM


#: In mm on paper, what a section or corner is at least; a picture at a smaller scale than this is
#: small for so many things to be said of it.
_NARROWEST, _SMALL_SCALE, _MANY_THINGS = 1.0, 0.25, 6
#: Between the ring of a hole and the piece's edge, from middle to middle of their lines.
_RIM = Line.VISIBLE.look.width + 0.25


def _running(piece: ResolvedPiece, grid: Fraction, axis: Axis) -> tuple[_Running, ...]:
    """Scores, holes and the nearer edges of windows and of a printed picture: those on upright
    lines from the left edge, those on level ones from the bottom edge."""
    found = {score.at: Fraction(0) for score in piece.scores if score.axis == axis}
    for hole in piece.holes:
        at, inset, most = hole.centre.x, hole.centre.y, piece.height
        if not is_vertical(axis):
            at, inset, most = hole.centre.y, piece.width - hole.centre.x, piece.width
        _keep_nearest(found, at, min(inset + hole.diameter, most))
    for box in _opened(piece, grid):
        if is_vertical(axis):
            _keep_nearest(found, box.left, box.bottom)
        else:
            _keep_nearest(found, box.bottom, piece.width - box.right)
    return tuple(_Running(at, inset) for at, inset in sorted(found.items()) if at > 0)


def _opened(piece: ResolvedPiece, grid: Fraction) -> list[Box]:
    """The windows, and the printed picture that the piece is cut round."""
    picture = motif_box(piece, grid)
    boxes = [bounds(window) for window in piece.windows]
    return boxes if picture is None else [*boxes, picture]


def _keep_nearest(found: dict[Fraction, Fraction], at: Fraction, inset: Fraction) -> None:
    """One line per place, long enough to reach the feature farthest from the edge."""
    found[at] = max(inset, found.get(at, inset))


def _laid(
    piece: ResolvedPiece,
    units: UnitSystem,
    across: Sequence[_Running],
    upward: Sequence[_Running],
    frame: Rect,
) -> LaidPiece:
    """The piece at the largest scale at which it and everything round it fit."""
    has_letters_above = any(s.is_vertical for s in piece.scores)
    has_letters_left = any(not s.is_vertical for s in piece.scores)
    left = _NUMBER_ROOM + (LETTERS_DEPTH if has_letters_left else 0.0)
    top = _NUMBER_ROOM + (LETTERS_DEPTH if has_letters_above else 0.0)
    right = 3.0
    if upward:
        right = running_depth([units.number(r.at) for r in upward], False, False) + 1.0
    width, height = float(piece.width), float(piece.height)
    overall = text_width(units.number(piece.width), NUMBER_PT)
    captions = (_caption(piece, units, frame, is_true) for is_true in (True, False))
    below = _CAPTION_HEIGHT + _CAPTION_PITCH * (max(len(lines) for lines in captions) - 1)

    def placed(bottom: float) -> LaidPiece:
        room = Rect(
            frame.left + left,
            frame.bottom + bottom + below,
            frame.right - max(right, overall),
            frame.top - top,
        )
        scale = min(room.width / width, room.height / height, LARGEST_SCALE)
        x = (frame.width - width * scale + left - right) / 2
        x = min(max(x, room.left), room.right - width * scale)
        corner = x, room.top - height * scale
        return LaidPiece(piece, corner, frame, scale, smallest_hole=SMALLEST_HOLE)

    if not across:
        return placed(2.0)
    texts = [units.number(r.at) for r in across]
    turned = placed(running_depth(texts, True, False))
    if are_apart([RunningMark(turned.corner[0], "0"), *_marks(across, turned, units, "bottom")]):
        return placed(running_depth(texts, True, True))
    return turned


def _marks(
    running: Sequence[_Running], laid: LaidPiece, units: UnitSystem, side: EdgeName
) -> list[RunningMark]:
    start, scale = laid.corner[is_upright(side)], laid.scale
    return [
        RunningMark(start + float(r.at) * scale, units.number(r.at), -float(r.inset) * scale)
        for r in running
    ]


def _draw_dimensions(
    canvas: Canvas,
    units: UnitSystem,
    laid: LaidPiece,
    across: Sequence[_Running],
    upward: Sequence[_Running],
) -> None:
    box, piece = laid.box, laid.piece
    if across:
        marks = _marks(across, laid, units, "bottom")
        running_dimensions(canvas, Edge("bottom", box.bottom), box.left, marks)
    if upward:
        marks = _marks(upward, laid, units, "right")
        running_dimensions(canvas, Edge("right", box.right), box.bottom, marks)
    above, beside = Edge("top", box.top), Edge("left", box.left)
    spill_above = _draw_letters(canvas, above, _letters(laid, "vertical"), box)
    spill_beside = _draw_letters(canvas, beside, _letters(laid, "horizontal"), box)
    level = box.top + _OVERALL + (0.0 if spill_above is None else LETTERS_DEPTH)
    heights = (_foot(laid, "top left")[1], _foot(laid, "top right")[1])
    if spill_above:
        heights = (box.top + LETTERS_DEPTH,) * 2
    span = Span(box.left, box.right, level, True)
    dimension(canvas, span, heights, units.number(piece.width))
    level = box.left - _OVERALL - (0.0 if spill_beside is None else LETTERS_DEPTH)
    places = (_foot(laid, "bottom left")[0], _foot(laid, "top left")[0])
    if spill_beside:
        places = (box.left - LETTERS_DEPTH,) * 2
    span = Span(box.bottom, box.top, level, False)
    dimension(canvas, span, places, units.number(piece.height))


def _draw_letters(
    canvas: Canvas, edge: Edge, letters: Sequence[RunningMark], box: Rect
) -> bool | None:
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


def _foot(laid: LaidPiece, corner: CornerName) -> Place:
    """Where the piece's own edges end at a corner: (x on the level edge, y on the upright one)."""
    found = (each.reach for each in corner_features(laid.piece) if each.corner == corner)
    return next((laid.place(at.x, at.y) for at in found), laid.box.corner(corner))


def _letters(laid: LaidPiece, axis: Axis) -> list[RunningMark]:
    start = laid.corner[not is_vertical(axis)]
    return [
        RunningMark(start + float(at) * laid.scale, "".join(FOLD_LETTERS[k] for k in kinds))
        for at, kinds in folds_by_place(laid.piece.scores, axis).items()
    ]


def _beyond_sizes(
    canvas: Canvas, laid: LaidPiece, across: Sequence[_Running], upward: Sequence[_Running]
) -> list[Rect]:
    """Where the leader of a note would run over a dimension line, or the note be squeezed between
    the upper one and the piece."""
    frame, box, away = canvas.frame, laid.box, _OVERALL - 0.5
    found = [
        Rect(frame.left, frame.bottom, box.left - away, frame.top),
        Rect(frame.left, box.top, frame.right, frame.top),
    ]
    if across:
        last = box.left + float(across[-1].at) * laid.scale
        found.append(Rect(frame.left, frame.bottom, last, box.bottom - away))
    if upward:
        last = box.bottom + float(upward[-1].at) * laid.scale
        found.append(Rect(box.right + away, frame.bottom, frame.right, last))
    return found


def _draw_caption(canvas: Canvas, units: UnitSystem, laid: LaidPiece) -> Rect:
    """Below all else, as near to the piece's middle as it fits.  Given back is where a note would
    read as a part of it."""
    is_true = laid.scale == LARGEST_SCALE
    y = canvas.extent.bottom - 3.4
    top = y + capital_height(NOTE_PT) + 0.5
    for line in _caption(laid.piece, units, canvas.frame, is_true):
        half = text_width(line, NOTE_PT) / 2
        x = laid.box.centre[0]
        x = min(max(x, canvas.frame.left + half), canvas.frame.right - half)
        canvas.text(Text(line, x, y, NOTE_PT, colour=GREY_TEXT))
        y -= _CAPTION_PITCH
    return Rect(canvas.frame.left, canvas.frame.bottom, canvas.frame.right, top)


def _caption(
    piece: ResolvedPiece, units: UnitSystem, frame: Rect, is_true_size: bool
) -> tuple[str, ...]:
    """The unit, once, whether lengths can be taken off the paper, the side that is seen, and what
    the letters mean."""
    wording = words_in(units)
    words = [
        unit_word(units),
        wording.phrase("draw_at_true_size" if is_true_size else "draw_not_true_size"),
        *facing_words(piece, wording),
    ]
    for fold in dict.fromkeys(score.fold for score in piece.scores):
        words.append(wording.phrase(f"draw_letter_{fold}", letter=FOLD_LETTERS[fold]))
    if piece.holes:
        words.append(wording.phrase("draw_diameter"))
    across = circle_across(piece)
    if across is not None:
        words.append(wording.phrase("draw_circle", across=units.number(across)))
    elif any(isinstance(edge, Arc) for edge in piece.outline.edges):
        words.append(wording.phrase("draw_radius"))
    corners = (*corner_features(piece), *section_corner_features(piece))
    if any(has_two_sizes(c) and not any(given_by_scores(piece, c)) for c in corners):
        words.append(wording.phrase("draw_corner_sizes"))
    if piece.source.thumb_notches:
        words.append(wording.phrase("draw_thumb_centred"))
    return wrapped(words, frame.width - 1.0, _MOST_CAPTION_LINES)
