"""What cannot be done as the steps say: the problems of the work, told to the maker.

In: a resolved design.  Out: a finding for each problem, with what stops it and a remedy, at the
line of the piece or fastening.  Pockets and what holds something shut have checks of their own.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import islice
from typing import assert_never

from gatherfold.checks.report import FindingKind, finding_kind
from gatherfold.findings import Finding
from gatherfold.lengths import up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    Blocked,
    Difficulty,
    FaceKey,
    Obstacle,
    Placing,
    Stuck,
    Trouble,
    glued_down,
    host_side,
    size,
    work_of,
)

#: What comes of a fold that does not close.
_FOLLOW = (Trouble.JOIN_MISSES, Trouble.NEVER_JOINED)

#: What is said of troubles; of a fold that does not turn it depends on the obstacle.
_SAID: dict[Trouble, tuple[str, str]] = {
    Trouble.CANNOT_GO_IN: (
        "{when}{part} cannot come to its place on {other}: {stop} is in the way",
        "Make {part} larger or smaller, what is in the way lower or narrower, or put it on first.",
    ),
    Trouble.GLUED_TO_NOTHING: (
        "{part} is glued, and nothing lies against its glue",
        "Place it so that its glue meets something, or write 'glue: none'.",
    ),
    Trouble.JOIN_MISSES: (
        "{when}{part} is to be glued to {other}, and its glue lies on nothing",
        "Correct its size, its place, how it folds ('fold:', 'closed:') or what it is to meet "
        "('joins:'), close that before it, or say 'none' for it under 'seams:'.",
    ),
    Trouble.NEVER_JOINED: (
        "{part} never meets {other}, which 'joins:' names for it",
        "Move it there, close what brings them together in a step, or correct 'joins:'.",
    ),
    Trouble.NO_HOLE: (
        "{part} goes through '{first}' and misses {other}",
        "Move it, or take {other} out of 'through'.",
    ),
    Trouble.GLUED_OPEN: (
        "{when}{part} is to close, and glue holds it and {other} as they are",
        "Leave that glue away, close it before it is glued, or write 'closed: 0'.",
    ),
}
_OBSTACLES: dict[Obstacle, FindingKind] = {
    Obstacle.CROSSES: finding_kind("collides, crosses"),
    Obstacle.COVERED: finding_kind("cannot-turn"),
    Obstacle.GLIDES: finding_kind("collides, glides"),
    Obstacle.LOCKED: finding_kind("cannot-turn, locked"),
    Obstacle.FULL_TURN: finding_kind("cannot-turn, full turn"),
}


def check_troubles(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every problem once, however often the steps meet it."""
    told: set[object] = set()
    problems = work_of(resolved).problems
    is_stopped = False
    for problem in problems:
        is_stopped |= problem.trouble is Trouble.CANNOT_TURN
        if (is_stopped and problem.trouble in _FOLLOW) or not _is_told_here(resolved, problem):
            continue
        is_blocked = isinstance(problem.stop, Blocked)
        what = problem.stop if is_blocked else (problem.part, problem.other)
        finding = _finding(resolved, problem)
        if (finding.code, what) not in told:
            told.add((finding.code, what))
            yield finding


def _is_told_here(resolved: ResolvedDesign, problem: Difficulty) -> bool:
    """Whether it is a trouble at all, and no check of its own speaks of it."""
    match problem.trouble:
        case Trouble.GLUED_TO_NOTHING:
            # Where foam holds it, its glue lies against that.
            return not resolved.pieces[_piece(problem)].raised
        case Trouble.CANNOT_GO_IN:
            return not resolved.pieces[problem.part].is_in_pocket
        case Trouble.NO_HOLE:
            return _has_come(resolved, problem)
        case Trouble.HOLDS_NOTHING:
            return False
        case Trouble.CANNOT_TURN | Trouble.JOIN_MISSES | Trouble.NEVER_JOINED | Trouble.GLUED_OPEN:
            return True
        case _:
            assert_never(problem.trouble)


def _has_come(resolved: ResolvedDesign, problem: Difficulty) -> bool:
    """Whether the piece that a fastening does not meet is there, and does not only come later."""
    first = resolved.fastenings[problem.part].source.through[0]
    return any(
        problem.other in (problem.part, *moment.assembly.pieces)
        for moment in work_of(resolved).moments
        if moment.step <= problem.step and first in moment.assembly.pieces
    )


def _piece(problem: Difficulty) -> str:
    return problem.part.partition(".")[0]


