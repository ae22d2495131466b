"""A design written in another way that means the same: other names, and entries in another order.

In: the text of a design and a seed.  Out: the text of the other design, and its name for each name.

Names of pieces, sections, measures, stocks, pictures, supplies, fastenings and strips are renamed
part by part, so that patterns (``*_mat``) and ``each`` groups go on fitting; words of the language
stay.  What has no order is shuffled: all those entries, and the names in one ``close``.
"""

from __future__ import annotations

import random
import re
import string
from collections.abc import Iterator
from dataclasses import dataclass

import yaml
from yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode

#: Mappings whose keys are names.
_NAMED = ("measures", "stocks", "supplies", "pieces", "fastenings", "strips")
_SECTIONS = ("across", "up")
_OF_SECTIONS = ("tabs", "joins", "seams", "corners", "glue_off", "tucks")
_PICTURES = ("motifs", "regions")
#: Fields that say words or prose, never a name.
_WORDS = frozenset(
    {"as", "fold", "kind", "material", "print", "grain", "name", "title", "colour", "note"}
)
_PROSE = frozenset({"text", "summary", "terms"})
#: Words of the language that stand where names can stand, or that names are made with.
_LANGUAGE = frozenset(
    re.findall(
        r"\w+",
        "left right top bottom front back all none width height size face x in mm tab min max grid"
        " up notch mitre round yes no metric imperial",
    )
)
_PART = re.compile(r"\{[^}]*\}|[a-z0-9]+")
_IN_PROSE = re.compile(r"(?<=\[)[^\]]*(?=\])|(?<=\{)[^}]*(?=\})")


@dataclass(frozen=True)
class Renamed:
    """A design as text, and the new part for each part of a name."""

    text: str
    parts: dict[str, str]

    def name(self, old: str) -> str:
        """The new name of something."""
        return _renamed(old, self.parts)


def rewritten(text: str, seed: int, renames: bool = True, shuffles: bool = True) -> Renamed:
    """Rename and shuffle a design."""
    rng = random.Random(seed)
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    assert isinstance(root, MappingNode)
    parts: dict[str, str] = {}
    if renames:
        words = sorted({part for name in _names(root, ()) for part in name.split("_")})
        parts = _new_words(rng, [w for w in words if w.isalpha() and w not in _LANGUAGE])
    if shuffles:
        _shuffle(root, (), rng)
    _rename(root, (), parts)
    return Renamed(yaml.serialize(root, width=100_000), parts)


def _new_words(rng: random.Random, words: list[str]) -> dict[str, str]:
    found: dict[str, str] = {}
    for word in words:
        new = "".join(rng.choice(string.ascii_lowercase) for _ in range(7))
        assert new not in found.values() and new not in _LANGUAGE
        found[word] = new
    return found


# ---- which names there are


def _names(node: Node, path: tuple[str, ...]) -> Iterator[str]:
    """Every name that a design gives, with the braces of ``each`` taken out."""
    if isinstance(node, MappingNode):
        for key, value in node.value:
            if _is_name(path):
                yield from re.sub(r"\{[^}]*\}", "", key.value).split("_")
                if _is_group(value):
                    yield from _words_of_rows(value)
            yield from _names(value, (*path, key.value))
    elif isinstance(node, SequenceNode):
        for item in node.value:
            yield from _names(item, path)


def _is_name(path: tuple[str, ...]) -> bool:
    """Whether the keys of the mapping at a path are names that the design gives."""
    if not path or path[0] not in _NAMED:
        return False
    if path[0] in ("pieces", "fastenings") and len(path) > 1:
        is_group = len(path) == 3 and path[2] == "pieces"
        return is_group or path[-1] in _SECTIONS
    return len(path) == 1 or path[-1] in _PICTURES


def _is_group(node: Node) -> bool:
    return isinstance(node, MappingNode) and any(key.value == "each" for key, _ in node.value)


def _words_of_rows(group: Node) -> Iterator[str]:
    """The words that ``each`` puts in names."""
    for scalar in _scalars(dict(_by_key(group))["each"]):
        if re.fullmatch(r"[a-z_]+", scalar.value):
            yield from scalar.value.split("_")


def _by_key(node: Node) -> Iterator[tuple[str, Node]]:
    assert isinstance(node, MappingNode)
    return ((key.value, value) for key, value in node.value)


def _scalars(node: Node) -> Iterator[ScalarNode]:
    if isinstance(node, ScalarNode):
        yield node
    elif isinstance(node, SequenceNode):
        for item in node.value:
            yield from _scalars(item)
    elif isinstance(node, MappingNode):
        for _, value in node.value:
            yield from _scalars(value)


# ---- other names


def _renamed(text: str, parts: dict[str, str]) -> str:
    """A text of names, formulas and marks between them with its names renamed; what ``each`` puts
    in braces stays."""
    return _PART.sub(lambda match: parts.get(match.group(), match.group()), text)


def _rename(node: Node, path: tuple[str, ...], parts: dict[str, str]) -> None:
    if isinstance(node, ScalarNode):
        node.value = _new_value(path, node.value, parts)
    elif isinstance(node, SequenceNode):
        for item in node.value:
            _rename(item, path, parts)
    elif isinstance(node, MappingNode):
        for key, value in node.value:
            _rename(value, (*path, key.value), parts)
            if _is_name(path) or (path and path[-1] in _OF_SECTIONS):
                key.value = _renamed(key.value, parts)


def _new_value(path: tuple[str, ...], text: str, parts: dict[str, str]) -> str:
    field = path[-1] if path else ""
    if field in _PROSE:
        return _IN_PROSE.sub(lambda match: _renamed(match.group(), parts), text)
    # Of stocks and supplies only the keys are names; a picture is a stock's own.
    is_word = field in (_WORDS if path[0] != "steps" else {"title"})
    if is_word or path[0] in ("stocks", "supplies") or path[0] not in (*_NAMED, *_STEPS):
        return text
    return _renamed(text, parts)


_STEPS = ("steps", "closing")


# ---- another order


def _shuffle(node: Node, path: tuple[str, ...], rng: random.Random) -> None:
    if isinstance(node, MappingNode):
        if len(path) == 1 and path[0] in _NAMED:
            rng.shuffle(node.value)
        if path == ("steps",):
            for key, value in node.value:
                if key.value == "close" and isinstance(value, ScalarNode):
                    names = [name.strip() for name in value.value.split(",")]
                    rng.shuffle(names)
                    value.value = ", ".join(names)
        for key, value in node.value:
            _shuffle(value, (*path, key.value), rng)
    elif isinstance(node, SequenceNode):
        for item in node.value:
            _shuffle(item, path, rng)
