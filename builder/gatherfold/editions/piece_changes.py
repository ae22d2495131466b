"""What may have been meant by the entry of a part: small changes of its words.

In: the text of a design, and a part that a finding is about.  Out: changes, the likeliest first.
Nothing is known here of whether they help.
"""

import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import chain, product

from gatherfold.editions.text_changes import (
    OPPOSITE,
    DesignText,
    TextChange,
    in_turn,
    opposite_name,
)
from gatherfold.editions.typed_lengths import formulas_behind, written_in
from gatherfold.findings import Position
from gatherfold.formulas import names_in
from gatherfold.geometry import EDGES
from gatherfold.model import (
    FOLDS,
    JOIN_RELATIONS,
    RELATIONS,
    Design,
    Expression,
    Piece,
)
from gatherfold.reading import MappingNode, Node, Scalar

#: What says where a piece lies, and what such a key may be meant as first.
_PLACES = {*JOIN_RELATIONS, *RELATIONS}
_LIKELY = ("on_back", "on", "behind", "inside")
_TURNED = r"\b(?:" + "|".join(OPPOSITE) + r")(?=\b|_)|(?<=_)(?:" + "|".join(OPPOSITE) + r")(?=\b|_)"
#: What a finding says where a piece may lie on the wrong side.
_OF_SIDES = re.compile(
    r"\b(?:(?:in|out|other )side|front|back|side of|covers?|covered|overlap|level)\b|'on"
)
#: What a finding says where it is of adhesive, and not of where a piece lies.
_OF_GLUE = re.compile(r"\b(?:glued?|adhesive|tape)\b")
#: Keys that are words of every sentence.
_LITTLE = {"on", "by", "as", "from", "up", "inside", "behind", "note", "back"}


def changes_of_parts(
    source: DesignText, design: Design, parts: Sequence[str], told: str
) -> Iterator[TextChange]:
    """What may have been meant by parts, word by word, in turn for each of them; first under the
    keys that the sentence of a finding, which is ``told``, speaks of."""
    return in_turn(*(_of_part(source, design, name, told) for name in dict.fromkeys(parts)))


def changes_of_formulas(
    source: DesignText, design: Design, parts: Sequence[str], may_turn: bool
) -> Iterator[TextChange]:
    """The formulas behind parts with one sign, extent or name exchanged, and with width and height
    where they ``may_turn``."""
    behind = [formulas_behind(design, (part,)) for part in dict.fromkeys(parts)]
    unused = _unused(design)
    turned = (_turned(source, each) for own in behind if may_turn for each in own)
    lengthened = (_of_formulas(source, each, unused) for each in behind)
    return in_turn(filter(None, turned), *lengthened)


def _turned(source: DesignText, expression: Expression) -> TextChange | None:
    """A size with width and height exchanged."""
    text = expression.formula.text
    first, by, second = text.partition(" x ")
    return source.replaced(expression.position, text, f"{second}{by}{first}") if by else None


def _unused(design: Design) -> list[str]:
    """The measures that no formula and no text names."""
    used = {
        name.partition(".")[0] for each in written_in(design) for name in names_in(each.formula)
    }
    said = "".join(re.findall(r"\{[^{}\n]*\}", "".join(step.text for step in design.steps)))
    return [each for each in design.measures if each not in used and each not in said]


def _of_formulas(
    source: DesignText, written: Sequence[Expression], unused: Sequence[str]
) -> Iterator[TextChange]:
    """One formula after the other, first with a measure that was forgotten in it: then nothing else
    uses that."""
    longer = (f" {sign} {name}" for name, sign in product(unused, ("+", "-", "+ 2 *", "- 2 *")))
    yield from _lengthened(source, product(longer, written))
    for each in written:
        yield from _as_one_of(source, each, _variants(source, each))


def _lengthened(
    source: DesignText, longer: Iterable[tuple[str, Expression]]
) -> Iterator[TextChange]:
    """Formulas of one length with something more behind them."""
    for more, each in longer:
        if " x " not in each.formula.text:
            yield from _as_one_of(source, each, [each.formula.text + more])


def _as_one_of(
    source: DesignText, expression: Expression, variants: Iterable[str]
) -> Iterator[TextChange]:
    text = expression.formula.text
    return filter(None, (source.replaced(expression.position, text, each) for each in variants))


