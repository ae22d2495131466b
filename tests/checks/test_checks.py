"""Checks find the mistake they are for, at its line, and leave the shipped designs alone.

The mistakes are data, in ``faults/``.  A few at a time are seeded into the shipped folio;
``python -m tests.checks.rates`` seeds each alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from gatherfold.editions import check_edition
from gatherfold.findings import DesignUnreadable, Finding
from gatherfold.reading import read_design
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS
from tests.tables import table
from tests.works import checked

FOLIO = (DESIGNS / "observatory-folio.yaml").read_text()


@dataclass(frozen=True)
class Fault:
    """One mistake: what is replaced in the folio, and the finding that must come of it."""

    name: str
    old: str
    new: str
    code: str
    names: str


FAULTS = [
    Fault(**row)
    for path in sorted((Path(__file__).parent / "faults").glob("*.yaml"))
    for row in table(path)
]


#: So many mistakes are seeded at once; where one hides another, that one is tried in less company.
_COMPANY = 4


def companies() -> list[list[Fault]]:
    """Mistakes that can be seeded together: each has a place and a code that no other has."""
    found: list[list[Fault]] = []
    for fault in FAULTS:
        for company in found:
            codes = {each.code for each in company}
            if len(company) < _COMPANY and fault.code not in codes and apply([*company, fault]):
                company.append(fault)
                break
        else:
            found.append([fault])
    return found


def apply(faults: Sequence[Fault]) -> bool:
    """Whether all of these mistakes can be made, one after the other."""
    try:
        seeded(faults)
    except AssertionError:
        return False
    return True


def seeded(faults: Sequence[Fault]) -> bytes:
    """The folio with some mistakes."""
    text = FOLIO
    for fault in faults:
        assert fault.old in text, "the fault no longer applies to the folio"
        text = text.replace(fault.old, fault.new, 1)
    return text.encode()


def findings_with(*faults: Fault) -> list[Finding]:
    """Every finding about the folio with the faults, editions in turn until one speaks up."""
    faulty = seeded(faults)
    for edition in EDITIONS.values():
        try:
            found = list(check_edition(read_design(faulty, "folio.yaml"), edition).findings)
        except DesignUnreadable as problem:
            found = list(problem.findings)
        if found:
            return found
    return []


def is_told(fault: Fault, findings: Sequence[Finding]) -> bool:
    """Whether the finding that a mistake is for is there, with its place and a remedy."""
    matching = [
        finding
        for finding in findings
        if finding.code == fault.code and (f"'{fault.names}'" in finding.message or not fault.names)
    ]
    return bool(matching) and all(each.position.line > 1 and each.remedy for each in matching)


def missed(company: Sequence[Fault]) -> dict[str, list[str]]:
    """The mistakes of a company that are not found, however few are made, with what is."""
    findings = findings_with(*company)
    left = [fault for fault in company if not is_told(fault, findings)]
    if len(company) == 1:
        return {fault.name: [str(each) for each in findings] for fault in left}
    if len(left) < len(company):
        return missed(left) if left else {}
    half = len(company) // 2
    return missed(company[:half]) | missed(company[half:])


@pytest.mark.parametrize("company", companies(), ids=lambda company: company[0].name)
def test_seeded_mistakes_are_found(company: Sequence[Fault]) -> None:
    assert missed(company) == {}


def test_what_no_check_finds_is_missed() -> None:
    """The test itself: a harmless change in the company of a mistake, and that mistake alone."""
    harmless = Fault("harmless", "skill:", "skill:", "no-such-code", "")
    assert missed([FAULTS[0], harmless]).keys() == {"harmless"}


def test_the_corpus_is_large_and_covers_every_kind_of_mistake() -> None:
    assert len(FAULTS) >= 60
    assert len({fault.name for fault in FAULTS}) == len(FAULTS)
    assert len({fault.code for fault in FAULTS}) >= 25


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("edition", EDITIONS)
def test_shipped_designs_have_no_finding(path: Path, edition: str) -> None:
    assert checked(path, edition).findings == ()
