"""The pages for a class: what one kit needs and what all need, one map for sheets cut alike."""

from __future__ import annotations

import pytest

from gatherfold.build import EditionResult, Options, build_result
from gatherfold.cli import main
from gatherfold.reading import read_design
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import LAYOUTS
from tests.conftest import first_document

TEXT = b"""\
title: Class cards
units: inch
currency: EUR
stocks:
  card: {material: cardstock, sheet: 12 in x 12 in, price: 1.20}
  silk: {material: ribbon, width: 1/4 in}
pieces:
  panel: {from: card, size: 12 x 8}
  strip: {from: card, size: 12 x 2, count: 2}
fastenings:
  tie: {kind: ribbon tie, ribbon: silk, length: 10, allowance: 1}
steps: [{title: Cut, text: Cut., cut: all, fasten: tie}]
"""


def built(kits: int) -> EditionResult:
    design, layouts = read_design(TEXT, "cards.yaml"), [LAYOUTS / "pattern"]
    options = Options(draft=True, kits=kits)
    return build_result(design, [IMPERIAL], layouts, options, lambda text: None)


@pytest.fixture(scope="module")
def for_five() -> EditionResult:
    return built(5)


def test_pages_say_what_one_kit_and_what_all_need(for_five: EditionResult) -> None:
    html = first_document(for_five).html
    for words in (
        "5 for 5 kits",
        "55\u00a0in for 5 kits",
        "10 in all",
        "the material for one kit alone costs EUR\u00a01.20; "
        "for 5 kits together EUR\u00a06.00, which is EUR\u00a01.20 a kit",
        "planned for 5 kits cut together",
        "Cut 5 sheets like this.",
        "Card, sheets 1 to 5 of 5",
    ):
        assert words in html.replace("\n", " "), words


def test_sheets_cut_alike_share_one_map_and_all_are_recorded(for_five: EditionResult) -> None:
    assert first_document(for_five).html.count('class="sheet-map"') == 1
    assert for_five.record is not None
    card = for_five.record["sheets"]["card"]
    assert (card["count"], card["count_of_one_kit"], len(card["plans"])) == (5, 1, 5)
    (line,) = [line for line in for_five.record["supplies"] if line["kind"] == "ribbon"]
    assert (line["count_of_one_kit"], line["count"]) == (1, 5)


def test_pages_for_one_kit_speak_of_no_class() -> None:
    html = first_document(built(1)).html
    assert "kits" not in html and "in all" not in html
    assert "Bought as it is sold, the material costs EUR\u00a01.20." in html


@pytest.mark.parametrize("kits", ["0", "-1", "61", "two", "1.5"])
def test_a_number_of_kits_that_makes_no_sense(kits: str) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(["check", "cards.yaml", "--kits", kits])
    assert stopped.value.code == 2
