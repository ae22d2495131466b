"""Pieces of a strip share the measure across it, and what is scored on a strip runs across it all.

In: a resolved design.  Out: conditions, and findings about steps that score a strip.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.condition import Condition, Rule
from builder.checks.report import as_typed, found
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStrip
from builder.resolve.step_parts import named_strips


def strip_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Every piece of a strip is as high as its first, or as wide where the strip goes up."""
    for strip in resolved.strips.values():
        first, *others = strip.pieces
        for piece in others:
            difference = (
                piece.height - first.height if strip.is_across else piece.width - first.width
            )
            yield Condition(
                ("strip-uneven", strip.key, piece.key),
                difference,
                Rule.ZERO,
                lambda strip=strip, piece=piece: _uneven(resolved, strip, piece),  # type: ignore[misc]
            )


def _uneven(resolved: ResolvedDesign, strip: ResolvedStrip, piece: ResolvedPiece) -> Finding:
    first = strip.pieces[0]
    key = "height" if strip.is_across else "width"
    word = "high" if strip.is_across else "wide"
    own, wanted = (piece.height, first.height) if strip.is_across else (piece.width, first.width)
    text = resolved.edition.units.text
    return found(
        resolved,
        Severity.ERROR,
        "strip-uneven",
        strip.source.places[piece.key],
        f"in strip '{strip.key}', '{piece.key}' is {text(own)} {word}, and '{first.key}' is "
        f"{text(wanted)}",
        f"Give both one {key}, such as {as_typed(wanted, resolved)}, or take '{piece.key}' out of "
        "the strip.",
        size=own,
        wanted=wanted,
    )


def check_scored_strips(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A strip that a step scores has a score line that runs right across all its pieces."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for key in named_strips(step, "score", resolved):
            strip = resolved.strips[key]
            if not strip.scores:
                yield found(
                    resolved,
                    Severity.ERROR,
                    "nothing-to-score",
                    step.places.get(("score", key), step.position),
                    f"step {number} scores strip '{key}', and no score line runs right across all "
                    "its pieces",
                    "Name its pieces after it is divided: "
                    f"'score: {', '.join(piece.key for piece in strip.pieces)}'.",
                    (key,),
                )
