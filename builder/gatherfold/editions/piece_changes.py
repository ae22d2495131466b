"""What may have been meant by the entry of a part: small changes of its words.

In: the text of a design, and a part that a finding is about.  Out: changes, the likeliest first.
Nothing is known here of whether they help.
"""

import re
from collections.abc import Iterator, Sequence

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
    JOIN_RELATIONS,
    RELATIONS,
    Design,
    Expression,
    Piece,
    narrowed,
    other_fold,
)
from gatherfold.reading import MappingNode, Node, Scalar, SequenceNode

#: What a key may be meant as, and the angles that sections close and pieces turn by.
_ANGLES = {"closed": ("90", "180"), "turned": ("180", "90", "270", "0")}
_LIKELY = ("on_back", "on", "behind", "inside")
_FACTOR = re.compile(r"(?<=/ )\d|\b\d(?= \*)")
#: What a finding says where a piece may lie on the wrong side.
_OF_SIDES = re.compile(
    r"the (?:in|out|other |front|back)|side of|'on|covers? |covered|overlap|level"
)
_EXTENT_OF = {"width": "across:", "height": "up:"}
#: Keys that are words of every sentence.
_LITTLE = {"on", "by", "as", "from", "up", "inside", "behind", "note", "back"}
_SIGN_OR_EXTENT = re.compile(r"(?<= )[+-](?= )|\b(?:width|height)\b")


def changes_of_parts(
    source: DesignText, design: Design, parts: Sequence[str], told: str
) -> Iterator[TextChange]:
    """What may have been meant by parts, word by word, in turn for each of them; first under the
    keys that the sentence of a finding, which is ``told``, speaks of."""
    return in_turn(*(_of_part(source, design, name, told) for name in dict.fromkeys(parts)))


def changes_of_formulas(
    source: DesignText, design: Design, parts: Sequence[str]
) -> Iterator[TextChange]:
    """The formulas behind parts with one sign or extent, or their width and height, exchanged."""
    behind = [formulas_behind(design, (part,)) for part in dict.fromkeys(parts)]
    unused = _unused(design)
    return in_turn(*(_of_formulas(source, each, unused) for each in behind))


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
    for name in unused:
        for each in written:
            text = each.formula.text
            for sign in ("+", "-", "+ 2 *", "- 2 *"):
                longer = source.replaced(each.position, text, f"{text} {sign} {name}")
                if longer is not None and " x " not in text:
                    yield longer
    for each in written:
        yield from _of_formula(source, each)
    for each in written:
        text = each.formula.text
        halved = source.replaced(each.position, text, f"{text} / 2")
        if text.isidentifier() and halved is not None:
            yield halved


def _of_formula(source: DesignText, expression: Expression) -> Iterator[TextChange]:
    text = expression.formula.text
    first, by, second = text.partition(" x ")
    variants = [f"{second}{by}{first}"] if by and " x " not in second else []
    before = source.before(expression.position)
    for token in _SIGN_OR_EXTENT.finditer(text):
        other = {"+": "-", "-": "+"}.get(token[0]) or OPPOSITE[token[0]]
        # A width is taken for a height where a height is asked for.
        if token[0] in "+-" or other in before or _EXTENT_OF[other] in before:
            variants.append(text[: token.start()] + other + text[token.end() :])
    for token in _FACTOR.finditer(text):
        for number in (int(token[0]) - 1, int(token[0]) + 1):
            variants.append(f"{text[: token.start()]}{number}{text[token.end() :]}")
    for token in re.finditer(r"[a-z_]+", text):
        turned = opposite_name(token[0])
        if turned is not None:
            variants.append(text[: token.start()] + turned + text[token.end() :])
    for variant in variants:
        change = source.replaced(expression.position, text, variant)
        if change is not None:
            yield change


