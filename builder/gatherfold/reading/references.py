"""Names that refer to nothing, and parts that do not go together: hosts, stocks, sections, steps.

In: a :class:`Design` as read.  Out: one finding for each broken reference, at its position.
"""

import fnmatch
import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import cache
from typing import assert_never

from gatherfold.findings import Finding, Position, error, suggestion
from gatherfold.model import (
    Design,
    Fastening,
    Join,
    Measure,
    Piece,
    Placement,
    Section,
    Step,
    Stock,
    Strip,
    Supply,
    Tuck,
    is_sold_by_length,
)

#: ``[name]`` in step text, unless it is a Markdown link or an escaped bracket.
NAME_IN_TEXT = re.compile(r"(?<!\\)\[([a-z][a-z0-9_]*)\](?!\()")
#: More layers than any stack of paper has; a hostile file could otherwise exhaust the stack.
MOST_LAYERS = 40
#: ``{formula}`` in step text.
FORMULA_IN_TEXT = re.compile(r"(?<!\\)\{([^{}\n]+)\}")
#: Stands for everything that an operation may name.
_ALL = "all"
_WILDCARDS = frozenset("*?[")


@cache
def names_in_text(text: str) -> tuple[str, ...]:
    """What a step's text refers to, each once, in its order; asked again and again."""
    return tuple(dict.fromkeys(NAME_IN_TEXT.findall(text)))


def check_references(design: Design) -> Iterator[Finding]:
    """Everything in a design that names what is not there or does not go with it."""
    for piece in design.pieces.values():
        yield from _piece_stock(piece, design)
        yield from _piece_faces(piece)
        yield from _stack_of_hosts(piece, design)
        on = [] if piece.placement is None else [piece.placement]
        met: list[Placement | Join | Tuck] = [*on, *piece.joins, *piece.tucks]
        for each in met:
            yield from _face(each.host, each.host_face, design, each.position)
    for fastening in design.fastenings.values():
        yield from _fastening(fastening, design)
    parts = _named_parts(design)
    known = [name for kind, name, _ in parts if kind != "measure"]
    for step in design.steps:
        yield from _step_operations(step, design)
        for match in NAME_IN_TEXT.finditer(step.text):
            at = position_in_text(step, match.start(1))
            yield from _known(match[1], known, "piece", at)
    for entry in design.accepted:
        if entry.about:
            every = [name for _, name, _ in parts]
            yield from _known(entry.about, every, "part", entry.about_position)
    yield from _names_elsewhere(design)
    yield from _prices(design)
    yield from _currency(design)
    yield from _name_clashes(parts)
    yield from _strips(design)


def _known(name: str, known: Iterable[str], what: str, position: Position) -> Iterator[Finding]:
    """A finding where no known part has this name."""
    if name not in known:
        message = f"there is no {what} '{name}'"
        yield error("unknown-name", position, message, suggestion(name, known))


def _section(
    piece: Piece, name: str, position: Position, known: Collection[str] = ()
) -> Iterator[Finding]:
    if name not in (known or face_names(piece)):
        message = f"piece '{piece.key}' has no section '{name}'"
        yield error("unknown-name", position, message, suggestion(name, face_names(piece)))


def _face(key: str, section: str | None, design: Design, position: Position) -> Iterator[Finding]:
    """A piece, or one of its faces."""
    yield from _known(key, design.pieces, "piece", position)
    if section is not None and key in design.pieces:
        yield from _section(design.pieces[key], section, position)


def _names_elsewhere(design: Design) -> Iterator[Finding]:
    """What ``closing`` and added safety messages name."""
    position = design.positions.get("closing", Position(design.file, 1, 1))
    for name in design.closing:
        key, _, section = name.partition(".")
        yield from _face(key, section or None, design, position)
    steps = [step.key for step in design.steps]
    for hazard in design.safety.added:
        for name in hazard.steps:
            yield from _known(name, steps, "step", hazard.position)


def _prices(design: Design) -> Iterator[Finding]:
    """Sheets of one stock are compared by price, so all have one or none has."""
    for stock in design.stocks.values():
        sheets = [sheet for sheet in stock.sheets if not sheet.is_scrap]
        unpriced = [sheet for sheet in sheets if sheet.price is None]
        for sheet in unpriced if len(unpriced) < len(sheets) else ():
            message = f"other sheets of stock '{stock.key}' have a price, and this one has none"
            yield error("missing-key", sheet.position, message, "Add 'price:' to it.")


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


