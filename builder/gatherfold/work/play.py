"""The steps of a design played once, as a maker does them.

In: a resolved design.  Out: its :class:`Work`: a moment after every operation and every motion.
What the design does not say is found: the order in which folds of one operation close, the layer
that something comes to lie on, and what it is glued to.  What a step names by one pattern is
ordered by how it lies and how large it is, never by name.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import assert_never

from gatherfold.model import Operation, Step
from gatherfold.reading import matching_names
from gatherfold.resolve import ResolvedDesign
from gatherfold.work.assembly import Assembly, FoldKey
from gatherfold.work.closing import Closed
from gatherfold.work.moments import Rank, Table, Tie, Trouble, Work
from gatherfold.work.moving import close_all, close_named, closed_all, undo
from gatherfold.work.parts import (
    Parts,
    further_demands,
    host_side,
    parts_of,
    section_folds,
    tucks_of,
    under_of,
)
from gatherfold.work.piercing import is_pierced, pierce
from gatherfold.work.placing import place, place_all

ALL = "all"


def play(resolved: ResolvedDesign, closes: bool = True) -> Work:
    """Play the steps of a design, then close what they leave open, where that is asked for."""
    parts = parts_of(resolved)
    ranks = {key: _rank(resolved, key) for key in resolved.pieces}
    further = tuple(further_demands(parts))
    table = Table(parts, ranks, tucks_of(parts), under_of(parts), further)
    for number, step in enumerate(resolved.design.steps, start=1):
        table.step = number
        table.closed_later = frozenset(_closed_from(parts, number))
        for operation in step.operations:
            table.doing = operation
            _do(table, step, operation)
    return _finished(table, closes)


def _do(table: Table, step: Step, operation: Operation) -> None:
    """Carry out an operation of a step."""
    named = step.operations[operation]
    match operation:
        case "cut" | "score" | "fold" | "ink" | "dry_fit":
            for key in _pieces_named(table, named):
                table.take(key)
        case "divide":
            pass
        case "attach" | "insert":
            for key in _pieces_named(table, named):
                place(table, key, is_slid=operation == "insert")
        case "close":
            if ALL in named:
                close_all(table)
            else:
                close_named(table, list(_folds_named(table.parts, named)))
        case "open":
            undo(table, None if ALL in named else set(_folds_named(table.parts, named)))
        case "fasten":
            for key in _fastenings_named(table, named):
                _fasten(table, key)
        case _:
            assert_never(operation)


def _fasten(table: Table, key: str) -> None:
    fastening = table.parts.resolved.fastenings[key]
    through, ring = fastening.source.through, fastening.source.round
    table.fastened.add(key)
    if ring is not None and table.is_tie(key):
        table.tied.add(key)
        table.note(table.take(ring), Tie(key))
    if fastening.point is None or not through or not is_pierced(fastening):
        return
    assembly = table.take(through[0])
    found = pierce(table.parts, assembly, fastening)
    table.marks[key], table.pierced[key] = found.marks, found.faces
    for piece in (each for each in through if each not in found.marks):
        table.tell(Trouble.NO_HOLE, key, piece)
    if found.bonds:
        table.join(assembly, found.bonds)


# ---- what a step names


def _pieces_named(table: Table, patterns: Iterable[str]) -> tuple[str, ...]:
    """The pieces that patterns name; those of one pattern so that hosts come before what lies on
    them, then by size and place."""
    return _in_turn(patterns, table.parts.resolved.pieces, table.ranks.__getitem__)


def _fastenings_named(table: Table, patterns: Iterable[str]) -> tuple[str, ...]:
    """The fastenings that patterns name; those of one pattern by what they go through, by its
    place and theirs."""
    fastenings = table.parts.resolved.fastenings

    def place_of(key: str) -> Rank:
        fastening = fastenings[key]
        point, through = fastening.point, fastening.source.through
        if point is None or not through:
            return (True, fastening.length, fastening.head)
        return (False, table.ranks[through[0]], point.x, -point.y)

    return _in_turn(patterns, fastenings, place_of)


def _in_turn(
    patterns: Iterable[str], names: Collection[str], rank: Callable[[str], Rank]
) -> tuple[str, ...]:
    found: dict[str, None] = {}
    for pattern in patterns:
        found |= dict.fromkeys(sorted(matching_names(pattern, names), key=rank))
    return tuple(found)


def _folds_named(parts: Parts, names: Iterable[str]) -> Iterator[FoldKey]:
    """The folds that names of ``close`` or ``open`` stand for."""
    for name in names:
        pattern, _, section = name.partition(".")
        for key in matching_names(pattern, parts.resolved.pieces):
            part = parts.pieces[key]
            creases = section_folds(part, section) if section else part.creases
            yield from (crease.key for crease in creases)


def _closed_from(parts: Parts, number: int) -> Iterator[FoldKey]:
    """The folds that a step or a later one closes by name."""
    for step in parts.resolved.design.steps[number - 1 :]:
        names = (name for name in step.operations.get("close", ()) if name != ALL)
        yield from _folds_named(parts, names)


def _rank(resolved: ResolvedDesign, key: str) -> Rank:
    """Something to order a piece by: hosts before what lies on them, then large before small, by
    place on the host and that of the host on its own, and so on."""
    places: list[Rank] = []
    at = piece = resolved.pieces[key]
    while at.source.placement is not None and len(places) < len(resolved.pieces):
        host = resolved.pieces[at.source.placement.host]
        box, offsets = host.face(at.host_face).box, at.offsets
        own = (offsets.left, -offsets.bottom) if offsets is not None else (0, 0)
        side = host_side(at.source.placement.relation)
        places.append((*own, box.left, -box.bottom, -side, -host.width, -host.height))
        at = host
    return (len(places), -piece.width * piece.height, -piece.width, *places)


# ---- the end


def _finished(table: Table, closes: bool) -> Work:
    """The work when all steps are done: open as far as it opens, and closed."""
    table.step, table.doing, table.closed_later = (
        0,
        "finish",
        frozenset(_closed_from(table.parts, 1)),
    )
    for demand in table.further:
        own, host = demand.faces
        if (own, host) not in table.joined:
            table.tell(Trouble.NEVER_JOINED, own, host)
    # What no step places yet is placed at the end, so that a design can grow.
    in_order = sorted(table.parts.pieces, key=table.ranks.__getitem__)
    at_rest = _at_rest_with(table, in_order)
    place_all(table, in_order)
    last = table.main()
    done = closed_all(table, last) if closes else Closed(last, ())
    for stop in done.stops:
        table.tell_stop(stop)
    return Work(
        parts=table.parts,
        moments=tuple(table.moments),
        assemblies=tuple(table.now),
        opened=last if at_rest is None else at_rest,
        closed=done.after,
        closing=(*table.closing, *done.turns),
        problems=tuple(table.problems),
        marks=table.marks,
        pierced=table.pierced,
    )


def _at_rest_with(table: Table, keys: Sequence[str]) -> Assembly | None:
    """The work as it was last at rest, with what no step places: that lies where it does with all
    closed.  None where it is at rest now, or never was."""
    at_rest = table.at_rest
    if at_rest is None or not at_rest.plates or at_rest is table.main():
        return None
    here = table.take(at_rest.base.piece)
    then = table.with_main(at_rest)
    place_all(then, [key for key in keys if key not in here.pieces])
    return then.take(at_rest.base.piece)