def _of_part(source: DesignText, design: Design, name: str, told: str) -> Iterator[TextChange]:
    part = design.pieces.get(name) or design.fastenings.get(name)
    entry = source.entry_at(part.position) if part is not None else None
    if entry is None or part is None or not isinstance(entry[1], MappingNode):
        return
    own, fields = design.pieces.get(name), entry[1].entries
    yield from filter(None, _quoted_in(source, entry[1], told))
    words = set(re.findall(r"[a-z]+", told)) - _LITTLE
    for field in sorted(fields, key=lambda each: _far(source, each[0], each[1], told, words)):
        for key, value in _within(source, *field):
            if key.text not in JOIN_RELATIONS or _OF_SIDES.search(told):
                yield from filter(None, _of_key(source, key, entry[1]))
            yield from filter(None, _of_value(source, design, own, (key, value), told))
            if key.text == "through" and isinstance(value, Scalar):
                yield from filter(None, _with_layer(source, value, design, told))
    for row in _rows(source, part.position):
        yield from filter(None, (*_of_count(source, row), *_of_words(source, row)))
    if own is not None:
        yield from filter(None, _added(source, own, entry[1]))


def _far(source: DesignText, key: Scalar, value: Node, told: str, words: set[str]) -> int:
    """How little a finding speaks of an entry of a part: it quotes its key, speaks of it, or does
    not; edges go before sides."""
    within = {word for each, _ in _within(source, key, value) for word in each.text.split("_")}
    if f"'{key.text}:" in told:
        return 0
    return (1 if words & within else 3) + (key.text not in EDGES)


def _quoted_in(source: DesignText, entry: MappingNode, told: str) -> Iterator[TextChange | None]:
    """The entries that a remedy writes out, in place of those of the same key."""
    for name, text in re.findall(r"'(\w+): ([^'{}]+)'", told):
        there = [each for each in source.entries(entry) if each[0].text == name]
        for _, value in there:
            if isinstance(value, Scalar):
                yield source.replaced(value.start, value.text, text)
        if not there:
            yield source.with_entry(entry, f"{name}: {text}")


def _within(source: DesignText, key: Scalar, value: Node) -> Iterator[tuple[Scalar, Node]]:
    yield key, value
    yield from source.entries(value)


def _with_layer(
    source: DesignText, value: Scalar, design: Design, told: str
) -> Iterator[TextChange | None]:
    """One more piece that a finding speaks of under those that a fastening goes through."""
    listed = [each.strip() for each in value.text.split(",")]
    for name in dict.fromkeys(re.findall(r"'(\w+)'", told)):
        for place in range(len(listed), -1, -1) if name in design.pieces else ():
            if name not in listed:
                new = ", ".join((*listed[:place], name, *listed[place:]))
                yield source.replaced(value.start, value.text, new)


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


def _of_key(source: DesignText, key: Scalar, entry: Node) -> Iterator[TextChange | None]:
    written = {name.text for name, _ in entry.entries} if isinstance(entry, MappingNode) else set()
    if key.text in JOIN_RELATIONS or key.text in RELATIONS:
        for relation in (*_LIKELY, *JOIN_RELATIONS):
            yield source.rekeyed(key, relation)
    elif narrowed(key.text, EDGES) and OPPOSITE[key.text] not in written:
        yield source.rekeyed(key, OPPOSITE[key.text])
        yield source.rekeyed(key, "all")
    elif key.text in ("across", "up"):
        yield source.rekeyed(key, "up" if key.text == "across" else "across")
    elif (other := opposite_name(key.text)) is not None and key.text not in EDGES:
        yield source.rekeyed(key, other)


