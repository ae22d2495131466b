"""The other edition is a native design: its sums close where conversion piece by piece fails.

Conversion and rounding after NIST SP 811, Appendix B.7 and B.8: 1 in = 25.4 mm exactly, rounded
to the precision that a maker can cut, here the millimetre.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

import pytest

from gatherfold.checks.report import broken
from gatherfold.checks.stock import sheet_conditions
from gatherfold.native_edition.settle import largest_departure
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.shipped import DESIGNS

TEXT = b"""\
title: Strips
units: inch
measures: {flap: 6 3/4, mat: 6, height: 4, strip: (flap - mat) / 2}
stocks: {card: {material: cardstock, sheet: 12 in x 12 in}}
pieces:
  flap_panel: {as: flap, from: card, size: flap x height}
  photo_mat: {as: photo mat, from: card, size: mat x height, on: flap_panel}
  left_strip: {as: strip, from: card, size: strip x height, on: flap_panel, left: 0}
  right_strip: {as: strip, from: card, size: strip x height, on: flap_panel, right: 0}
"""


def converted(inches: str) -> int:
    """One length converted on its own and rounded to the millimetre, by decimal arithmetic."""
    return int((Decimal(inches) * Decimal("25.4")).quantize(Decimal(1), ROUND_HALF_UP))


def metric(text: bytes) -> ResolvedDesign:
    return resolve(read_design(text, "strips.yaml"), METRIC)


def test_conversion_piece_by_piece_does_not_add_up() -> None:
    assert 2 * converted("0.375") + converted("6") == 172
    assert converted("6.75") == 171


def test_the_metric_edition_adds_up() -> None:
    pieces = metric(TEXT).pieces
    total = sum(pieces[key].width for key in ("left_strip", "photo_mat", "right_strip"))
    assert total == pieces["flap_panel"].width == 171
    assert pieces["left_strip"].width == pieces["right_strip"].width == Fraction(19, 2)


def test_a_twelve_inch_piece_does_not_become_larger_than_its_sheet() -> None:
    """12 in converts to 305 mm, and the sheet is 304.8 mm: the finding says so."""
    assert converted("12") == 305
    design = TEXT.replace(b"flap x height}", b"12 x height}")
    codes = [finding.code for finding in broken(sheet_conditions(metric(design)))]
    assert codes == ["larger-than-sheet"]


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.yaml")), ids=lambda path: path.stem)
def test_no_shipped_piece_departs_far_from_exact_conversion(path) -> None:  # type: ignore[no-untyped-def]
    """Each given length moves by at most half a millimetre; a piece built of a few of them by
    a few."""
    design = read_design_file(path)
    departure = largest_departure(resolve(design, IMPERIAL), resolve(design, METRIC))
    assert departure is not None
    assert 0 < abs(departure.difference) <= 3