def _variants(source: DesignText, expression: Expression) -> Iterator[str]:
    """A formula with a sign, an extent or a name exchanged."""
    text, before = expression.formula.text, source.before(expression.position)
    yield from _with_tokens(text, "[+-]", {"+": "-", "-": "+"}.get)
    # A width is taken for a height where a height is asked for.
    if "height" in before or "up:" in before:
        yield from _with_tokens(text, r"\bwidth\b", OPPOSITE.get)
    if "width" in before or "across:" in before:
        yield from _with_tokens(text, r"\bheight\b", OPPOSITE.get)
    yield from _with_tokens(text, "[a-z_]+", opposite_name)


def _with_tokens(text: str, pattern: str, other: Callable[[str], str | None]) -> Iterator[str]:
    """A text with one of its tokens as another, each in turn."""
    for token in re.finditer(pattern, text):
        new = other(token[0])
        if new is not None:
            yield text[: token.start()] + new + text[token.end() :]


def _of_part(source: DesignText, design: Design, name: str, told: str) -> Iterator[TextChange]:
    part = design.pieces.get(name) or design.fastenings.get(name)
    entry = source.entry_at(part.position) if part is not None else None
    if entry is None or part is None or not isinstance(entry[1], MappingNode):
        return
    own, fields = design.pieces.get(name), entry[1].entries
    words = set(re.findall(r"[a-z]+", told)) - _LITTLE
    near = sorted(fields, key=lambda each: _far(source, each[0], each[1], told, words))
    rows = (
        _replaced(source, each, _meant(design, own, "", each.text, told))
        for each in _rows(source, part.position)
    )
    yield from filter(None, _quoted_in(source, entry[1], told))
    for key, value in chain.from_iterable(_within(source, *field) for field in near):
        if _may_be_other(key.text, told):
            yield from filter(None, _of_key(source, key, entry[1]))
        yield from filter(None, _of_value(source, design, own, (key, value), told))
    yield from filter(None, chain.from_iterable(rows))
    yield from filter(None, _added(source, own, entry[1], told))


def _far(source: DesignText, key: Scalar, value: Node, told: str, words: set[str]) -> int:
    """How little a finding speaks of an entry of a part: it quotes its key, speaks of it, or does
    not; edges go before sides."""
    within = {word for each, _ in _within(source, key, value) for word in each.text.split("_")}
    if f"'{key.text}:" in told:
        return 0
    return (1 if words & within else 3) + (key.text not in EDGES)


def _quoted_in(source: DesignText, entry: MappingNode, told: str) -> Iterator[TextChange | None]:
    """The entries that a remedy writes out, in place of those of the same key."""
    for name, text in re.findall(r"'(?!closed)(\w+): ([^'{}]+)'", told):
        there = [each for each in source.entries(entry) if each[0].text == name]
        for _, value in there:
            if isinstance(value, Scalar):
                yield source.replaced(value.start, value.text, text)
        if not there:
            yield source.with_entry(entry, f"{name}: {text}")


def _within(source: DesignText, key: Scalar, value: Node) -> Iterator[tuple[Scalar, Node]]:
    yield key, value
    yield from source.entries(value)


def _rows(source: DesignText, place: Position) -> Iterator[Scalar]:
    """The values of the rows that write out the group in which a part stands."""
    for _, group in source.entries():
        if not isinstance(group, MappingNode):
            continue
        rows, pieces = group.get("each"), group.get("pieces")
        if rows is None or not isinstance(pieces, MappingNode):
            continue
        if any(key.position == place for key, _ in pieces.entries):
            yield from (value for _, value in source.entries(rows) if isinstance(value, Scalar))


def _of_key(source: DesignText, key: Scalar, entry: MappingNode) -> Iterator[TextChange | None]:
    return (source.rekeyed(key, each) for each in _keys_meant(key.text, entry))


def _may_be_other(key: str, told: str) -> bool:
    """Whether a finding lets one think of another key: of a side or of a place."""
    if key in _PLACES:
        return bool(_OF_SIDES.search(told))
    return key not in EDGES or not _OF_GLUE.search(told)


def _keys_meant(key: str, entry: MappingNode) -> Sequence[str]:
    if key in _PLACES:
        return (*_LIKELY, *JOIN_RELATIONS)
    if key in EDGES:
        return () if entry.get(OPPOSITE[key]) is not None else (OPPOSITE[key],)
    other = {"across": "up", "up": "across"}.get(key) or opposite_name(key)
    return () if other is None else (other,)


