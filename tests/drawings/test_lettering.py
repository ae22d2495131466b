"""Widths of lettering against the font's own tables."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.lettering import capital_height, text_rect, text_width
from gatherfold.drawings.kernel.scene import Text
from gatherfold.drawings.labels.placings import LabelLook
from gatherfold.lengths import IMPERIAL_UNITS
from tests.drawings.samples import inches


def test_one_letter_has_the_fonts_advance() -> None:
    # Source Sans Pro Regular: 'M' advances 817... read from hmtx by the code under test's rival.
    import font_source_sans_pro
    from fontTools.ttLib import TTFont

    with TTFont(font_source_sans_pro.font_files_ttf["SourceSansPro"]) as font:
        advance = font["hmtx"][font.getBestCmap()[ord("M")]][0]
    assert text_width("M", 10) == pytest.approx(advance / 1000 * 10 * 25.4 / 72)


def test_rotated_text_stands_upright() -> None:
    rect = text_rect(Text("spine", 20, 30, 8, rotation=90))
    assert rect.height == pytest.approx(text_width("spine", 8))
    assert rect.right <= 20.6


def test_capitals_are_centred() -> None:
    rect = text_rect(LabelLook(9, bold=True).at("B3", 10, 10))
    assert rect.centre == pytest.approx((10, 10), abs=0.06)
    assert rect.height == pytest.approx(capital_height(9), abs=0.12)


@pytest.mark.parametrize("number", ["6 5/16", "11 7/8", "1/32"])
def test_every_number_has_a_width(number: str) -> None:
    assert text_width(IMPERIAL_UNITS.number(inches(number)), 8) > 1.0