def _finding(resolved: ResolvedDesign, problem: Difficulty) -> Finding:
    stop, when = problem.stop, "when all is closed, "
    if problem.step:
        when = f"in step {problem.step} ({resolved.design.steps[problem.step - 1].title}) "
    if isinstance(stop, Blocked):
        return _cannot_turn(resolved, when, stop)
    kind = FindingKind(problem.trouble.value, *_SAID[problem.trouble])
    told = {
        "when": when,
        "part": _part(resolved, problem.part),
        "other": _part(resolved, problem.other) if problem.other else "what it meets",
    }
    if problem.trouble is Trouble.NO_HOLE:
        fastening = resolved.fastenings[problem.part]
        return kind.found(resolved, fastening, **told, first=fastening.source.through[0])
    key, what = _piece(problem), ""
    if isinstance(stop, Stuck):
        what = "glue all round" if stop.by is None else _part(resolved, str(stop.by))
        for face in islice(_glue_in_way(resolved, problem) if stop.by is None else (), 1):
            key, what = face.piece, f"the glue of {_part(resolved, str(face))}"
        for seal in islice(_seals_over(resolved, problem), 1):
            told |= {"seal": seal}
            return finding_kind("cannot-go-in, sealed").found(
                resolved, resolved.pieces[problem.part], **told
            )
    return kind.found(resolved, resolved.pieces[key], **told, stop=what)


def _glue_in_way(resolved: ResolvedDesign, problem: Difficulty) -> Iterator[FaceKey]:
    """What lies over the place of something that is slid in, and closes it by its glue, the last
    first: not what is glued down all over, as a lining is."""
    for moment in work_of(resolved).moments:
        placing, placement = moment.motion, resolved.pieces[problem.part].source.placement
        is_it = isinstance(placing, Placing) and placing.piece == problem.part
        if isinstance(placing, Placing) and is_it and placement is not None:
            before, host = placing.before, placing.host
            is_up = host_side(placement.relation) == before.plates[host].facing
            over = before.beyond([host], is_up) - {host} - glued_down(before)
            glued = (bond.first for bond in reversed(before.bonds) if bond.kind == "glue")
            yield from (face for face in glued if face in over)


def _seals_over(resolved: ResolvedDesign, problem: Difficulty) -> Iterator[str]:
    """What is glued over two sections of the piece that something is to go into, by then."""
    for moment in work_of(resolved).moments:
        placing = moment.motion
        if isinstance(placing, Placing) and placing.piece == problem.part:
            own, sealed = placing.host.piece, dict[str, set[FaceKey]]()
            for bond in placing.before.bonds:
                ends = sealed.setdefault(bond.joins, set())
                ends |= {face for face in bond.faces if face.piece == own}
            for key, faces in sealed.items():
                if len(faces) > 1 and resolved.pieces[key].source.has(Trait.SEALS_EDGE):
                    yield key


def _cannot_turn(resolved: ResolvedDesign, when: str, stop: Blocked) -> Finding:
    """A fold that does not turn: what passes through what, and about how far."""
    told: dict[str, Fraction | str] = {
        "when": when,
        "fold": _part(resolved, str(stop.fold)),
        "moving": _part(resolved, str(stop.moving)),
        "by": _part(resolved, str(stop.by)),
    }
    kind, piece = _OBSTACLES[stop.why], resolved.pieces[stop.moving.piece]
    if stop.why is Obstacle.COVERED and _is_listed_later(resolved, stop):
        keys = {"first": stop.by.piece, "second": stop.fold.piece}
        return finding_kind("closes-under").found(resolved, piece, **told, **keys)
    depth = Fraction(stop.depth) / work_of(resolved).scale
    through = up_to_grid(depth, resolved.edition.grid)
    if stop.why is Obstacle.CROSSES:
        # How much deeper it closes than what it comes to lie over, where they lie parallel then.
        plates = work_of(resolved).closed.plates
        moving, by = plates[stop.moving], plates[stop.by]
        deeper = Fraction(size(moving.plane - by.plane)) / work_of(resolved).scale
        if deeper and moving.axis == by.axis and moving.region.overlaps(by.region):
            return finding_kind("folds-through").found(resolved, piece, **told, deeper=deeper)
        kind = finding_kind("collides") if through else kind
    return kind.found(resolved, piece, **told, **({"through": through} if through else {}))


def _is_listed_later(resolved: ResolvedDesign, stop: Blocked) -> bool:
    """Whether ``closing`` names what lies over a section after that section."""
    names = [name.partition(".")[0] for name in resolved.design.closing]
    under, over = stop.fold.piece, stop.by.piece
    is_listed = under != over and under in names and over in names
    return is_listed and names.index(under) < names.index(over)


def _part(resolved: ResolvedDesign, name: str) -> str:
    """A face of a piece in words: a piece without folds is its only face."""
    key, _, face = name.partition(".")
    if not face or len(resolved.pieces[key].faces) == 1:
        return f"'{key}'"
    return f"the {face.replace('_', ' ')} of '{key}'"
