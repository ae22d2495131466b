"""Design + edition → :class:`ResolvedDesign`, or :class:`DesignUnreadable` with every reason."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

from builder.choices import is_sold_by_length
from builder.design import Design, Expression, Piece
from builder.findings import DesignUnreadable, Position, error
from builder.formulas import FormulaProblem, Value, parse
from builder.lengths import INCH
from builder.reading.references import FORMULA_IN_TEXT, face_names, position_in_text
from builder.resolve.edition import Edition
from builder.resolve.fastenings import (
    resolve_fastenings,
)
from builder.resolve.joins import glued_faces, resolve_joins
from builder.resolve.pieces import resolve_piece
from builder.resolve.resolved import (
    ResolvedDesign,
    ResolvedPiece,
    ResolvedStock,
)
from builder.resolve.sheets import resolve_trimmer
from builder.resolve.stocks import resolve_stocks
from builder.resolve.strips import resolve_strips
from builder.resolve.values import Unresolved, Values

_GRID = "Write a step such as '1/16 in' or '1 mm'."
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
    fastenings = resolve_fastenings(values, pieces)
    supply_sizes = _supply_sizes(values)
    printed = _printed(values)
    tolerance = _tolerance(values)
    trimmer = resolve_trimmer(values)
    strips = resolve_strips(values, pieces)
    if values.findings:
        raise DesignUnreadable(values.findings)
    return ResolvedDesign(
        design=design,
        edition=edition,
        measures=measures,
        stocks=stocks,
        pieces=pieces,
        fastenings=fastenings,
        supply_sizes=supply_sizes,
        printed=printed,
        tolerance=tolerance,
        trimmer=trimmer,
        given=values.given,
        strips=strips,
    )


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
            key for key, stock in design.stocks.items() if not is_sold_by_length(stock.material)
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
        glued, joins = glued_faces(piece, values), resolve_joins(piece, values)
        try:
            faces = _contact_faces(piece, values)
            if faces is not None:
                flat = resolve_piece(piece, codes[key], stocks[piece.stock], values, *faces)
                found[key] = replace(flat, glued=glued, joins=joins)
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
    if not placement.by and len(own) > 1:
        message = f"piece '{piece.key}' is folded; say which section lies on its host"
        remedy = f"Add 'by:' with one of: {', '.join(own)}."
        values.report(error("which-section", placement.position, message, remedy))
        return None
    if placement.host_face is None and len(theirs) > 1:
        message = f"'{placement.host}' is folded; say which section '{piece.key}' lies on"
        remedy = f"Write '{placement.host}.SECTION' with one of: {', '.join(theirs)}."
        values.report(error("which-section", placement.position, message, remedy))
        return None
    return (placement.by or own)[0], placement.host_face or theirs[0]


def piece_default_face(piece: Piece) -> str:
    """The face that stays put when a piece that lies on nothing is folded.

    The shared section of a grid (a tray's base); otherwise the middle one, of two the first.
    """
    columns = [section.name for section in piece.across]
    rows = [section.name for section in piece.up]
    shared = [name for name in columns if name in rows]
    names = shared or columns or rows or ["face"]
    return names[(len(names) - 1) // 2]


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
