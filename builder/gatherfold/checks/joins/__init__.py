"""Joins and what holds: glue against its place, what is loose or glued shut, ribbons, stock.

In: a resolved design.  Out: findings.  Each module checks one matter on the work as it was at the
moment that counts: when glue met, when the work was closed, when a ribbon was tied.
"""

from collections.abc import Iterator

from gatherfold.checks.joins.adhesive import check_adhesive
from gatherfold.checks.joins.brads import check_brads
from gatherfold.checks.joins.covering import check_covering
from gatherfold.checks.joins.freed import check_freed
from gatherfold.checks.joins.held import check_held
from gatherfold.checks.joins.ribbons import check_ribbons
from gatherfold.checks.joins.roles import check_roles
from gatherfold.checks.joins.sealing import check_sealing
from gatherfold.checks.joins.unheld import check_unheld
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign


def check_joins(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Everything about joins, closures, ribbons and the stock for a role."""
    yield from check_roles(resolved)
    yield from check_adhesive(resolved)
    yield from check_held(resolved)
    yield from check_freed(resolved)
    yield from check_covering(resolved)
    yield from check_sealing(resolved)
    yield from check_ribbons(resolved)
    yield from check_brads(resolved)
    yield from check_unheld(resolved)
