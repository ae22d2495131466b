"""Design + edition → :class:`ResolvedDesign`, or :class:`DesignUnreadable` with every reason.

Stocks get true sizes: sheets, ribbons, calipers, spares, and where the print has pictures.  What
has no size is reported.  Only spares snap to the edition's grid.
"""

from collections import Counter
from collections.abc import Mapping
from contextlib import suppress
from fractions import Fraction

from gatherfold.findings import DesignUnreadable, Position
from gatherfold.formulas import FormulaProblem, Pair, Value, parse
from gatherfold.geometry import EDGES_BY_AXIS, Box, ends_across
from gatherfold.lengths import INCH, NOTHING
from gatherfold.model import (
    SIDES,
    Design,
    Expression,
    Fastening,
    PrintedPlace,
    Reserve,
    SideName,
    Stock,
    StockSheet,
    Strip,
    Supply,
    is_across,
    is_sold_by_length,
)
from gatherfold.reading import FORMULA_IN_TEXT, position_in_text
from gatherfold.resolve.edition import Edition
from gatherfold.resolve.pieces import corner_within, resolve_piece
from gatherfold.resolve.resolved import (
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedReserve,
    ResolvedSheet,
    ResolvedStock,
    ResolvedStrip,
    ResolvedTrimmer,
    StripPart,
)
from gatherfold.resolve.values import Unresolved, Values


def resolve_stock(stock: Stock, values: Values) -> ResolvedStock:
    """One stock; raises :class:`Unresolved` when one of its sheets has no size."""
    what = f"of stock '{stock.key}'"
    values.measured(stock.caliper, f"the caliper {what}", actual=True)
    sheets = tuple(
        _sheet(stock, number, sheet, values) for number, sheet in enumerate(stock.sheets, 1)
    )
    return ResolvedStock(
        key=stock.key,
        source=stock,
        sheet_width=sheets[0].width if sheets else NOTHING,
        sheet_height=sheets[0].height if sheets else NOTHING,
        ribbon_width=values.measured(stock.width, f"the width {what}", actual=True),
        caliper=values.caliper(stock),
        motifs=_printed_places(stock, "motif", values),
        sheets=sheets,
        regions=_printed_places(stock, "region", values),
        reserves=tuple(_reserve(stock, reserve, values) for reserve in stock.reserves),
        ribbon_roll=values.measured(stock.roll, f"the roll {what}", actual=True),
    )


def _sheet(stock: Stock, number: int, source: StockSheet, values: Values) -> ResolvedSheet:
    """One size of the stock, called by the stock and, unless it is the first, its number."""
    what = "scrap" if source.is_scrap else "sheet"
    size = values.size_of(source.size, f"a {what} of stock '{stock.key}'", actual=True)
    widths = {
        edge: values.measured(
            width, f"the {edge} margin of stock '{stock.key}'", actual=True, may_be_nothing=True
        )
        for edge, width in source.margin.items()
    }
    left, right, bottom, top = (widths.get(edge, NOTHING) for edge in EDGES_BY_AXIS)
    name = stock.key if number == 1 else f"{stock.key} sheet {number}"
    sheet = ResolvedSheet(name, source, size.width, size.height, (left, right, bottom, top))
    if min(sheet.usable) <= 0:
        across = sheet.usable[0] <= 0
        first, second = ends_across("vertical" if across else "horizontal")
        room = values.edition.units.text(size.width if across else size.height)
        message = f"the margins of a sheet of stock '{stock.key}' leave nothing to cut from"
        remedy = f"Let the {first} and {second} margin together be less than {room}."
        position = next(iter(source.margin.values())).position
        raise values.refused("no-usable-area", position, message, remedy)
    return sheet


def _reserve(stock: Stock, reserve: Reserve, values: Values) -> ResolvedReserve:
    size = values.size_of(reserve.size, f"a spare of stock '{stock.key}'")
    return ResolvedReserve(reserve, size.width, size.height)


def _printed_places(
    stock: Stock, what: PrintedPlace, values: Values
) -> dict[tuple[SideName, str], Box]:
    """True places of the stock's printed pictures, or of its regions, by side and name."""
    found = {}
    for side in SIDES:
        for name, printed in stock.side(side).printed(what).items():
            left = values.length_of(printed.left, actual=True)
            bottom = values.length_of(printed.bottom, actual=True)
            size = values.pair_of(printed.size, actual=True)
            found[side, name] = Box(left, bottom, left + size.width, bottom + size.height)
    return found


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
    measures = values.all_of(design.measures, lambda measure: values.measure(measure.name))
    stocks = values.all_of(design.stocks, lambda stock: resolve_stock(stock, values))
    pieces = _pieces(values, stocks)
    resolved = ResolvedDesign(
        design=design,
        edition=edition,
        measures=measures,
        stocks=stocks,
        pieces=pieces,
        fastenings=values.all_of(design.fastenings, lambda each: _fastening(each, values, pieces)),
        supply_sizes=values.all_of(design.supplies, lambda supply: _supply_size(supply, values)),
        printed=_printed(values),
        tolerance=_tolerance(values),
        trimmer=_trimmer(values),
        given=values.given,
        strips=_strips(values, pieces),
    )
    if values.findings:
        raise DesignUnreadable(values.findings)
    return resolved


def _with_own_grid(design: Design, edition: Edition) -> Edition:
    grid = design.editions.get(edition.name, {}).get("grid")
    if grid is None:
        return edition
    values = Values(design, edition)
    with suppress(Unresolved):
        step = values.length_of(grid, actual=True)
        if step <= 0:
            message = "the grid's step must be above zero"
            remedy = "Write a step such as '1/16 in' or '1 mm'."
            values.report("negative-size", grid.position, message, remedy)
    if values.findings:
        raise DesignUnreadable(values.findings)
    return edition.with_grid(step)


