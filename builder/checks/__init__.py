"""Checks: a resolved design and its sheet plans → findings, each with numbers and a remedy.

Each module checks one matter and offers functions from resolved data to findings; ``check_all``
runs them all.
"""

from __future__ import annotations

from collections.abc import Mapping

from builder.checks.fastenings import check_fastenings
from builder.checks.fit import check_fit
from builder.checks.grid import check_grid
from builder.checks.handling import check_handling
from builder.checks.layout import check_layout
from builder.checks.order import check_order
from builder.checks.printing import check_printing
from builder.checks.stock import check_stock
from builder.checks.supplied import check_supplied
from builder.checks.thickness import check_thickness
from builder.findings import Finding
from builder.resolve.resolved import ResolvedDesign
from builder.stock_plans import StockPlan


def check_all(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> tuple[Finding, ...]:
    """Every finding about one edition, in file order."""
    findings = [
        *check_grid(resolved),
        *check_fit(resolved),
        *check_layout(resolved),
        *check_handling(resolved),
        *check_thickness(resolved),
        *check_fastenings(resolved),
        *check_supplied(resolved),
        *check_stock(resolved, plans),
        *check_printing(resolved),
        *check_order(resolved),
    ]
    return tuple(sorted(findings, key=lambda finding: finding.position))
