"""A piece with its exact size → outline, faces, scores, holes, windows and glue areas.

In: a :class:`Piece` and :class:`Values`.  Out: a :class:`ResolvedPiece` (holes made by
fastenings come later, when everything is placed).
"""

import itertools
from collections.abc import Mapping, Sequence
from contextlib import suppress
from fractions import Fraction
from typing import assert_never

from gatherfold.findings import Position
from gatherfold.formulas import FormulaProblem, Pair
from gatherfold.geometry import (
    AXES,
    EXTENTS,
    Axis,
    Box,
    CornerName,
    EdgeName,
    Outline,
    Point,
    ends_across,
    holds,
    is_left,
    is_low,
    is_vertical,
    other_axis,
    rectangle,
)
from gatherfold.model import Join, Opening, Piece, Placement, Section, is_hole, takes_whole_box
from gatherfold.reading import face_names, faces_of_sections
from gatherfold.resolve.outlines import (
    CornerSizes,
    corner_size,
    corner_sizes,
    outline_of,
    with_seams,
    with_section_corners,
)
from gatherfold.resolve.resolved import (
    Face,
    Gluing,
    Hole,
    Offsets,
    ResolvedJoin,
    ResolvedPiece,
    ResolvedStock,
    Score,
)
from gatherfold.resolve.tabs import resolve_tabs, with_tabs
from gatherfold.resolve.values import Unresolved, Values

_ZERO = Fraction(0)


def resolve_piece(piece: Piece, code: str, stock: ResolvedStock, values: Values) -> ResolvedPiece:
    """The piece in this edition; raises :class:`Unresolved` after reporting what is wrong."""
    glued, joins = _glued_faces(piece, values), _resolve_joins(piece, values)
    by, host_face = _contact_faces(piece, values)
    room = Pair(*values.extents(piece))
    _require_positive(piece, room, values)
    whole, corners, sections = _parted(piece, values)
    tabs = resolve_tabs(piece, whole, sections, values)
    faces = (*sections, *(tab.face for tab in tabs))
    scores = (*_scores(piece, sections, whole, corners, values), *(tab.score for tab in tabs))
    _require_joined(piece, faces, scores, by, values)
    _require_host_face(piece, host_face, values)
    outline = with_tabs(piece, outline_of(piece, whole, corners, values), tabs, values)
    outline = with_section_corners(piece, outline, sections, values)
    offsets, unmet = _offsets(piece, by, values)
    holes = [each for each in piece.openings if is_hole(each.shape)]
    resolved = ResolvedPiece(
        key=piece.key,
        code=code,
        source=piece,
        stock=stock,
        width=room.width,
        height=room.height,
        outline=outline,
        faces=faces,
        scores=tuple(sorted(scores, key=lambda score: (not score.is_vertical, score.at))),
        holes=tuple(_hole(each, room, values) for each in holes),
        windows=tuple(_window(each, room, values) for each in piece.openings if each not in holes),
        glue=_glue(piece, faces, by, values),
        by=by,
        host_face=host_face,
        offsets=offsets,
        unmet=unmet,
        raised=values.length_if_given(piece.placement.raised if piece.placement else None),
        corner_sizes=corner_sizes(piece, values),
        glued=glued,
        joins=joins,
    )
    return with_seams(resolved, values)


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
        raise values.refused("cut-off", piece.position, message, "Make the corners smaller.")


def _require_host_face(piece: Piece, host_face: str, values: Values) -> None:
    if piece.placement is None:
        return
    host = values.design.pieces[piece.placement.host]
    if not _has_face(host, host_face, values):
        message = f"'{host.key}' has no section '{host_face}': its corner is notched away"
        remedy = "Let the piece lie on a section that is still there."
        raise values.refused("unknown-name", piece.placement.position, message, remedy)


def _has_face(piece: Piece, name: str, values: Values) -> bool:
    """Whether the face is still there after the piece's corners are cut."""
    names = {tab.name for tab in piece.tabs}
    return name in names or name in {face.name for face in _parted(piece, values)[2]}


def _parted(piece: Piece, values: Values) -> tuple[Box, CornerSizes, tuple[Face, ...]]:
    """The piece's rectangle, its corners, and the faces of its sections that these leave."""
    whole = Box(_ZERO, _ZERO, values.extent(piece, "width"), values.extent(piece, "height"))
    corners = {where: corner_size(corner, values) for where, corner in piece.corners.items()}
    return whole, corners, _faces(piece, whole, corners, values)


