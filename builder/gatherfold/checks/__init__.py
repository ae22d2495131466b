"""Checks: a resolved design and its sheet plans → findings, each with numbers and a remedy.

Each module checks one matter.  What is a length within a rule is a :class:`Condition`, so that a
native edition can be settled by it; all else goes from resolved data to findings directly.
``check_all`` runs them all.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import partial

from gatherfold.checks.acceptance import accept
from gatherfold.checks.fastenings import check_fastenings
from gatherfold.checks.fits import fit_conditions
from gatherfold.checks.grid import check_half_steps, check_handling, grid_conditions
from gatherfold.checks.inserts import check_inserts
from gatherfold.checks.joins import check_joins
from gatherfold.checks.layout import check_hidden_photographs, layout_conditions, lying_conditions
from gatherfold.checks.making import check_making
from gatherfold.checks.making.order import check_order
from gatherfold.checks.moving import check_moving
from gatherfold.checks.printing import check_across_folds, check_grain, check_printing
from gatherfold.checks.regions import region_conditions
from gatherfold.checks.report import broken
from gatherfold.checks.shapes import check_shapes
from gatherfold.checks.stock import (
    check_scored_strips,
    check_stock,
    sheet_conditions,
    strip_conditions,
)
from gatherfold.checks.supplied import check_safety, check_supplied
from gatherfold.checks.texts import check_texts
from gatherfold.checks.thickness import check_single_folds, thickness_conditions
from gatherfold.checks.troubles import check_troubles
from gatherfold.findings import Finding
from gatherfold.plans import StockPlan
from gatherfold.resolve import ResolvedDesign

# fmt: off
# isort: off
from gatherfold.checks.acceptance import idle_entries as idle_entries
from gatherfold.checks.fits import Fit as Fit, fits as fits
from gatherfold.checks.layout import lying_box as lying_box, sharing_a_face as sharing_a_face
from gatherfold.checks.report import (Condition as Condition, ConditionKey as ConditionKey,
    Rule as Rule, finding_kind as finding_kind)
from gatherfold.checks.thickness import Gap as Gap, gaps as gaps
# isort: on
# fmt: on


def conditions(
    resolved: ResolvedDesign, measured: Iterable[Gap] | None = None
) -> Iterator[Condition]:
    """Every length that must keep within a rule, kept or not; ``measured`` are its gaps, where
    they are known already."""
    yield from grid_conditions(resolved)
    yield from lying_conditions(resolved)
    yield from fit_conditions(resolved)
    yield from layout_conditions(resolved)
    yield from thickness_conditions(resolved, gaps(resolved) if measured is None else measured)
    yield from sheet_conditions(resolved)
    yield from region_conditions(resolved)
    yield from strip_conditions(resolved)


def checks_of(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan]
) -> tuple[Callable[[], Iterable[Finding]], ...]:
    """Every check of one edition, to be asked for its findings, always in the same order."""
    measured = gaps(resolved)
    alone = (
        check_half_steps,
        check_hidden_photographs,
        check_handling,
        check_fastenings,
        check_inserts,
        check_joins,
        check_moving,
        check_shapes,
        check_across_folds,
        check_troubles,
        check_supplied,
        check_safety,
        check_printing,
        check_grain,
        check_scored_strips,
        check_order,
        check_making,
        check_texts,
    )
    return (
        lambda: broken(conditions(resolved, measured)),
        lambda: check_single_folds(resolved, measured),
        lambda: check_stock(resolved, plans),
        *(partial(check, resolved) for check in alone),
    )


def check_all(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], earlier: Iterable[Finding] = ()
) -> tuple[Finding, ...]:
    """Every finding about one edition, in file order, with those of ``earlier`` stages."""
    found = (finding for check in checks_of(resolved, plans) for finding in check())
    findings = accept(resolved, [*earlier, *found])
    return tuple(sorted(findings, key=lambda finding: finding.position))