def _of_value(
    source: DesignText, design: Design, own: Piece | None, field: tuple[Scalar, Node], told: str
) -> Iterator[TextChange | None]:
    key, value = field
    if isinstance(value, MappingNode) and key.text in ("across", "up"):
        yield _reversed(source, value)
    if isinstance(value, Scalar):
        yield from _replaced(source, value, _meant(design, own, key.text, value.text, told))
        if value.text == "none" or f"'{key.text}:' away" in told:
            yield source.without(key, value)


def _replaced(
    source: DesignText, value: Scalar, texts: Iterable[str]
) -> Iterator[TextChange | None]:
    return (source.replaced(value.start, value.text, each) for each in texts)


def _meant(design: Design, own: Piece | None, key: str, text: str, told: str) -> Iterator[str]:
    """What else a value may have been meant to be, by its key."""
    turned = _with_tokens(text, _TURNED, OPPOSITE.get)
    yield from (each for each in turned if not _names_twice(each))
    if key == "count" and text.isdigit():
        yield from (str(int(text) + 1), str(int(text) - 1))
    if key == "from" and "from:" in told:
        yield from design.stocks
    if key == "glue":
        yield from _other_edges(text)
    if key == "through":
        yield from _more_layers(design, text, told)
    if key == "by" and "," not in text:
        yield from _sections(own)
    elif key in _PLACES:
        yield from _other_sections(design, text)


def _names_twice(text: str) -> bool:
    """Whether a list names something twice."""
    names = [each.strip() for each in text.split(",")]
    return len(set(names)) < len(names)


def _more_layers(design: Design, text: str, told: str) -> Iterator[str]:
    """One more piece that a finding speaks of under those that a fastening goes through."""
    listed = [each.strip() for each in text.split(",")]
    named = dict.fromkeys(re.findall(r"'(\w+)'", told))
    more = [each for each in named if each in design.pieces and each not in listed]
    for name, place in product(more, range(len(listed), -1, -1)):
        yield ", ".join((*listed[:place], name, *listed[place:]))


def _other_edges(text: str) -> Iterator[str]:
    """Glue along one edge more, along another, along one less."""
    edges = [edge.strip() for edge in text.split(",")]
    free = [edge for edge in EDGES if edge not in edges]
    fewer = [[each for each in edges if each != edge] for edge in edges]
    yield from (", ".join((*edges, edge)) for edge in free)
    yield from (", ".join((*rest, edge)) for rest, edge in product(fewer, free))
    yield from (", ".join(rest) for rest in fewer if rest)


def _other_sections(design: Design, value: str) -> Iterator[str]:
    """The other sections of a piece."""
    host = value.partition(".")[0]
    yield from (f"{host}.{each}" for each in _sections(design.pieces.get(host)))


def _sections(piece: Piece | None) -> tuple[str, ...]:
    if piece is None:
        return ()
    return tuple(dict.fromkeys(each.name for each in (*piece.across, *piece.up)))


def _reversed(source: DesignText, value: MappingNode) -> TextChange | None:
    """Sections within braces in one line, the other way round."""
    starts = [source.offset(key.position) for key, _ in value.entries]
    line = value.position.line
    if {key.position.line for key, _ in value.entries} != {line}:
        return None
    end, depth = starts[-1], 0
    while depth or source.text[end] != "}":
        depth += {"{": 1, "}": -1}.get(source.text[end], 0)
        end += 1
    parts = [source.text[a:b].rstrip(", ") for a, b in zip(starts, [*starts[1:], end], strict=True)]
    old, new = source.text[starts[0] : end], ", ".join(reversed(parts))
    return source.replaced(value.entries[0][0].position, old, new)


def _added(
    source: DesignText, own: Piece | None, entry: MappingNode, told: str
) -> Iterator[TextChange | None]:
    """What may have been forgotten in the entry of a piece, of what a finding speaks of."""
    for tab, fold in product(_values(entry.get("tabs")) if "fold" in told else (), FOLDS):
        yield source.with_entry(tab, f"fold: {fold}")
    sections = _sections(own) if "seams" in told else ()
    for seams, section in product(_values(entry, "seams"), sections):
        yield source.with_entry(seams, f"{section}: none")


def _values(node: Node | None, name: str = "") -> list[Node]:
    """The values of a mapping, or that of one name."""
    entries = node.entries if isinstance(node, MappingNode) else ()
    return [value for key, value in entries if key.text == (name or key.text)]
