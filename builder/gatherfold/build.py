"""The whole line for one design: resolve, plan, check, count, draw, compose, typeset.

In: a :class:`Design` and what to make of it.  Out: :class:`EditionResult` values, one an edition.
Nothing is written here; ``commands`` does that.
"""

from __future__ import annotations

import calendar
import os
from collections.abc import Callable, Iterable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gatherfold.checks import check_all
from gatherfold.checks.acceptance import idle_entries
from gatherfold.counts.cut_list import cut_list
from gatherfold.counts.substitutes import sheet_substitutes
from gatherfold.counts.supplies import supplies, supplies_csv
from gatherfold.findings import DesignUnreadable, Finding, Severity, Tally, gravest_first
from gatherfold.model.design import Design
from gatherfold.native_edition import Move, settle
from gatherfold.native_edition.settle import Departure, largest_departure
from gatherfold.plans import StockPlan, plan_stocks
from gatherfold.resolve import Edition, resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.wording import Wording, load_wording

if TYPE_CHECKING:
    # Typesetting takes a second to import: only what builds documents does.
    from gatherfold.documents.laid_out import LaidOut, Manuscript
    from gatherfold.documents.view import Computed

Progress = Callable[[str], None]

#: What the document of both editions is called, beside the names of the editions.
SIDE_BY_SIDE = "side-by-side"


@dataclass(frozen=True)
class BuildOrder:
    """What to make: the layouts' folders, the design's bytes' checksum, draft allowed or not, for
    how many kits, and whether a cutting machine is to have files as well."""

    layouts: tuple[Path, ...]
    checksum: str
    allow_draft: bool
    kits: int = 1
    machine_files: bool = False


@dataclass(frozen=True)
class EditionResult:
    """One edition: its findings, and its documents and record unless errors forbid them.

    ``unreadable`` says that the edition, a layout's page or a picture could not be read.
    ``documents`` are by the layout's name, and both editions side by side have no record of their
    own.  ``machine_files`` are by name; a draft has none, for a machine cannot see that it is one.
    """

    edition: str
    findings: tuple[Finding, ...]
    unreadable: bool = False
    documents: Mapping[str, LaidOut] = field(default_factory=dict)
    record: dict[str, Any] | None = None
    supplies_csv: bytes = b""
    machine_files: Mapping[str, bytes] = field(default_factory=dict)

    @property
    def has_errors(self) -> bool:
        return any(finding.severity is Severity.ERROR for finding in self.findings)


@dataclass(frozen=True)
class Checked:
    """One edition resolved, planned and checked; ``moves`` are lengths moved on its grid."""

    resolved: ResolvedDesign
    plans: dict[str, StockPlan]
    findings: tuple[Finding, ...]
    moves: tuple[Move, ...] = ()
    kits: int = 1


def check_edition(design: Design, edition: Edition, kits: int = 1) -> Checked:
    """Resolve, plan so many kits together, and check; raises :class:`DesignUnreadable`."""
    settled = settle(design, edition)
    plans = plan_stocks(settled.resolved, kits)
    findings = check_all(settled.resolved, plans, settled.findings)
    return Checked(settled.resolved, plans, findings, settled.moves, kits)


def build_editions(
    design: Design,
    editions: Sequence[Edition],
    order: BuildOrder,
    progress: Progress,
    together: bool = False,
) -> list[EditionResult]:
    """Build the editions, in parallel where there is more than one result.

    ``together`` adds both editions side by side in one document.
    """
    shown = [[edition] for edition in editions] + ([list(EDITIONS.values())] if together else [])
    work = [partial(build_result, design, each, order, progress) for each in shown]
    if len(work) == 1:
        return [work[0]()]
    with ProcessPoolExecutor(max_workers=min(len(work), os.cpu_count() or 1)) as pool:
        return [future.result() for future in [pool.submit(each) for each in work]]


