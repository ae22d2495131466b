"""Checks find the mistake they are for, at its line, and leave the shipped designs alone.

The mistakes are data, in ``faults/``: each is seeded alone into the shipped folio.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from gatherfold.editions import check_edition
from gatherfold.findings import DesignUnreadable, Finding
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import Edition
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS

FOLIO = DESIGNS / "observatory-folio.yaml"


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
    for row in yaml.safe_load(path.read_text())
]


def findings_with(fault: Fault) -> list[Finding]:
    """Every finding about the folio with the fault, editions in turn until one speaks up."""
    text = FOLIO.read_text()
    assert fault.old in text, "the fault no longer applies to the folio"
    faulty = text.replace(fault.old, fault.new, 1).encode()
    for edition in EDITIONS.values():
        try:
            found = list(check_edition(read_design(faulty, "folio.yaml"), edition).findings)
        except DesignUnreadable as problem:
            found = list(problem.findings)
        if found:
            return found
    return []


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_seeded_mistake_is_found(fault: Fault) -> None:
    findings = findings_with(fault)
    matching = [
        finding
        for finding in findings
        if finding.code == fault.code and (f"'{fault.names}'" in finding.message or not fault.names)
    ]
    assert matching, [str(finding) for finding in findings]
    assert all(finding.position.line > 1 and finding.remedy for finding in matching)


def test_the_corpus_is_large_and_covers_every_kind_of_mistake() -> None:
    assert len(FAULTS) >= 60
    assert len({fault.name for fault in FAULTS}) == len(FAULTS)
    assert len({fault.code for fault in FAULTS}) >= 25


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("edition", EDITIONS.values(), ids=lambda edition: edition.name)
def test_shipped_designs_have_no_finding(path: Path, edition: Edition) -> None:
    assert check_edition(read_design_file(path), edition).findings == ()
