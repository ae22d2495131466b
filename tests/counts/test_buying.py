"""Supplies as they are sold: packs, rolls, costs, substitutes, and the table for a spreadsheet."""

from __future__ import annotations

import csv
import io
from fractions import Fraction

import pytest
from babel.numbers import list_currencies

from gatherfold.counts.substitutes import near_weight, sheet_substitutes
from gatherfold.counts.supplies import COLUMNS, SupplyLine, safe_cell, supplies, supplies_csv
from gatherfold.documents.supplies_text import SuppliesText
from gatherfold.lengths import INCH
from gatherfold.model.currencies import CODES, decimals_of, money_number
from gatherfold.plans import plan_stocks
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC
from gatherfold.shipped import DESIGNS
from gatherfold.wording import load_wording
from gatherfold.work import pierced

TEXT = """\
title: Bought
units: inch
currency: EUR
stocks:
  card: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in, pack: 10, pack_price: 8.50}
  silk: {name: "=SUM(A1), silk", material: ribbon, width: 1/4 in, roll: 100 in, price: 3}
supplies:
  tape: {kind: tape, width: 1/4 in, roll: 50 in, price: 2.40, pack: 2}
  pad: {name: Ink pad, kind: ink, price: 5}
pieces:
  base: {as: panel, from: card, size: 10 x 8}
  mat: {as: mat, from: card, on: base, leaving: 1/2}
fastenings:
  pin: {kind: brad, head: 1/4 in, leg: 1/2 in, through: base, count: 3, pack: 50, pack_price: 4}
  tie: {kind: ribbon tie, ribbon: silk, length: 10, allowance: 1, count: 2}
steps:
  - {title: Make, text: Make., cut: all, ink: base, attach: mat, fasten: "pin, tie"}
"""


def resolved_of(text: str = TEXT, edition: str = "imperial") -> ResolvedDesign:
    return pierced(resolve(read_design(text.encode(), "bought.yaml"), EDITIONS[edition]))


def lines_of(kits: int, text: str = TEXT) -> dict[str, SupplyLine]:
    resolved = resolved_of(text)
    return {line.key: line for line in supplies(resolved, plan_stocks(resolved, kits), kits)}


def test_packs_and_rolls_are_bought_whole() -> None:
    """Counted by hand for 12 kits: two pieces, 10 × 8 and 9 × 7 in, take a sheet each, so 24 sheets
    are 3 packs of 10; 3 brads a kit are 36, one pack of 50; two ties of 11 in a kit are 264 in,
    three rolls of 100 in; 32 in of tape a kit are 384 in, eight rolls of 50 in, four packs of 2."""
    lines = lines_of(12)
    card, silk, tape, pin = (lines[key] for key in ("card", "silk", "tape", "pin"))
    assert (card.for_all.count, card.packs(card.for_all), card.bought(card.for_all)) == (24, 3, 30)
    assert (pin.for_all.count, pin.packs(pin.for_all)) == (36, 1)
    assert (silk.for_all.length, silk.bought(silk.for_all)) == (264 * INCH, 3)
    assert (tape.for_all.count, tape.packs(tape.for_all)) == (8, 4)
    assert (card.packs(card.of_one), silk.bought(silk.of_one), tape.bought(tape.of_one)) == (
        1,
        1,
        2,
    )


def test_costs_are_those_of_what_is_bought_and_of_what_one_kit_uses_up() -> None:
    lines = lines_of(12)
    costs = {key: line.cost(line.for_all) for key, line in lines.items()}
    assert costs == {
        "card": Fraction("25.50"),
        "silk": Fraction(9),
        "tape": Fraction("19.20"),
        "pin": Fraction(4),
        "pad": Fraction(5),
    }
    used = {key: line.used_by_one for key, line in lines.items()}
    assert used == {
        "card": Fraction("1.70"),
        "silk": 3 * Fraction(22, 100),
        "tape": Fraction("2.40") * Fraction(32, 50),
        "pin": Fraction("0.24"),
        "pad": None,
    }


