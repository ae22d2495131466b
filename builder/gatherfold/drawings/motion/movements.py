"""What a maker does in one movement: the motions of a step, grouped as hands do them.

In: the work.  Out: :class:`Movements` values, one for each step that moves something and one for
what is left to close, each of :class:`Move` values: one picture each.  Folds that do not lie over
one another and go the same way, or are those of one piece, are moved together; so are folds of one
piece after one another as far as half a turn.  Everything comes from the moments of the work.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import assert_never

from gatherfold.resolve import REMEMBERED, ResolvedDesign
from gatherfold.work import (
    Assembly,
    Bond,
    FoldKey,
    Motion,
    Placing,
    Swing,
    Tie,
    Turn,
    Way,
    Work,
    after_steps,
    work_of,
)

#: So many quarters of folds after one another are one movement.
_HALF_TURN = 2


@dataclass(frozen=True, eq=False)
class Move:
    """One movement: the assembly before and after it, and the motions that it consists of.

    ``glued`` are the bonds whose faces it brings together, ``alike`` the turns of other pieces of
    the same shape that are made as these are, ``tied`` the ribbons that are tied by then.
    """

    before: Assembly
    after: Assembly
    turns: tuple[Turn, ...] = ()
    swing: Swing | None = None
    placing: Placing | None = None
    tie: str = ""
    glued: tuple[Bond, ...] = ()
    alike: tuple[Turn, ...] = ()
    tied: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Movements:
    """The movements of a step, of the design as it is then; ``step`` is 0 where no step closes."""

    resolved: ResolvedDesign
    step: int
    moves: tuple[Move, ...]

    @property
    def key(self) -> str:
        return f"motion-{self.step or 'closing'}"

    @property
    def runs(self) -> tuple[tuple[Move, ...], ...]:
        """The movements of one assembly after another."""
        runs: list[list[Move]] = []
        for move in self.moves:
            # Another movement of the same assembly, with what has been joined to it since.
            if runs and set(runs[-1][-1].after.pieces) <= set(move.before.pieces):
                runs[-1].append(move)
            else:
                runs.append([move])
        return tuple(tuple(run) for run in runs)


@lru_cache(maxsize=REMEMBERED)
def sequences(resolved: ResolvedDesign) -> tuple[Movements, ...]:
    """All sequences of a design, in the order of its steps."""
    work = work_of(resolved)
    tied: list[str] = []
    found = []
    for number, so_far in enumerate(after_steps(resolved), start=1):
        moves = tuple(_moves(resolved, work, number, tied))
        if moves:
            found.append(Movements(so_far, number, moves))
    done = {id(moment.motion) for moment in work.moments}
    left = [motion for motion in work.closing if id(motion) not in done]
    moves = tuple(_tying(_grouped(resolved, _single(left, work.closed)), tied))
    return (*found, Movements(resolved, 0, moves)) if moves else tuple(found)


def sequence_of(resolved: ResolvedDesign, step: int) -> Movements | None:
    """The sequence of a step, if it moves something."""
    return next((each for each in sequences(resolved) if each.step == step), None)


def _moves(resolved: ResolvedDesign, work: Work, number: int, tied: list[str]) -> tuple[Move, ...]:
    """The movements of a step, each with what is glued when it is done."""
    moments = work.moments_of(number)
    single: list[Move] = []
    for moment in moments:
        if moment.motion is not None:
            single += _single([moment.motion], moment.assembly)
        elif moment.operation == "close" and moment.bonds:
            single = [_with_glue(move, moment.bonds) for move in single]
    moves = _alike_as_one(resolved, list(_grouped(resolved, single)))
    return tuple(_tying(moves, tied))


def _single(motions: Iterable[Motion], assembly: Assembly) -> Iterator[Move]:
    """Each motion that is to be seen as a movement of its own; what is only laid in its place has a
    picture of its step."""
    for motion in motions:
        match motion:
            case Turn():
                if motion.quarters:
                    yield Move(motion.before, motion.after, turns=(motion,))
            case Swing():
                yield Move(motion.before, motion.after, swing=motion)
            case Placing():
                if motion.put.way is not Way.LAID:
                    yield Move(motion.before, motion.put.after, placing=motion)
            case Tie():
                yield Move(assembly, assembly, tie=motion.fastening)
            case _:
                assert_never(motion)


def _with_glue(move: Move, bonds: Iterable[Bond]) -> Move:
    """A movement with those bonds of glue whose faces it brings together."""
    glued = [
        bond
        for bond in bonds
        if bond.adhesive is not None
        and move.after.side_of(bond.first, bond.second) is not None
        and move.before.side_of(bond.first, bond.second) is None
    ]
    return replace(move, glued=(*move.glued, *glued))


def _grouped(resolved: ResolvedDesign, moves: Iterable[Move]) -> Iterator[Move]:
    """Movements that hands do at once, as one."""
    group: Move | None = None
    for move in moves:
        if group is None:
            group = move
        elif _is_done_with(resolved, group, move):
            group = replace(
                group,
                after=move.after,
                turns=(*group.turns, *move.turns),
                glued=(*group.glued, *move.glued),
            )
        else:
            yield group
            group = move
    if group is not None:
        yield group


def _is_done_with(resolved: ResolvedDesign, group: Move, move: Move) -> bool:
    """Whether folds are turned with those before them."""
    if not move.turns or not group.turns or group.after.pieces != move.before.pieces:
        return False
    (turn,) = move.turns
    if move_is_to_and_fro(group):
        return _is_to_and_fro(group.turns, turn)
    if _lands_on(group, turn):
        return False
    if any(turn.moved & other.moved for other in group.turns):
        return _is_chained(group.turns, turn) or _is_to_and_fro(group.turns, turn)
    if is_tab(resolved, group.turns[-1].fold) != is_tab(resolved, turn.fold):
        return False
    is_of_piece = all(other.fold.piece == turn.fold.piece for other in group.turns)
    return group.turns[0].is_closing == turn.is_closing and (
        is_of_piece
        or all(
            _is_same_way(other, turn) and len(other.quarters) == len(turn.quarters)
            for other in group.turns
        )
    )


def is_tab(resolved: ResolvedDesign, fold: FoldKey) -> bool:
    """Whether a glue tab hangs on a fold."""
    return any(tab.name == fold.hanging for tab in resolved.pieces[fold.piece].source.tabs)


def _is_chained(turns: Iterable[Turn], turn: Turn) -> bool:
    """Whether a fold of a piece carries on what others of it began: together no more than half a
    turn, the same way about parallel lines."""
    before = [other for other in turns if other.moved & turn.moved]
    quarters = sum(len(other.quarters) for other in (*before, turn))
    return (
        bool(before)
        and quarters <= _HALF_TURN
        and all(
            other.fold.piece == turn.fold.piece and _is_same_way(other, turn) for other in before
        )
    )


def move_is_to_and_fro(move: Move) -> bool:
    """Whether a movement pushes a strip together that is folded to and fro."""
    (first, *others) = move.turns or (None,)
    return (
        first is not None
        and any(first.moved & each.moved for each in others)
        and all(len(each.quarters) == _HALF_TURN for each in move.turns)
    )


def _is_to_and_fro(turns: Iterable[Turn], turn: Turn) -> bool:
    """Whether a fold goes on a strip that is folded to and fro: neighbours are valley and mountain,
    all about parallel lines, by half a turn each."""
    creases = turn.before.creases
    own = creases[turn.fold]
    return all(
        len(other.quarters) == len(turn.quarters) == _HALF_TURN
        and bool(other.moved & turn.moved)
        and other.is_closing == turn.is_closing
        and other.quarters[0].line.axis == turn.quarters[0].line.axis
        and (
            creases[other.fold].sense != own.sense
            or {own.hanging, own.staying}.isdisjoint(
                (creases[other.fold].hanging, creases[other.fold].staying)
            )
        )
        for other in turns
    )


def _is_same_way(first: Turn, second: Turn) -> bool:
    one, two = first.quarters[0], second.quarters[0]
    return one.line.axis == two.line.axis and one.sense == two.sense


def _lands_on(group: Move, turn: Turn) -> bool:
    """Whether something comes to lie over what the others of a group moved."""
    others = {key for other in group.turns if not other.moved & turn.moved for key in other.moved}
    return any(
        turn.after.side_of(first, second) is not None and turn.before.side_of(first, second) is None
        for first in turn.moved
        for second in others
    )


def _alike_as_one(resolved: ResolvedDesign, moves: list[Move]) -> list[Move]:
    """Single pieces that are folded as others of their shape were: the first stands for all."""
    found: list[Move] = []
    for move in moves:
        like = next((n for n, each in enumerate(found) if _is_alike(resolved, each, move)), None)
        if like is None:
            found.append(move)
        else:
            found[like] = replace(found[like], alike=(*found[like].alike, *move.turns))
    return found


def _is_alike(resolved: ResolvedDesign, first: Move, second: Move) -> bool:
    """Whether two movements of different assemblies are the same folds of pieces alike."""
    pairs = list(zip(first.before.pieces, second.before.pieces, strict=False))
    return (
        bool(first.turns)
        and len(first.before.pieces) == len(second.before.pieces)
        and set(first.before.pieces).isdisjoint(second.before.pieces)
        and [turn.fold.hanging for turn in first.turns]
        == [turn.fold.hanging for turn in second.turns]
        and all(
            resolved.pieces[a].outline == resolved.pieces[b].outline
            and resolved.pieces[a].stock == resolved.pieces[b].stock
            for a, b in pairs
        )
    )


def _tying(moves: Iterable[Move], tied: list[str]) -> Iterator[Move]:
    """The movements, each with the ribbons tied by then: what opens unties them."""
    for move in moves:
        if move.tie:
            tied.append(move.tie)
        if any(not turn.is_closing for turn in move.turns):
            tied.clear()
        yield replace(move, tied=tuple(tied))
