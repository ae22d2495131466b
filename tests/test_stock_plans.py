"""Pieces cut round a printed picture lie where the picture is, on either side of the sheet."""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.checks.stock import check_stock
from gatherfold.lengths import INCH
from gatherfold.plans import facing_side, plan_stocks
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.sheets import name_of
from gatherfold.shipped import DESIGNS
from gatherfold.work import pierced

TEXT = """\
title: Motifs
units: inch
stocks:
  paper:
    material: paper
    sheet: 12 in x 12 in
    front: {name: Owls, print: upright, motifs: {owl: {left: 4, bottom: 5, size: 2 x 3}}}
    back: {name: Moths, print: any, motifs: {moth: {left: 1, bottom: 1, size: 1 x 1}}}
pieces:
  card: {from: paper front, size: 4 x 5, motif: owl}
  tag: {from: paper back, size: 2 x 2, motif: moth}
"""


def resolved(text: str = TEXT, edition: object = IMPERIAL) -> ResolvedDesign:
    return pierced(resolve(read_design(text.encode(), "motifs.yaml"), edition))  # type: ignore[arg-type]


def test_a_piece_is_centred_on_its_motif() -> None:
    """The owl's middle is at 5, 6½ in, so a 4 × 5 in piece begins at 3, 4 in."""
    (sheet,) = plan_stocks(resolved())["paper"].plan.sheets
    card = next(placed for placed in sheet.placed if placed.key == "card")
    assert (card.x, card.y) == (3 * INCH, 4 * INCH)


def test_a_motif_on_the_back_is_seen_in_the_mirror() -> None:
    """The moth's middle is 1½ in from the left as the back shows it, 10½ in as the front does."""
    (sheet,) = plan_stocks(resolved())["paper"].plan.sheets
    tag = next(placed for placed in sheet.placed if placed.key == "tag")
    assert (tag.x, tag.y) == (Fraction(19, 2) * INCH, INCH / 2)


def test_the_metric_piece_is_cut_on_its_grid_and_still_holds_the_motif() -> None:
    design = resolved(edition=METRIC)
    (sheet,) = plan_stocks(design)["paper"].plan.sheets
    card = next(placed for placed in sheet.placed if placed.key == "card")
    assert (Fraction(card.x).denominator, Fraction(card.y).denominator) == (1, 1)
    assert card.x <= 4 * INCH and card.x + card.width >= 6 * INCH
    assert list(check_stock(design, plan_stocks(design))) == []


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("size: 4 x 5, motif: owl", "size: 2 x 5, motif: owl", "motif-cut"),
        ("left: 4, bottom: 5", "left: 9 1/2, bottom: 5", "no-place-on-sheet"),
        (
            "  tag:",
            "  rival: {from: paper front, size: 3 x 4, motif: owl, count: 1}\n  tag:",
            "",
        ),
    ],
)
def test_motifs_that_cannot_be_had_are_found(old: str, new: str, code: str) -> None:
    """Two pieces round one picture only need two sheets."""
    design = resolved(TEXT.replace(old, new))
    plans = plan_stocks(design)
    codes = [finding.code for finding in check_stock(design, plans)]
    if code:
        assert code in codes
    else:
        assert codes == [] and len(plans["paper"].plan.sheets) == 2


def test_the_side_whose_print_has_a_direction_lies_up() -> None:
    """Two of three pieces of the letter's tide paper are cut from its plain back, but the tables
    on its front must come out upright: only on that side can the maker see how they run."""
    resolved = pierced(resolve(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL))
    (sheet,) = plan_stocks(resolved)["tides"].plan.sheets
    sides = [resolved.cut_out(name_of(placed.key)).side for placed in sheet.placed]
    assert sides.count("back") == 2 and facing_side(resolved, sheet) == "front"
