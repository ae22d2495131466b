"""Advice is accepted with a reason; what is no advice, or is not there, cannot be."""

from __future__ import annotations

from gatherfold.checks.acceptance import idle_entries
from gatherfold.editions import check_edition, check_editions, with_idle_entries
from gatherfold.findings import Finding, Severity
from gatherfold.reading import read_design
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC

BOOK = """title: Book
units: inch
measures: {panel: 4 x 6, wide: 1/2}
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 x 12}
pieces:
  back: {from: night, size: panel}
  front: {from: night, size: panel, on: spine.to_front}
  spine: {as: spine, from: night, on: back, by: to_back, left: 0, \
across: {to_front: 1/2, spine: wide, to_back: 1/2}, height: panel.height}
steps:
  - {title: Make it, text: Glue it., cut: all, score: spine, attach: spine}
"""
JIG = "the class lays it in a jig"


def book(entries: str = "", text: str = BOOK) -> bytes:
    return f"{text}accepted:\n{entries}".encode() if entries else text.encode()


def entry(advice: str, about: str = "", because: str = JIG) -> str:
    return f'  - {{advice: {advice}{f", about: {about}" if about else ""}, because: "{because}"}}\n'


def findings(content: bytes) -> list[Finding]:
    return list(check_edition(read_design(content, "book.yaml"), IMPERIAL).findings)


def in_all_editions(content: bytes) -> list[Finding]:
    design = read_design(content, "book.yaml")
    checks = with_idle_entries(design, check_editions(design, EDITIONS.values()))
    return [finding for check in checks for finding in check.findings]


def with_code(found: list[Finding], code: str) -> list[Finding]:
    return [finding for finding in found if finding.code == code]


def line_of(content: bytes, part: str) -> int:
    return next(n for n, row in enumerate(content.decode().splitlines(), 1) if part in row)


def test_the_book_gets_the_advice() -> None:
    (advice,) = with_code(findings(book()), "no-dry-fit")
    assert advice.severity is Severity.ADVICE
    assert advice.about == ("spine",)
    assert advice.accepted == ""


def test_accepted_advice_keeps_everything_and_its_reason() -> None:
    (before,) = with_code(findings(book()), "no-dry-fit")
    for about in ("spine", ""):
        (after,) = with_code(findings(book(entry("no-dry-fit", about))), "no-dry-fit")
        assert after.accepted == JIG
        assert (after.message, after.severity, after.about) == (
            before.message,
            Severity.ADVICE,
            before.about,
        )


def test_advice_about_another_part_stays() -> None:
    found = findings(book(entry("no-dry-fit", "front")))
    assert [finding.accepted for finding in with_code(found, "no-dry-fit")] == [""]


def test_the_entry_that_names_the_part_goes_first() -> None:
    entries = entry("no-dry-fit", because="any") + entry("no-dry-fit", "spine", "this one")
    (advice,) = with_code(findings(book(entries)), "no-dry-fit")
    assert advice.accepted == "this one"
    assert with_code(in_all_editions(book(entries)), "nothing-to-accept") == []


def test_an_error_cannot_be_accepted() -> None:
    wide = BOOK.replace("panel: 4 x 6", "panel: 14 x 6")
    content = book(entry("larger-than-sheet"), wide)
    found = findings(content)
    errors = with_code(found, "larger-than-sheet")
    assert errors and all(
        finding.severity is Severity.ERROR and not finding.accepted for finding in errors
    )
    (warning,) = with_code(found, "cannot-accept")
    assert warning.severity is Severity.WARNING
    assert warning.position.line == line_of(content, "advice: larger-than-sheet")
    assert warning.remedy
    assert with_code(in_all_editions(content), "nothing-to-accept") == []


def test_an_entry_that_meets_nothing_is_warned_about_at_its_line() -> None:
    content = book(entry("no-dry-fit", "spine") + entry("no-dri-fit"))
    assert with_code(findings(content), "nothing-to-accept") == []
    found = with_code(in_all_editions(content), "nothing-to-accept")
    assert {finding.position.line for finding in found} == {line_of(content, "no-dri-fit")}
    assert all(finding.severity is Severity.WARNING for finding in found)
    assert {finding.remedy for finding in found} == {"Remove the entry."}


def test_the_remedy_names_what_the_entry_may_have_meant() -> None:
    (misspelt,) = set(with_code(in_all_editions(book(entry("no-dri-fit"))), "nothing-to-accept"))
    assert misspelt.remedy == "Did you mean 'no-dry-fit'?"
    content = book(entry("no-dry-fit", "front"))
    (elsewhere,) = set(with_code(in_all_editions(content), "nothing-to-accept"))
    assert "It is given about spine" in elsewhere.remedy


def test_advice_of_one_edition_is_enough() -> None:
    """What meets nothing in one edition may be meant for the other."""
    design = read_design(book(entry("only-metric")), "book.yaml")
    advice = Finding(Severity.ADVICE, "only-metric", design.steps[0].position, "m")
    assert idle_entries(design, [advice]) == ()
    (alone,) = check_editions(design, [METRIC])
    assert with_idle_entries(design, [alone]) == [alone]
