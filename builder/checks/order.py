"""The steps in order: cut before use, placed once, fastened before the back is hidden."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from builder.checks.report import found
from builder.design import Step
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings, named_pieces


@dataclass
class _Bench:
    """What has been done so far, by the number of the step that did it."""

    cut: dict[str, int] = field(default_factory=dict)
    scored: dict[str, int] = field(default_factory=dict)
    placed: dict[str, int] = field(default_factory=dict)
    fastened: dict[str, int] = field(default_factory=dict)
    dry_fitted: set[str] = field(default_factory=set)


#: Kinds that are hard to take off again: they are laid in place without glue first.
_DRY_FIT_KINDS = ("spine", "hinge", "flap", "pocket")


def check_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Simulate the steps; a design without steps is not checked."""
    if not resolved.design.steps:
        return
    bench = _Bench()
    for number, step in enumerate(resolved.design.steps, start=1):
        yield from _carry_out(resolved, step, number, bench)
    yield from _left_undone(resolved, bench)
    yield from _fastened_too_late(resolved, bench)


def _carry_out(
    resolved: ResolvedDesign, step: Step, number: int, bench: _Bench
) -> Iterator[Finding]:
    for key in named_pieces(step, "cut", resolved):
        bench.cut.setdefault(key, number)
    for key in named_pieces(step, "score", resolved):
        if key in bench.placed:
            yield _too_late(resolved, step, number, key, "scores", bench.placed[key])
        bench.scored.setdefault(key, number)
    for key in named_pieces(step, "ink", resolved):
        if key in bench.placed:
            yield _too_late(resolved, step, number, key, "inks", bench.placed[key])
    for key in named_pieces(step, "fold", resolved):
        if key not in bench.scored:
            yield _folded_before_scored(resolved, step, number, key)
    for key in named_pieces(step, "dry_fit", resolved):
        bench.dry_fitted.add(key)
    for operation in ("score", "fold", "ink", "dry_fit", "attach", "insert"):
        for key in named_pieces(step, operation, resolved):
            if key not in bench.cut:
                yield _before_cut(resolved, step, number, key)
                bench.cut[key] = number
    for key in (
        *named_pieces(step, "attach", resolved),
        *named_pieces(step, "insert", resolved),
    ):
        if key in bench.placed:
            yield _placed_twice(resolved, step, number, key, bench.placed[key])
        bench.placed.setdefault(key, number)
    yield from _not_dry_fitted(resolved, step, number, bench)
    yield from _pocket_missing(resolved, step, number, bench)
    for key in named_fastenings(step, resolved):
        yield from _layers_missing(resolved, step, number, key, bench)
        bench.fastened.setdefault(key, number)


def _too_late(
    resolved: ResolvedDesign, step: Step, number: int, key: str, does: str, placed: int
) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "too-late",
        step.position,
        f"step {number} {does} '{key}', which step {placed} has already put in its place",
        f"Do it before step {placed}.",
    )


def _folded_before_scored(resolved: ResolvedDesign, step: Step, number: int, key: str) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "folded-before-scored",
        step.position,
        f"step {number} folds '{key}', and no step before it scores it",
        f"Add '{key}' to 'score:' of this step or an earlier one.",
    )


def _not_dry_fitted(
    resolved: ResolvedDesign, step: Step, number: int, bench: _Bench
) -> Iterator[Finding]:
    for key in named_pieces(step, "attach", resolved):
        kind = resolved.pieces[key].source.kind
        if kind in _DRY_FIT_KINDS and key not in bench.dry_fitted:
            yield found(
                resolved,
                Severity.ADVICE,
                "no-dry-fit",
                step.position,
                f"step {number} glues {kind} '{key}' without a dry fit",
                f"Add '{key}' to 'dry_fit:' of this step.",
            )


def _pocket_missing(
    resolved: ResolvedDesign, step: Step, number: int, bench: _Bench
) -> Iterator[Finding]:
    for key in named_pieces(step, "insert", resolved):
        placement = resolved.pieces[key].source.placement
        if placement is None or resolved.pieces[placement.host].source.placement is None:
            continue
        if placement.host not in bench.placed:
            yield found(
                resolved,
                Severity.ERROR,
                "pocket-not-there",
                step.position,
                f"step {number} slides in '{key}', and '{placement.host}' is not there yet",
                f"Put '{placement.host}' in its place before step {number}.",
            )


def _layers_missing(
    resolved: ResolvedDesign, step: Step, number: int, key: str, bench: _Bench
) -> Iterator[Finding]:
    for name in resolved.fastenings[key].source.through:
        if resolved.pieces[name].source.placement is not None and name not in bench.placed:
            yield found(
                resolved,
                Severity.ERROR,
                "layer-not-there",
                step.position,
                f"step {number} fastens '{key}' through '{name}', which is not in its place yet",
                f"Attach '{name}' in this step or an earlier one.",
            )


def _before_cut(resolved: ResolvedDesign, step: Step, number: int, key: str) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "used-before-cut",
        step.position,
        f"step {number} uses '{key}', and no step before it cuts it",
        f"Add '{key}' to 'cut:' of an earlier step.",
    )


def _placed_twice(
    resolved: ResolvedDesign, step: Step, number: int, key: str, first: int
) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "placed-twice",
        step.position,
        f"'{key}' is placed in step {first} and again in step {number}",
        "Keep it in one of them.",
    )


def _left_undone(resolved: ResolvedDesign, bench: _Bench) -> Iterator[Finding]:
    for key, piece in resolved.pieces.items():
        position = piece.source.position
        if key not in bench.cut:
            message = f"no step cuts '{key}'"
            remedy = "Add it to 'cut:' of a step."
            yield found(resolved, Severity.ERROR, "never-cut", position, message, remedy)
        if piece.scores and key not in bench.scored:
            message = f"'{key}' has score lines, and no step scores it"
            remedy = "Add it to 'score:' of a step."
            yield found(resolved, Severity.ERROR, "never-scored", position, message, remedy)
        if piece.source.placement is not None and key not in bench.placed:
            message = f"no step puts '{key}' in its place"
            remedy = "Add it to 'attach:' or 'insert:' of a step."
            yield found(resolved, Severity.ERROR, "never-placed", position, message, remedy)
    for key, fastening in resolved.fastenings.items():
        if key not in bench.fastened:
            message = f"no step fastens '{key}'"
            remedy = "Add it to 'fasten:' of a step."
            position = fastening.source.position
            yield found(resolved, Severity.ERROR, "never-fastened", position, message, remedy)


def _fastened_too_late(resolved: ResolvedDesign, bench: _Bench) -> Iterator[Finding]:
    """What is glued over the last layer of a fastening hides its prongs for good."""
    for key, fastening in resolved.fastenings.items():
        number = bench.fastened.get(key)
        through = fastening.source.through
        if number is None or not through:
            continue
        for piece in resolved.pieces.values():
            placement = piece.source.placement
            covers = placement is not None and placement.host in through
            placed = bench.placed.get(piece.key)
            if (
                covers
                and piece.key not in through
                and piece.source.kind in ("mat", "liner")
                and placed is not None
                and placed < number
            ):
                yield found(
                    resolved,
                    Severity.ERROR,
                    "fastened-too-late",
                    fastening.source.position,
                    f"step {placed} glues '{piece.key}' over the place where step {number} "
                    f"fastens '{key}'",
                    f"Fasten '{key}' before step {placed}.",
                )
