"""Looks of lines and fills, by the WCAG 2.2 formula (values computed, W3C definition)."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.styles import (
    GREY_TEXT,
    TEXTURES,
    TINTS,
    Fill,
    Line,
    contrast,
)


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [("#767676", 4.542), ("#777777", 4.478), ("#949494", 3.033), ("#0072B2", 5.19)],
)
def test_contrast_formula(colour: str, ratio: float) -> None:
    assert contrast(colour, "#FFFFFF") == pytest.approx(ratio, abs=0.005)


def test_lettering_has_contrast() -> None:
    assert contrast(GREY_TEXT, "#FFFFFF") >= 4.5
    assert all(contrast("#000000", tint.colour) >= 4.5 for tint in TINTS)
    assert contrast(GREY_TEXT, Fill.PAPER.colour) >= 4.5


@pytest.mark.parametrize("line", list(Line))
def test_lines_have_contrast(line: Line) -> None:
    assert contrast(line.look.colour, "#FFFFFF") >= 3.0


def test_visible_edges_are_twice_as_wide_as_dimensions() -> None:
    assert Line.VISIBLE.look.width == 2 * Line.DIMENSION.look.width


def test_folds_and_hidden_edges_differ_without_colour() -> None:
    dashes = [line.look.dashes for line in (Line.VALLEY, Line.MOUNTAIN, Line.HIDDEN)]
    assert len(set(dashes)) == 3
    assert len(dashes[1]) == 6, "dash, dot, dot"


def test_no_two_lines_look_alike_in_greyscale() -> None:
    looks = {
        (line.look.width, line.look.dashes, round(contrast(line.look.colour, "#FFFFFF") / 3))
        for line in Line
        if line not in TEXTURES
    }
    # Cut, visible edge and dimension, leader, faint share a look on purpose, and so do valleys that
    # are there already and new ones, which carry a letter.
    assert len(looks) == 11