def _named_parts(design: Design) -> list[tuple[str, str, Position]]:
    """What is called by a name: its kind, its name and where it is written."""
    named: dict[str, Mapping[str, Measure | Stock | Piece | Strip | Fastening | Supply]] = {
        "measure": design.measures,
        "stock": design.stocks,
        "piece": design.pieces,
        "strip": design.strips,
        "fastening": design.fastenings,
        "supply": design.supplies,
    }
    every = [(kind, key, part.position) for kind in named for key, part in named[kind].items()]
    return [*every, *(("step", step.key, step.position) for step in design.steps)]


def _name_clashes(parts: Iterable[tuple[str, str, Position]]) -> Iterator[Finding]:
    """One name for two things would make ``[name]`` and formulas ambiguous."""
    seen: dict[str, str] = {}
    for kind, name, position in parts:
        if name in seen:
            message = f"'{name}' is already the name of a {seen[name]}"
            yield error("name-clash", position, message, "Rename one of them.")
        seen.setdefault(name, kind)


def _piece_stock(piece: Piece, design: Design) -> Iterator[Finding]:
    """The stock is there, is no ribbon, and has the print that the piece is cut from."""
    stock = design.stocks.get(piece.stock)
    if stock is None:
        if piece.stock:
            yield from _known(piece.stock, design.stocks, "stock", piece.position)
        return
    if is_sold_by_length(stock.material):
        message = f"piece '{piece.key}' is cut from a ribbon"
        yield error("wrong-type", piece.position, message, "Write it under 'fastenings:'.")
    own, other = stock.side(piece.side), stock.side("front" if piece.side == "back" else "back")
    if piece.motif is not None:
        yield from _printed(piece, "motif", piece.motif, own.motifs, other.motifs)
    if piece.region is not None:
        yield from _printed(piece, "region", piece.region, own.regions, other.regions)


def _printed(
    piece: Piece, kind: str, name: str, there: Iterable[str], elsewhere: Iterable[str]
) -> Iterator[Finding]:
    """A finding where nothing of this name is printed on the side of a piece."""
    if name in there:
        return
    is_other = name in elsewhere
    remedy = "It is on the other side: correct 'from:'." if is_other else suggestion(name, there)
    message = f"there is no {kind} '{name}' on the {piece.side} of '{piece.stock}'"
    yield error("unknown-name", piece.position, message, remedy)


def _stack_of_hosts(piece: Piece, design: Design) -> Iterator[Finding]:
    """A piece lies on others, one on another, and not through them on itself."""
    if piece.placement is None:
        return
    below = design.hosts_of(piece.key)
    if piece.key in below:
        message = f"'{piece.key}' lies, through its hosts, on itself"
        remedy = "Let one of them lie on another piece."
        yield error("cycle", piece.placement.position, message, remedy)
    elif len(below) > MOST_LAYERS:
        message = f"'{piece.key}' lies on more than {MOST_LAYERS} others, one on another"
        remedy = "Let it lie on one further down."
        yield error("too-deep", piece.placement.position, message, remedy)


def _piece_faces(piece: Piece) -> Iterator[Finding]:
    """Every face needs a name of its own, and every tab a section."""
    sections = faces_of_sections(piece.across, piece.up)
    for tab in piece.tabs:
        yield from _section(piece, tab.section, tab.position, sections)
    for seam in piece.seams:
        yield from _section(piece, seam.section, seam.position)
    names = face_names(piece)
    again = next((name for index, name in enumerate(names) if name in names[:index]), None)
    if again is not None:
        message = f"two faces of piece '{piece.key}' are both called '{again}'"
        remedy = "Rename a section; 'across' and 'up' may share one name, that of the base."
        yield error("name-clash", piece.position, message, remedy)


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
    shared = next((name for name in columns if name in rows), None)
    return [
        column if row == shared else row if column == shared else f"{row}_{column}"
        for row in rows
        for column in columns
    ]


def _fastening(fastening: Fastening, design: Design) -> Iterator[Finding]:
    """What it goes through or round, its ribbon, and what it holds: another fastening, such as a
    ribbon, or a piece where a tab turns on it."""
    position, round_ = fastening.position, fastening.round
    for piece in (*fastening.through, *([] if round_ is None else [round_])):
        yield from _known(piece, design.pieces, "piece", position)
    if fastening.stock is not None:
        ribbons = [s.key for s in design.stocks.values() if is_sold_by_length(s.material)]
        yield from _known(fastening.stock, ribbons, "ribbon", position)
    if fastening.holds in design.pieces and not fastening.pivot:
        message = f"'{fastening.key}' holds '{fastening.holds}', and is not set so that it turns"
        remedy = "Write 'pivot: yes', or name a fastening, such as a ribbon."
        yield error("does-not-pivot", position, message, remedy)
    elif fastening.holds is not None:
        known = [*design.fastenings, *(design.pieces if fastening.pivot else ())]
        what = "piece or fastening" if fastening.pivot else "fastening"
        yield from _known(fastening.holds, known, what, position)


