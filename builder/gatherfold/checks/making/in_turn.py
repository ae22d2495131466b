"""In which turn pieces are tried and glued: before what lies on them, and as they are named.

In: the stages of a design.  Out: findings at the step that names them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

from gatherfold.checks.making.stages import Stage, share_on, step_in_words
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign, named_pieces
from gatherfold.work import Assembly, FaceKey, Placing, glued_side

#: A piece that lies over so much of the place of another one has to come after it (no source).
_MUCH = 0.5


def check_turns(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Pieces that are tried in another turn than they are glued, or named in another."""
    yield from _tried_only(resolved)
    for number, step in enumerate(resolved.design.steps, start=1):
        tried = named_pieces(step, "dry_fit", resolved)
        glued = named_pieces(step, "attach", resolved)
        for host, key in combinations([each for each in tried if each in glued], 2):
            is_host = host in resolved.hosts_of(key)
            if is_host and glued.index(key) < glued.index(host):
                told = {"where": step_in_words(number, step), "host": host, "key": key}
                yield finding_kind("dry-fit-order").found(resolved, step.position, **told)
    for stage in stages:
        if stage.operation == "attach":
            yield from _named_order(resolved, stage)


def _tried_only(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A piece that is tried, and glued only when something lies on it."""
    glued: dict[str, tuple[int, int]] = {}
    tried: dict[str, int] = {}
    for number, step in enumerate(resolved.design.steps, start=1):
        for place, key in enumerate(named_pieces(step, "attach", resolved)):
            glued.setdefault(key, (number, place))
        tried |= dict.fromkeys(named_pieces(step, "dry_fit", resolved), number)
    for key, number in tried.items():
        later = glued.get(key, (0, 0))
        if later[0] <= number or not resolved.pieces[key].glued:
            continue
        for other, when in glued.items():
            placement = resolved.pieces[other].source.placement
            if placement is not None and placement.host == key and (number, -1) < when < later:
                steps = resolved.design.steps
                told = {
                    "tried": step_in_words(number, steps[number - 1]),
                    "glued": step_in_words(later[0], steps[later[0] - 1]),
                }
                position = steps[later[0] - 1].position
                yield finding_kind("dry-fit-left").found(
                    resolved, position, **told, key=key, other=other
                )
                break


def _named_order(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Pieces of one pattern that go on in the other order than that in which they are named."""
    placed = [each.motion for each in stage.moments if isinstance(each.motion, Placing)]
    turns = {placing.piece: number for number, placing in enumerate(placed)}
    named = [key for key in named_pieces(stage.step, "attach", resolved) if key in turns]
    for first, second in combinations(named, 2):
        if turns[first] < turns[second] or first in resolved.hosts_of(second):
            continue
        table = (a for a in stage.after if {first, second} <= set(a.pieces))
        assembly = next(table, None)
        if assembly is not None and _covers_place(resolved, assembly, first, second):
            told = {"where": stage.where, "first": first, "second": second}
            yield finding_kind("named-in-other-order").found(resolved, stage.step.position, **told)
            return


def _covers_place(resolved: ResolvedDesign, assembly: Assembly, over: str, under: str) -> bool:
    """Whether a piece lies over most of the face by which another one is glued."""
    piece = resolved.pieces[under]
    placement, by = piece.source.placement, FaceKey(under, piece.by)
    if placement is None or over in resolved.hosts_of(under) or under in resolved.hosts_of(over):
        return False
    away = -glued_side(placement.relation)
    return any(
        assembly.side_of(by, face) == away and share_on(assembly, by, face) > _MUCH
        for face in assembly.plates
        if face.piece == over
    )
