"""A piece with its exact size → outline, faces, scores, holes, windows and glue areas.

In: a :class:`Piece` and :class:`Values`.  Out: a :class:`ResolvedPiece` (holes made by
fastenings come later, when everything is placed).
"""

from __future__ import annotations

import itertools
from fractions import Fraction

from builder.design import CORNERS, Corner, Opening, Piece, Section
from builder.findings import error
from builder.formulas import Pair
from builder.geometry.outline import (
    Arc,
    Box,
    Edge,
    Line,
    Outline,
    Point,
    rectangle,
)
from builder.reading.references import cell_name
from builder.resolve.resolved import (
    Face,
    GlueArea,
    Hole,
    Offsets,
    ResolvedPiece,
    ResolvedStock,
    Score,
)
from builder.resolve.values import Unresolved, Values

_ZERO = Fraction(0)
#: Corners in the order of a counter-clockwise walk, each with the direction back along the edge
#: it comes from and the direction along the edge it goes to.
_WALK = (
    ("bottom left", (0, 1), (1, 0)),
    ("bottom right", (-1, 0), (0, 1)),
    ("top right", (0, -1), (-1, 0)),
    ("top left", (1, 0), (0, -1)),
)
_EDGE_AFTER = {
    "bottom left": "bottom",
    "bottom right": "right",
    "top right": "top",
    "top left": "left",
}


def resolve_piece(
    piece: Piece, code: str, stock: ResolvedStock, values: Values, by: str, host_face: str
) -> ResolvedPiece:
    """The piece in this edition; raises :class:`Unresolved` after reporting what is wrong."""
    width, height = values.extent(piece, "width"), values.extent(piece, "height")
    _require_positive(piece, width, height, values)
    whole = Box(_ZERO, _ZERO, width, height)
    corners = {name: _corner_size(corner, values) for name, corner in piece.corners.items()}
    faces = _faces(piece, whole, corners, values)
    return ResolvedPiece(
        key=piece.key,
        code=code,
        source=piece,
        stock=stock,
        width=width,
        height=height,
        outline=_outline(piece, whole, corners, values),
        faces=faces,
        scores=_scores(piece, faces, whole, corners),
        holes=tuple(
            _hole(opening, whole, values) for opening in piece.openings if opening.shape == "hole"
        ),
        windows=tuple(
            rectangle(_window(opening, whole, values))
            for opening in piece.openings
            if opening.shape == "window"
        ),
        glue=_glue(piece, faces, by, values),
        by=by,
        host_face=host_face,
        offsets=_offsets(piece, by, values),
    )


def _require_positive(piece: Piece, width: Fraction, height: Fraction, values: Values) -> None:
    units = values.edition.units
    for name, extent in (("width", width), ("height", height)):
        if extent <= 0:
            message = f"the {name} of piece '{piece.key}' comes to {units.text(extent)}"
            remedy = "A piece needs a size above zero; check the measures it is computed from."
            values.report(error("negative-size", piece.position, message, remedy))
            raise Unresolved(piece.key)
    for section in (*piece.across, *piece.up):
        size = values.length_of(section.size)
        if size <= 0:
            message = f"section '{section.name}' of '{piece.key}' comes to {units.text(size)}"
            values.report(error("negative-size", section.position, message, "Check its formula."))
            raise Unresolved(piece.key)


def _corner_size(corner: Corner, values: Values) -> tuple[str, Pair]:
    if corner.shape == "notch":
        return corner.shape, values.pair_of(corner.size)
    size = values.length_of(corner.size)
    return corner.shape, Pair(size, size)


_CornerSizes = dict[str, tuple[str, Pair]]