def matching_names(pattern: str, known: Collection[str]) -> tuple[str, ...]:
    """Names that a step's list means: a name, a pattern such as ``*_mat``, or ``all``."""
    if pattern == _ALL:
        return tuple(known)
    if not _WILDCARDS & set(pattern):
        return (pattern,) if pattern in known else ()
    return tuple(name for name in known if fnmatch.fnmatchcase(name, pattern))


def _step_operations(step: Step, design: Design) -> Iterator[Finding]:
    """What each operation names: a strip is divided, and scored as one where it is named."""
    known: Collection[str]
    for operation, names in step.operations.items():
        for name in names:
            position = step.places.get((operation, name), step.position)
            match operation:
                case "close" | "open":
                    yield from _folded_part(name, position, design)
                    continue
                case "fasten":
                    known, what = design.fastenings, "fastening"
                case "divide":
                    known, what = design.strips, "strip"
                case "score" if design.strips and not _WILDCARDS & set(name):
                    known, what = [*design.pieces, *design.strips], "piece or strip"
                case "score" | "cut" | "fold" | "ink" | "dry_fit" | "attach" | "insert":
                    known, what = design.pieces, "piece"
                case _:
                    assert_never(operation)
            if not matching_names(name, known):
                yield from _known(name, known, what, position)


def _folded_part(name: str, position: Position, design: Design) -> Iterator[Finding]:
    """``close`` and ``open`` list sections, as ``piece.section``, whole pieces, or ``all``."""
    key, dot, section = name.partition(".")
    pieces = matching_names(key, design.pieces)
    if name != _ALL and not pieces:
        yield from _known(key, [*design.pieces, _ALL], "piece", position)
    for piece in pieces if dot else ():
        yield from _section(design.pieces[piece], section, position)


def position_in_text(step: Step, offset: int) -> Position:
    """The file position of a character of a step's text, all lines indented as the first."""
    before = step.text[:offset]
    start = step.text_position
    column = start.column + offset - (before.rfind("\n") + 1)
    return Position(start.file, start.line + before.count("\n"), column)


def _strips(design: Design) -> Iterator[Finding]:
    """Pieces of a strip exist, belong to no other, and come from one side of one stock."""
    first_in: dict[str, str] = {}
    for strip in design.strips.values():
        known = [design.pieces[name] for name in strip.pieces if name in design.pieces]
        for name in strip.pieces:
            yield from _known(name, design.pieces, "piece", strip.places[name])
            if name in first_in and name in design.pieces:
                message = f"'{name}' is in strip '{first_in[name]}' already"
                remedy = "Take it out of one of them."
                yield error("two-strips", strip.places[name], message, remedy)
            first_in.setdefault(name, strip.key)
        for piece in known:
            yield from _in_strip(strip, known[0], piece)
        if known and len(known) == len(strip.pieces) and sum(p.count for p in known) < 2:
            message = f"strip '{strip.key}' holds one piece, and there is nothing to divide"
            remedy = "Add another piece to it, or remove it."
            yield error("one-piece", strip.position, message, remedy)


def _in_strip(strip: Strip, first: Piece, piece: Piece) -> Iterator[Finding]:
    """The place of a strip is free: no piece of it is cut round, or from, a part of the print; and
    all are cut from one side of one stock."""
    where, place = f"strip '{strip.key}'", strip.places[piece.key]
    written = {"motif": piece.motif, "edge": piece.edge, "region": piece.region}
    for key in filter(written.get, written):
        message = f"'{piece.key}' has '{key}', and in {where} it has no place of its own"
        remedy = f"Take it out of the strip, or remove '{key}'."
        yield error("placed-by-print", place, message, remedy)
    if (piece.stock, piece.side) != (first.stock, first.side):
        message = f"{where} is cut from '{first.stock} {first.side}', and '{piece.key}' "
        message += f"comes from '{piece.stock} {piece.side}'"
        remedy = "Cut all pieces of a strip from one side of one stock."
        yield error("two-papers", place, message, remedy)
