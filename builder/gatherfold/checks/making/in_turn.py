"""In which turn pieces are tried and glued: before what lies on them, and as they are named.

In: the stages of a design.  Out: findings at the step that names them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, islice

from gatherfold.checks.making.stages import (
    Stage,
    Table,
    numbered_step,
    relation_of,
    share_on,
    step_in_words,
)
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.model import Step
from gatherfold.resolve import ResolvedDesign, named_pieces
from gatherfold.work import Assembly, FaceKey, Placing, glued_side

#: A piece that lies over so much of the place of another one has to come after it (no source).
_MUCH = 0.5
#: When a piece is glued: the number of its step, and its place among the pieces of that step.
_When = tuple[int, int]
_NEVER: _When = (0, 0)


def check_turns(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Pieces that are tried in another turn than they are glued, or named in another."""
    yield from _tried_only(resolved)
    for number, step in enumerate(resolved.design.steps, start=1):
        where = step_in_words(number, step)
        for host, key in _glued_turned_round(resolved, step):
            told = {"where": where, "host": host, "key": key}
            yield finding_kind("dry-fit-order").found(resolved, step.position, **told)
    for stage in stages:
        if stage.operation == "attach":
            yield from _named_order(resolved, stage)


def _glued_turned_round(resolved: ResolvedDesign, step: Step) -> Iterator[tuple[str, str]]:
    """What carries a piece and the piece, tried in this order and glued in the other one."""
    tried = named_pieces(step, "dry_fit", resolved)
    glued = named_pieces(step, "attach", resolved)
    for host, key in combinations([each for each in tried if each in glued], 2):
        if host in resolved.hosts_of(key) and glued.index(key) < glued.index(host):
            yield host, key


def _tried_only(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A piece that is tried, and glued only when something lies on it."""
    glued, steps = _glued_when(resolved), resolved.design.steps
    for key, number in _tried_last(resolved).items():
        later = glued.get(key, _NEVER)[0]
        if later > number and resolved.pieces[key].glued:
            told = {
                "tried": numbered_step(resolved, number),
                "glued": numbered_step(resolved, later),
            }
            for other in islice(_laid_between(resolved, key, number, glued), 1):
                yield finding_kind("dry-fit-left").found(
                    resolved, steps[later - 1].position, **told, key=key, other=other
                )


def _glued_when(resolved: ResolvedDesign) -> dict[str, _When]:
    """When each piece is glued first."""
    found: dict[str, _When] = {}
    for number, step in enumerate(resolved.design.steps, start=1):
        for place, key in enumerate(named_pieces(step, "attach", resolved)):
            found.setdefault(key, (number, place))
    return found


def _tried_last(resolved: ResolvedDesign) -> dict[str, int]:
    """In which step each piece is tried last."""
    return {
        key: number
        for number, step in enumerate(resolved.design.steps, start=1)
        for key in named_pieces(step, "dry_fit", resolved)
    }


def _laid_between(
    resolved: ResolvedDesign, host: str, tried: int, glued: Mapping[str, _When]
) -> Iterator[str]:
    """The pieces that are glued on one in or after the step that tries it, before it is glued."""
    for key, when in glued.items():
        if resolved.pieces[key].host == host and (tried, -1) < when < glued[host]:
            yield key


def _named_order(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Pieces of one pattern that go on in the other order than that in which they are named."""
    placed = [each.motion for each in stage.moments if isinstance(each.motion, Placing)]
    turns = {placing.piece: number for number, placing in enumerate(placed)}
    named = [key for key in named_pieces(stage.step, "attach", resolved) if key in turns]
    turned_round = (
        {"first": first, "second": second}
        for first, second in combinations(named, 2)
        if turns[first] > turns[second] and _hides_place(resolved, stage.after, first, second)
    )
    for told in islice(turned_round, 1):
        yield stage.found(resolved, "named-in-other-order", **told)


def _hides_place(resolved: ResolvedDesign, table: Table, over: str, under: str) -> bool:
    """Whether a piece lies over most of the face by which another one is glued, and neither lies
    on the other by design."""
    is_carried = over in resolved.hosts_of(under) or under in resolved.hosts_of(over)
    assembly = next((each for each in table if {over, under} <= {*each.pieces}), None)
    if assembly is None or is_carried or resolved.pieces[under].source.placement is None:
        return False
    return _covers_place(resolved, assembly, over, under)


def _covers_place(resolved: ResolvedDesign, assembly: Assembly, over: str, under: str) -> bool:
    piece = resolved.pieces[under]
    by, away = FaceKey(under, piece.by), -glued_side(relation_of(piece))
    return any(
        assembly.side_of(by, face) == away and share_on(assembly, by, face) > _MUCH
        for face in assembly.plates
        if face.piece == over
    )
