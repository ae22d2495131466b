"""Words of the trade: explained where the pages use them, in the forms they stand in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from markupsafe import Markup

from gatherfold.documents.content import DocumentView, FigureView, StepView
from gatherfold.documents.view import glossary, printed_words
from gatherfold.wording import LANGUAGES, load_wording


def view(text: str, figure_words: str = "") -> DocumentView:
    """A document of one step with this text; all other fields are left empty."""
    nothing: dict[str, object] = dict.fromkeys(DocumentView.__dataclass_fields__, "")
    figure = FigureView("key-of-a-gusset", "gusset.svg", "", figure_words, 1.0, 1.0)
    step = StepView(1, "mitre", "", Markup(text), (), (), (), (figure,), None)
    nothing |= {"steps": (step,), "text": {"kit": "kit"}, "first_steps": 0}
    return DocumentView(**nothing)  # type: ignore[arg-type]


def explained(text: str, figure_words: str = "", language: str = "en") -> list[str]:
    wording = load_wording(language)
    return [entry.name for entry in glossary(view(text, figure_words), wording)]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("<p>Burnish it.</p>", ["burnish"]),
        ("<p>Mats cover the <strong>gussets</strong>.</p>", ["gusset", "mat"]),
        ("<p>A mattress, a kitten, a format.</p>", []),
        ("<p>Spread the prongs.</p>", ["legs"]),
        ('<p class="grain">Fold it.</p>', []),
    ],
)
def test_only_what_stands_on_the_pages_is_explained(text: str, words: list[str]) -> None:
    assert explained(text) == words


def test_what_is_lettered_in_a_drawing_counts_its_key_and_address_do_not() -> None:
    assert explained("<p>Fold.</p>", "The gusset is 1 inch wide.") == ["gusset"]
    assert explained("<p>Fold.</p>", "") == []


def test_words_of_the_other_language() -> None:
    assert explained("<p>Bündig mit der Kante.</p>", language="de") == ["bündig"]
    assert explained("<p>Flush.</p>", language="de") == []


def test_what_is_not_printed_is_not_read() -> None:
    words = list(printed_words(replace(view("<p>Cut.</p>"), beside=view("<p>Mat.</p>"))))
    assert "kit" not in words and not any("Mat." in each for each in words)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_entry_is_a_word_and_a_meaning(language: str) -> None:
    for entry in load_wording(language).glossary:
        assert entry.forms and all(form.strip() for form in entry.forms)
        assert entry.meaning and not entry.meaning.endswith(".")
