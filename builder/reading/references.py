"""Names that refer to nothing: hosts, stocks, sections, step operations and words in step text.

In: a :class:`Design` as read.  Out: one finding for each broken reference, at its position.
"""

from __future__ import annotations

import fnmatch
import re
from collections.abc import Collection, Iterable, Iterator
from functools import cache
from typing import assert_never

from builder.choices import is_sold_by_length
from builder.design import Design, Fastening, Piece, Section, Step
from builder.findings import Finding, Position, error, suggestion

#: ``[name]`` in step text, unless it is a Markdown link or an escaped bracket.
NAME_IN_TEXT = re.compile(r"(?<!\\)\[([a-z][a-z0-9_]*)\](?!\()")
#: More layers than any stack of paper has; a hostile file could otherwise exhaust the stack.
MOST_LAYERS = 40
#: ``{formula}`` in step text.
FORMULA_IN_TEXT = re.compile(r"(?<!\\)\{([^{}\n]+)\}")


@cache
def names_in_text(text: str) -> tuple[str, ...]:
    """What a step's text refers to, each once, in its order; asked again and again."""
    return tuple(dict.fromkeys(NAME_IN_TEXT.findall(text)))


def check_references(design: Design) -> Iterator[Finding]:
    for piece in design.pieces.values():
        yield from _piece_stock(piece, design)
        yield from _piece_faces(piece)
        yield from _piece_print(piece, design)
        yield from _piece_host(piece, design)
        yield from _joined(piece, design)
    yield from _fastening_references(design)
    for step in design.steps:
        yield from _step_operations(step, design)
        yield from _step_text(step, design)
    yield from _prices(design)
    yield from _currency(design)
    yield from _safety(design)
    yield from _closing(design)
    yield from _accepted(design)
    yield from _name_clashes(design)


def _closing(design: Design) -> Iterator[Finding]:
    """``closing`` lists pieces, or single sections of them as ``piece.section``."""
    position = design.positions.get("closing", Position(design.file, 1, 1))
    for name in design.closing:
        key, _, section = name.partition(".")
        piece = design.pieces.get(key)
        if piece is None:
            yield _unknown(key, design.pieces, "piece", position)
        elif section and section not in face_names(piece):
            yield _no_section(piece, section, position)


def _accepted(design: Design) -> Iterator[Finding]:
    """Advice is accepted about a part of the design, of whatever kind."""
    parts = [*named_things(design), *design.measures]
    for entry in design.accepted:
        if entry.about and entry.about not in parts:
            yield _unknown(entry.about, parts, "part", entry.about_position)


def _prices(design: Design) -> Iterator[Finding]:
    """Sheets of one stock are compared by price, so all have one or none has."""
    for stock in design.stocks.values():
        sheets = [sheet for sheet in stock.sheets if not sheet.is_scrap]
        priced = [sheet for sheet in sheets if sheet.price is not None]
        for sheet in sheets if priced else ():
            if sheet.price is None:
                message = f"other sheets of stock '{stock.key}' have a price, and this one has none"
                yield error("missing-key", sheet.position, message, "Add 'price:' to it.")


def _safety(design: Design) -> Iterator[Finding]:
    """An added safety message names the steps that it concerns."""
    steps = [step.key for step in design.steps]
    for hazard in design.safety.added:
        for name in hazard.steps:
            if name not in steps:
                yield _unknown(name, steps, "step", hazard.position)


def _currency(design: Design) -> Iterator[Finding]:
    """Whatever has a price has it in the design's currency."""
    priced: list[tuple[str, Position]] = []
    for stock in design.stocks.values():
        prices = [sheet.position for sheet in stock.sheets if sheet.price is not None]
        prices += [stock.position] if stock.offer.price is not None else []
        priced += [(f"stock '{stock.key}'", position) for position in prices[:1]]
    for what, parts in (("fastening", design.fastenings), ("supply", design.supplies)):
        sold = [part for part in parts.values() if part.offer.price is not None]
        priced += [(f"{what} '{part.key}'", part.position) for part in sold]
    for name, position in priced if not design.currency else ():
        message = f"{name} has a price, and the design has no currency"
        remedy = "Add 'currency:' at the top of the design, with a code such as EUR or a sign."
        yield error("missing-key", position, message, remedy)


def _unknown(name: str, known: Iterable[str], what: str, position: Position) -> Finding:
    names = list(known)
    message = f"there is no {what} '{name}'"
    return error("unknown-name", position, message, suggestion(name, names))


def _no_section(piece: Piece, name: str, position: Position) -> Finding:
    message = f"piece '{piece.key}' has no section '{name}'"
    return error("unknown-name", position, message, suggestion(name, face_names(piece)))


