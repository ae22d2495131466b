"""Design + edition → :class:`ResolvedDesign`, or :class:`DesignUnreadable` with every reason."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

from builder.design import Design, Expression, Fastening, Piece
from builder.findings import DesignUnreadable, Finding, Position, error
from builder.formulas import FormulaProblem, Value, parse
from builder.geometry.outline import Point
from builder.geometry.pose import Pose
from builder.lengths import INCH, nearest_on_grid
from builder.reading.references import FORMULA_IN_TEXT, face_names, position_in_text
from builder.resolve.edition import Edition
from builder.resolve.pieces import resolve_piece
from builder.resolve.placement import place
from builder.resolve.resolved import (
    Hole,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedStock,
    ResolvedStrip,
    State,
)
from builder.resolve.sheets import resolve_trimmer
from builder.resolve.stocks import resolve_stocks
from builder.resolve.strips import resolve_strips
from builder.resolve.values import Unresolved, Values

_GRID = "Write a step such as '1/16 in' or '1 mm'."
#: Pierced holes for brads (common practice, no source): one eighth of an inch, about 3 mm.
_PIERCED_HOLE = INCH / 8
#: How far a cut edge may lie from its place (common practice, no source): 1/32 in, about 0.8 mm.
_CUTTING_TOLERANCE = INCH / 32


def resolve(
    design: Design, edition: Edition, shifts: Mapping[Position, int] | None = None
) -> ResolvedDesign:
    """Compute everything of one edition; every problem of the design is reported at once.

    ``shifts`` moves typed lengths by so many steps of the grid, by where they are typed.
    """
    edition = _with_own_grid(design, edition)
    values = Values(design, edition, shifts)
    measures = _measures(values)
    stocks = resolve_stocks(values)
    pieces = _pieces(values, stocks)
    fastenings = _fastenings(values, pieces)
    supply_sizes = _supply_sizes(values)
    printed = _printed(values)
    tolerance = _tolerance(values)
    trimmer = resolve_trimmer(values)
    strips = resolve_strips(values, pieces)
    if values.findings:
        raise DesignUnreadable(values.findings)
    states = place(pieces, design.closing)
    fastenings, findings = _with_marks(pieces, fastenings, states, values)
    if findings:
        raise DesignUnreadable(findings)
    pieces = _with_fastening_holes(pieces, fastenings, values)
    return ResolvedDesign(
        design=design,
        edition=edition,
        measures=measures,
        stocks=stocks,
        pieces=pieces,
        fastenings=fastenings,
        states=states,
        supply_sizes=supply_sizes,
        printed=printed,
        tolerance=tolerance,
        trimmer=trimmer,
        given=values.given,
        strips={key: _with_pieces(strip, pieces) for key, strip in strips.items()},
    )


def _with_pieces(strip: ResolvedStrip, pieces: Mapping[str, ResolvedPiece]) -> ResolvedStrip:
    """The strip with its pieces as they are in the end, holes for fastenings in."""
    parts = tuple(replace(part, piece=pieces[part.piece.key]) for part in strip.parts)
    return replace(strip, parts=parts)


def _with_own_grid(design: Design, edition: Edition) -> Edition:
    grid = design.editions.get(edition.name, {}).get("grid")
    if grid is None:
        return edition
    values = Values(design, edition)
    try:
        step = values.length_of(grid, actual=True)
    except Unresolved:
        raise DesignUnreadable(values.findings) from None
    if step <= 0:
        message = "the grid's step must be above zero"
        raise DesignUnreadable([error("negative-size", grid.position, message, _GRID)])
    return edition.with_grid(step)


def _measures(values: Values) -> dict[str, Value]:
    found: dict[str, Value] = {}
    for name, measure in values.design.measures.items():
        try:
            found[name] = values.measure(name)
        except Unresolved:
            continue
        except FormulaProblem as problem:
            values.report(error(problem.code, measure.position, problem.message, problem.remedy))
    return found


def _codes(design: Design) -> dict[str, str]:
    """Short labels: a letter for the stock, a number for the piece, as A1, A2, B1."""
    letters = {
        key: _letter(index)
        for index, key in enumerate(
            key for key, stock in design.stocks.items() if stock.material != "ribbon"
        )
    }
    counts: dict[str, int] = {}
    codes: dict[str, str] = {}
    for key, piece in design.pieces.items():
        counts[piece.stock] = counts.get(piece.stock, 0) + 1
        codes[key] = f"{letters.get(piece.stock, '')}{counts[piece.stock]}"
    return codes


def _letter(index: int) -> str:
    """A to Z, then AA, AB, …; I and O are left out, they look like digits."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    first, last = divmod(index, len(letters))
    return (_letter(first - 1) if first else "") + letters[last]