def _outline(piece: Piece, whole: Box, corners: _CornerSizes, values: Values) -> Outline:
    """The boundary, counter-clockwise from the lower left corner."""
    notches = {notch.edge: values.length_of(notch.radius) for notch in piece.thumb_notches}
    at = {
        "bottom left": Point(whole.left, whole.bottom),
        "bottom right": Point(whole.right, whole.bottom),
        "top right": Point(whole.right, whole.top),
        "top left": Point(whole.left, whole.top),
    }
    runs: list[list[Edge]] = []
    ends: list[tuple[Point, Point]] = []
    for name, back, along in _WALK:
        edges, first, last = _corner_edges(at[name], back, along, corners.get(name))
        runs.append(edges)
        ends.append((first, last))
    outline: list[Edge] = []
    for index, (name, _, along) in enumerate(_WALK):
        outline.extend(runs[index])
        start, end = ends[index][1], ends[(index + 1) % 4][0]
        outline.extend(_side(start, end, along, notches.get(_EDGE_AFTER[name])))
    return Outline(tuple(outline))


def _corner_edges(
    at: Point, back: tuple[int, int], along: tuple[int, int], corner: tuple[str, Pair] | None
) -> tuple[list[Edge], Point, Point]:
    """The edges that make a corner, and the points where it leaves its two sides."""
    if corner is None:
        return [], at, at
    shape, size = corner

    def reach(direction: tuple[int, int]) -> Point:
        return at.moved(direction[0] * size.width, direction[1] * size.height)

    first, last = reach(back), reach(along)
    inner = Point(first.x + last.x - at.x, first.y + last.y - at.y)
    if shape == "notch":
        return [Line(first, inner), Line(inner, last)], first, last
    if shape == "mitre":
        return [Line(first, last)], first, last
    return [Arc(first, last, inner, clockwise=False)], first, last


def _side(start: Point, end: Point, along: tuple[int, int], notch: Fraction | None) -> list[Edge]:
    """One straight side, with a half circle cut into its middle where there is a thumb notch."""
    if start == end:
        return []
    if notch is None:
        return [Line(start, end)]
    middle = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
    before = middle.moved(-along[0] * notch, -along[1] * notch)
    after = middle.moved(along[0] * notch, along[1] * notch)
    return [Line(start, before), Arc(before, after, middle, clockwise=True), Line(after, end)]


def _cuts(sections: tuple[Section, ...], end: Fraction, values: Values) -> list[Fraction]:
    """Where the sections begin and end, from the left or bottom edge."""
    if not sections:
        return [_ZERO, end]
    places = [_ZERO]
    for section in sections:
        places.append(places[-1] + values.length_of(section.size))
    return places


def _faces(piece: Piece, whole: Box, corners: _CornerSizes, values: Values) -> tuple[Face, ...]:
    xs = _cuts(piece.across, whole.right, values)
    ys = _cuts(piece.up, whole.top, values)
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


def _is_notched_away(box: Box, whole: Box, corners: _CornerSizes) -> bool:
    for name, (shape, size) in corners.items():
        if shape != "notch":
            continue
        inside_across = (
            box.right <= size.width if "left" in name else (box.left >= whole.right - size.width)
        )
        inside_up = (
            box.top <= size.height if "bottom" in name else (box.bottom >= whole.top - size.height)
        )
        if inside_across and inside_up:
            return True
    return False


