"""Sections that a step closes for good: they close with the work, and what goes in has a way in."""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.resolve.closed_for_good import closed_sections, mouth, slid_in
from builder.resolve.placement import main_body, tree_of
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.turns import turns


def check_closed_sections(resolved: ResolvedDesign) -> Iterator[Finding]:
    yield from _left_open(resolved)
    yield from _without_mouth(resolved)


def _left_open(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A section of the main body that the closed work has open all the same."""
    tree = tree_of(resolved)
    body = set(tree.below(main_body(tree))) if tree.roots else set()
    folded = {face for turn in turns(resolved) for face in turn.angles}
    for number, step in enumerate(resolved.design.steps, start=1):
        for key, section in closed_sections(step):
            if key in body and (key, section) not in folded:
                name = f"{key}.{section}"
                message = (
                    f"step {number} ({step.title}) closes '{name}' for good, and it is not among "
                    "what folds in when the work is closed"
                )
                remedy = f"Add '{name}' to 'closing:', or name a section that hangs on a fold."
                position = step.places["close", name]
                yield found(resolved, Severity.ERROR, "closed-and-open", position, message, remedy)


def _without_mouth(resolved: ResolvedDesign) -> Iterator[Finding]:
    """An insert whose pocket is shut all round before it comes."""
    for key in slid_in(resolved):
        if not mouth(resolved, key):
            position = resolved.pieces[key].source.position
            message = f"'{key}' is slid into a pocket that is closed on every side by then"
            remedy = "Insert it before one of the sections is closed for good."
            yield found(resolved, Severity.ERROR, "pocket-shut", position, message, remedy)
