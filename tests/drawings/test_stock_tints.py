"""Colours of papers in pictures: readable on, true to their hue, and told apart in grey.

Contrast is asked by the formula of WCAG 2.2 (1.4.3 and 1.4.11).  The sRGB values of mixtures were
worked out by hand from the transfer function of CSS Color 4, section 10.2 (from memory).
"""

from __future__ import annotations

import colorsys
from itertools import pairwise

import pytest
from hypothesis import given, strategies as st

from gatherfold.drawings.kernel.hatching import PRINTS
from gatherfold.drawings.kernel.stock_tints import (
    drawing_tints,
    grey,
    lightened,
    mixed_with_white,
    picture_tints,
    told_apart,
)
from gatherfold.drawings.kernel.styles import BLACK, TINTS, Line, Tint, contrast
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import pierced

DESIGN = """title: Colours
units: inch
stocks:
  night: {{material: cardstock, sheet: 12 x 12{night}}}
  day: {{material: cardstock, sheet: 12 x 12{day}}}
  vines:
    material: paper
    sheet: 12 x 12{vines}
    front: {{name: Vines{front}}}
    back: {{name: Sand}}
pieces:
  cover: {{from: night, size: 4 x 6}}
  mat: {{from: vines front, on: cover, leaving: 1/8}}
  tag: {{from: day, size: 2 x 2, on: mat}}
"""
HEX = st.from_regex(r"#[0-9a-f]{6}", fullmatch=True)
MARKS = ((BLACK, 4.5), ("#4A4A4A", 3.0), (Line.MOUNTAIN.look.colour, 3.0))


def resolved(**colours: str) -> ResolvedDesign:
    words = dict.fromkeys(("night", "day", "front"), "")
    words |= {name: f', colour: "{colours[name]}"' for name in words if name in colours}
    vines = f'\n    colour: "{colours["vines"]}"' if "vines" in colours else ""
    text = DESIGN.format(vines=vines, **words)
    return pierced(resolve(read_design(text.encode(), "colours.yaml"), IMPERIAL))


@pytest.mark.parametrize(
    ("colour", "share", "mixed"),
    [
        ("#000000", 0.0, "#000000"),
        ("#123456", 1.0, "#FFFFFF"),
        # Half the light of white: 1.055 * 0.5 ** (1 / 2.4) - 0.055 = 0.7354, 188 of 255.
        ("#000000", 0.5, "#BCBCBC"),
        ("#FF0000", 0.5, "#FFBCBC"),
    ],
)
def test_white_is_mixed_in_linear_light(colour: str, share: float, mixed: str) -> None:
    assert mixed_with_white(colour, share) == mixed


@given(HEX)
def test_a_lightened_colour_keeps_every_contrast_and_no_more_white_than_that(colour: str) -> None:
    shade = lightened(colour, MARKS)
    for mark, least in MARKS:
        assert contrast(mark, shade) >= least
        assert contrast(grey(mark), grey(shade)) >= least
    if shade.lower() != colour:
        tight = min(
            min(contrast(mark, shade), contrast(grey(mark), grey(shade))) / least
            for mark, least in MARKS
        )
        assert tight < 1.05, "lighter than it had to be"


def test_a_pale_colour_stays_as_it_is() -> None:
    assert lightened("#f4f6f8", MARKS) == "#F4F6F8"


def test_a_lightened_colour_keeps_its_hue() -> None:
    for colour in ("#1f3da6", "#8a4b1c", "#3f9a86"):
        hues = []
        for each in (colour, lightened(colour, MARKS[:2])):
            channels = [int(each[i : i + 2], 16) / 255 for i in (1, 3, 5)]
            hues.append(colorsys.rgb_to_hls(*channels)[0])
        assert abs(hues[0] - hues[1]) < 0.06


def test_plain_stocks_of_one_grey_are_told_apart() -> None:
    blue = (("one", "front"), lightened("#1f3da6", MARKS[:1]))
    brown = (("two", "front"), lightened("#7a3b00", MARKS[:1]))
    assert contrast(grey(blue[1]), grey(brown[1])) < 1.05
    assert contrast(*(grey(colour) for _, colour in told_apart((blue, brown)))) >= 1.2


def test_many_plain_stocks_share_the_way_to_white() -> None:
    told = told_apart(tuple(((f"s{n}", "front"), "#9A9A9A") for n in range(9)))
    shades = [grey(colour) for _, colour in told]
    # From #9A9A9A (luminance 0.323) to white in eight steps: (1.05 / 0.373) ** (1 / 8) = 1.138.
    assert min(contrast(a, b) for a, b in pairwise(shades)) >= 1.12


def test_a_stock_without_a_colour_keeps_a_standard_tint() -> None:
    plain = picture_tints(resolved())
    assert plain.fills["night", "front"] is plain.fills["night", "back"] is TINTS[0]
    assert plain.fills["vines", "back"] is TINTS[2]


def test_a_side_s_own_colour_goes_before_the_stock_s() -> None:
    work = resolved(vines="#f0e0c0", front="#e8f0f8", night="#1f3da6")
    tints = picture_tints(work)
    assert tints.fills["vines", "front"].colour == "#E8F0F8"
    assert tints.fills["vines", "back"].colour == "#F0E0C0"
    assert isinstance(tints.fills["night", "back"], Tint)
    mat, cover = work.pieces["mat"], work.pieces["cover"]
    assert tints.fill(mat, True) == tints.fills["vines", "front"]
    assert tints.fill(mat, False) == tints.fills["vines", "back"]
    assert (tints.pattern(mat, True), tints.pattern(mat, False)) == tuple(PRINTS)[:2]
    assert tints.pattern(cover, True) is None
    standing = [tints.fill(cover, True, axis).colour for axis in (2, 1, 0)]
    assert len(set(standing)) == 3, "corners show without a line"


def test_what_shows_folds_is_paler_than_a_picture() -> None:
    work = resolved(night="#1f3da6")
    both = picture_tints(work), drawing_tints(work)
    strong, pale = (tints.fills["night", "front"].colour for tints in both)
    assert contrast(pale, BLACK) > contrast(strong, BLACK)
    for look in (line.look for line in Line):
        assert contrast(look.colour, pale) >= 3.0