def _require_positive(piece: Piece, room: Pair, values: Values) -> None:
    units = values.edition.units
    for name, extent in zip(EXTENTS, (room.width, room.height), strict=True):
        if extent <= 0:
            message = f"the {name} of piece '{piece.key}' comes to {units.text(extent)}"
            remedy = "A piece needs a size above zero; check the measures it is computed from."
            raise values.refused("negative-size", piece.position, message, remedy)
    for section in (*piece.across, *piece.up):
        size = values.section(piece, section)
        if size <= 0:
            message = f"section '{section.name}' of '{piece.key}' comes to {units.text(size)}"
            raise values.refused("negative-size", section.position, message, "Check its formula.")


def _cuts(
    piece: Piece, sections: tuple[Section, ...], end: Fraction, values: Values
) -> list[Fraction]:
    """Where the sections begin and end, from the left or bottom edge."""
    sizes = [values.section(piece, section) for section in sections] or [end]
    return list(itertools.accumulate(sizes, initial=_ZERO))


def _faces(piece: Piece, whole: Box, corners: CornerSizes, values: Values) -> tuple[Face, ...]:
    """The faces between the scores, row by row, without those that corners take away."""
    xs = _cuts(piece, piece.across, whole.right, values)
    ys = _cuts(piece, piece.up, whole.top, values)
    cells = itertools.product(itertools.pairwise(ys), itertools.pairwise(xs))
    boxes = [Box(left, bottom, right, top) for (bottom, top), (left, right) in cells]
    notches = [
        _corner_box(whole, where, size)
        for where, (shape, size) in corners.items()
        if takes_whole_box(shape)
    ]
    return tuple(
        Face(name, box)
        for name, box in zip(faces_of_sections(piece.across, piece.up), boxes, strict=True)
        if not any(holds(notch, box) for notch in notches)
    )


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
    for axis, (first, second) in itertools.product(AXES, itertools.permutations(faces, 2)):
        near, far = ends_across(axis)
        at, ends = first.box.edge(far), first.box.ends(far)
        if (at, ends) == (second.box.edge(near), second.box.ends(near)):
            start, end = _shortened(axis, at, ends, whole, corners)
            later, sides = starts[axis][at], (first.name, second.name)
            if start < end:
                scores.append(Score(axis, at, start, end, later.fold, later.closed, sides))
    return scores


def _shortened(
    axis: Axis, at: Fraction, ends: tuple[Fraction, Fraction], whole: Box, corners: CornerSizes
) -> tuple[Fraction, Fraction]:
    """The part of a score line that is still paper after the corners are cut."""
    near, far = ends_across(axis)
    first, last = ends_across(other_axis(axis))
    start, end = ends
    for name, (_, size) in corners.items():
        cut = _corner_box(whole, name, size)
        if not cut.edge(near) <= at <= cut.edge(far):
            continue
        if is_low(name) if is_vertical(axis) else is_left(name):
            start = max(start, cut.edge(last))
        else:
            end = min(end, cut.edge(first))
    return start, end


def corner_within(
    distances: Mapping[EdgeName, Fraction], width: Fraction, height: Fraction, room: Pair
) -> Point:
    """Where something begins within a rectangle, from the lower left corner of both: in each
    direction by its near distance, its far distance, or centred."""
    places = []
    for axis, extent, whole in zip(AXES, (width, height), (room.width, room.height), strict=True):
        near, far = ends_across(axis)
        beyond = whole - extent
        centred = beyond - distances[far] if far in distances else beyond / 2
        places.append(distances.get(near, centred))
    return Point(*places)


def _window(opening: Opening, room: Pair, values: Values) -> Outline:
    size = values.size_of(opening.size, f"this {opening.shape}")
    given = values.lengths_of(opening.distances)
    corner = corner_within(given, size.width, size.height, room)
    return rectangle(Box(corner.x, corner.y, corner.x + size.width, corner.y + size.height))


def _hole(opening: Opening, room: Pair, values: Values) -> Hole:
    """A hole's distances run to its centre, as a maker marks them."""
    diameter = values.measured(opening.size, f"the size of this {opening.shape}")
    centre = corner_within(values.lengths_of(opening.distances), _ZERO, _ZERO, room)
    return Hole(centre, diameter, None)


def _glue(piece: Piece, faces: tuple[Face, ...], by: str, values: Values) -> Gluing:
    placement = piece.placement
    if placement is None or not placement.glue:
        return Gluing((), ())
    box = next(face.box for face in faces if face.name == by)
    keep_off = []
    for where, size in placement.keep_off.items():
        match where:
            case "left" | "right" | "top" | "bottom" as edge:
                keep_off.append(box.strip(edge, values.length_of(size)))
            case "top left" | "top right" | "bottom left" | "bottom right" as corner:
                keep_off.append(_corner_box(box, corner, values.pair_of(size)))
            case _:
                assert_never(where)
    return Gluing(placement.glue, tuple(keep_off))


