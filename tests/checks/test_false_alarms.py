"""No check speaks up about a harmless change of a shipped design.

The changes are data, in ``harmless.yaml``: what a designer might well do, in the shape of the
mistakes of ``faults/``; ``also`` names replacements that belong to the same change.  Whether each
is harmless is common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from gatherfold.checks import check_all
from gatherfold.findings import DesignUnreadable, Finding
from gatherfold.model.design import Design
from gatherfold.native_edition import settle
from gatherfold.reading import read_design
from gatherfold.resolve import Edition
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS
from tests.tables import table

#: The shipped designs by name.
TEXTS = {path.stem: path.read_text() for path in DESIGNS.glob("*.yaml")}


@dataclass(frozen=True)
class Change:
    """A harmless change: the design and each text replaced in it, old and new."""

    name: str
    design: str
    replaced: tuple[tuple[str, str], ...]

    def applied(self) -> bytes:
        text = TEXTS[self.design]
        for old, new in self.replaced:
            assert old in text, f"'{self.name}' no longer applies to {self.design}"
            text = text.replace(old, new, 1)
        return text.encode()


HARMLESS = [
    Change(
        row["name"],
        row["design"],
        tuple((each["old"], each["new"]) for each in (row, *row.get("also", ()))),
    )
    for row in table(Path(__file__).parent / "harmless.yaml")
]


def without_sheets(design: Design, edition: Edition) -> Iterable[Finding]:
    """Every check but those of the sheets' plans, which take longer than all others together."""
    settled = settle(design, edition)
    return check_all(settled.resolved, {}, settled.findings)


def alarms(
    change: Change, check: Callable[[Design, Edition], Iterable[Finding]] = without_sheets
) -> list[Finding]:
    """Findings about the changed design in both editions; accepted advice is none."""
    found: list[Finding] = []
    try:
        design = read_design(change.applied(), f"{change.design}.yaml")
        for edition in EDITIONS.values():
            found += (each for each in check(design, edition) if not each.accepted)
    except DesignUnreadable as problem:
        found += problem.findings
    return found


#: So many changes are made at once; where those get on badly, each is made with fewer others.
_COMPANY = 5


def companies() -> list[list[Change]]:
    """Changes of one design that can be made together."""
    found: list[list[Change]] = []
    for change in HARMLESS:
        for company in found:
            if len(company) < _COMPANY and is_applied([*company, change]):
                company.append(change)
                break
        else:
            found.append([change])
    return found


def together(changes: Sequence[Change]) -> Change:
    """Several changes of a design as one."""
    replaced = tuple(each for change in changes for each in change.replaced)
    return Change(changes[0].name, changes[0].design, replaced)


def is_applied(changes: Sequence[Change]) -> bool:
    """Whether changes are of one design, and all can be made."""
    try:
        together(changes).applied()
    except AssertionError:
        return False
    return len({change.design for change in changes}) == 1


def alarming(changes: Sequence[Change]) -> dict[str, list[str]]:
    """The changes that a check speaks up about when each is made alone, where all together are not
    passed over."""
    found = alarms(together(changes))
    if len(changes) == 1 or not found:
        return {changes[0].name: [str(finding) for finding in found]} if found else {}
    half = len(changes) // 2
    return alarming(changes[:half]) | alarming(changes[half:])


@pytest.mark.parametrize("changes", companies(), ids=lambda changes: changes[0].name)
def test_harmless_changes_give_no_finding(changes: Sequence[Change]) -> None:
    assert alarming(changes) == {}


def test_a_change_that_is_not_harmless_alarms() -> None:
    """The test itself: with a harmless change."""
    harmful = Change(
        "harmful", "letter-envelope", (("card.width + 2 * ease", "card.width - 2 * ease"),)
    )
    harmless = next(change for change in HARMLESS if change.design == harmful.design)
    assert alarming([harmless, harmful]).keys() == {"harmful"}


def test_the_harmless_changes_are_many_and_touch_every_design() -> None:
    assert len(HARMLESS) >= 25
    assert len({change.name for change in HARMLESS}) == len(HARMLESS)
    assert {change.design for change in HARMLESS} == set(TEXTS)