def _codes(design: Design) -> dict[str, str]:
    """Short labels: a letter for the stock, a number for the piece, as A1, A2, B1."""
    stocks = design.stocks.values()
    on_sheets = [stock.key for stock in stocks if not is_sold_by_length(stock.material)]
    letters = {key: _letter(index) for index, key in enumerate(on_sheets)}
    counts: Counter[str] = Counter()
    codes: dict[str, str] = {}
    for key, piece in design.pieces.items():
        counts[piece.stock] += 1
        codes[key] = f"{letters.get(piece.stock, '')}{counts[piece.stock]}"
    return codes


def _letter(index: int) -> str:
    """A to Z, then AA, AB, …; I and O are left out, they look like digits."""
    letters = "ABCDEFGHJKLMNPQRSTUVWXYZ"
    first, last = divmod(index, len(letters))
    return (_letter(first - 1) if first else "") + letters[last]


def _pieces(values: Values, stocks: Mapping[str, ResolvedStock]) -> dict[str, ResolvedPiece]:
    codes = _codes(values.design)
    with_stock = {key: p for key, p in values.design.pieces.items() if p.stock in stocks}
    return values.all_of(
        with_stock,
        lambda piece: resolve_piece(piece, codes[piece.key], stocks[piece.stock], values),
    )


def _tolerance(values: Values) -> Fraction:
    expression = values.design.tolerance
    if expression is None:
        return _CUTTING_TOLERANCE
    tolerance = _CUTTING_TOLERANCE
    with suppress(Unresolved):
        tolerance = values.length_of(expression, actual=True)
    if tolerance < 0:
        message = "the cutting tolerance is below zero"
        remedy = "Say how far a cut edge may lie from its place, for example '1/32 in'."
        values.report("negative-size", expression.position, message, remedy)
    return tolerance


def _trimmer(values: Values) -> ResolvedTrimmer:
    """The trimmer's limits; without them it is long enough and holds any strip."""
    source = values.design.trimmer
    longest = values.measured(source.longest_cut, "the longest cut of the trimmer", True)
    narrowest = values.measured(source.narrowest_strip, "the narrowest strip of the trimmer", True)
    return ResolvedTrimmer(longest or None, narrowest)


def _supply_size(supply: Supply, values: Values) -> tuple[Fraction, Fraction]:
    width = values.length_if_given(supply.width, actual=True)
    return width, values.length_if_given(supply.roll, actual=True)


def _fastening(
    fastening: Fastening, values: Values, pieces: Mapping[str, ResolvedPiece]
) -> ResolvedFastening:
    """A fastening in exact sizes, with its point on the first piece that it goes through; holes
    come with the work, when they are pierced."""
    what = f"of fastening '{fastening.key}'"
    point = None
    placed_on = fastening.through[0] if fastening.through else fastening.round
    if placed_on is not None and placed_on in pieces:
        given, first = values.lengths_of(fastening.distances), pieces[placed_on]
        point = corner_within(given, NOTHING, NOTHING, Pair(first.width, first.height))
    return ResolvedFastening(
        key=fastening.key,
        source=fastening,
        head=values.measured(fastening.head, f"the head {what}", actual=True),
        leg=values.measured(fastening.leg, f"the leg {what}", actual=True),
        length=values.measured(fastening.length, f"the length {what}"),
        allowance=values.length_if_given(fastening.allowance),
        point=point,
    )


def _printed(values: Values) -> dict[str, Value]:
    """The value of each ``{formula}`` in step text."""
    found: dict[str, Value] = {}
    for step in values.design.steps:
        for match in FORMULA_IN_TEXT.finditer(step.text):
            text = match.group(1).strip()
            lead = len(match.group(1)) - len(match.group(1).lstrip())
            position = position_in_text(step, match.start(1) + lead)
            with suppress(Unresolved):
                try:
                    found[text] = values.value_of(Expression(parse(text), position))
                except FormulaProblem as problem:
                    message = f"in '{{{text}}}': {problem.message}"
                    values.report(problem.code, position, message, problem.remedy)
    return found


def _strips(values: Values, pieces: Mapping[str, ResolvedPiece]) -> dict[str, ResolvedStrip]:
    """Every strip of which all pieces have a size."""
    counts: Counter[str] = Counter()

    def resolved(strip: Strip) -> ResolvedStrip:
        of_strip = [pieces[name] for name in strip.pieces if name in pieces]
        letter = of_strip[0].code.rstrip("0123456789")
        counts[letter] += 1
        what = f"the allowance of strip '{strip.key}'"
        allowance = values.measured(strip.allowance, what, may_be_nothing=True)
        return _strip(strip, f"{letter}S{counts[letter]}", of_strip, allowance)

    strips = values.design.strips.items()
    return values.all_of({key: s for key, s in strips if pieces.keys() & {*s.pieces}}, resolved)


def _strip(
    source: Strip, code: str, pieces: list[ResolvedPiece], allowance: Fraction
) -> ResolvedStrip:
    across = is_across(source.direction)
    parts: list[StripPart] = []
    x = y = NOTHING
    for piece in pieces:
        for number in range(1, piece.source.count + 1):
            # As on a sheet the first copy is called by the piece's key, others 'KEY#2' and so on.
            key = piece.key if number == 1 else f"{piece.key}#{number}"
            parts.append(StripPart(key, piece, x, y))
            x, y = (x + piece.width, y) if across else (x, y + piece.height)
    width = x + allowance if across else max(piece.width for piece in pieces)
    height = max(piece.height for piece in pieces) if across else y + allowance
    return ResolvedStrip(source.key, code, source, width, height, allowance, tuple(parts))