def _name_clashes(design: Design) -> Iterator[Finding]:
    """One name for two things would make ``[name]`` and formulas ambiguous."""
    seen: dict[str, str] = {}
    named: list[tuple[str, str, Position]] = [
        *(("measure", name, part.position) for name, part in design.measures.items()),
        *(("stock", name, part.position) for name, part in design.stocks.items()),
        *(("piece", name, part.position) for name, part in design.pieces.items()),
        *(("strip", name, part.position) for name, part in design.strips.items()),
        *(("fastening", name, part.position) for name, part in design.fastenings.items()),
        *(("supply", name, part.position) for name, part in design.supplies.items()),
        *(("step", step.key, step.position) for step in design.steps),
    ]
    for kind, name, position in named:
        if name in seen:
            message = f"'{name}' is already the name of a {seen[name]}"
            yield error("name-clash", position, message, "Rename one of them.")
        seen.setdefault(name, kind)


def _piece_stock(piece: Piece, design: Design) -> Iterator[Finding]:
    if piece.stock and piece.stock not in design.stocks:
        yield _unknown(piece.stock, design.stocks, "stock", piece.position)
    elif piece.stock and is_sold_by_length(design.stocks[piece.stock].material):
        message = f"piece '{piece.key}' is cut from a ribbon"
        yield error("wrong-type", piece.position, message, "Write it under 'fastenings:'.")


def _piece_print(piece: Piece, design: Design) -> Iterator[Finding]:
    stock = design.stocks.get(piece.stock)
    if stock is None:
        return
    side = stock.side(piece.side)
    for what, name, known in (
        ("motif", piece.motif, side.motifs),
        ("region", piece.region, side.regions),
    ):
        if name is not None and name not in known:
            where = f"{what} on the {piece.side} of '{piece.stock}'"
            yield _unknown(name, known, where, piece.position)


def _piece_host(piece: Piece, design: Design) -> Iterator[Finding]:
    placement = piece.placement
    if placement is None:
        return
    host = design.pieces.get(placement.host)
    if host is None:
        yield _unknown(placement.host, design.pieces, "piece", placement.position)
    elif placement.host_face is not None and placement.host_face not in face_names(host):
        yield _no_section(host, placement.host_face, placement.position)
    if _layers_below(piece, design) > MOST_LAYERS:
        message = f"'{piece.key}' lies on more than {MOST_LAYERS} others, one on another"
        yield error("too-deep", placement.position, message, "Let it lie on one further down.")
    if _hangs_on_itself(piece, design):
        message = f"'{piece.key}' lies, through its hosts, on itself"
        yield error("cycle", placement.position, message, "Let one of them lie on another piece.")


def _joined(piece: Piece, design: Design) -> Iterator[Finding]:
    """Every join has a host, and the section of it that it names; so has what is tucked in."""
    for join in piece.joins:
        host = design.pieces.get(join.host)
        if host is None:
            yield _unknown(join.host, design.pieces, "piece", join.position)
        elif join.host_face is not None and join.host_face not in face_names(host):
            yield _no_section(host, join.host_face, join.position)
    for tuck in piece.tucks:
        over = design.pieces.get(tuck.host)
        if over is None:
            yield _unknown(tuck.host, design.pieces, "piece", tuck.position)
        elif tuck.host_face not in face_names(over):
            yield _no_section(over, tuck.host_face, tuck.position)


def _piece_faces(piece: Piece) -> Iterator[Finding]:
    """Every face needs a name of its own, and every tab a section."""
    sections = faces_of_sections(piece.across, piece.up)
    for tab in piece.tabs:
        if tab.section not in sections:
            yield _no_section(piece, tab.section, tab.position)
    for seam in piece.seams:
        if seam.section not in face_names(piece):
            yield _no_section(piece, seam.section, seam.position)
    names = face_names(piece)
    again = next((name for index, name in enumerate(names) if name in names[:index]), None)
    if again is not None:
        message = f"two faces of piece '{piece.key}' are both called '{again}'"
        remedy = "Rename a section; 'across' and 'up' may share one name, that of the base."
        yield error("name-clash", piece.position, message, remedy)


def _layers_below(piece: Piece, design: Design) -> int:
    """How many hosts, one on another, carry the piece; a circle of hosts counts as none."""
    seen: set[str] = set()
    at = design.pieces.get(piece.placement.host) if piece.placement else None
    while at is not None and len(seen) <= MOST_LAYERS:
        if at.key in seen:
            return 0
        seen.add(at.key)
        at = design.pieces.get(at.placement.host) if at.placement else None
    return len(seen)


def _hangs_on_itself(piece: Piece, design: Design) -> bool:
    seen = {piece.key}
    at: Piece | None = piece
    while at is not None and at.placement is not None:
        host = at.placement.host
        if host in seen:
            return host == piece.key
        seen.add(host)
        at = design.pieces.get(host)
    return False


def face_names(piece: Piece) -> list[str]:
    """The names of a piece's faces: one for each section, or for each cell of a grid.

    With sections in one direction the faces are the sections.  With both, the cell whose two
    sections share a name takes it; a cell in that column or row takes the name of the other.
    """
    return [*faces_of_sections(piece.across, piece.up), *(tab.name for tab in piece.tabs)]