def test_the_pages_say_what_is_bought_and_what_it_costs() -> None:
    resolved = resolved_of()
    lines = supplies(resolved, plan_stocks(resolved, 12), 12)
    text = SuppliesText(resolved, 12, load_wording())
    cost = text.cost(lines).replace("\u00a0", " ")
    assert "for 12 kits together EUR 62.70, which is EUR 5.23 a kit" in cost
    assert "One kit uses up EUR 4.14 of it, not counting ink pad." in cost, "1.70+0.66+1.536+0.24"
    assert "no price" not in cost
    views = {line.key: text.view(line) for line in lines}
    assert "EUR\u00a08.50 a pack; sold in packs of 10: buy one pack" in views["card"].detail
    assert views["card"].all_kits == "24 for 12 kits; sold in packs of 10: buy 3 packs"
    assert "buy one roll of 100\u00a0in" in views["silk"].detail
    assert "buy 3 rolls of 100\u00a0in" in views["silk"].all_kits


# Currencies


#: ISO 4217, List One as published on 2026-01-01 by its maintenance agency, read in an account of
#: the file: how many codes it has, and all of them that have no decimals, three, or no unit.
#: (The decimals of the Unicode CLDR are no such fact: they follow which coins are still in use.)
_CODES_OF_LIST_ONE = 178
_NO_DECIMALS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF"
_THREE_DECIMALS = "BHD IQD JOD KWD LYD OMR TND"
_NO_UNIT = "XAG XAU XBA XBB XBC XBD XDR XPD XPT XSU XTS XUA XXX"
#: What of it nobody pays with: funds and units of account (from memory).
_FUNDS = "BOV CHE CHW CLF COU MXV USN UYI UYW XAD"


def test_currencies_and_their_decimals_are_those_of_iso_4217() -> None:
    left_out = {*_FUNDS.split(), *_NO_UNIT.split()}
    assert not CODES & left_out
    assert len(CODES) == _CODES_OF_LIST_ONE - len(left_out)
    decimals = {code: decimals_of(code) for code in CODES}
    expected = dict.fromkeys(CODES, 2)
    expected |= dict.fromkeys(set(_NO_DECIMALS.split()) - left_out, 0)
    expected |= dict.fromkeys(set(_THREE_DECIMALS.split()) - left_out, 3)
    assert decimals == expected


def test_every_currency_is_one_that_the_cldr_knows() -> None:
    """Unicode CLDR, as babel carries it, keeps the codes of currencies that are withdrawn."""
    assert set(list_currencies()) >= CODES


def test_withdrawn_currencies_are_not_taken() -> None:
    """ISO 4217, List Three: replaced by the euro in 2023 and 2026, and by the XCG in 2025."""
    assert not CODES & {"HRK", "BGN", "ANG"}


@pytest.mark.parametrize(
    ("amount", "currency", "english", "german"),
    [
        ("6/5", "EUR", "EUR 1.20", "1,20 EUR"),
        ("6/5", "€", "€1.20", "1,20 €"),
        ("240/2", "JPY", "JPY 120", "120 JPY"),
        ("5/4", "KWD", "KWD 1.250", "1,250 KWD"),
        ("1/200", "kr.", "kr. 0.01", "0,01 kr."),
    ],
)
def test_money_has_the_minor_units_of_its_currency(
    amount: str, currency: str, english: str, german: str
) -> None:
    """ISO 4217: the yen has no minor unit, the dinar of Kuwait thousandths."""
    for language, written in (("en", english), ("de", german)):
        text = load_wording(language).money(Fraction(amount), currency)
        assert text == written.replace(" ", "\u00a0")
    assert money_number(Fraction(5, 2), "JPY") == "3", "a half goes up"


# Substitutes


@pytest.mark.parametrize(
    ("weight", "edition", "grams"),
    [
        ("80 lb cover", "metric", 220),  # 216.3 g/m² by basis weight
        ("65 lb cover", "metric", 170),  # 175.8 g/m²
        ("216 g/m2", "imperial", 216),  # 80 lb cover is 216.3 g/m²
        ("160 g/m2", "imperial", 148),  # 100 lb text, 12 g/m² off; 65 lb cover is 16 off
        ("190 g/m2", "imperial", 176),  # 65 lb cover, 14 g/m² off; 100 lb text is 42 off
        ("80 lb cover", "imperial", None),
        ("216 g/m2", "metric", None),
    ],
)
def test_the_nearest_weight_sold(weight: str, edition: str, grams: int | None) -> None:
    """Basis weights: 65 lb cover is 175.8 g/m², 80 lb 216.3 (computed from 20 × 26 in, 500 sheets
    and the pound of 453.59237 g; secondary pages print 176 and 216)."""
    resolved = resolved_of(TEXT.replace("80 lb cover", weight), edition)
    near = near_weight(resolved.stocks["card"], edition)
    assert (None if near is None else round(near.grams)) == grams


