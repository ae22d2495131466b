"""A piece with its exact size → outline, faces, scores, holes, windows and glue areas.

In: a :class:`Piece` and :class:`Values`.  Out: a :class:`ResolvedPiece` (holes made by
fastenings come later, when everything is placed).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import assert_never

from builder.choices import is_hole, takes_whole_box
from builder.design import Opening, Piece, Section
from builder.findings import error
from builder.formulas import Pair
from builder.geometry.edges import (
    EXTENTS,
    Axis,
    CornerName,
    EdgeName,
    is_left,
    is_low,
    is_vertical,
)
from builder.geometry.outline import (
    Box,
    rectangle,
)
from builder.reading.references import cell_name
from builder.resolve.outlines import CornerSizes, corner_size, outline_of, with_section_corners
from builder.resolve.resolved import (
    Face,
    GlueArea,
    Hole,
    Offsets,
    ResolvedPiece,
    ResolvedStock,
    Score,
)
from builder.resolve.seam_runs import with_seams
from builder.resolve.tabs import resolve_tabs, with_tabs
from builder.resolve.values import Unresolved, Values

_ZERO = Fraction(0)


def resolve_piece(
    piece: Piece, code: str, stock: ResolvedStock, values: Values, by: str, host_face: str
) -> ResolvedPiece:
    """The piece in this edition; raises :class:`Unresolved` after reporting what is wrong."""
    width, height = values.extents(piece)
    _require_positive(piece, width, height, values)
    whole = Box(_ZERO, _ZERO, width, height)
    corners = {name: corner_size(corner, values) for name, corner in piece.corners.items()}
    sections = _faces(piece, whole, corners, values)
    tabs = resolve_tabs(piece, whole, sections, values)
    faces = (*sections, *(tab.face for tab in tabs))
    scores = (*_scores(piece, sections, whole, corners, values), *(tab.score for tab in tabs))
    _require_joined(piece, faces, scores, by, values)
    _require_host_face(piece, host_face, values)
    outline = outline_of(piece, whole, corners, values)
    outline = with_tabs(piece, outline, tabs, values)
    outline = with_section_corners(piece, outline, sections, values)
    offsets = _offsets(piece, by, values)
    resolved = ResolvedPiece(
        key=piece.key,
        code=code,
        source=piece,
        stock=stock,
        width=width,
        height=height,
        outline=outline,
        faces=faces,
        scores=tuple(sorted(scores, key=lambda score: (not score.is_vertical, score.at))),
        holes=tuple(
            _hole(opening, whole, values) for opening in piece.openings if is_hole(opening.shape)
        ),
        windows=tuple(
            rectangle(_window(opening, whole, values))
            for opening in piece.openings
            if not is_hole(opening.shape)
        ),
        glue=_glue(piece, faces, by, values),
        by=by,
        host_face=host_face,
        offsets=offsets,
        unmet=_unmet(piece, offsets, values),
        raised=_raised(piece, values),
        corner_sizes={
            **{where: size for where, (_, size) in corners.items()},
            **{
                f"{section} {where}": corner_size(corner, values)[1]
                for (section, where), corner in piece.section_corners.items()
            },
        },
    )
    return with_seams(resolved, values)


def _raised(piece: Piece, values: Values) -> Fraction:
    expression = piece.placement.raised if piece.placement else None
    return _ZERO if expression is None else values.length_of(expression)


def _require_joined(
    piece: Piece, faces: Sequence[Face], scores: Sequence[Score], by: str, values: Values
) -> None:
    """Every face must hang, by folds, on the one that the piece lies with."""
    joined = {by} & {face.name for face in faces}
    for _ in faces:
        joined |= {side for score in scores if joined & {*score.sides} for side in score.sides}
    loose = [face.name for face in faces if face.name not in joined]
    if loose or not joined:
        name = loose[0] if joined else by
        message = f"its corners cut section '{name}' off piece '{piece.key}'"
        values.report(error("cut-off", piece.position, message, "Make the corners smaller."))
        raise Unresolved(piece.key)


def _require_host_face(piece: Piece, host_face: str, values: Values) -> None:
    if piece.placement is None:
        return
    host = values.design.pieces[piece.placement.host]
    if not has_face(host, host_face, values):
        message = f"'{host.key}' has no section '{host_face}': its corner is notched away"
        remedy = "Let the piece lie on a section that is still there."
        values.report(error("unknown-name", piece.placement.position, message, remedy))
        raise Unresolved(piece.key)


def has_face(piece: Piece, name: str, values: Values) -> bool:
    """Whether the face is still there after the piece's corners are cut."""
    if name in {tab.name for tab in piece.tabs}:
        return True
    whole = Box(_ZERO, _ZERO, values.extent(piece, "width"), values.extent(piece, "height"))
    corners = {where: corner_size(corner, values) for where, corner in piece.corners.items()}
    return name in {face.name for face in _faces(piece, whole, corners, values)}


