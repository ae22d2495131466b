"""The proof sheet: what it says of each edition, and the PDF read back."""

from __future__ import annotations

import io
from dataclasses import replace
from fractions import Fraction

import pytest
from pypdf import PdfReader

from gatherfold.checks.fits import Fit
from gatherfold.checks.thickness import Gap
from gatherfold.documents.proof_sheet import EditionProofView, Measured, proof_pdf, proof_view
from gatherfold.editions import EditionCheck, check_editions
from gatherfold.findings import Finding, Position, Severity
from gatherfold.lengths import INCH
from gatherfold.model.design import Design
from gatherfold.native_edition import MovedLength
from gatherfold.native_edition.settle import Departure
from gatherfold.reading import read_design
from gatherfold.record import check_record
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC, Edition
from gatherfold.shipped import PROOF_LAYOUT, find_layout, layout_names
from gatherfold.wording import load_wording
from tests.test_cli import ADVISED

HERE = Position("note-folder.yaml", 9, 3)
MARK = "0123456789ab"
NBSP = "\N{NO-BREAK SPACE}"
PILE, NEEDED = Fraction(3), Fraction("3.44")
IN_POCKET = Fit("in pocket", "tag", "pocket", "across", INCH, 2 * INCH, INCH / 16)


@pytest.fixture(scope="module")
def design() -> Design:
    # The folder lies open: the spine inside it is what closes.
    flat = ADVISED.replace("across: {front", "closed: 0, across: {front")
    read = read_design(f"{flat}closing: inner_spine\n".encode(), "note-folder.yaml")
    return replace(read, checksum=MARK)


@pytest.fixture(scope="module")
def checks(design: Design) -> dict[str, EditionCheck]:
    return {check.edition.name: check for check in check_editions(design, EDITIONS.values())}


@pytest.fixture(scope="module")
def figures(checks: dict[str, EditionCheck]) -> dict[str, Measured]:
    return {name: Measured(replace(check, findings=())) for name, check in checks.items()}


def view(design: Design, figures: Measured) -> EditionProofView:
    (edition,) = proof_view(design, [figures], load_wording()).editions
    return edition


def with_findings(measured: Measured, *findings: Finding) -> Measured:
    return replace(measured, check=replace(measured.check, findings=findings))


def finding(severity: Severity, accepted: str = "") -> Finding:
    return Finding(severity, "a-code", HERE, "the mat is wide", "Mend it.", accepted=accepted)


def test_the_head_says_what_was_checked(design: Design, figures: dict[str, Measured]) -> None:
    facts = {fact.name: fact.value for fact in view(design, figures["imperial"]).facts}
    assert facts["Revision"] == "1"
    assert facts["Checksum"] == MARK
    assert facts["Cutting grid"] == f"1⁄16{NBSP}in"
    assert facts["Cutting tolerance"] == f"1⁄32{NBSP}in"
    metric = {fact.name: fact.value for fact in view(design, figures["metric"]).facts}
    assert metric["Cutting tolerance"] == f"0.8{NBSP}mm"


def test_accepted_advice_is_counted_and_listed_apart(
    design: Design, figures: dict[str, Measured]
) -> None:
    found = (
        finding(Severity.ADVICE, "it is laid in a jig"),
        finding(Severity.ADVICE),
        finding(Severity.ERROR),
    )
    edition = view(design, with_findings(figures["imperial"], *found))
    assert edition.verdict == "1 error, 0 warnings, 1 advice, 1 accepted"
    assert edition.has_errors
    assert [row["finding"].severity.value for row in edition.findings] == ["error", "advice"]
    (row,) = edition.accepted
    assert row["finding"].accepted == "it is laid in a jig"
    assert (row["line"], row["sentence"], row["finding"].remedy) == (
        "9",
        "The mat is wide.",
        "Mend it.",
    )


def test_a_value_of_the_command_line_stands_in_no_line(
    design: Design, figures: dict[str, Measured]
) -> None:
    found = replace(finding(Severity.ERROR), position=Position("--set panel", 1, 1))
    edition = view(design, with_findings(figures["imperial"], found))
    assert edition.findings[0]["line"] == "--set panel"


def test_fits_come_tightest_first_in_the_readers_unit(
    design: Design, figures: dict[str, Measured]
) -> None:
    tight = replace(IN_POCKET, inner="wide_tag", size=2 * INCH)
    edition = view(design, replace(figures["imperial"], fits=(IN_POCKET, tight)))
    assert [row["fit"].inner for row in edition.fits] == ["wide_tag", "tag"]
    first, second = edition.fits
    assert first["is_short"] and first["margin"] == f"−1⁄16{NBSP}in"
    assert (second["size"], second["room"]) == (f"1{NBSP}in", f"2{NBSP}in")
    assert (second["play"], second["margin"]) == (f"1⁄16{NBSP}in", f"15⁄16{NBSP}in")
    assert not second["is_short"]


def test_a_fit_with_calipers_in_it_is_in_tenths_of_a_millimetre_throughout(
    design: Design, figures: dict[str, Measured]
) -> None:
    """Room less 0.35 mm of card is no inch fraction, and sizes to compare share one unit."""
    fit = replace(IN_POCKET, room=2 * INCH - Fraction(35, 100))
    (row,) = view(design, replace(figures["imperial"], fits=(fit,))).fits
    assert (row["size"], row["room"], row["play"]) == (
        f"25.4{NBSP}mm",
        f"50.5{NBSP}mm",
        f"1.6{NBSP}mm",
    )
    # 50.8 − 0.35 − 25.4 − 1.5875 = 23.4625: a margin is rounded down.
    assert row["margin"] == f"23.4{NBSP}mm"


