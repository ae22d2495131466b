"""The editions of a design checked side by side, and what only shows when all of them are seen.

In: a design and editions.  Out: :class:`EditionCheck` values, and how far conversion departs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from builder.build import Checked, check_edition
from builder.checks.acceptance import idle_entries
from builder.design import Design
from builder.findings import DesignUnreadable, Finding, Tally
from builder.resolve import resolve
from builder.resolve.departure import Departure, largest_departure
from builder.resolve.edition import EDITIONS, Edition


@dataclass(frozen=True)
class EditionCheck:
    """One edition with its findings; ``checked`` is None when it could not be worked out."""

    edition: Edition
    findings: tuple[Finding, ...]
    checked: Checked | None

    @property
    def has_errors(self) -> bool:
        return Tally.of(self.findings).errors > 0


def check_editions(
    design: Design, editions: Iterable[Edition], kits: int = 1
) -> list[EditionCheck]:
    """Every edition checked for so many kits, one after the other."""
    return [_check(design, edition, kits) for edition in editions]


def _check(design: Design, edition: Edition, kits: int) -> EditionCheck:
    try:
        checked = check_edition(design, edition, kits)
    except DesignUnreadable as problem:
        return EditionCheck(edition, problem.findings, None)
    return EditionCheck(edition, checked.findings, checked)


def with_idle_entries(design: Design, checks: Sequence[EditionCheck]) -> list[EditionCheck]:
    """The checks with a warning for each ``accepted`` entry that meets nothing in any edition.

    One edition alone, or one that cannot be worked out, does not show that: nothing is added.
    """
    if {check.edition.name for check in checks} != set(EDITIONS):
        return list(checks)
    if any(check.checked is None for check in checks):
        return list(checks)
    idle = idle_entries(design, [finding for check in checks for finding in check.findings])
    return [replace(check, findings=(*check.findings, *idle)) for check in checks]


def departure_of(design: Design, check: EditionCheck) -> Departure | None:
    """How far an edition that is not the designer's own departs from exact conversion."""
    if check.checked is None or check.edition.name == design.native:
        return None
    try:
        own = resolve(design, EDITIONS[design.native])
    except DesignUnreadable:
        return None
    return largest_departure(own, check.checked.resolved)
