"""Checks: a resolved design and its sheet plans → findings, each with numbers and a remedy.

Each module checks one matter.  What is a length within a rule is a :class:`Condition`, so that a
native edition can be settled by it; all else goes from resolved data to findings directly.
``check_all`` runs them all.
"""

from collections.abc import Iterable, Iterator, Mapping

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


def check_all(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], earlier: Iterable[Finding] = ()
) -> tuple[Finding, ...]:
    """Every finding about one edition, in file order, with those of ``earlier`` stages."""
    measured = gaps(resolved)
    findings = [
        *earlier,
        *broken(conditions(resolved, measured)),
        *check_half_steps(resolved),
        *check_hidden_photographs(resolved),
        *check_handling(resolved),
        *check_single_folds(resolved, measured),
        *check_fastenings(resolved),
        *check_inserts(resolved),
        *check_joins(resolved),
        *check_moving(resolved),
        *check_shapes(resolved),
        *check_across_folds(resolved),
        *check_troubles(resolved),
        *check_supplied(resolved),
        *check_safety(resolved),
        *check_stock(resolved, plans),
        *check_printing(resolved),
        *check_grain(resolved),
        *check_scored_strips(resolved),
        *check_order(resolved),
        *check_making(resolved),
        *check_texts(resolved),
    ]
    return tuple(sorted(accept(resolved, findings), key=lambda finding: finding.position))
