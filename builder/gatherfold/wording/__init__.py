"""The fixed wording of the documents: one catalogue per language, in YAML.

In: a language's code.  Out: :class:`Wording`.  Tools, hazards and cautions are worded here and
nowhere else, so that they can be reviewed, and translated, in one place.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import Any

import yaml

from gatherfold.lengths import NO_BREAK_SPACE, UnitSystem
from gatherfold.model import Level, money_number

#: The catalogues by the code (ISO 639-1) that a design chooses them with.
LANGUAGES = {"en": "english", "de": "german"}


def _one_if_single(count: int) -> str:
    """CLDR, cardinal rules of English and German: ``one`` is "i = 1 and v = 0"."""
    return "one" if count == 1 else "other"


#: Which form of a phrase a whole number takes, by the language: a plural category of the Unicode
#: CLDR, which ends the name of the phrase.
PLURAL_RULES: dict[str, Callable[[int], str]] = {"en": _one_if_single, "de": _one_if_single}
PLURAL_CATEGORIES: dict[str, tuple[str, ...]] = {"en": ("one", "other"), "de": ("one", "other")}


@dataclass(frozen=True)
class Hazard:
    """One hazard: its level by ANSI Z535.6 with the signal word of the language, what it is, what
    to do, a short form for steps."""

    key: str
    level: Level
    signal: str
    title: str
    danger: str
    avoid: tuple[str, ...]
    short: str


@dataclass(frozen=True)
class Term:
    """A word of the trade: the forms it stands in, the one to print first, and what it means."""

    forms: tuple[str, ...]
    meaning: str


@dataclass(frozen=True)
class Wording:
    """``text`` holds phrases by name; phrases have ``{places}`` filled by ``str.format``.

    ``decimal`` is the decimal sign; ``keeps_capitals`` says that titles keep their capitals within
    a sentence.  ``places`` names edges and corners.
    """

    language: str
    decimal: str
    keeps_capitals: bool
    text: Mapping[str, str]
    tools: Mapping[str, str]
    hazards: Mapping[str, Hazard]
    kinds: Mapping[str, str]
    places: Mapping[str, str]
    signals: Mapping[str, str]
    glossary: tuple[Term, ...]

    def phrase(self, name: str, /, *numbered: object, **places: object) -> str:
        """A phrase with its places filled; KeyError when the catalogue lacks it."""
        return self.text[name].format(*numbered, **places)

    def counted(self, name: str, count: int, /, **places: object) -> str:
        """The form of a phrase for a count: ``NAME_one``, ``NAME_other``, as CLDR calls them."""
        form = PLURAL_RULES[self.language](count)
        return self.phrase(f"{name}_{form}", count=count, **places)

    def listed(self, words: Iterable[str]) -> str:
        """``a``, ``a and b``, ``a, b and c``."""
        items = list(words)
        if len(items) < 2:
            return "".join(items)
        return self.phrase("and", first=", ".join(items[:-1]), second=items[-1])

    def place(self, section: str, place: str) -> str:
        """An edge or corner of a piece, or of one of its sections."""
        named = self.places[place]
        if not section:
            return named
        return self.phrase("place_of_section", section=section.replace("_", " "), place=named)

    def within_sentence(self, title: str) -> str:
        """A title as it stands within a sentence: with a small letter, where the language has it
        so and the title does not begin with an abbreviation."""
        is_kept = self.keeps_capitals or title[1:2].isupper()
        return title if is_kept else title[:1].lower() + title[1:]

    def units(self, units: UnitSystem) -> UnitSystem:
        """A unit system as this language writes it."""
        symbol = self.phrase(f"symbol_{units.unit}")
        return replace(units, language=self.language, decimal=self.decimal, symbol=symbol)

    def money(self, amount: Fraction, currency: str) -> str:
        """``EUR 1.20`` or ``€1.20``, in German ``1,20 EUR`` or ``1,20 €``."""
        number = self.decimal_text(money_number(amount, currency))
        is_word = currency[-1:].isalpha() or currency.endswith(".")
        name = "money_code" if is_word else "money_sign"
        text = self.phrase(name, amount=number, currency=currency)
        return text.replace(" ", NO_BREAK_SPACE)

    def decimal_text(self, written: str) -> str:
        """A number with a decimal point as this language writes it."""
        return written.replace(".", self.decimal)


def read_catalogue(package: str, name: str) -> dict[str, Any]:
    """A catalogue beside the code of a package; libyaml, where it is there, is the fastest."""
    text = (resources.files(package) / f"{name}.yaml").read_text(encoding="utf-8")
    found: dict[str, Any] = yaml.load(text, Loader=getattr(yaml, "CSafeLoader", yaml.SafeLoader))
    return found


@cache
def load_wording(language: str = "en") -> Wording:
    """The catalogue of a language, read once; KeyError where there is none."""
    data = read_catalogue(__package__, LANGUAGES[language])
    signals: dict[str, str] = data["signals"]
    hazards = {
        key: hazard(key, entry["signal"], signals, entry) for key, entry in data["hazards"].items()
    }
    return Wording(
        language=data["language"],
        decimal=data["decimal"],
        keeps_capitals=data["keeps_capitals"],
        text=data["text"],
        tools=data["tools"],
        hazards=hazards,
        kinds=data["kinds"],
        places=data["places"],
        signals=signals,
        glossary=tuple(
            Term(tuple(entry["forms"].split(", ")), entry["meaning"])
            for entry in data["glossary"].values()
        ),
    )


def hazard(
    key: str, level: Level, signals: Mapping[str, str], entry: Mapping[str, str | Sequence[str]]
) -> Hazard:
    """A hazard from its entry in a catalogue; KeyError where something is missing."""
    title, danger, short = (str(entry[name]) for name in ("title", "danger", "short"))
    return Hazard(key, level, signals[level], title, danger, tuple(entry["avoid"]), short)
