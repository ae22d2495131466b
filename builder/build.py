"""The whole line for one design: resolve, plan, check, count, draw, compose, typeset.

In: a :class:`Design` and what to make of it.  Out: :class:`EditionResult` values, one an edition.
Nothing is written here; ``outputs`` does that.
"""

from __future__ import annotations

import calendar
import hashlib
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import Any

from builder.checks import check_all
from builder.counts.cut_list import cut_list
from builder.counts.supplies import supplies
from builder.design import Design
from builder.findings import DesignUnreadable, Finding, Severity
from builder.native_edition import Move, settle
from builder.resolve import Edition
from builder.resolve.resolved import ResolvedDesign
from builder.stock_plans import StockPlan, plan_stocks

Progress = Callable[[str], None]


@dataclass(frozen=True)
class BuildOrder:
    """What to make: the layout's folder, the design's bytes' checksum, draft allowed or not, and
    for how many kits."""

    layout: Path
    checksum: str
    allow_draft: bool
    kits: int = 1


@dataclass(frozen=True)
class EditionResult:
    """One edition: its findings, and its PDF and record unless errors forbid them.

    ``unreadable`` says that the edition could not even be resolved.
    """

    edition: str
    findings: tuple[Finding, ...]
    unreadable: bool
    html: str | None
    pdf: bytes | None
    record: dict[str, Any] | None

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


def checksum(content: bytes, overrides: dict[str, str]) -> str:
    """A short mark that tells two designs, or two sizes of one, apart."""
    digest = hashlib.sha256(content)
    for name in sorted(overrides):
        digest.update(f"\0{name}={overrides[name]}".encode())
    return digest.hexdigest()[:12]


def check_edition(design: Design, edition: Edition, kits: int = 1) -> Checked:
    """Resolve, plan so many kits together, and check; raises :class:`DesignUnreadable`."""
    settled = settle(design, edition)
    plans = plan_stocks(settled.resolved, kits)
    findings = check_all(settled.resolved, plans, settled.findings)
    return Checked(settled.resolved, plans, findings, settled.moves, kits)


def build_editions(
    design: Design, editions: Sequence[Edition], order: BuildOrder, progress: Progress
) -> list[EditionResult]:
    """Build the editions, side by side where there is more than one."""
    if len(editions) == 1:
        return [build_edition(design, editions[0], order, progress)]
    with ProcessPoolExecutor(max_workers=min(len(editions), os.cpu_count() or 1)) as pool:
        waiting = [pool.submit(build_edition, design, each, order, progress) for each in editions]
        return [future.result() for future in waiting]


def build_edition(
    design: Design, edition: Edition, order: BuildOrder, progress: Progress
) -> EditionResult:
    """One edition from the design to its PDF."""
    progress(f"{edition.name}: working out sizes and sheets")
    try:
        checked = check_edition(design, edition, order.kits)
    except DesignUnreadable as problem:
        return EditionResult(edition.name, problem.findings, True, None, None, None)
    result = EditionResult(edition.name, checked.findings, False, None, None, None)
    if result.has_errors and not order.allow_draft:
        return result
    return _typeset_edition(checked, order, result, progress)


def _typeset_edition(
    checked: Checked, order: BuildOrder, result: EditionResult, progress: Progress
) -> EditionResult:
    # Drawing and typesetting are imported here: a check needs neither, and they take a second.
    from builder.documents.compose import compose
    from builder.documents.figure_set import draw_figures
    from builder.documents.typeset import typeset
    from builder.documents.view import Computed, document_view
    from builder.record import edition_record
    from builder.wording import load_wording

    resolved = checked.resolved
    fix_clock(resolved.design.date)
    computed = Computed(
        resolved=resolved,
        plans=checked.plans,
        rows=cut_list(resolved),
        supplies=supplies(resolved, checked.plans, order.kits),
        kits=order.kits,
        checksum=order.checksum,
        is_draft=result.has_errors,
    )
    name = resolved.edition.name
    figures = draw_figures(
        resolved, checked.plans, computed.rows, lambda text: progress(f"{name}: drawing {text}")
    )
    progress(f"{name}: setting the pages")
    html = compose(document_view(computed, figures, load_wording()), order.layout)
    pdf = typeset(
        html,
        order.layout,
        figures.figures,
        resolved.edition.paper.name,
        Path(resolved.design.file).parent,
    )
    record = edition_record(computed, checked.findings)
    return replace(result, html=html, pdf=pdf, record=record)


def fix_clock(written: str) -> None:
    """Date the output by the design, so that the same design gives the same bytes."""
    try:
        day = date.fromisoformat(written)
    except ValueError:
        day = date(2000, 1, 1)
    os.environ["SOURCE_DATE_EPOCH"] = str(calendar.timegm(day.timetuple()))
