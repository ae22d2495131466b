"""The key to the fills: a swatch shows what the pictures show, and every pattern has its words."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.hatching import PRINTS
from gatherfold.drawings.kernel.scene import Area
from gatherfold.drawings.kernel.stock_tints import (
    pattern_words,
    picture_tints,
    sides_shown,
    swatch_scene,
)
from gatherfold.drawings.kernel.styles import Line
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.wording import LANGUAGES, load_wording
from tests.works import shipped


@pytest.fixture
def folio() -> ResolvedDesign:
    return shipped("observatory-folio")


def test_a_swatch_has_the_fill_and_the_pattern_of_the_pictures(folio: ResolvedDesign) -> None:
    tints = picture_tints(folio)
    for key, stock in folio.stocks.items():
        for side in sides_shown(stock):
            scene = swatch_scene(folio, key, side, 16.0, 8.0)
            (area,) = (item for item in scene.items if isinstance(item, Area))
            assert area.fill == tints.fills[key, side]
            is_printed = bool(scene.strokes(Line.PATTERN))
            assert is_printed == stock.source.two_sided == ((key, side) in tints.patterns)
            assert stock.source.side(side).title in scene.text_equivalent
            assert (scene.width, scene.height) == pytest.approx((16.0, 8.0))


def test_plain_stock_has_one_swatch_and_printed_paper_two(folio: ResolvedDesign) -> None:
    assert sides_shown(folio.stocks["night"]) == ("front",)
    assert sides_shown(folio.stocks["aurora"]) == ("front", "back")


def test_no_two_sides_of_the_folio_have_the_same_words(folio: ResolvedDesign) -> None:
    printed = [key for key, stock in folio.stocks.items() if stock.source.two_sided]
    words = [pattern_words(folio, key, side) for key in printed for side in ("front", "back")]
    assert len(set(words)) == len(words)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_pattern_has_its_words(language: str) -> None:
    wording = load_wording(language)
    words = {wording.phrase(f"pattern_{name}") for name in (*PRINTS, "none")}
    assert len(words) == len(PRINTS) + 1