def _corner_box(box: Box, corner: CornerName, size: Pair) -> Box:
    left = box.left if is_left(corner) else box.right - size.width
    bottom = box.bottom if is_low(corner) else box.top - size.height
    return Box(left, bottom, left + size.width, bottom + size.height)


def _offsets(
    piece: Piece, by: str, values: Values
) -> tuple[Offsets | None, tuple[tuple[EdgeName, Fraction], ...]]:
    """Distances from the host face's edges to the face ``by`` of the piece, in the host's frame;
    and those that the design gives and the piece's own size contradicts."""
    placement = piece.placement
    if placement is None:
        return None, ()
    host = values.design.pieces[placement.host]
    room = Pair(*(values.face_extent(host, placement.host_face, extent) for extent in EXTENTS))
    across, upward = (values.face_extent(piece, by, extent) for extent in EXTENTS)
    if placement.turned in (90, 270):
        across, upward = upward, across
    given = values.distances(placement)
    at = corner_within(given, across, upward, room)
    offsets = Offsets(at.x, room.width - at.x - across, room.height - at.y - upward, at.y)
    unmet = ((edge, want) for edge, want in given.items() if offsets.at(edge) != want)
    return offsets, tuple(unmet)


def _contact_faces(piece: Piece, values: Values) -> tuple[str, str]:
    """The face by which a piece lies on its host, and the host's face."""
    own = face_names(piece)
    placement = piece.placement
    if placement is None:
        return default_face(piece), ""
    if not placement.by and len(own) > 1:
        message = f"piece '{piece.key}' is folded; say which section lies on its host"
        remedy = f"Add 'by:' with one of: {', '.join(own)}."
        raise values.refused("which-section", placement.position, message, remedy)
    return (placement.by or own)[0], _host_face(placement, f"'{piece.key}' lies on", values)


def default_face(piece: Piece) -> str:
    """The face that stays put when a piece that lies on nothing is folded.

    The shared section of a grid (a tray's base); otherwise the middle one, of two the first.
    """
    columns = [section.name for section in piece.across]
    rows = [section.name for section in piece.up]
    shared = [name for name in columns if name in rows]
    names = shared or columns or rows or ["face"]
    return names[(len(names) - 1) // 2]


def _host_face(met: Placement | Join, what: str, values: Values) -> str:
    """The face of its host that a piece or a face of it meets: the one named, or the only one."""
    theirs = face_names(values.design.pieces[met.host])
    if met.host_face is None and len(theirs) > 1:
        message = f"'{met.host}' is folded; say which section {what}"
        remedy = f"Write '{met.host}.SECTION' with one of: {', '.join(theirs)}."
        raise values.refused("which-section", met.position, message, remedy)
    return met.host_face or theirs[0]


def _glued_faces(piece: Piece, values: Values) -> tuple[str, ...]:
    """The faces that are glued where the piece lies, the one that gives its place first."""
    placement = piece.placement
    if placement is None or not placement.glue:
        return ()
    remedy = "Let it lie by sections that are still there."
    for face in placement.by[1:]:
        _is_notched_away(piece, face, values, placement.position, remedy)
    return placement.by or tuple(face_names(piece)[:1])


def _resolve_joins(piece: Piece, values: Values) -> tuple[ResolvedJoin, ...]:
    """The joins of a piece that say which faces meet; what is wrong with others is reported."""
    joins: list[ResolvedJoin] = []
    for join in piece.joins:
        with suppress(Unresolved):
            joins += _resolve_join(piece, join, values)
    return tuple(joins)


def _resolve_join(piece: Piece, join: Join, values: Values) -> list[ResolvedJoin]:
    """The join, unless a corner takes one of its faces away."""
    host_face = _host_face(join, f"'{join.face}' is joined to", values)
    remedy = "Join sections that are still there."
    gone = [
        _is_notched_away(owner, face, values, join.position, remedy)
        for owner, face in ((piece, join.face), (values.design.pieces[join.host], host_face))
    ]
    join_there = ResolvedJoin(
        join.face, join.relation, join.host, host_face, join.glue, join.position
    )
    return [] if any(gone) else [join_there]


def _is_notched_away(
    piece: Piece, face: str, values: Values, position: Position, remedy: str
) -> bool:
    """Whether a corner of the piece takes the face away, which is reported; a piece whose sizes are
    wrong is reported where it is resolved itself."""
    try:
        if _has_face(piece, face, values):
            return False
    except (Unresolved, FormulaProblem):
        return False
    message = f"piece '{piece.key}' has no section '{face}': its corner is notched away"
    values.report("unknown-name", position, message, remedy)
    return True
