"""A design in its editions, resolved, planned and checked; what shows only when all are seen.

In: a :class:`Design` and editions.  Out: :class:`EditionCheck` values with their findings.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from gatherfold.checks import check_all, idle_entries
from gatherfold.findings import DesignUnreadable, Finding, Tally
from gatherfold.model import Design
from gatherfold.native_edition import Departure, MovedLength, largest_departure, settle
from gatherfold.plans import StockPlan, plan_stocks
from gatherfold.resolve import EDITIONS, Edition, ResolvedDesign, resolve


@dataclass(frozen=True)
class Checked:
    """One edition resolved, planned and checked; ``moves`` are lengths moved on its grid."""

    resolved: ResolvedDesign
    plans: dict[str, StockPlan]
    findings: tuple[Finding, ...]
    moves: tuple[MovedLength, ...] = ()
    kits: int = 1


def check_edition(design: Design, edition: Edition, kits: int = 1, are_cut: bool = True) -> Checked:
    """Resolve, plan so many kits together, and check; raises :class:`DesignUnreadable`.

    Sheets that are not cut are only counted: their plans say how many there are.
    """
    settled = settle(design, edition)
    plans = plan_stocks(settled.resolved, kits, are_cut)
    findings = check_all(settled.resolved, plans, settled.findings)
    return Checked(settled.resolved, plans, findings, settled.moves, kits)


# The editions checked side by side, and what only shows when all of them are seen


@dataclass(frozen=True)
class EditionCheck:
    """One edition with its findings; ``checked`` is None when it could not be worked out."""

    edition: Edition
    findings: tuple[Finding, ...]
    checked: Checked | None

    @property
    def is_own(self) -> bool:
        """Whether it is the designer's own edition, and could be worked out."""
        return self.checked is not None and self.edition.name == self.checked.resolved.design.native

    @property
    def has_errors(self) -> bool:
        return Tally.of(self.findings).errors > 0


def check_editions(
    design: Design, editions: Iterable[Edition], kits: int = 1
) -> list[EditionCheck]:
    """Every edition checked for so many kits, one after the other, its sheets only counted."""
    return [_check(design, edition, kits) for edition in editions]


def _check(design: Design, edition: Edition, kits: int) -> EditionCheck:
    try:
        checked = check_edition(design, edition, kits, are_cut=False)
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