@pytest.mark.parametrize(
    ("gap", "shown", "left", "photographs", "is_short"),
    [
        (Gap("spine", INCH / 4, PILE, NEEDED, 11), "¼ in", "2.9 mm", "11", False),
        (Gap("spine", INCH / 8, PILE, NEEDED, 0), "⅛ in", "−0.3 mm", "0", True),
        (Gap("spine", Fraction(0), PILE, NEEDED, 0), "single fold", "–", "–", False),
    ],
)
def test_what_is_left_of_a_gap_is_rounded_down(
    design: Design,
    figures: dict[str, Measured],
    gap: Gap,
    shown: str,
    left: str,
    photographs: str,
    is_short: bool,
) -> None:
    (row,) = view(design, replace(figures["imperial"], gaps=(gap,))).gaps
    assert row["gap"].replace(NBSP, " ") == shown
    assert row["pile"] == f"3.0{NBSP}mm"
    assert row["left"].replace(NBSP, " ") == left
    assert (row["photographs"], row["is_short"]) == (photographs, is_short)


def test_conversion_is_told_of_the_other_edition_only(
    design: Design, figures: dict[str, Measured]
) -> None:
    departure = Departure("mat", "width", Fraction(96), Fraction("0.75"))
    move = MovedLength("reveal", HERE, Fraction(3), Fraction(4), "the mat overhangs")
    check = figures["metric"].check
    assert check.checked is not None
    moved = replace(check, checked=replace(check.checked, moves=(move,)))
    metric = view(design, Measured(moved, departure=departure))
    assert f"the width of mat, 96{NBSP}mm, by +0.75 mm" in metric.departure
    (row,) = metric.moves
    assert (row["name"], row["line"], row["before"], row["after"]) == (
        "reveal", "9", f"3{NBSP}mm", f"4{NBSP}mm",
    )  # fmt: skip
    assert "own edition" in view(design, figures["imperial"]).departure


def test_sheets_with_their_proof(design: Design, figures: dict[str, Measured]) -> None:
    stocks = view(design, figures["imperial"]).stocks
    assert [(row["stock"], row["sheets"], row["status"]) for row in stocks] == [
        ("Slate", "1", "One sheet is the fewest that can do."),
        ("Reeds", "1", "One sheet is the fewest that can do."),
    ]


def pages_of(pdf: bytes) -> list[str]:
    reader = PdfReader(io.BytesIO(pdf))
    return [page.extract_text().replace(NBSP, " ") for page in reader.pages]


def test_every_page_says_whose_sheet_it_is_and_which_edition(
    design: Design, checks: dict[str, EditionCheck]
) -> None:
    many = tuple(
        replace(finding(Severity.WARNING), position=replace(HERE, line=line))
        for line in range(1, 90)
    )
    long = [replace(check, findings=many) for check in checks.values()]
    pages = pages_of(proof_pdf(design, long))
    assert len(pages) >= 4
    for text in pages:
        assert "Proof sheet, for the designer" in text
        assert ("Inch edition" in text) != ("Millimetre edition" in text)
    assert "0 errors, 89 warnings, 0 advice, 0 accepted" in pages[0]


def test_an_edition_that_cannot_be_worked_out_shows_why(design: Design) -> None:
    lost = EditionCheck(METRIC, (finding(Severity.ERROR),), None)
    (text,) = pages_of(proof_pdf(design, [lost]))
    assert "could not be worked out" in text
    assert "The mat is wide." in text
    assert "Gaps when closed" not in text


def test_the_same_design_gives_the_same_sheet(
    design: Design, checks: dict[str, EditionCheck]
) -> None:
    first, second = (proof_pdf(design, [checks["imperial"]]) for _ in range(2))
    assert first == second


def test_hostile_text_is_shown_as_text(design: Design, checks: dict[str, EditionCheck]) -> None:
    hostile = replace(
        finding(Severity.ADVICE, "<script>alert(1)</script>"), message=f"<b>no</b> {'a' * 300}"
    )
    check = replace(checks["imperial"], findings=(hostile,))
    text = " ".join(pages_of(proof_pdf(replace(design, title="<i>x</i>"), [check])))
    assert "<script>" in text and "<i>x</i>" in text


@pytest.mark.parametrize("edition", [IMPERIAL, METRIC], ids=lambda edition: edition.name)
def test_the_record_holds_fits_gaps_and_tally(
    design: Design, checks: dict[str, EditionCheck], edition: Edition
) -> None:
    accepted = finding(Severity.ADVICE, "a jig")
    check = replace(checks[edition.name], findings=(accepted,))
    record = check_record(design, [check])["editions"][edition.name]
    assert record["tally"] == {"errors": 0, "warnings": 0, "advice": 0, "accepted": 1}
    assert record["findings"][0]["accepted"] == "a jig"
    gap = next(row for row in record["gaps"] if row["piece"] == "inner_spine")
    assert gap["gap"]["mm"] == (12.7 if edition is IMPERIAL else 13)
    assert gap["needed_mm"] > gap["pile_mm"] >= 0
    assert isinstance(record["fits"], list)
    assert (record["departure"] is None) == (edition is IMPERIAL)


def test_the_proof_is_no_layout_for_a_pattern() -> None:
    assert (PROOF_LAYOUT / "style.css").is_file()
    assert "proof" not in layout_names()
    assert find_layout("proof", PROOF_LAYOUT) is None
