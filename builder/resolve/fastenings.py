"""Brads, eyelets, magnets and ribbons: their sizes, their points on every piece they meet, and the
holes they make."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from builder.design import Expression, Fastening
from builder.findings import Finding, error
from builder.geometry.edges import EdgeName
from builder.geometry.outline import Point
from builder.geometry.pose import Pose
from builder.lengths import INCH, nearest_on_grid
from builder.resolve.resolved import Hole, ResolvedFastening, ResolvedPiece, State
from builder.resolve.values import Unresolved, Values

#: Pierced holes for brads (common practice, no source): one eighth of an inch, about 3 mm.
_PIERCED_HOLE = INCH / 8


def resolve_fastenings(
    values: Values, pieces: Mapping[str, ResolvedPiece]
) -> dict[str, ResolvedFastening]:
    found: dict[str, ResolvedFastening] = {}
    for key, fastening in values.design.fastenings.items():
        try:
            found[key] = _fastening(key, fastening, values, pieces)
        except Unresolved:
            continue
    return found


def _fastening(
    key: str, fastening: Fastening, values: Values, pieces: Mapping[str, ResolvedPiece]
) -> ResolvedFastening:
    def true_size(expression: Expression | None) -> Fraction:
        return Fraction(0) if expression is None else values.length_of(expression, actual=True)

    def length(expression: Expression | None) -> Fraction:
        return Fraction(0) if expression is None else values.length_of(expression)

    _require_sizes(fastening, values, true_size, length)
    point = None
    placed_on = fastening.through[0] if fastening.through else fastening.round
    if placed_on is not None and placed_on in pieces:
        first = pieces[placed_on]
        given = {edge: values.length_of(value) for edge, value in fastening.distances.items()}
        point = _point_on(first, given)
    return ResolvedFastening(
        key=key,
        source=fastening,
        head=true_size(fastening.head),
        leg=true_size(fastening.leg),
        length=length(fastening.length),
        allowance=length(fastening.allowance),
        point=point,
    )


def _require_sizes(
    fastening: Fastening,
    values: Values,
    true_size: Callable[[Expression | None], Fraction],
    length: Callable[[Expression | None], Fraction],
) -> None:
    """What a fastening measures is above zero; only an allowance may be nothing."""
    for name, measured in (("head", true_size), ("leg", true_size), ("length", length)):
        expression = getattr(fastening, name)
        if expression is not None and measured(expression) <= 0:
            message = f"the {name} of fastening '{fastening.key}' comes to nothing or less"
            position = expression.position
            values.report(error("negative-size", position, message, "Check its formula."))
            raise Unresolved(fastening.key)


def _point_on(piece: ResolvedPiece, given: Mapping[EdgeName, Fraction]) -> Point:
    x = given.get("left", piece.width - given["right"] if "right" in given else piece.width / 2)
    y = given.get("bottom", piece.height - given["top"] if "top" in given else piece.height / 2)
    return Point(x, y)


def with_marks(
    pieces: Mapping[str, ResolvedPiece],
    fastenings: Mapping[str, ResolvedFastening],
    states: Mapping[str, State],
    values: Values,
) -> tuple[dict[str, ResolvedFastening], list[Finding]]:
    """The fastenings with their points on every piece they meet.

    What is pierced is pierced flat, at one place through all layers; magnets meet when closed.
    """
    flat, closed = _poses_of(states["flat"]), _poses_of(states["closed"])
    result = dict(fastenings)
    findings: list[Finding] = []
    for key, fastening in fastenings.items():
        if fastening.point is None or not fastening.source.through:
            continue
        if fastening.source.kind == "magnet pair":
            # The other magnet lies straight across from the first.
            marks = _marks(fastening, fastening.point, pieces, closed, _straight_across)
        else:
            marks = _marks(fastening, fastening.point, pieces, flat, _right_there)
            missed = [piece for piece in fastening.source.through if piece not in marks]
            findings.extend(_hole_misses(fastening, piece, values) for piece in missed)
        result[key] = replace(fastening, marks=marks)
    return result, findings


def _poses_of(state: State) -> dict[tuple[str, str], Pose]:
    return {(face.piece, face.face): face.pose for face in state.faces}


_Poses = Mapping[tuple[str, str], Pose]


def _marks(
    fastening: ResolvedFastening,
    point: Point,
    pieces: Mapping[str, ResolvedPiece],
    poses: _Poses,
    meets: Callable[[ResolvedPiece, Pose, Point, _Poses], Point | None],
) -> dict[str, Point]:
    """The point on the first piece, and where each other piece ``meets`` it."""
    first, *others = fastening.source.through
    marks = {first: point}
    pose = _pose_at(pieces[first], point, poses)
    if pose is None:
        return marks
    for key in others:
        found = meets(pieces[key], pose, point, poses)
        if found is not None:
            marks.setdefault(key, found)
    return marks


def _straight_across(piece: ResolvedPiece, pose: Pose, point: Point, poses: _Poses) -> Point | None:
    """The point of the piece nearest before or behind a point of a face that lies in ``pose``."""
    found: list[tuple[Fraction, Point]] = []
    for face in piece.faces:
        theirs = poses.get((piece.key, face.name))
        if theirs is None or [*map(abs, theirs.normal)] != [*map(abs, pose.normal)]:
            continue
        x, y, away = theirs.undo(pose.apply(point.x, point.y))
        if face.box.contains(Point(x, y)):
            found.append((abs(away), Point(x, y)))
    return min(found, key=lambda each: each[0])[1] if found else None


def with_fastening_holes(
    pieces: Mapping[str, ResolvedPiece],
    fastenings: Mapping[str, ResolvedFastening],
    values: Values,
) -> dict[str, ResolvedPiece]:
    """The pieces with the holes that brads and eyelets make; magnets are glued on."""
    result = dict(pieces)
    for fastening in fastenings.values():
        if fastening.source.kind == "magnet pair":
            continue
        for key, point in fastening.marks.items():
            hole = Hole(point, _hole_diameter(fastening, values), fastening.key)
            result[key] = replace(result[key], holes=(*result[key].holes, hole))
    return result


def _hole_diameter(fastening: ResolvedFastening, values: Values) -> Fraction:
    return (
        fastening.head
        if fastening.source.kind == "eyelet"
        else nearest_on_grid(_PIERCED_HOLE, values.edition.grid)
    )


def _hole_misses(fastening: ResolvedFastening, key: str, values: Values) -> Finding:
    first = fastening.source.through[0]
    message = f"fastening '{fastening.key}' goes through '{first}' but misses '{key}'"
    remedy = f"Move its point on '{first}', or take '{key}' out of 'through'."
    return error("hole-misses", fastening.source.position, message, remedy)


def _pose_at(
    piece: ResolvedPiece, point: Point, poses: Mapping[tuple[str, str], Pose]
) -> Pose | None:
    """The pose of the piece's face that holds the point; None where it is not placed."""
    for face in piece.faces:
        pose = poses.get((piece.key, face.name))
        if pose is not None and face.box.contains(point):
            return pose
    return None


def _right_there(piece: ResolvedPiece, pose: Pose, point: Point, poses: _Poses) -> Point | None:
    """The point of the piece at the same place in space as a point of a face in ``pose``."""
    for face in piece.faces:
        theirs = poses.get((piece.key, face.name))
        if theirs is None:
            continue
        x, y, away = theirs.undo(pose.apply(point.x, point.y))
        if away == 0 and face.box.contains(Point(x, y)):
            return Point(x, y)
    return None
