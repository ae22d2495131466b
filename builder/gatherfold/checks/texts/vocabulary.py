"""The words that the checks of texts go by, a table per language beside this module.

In: a language's code.  Out: its :class:`Vocabulary`, None for a language without a table.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property
from importlib import resources

from gatherfold.geometry import EDGES, EdgeName
from gatherfold.lengths import INCH
from gatherfold.model import narrowed
from gatherfold.wording import LANGUAGES, read_catalogue

_UNITS = {"inch": INCH, "mm": Fraction(1), "cm": Fraction(10)}


def _stem(word: str, endings: Sequence[tuple[str, str]]) -> str:
    for ending, instead in endings:
        if word.endswith(ending) and len(word) - len(ending) > 2:
            return word[: len(word) - len(ending)] + instead
    return word


@dataclass(frozen=True)
class Vocabulary:
    """Words of a language by what they say; ``sets`` are lists of words, or of phrases, by the name
    of what they stand for."""

    numbers: Mapping[str, int]
    ordinals: Mapping[str, int]
    fractions: Mapping[str, Fraction]
    units: Mapping[str, Fraction]
    edges: Mapping[str, EdgeName]
    verbs: Mapping[str, frozenset[str]]
    sets: Mapping[str, frozenset[str]]
    endings: tuple[tuple[str, str], ...]
    plural: str

    def has(self, name: str, word: str) -> bool:
        """Whether a word is one of those that stand for something."""
        return word in self.sets[name]

    def stem(self, word: str) -> str:
        """A word without the ending of its plural or case."""
        if word not in self._stems:
            self._stems[word] = _stem(word.lower(), self.endings)
        return self._stems[word]

    @cached_property
    def _stems(self) -> dict[str, str]:
        """The stems of the words that were asked for."""
        return {}

    def is_plural(self, word: str) -> bool:
        """Whether a word may stand in the plural."""
        return word.endswith(self.plural) and (not self.plural or self.stem(word) != word)

    def does(self, word: str) -> str | None:
        """The operation that a verb in the imperative stands for."""
        return self._operations.get(word)

    @cached_property
    def _operations(self) -> Mapping[str, str]:
        return {word: name for name, words in self.verbs.items() for word in words}


@cache
def vocabulary_of(language: str) -> Vocabulary | None:
    """The table of a language, read once."""
    name = LANGUAGES.get(language, language)
    if not (resources.files(__package__) / f"{name}.yaml").is_file():
        return None
    data = read_catalogue(__package__, name)
    edges = {word: narrowed(edge, EDGES) for word, edge in data["edges"].items()}
    endings = tuple((ending, instead) for ending, instead in data["endings"])
    return Vocabulary(
        numbers=data["numbers"],
        ordinals=data["ordinals"],
        fractions={word: Fraction(value) for word, value in data["fractions"].items()},
        units={word: _UNITS[unit] for word, unit in data["units"].items()},
        edges={word: edge for word, edge in edges.items() if edge is not None},
        verbs={name: frozenset(words) for name, words in data["verbs"].items()},
        sets={
            name: frozenset(words).union(_stem(word, endings) for word in words if name in _NOUNS)
            for name, words in data.items()
            if name not in _TABLES
        },
        endings=endings,
        plural=data["plural"],
    )


_TABLES = frozenset(
    {"numbers", "ordinals", "fractions", "units", "edges", "verbs", "endings", "plural"}
)
#: Sets of nouns, which are looked for by their stems.
_NOUNS = frozenset({"tab", "fold", "photograph", "copy", "window", "magnet", "notch", "walls"})