def _require_positive(piece: Piece, width: Fraction, height: Fraction, values: Values) -> None:
    units = values.edition.units
    for name, extent in zip(EXTENTS, (width, height), strict=True):
        if extent <= 0:
            message = f"the {name} of piece '{piece.key}' comes to {units.text(extent)}"
            remedy = "A piece needs a size above zero; check the measures it is computed from."
            values.report(error("negative-size", piece.position, message, remedy))
            raise Unresolved(piece.key)
    for section in (*piece.across, *piece.up):
        size = values.section(piece, section)
        if size <= 0:
            message = f"section '{section.name}' of '{piece.key}' comes to {units.text(size)}"
            values.report(error("negative-size", section.position, message, "Check its formula."))
            raise Unresolved(piece.key)


def _cuts(
    piece: Piece, sections: tuple[Section, ...], end: Fraction, values: Values
) -> list[Fraction]:
    """Where the sections begin and end, from the left or bottom edge."""
    if not sections:
        return [_ZERO, end]
    places = [_ZERO]
    for section in sections:
        places.append(places[-1] + values.section(piece, section))
    return places


def _faces(piece: Piece, whole: Box, corners: CornerSizes, values: Values) -> tuple[Face, ...]:
    xs = _cuts(piece, piece.across, whole.right, values)
    ys = _cuts(piece, piece.up, whole.top, values)
    columns = [section.name for section in piece.across] or ["face"]
    rows = [section.name for section in piece.up] or ["face"]
    faces = []
    for row, (bottom, top) in enumerate(itertools.pairwise(ys)):
        for column, (left, right) in enumerate(itertools.pairwise(xs)):
            box = Box(left, bottom, right, top)
            if not _is_notched_away(box, whole, corners):
                faces.append(
                    Face(_face_name(piece, columns[column], rows[row], columns, rows), box)
                )
    return tuple(faces)


def _face_name(piece: Piece, column: str, row: str, columns: list[str], rows: list[str]) -> str:
    if piece.across and piece.up:
        return cell_name(column, row, columns, rows)
    return column if piece.across or not piece.up else row


def _is_notched_away(box: Box, whole: Box, corners: CornerSizes) -> bool:
    for name, (shape, size) in corners.items():
        if not takes_whole_box(shape):
            continue
        inside_across = (
            box.right <= size.width if is_left(name) else (box.left >= whole.right - size.width)
        )
        inside_up = (
            box.top <= size.height if is_low(name) else (box.bottom >= whole.top - size.height)
        )
        if inside_across and inside_up:
            return True
    return False


def _scores(
    piece: Piece, faces: tuple[Face, ...], whole: Box, corners: CornerSizes, values: Values
) -> list[Score]:
    """A score wherever two faces share a boundary, shortened where a corner is cut away."""
    xs = _cuts(piece, piece.across, whole.right, values)
    ys = _cuts(piece, piece.up, whole.top, values)
    starts: dict[Axis, dict[Fraction, Section]] = {
        "vertical": dict(zip(xs, piece.across, strict=False)),
        "horizontal": dict(zip(ys, piece.up, strict=False)),
    }
    scores = []
    for first in faces:
        for second in faces:
            shared = _shared_boundary(first.box, second.box)
            if shared is None:
                continue
            axis, at, start, end = shared
            later = starts[axis][at]
            start, end = _shortened(axis, at, start, end, whole, corners)
            if start >= end:
                continue
            scores.append(
                Score(axis, at, start, end, later.fold, later.closed, (first.name, second.name))
            )
    return scores


def _shared_boundary(first: Box, second: Box) -> tuple[Axis, Fraction, Fraction, Fraction] | None:
    """The boundary between a face and the one on its right or above it."""
    if first.right == second.left and first.bottom == second.bottom:
        return "vertical", first.right, first.bottom, first.top
    if first.top == second.bottom and first.left == second.left:
        return "horizontal", first.top, first.left, first.right
    return None


