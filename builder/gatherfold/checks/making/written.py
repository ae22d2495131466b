"""The order in which names stand under ``close``, ``open`` and ``closing``, against that in which
the work can do it, and names that have nothing to close or to open.

In: the stages of a design.  Out: findings, at the step or at the list of the whole design.  What
closes later lies over what closed before it; what lies over another opens first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

from gatherfold.checks.making.stages import (
    Stage,
    angle_of,
    folds_of,
    lies_that_way,
    towards_side,
    without_seals,
)
from gatherfold.checks.report import FindingKind, finding_kind, section_in_words
from gatherfold.findings import Finding, Position
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    ALL,
    Assembly,
    FaceKey,
    FoldKey,
    Turn,
    closing_demands,
    under_of,
    work_of,
)


def check_written(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """What is written in another order than it is done in, and what has nothing to do."""
    for stage in stages:
        match stage.operation:
            case "close":
                yield from _order(resolved, stage, finding_kind("closed-in-other-order"))
                yield from _idle(resolved, stage)
            case "open":
                yield from _order(resolved, stage, finding_kind("opened-in-other-order"))
                yield from _idle(resolved, stage)
            case _:
                pass
    yield from _closing_order(resolved)
    yield from _closing_gaps(resolved, stages)
    yield from _tucked(resolved)


def _order(resolved: ResolvedDesign, stage: Stage, kind: FindingKind) -> Iterator[Finding]:
    """Two names in one list, of which the work turns the second first, for the first covers it."""
    parts = work_of(resolved).parts
    turns = {
        motion.fold: (number, motion)
        for number, motion in reversed(list(enumerate(each.motion for each in stage.moments)))
        if isinstance(motion, Turn)
    }
    named = {name: [f for f in folds_of(parts, name) if f in turns] for name in stage.names}
    told_of: set[str] = set()
    for first, second in combinations([name for name in named if named[name]], 2):
        if set(named[first]) & set(named[second]) or {first, second} & told_of:
            continue
        if min(turns[f][0] for f in named[first]) < max(turns[f][0] for f in named[second]):
            continue
        pair = (
            _covering(resolved, stage, named[first], named[second])
            if stage.operation == "close"
            else _trapped(stage, [turns[f][1] for f in named[first]], named[second])
        )
        if pair is not None and _is_said(resolved, stage, first, second):
            told_of |= {first, second}
            outer, inner = (section_in_words(resolved, face) for face in pair)
            told = {"first": first, "second": second, "outer": outer, "inner": inner}
            yield kind.found(resolved, stage.step.position, where=stage.where, **told)


def _is_said(resolved: ResolvedDesign, stage: Stage, first: str, second: str) -> bool:
    """Whether the order of two names is more than found: ``closing`` names both, or the first is
    glued when it closes and holds the second, which is not."""
    parts = work_of(resolved).parts
    folds = [set(folds_of(parts, name)) for name in (first, second)]
    named = {fold for name in resolved.design.closing for fold in folds_of(parts, name)}
    if all(named & each for each in folds):
        return True
    glued = [
        any(any(closing_demands(parts, parts.pieces[f.piece], f.hanging)) for f in each)
        for each in folds
    ]
    return stage.operation == "close" and glued == [True, False]


def _covering(
    resolved: ResolvedDesign, stage: Stage, outer: Sequence[FoldKey], inner: Sequence[FoldKey]
) -> tuple[FaceKey, FaceKey] | None:
    """A section among some that lies over one of the others when all are closed."""
    tucked = under_of(work_of(resolved).parts)
    for over in outer:
        for under in inner:
            table = (each for each in stage.after if {over, under} <= each.creases.keys())
            assembly = next(table, None)
            is_tucked = tucked.get(under.face) == over.face or tucked.get(over.face) == under.face
            if assembly is None or is_tucked or not _lies_level(assembly, over):
                continue
            if _covers(assembly, over, under.face):
                return over.face, under.face
    return None


def _lies_level(assembly: Assembly, fold: FoldKey) -> bool:
    """Whether a section lies level with what is at rest, and does not stand as a wall does."""
    return assembly.plates[fold.face].axis == assembly.plates[assembly.base].axis


def _covers(assembly: Assembly, fold: FoldKey, face: FaceKey) -> bool:
    """Whether a section lies with its inner side over a face."""
    plate = assembly.plates[fold.face]
    way = towards_side(plate, 1 if assembly.creases[fold].sense == "valley" else -1)
    return lies_that_way(assembly, fold.face, face, way)


def _trapped(
    stage: Stage, turns: Sequence[Turn], others: Sequence[FoldKey]
) -> tuple[FaceKey, FaceKey] | None:
    """A face that is to open, and one of those that open later in the list and lies over it."""
    for turn in turns:
        assembly = next((each for each in stage.before if turn.fold in each.creases), None)
        if assembly is None:
            continue
        plate = assembly.plates[turn.fold.face]
        way = towards_side(plate, -1 if assembly.creases[turn.fold].sense == "valley" else 1)
        for fold in (each for each in others if each in assembly.creases):
            cut = assembly.folds_on(assembly.lines[fold])
            carried = assembly.connected(fold.face, cut)
            own = turn.fold.face in carried
            for outer in (face for face in assembly.plates if (face in carried) != own):
                if lies_that_way(assembly, turn.fold.face, outer, way):
                    return outer, turn.fold.face
    return None


def _idle(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Names of which everything is closed, or open, already."""
    parts = work_of(resolved).parts
    for name in (each for each in stage.names if each != ALL):
        creases = {c.key: c for part in parts.pieces.values() for c in part.creases}
        folds = [fold for fold in folds_of(parts, name) if creases[fold].closed]
        angles = {fold: angle_of(stage.before, fold) or 0 for fold in folds}
        told = {"where": stage.where, "name": name}
        if not folds:
            continue
        if stage.operation == "close":
            if all(angles[fold] == creases[fold].closed for fold in folds):
                yield finding_kind("closed-twice").found(resolved, stage.step.position, **told)
        elif not any(angles.values()):
            yield finding_kind("opened-unclosed").found(resolved, stage.step.position, **told)
        elif all(_is_held(stage.before, fold) for fold in folds if angles[fold]):
            yield finding_kind("opened-glued").found(resolved, stage.step.position, **told)


