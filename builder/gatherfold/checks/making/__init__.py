"""The course of making: what is done too early, too late, twice or never, and what never shows.

In: a resolved design.  Out: findings about its steps and its ``closing``.
"""

from __future__ import annotations

from collections.abc import Iterator

from gatherfold.checks.making.early import check_early
from gatherfold.checks.making.in_turn import check_turns
from gatherfold.checks.making.reach import check_reach
from gatherfold.checks.making.rows import check_rows
from gatherfold.checks.making.stages import stages_of
from gatherfold.checks.making.unseen import check_unseen
from gatherfold.checks.making.written import check_written
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign


def check_making(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Follow the steps as they were played; a design without steps has no course."""
    if not resolved.design.steps:
        return
    stages = stages_of(resolved)
    yield from check_written(resolved, stages)
    yield from check_reach(resolved, stages)
    yield from check_early(resolved, stages)
    yield from check_turns(resolved, stages)
    yield from check_rows(resolved, stages)
    yield from check_unseen(resolved)
