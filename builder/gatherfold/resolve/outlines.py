"""The outline of a piece: its sides, with corners notched, mitred or rounded and thumb notches; and
the stretches of it along which sections that are closed for good are glued."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import takewhile
from typing import assert_never

from gatherfold.findings import Position
from gatherfold.formulas import Pair
from gatherfold.geometry import (
    CORNERS,
    Arc,
    Box,
    CornerName,
    Edge,
    EdgeName,
    Outline,
    Point,
    Segment,
    is_left,
    is_low,
    is_upright,
    outward,
)
from gatherfold.model import Corner, CornerShape, Piece, Seam, Section
from gatherfold.resolve.resolved import Face, ResolvedPiece, ResolvedSeam, Run, Score, run_length
from gatherfold.resolve.values import Unresolved, Values

_ZERO = Fraction(0)
#: Edges in the order of a counter-clockwise walk, each with the corners where it begins and ends.
ENDS: dict[EdgeName, tuple[CornerName, CornerName]] = {
    "bottom": ("bottom left", "bottom right"),
    "right": ("bottom right", "top right"),
    "top": ("top right", "top left"),
    "left": ("top left", "bottom left"),
}

#: Shape and size by corner.
CornerSizes = dict[CornerName, tuple[CornerShape, Pair]]


def corner_size(corner: Corner, values: Values) -> tuple[CornerShape, Pair]:
    """The shape of a corner and its exact size."""
    what, is_round = f"this {corner.shape}", False
    match corner.shape:
        case "notch":
            size = values.size_of(corner.size, what)
        case "mitre":
            size = values.size_of(corner.size, what, or_square=True)
        case "round":
            size, is_round = values.size_of(corner.size, what, or_square=True), True
        case _:
            assert_never(corner.shape)
    if is_round and size.width != size.height:
        message = "a round corner has one radius"
        raise values.refused("wrong-type", corner.size.position, message, "Write 'round 1/4'.")
    return corner.shape, size


def corner_sizes(piece: Piece, values: Values) -> dict[str, Pair]:
    """The exact sizes of a piece's corners (``top left``) and of those of its sections
    (``top_flap top left``)."""
    of_sections = piece.section_corners.items()
    named = [
        *piece.corners.items(),
        *((f"{section} {where}", corner) for (section, where), corner in of_sections),
    ]
    return {name: corner_size(corner, values)[1] for name, corner in named}


def outline_of(piece: Piece, whole: Box, corners: CornerSizes, values: Values) -> Outline:
    """The boundary, counter-clockwise from the lower left corner."""
    notches = {
        edge: values.measured(radius, "the radius of this thumb notch")
        for edge, radius in piece.thumb_notches.items()
    }
    shaped = {name: _corner_edges(whole, name, corners.get(name)) for name in CORNERS}
    outline: list[Edge] = []
    for edge, (first, last) in ENDS.items():
        edges, _, start = shaped[first]
        _, end, _ = shaped[last]
        notch = notches.get(edge, _ZERO)
        _require_room(piece, start, end, edge, notch, values)
        outline += [*edges, *_side(start, end, edge, notch)]
    return Outline(tuple(outline))


def way_along(edge: EdgeName) -> tuple[int, int]:
    """The way along an edge counter-clockwise: a quarter turn to the left of the way out of it."""
    x, y = outward(edge)
    return -y, x


def _require_room(
    piece: Piece, start: Point, end: Point, edge: EdgeName, notch: Fraction, values: Values
) -> None:
    """What shapes an edge from both its corners and its middle must fit along it."""
    x, y = way_along(edge)
    left_over = (end.x - start.x) * x + (end.y - start.y) * y
    missing = 2 * notch - left_over
    if missing > 0:
        short = values.edition.units.text(missing)
        message = f"the {edge} edge of piece '{piece.key}' is {short} too short for its shapes"
        remedy = "Make its corners or its thumb notch smaller."
        raise values.refused("corner-too-large", piece.position, message, remedy)


def refused_for_corners(
    piece: Piece, position: Position, code: str, said: tuple[str, str], values: Values
) -> Unresolved:
    """What to raise where sections and tabs do not come out: a notch that is not as large as the
    corner that it is to take away, or else what is ``said``."""
    for where, corner in piece.corners.items() if piece.across and piece.up else ():
        columns = _outside(piece.across if is_left(where) else piece.across[::-1], piece.up)
        rows = _outside(piece.up if is_low(where) else piece.up[::-1], piece.across)
        size = corner_size(corner, values)[1]
        widths, heights = ([values.section(piece, e) for e in each] for each in (columns, rows))
        cell = Pair(sum(widths, _ZERO), sum(heights, _ZERO))
        if corner.shape == "notch" and size != cell:
            units = values.edition.units
            own, room = (units.size_text(each.width, each.height) for each in (size, cell))
            names = f"'{columns[-1].name}' and '{rows[-1].name}'"
            what = f"the {where} notch of '{piece.key}'"
            message = f"{what} is {own}, and its corner between {names} {room}"
            remedy = f"Make it {room}, or correct the size of {names}."
            return values.refused("notch-misfits", corner.size.position, message, remedy)
    return values.refused(code, position, *said)


def _outside(row: Sequence[Section], other: Sequence[Section]) -> Sequence[Section]:
    """The sections of a row before the one in which it crosses another row; the first of them
    where they share none."""
    shared = {each.name for each in other}
    return list(takewhile(lambda each: each.name not in shared, row)) or row[:1]


def with_section_corners(
    piece: Piece, outline: Outline, sections: Sequence[Face], values: Values
) -> Outline:
    """Shapes the outer corners of single sections, such as those of a flap."""
    for (section, where), corner in piece.section_corners.items():
        shaped = corner_size(corner, values)
        face = next((face for face in sections if face.name == section), None)
        edges = None if face is None else _with_corner(outline, face.box, where, shaped)
        if edges is None:
            message = f"'{section}' of piece '{piece.key}' has no free {where} corner of that size"
            remedy = "Shape a corner where two cut edges meet, and keep it within both."
            said = (message, remedy)
            raise refused_for_corners(piece, corner.size.position, "no-such-corner", said, values)
        outline = edges
    return outline


def _with_corner(
    outline: Outline, box: Box, where: CornerName, shaped: tuple[CornerShape, Pair]
) -> Outline | None:
    """The outline with one corner of a box shaped; None where it has no room for that."""
    at = box.corner(where)
    shape, first, last = _corner_edges(box, where, shaped)
    for index, after in enumerate(outline.edges):
        before = outline.edges[index - 1]
        is_corner = after.start == at
        if is_corner and runs_along(before, first, at) and runs_along(after, at, last):
            edges = list(outline.edges)
            edges[index - 1], edges[index] = Segment(before.start, first), Segment(last, after.end)
            edges[index:index] = shape
            return Outline(tuple(edge for edge in edges if edge.start != edge.end))
    return None


def runs_along(edge: Edge, start: Point, end: Point) -> bool:
    """Whether a straight edge along an axis holds the whole run from ``start`` to ``end``, in that
    direction."""
    if not isinstance(edge, Segment):
        return False
    places = [edge.start, start, end, edge.end]
    across, upward = [point.x for point in places], [point.y for point in places]
    fixed, moving = (across, upward) if len(set(across)) == 1 else (upward, across)
    return len(set(fixed)) == 1 and moving in (sorted(moving), sorted(moving, reverse=True))


def _corner_edges(
    box: Box, where: CornerName, corner: tuple[CornerShape, Pair] | None
) -> tuple[list[Edge], Point, Point]:
    """The edges that make a corner, and the points where it leaves its two sides."""
    at = box.corner(where)
    if corner is None:
        return [], at, at
    shape, size = corner
    inner = at.moved(
        size.width if is_left(where) else -size.width,
        size.height if is_low(where) else -size.height,
    )
    first, last = Point(at.x, inner.y), Point(inner.x, at.y)
    if is_left(where) != is_low(where):
        # The walk comes to it along the level edge, and goes on along the upright one.
        first, last = last, first
    match shape:
        case "notch":
            return [Segment(first, inner), Segment(inner, last)], first, last
        case "mitre":
            return [Segment(first, last)], first, last
        case "round":
            return [Arc(first, last, inner, clockwise=False)], first, last
        case _:
            assert_never(shape)


def _side(start: Point, end: Point, edge: EdgeName, notch: Fraction) -> list[Edge]:
    """One straight side, with a half circle cut into its middle where there is a thumb notch."""
    if start == end:
        return []
    if notch == 0:
        return [Segment(start, end)]
    middle = Point((start.x + end.x) / 2, (start.y + end.y) / 2)
    x, y = way_along(edge)
    before, after = middle.moved(-x * notch, -y * notch), middle.moved(x * notch, y * notch)
    bite = Arc(before, after, middle, clockwise=True)
    run: list[Edge] = [Segment(start, before), bite, Segment(after, end)]
    return [each for each in run if each.start != each.end]


# Seams


def with_seams(piece: ResolvedPiece, values: Values) -> ResolvedPiece:
    """The piece with its seams; raises :class:`Unresolved` after reporting what is wrong."""
    if not piece.source.seams:
        return piece
    return replace(piece, seams=tuple(_seam(piece, seam, values) for seam in piece.source.seams))


def _seam(piece: ResolvedPiece, seam: Seam, values: Values) -> ResolvedSeam:
    folds = {hanging: score for _, hanging, score in piece.folds_outward()}
    fold = folds.get(seam.section)
    if fold is None:
        message = f"section '{seam.section}' of piece '{piece.key}' does not fold in"
        remedy = "A seam is on a section that folds over others: name that one."
        raise values.refused("no-fold", seam.position, message, remedy)
    dry = values.length_of(seam.dry)
    runs = tuple(_runs(piece, piece.face(seam.section).box, fold, seam.edge, dry))
    if not runs:
        message = f"no straight edge of '{seam.section}' is left for a seam at its {seam.edge}"
        remedy = "Choose an edge that is no fold, or begin the seam nearer to the fold."
        raise values.refused("no-edge", seam.dry.position, message, remedy)
    return ResolvedSeam(seam.section, seam.edge, dry, runs)


def _runs(
    piece: ResolvedPiece, box: Box, fold: Score, edge: EdgeName, dry: Fraction
) -> Iterator[Run]:
    """Along an edge beside the fold the longest stretch of the outline, from ``dry`` beyond the
    fold outward; along the edge across from it every stretch, ``dry`` left free at both ends."""
    lines = [each for each in piece.outline.edges if isinstance(each, Segment)]
    if is_upright(edge) != fold.is_vertical:
        found = [run for line in lines if (run := _beside(line, box, fold, edge, dry))]
        yield from sorted(found, key=lambda run: -run_length(run))[:1]
        return
    at = box.edge(edge)
    if at == fold.at:
        return
    x, y = (abs(way) * dry for way in way_along(edge))
    for line in lines:
        start, end = sorted((line.start, line.end))
        if start.across(edge) == end.across(edge) == at and run_length((start, end)) > 2 * dry:
            yield start.moved(x, y), end.moved(-x, -y)


def _beside(line: Segment, box: Box, fold: Score, edge: EdgeName, dry: Fraction) -> Run | None:
    """What of a line lies in the section beside its fold, on the half that ``edge`` names."""
    low, high = box.ends(edge)
    near, far = (low + dry, high) if fold.at == low else (low, high - dry)
    first, last = line.start.along(edge), line.end.along(edge)
    start, end = max(min(first, last), near), min(max(first, last), far)
    if start >= end:
        return None
    outward_from = (start, end) if fold.at == low else (end, start)
    run = [line.at((place - first) / (last - first)) for place in outward_from]
    half = box.strip(edge, box.across(edge) / 2)
    middle = Point((run[0].x + run[1].x) / 2, (run[0].y + run[1].y) / 2)
    is_there = all(box.contains(point) for point in run) and half.contains(middle)
    return (run[0], run[1]) if is_there else None
