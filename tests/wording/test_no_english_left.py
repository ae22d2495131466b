"""Every fixed word of the documents comes from the catalogue.

A made-up language has every text of the English catalogue in brackets, and a shipped design has its
own words in Cyrillic letters.  What then stands in Latin letters outside brackets was written by
the code.  Names of sections are part of the design, but the keys of it: they stay as they are.
"""

from __future__ import annotations

import html as markup
import re
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from pathlib import Path
from typing import Any

import pytest

import gatherfold.documents.figure_set
import gatherfold.documents.laid_out
import gatherfold.drawings.kernel.figures
import gatherfold.wording
from gatherfold import __version__
from gatherfold.build import Options, build_result
from gatherfold.documents.page import Page, read_page
from gatherfold.drawings.kernel.figures import Figure, figure
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.model.design import Design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS, Edition
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.wording import LANGUAGES, PLURAL_RULES, load_wording, read_catalogue
from tests.conftest import silent
from tests.once import once

MADE_UP = "qps"
_LAYOUTS = tuple(LAYOUTS / name for name in ("pattern", "handout", "bench"))

# A made-up language


def bracketed(value: Any, path: str = "") -> Any:
    if isinstance(value, dict):
        return {key: bracketed(each, f"{path}/{key}") for key, each in value.items()}
    if isinstance(value, list):
        return [bracketed(each, path) for each in value]
    if isinstance(value, str) and path != "/decimal" and not path.endswith("/signal"):
        return MADE_UP if path == "/language" else f"⟦{value}⟧"
    return value


@contextmanager
def made_up_language() -> Iterator[None]:
    """The made-up language is one that a design may choose."""
    data = bracketed(read_catalogue("gatherfold.wording", LANGUAGES["en"]))

    def read(package: str, name: str) -> dict[str, Any]:
        return data if name == MADE_UP else read_catalogue(package, name)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(gatherfold.wording, "read_catalogue", read)
        patched.setitem(LANGUAGES, MADE_UP, MADE_UP)
        patched.setitem(PLURAL_RULES, MADE_UP, PLURAL_RULES["en"])
        load_wording.cache_clear()
        yield
    load_wording.cache_clear()


# A design in other letters

_LATIN = "abcdefghijklmnopqrstuvwxyz"
_OTHER = "абвгдежзийклмнопрстуфхцчшщ"
_LETTERS = str.maketrans(_LATIN + _LATIN.upper(), _OTHER + _OTHER.upper())
#: What a step's text refers to by name stays as it is.
_REFERENCE = re.compile(r"(\[[^\]]*\]|\{[^}]*\})")
_WORDS = {"title", "subtitle", "author", "summary", "terms", "skill", "text", "note", "purpose"}


def in_other_letters(part: Any) -> Any:
    """The part with all texts that are printed in other letters."""
    if isinstance(part, dict):
        return {key: in_other_letters(value) for key, value in part.items()}
    if isinstance(part, tuple) and not hasattr(part, "_fields"):
        return tuple(in_other_letters(value) for value in part)
    if not is_dataclass(part) or isinstance(part, type):
        return part
    if not type(part).__module__.startswith(
        ("gatherfold.model.design", "gatherfold.model.safety", "gatherfold.model.steps")
    ):
        return part
    changed = {}
    for each in fields(part):
        value = getattr(part, each.name)
        is_text = each.name in _WORDS and isinstance(value, str)
        changed[each.name] = rewritten(value) if is_text else in_other_letters(value)
    return replace(part, **changed)


def rewritten(text: str) -> str:
    parts = _REFERENCE.split(text)
    return "".join(p if _REFERENCE.fullmatch(p) else p.translate(_LETTERS) for p in parts)


# What is left


def outside_brackets(text: str) -> str:
    """The text without what stands in brackets, however deep."""
    kept, depth = [], 0
    for character in text:
        depth += character == "⟦"
        if depth == 0:
            kept.append(character)
        depth -= character == "⟧"
    return "".join(kept)


def texts_of(html: str) -> Iterator[str]:
    """Every text of a page, and every attribute that is read out."""
    body = re.sub(r"<(style|script)\b.*?</\1>", "", html, flags=re.DOTALL)
    for tag in re.findall(r"<[^>]*>", body):
        yield from re.findall(r'(?:alt|title|aria-label)="([^"]*)"', tag)
    # Fractions are set in spans of their own, within phrases.
    inline = re.sub(r"</?(?:span|strong|em|a|br|code)\b[^>]*>", " ", body)
    yield from re.split(r"<[^>]*>", inline)


def latin_words(text: str, design: Design) -> set[str]:
    own = {word for piece in design.pieces.values() for name in sections(piece) for word in name}
    own |= {"lb", "cover", "text", "g", "m", "A4", "Letter", "Tabloid", "A3", "SRA3"}
    left = outside_brackets(markup.unescape(text))
    return {word for word in re.findall(r"[A-Za-z]{2,}\d*", left) if word not in own}