#: Pounds and g/m² of papers sold by grade, as printed tables have them (secondary pages; 70 lb text
#: computed from 25 × 38 in).
_PRINTED = {
    "cover": {65: 175.8, 80: 216.3, 100: 270.4, 110: 297.5, 130: 351.5},
    "text": {60: 88.8, 70: 103.6, 80: 118.4, 100: 148.0},
}


@pytest.mark.parametrize("material", ["cardstock", "paper"])
@pytest.mark.parametrize("grams", range(70, 361, 10))
def test_no_printed_weight_is_nearer_than_the_one_offered(grams: int, material: str) -> None:
    text = TEXT.replace("80 lb cover", f"{grams} g/m2").replace("cardstock", material)
    near = near_weight(resolved_of(text).stocks["card"], "imperial")
    assert near is not None
    assert near.pounds is not None
    offered = _PRINTED[near.grade][near.pounds]
    assert float(near.grams) == pytest.approx(offered, abs=0.3)
    nearest = min(abs(each - grams) for table in _PRINTED.values() for each in table.values())
    assert abs(offered - grams) < nearest + 0.3


def test_what_is_said_of_other_sheets_is_what_their_plan_has() -> None:
    """254 × 203 mm and 229 × 178 mm: each takes an A4 sheet; an A3 sheet, 297 × 420 mm, takes both.
    12 × 12 in is the design's own size, so nothing is said of 30.5 cm."""
    found = {each.name: each for each in sheet_substitutes(resolved_of(edition="metric"))}
    assert set(found) == {"A4", "A3"}, "one A3 sheet is enough, so a larger one is not named"
    assert (found["A4"].count, found["A4"].too_small_for) == (2, ())
    assert (found["A3"].count, found["A3"].too_small_for) == (1, ()), "203 + 178 = 381"


def test_pieces_too_large_for_another_sheet_are_named() -> None:
    text = TEXT.replace("size: 10 x 8", "size: 11 1/2 x 11")
    found = {each.name: each for each in sheet_substitutes(resolved_of(text))}
    resolved = resolved_of(text)
    both = tuple(resolved.pieces[key].code for key in ("base", "mat"))
    assert (found["Letter"].count, found["Letter"].too_small_for) == (0, both)
    words = SuppliesText(resolved, 1, load_wording()).substitute(found["Letter"])
    assert words.endswith(f"is too small for {both[0]} and {both[1]}.")


def test_a_print_that_runs_one_way_may_stand_on_the_long_edge_of_another_sheet() -> None:
    """Two pieces of 8 × 10 in with an upright print: of Tabloid, 11 × 17 in, each takes a sheet of
    its own where the print stands on the short edge (2 × 8 = 16 > 11, 2 × 10 = 20 > 17); on the
    long one both lie side by side (16 ≤ 17)."""
    text = TEXT.replace(
        "pack_price: 8.50}",
        "pack_price: 8.50, front: {name: Owls, print: upright}, back: {name: Sky}}",
    ).replace(
        "mat: {as: mat, from: card, on: base, leaving: 1/2}",
        "mat: {as: mat, from: card front, size: 8 x 10, on: base}",
    )
    text = text.replace(
        "base: {as: panel, from: card, size: 10 x 8}",
        "base: {as: panel, from: card front, size: 8 x 10}",
    )
    resolved = resolved_of(text)
    found = {each.name: each for each in sheet_substitutes(resolved)}
    tabloid = found["Tabloid"]
    assert (tabloid.count, tabloid.lying, tabloid.has_to_stand) == (2, 1, False)
    words = SuppliesText(resolved, 1, load_wording()).substitute(tabloid)
    assert words.endswith("Where its print stands upright on the long edge, one sheet is enough.")
    letter = found["Letter"]
    assert (letter.count, letter.lying, letter.has_to_stand) == (2, 0, True), "10 in > 8½ in"
    words = SuppliesText(resolved, 1, load_wording()).substitute(letter)
    assert words.endswith("Its print has to stand upright on the short edge.")