def _scores(
    piece: Piece, faces: tuple[Face, ...], whole: Box, corners: _CornerSizes
) -> tuple[Score, ...]:
    """A score wherever two faces share a boundary, shortened where a corner is cut away."""
    starts = {
        "vertical": _starts(piece.across, faces, "vertical"),
        "horizontal": _starts(piece.up, faces, "horizontal"),
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
            scores.append(
                Score(axis, at, start, end, later.fold, later.closed, (first.name, second.name))
            )
    return tuple(sorted(scores, key=lambda score: (score.axis == "horizontal", score.at)))


def _starts(
    sections: tuple[Section, ...], faces: tuple[Face, ...], axis: str
) -> dict[Fraction, Section]:
    """The section that begins at each boundary: it says how the fold there goes."""
    if axis == "vertical":
        places = sorted({face.box.left for face in faces})
    else:
        places = sorted({face.box.bottom for face in faces})
    return dict(zip(places, sections, strict=True)) if sections else {}


def _shared_boundary(first: Box, second: Box) -> tuple[str, Fraction, Fraction, Fraction] | None:
    """The boundary between a face and the one on its right or above it."""
    if first.right == second.left and first.bottom == second.bottom:
        return "vertical", first.right, first.bottom, first.top
    if first.top == second.bottom and first.left == second.left:
        return "horizontal", first.top, first.left, first.right
    return None


def _shortened(
    axis: str, at: Fraction, start: Fraction, end: Fraction, whole: Box, corners: _CornerSizes
) -> tuple[Fraction, Fraction]:
    """The part of a score line that is still paper after the corners are cut."""
    far = whole.right if axis == "vertical" else whole.top
    length = whole.top if axis == "vertical" else whole.right
    for name, (_, size) in corners.items():
        reach = size.width if axis == "vertical" else size.height
        depth = size.height if axis == "vertical" else size.width
        near_low = "left" in name if axis == "vertical" else "bottom" in name
        is_reached = at <= reach if near_low else at >= far - reach
        if not is_reached:
            continue
        at_start = "bottom" in name if axis == "vertical" else "left" in name
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
    return _opening_box(opening, size.width, size.height, whole, values)


def _hole(opening: Opening, whole: Box, values: Values) -> Hole:
    """A hole's distances run to its centre, as a maker marks them."""
    diameter = values.length_of(opening.size)
    return Hole(_opening_box(opening, _ZERO, _ZERO, whole, values).centre, diameter, None)


def _glue(piece: Piece, faces: tuple[Face, ...], by: str, values: Values) -> GlueArea:
    placement = piece.placement
    if placement is None or not placement.glue:
        return GlueArea((), ())
    box = next(face.box for face in faces if face.name == by)
    keep_off = []
    for area in placement.keep_off:
        if area.where in CORNERS:
            size = values.pair_of(area.size)
            keep_off.append(_corner_box(box, area.where, size))
        else:
            depth = values.length_of(area.size)
            keep_off.append(_edge_box(box, area.where, depth))
    return GlueArea(placement.glue, tuple(keep_off))


def _corner_box(box: Box, corner: str, size: Pair) -> Box:
    left = box.left if "left" in corner else box.right - size.width
    bottom = box.bottom if "bottom" in corner else box.top - size.height
    return Box(left, bottom, left + size.width, bottom + size.height)


def _edge_box(box: Box, edge: str, depth: Fraction) -> Box:
    return {
        "left": Box(box.left, box.bottom, box.left + depth, box.top),
        "right": Box(box.right - depth, box.bottom, box.right, box.top),
        "bottom": Box(box.left, box.bottom, box.right, box.bottom + depth),
        "top": Box(box.left, box.top - depth, box.right, box.top),
    }[edge]


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
    offsets = Offsets(left, room_x - left - across, room_y - bottom - upward, bottom)
    for edge, distance in given.items():
        if getattr(offsets, edge) != distance:
            _report_overdetermined(piece, edge, distance, getattr(offsets, edge), values)
            raise Unresolved(piece.key)
    return offsets


def _report_overdetermined(
    piece: Piece, edge: str, wanted: Fraction, found: Fraction, values: Values
) -> None:
    units = values.edition.units
    assert piece.placement is not None
    expression = piece.placement.distances.get(edge) or piece.placement.leaving
    position = piece.position if expression is None else expression.position
    message = (
        f"piece '{piece.key}' should lie {units.text(wanted)} from the {edge} edge of "
        f"'{piece.placement.host}', but its size leaves {units.text(found)} there"
    )
    remedy = "Leave out its size on that axis, or one of the two distances."
    values.report(error("sums-do-not-close", position, message, remedy))
