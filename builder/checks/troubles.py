"""What cannot be done as the steps say: the problems of the work, told to the maker.

In: a resolved design.  Out: a finding for each problem, with what stops it and a remedy, at the
line of the piece or fastening.  Pockets and what holds something shut have checks of their own.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from typing import assert_never

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.lengths import up_to_grid
from builder.resolve.resolved import ResolvedDesign
from builder.work import Problem, work_of
from builder.work.moments import Trouble
from builder.work.putting import Stuck
from builder.work.space import size
from builder.work.turning import Blocked, Obstacle

#: What comes of a fold that does not close.
_FOLLOW = (Trouble.JOIN_MISSES, Trouble.NEVER_JOINED)


def check_troubles(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every problem once, however often the steps meet it."""
    told: set[object] = set()
    problems = work_of(resolved).problems
    is_stopped = any(problem.trouble is Trouble.CANNOT_TURN for problem in problems)
    for problem in problems:
        if is_stopped and problem.trouble in _FOLLOW:
            continue
        what = problem.stop if isinstance(problem.stop, Blocked) else (problem.part, problem.other)
        finding = _finding(resolved, problem)
        if finding is not None and (finding.code, what) not in told:
            told.add((finding.code, what))
            yield finding


def _finding(resolved: ResolvedDesign, problem: Problem) -> Finding | None:
    match problem.trouble:
        case Trouble.CANNOT_TURN:
            assert isinstance(problem.stop, Blocked)
            return _cannot_turn(resolved, problem, problem.stop)
        case Trouble.CANNOT_GO_IN:
            assert isinstance(problem.stop, Stuck)
            return _cannot_go_in(resolved, problem, problem.stop)
        case Trouble.GLUED_TO_NOTHING:
            if resolved.pieces[problem.part.partition(".")[0]].raised:
                # Foam holds it: its glue lies against that.
                return None
            message = f"{_part(resolved, problem.part)} is glued, and nothing lies against its glue"
            remedy = "Place it so that its glue meets something, or write 'glue: none'."
            return _at_piece(resolved, problem, message, remedy)
        case Trouble.JOIN_MISSES:
            onto = f"to {_part(resolved, problem.other)}" if problem.other else "to what it meets"
            message = (
                f"{_when(resolved, problem)}{_part(resolved, problem.part)} is to be glued {onto}, "
                "and its glue lies on nothing"
            )
            remedy = "Correct its size or its place, or say 'none' for it under 'seams:'."
            return _at_piece(resolved, problem, message, remedy)
        case Trouble.NEVER_JOINED:
            message = (
                f"{_part(resolved, problem.part)} never meets {_part(resolved, problem.other)}, "
                "which 'joins:' names for it"
            )
            remedy = "Close what brings them together in a step, or correct 'joins:'."
            return _at_piece(resolved, problem, message, remedy)
        case Trouble.NO_HOLE:
            return _no_hole(resolved, problem)
        case Trouble.GLUED_OPEN:
            message = (
                f"{_when(resolved, problem)}{_part(resolved, problem.part)} is to close, and glue "
                f"holds it and {_part(resolved, problem.other)} as they are"
            )
            remedy = "Leave that glue away, close it before it is glued, or write 'closed: 0'."
            return _at_piece(resolved, problem, message, remedy)
        case Trouble.HOLDS_NOTHING:
            # What holds something shut is measured by a check of its own.
            return None
        case _:
            assert_never(problem.trouble)


def _at_piece(resolved: ResolvedDesign, problem: Problem, message: str, remedy: str) -> Finding:
    position = resolved.pieces[problem.part.partition(".")[0]].source.position
    code = problem.trouble.value
    return found(resolved, Severity.ERROR, code, position, message, remedy)


