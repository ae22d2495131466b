"""Pieces of a strip share the measure across it, and what is scored on a strip runs across it all.

In: a resolved design.  Out: conditions, and findings about steps that score a strip.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial

from builder.checks.condition import Condition, Rule
from builder.checks.report import FindingKind, as_typed
from builder.findings import Finding
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_strips

_UNEVEN = FindingKind(
    "strip-uneven",
    "in strip '{strip}', '{piece}' is {size} {word}, and '{first}' is {wanted}",
    "Give both one {measure}, such as {typed}, or take '{piece}' out of the strip.",
)
_NOTHING_TO_SCORE = FindingKind(
    "nothing-to-score",
    "step {step} scores strip '{strip}', and no score line runs right across all its pieces",
    "Name its pieces after it is divided: 'score: {pieces}'.",
)


def strip_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Every piece of a strip is as high as its first, or as wide where the strip goes up."""
    for strip in resolved.strips.values():
        first, *others = strip.pieces
        wanted = first.height if strip.is_across else first.width
        for piece in others:
            size = piece.height if strip.is_across else piece.width
            uneven = partial(
                _UNEVEN.found,
                resolved,
                strip.source.places[piece.key],
                strip=strip.key,
                piece=piece.key,
                first=first.key,
                word="high" if strip.is_across else "wide",
                measure="height" if strip.is_across else "width",
                typed=as_typed(wanted, resolved),
                size=size,
                wanted=wanted,
            )
            key = ("strip-uneven", strip.key, piece.key)
            yield Condition(key, size - wanted, uneven, Rule.ZERO)


def check_scored_strips(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A strip that a step scores has a score line that runs right across all its pieces."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for key in named_strips(step, "score", resolved):
            strip = resolved.strips[key]
            if not strip.scores:
                place = step.places.get(("score", key), step.position)
                pieces = ", ".join(piece.key for piece in strip.pieces)
                yield _NOTHING_TO_SCORE.found(
                    resolved, place, (key,), step=number, strip=key, pieces=pieces
                )