def faces_of_sections(across: Iterable[Section], up: Iterable[Section]) -> list[str]:
    """The names of the faces that sections make, row by row from the bottom, without tabs."""
    columns = [section.name for section in across]
    rows = [section.name for section in up]
    if not columns or not rows:
        return [*columns, *rows] or ["face"]
    return [cell_name(column, row, columns, rows) for row in rows for column in columns]


def cell_name(column: str, row: str, columns: list[str], rows: list[str]) -> str:
    """The face name of one cell of a grid of sections."""
    shared = next((name for name in columns if name in rows), None)
    if column == row == shared:
        return column
    if row == shared:
        return column
    if column == shared:
        return row
    return f"{row}_{column}"


def _fastening_references(design: Design) -> Iterator[Finding]:
    for fastening in design.fastenings.values():
        for piece in fastening.through:
            if piece not in design.pieces:
                yield _unknown(piece, design.pieces, "piece", fastening.position)
        if fastening.stock is not None:
            stock = design.stocks.get(fastening.stock)
            if stock is None or not is_sold_by_length(stock.material):
                ribbons = [s.key for s in design.stocks.values() if is_sold_by_length(s.material)]
                yield _unknown(fastening.stock, ribbons, "ribbon", fastening.position)
        yield from _held(fastening, design)
        if fastening.round is not None and fastening.round not in design.pieces:
            yield _unknown(fastening.round, design.pieces, "piece", fastening.position)


def _held(fastening: Fastening, design: Design) -> Iterator[Finding]:
    """A fastening holds another one, such as a ribbon; one that a tab turns on may hold a piece."""
    known = [*design.fastenings, *(design.pieces if fastening.pivot else ())]
    if fastening.holds is not None and fastening.holds not in known:
        what = "piece or fastening" if fastening.pivot else "fastening"
        yield _unknown(fastening.holds, known, what, fastening.position)


def matching_names(pattern: str, known: Collection[str]) -> tuple[str, ...]:
    """Names that a step's list means: a name, a pattern such as ``*_mat``, or ``all``."""
    if pattern == _ALL:
        return tuple(known)
    if not _WILDCARDS & set(pattern):
        return (pattern,) if pattern in known else ()
    return tuple(name for name in known if fnmatch.fnmatchcase(name, pattern))


#: Stands for everything that an operation may name.
_ALL = "all"
_WILDCARDS = frozenset("*?[")


def _step_operations(step: Step, design: Design) -> Iterator[Finding]:
    """What each operation names: a strip is divided, and scored as one where it is named."""
    for operation, names in step.operations.items():
        for name in names:
            position = step.places.get((operation, name), step.position)
            match operation:
                case "close" | "open":
                    yield from _folded_part(name, position, design)
                case "fasten":
                    yield from _operand(name, position, design.fastenings, "fastening")
                case "divide":
                    yield from _operand(name, position, design.strips, "strip")
                case "score" if design.strips and not _WILDCARDS & set(name):
                    known = [*design.pieces, *design.strips]
                    yield from _operand(name, position, known, "piece or strip")
                case "score" | "cut" | "fold" | "ink" | "dry_fit" | "attach" | "insert":
                    yield from _operand(name, position, design.pieces, "piece")
                case _:
                    assert_never(operation)


def _operand(name: str, position: Position, known: Collection[str], what: str) -> Iterator[Finding]:
    if not matching_names(name, known):
        yield _unknown(name, known, what, position)


def _folded_part(name: str, position: Position, design: Design) -> Iterator[Finding]:
    """``close`` and ``open`` list sections, as ``piece.section``, whole pieces, or ``all``."""
    if name == _ALL:
        return
    key, dot, section = name.partition(".")
    pieces = matching_names(key, design.pieces)
    if not pieces:
        yield _unknown(key, [*design.pieces, _ALL], "piece", position)
    for piece in (design.pieces[each] for each in pieces if dot):
        if section not in face_names(piece):
            yield _no_section(piece, section, position)


def _step_text(step: Step, design: Design) -> Iterator[Finding]:
    known = named_things(design)
    for match in NAME_IN_TEXT.finditer(step.text):
        if match.group(1) not in known:
            yield _unknown(match.group(1), known, "piece", position_in_text(step, match.start(1)))


def named_things(design: Design) -> list[str]:
    """What ``[name]`` in step text may refer to."""
    steps = [step.key for step in design.steps]
    return [
        *design.pieces,
        *design.strips,
        *design.fastenings,
        *design.stocks,
        *design.supplies,
        *steps,
    ]


def position_in_text(step: Step, offset: int) -> Position:
    """The file position of a character of a step's text, all lines indented as the first."""
    before = step.text[:offset]
    start = step.text_position
    column = start.column + offset - (before.rfind("\n") + 1)
    return Position(start.file, start.line + before.count("\n"), column)