def _cannot_turn(resolved: ResolvedDesign, problem: Problem, stop: Blocked) -> Finding:
    """A fold that does not turn: what passes through what, and about how far."""
    units = resolved.edition.units
    fold = _part(resolved, str(stop.fold))
    moving, by = _part(resolved, str(stop.moving)), _part(resolved, str(stop.by))
    what = f"{_when(resolved, problem)}{fold} cannot be folded"
    depth = Fraction(stop.depth) / work_of(resolved).scale
    wanted = up_to_grid(depth, resolved.edition.grid)
    other_order = "or fold them in another order ('closing:')"
    match stop.why:
        case Obstacle.CROSSES:
            deeper = _deeper(resolved, stop)
            if deeper is not None:
                return _folds_through(resolved, stop, deeper)
            code = "collides"
            message = f"{what}: {moving} would pass through {by}"
            remedy = f"Make one of them smaller or move it, {other_order}."
            if wanted:
                message += f", by about {units.text(wanted)}"
                remedy = f"Make one of them {units.text(wanted)} smaller, or move it as far, "
                remedy += f"{other_order}."
        case Obstacle.COVERED:
            code = "cannot-turn"
            message = f"{what}: {by} lies over {moving}"
            remedy = f"Let {by} end at the fold, or turn it aside first, {other_order}."
        case Obstacle.GLIDES:
            code = "collides"
            message = f"{what}: {moving} would come to stand in one place with {by}"
            remedy = f"Make one of them narrower, or what holds them apart wider, {other_order}."
        case Obstacle.LOCKED:
            code = "cannot-turn"
            message = f"{what}: {moving} and {by} are glued together by then"
            remedy = "Fold it before it is glued, or leave that glue away."
        case Obstacle.FULL_TURN:
            code = "cannot-turn"
            message = f"{what}: {moving} would be turned further than right over"
            remedy = "Correct the angles of its folds ('closed:')."
        case _:
            assert_never(stop.why)
    position = resolved.pieces[stop.moving.piece].source.position
    if not wanted:
        return found(resolved, Severity.ERROR, code, position, message, remedy)
    return found(resolved, Severity.ERROR, code, position, message, remedy, through=wanted)


def _deeper(resolved: ResolvedDesign, stop: Blocked) -> Fraction | None:
    """How much deeper something closes than what it comes to lie over; None where they do not come
    to lie parallel."""
    work = work_of(resolved)
    moving, by = work.closed.plates[stop.moving], work.closed.plates[stop.by]
    if moving.axis != by.axis or not moving.region.overlaps(by.region):
        return None
    return Fraction(size(moving.plane - by.plane)) / work.scale or None


def _folds_through(resolved: ResolvedDesign, stop: Blocked, deeper: Fraction) -> Finding:
    units = resolved.edition.units
    return found(
        resolved,
        Severity.ERROR,
        "folds-through",
        resolved.pieces[stop.moving.piece].source.position,
        f"{_part(resolved, str(stop.moving))} folds in after {_part(resolved, str(stop.by))} and "
        f"covers it, but closes {units.text(deeper)} deeper",
        f"Make its gusset {units.text(deeper)} deeper, or close it first ('closing:').",
        deeper=deeper,
    )


def _cannot_go_in(resolved: ResolvedDesign, problem: Problem, stop: Stuck) -> Finding | None:
    piece = resolved.pieces[problem.part]
    if piece.is_in_pocket:
        return None
    what = "glue all round" if stop.by is None else _part(resolved, str(stop.by))
    return found(
        resolved,
        Severity.ERROR,
        problem.trouble.value,
        piece.source.position,
        f"{_when(resolved, problem)}'{piece.key}' cannot come to its place on "
        f"{_part(resolved, problem.other)}: {what} is in the way",
        f"Make '{piece.key}' larger or smaller, or put it on before what is in the way.",
    )


def _no_hole(resolved: ResolvedDesign, problem: Problem) -> Finding | None:
    """A fastening that does not meet a piece; None where that piece only comes later."""
    if not any(
        problem.other in (problem.part, *moment.assembly.pieces)
        for moment in work_of(resolved).moments
        if moment.step <= problem.step
        and resolved.fastenings[problem.part].source.through[0] in moment.assembly.pieces
    ):
        return None
    fastening = resolved.fastenings[problem.part].source
    return found(
        resolved,
        Severity.ERROR,
        problem.trouble.value,
        fastening.position,
        f"'{problem.part}' goes through '{fastening.through[0]}' and misses '{problem.other}'",
        f"Move it, or take '{problem.other}' out of 'through'.",
    )


def _when(resolved: ResolvedDesign, problem: Problem) -> str:
    """The step in which it happens; nothing for the closing of the finished work."""
    if not problem.step:
        return "when all is closed, "
    return f"in step {problem.step} ({resolved.design.steps[problem.step - 1].title}) "


def _part(resolved: ResolvedDesign, name: str) -> str:
    """A face of a piece in words: a piece without folds is its only face."""
    key, _, face = name.partition(".")
    if len(resolved.pieces[key].faces) == 1 or not face:
        return f"'{key}'"
    return f"the {face.replace('_', ' ')} of '{key}'"
