"""Every figure says in words what it shows, in the numbers it shows."""

from __future__ import annotations

import re
from fractions import Fraction
from pathlib import Path

import pytest

from gatherfold.drawings.kernel.scene import Scene
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.shipped import DESIGNS
from tests.benchmarks.figure_check import designs, resolved_of
from tests.documents.test_pdf import _NUMBER, value_of
from tests.drawn import figures_of
from tests.works import native_of

_CODE = re.compile(r"\b[A-Z]\d+\b")
_ANY = re.compile(_NUMBER)
#: The kinds of figure that print lengths of pieces.
KINDS = ("piece-", "step-", "template-")


_TURNED = re.compile(r"\d+ (?:valley|mountain) folds? to \d+ degrees")


def numbers_in(text: str) -> set[Fraction]:
    plain = _CODE.sub(" ", text.replace("\N{NO-BREAK SPACE}", " "))
    return {value_of(match.group()) for match in _ANY.finditer(plain)}


def lengths_of(piece: ResolvedPiece, resolved: ResolvedDesign) -> set[Fraction]:
    """The size of a piece as its outline has it, and what lies round it on its host."""
    units = resolved.edition.units
    lengths = [piece.width, piece.height]
    if piece.offsets is not None:
        lengths += [abs(getattr(piece.offsets, e)) for e in ("left", "right", "top", "bottom")]
    return {value_of(units.number(length).replace("\N{NO-BREAK SPACE}", " ")) for length in lengths}


def unknown_numbers(scene: Scene, resolved: ResolvedDesign) -> set[Fraction]:
    """Numbers of the words that neither the drawing nor the pieces it names have."""
    shown = numbers_in(" ; ".join(text.text for text in scene.texts))
    names = scene.text_equivalent + scene.title
    for piece in resolved.pieces.values():
        if f"{piece.code} {piece.title}" in names:
            shown |= lengths_of(piece, resolved)
    titles = {n for p in resolved.pieces.values() for n in numbers_in(p.title)}
    counts = {Fraction(n) for n in range(1, 13)} & numbers_in(
        " ".join(
            re.findall(
                r"\d+ (?:layers?|rows?|columns?|vertical|horizontal)|cut \d+|column \d+"
                r"|part \d+ of \d+",
                scene.text_equivalent,
            )
        )
    )
    # A movement shows how many folds turn and how far; its words say it.
    turned = numbers_in(" ".join(_TURNED.findall(scene.text_equivalent)))
    return numbers_in(scene.text_equivalent) - shown - titles - counts - turned


def editions_of(path: Path) -> list[str]:
    """Both of a shipped design, and that of the design's own units of one of the tests, which
    nothing names: designs are read when a test asks for them."""
    return list(EDITIONS) if path.parent == DESIGNS else [""]


@pytest.mark.parametrize(
    ("path", "edition"),
    [
        pytest.param(path, edition, id=f"{path.stem}-{edition or 'own'}")
        for path in designs()
        for edition in editions_of(path)
    ],
)
def test_words_and_drawing_have_the_same_numbers(path: Path, edition: str) -> None:
    named = edition or native_of(path)
    resolved, scenes = resolved_of(path, named, {}), figures_of(path, named)
    for key, scene in scenes.items():
        words = scene.text_equivalent
        assert words.endswith("."), key
        assert len(words) > 20, key
        assert not re.search(r"  | [,.;:]|\.\.|,;|None", words), f"{key}: {words}"
        assert re.search(r"(?<!by )\b1 (inches|millimetres)\b", words) is None, f"{key}: {words}"
        if key.startswith(KINDS):
            assert unknown_numbers(scene, resolved) == set(), f"{key}: {words}"


def test_a_number_that_the_figure_does_not_have_is_found() -> None:
    resolved = resolved_of(designs()[0], "imperial", {})
    scene = next(
        s for k, s in figures_of(designs()[0], "imperial").items() if k.startswith("step-")
    )
    words = f"{scene.text_equivalent} Leave 12 7⁄16 inches."
    wrong = Scene(scene.key, scene.title, scene.width, scene.height, scene.items, words)
    assert unknown_numbers(wrong, resolved) == {Fraction(199, 16)}


def test_the_words_measure_from_the_edge_that_the_design_measures_from() -> None:
    """The folio's title plate lies 1 in below the top edge of its mat; hinges end on an edge."""
    path = next(path for path in designs() if path.stem == "observatory-folio")
    words = " ".join(s.text_equivalent for s in figures_of(path, "imperial").values())
    assert "A8 Title plate, 4½ by 2 inches, goes on C2 Front outer mat, centred" in words
    assert "1 inch from the top edge" in words
    assert "A4 Top hinge, 6¾ by 1⅝ inches, goes on A1 Back cover, flush with the top edge" in words