def _pieces(values: Values, stocks: Mapping[str, ResolvedStock]) -> dict[str, ResolvedPiece]:
    codes = _codes(values.design)
    found: dict[str, ResolvedPiece] = {}
    for key, piece in values.design.pieces.items():
        if piece.stock not in stocks:
            continue
        try:
            faces = _contact_faces(piece, values)
            if faces is not None:
                found[key] = resolve_piece(piece, codes[key], stocks[piece.stock], values, *faces)
        except Unresolved:
            continue
        except FormulaProblem as problem:
            values.report(error(problem.code, piece.position, problem.message, problem.remedy))
    return found


def _contact_faces(piece: Piece, values: Values) -> tuple[str, str] | None:
    """The face by which a piece lies on its host, and the host's face; None if unclear."""
    own = face_names(piece)
    placement = piece.placement
    if placement is None:
        return piece_default_face(piece), ""
    host = values.design.pieces[placement.host]
    theirs = face_names(host)
    if placement.by is None and len(own) > 1:
        message = f"piece '{piece.key}' is folded; say which section lies on its host"
        remedy = f"Add 'by:' with one of: {', '.join(own)}."
        values.report(error("which-section", placement.position, message, remedy))
        return None
    if placement.host_face is None and len(theirs) > 1:
        message = f"'{placement.host}' is folded; say which section '{piece.key}' lies on"
        remedy = f"Write '{placement.host}.SECTION' with one of: {', '.join(theirs)}."
        values.report(error("which-section", placement.position, message, remedy))
        return None
    return placement.by or own[0], placement.host_face or theirs[0]


def piece_default_face(piece: Piece) -> str:
    """The face that stays put when a piece that lies on nothing is folded.

    The shared section of a grid (a tray's base); otherwise the middle one.
    """
    columns = [section.name for section in piece.across]
    rows = [section.name for section in piece.up]
    shared = [name for name in columns if name in rows]
    names = shared or columns or rows or ["face"]
    return names[len(names) // 2]


def _fastenings(
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
    if fastening.through and fastening.through[0] in pieces:
        first = pieces[fastening.through[0]]
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


def _point_on(piece: ResolvedPiece, given: Mapping[str, Fraction]) -> Point:
    x = given.get("left", piece.width - given["right"] if "right" in given else piece.width / 2)
    y = given.get("bottom", piece.height - given["top"] if "top" in given else piece.height / 2)
    return Point(x, y)


def _with_marks(
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


def _with_fastening_holes(
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


def _tolerance(values: Values) -> Fraction:
    expression = values.design.tolerance
    if expression is None:
        return _CUTTING_TOLERANCE
    try:
        tolerance = values.length_of(expression, actual=True)
    except Unresolved:
        return _CUTTING_TOLERANCE
    if tolerance < 0:
        message = "the cutting tolerance is below zero"
        remedy = "Say how far a cut edge may lie from its place, for example '1/32 in'."
        values.report(error("negative-size", expression.position, message, remedy))
    return tolerance


def _supply_sizes(values: Values) -> dict[str, tuple[Fraction, Fraction]]:
    found: dict[str, tuple[Fraction, Fraction]] = {}
    for key, supply in values.design.supplies.items():
        try:
            width, roll = (
                Fraction(0) if size is None else values.length_of(size, actual=True)
                for size in (supply.width, supply.roll)
            )
        except Unresolved:
            continue
        found[key] = (width, roll)
    return found


def _printed(values: Values) -> dict[str, Value]:
    """The value of each ``{formula}`` in step text."""
    found: dict[str, Value] = {}
    for step in values.design.steps:
        for match in FORMULA_IN_TEXT.finditer(step.text):
            text = match.group(1).strip()
            lead = len(match.group(1)) - len(match.group(1).lstrip())
            position = position_in_text(step, match.start(1) + lead)
            try:
                found[text] = values.value_of(Expression(parse(text), position))
            except Unresolved:
                continue
            except FormulaProblem as problem:
                message = f"in '{{{text}}}': {problem.message}"
                values.report(error(problem.code, position, message, problem.remedy))
    return found