def sections(piece: Any) -> Iterator[list[str]]:
    for section in (*piece.across, *piece.up):
        yield section.name.split("_")


def lettering_of(scene: Scene) -> str:
    """All texts of a drawing, a phrase of several lines in one; one cut short ends where it is."""
    joined = ""
    for text in scene.texts:
        joined += f" {text.text}"
        if text.text.endswith("…"):
            joined += "⟧" * (joined.count("⟦") - joined.count("⟧"))
    assert joined.count("⟦") == joined.count("⟧"), scene.key
    return joined


@dataclass(frozen=True)
class Made:
    """A design in other letters, its pages, and all lettering of its drawings."""

    design: Design
    pages: Mapping[str, str]
    lettering: tuple[str, ...]


def made_of(
    name: str, edition: str, language: str, layouts: Sequence[Path] = (LAYOUTS / "pattern",)
) -> Made:
    """Built, but neither inked nor typeset: HTML and scenes have all words.

    Every layout has the rooms of the handout, so that what it shows is drawn once for all.
    """
    design = in_other_letters(read_design_file(DESIGNS / f"{name}.yaml"))
    design = replace(design, language=language, checksum="0123456789abcdef")
    options = Options(draft=True, kits=2)
    drawn: list[str] = []

    def watched(scene: Scene) -> Figure:
        drawn.append(lettering_of(scene))
        return figure(scene)

    def page_of(layout: Path, edition: Edition) -> Page:
        own = read_page(layout, edition)
        return replace(read_page(LAYOUTS / "handout", edition), parts=own.parts, logo=own.logo)

    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(gatherfold.drawings.kernel.figures, "ink", lambda scene: b"")
        patched.setattr(gatherfold.documents.figure_set, "figure", watched)
        patched.setattr(gatherfold.documents.laid_out, "read_page", page_of)
        patched.setattr(gatherfold.documents.laid_out, "typeset", lambda *_: b"")
        result = build_result(design, [EDITIONS[edition]], layouts, options, silent)
    assert result.documents, result.findings
    pages = {layout: document.html for layout, document in result.documents.items()}
    return Made(design, pages, tuple(drawn))


@once
def in_made_up_language(name: str, edition: str) -> Made:
    with made_up_language():
        return made_of(name, edition, MADE_UP, _LAYOUTS)


@pytest.fixture(
    scope="module", params=[("observatory-folio", "imperial"), ("keepsake-box", "metric")]
)
def made(request: pytest.FixtureRequest) -> Made:
    return in_made_up_language(*request.param)


def test_no_word_of_the_pages_is_written_by_the_code(made: Made) -> None:
    assert set(made.pages) == {"pattern", "handout", "bench"}
    for layout, html in made.pages.items():
        assert html.count("⟦") > 200
        found = {
            word: text.strip()[:120]
            for text in texts_of(html)
            for word in latin_words(text, made.design)
        }
        assert not found, layout


def test_no_word_of_the_drawings_is_written_by_the_code(made: Made) -> None:
    assert sum(text.count("⟦") for text in made.lettering) > 100
    assert not {text for text in made.lettering if latin_words(text, made.design)}


# German


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_german_document_has_decimal_commas_and_no_english(edition: str) -> None:
    german = made_of("letter-envelope", edition, "de")
    page = german.pages["pattern"]
    assert '<html lang="de">' in page and "Zuschnittliste" in page
    texts = [markup.unescape(text) for text in (*texts_of(page), *german.lettering)]
    version = re.compile(re.escape(__version__))
    assert not {text for text in texts if re.search(r"\d\.\d", version.sub("", text))}
    if edition == "metric":
        assert any(re.search(r"\d,\d", text) for text in texts)
    words = {word.lower() for text in texts for word in re.findall(r"[A-Za-z]+", text)}
    assert not words & {"the", "of", "and", "from", "edge", "with", "sheet", "inches", "cut"}


def test_a_stylesheet_says_nothing() -> None:
    for path in (each for folder in _LAYOUTS for each in folder.glob("*.css")):
        for content in re.findall(r"content:([^;}]*)", path.read_text()):
            quoted = "".join(re.findall(r'"([^"]*)"', content))
            assert not re.search(r"[A-Za-z]{2,}", quoted), (path, content)


def test_the_letters_of_a_design_can_be_told_apart() -> None:
    """The test itself: a word in Latin letters outside brackets is seen."""
    design = read_design_file(DESIGNS / "letter-envelope.yaml")
    assert latin_words("⟦cut ⟦2⟧⟧ кут left over", design) == {"left", "over"} - own_of(design)
    assert latin_words("⟦all ⟦is⟧ well⟧ 7 ⟦in⟧ A12", design) == set()


def own_of(design: Design) -> set[str]:
    return {w for piece in design.pieces.values() for name in sections(piece) for w in name}