def build_result(
    design: Design, editions: Sequence[Edition], order: BuildOrder, progress: Progress
) -> EditionResult:
    """One edition from the design to its PDF, or several side by side in one document, each with
    its own sizes, on the designer's own paper."""
    name = editions[0].name if len(editions) == 1 else SIDE_BY_SIDE
    progress(f"{name}: working out sizes and sheets")
    try:
        checked = [check_edition(design, edition, order.kits) for edition in editions]
        findings = gravest_first(finding for each in checked for finding in each.findings)
        result = EditionResult(name, findings)
        if result.has_errors and not order.allow_draft:
            return result
        return _typeset(checked, order, result, progress)
    except DesignUnreadable as problem:
        return EditionResult(name, problem.findings, unreadable=True)


def _typeset(
    checked: Sequence[Checked], order: BuildOrder, result: EditionResult, progress: Progress
) -> EditionResult:
    """The documents of one edition or of both together; with one alone its data as well."""
    # Drawing and typesetting are imported here: a check needs neither, and they take a second.
    from gatherfold.documents.laid_out import lay_out

    manuscripts = [_manuscript(each, order, result.has_errors) for each in checked]
    documents = {layout.name: lay_out(manuscripts, layout, progress) for layout in order.layouts}
    of_pictures = [finding for each in documents.values() for finding in each.findings]
    findings = (*result.findings, *of_pictures)
    whole = replace(result, documents=documents, findings=findings)
    if len(checked) > 1:
        return whole
    return _with_data(whole, manuscripts[0].computed, checked[0], order, progress)


def _with_data(
    result: EditionResult,
    computed: Computed,
    checked: Checked,
    order: BuildOrder,
    progress: Progress,
) -> EditionResult:
    from gatherfold.record import edition_record

    record = edition_record(computed, checked.findings)
    table = supplies_csv(computed.supplies, computed.resolved, order.kits)
    whole = replace(result, record=record, supplies_csv=table)
    if not order.machine_files or computed.is_draft:
        return whole
    # Imported here: the library that writes these files takes a third of a second.
    from gatherfold.machine_files import machine_files

    progress(f"{result.edition}: writing files for a cutting machine")
    files = machine_files(computed.resolved, checked.plans, order.checksum)
    return replace(whole, machine_files=files)


def _manuscript(checked: Checked, order: BuildOrder, is_draft: bool) -> Manuscript:
    from gatherfold.documents.laid_out import Manuscript

    wording = load_wording(checked.resolved.design.language)
    resolved = _in_language(checked.resolved, wording)
    fix_clock(resolved.design.date)
    computed = computed_of(replace(checked, resolved=resolved), order.checksum, is_draft)
    whole = replace(computed, substitutes=sheet_substitutes(resolved))
    return Manuscript(whole, wording)


def computed_of(checked: Checked, checksum: str, is_draft: bool) -> Computed:
    """Everything computed for an edition but the other sheets that would do."""
    from gatherfold.documents.view import Computed

    return Computed(
        resolved=checked.resolved,
        plans=checked.plans,
        rows=cut_list(checked.resolved),
        supplies=supplies(checked.resolved, checked.plans, checked.kits),
        kits=checked.kits,
        checksum=checksum,
        is_draft=is_draft,
    )


def _in_language(resolved: ResolvedDesign, wording: Wording) -> ResolvedDesign:
    """The design with its lengths written as the language of its documents writes them.

    Findings are written before this: they are for the designer, and in English.
    """
    edition = resolved.edition
    others = [each.units for each in EDITIONS.values() if each.units.unit != edition.units.unit]
    written = replace(
        edition, units=wording.units(edition.units), other_units=wording.units(others[0])
    )
    return replace(resolved, edition=written)


def fix_clock(written: str) -> None:
    """Date the output by the design, so that the same design gives the same bytes."""
    try:
        day = date.fromisoformat(written)
    except ValueError:
        day = date(2000, 1, 1)
    os.environ["SOURCE_DATE_EPOCH"] = str(calendar.timegm(day.timetuple()))


# The editions checked side by side, and what only shows when all of them are seen


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
