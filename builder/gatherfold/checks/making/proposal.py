"""An order of the steps that meets every requirement, near to the one the design gives.

In: how many steps there are, and requirements.  Out: their numbers in a valid order, or the circle
of steps that allows none and how one of them is divided.  Cost is n·log n in steps and
requirements.
"""

import heapq
from bisect import bisect_left
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise

from gatherfold.checks.making.requirements import Operation, Requirement
from gatherfold.model import Operation as OperationKind

_Links = Mapping[int, Collection[int]]


def valid_order(count: int, requirements: Iterable[Requirement]) -> tuple[int, ...] | None:
    """The steps 1 … ``count`` in an order that meets all requirements, or None if there is none.

    Steps are pulled forward to those that need them, or pushed back behind those they need; the
    order that moves fewer steps is taken.
    """
    needed = list(requirements)
    if any(each.divides_step for each in needed):
        return None
    earlier = _links(needed)
    steps = range(1, count + 1)
    try:
        pulled = _pulled_forward(steps, earlier)
    except CycleError:
        return None
    later: dict[int, set[int]] = {}
    for step, before in earlier.items():
        for each in before:
            later.setdefault(-each, set()).add(-step)
    pushed = tuple(-step for step in reversed(_pulled_forward(range(-count, 0), later)))
    return min(pulled, pushed, key=_disturbance)


def written_anew(requirements: Iterable[Requirement]) -> dict[int, tuple[OperationKind, ...]]:
    """The order of its kinds for each step that only writes them the wrong way round.

    A step that does one kind of thing both before and after another has to be divided.
    """
    within: dict[int, list[Requirement]] = {}
    for each in requirements:
        if each.earlier.step == each.later.step and each.earlier.kind != each.later.kind:
            within.setdefault(each.earlier.step, []).append(each)
    broken = {step: own for step, own in within.items() if any(r.divides_step for r in own)}
    orders = {step: _kinds_in_order(own) for step, own in broken.items()}
    return {step: kinds for step, kinds in orders.items() if kinds}


def _kinds_in_order(requirements: Iterable[Requirement]) -> tuple[OperationKind, ...]:
    """The kinds of what is done, in an order that meets all requirements; empty without one."""
    sorter: TopologicalSorter[OperationKind] = TopologicalSorter()
    for each in requirements:
        sorter.add(each.later.kind, each.earlier.kind)
    try:
        return tuple(sorter.static_order())
    except CycleError:
        return ()


def _links(requirements: Iterable[Requirement]) -> dict[int, set[int]]:
    """For each step those that come before it."""
    earlier: dict[int, set[int]] = {}
    for each in requirements:
        if each.earlier.step != each.later.step:
            earlier.setdefault(each.later.step, set()).add(each.earlier.step)
    return earlier


def _pulled_forward(steps: Sequence[int], earlier: _Links) -> tuple[int, ...]:
    """In order of number, except that a step goes before the first that needs it.

    Raises ``CycleError`` where there is no order.
    """
    wanted = {step: step for step in steps}
    for step in reversed([*TopologicalSorter(earlier).static_order()]):
        for before in earlier.get(step, ()):
            wanted[before] = min(wanted[before], wanted[step])
    sorter = TopologicalSorter(earlier)
    for step in steps:
        sorter.add(step)
    sorter.prepare()
    free: list[tuple[int, int]] = []
    order: list[int] = []
    while sorter.is_active():
        for step in sorter.get_ready():
            heapq.heappush(free, (wanted[step], step))
        order.append(heapq.heappop(free)[1])
        sorter.done(order[-1])
    return tuple(order)


def _disturbance(order: Sequence[int]) -> tuple[int, int]:
    """How many steps are moved, and how far all of them together."""
    kept: list[int] = []
    for step in order:
        place = bisect_left(kept, step)
        kept[place : place + 1] = [step]
    away = sum(abs(step - place) for place, step in enumerate(order, start=1))
    return len(order) - len(kept), away


@dataclass(frozen=True)
class StepCircle:
    """Steps that need each other: ``step`` must come both before and after ``other``.

    ``moved`` leave ``step`` for a new one after step ``after``; without any, dividing does not
    help.  ``step`` and ``other`` are the same where one step does two things the wrong way round.
    """

    step: int
    other: int
    between: tuple[int, ...]
    moved: tuple[Operation, ...]
    after: int


def circle(requirements: Iterable[Requirement]) -> StepCircle | None:
    """One of the circles that the requirements make, the shortest kind first; None without one.

    It is opened where what is done too early moves, and where the fewest operations move.
    """
    needed = list(requirements)
    ring = _ring(needed)
    if not ring:
        return None
    turned = [ring[index:] + ring[:index] for index in range(len(ring))]
    openings = [(each[-1].is_met, _opened(each, needed)) for each in turned]
    possible = [opening for opening in openings if opening[1].moved]
    return min(possible or openings[:1], key=lambda each: (each[0], len(each[1].moved)))[1]


def _opened(ring: Sequence[Requirement], requirements: Sequence[Requirement]) -> StepCircle:
    """The ring opened at the step that it starts from: what needs the step before moves away."""
    step, after, other = ring[0].earlier.step, ring[0].later.step, ring[-1].earlier.step
    needing = [each.later for each in requirements if _runs(each, other, step)]
    needed = {each.earlier for each in requirements if _runs(each, step, after)}
    between = tuple(each.later.step for each in ring[:-2])
    moved = _depending(needing, requirements)
    if not needed.isdisjoint(moved):
        moved, needed = _depending([ring[-1].later], requirements), {ring[0].earlier}
    if not needed.isdisjoint(moved):
        return StepCircle(step, other, between, (), other)
    leaving = tuple(each for each in moved if each.step == step)
    waited_for = (each.earlier.step for each in requirements if each.later in leaving)
    return StepCircle(step, other, between, leaving, max([other, *waited_for]))


def _runs(requirement: Requirement, start: int, end: int) -> bool:
    """Whether it takes the one step before the other, or divides the one step."""
    is_from_to = (requirement.earlier.step, requirement.later.step) == (start, end)
    return is_from_to and (start != end or requirement.divides_step)


def _ring(requirements: Iterable[Requirement]) -> list[Requirement]:
    """Requirements each of which leads to the step where the next one begins: within one step, else
    between two, else between several."""
    ways: dict[tuple[int, int], Requirement] = {}
    two: list[Requirement] = []
    for each in requirements:
        if each.divides_step:
            return [each]
        start, end = each.earlier.step, each.later.step
        ways.setdefault((start, end), each)
        if start != end and (end, start) in ways:
            two = two or [each, ways[end, start]]
    try:
        TopologicalSorter(_links(ways.values())).prepare()
    except CycleError as problem:
        return two or [ways[link] for link in pairwise(problem.args[1])]
    return []


def _depending(
    operations: Iterable[Operation], requirements: Iterable[Requirement]
) -> list[Operation]:
    """The operations and all that come after them by any chain of requirements."""
    later: dict[Operation, list[Operation]] = {}
    for each in requirements:
        later.setdefault(each.earlier, []).append(each.later)
    found = dict.fromkeys(operations)
    waiting = list(found)
    while waiting:
        for after in later.get(waiting.pop(), ()):
            if after not in found:
                found[after] = None
                waiting.append(after)
    return sorted(found, key=lambda operation: operation.when)
