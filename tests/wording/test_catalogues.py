"""The catalogues: every language says everything, with the same places, in its own way."""

from __future__ import annotations

import string
from collections.abc import Iterator
from fractions import Fraction
from importlib import resources
from typing import Any

import pytest
from babel import Locale

from gatherfold.lengths import METRIC_UNITS
from gatherfold.wording import (
    LANGUAGES,
    PLURAL_CATEGORIES,
    PLURAL_RULES,
    load_wording,
    read_catalogue,
)

EACH_LANGUAGE = pytest.mark.parametrize("language", LANGUAGES)
OTHERS = pytest.mark.parametrize("language", [each for each in LANGUAGES if each != "en"])
#: Entries that are no text: a rule of the language, and the levels of messages.
_NO_TEXT = ("/keeps_capitals", "/signal")
#: Only for the designer, and in English as findings are.
ENGLISH_ONLY = "proof"


def catalogue(language: str) -> dict[str, Any]:
    return read_catalogue("gatherfold.wording", LANGUAGES[language])


def texts(data: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every text of a catalogue with its path, those for the designer left out."""
    entries = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in entries:
        name = f"{path}/{key}"
        if name.startswith(f"/text/{ENGLISH_ONLY}") or name.endswith(_NO_TEXT):
            continue
        if isinstance(value, str):
            yield name, value
        else:
            yield from texts(value, name)


def places(text: str) -> set[str]:
    return {name for _, name, _, _ in string.Formatter().parse(text) if name is not None}


@OTHERS
def test_no_text_is_missing_or_left_over(language: str) -> None:
    assert set(dict(texts(catalogue(language)))) == set(dict(texts(catalogue("en"))))


@OTHERS
def test_places_to_fill_are_those_of_the_english(language: str) -> None:
    english, other = dict(texts(catalogue("en"))), dict(texts(catalogue(language)))
    differing = {name for name in english if places(english[name]) != places(other[name])}
    assert not differing


@OTHERS
def test_texts_are_translated(language: str) -> None:
    """A text with words that is the same in English was forgotten, or is one of these."""
    alike = {"/text/symbol_mm", "/text/weight_both", "/text/draw_round"}
    alike |= {"/text/supply_long_in", "/text/supply_long_mm"}
    english, other = dict(texts(catalogue("en"))), dict(texts(catalogue(language)))
    same = {
        name
        for name, text in english.items()
        if other[name] == text and any(c.isalpha() for c in string_without_places(text))
    }
    assert same == alike


def string_without_places(text: str) -> str:
    return "".join(words for words, _, _, _ in string.Formatter().parse(text))


@OTHERS
def test_a_catalogue_says_what_nobody_has_reviewed(language: str) -> None:
    path = resources.files("gatherfold.wording") / f"{LANGUAGES[language]}.yaml"
    head = path.read_text(encoding="utf-8").split("\nlanguage:")[0]
    assert "Review:" in head and "NO part has been reviewed" in head


# Plurals and numbers, against the Unicode CLDR as babel carries it


@EACH_LANGUAGE
def test_plural_categories_are_those_of_the_cldr(language: str) -> None:
    rule = Locale(language).plural_form
    assert set(PLURAL_CATEGORIES[language]) == {*rule.rules, "other"}
    for count in range(0, 1200):
        assert PLURAL_RULES[language](count) == rule(count), count


@EACH_LANGUAGE
def test_every_counted_phrase_has_every_form(language: str) -> None:
    names = catalogue(language)["text"]
    counted = {name.removesuffix("_one") for name in names if name.endswith("_one")}
    assert counted >= {"sheet_title", "buy_packs", "substitute"}
    for name in counted:
        assert {f"{name}_{form}" for form in PLURAL_CATEGORIES[language]} <= set(names), name


@EACH_LANGUAGE
def test_the_decimal_sign_is_that_of_the_cldr(language: str) -> None:
    wording = load_wording(language)
    assert wording.decimal == Locale(language).number_symbols["latn"]["decimal"]
    sign = wording.decimal
    assert wording.units(METRIC_UNITS).text(Fraction(19, 2)) == f"9{sign}5\u00a0mm"


@EACH_LANGUAGE
def test_lists_are_joined_as_the_cldr_has_it(language: str) -> None:
    """CLDR list patterns "standard"; the comma before "and" is British English: without one."""
    patterns = (
        Locale("en", "GB").list_patterns if language == "en" else Locale(language).list_patterns
    )
    standard = patterns["standard"]
    wording = load_wording(language)
    assert wording.listed(["a", "b"]) == standard["2"].format("a", "b")
    assert wording.listed(["a", "b", "c"]) == standard["end"].format("a, b", "c")
    assert (wording.listed([]), wording.listed(["a"])) == ("", "a")


def test_titles_within_a_sentence() -> None:
    english, german = load_wording("en"), load_wording("de")
    assert english.within_sentence("Double-sided tape") == "double-sided tape"
    assert english.within_sentence("PVA glue") == "PVA glue"
    assert german.within_sentence("Doppelklebeband") == "Doppelklebeband"