def _shortened(
    axis: Axis, at: Fraction, start: Fraction, end: Fraction, whole: Box, corners: CornerSizes
) -> tuple[Fraction, Fraction]:
    """The part of a score line that is still paper after the corners are cut."""
    vertical = is_vertical(axis)
    far = whole.right if vertical else whole.top
    length = whole.top if vertical else whole.right
    for name, (_, size) in corners.items():
        reach = size.width if vertical else size.height
        depth = size.height if vertical else size.width
        near_low = is_left(name) if vertical else is_low(name)
        is_reached = at <= reach if near_low else at >= far - reach
        if not is_reached:
            continue
        at_start = is_low(name) if vertical else is_left(name)
        if at_start:
            start = max(start, depth)
        else:
            end = min(end, length - depth)
    return start, end


def _opening_box(
    opening: Opening, width: Fraction, height: Fraction, whole: Box, values: Values
) -> Box:
    given = {edge: values.length_of(value) for edge, value in opening.distances.items()}
    left = _start(given.get("left"), given.get("right"), width, whole.width)
    bottom = _start(given.get("bottom"), given.get("top"), height, whole.height)
    return Box(left, bottom, left + width, bottom + height)


def _start(
    near: Fraction | None, far: Fraction | None, extent: Fraction, room: Fraction
) -> Fraction:
    """Where something begins: by its near distance, its far distance, or centred."""
    if near is not None:
        return near
    if far is not None:
        return room - far - extent
    return (room - extent) / 2


def _window(opening: Opening, whole: Box, values: Values) -> Box:
    size = values.pair_of(opening.size)
    _require_opening(opening, min(size.width, size.height), values)
    return _opening_box(opening, size.width, size.height, whole, values)


def _hole(opening: Opening, whole: Box, values: Values) -> Hole:
    """A hole's distances run to its centre, as a maker marks them."""
    diameter = values.length_of(opening.size)
    _require_opening(opening, diameter, values)
    return Hole(_opening_box(opening, _ZERO, _ZERO, whole, values).centre, diameter, None)


def _require_opening(opening: Opening, size: Fraction, values: Values) -> None:
    if size <= 0:
        message = f"the size of this {opening.shape} comes to nothing or less"
        values.report(error("negative-size", opening.size.position, message, "Check its formula."))
        raise Unresolved(opening.shape)


def _glue(piece: Piece, faces: tuple[Face, ...], by: str, values: Values) -> GlueArea:
    placement = piece.placement
    if placement is None or not placement.glue:
        return GlueArea((), ())
    box = next(face.box for face in faces if face.name == by)
    keep_off = []
    for area in placement.keep_off:
        match area.where:
            case "left" | "right" | "top" | "bottom" as edge:
                keep_off.append(box.strip(edge, values.length_of(area.size)))
            case "top left" | "top right" | "bottom left" | "bottom right" as corner:
                keep_off.append(_corner_box(box, corner, values.pair_of(area.size)))
            case _:
                assert_never(area.where)
    return GlueArea(placement.glue, tuple(keep_off))


def _corner_box(box: Box, corner: CornerName, size: Pair) -> Box:
    left = box.left if is_left(corner) else box.right - size.width
    bottom = box.bottom if is_low(corner) else box.top - size.height
    return Box(left, bottom, left + size.width, bottom + size.height)


def _offsets(piece: Piece, by: str, values: Values) -> Offsets | None:
    """Distances from the host face's edges to the face ``by`` of the piece, in the host's frame."""
    placement = piece.placement
    if placement is None:
        return None
    host = values.design.pieces[placement.host]
    room_x = values.face_extent(host, placement.host_face, "width")
    room_y = values.face_extent(host, placement.host_face, "height")
    across, upward = values.face_extent(piece, by, "width"), values.face_extent(piece, by, "height")
    if placement.turned in (90, 270):
        across, upward = upward, across
    given = values.distances(placement)
    left = _start(given.get("left"), given.get("right"), across, room_x)
    bottom = _start(given.get("bottom"), given.get("top"), upward, room_y)
    return Offsets(left, room_x - left - across, room_y - bottom - upward, bottom)


def _unmet(
    piece: Piece, offsets: Offsets | None, values: Values
) -> tuple[tuple[EdgeName, Fraction], ...]:
    """Distances to the host's edges that the piece's own size contradicts."""
    if piece.placement is None or offsets is None:
        return ()
    given = values.distances(piece.placement)
    return tuple((edge, want) for edge, want in given.items() if offsets.at(edge) != want)
