"""Native sizes are the nearest on the grid that keep every fit, as an exhaustive search finds them.

Conversion and rounding after NIST SP 811, Appendix B.7 and B.8: 1 in = 25.4 mm exactly.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import product

import pytest

from gatherfold.checks.report import Rule
from gatherfold.findings import Severity
from gatherfold.lengths import nearest_on_grid
from gatherfold.native_edition import settle
from gatherfold.native_edition.search import Movable, Row, conflict, least_shift
from gatherfold.reading import read_design
from gatherfold.resolve.edition import IMPERIAL, METRIC

TYPED = """\
title: Strips
units: inch
measures: {{flap: {flap}, mat: {mat}, strip: {strip}, height: 4}}
stocks: {{card: {{material: cardstock, sheet: 12 in x 12 in}}}}
pieces:
  flap_panel: {{as: flap, from: card, size: flap x height}}
  photo_mat: {{as: photo mat, from: card, size: mat x height, on: flap_panel}}
  left_strip: {{as: strip, from: card, size: strip x height, on: flap_panel, left: 0}}
  right_strip: {{as: strip, from: card, size: strip x height, on: flap_panel, right: 0}}
"""


def settled(flap: str, mat: str, strip: str):  # type: ignore[no-untyped-def]
    text = TYPED.format(flap=flap, mat=mat, strip=strip)
    return settle(read_design(text.encode(), "strips.yaml"), METRIC)


@pytest.mark.parametrize(
    ("flap", "mat", "strip"),
    [
        ("6 3/4", "6", "3/8"),
        ("7 1/4", "6 1/2", "3/8"),
        ("7 3/8", "6 3/8", "1/2"),
        ("8", "6 3/4", "5/8"),
        ("5 5/8", "4 1/8", "3/4"),
        ("9 1/16", "6 13/16", "1 1/8"),
    ],
)
def test_strips_and_mat_fill_the_flap_with_the_least_total_shift(
    flap: str, mat: str, strip: str
) -> None:
    """Against every assignment within three steps of 2 · strip + mat = flap, in whole mm."""
    typed = [sum((Fraction(part) for part in text.split()), Fraction(0)) * Fraction(254, 10)
             for text in (flap, mat, strip)]  # fmt: skip
    nearest = [nearest_on_grid(length, Fraction(1)) for length in typed]
    best = min(
        sum((abs(n + s - t) for n, s, t in zip(nearest, steps, typed, strict=True)), Fraction(0))
        for steps in product(range(-3, 4), repeat=3)
        if 2 * (nearest[2] + steps[2]) + nearest[1] + steps[1] == nearest[0] + steps[0]
    )
    found = settled(flap, mat, strip)
    pieces = found.resolved.pieces
    sizes = [pieces[key].width for key in ("flap_panel", "photo_mat", "left_strip")]
    assert sizes[0] == sizes[1] + 2 * sizes[2]
    assert pieces["right_strip"].width == sizes[2]
    shift = sum((abs(size - t) for size, t in zip(sizes, typed, strict=True)), Fraction(0))
    assert shift == best
    broke = 2 * nearest[2] + nearest[1] != nearest[0]
    assert bool(found.moves) == broke
    assert all(finding.severity is Severity.ADVICE for finding in found.findings)


def test_what_moved_is_named_with_its_place_and_reason() -> None:
    (finding,) = settled("6 3/4", "6", "3/8").findings
    assert (finding.code, finding.about, finding.position.line) == ("moved-on-grid", ("flap",), 3)
    assert "172 mm here; at 171 mm, the nearest step, 'photo_mat' and 'left_strip' overlap" in (
        finding.message.replace("\N{NO-BREAK SPACE}", " ")
    )
    assert "metric:" in finding.remedy


def test_sizes_fixed_by_hand_do_not_move_and_their_conflict_is_named() -> None:
    text = TYPED.format(
        flap="{value: 6 3/4, metric: 171 mm}",
        mat="{value: 6, metric: 152 mm}",
        strip="{value: 3/8, metric: 10 mm}",
    )
    found = settle(read_design(text.encode(), "strips.yaml"), METRIC)
    codes = [finding.code for finding in found.findings]
    assert codes == ["sum-opens", "no-native-size"] or codes[-1] == "no-native-size"
    assert "exclude each other" in found.findings[-1].message
    assert all(finding.severity is Severity.ERROR for finding in found.findings)


def test_the_designers_own_edition_is_left_as_typed() -> None:
    text = TYPED.format(flap="6 3/4", mat="6", strip="3/8")
    found = settle(read_design(text.encode(), "strips.yaml"), IMPERIAL)
    assert found.moves == () and found.findings == ()


STEP = Fraction(1)


def row(amount: int, changes: dict[int, int], rule: Rule = Rule.ZERO) -> Row:
    return Row(Fraction(amount), {k: Fraction(v) for k, v in changes.items()}, rule, STEP)


def test_the_conflict_is_a_smallest_set_of_conditions() -> None:
    """x + y = 3 and x + y = 4 exclude each other; that both are positive has no part in it."""
    lengths = [Movable(Fraction(0), STEP)] * 2
    rows = [
        row(5, {0: 1}, Rule.NOT_NEGATIVE),
        row(-3, {0: 1, 1: 1}),
        row(5, {1: 1}, Rule.NOT_NEGATIVE),
        row(-4, {0: 1, 1: 1}),
    ]
    assert least_shift(lengths, rows) is None
    assert conflict(lengths, rows) == [1, 3]


def test_whole_numbers_of_steps() -> None:
    """(1 + x) / 3 must be whole: x = -1 is nearest."""
    third = Row(Fraction(1, 3), {0: Fraction(1, 3)}, Rule.WHOLE, STEP)
    assert least_shift([Movable(Fraction(0), STEP)], [third]) == {0: -1}
    assert least_shift([Movable(Fraction(0), STEP)], [third], [{0: -1}]) == {0: 2}