def _is_held(table: tuple[Assembly, ...], fold: FoldKey) -> bool:
    """Whether glue on a section itself holds it; a tube that is glued flat opens all the same."""
    assembly = next(each for each in table if fold in each.creases)
    is_glued = any(b.first == fold.face and b.joins == fold.piece for b in assembly.bonds)
    return is_glued and assembly.is_locked(fold)


def _closing_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Two entries of ``closing`` of which the first lies over the second in the closed work."""
    work, listed = work_of(resolved), resolved.design.closing
    closed, parts = work.closed, work.parts
    carried = {
        name: {
            fold: closed.connected(fold.face, closed.folds_on(closed.lines[fold]))
            for fold in folds_of(parts, name)
            if fold in closed.creases and closed.angle(fold)
        }
        for name in listed
    }
    tucked = under_of(parts)
    told_of: set[str] = set()
    for first, second in combinations(listed, 2):
        pair = _over_later(closed, carried[first], carried[second], tucked)
        if pair is not None and told_of.isdisjoint((first, second)):
            told_of |= {first, second}
            outer, inner = (section_in_words(resolved, face) for face in pair)
            told = {"first": first, "second": second, "outer": outer, "inner": inner}
            yield finding_kind("closing-in-other-order").found(
                resolved, _closing_at(resolved), **told
            )


def _over_later(
    closed: Assembly,
    first: Mapping[FoldKey, frozenset[FaceKey]],
    second: Mapping[FoldKey, frozenset[FaceKey]],
    tucked: Mapping[FaceKey, FaceKey],
) -> tuple[FaceKey, FaceKey] | None:
    """A section of the first that lies over a face which the second brings to its place."""
    for fold, own in first.items():
        if not _lies_level(closed, fold) or fold.face in tucked:
            continue
        for later, moved in second.items():
            if fold.face in moved or own == moved or tucked.get(later.face) == fold.face:
                continue
            for face in moved:
                if _covers(closed, fold, face):
                    return fold.face, face
    return None


def _closing_at(resolved: ResolvedDesign) -> Position:
    return resolved.design.positions.get("closing", Position(resolved.design.file, 1, 1))


def _closing_gaps(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """A piece that ``closing`` leaves out, though it names others of its kind, and that closes
    only when all does."""
    work, listed = work_of(resolved), resolved.design.closing
    named = {name.partition(".")[0] for name in listed}
    by_name = {
        fold.piece
        for stage in stages
        if stage.operation == "close"
        for name in stage.names
        if name != ALL
        for fold in folds_of(work.parts, name)
    }
    for key in resolved.pieces:
        folds = [f for f in work.closed.creases if f.piece == key and work.closed.angle(f)]
        like = [k for k in resolved.pieces if k in named and _are_alike(resolved, k, key)]
        is_open = folds and not all(work.closed.is_locked(fold) for fold in folds)
        if is_open and like and key not in named and key not in by_name:
            told = " and ".join(f"'{each}'" for each in like)
            yield finding_kind("closing-incomplete").found(
                resolved, _closing_at(resolved), like=told, name=key
            )


def _are_alike(resolved: ResolvedDesign, one: str, two: str) -> bool:
    return resolved.pieces[one].source.kind == resolved.pieces[two].source.kind


def _tucked(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A section tucked under one that lies over nothing which lies under the first: no ring of
    sections, each over the next, that it would close."""
    work = work_of(resolved)
    closed = without_seals(resolved, work.closed)
    for under, over in under_of(work.parts).items():
        fold, host = FoldKey(*under), FoldKey(*over)
        if fold not in closed.creases or host not in closed.creases or closed.is_locked(host):
            continue
        level = [f for f in closed.creases if closed.angle(f) and _lies_level(closed, f)]
        lower = {f: [g for g in level if g != f and _covers(closed, f, g.face)] for f in level}
        if fold in lower and host in lower and host not in _below(lower, fold):
            yield finding_kind("tucked-without-ring").found(
                resolved,
                resolved.pieces[under.piece],
                under=section_in_words(resolved, under),
                over=section_in_words(resolved, over),
            )


def _below(lower: Mapping[FoldKey, Sequence[FoldKey]], start: FoldKey) -> frozenset[FoldKey]:
    """The sections that lie under one, and under those, and so on."""
    waiting, found = list(lower[start]), set(lower[start])
    while waiting:
        new = set(lower[waiting.pop()]) - found
        waiting += new
        found |= new
    return frozenset(found)
