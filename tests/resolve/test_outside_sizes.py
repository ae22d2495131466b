"""Sizes of paper and photographs against a paper-size library and published tables."""

from __future__ import annotations

from fractions import Fraction

import papersize
import pytest

from gatherfold.formulas import Scope, pair, parse
from gatherfold.lengths import INCH, nearest_on_grid
from gatherfold.resolve.edition import A4, LETTER, METRIC, Paper

# papersize's "pt" is 1/72.27 in and its B4 is 250 × 352 (ISO 216: 353), so neither is used here.


@pytest.mark.parametrize(("paper", "name"), [(A4, "a4"), (LETTER, "letter")])
def test_the_editions_papers_are_those_of_the_library(paper: Paper, name: str) -> None:
    # papersize 1.6 [V].
    width, height = (Fraction(str(side)) for side in papersize.parse_papersize(name, "mm"))
    assert abs(paper.width - width) < Fraction(1, 1000)
    assert abs(paper.height - height) < Fraction(1, 1000)


def test_letter_is_8_1_2_by_11_inches() -> None:
    # [V: papersize]
    assert (LETTER.width, LETTER.height) == (Fraction("215.9"), Fraction("279.4"))


def test_a4_has_the_proportion_of_the_a_series() -> None:
    # ISO 216: the sides are as 1 to √2, A4 is 1/16 m², each side to the nearest mm [S].
    assert abs(float(A4.height / A4.width) - 2**0.5) < 0.5 / 210
    assert abs(float(A4.width * A4.height) - 1_000_000 / 16) < 297


def size(text: str) -> tuple[Fraction, Fraction]:
    scope = Scope(lambda name: pytest.fail(name), INCH, lambda length, _: length, INCH / 16)
    found = pair(parse(text), scope)
    return found.width, found.height


@pytest.mark.parametrize(
    ("photo", "exact", "nominal"),
    [
        # Common photograph sizes [C: × 25.4; nominal S].
        ("4 x 6", ("101.6", "152.4"), (102, 152)),
        ("5 x 7", ("127", "177.8"), (127, 178)),
        ("3 x 4", ("76.2", "101.6"), (76, 102)),
        ("3 1/2 x 5", ("88.9", "127"), (89, 127)),
        ("2½ x 3½", ("63.5", "88.9"), (64, 89)),
    ],
)
def test_photographs(photo: str, exact: tuple[str, str], nominal: tuple[int, int]) -> None:
    width, height = size(photo)
    assert (width, height) == (Fraction(exact[0]), Fraction(exact[1]))
    assert tuple(nearest_on_grid(side, METRIC.grid) for side in (width, height)) == nominal


@pytest.mark.parametrize(
    ("envelope", "mm"),
    [
        # US A2, A6 and A7 in inches [S]; mm by × 25.4 [C].
        ("4 3/8 x 5 3/4", ("111.125", "146.05")),
        ("4 3/4 x 6 1/2", ("120.65", "165.1")),
        ("5 1/4 x 7 1/4", ("133.35", "184.15")),
    ],
)
def test_envelopes(envelope: str, mm: tuple[str, str]) -> None:
    assert size(envelope) == (Fraction(mm[0]), Fraction(mm[1]))