def _of_value(
    source: DesignText, design: Design, own: Piece | None, field: tuple[Scalar, Node], told: str
) -> Iterator[TextChange | None]:
    key, value = field
    if key.text in ("across", "up"):
        yield _reversed(source, value)
    if not isinstance(value, Scalar):
        if isinstance(value, SequenceNode):
            for each in value.items:
                if isinstance(each, Scalar):
                    yield from _of_words(source, each)
        return
    yield from _of_words(source, value)
    for angle in _ANGLES.get(key.text, ()):
        yield source.replaced(value.start, value.text, angle)
    if key.text == "count":
        yield from _of_count(source, value)
    if key.text == "from" and "from:" in told:
        for stock in design.stocks:
            yield source.replaced(value.start, value.text, stock)
    if key.text == "glue":
        yield from _of_glue(source, value)
    if value.text == "none" or key.text in _ANGLES:
        yield source.without(key, value)
    if key.text in RELATIONS or key.text in ("by", *JOIN_RELATIONS):
        for name in _other_places(design, own, key.text, value.text):
            yield source.replaced(value.start, value.text, name)


def _of_count(source: DesignText, value: Scalar) -> Iterator[TextChange | None]:
    if value.text.isdigit():
        for number in (int(value.text) + 1, int(value.text) - 1):
            yield source.replaced(value.start, value.text, str(number))


def _of_words(source: DesignText, value: Scalar) -> Iterator[TextChange | None]:
    """A side, an edge, a name as its opposite."""
    if value.position.line != value.start.line:
        return
    yield from source.swapped_words(value.start, len(value.text))


def _of_glue(source: DesignText, value: Scalar) -> Iterator[TextChange | None]:
    edges = [edge.strip() for edge in value.text.split(",")]
    if not all(edge in EDGES for edge in edges):
        return
    free = [edge for edge in ("left", "bottom", "right", "top") if edge not in edges]
    for edge in free:
        yield source.replaced(value.start, value.text, ", ".join((*edges, edge)))
    for number in range(len(edges)):
        rest = edges[:number] + edges[number + 1 :]
        for other in free:
            yield source.replaced(value.start, value.text, ", ".join((*rest, other)))
        if rest:
            yield source.replaced(value.start, value.text, ", ".join(rest))


def _other_places(design: Design, own: Piece | None, key: str, value: str) -> Iterator[str]:
    """The other sections of a piece, and other pieces of the same kind, the likeliest first."""
    host, dot, section = value.partition(".")
    if key == "by":
        yield from (each for each in _sections(own) if each != value)
        return
    known = design.pieces.get(host)
    if known is None:
        return
    if dot:
        yield from (f"{host}.{each}" for each in _sections(known) if each != section)
    elif _sections(known):
        yield from (f"{host}.{each}" for each in _sections(known))
    alike = [
        each.key
        for each in design.pieces.values()
        if each.key != host and each.kind == known.kind and each is not own
    ]
    words = set(own.key.split("_")) if own is not None else set()
    alike.sort(key=lambda each: -len(words & set(each.split("_"))))
    yield from (f"{each}{dot}{section}" for each in alike[:3])


def _sections(piece: Piece | None) -> tuple[str, ...]:
    if piece is None:
        return ()
    return tuple(dict.fromkeys(each.name for each in (*piece.across, *piece.up)))


def _reversed(source: DesignText, value: Node) -> TextChange | None:
    """Sections within braces in one line, the other way round."""
    if not isinstance(value, MappingNode) or len(value.entries) < 2:
        return None
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


def _added(source: DesignText, own: Piece, entry: Node) -> Iterator[TextChange | None]:
    """What may have been forgotten in the entry of a piece."""
    if not isinstance(entry, MappingNode):
        return
    if own.placement is not None and entry.get("glue") is None:
        yield source.with_entry(entry, "glue: none")
    tabs = entry.get("tabs")
    for _, tab in tabs.entries if isinstance(tabs, MappingNode) else ():
        fold = other_fold(own.across[0].fold) if own.across else "mountain"
        if isinstance(tab, MappingNode) and tab.get("fold") is None:
            yield source.with_entry(tab, f"fold: {fold}")
            yield source.with_entry(tab, f"fold: {other_fold(fold)}")
    seams = entry.get("seams")
    if isinstance(seams, MappingNode):
        for section in _sections(own):
            if seams.get(section) is None:
                yield source.with_entry(seams, f"{section}: none")