def test_tape_is_bought_by_rolls_and_its_length_said_as_it_is_sold() -> None:
    """32 in of tape, twice round 9 × 7 in: 0.89 yd, to the next quarter 1; of an unknown roll only
    the length is said."""
    for text, quantity, said in (
        (TEXT, "1 roll", "32 in needed (about 1 yd); one roll holds 50 in"),
        (TEXT.replace(", roll: 50 in", ""), "32 in", "32 in needed (about 1 yd)"),
    ):
        resolved = resolved_of(text)
        line = next(e for e in supplies(resolved, plan_stocks(resolved), 1) if e.key == "tape")
        view = SuppliesText(resolved, 1, load_wording()).view(line)
        assert view.quantity.replace("\u00a0", " ") == quantity
        assert said in view.detail.replace("\u00a0", " ")
    metric = resolved_of(edition="metric")
    line = next(e for e in supplies(metric, plan_stocks(metric), 1) if e.key == "tape")
    view = SuppliesText(metric, 1, load_wording()).view(line)
    assert "(about 0.9 m)" in view.detail, "2 × (228 + 178) mm, rounded up"
    both = SuppliesText(resolved_of(), 12, load_wording()).view(lines_of(12)["tape"])
    assert both.all_kits.startswith("8 rolls for 12 kits")


def test_a_stock_placed_by_its_print_has_no_substitute_and_the_reason_is_said() -> None:
    text = TEXT.replace(
        "pack_price: 8.50}",
        "pack_price: 8.50, "
        "front: {name: Owls, regions: {sky: {left: 0, bottom: 0, size: 12 x 12}}}}",
    ).replace("base: {as: panel,", "base: {as: panel, region: sky,")
    assert sheet_substitutes(resolved_of(text)) == ()
    folio = pierced(resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), IMPERIAL))
    lines = SuppliesText(folio, 1, load_wording()).substitutes(sheet_substitutes(folio))
    for stock in folio.stocks.values():
        if stock.source.material != "ribbon":
            assert any(line.startswith(f"{stock.source.title}:") for line in lines)
    bound = [line for line in lines if "no other sheet" in line]
    assert bound == [
        "Moon paper: no other sheet, because pieces are cut where its print has a picture."
    ]


# The table


def test_the_table_is_csv_after_rfc_4180() -> None:
    """RFC 4180: lines end in CRLF, quotes are doubled, all lines have as many cells."""
    resolved = resolved_of()
    content = supplies_csv(supplies(resolved, plan_stocks(resolved, 12), 12), resolved, 12)
    text = content.decode()
    assert text.count("\r\n") == text.count("\n") == 6, "a header and five lines"
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    assert tuple(rows[0]) == COLUMNS and all(None not in row for row in rows)
    silk = next(row for row in rows if row["kind"] == "ribbon")
    assert silk["item"] == "'=SUM(A1), silk", "a spreadsheet must not take a title for a formula"
    assert (silk["needed_one_kit"], silk["needed_all_kits"], silk["unit"]) == ("22", "264", "in")
    card = next(row for row in rows if row["kind"] == "sheet")
    assert card["size"] == "12 x 12 in"
    assert (card["sold_in_packs_of"], card["buy_all_kits"], card["cost_all_kits"]) == (
        "10", "30", "25.50",
    )  # fmt: skip


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1"])
def test_no_cell_is_a_formula(text: str) -> None:
    """Starts of a formula as the OWASP page on CSV injection lists them (from memory)."""
    assert safe_cell(text) == f"'{text}"
    assert safe_cell("Kraft card 80 lb") == "Kraft card 80 lb"


def test_units_of_the_table_are_those_of_the_edition() -> None:
    metric = pierced(resolve(read_design(TEXT.encode(), "bought.yaml"), METRIC))
    content = supplies_csv(supplies(metric, plan_stocks(metric)), metric, 1).decode()
    assert "304.8 x 304.8 mm" in content


def test_the_grain_of_another_sheet_keeps_no_piece_off_it() -> None:
    """The letter's card is 7 x 10 in and folds along the grain of its own sheet: it fits on a
    Letter sheet, 8½ x 11 in, whichever way the grain of that runs."""
    letter = pierced(resolve(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL))
    found = [s for s in sheet_substitutes(letter) if s.stock.key == "chalk" and s.name == "Letter"]
    assert found and all(not each.too_small_for for each in found)
