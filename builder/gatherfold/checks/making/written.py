"""The order in which names stand under ``close``, ``open`` and ``closing``, against that in which
the work can do it, and names that have nothing to close or to open.

In: the stages of a design.  Out: findings, at the step or at the list of the whole design.  What
closes later lies over what closed before it; what lies over another opens first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import combinations, product
from typing import NamedTuple

from gatherfold.checks.making.stages import (
    Stage,
    Table,
    angle_of,
    closed_by_name,
    creases_of,
    folds_named,
    folds_of,
    holding,
    lies_that_way,
    towards_side,
    without_seals,
)
from gatherfold.checks.report import finding_kind, section_in_words
from gatherfold.findings import Finding, Position
from gatherfold.model import Operation
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    Assembly,
    FaceKey,
    FoldKey,
    Parts,
    Turn,
    closing_demands,
    reached,
    under_of,
    work_of,
)

_IN_OTHER_ORDER: Mapping[Operation, str] = {
    "close": "closed-in-other-order",
    "open": "opened-in-other-order",
}
#: A face, and one that it lies over.
_Over = tuple[FaceKey, FaceKey]
_Carried = Mapping[FoldKey, frozenset[FaceKey]]


class _Turned(NamedTuple):
    """A name, with the folds of it that a stage turns, each with its place among the turns."""

    name: str
    places: Mapping[FoldKey, int]


class _Crossed(NamedTuple):
    """Two names in one list, of which the first covers the second: where it lies over it."""

    first: str
    second: str
    over: _Over

    def told(self, resolved: ResolvedDesign) -> dict[str, str]:
        outer, inner = (section_in_words(resolved, face) for face in self.over)
        return {"first": self.first, "second": self.second, "outer": outer, "inner": inner}


def check_written(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """What is written in another order than it is done in, and what has nothing to do."""
    for stage in stages:
        if stage.operation in _IN_OTHER_ORDER:
            yield from _order(resolved, stage)
            yield from _idle(resolved, stage)
    yield from _closing_order(resolved)
    yield from _lids(resolved)
    yield from _closing_gaps(resolved, stages)
    yield from _tucked(resolved)


def _order(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Two names in one list, of which the work turns the second first, for the first covers it."""
    code, every = _IN_OTHER_ORDER[stage.operation], [*_turned_round(resolved, stage)]
    for crossed in _each_once(every):
        covered = [f"'{each.second}'" for each in every if each.first == crossed.first]
        told = {**crossed.told(resolved), "covered": " and ".join(dict.fromkeys(covered))}
        yield stage.found(resolved, code, **told)


def _each_once(crossed: Iterable[_Crossed]) -> Iterator[_Crossed]:
    """Those of which neither name has been told of."""
    told_of: set[str] = set()
    for each in crossed:
        if told_of.isdisjoint((each.first, each.second)):
            told_of |= {each.first, each.second}
            yield each


def _turned_round(resolved: ResolvedDesign, stage: Stage) -> Iterator[_Crossed]:
    covering = _COVERING[stage.operation]
    for first, second in combinations(_turned(resolved, stage), 2):
        if _turns_later(first, second) and _is_said(resolved, stage, first.name, second.name):
            over = covering(resolved, stage, first.places, second.places)
            if over is not None:
                yield _Crossed(first.name, second.name, over)


def _turned(resolved: ResolvedDesign, stage: Stage) -> Iterator[_Turned]:
    """The names of a stage that turn something, in their order."""
    parts, places = work_of(resolved).parts, dict[FoldKey, int]()
    for number, moment in enumerate(stage.moments):
        if isinstance(moment.motion, Turn):
            places.setdefault(moment.motion.fold, number)
    for name in dict.fromkeys(stage.names):
        own = {fold: places[fold] for fold in folds_of(parts, name) if fold in places}
        if own:
            yield _Turned(name, own)


def _turns_later(one: _Turned, two: _Turned) -> bool:
    """Whether all that one name turns comes after all that another one does."""
    is_apart = one.places.keys().isdisjoint(two.places)
    return is_apart and min(one.places.values()) > max(two.places.values())


def _is_said(resolved: ResolvedDesign, stage: Stage, first: str, second: str) -> bool:
    """Whether the order of two names is more than found: ``closing`` names both, or the first is
    glued when it closes and holds the second, which is not."""
    parts = work_of(resolved).parts
    listed = set(folds_named(parts, resolved.design.closing))
    if not any(listed.isdisjoint(folds_of(parts, name)) for name in (first, second)):
        return True
    is_closing = stage.operation == "close"
    return is_closing and _is_glued(parts, first) and not _is_glued(parts, second)


def _is_glued(parts: Parts, name: str) -> bool:
    """Whether anything is glued when a name closes."""
    return any(
        any(closing_demands(parts, parts.pieces[fold.piece], fold.hanging))
        for fold in folds_of(parts, name)
    )


def _covering(
    resolved: ResolvedDesign, stage: Stage, outer: Iterable[FoldKey], inner: Iterable[FoldKey]
) -> _Over | None:
    """A section among some that lies over one of the others when all are closed."""
    tucked = under_of(work_of(resolved).parts)
    pairs = (
        (over.face, under.face)
        for over, under in product(outer, inner)
        if not _are_tucked(tucked, over.face, under.face)
        and _is_closed_over(stage.after, over, under)
    )
    return next(pairs, None)


def _are_tucked(tucked: Mapping[FaceKey, FaceKey], one: FaceKey, two: FaceKey) -> bool:
    """Whether one of two sections is tucked under the other one."""
    return tucked.get(two) == one or tucked.get(one) == two


def _is_closed_over(table: Table, over: FoldKey, under: FoldKey) -> bool:
    assembly = holding(table, over, under)
    is_level = assembly is not None and _lies_level(assembly, over)
    return assembly is not None and is_level and _covers(assembly, over, under.face)


def _lies_level(assembly: Assembly, fold: FoldKey) -> bool:
    """Whether a section lies level with what is at rest, and does not stand as a wall does."""
    return assembly.plates[fold.face].axis == assembly.plates[assembly.base].axis


def _covers(assembly: Assembly, fold: FoldKey, face: FaceKey) -> bool:
    """Whether a section lies with its inner side over a face."""
    way = towards_side(assembly.plates[fold.face], assembly.creases[fold].inner)
    return lies_that_way(assembly, fold.face, face, way)


def _trapped(
    _: ResolvedDesign, stage: Stage, first: Iterable[FoldKey], later: Iterable[FoldKey]
) -> _Over | None:
    """A face that is to open, and one of those that open later in the list and lies over it."""
    pairs = ((face, fold.face) for fold in first for face in _lying_on(stage.before, fold, later))
    return next(pairs, None)


def _lying_on(table: Table, fold: FoldKey, later: Iterable[FoldKey]) -> Iterator[FaceKey]:
    """The faces that lie on the outer side of a section, and leave it when others open."""
    assembly = holding(table, fold)
    if assembly is not None:
        crease, plate = assembly.creases[fold], assembly.plates[fold.face]
        way = towards_side(plate, -1 if crease.inner == 1 else 1)
        for other in (each for each in later if each in assembly.creases):
            for face in _parted(assembly, other, fold.face):
                if lies_that_way(assembly, fold.face, face, way):
                    yield face


def _parted(assembly: Assembly, fold: FoldKey, face: FaceKey) -> Iterator[FaceKey]:
    """The faces that lie on the other side of a fold than one does."""
    carried = _carried(assembly, fold)
    is_carried = face in carried
    return (each for each in assembly.plates if (each in carried) != is_carried)


def _carried(assembly: Assembly, fold: FoldKey) -> frozenset[FaceKey]:
    """What turns with the section of a fold."""
    return assembly.connected(fold.face, assembly.folds_on(assembly.lines[fold]))


#: What of a name lies over what of another one, by what is done to both.
_COVERING: Mapping[
    Operation,
    Callable[[ResolvedDesign, Stage, Iterable[FoldKey], Iterable[FoldKey]], _Over | None],
] = {"close": _covering, "open": _trapped}


def _idle(resolved: ResolvedDesign, stage: Stage) -> Iterator[Finding]:
    """Names of which everything is closed, or open, already."""
    for name in stage.by_name:
        code = _idleness(work_of(resolved).parts, stage, name)
        if code:
            yield stage.found(resolved, code, name=name)


def _idleness(parts: Parts, stage: Stage, name: str) -> str:
    """The code of what a name has nothing to do for; empty where it does something."""
    closed = {crease.key: crease.closed for crease in creases_of(parts, name) if crease.closed}
    angles = {fold: angle_of(stage.before, fold) for fold in closed}
    turned = [fold for fold, angle in angles.items() if angle]
    match stage.operation:
        case _ if not closed:
            return ""
        case "close":
            return "closed-twice" if angles == closed else ""
        case _ if not turned:
            return "opened-unclosed"
        case _:
            are_held = all(_is_held(stage.before, fold) for fold in turned)
            return "opened-glued" if are_held else ""


def _is_held(table: Table, fold: FoldKey) -> bool:
    """Whether glue on a section itself holds it; a tube that is glued flat opens all the same."""
    assembly = holding(table, fold)
    assert assembly is not None, "it is turned"
    is_glued = any(b.first == fold.face and b.joins == fold.piece for b in assembly.bonds)
    return is_glued and assembly.is_locked(fold)


def _closing_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Two entries of ``closing`` of which the first lies over the second in the closed work."""
    for crossed in _each_once(_listed_early(resolved)):
        yield finding_kind("closing-in-other-order").found(
            resolved, _closing_at(resolved), **crossed.told(resolved)
        )


def _listed_early(resolved: ResolvedDesign) -> Iterator[_Crossed]:
    work, listed = work_of(resolved), resolved.design.closing
    tucked = under_of(work.parts)
    carried = {name: _carried_by(work.closed, folds_of(work.parts, name)) for name in listed}
    for first, second in combinations(listed, 2):
        over = next(_over_later(work.closed, carried[first], carried[second], tucked), None)
        if over is not None:
            yield _Crossed(first, second, over)


def _carried_by(closed: Assembly, folds: Iterable[FoldKey]) -> _Carried:
    """What turns with each of some folds that are closed."""
    turned = (fold for fold in folds if fold in closed.creases and closed.angle(fold))
    return {fold: _carried(closed, fold) for fold in turned}


def _over_later(
    closed: Assembly, first: _Carried, second: _Carried, tucked: Mapping[FaceKey, FaceKey]
) -> Iterator[_Over]:
    """The sections of the first that lie over a face which the second brings to its place."""
    level = [fold for fold in first if _lies_level(closed, fold) and fold.face not in tucked]
    for fold, (later, moved) in product(level, second.items()):
        is_bound = fold.face in moved or first[fold] == moved
        if not is_bound and tucked.get(later.face) != fold.face:
            brought = (face for face in closed.plates if face in moved)
            yield from ((fold.face, face) for face in brought if _covers(closed, fold, face))


def _lids(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A raised piece that ``closing`` names before what it stands over."""
    names = [name.partition(".")[0] for name in resolved.design.closing]
    for lid in (key for key, piece in resolved.pieces.items() if piece.raised and key in names):
        later = names[names.index(lid) :]
        for host in filter(later.__contains__, resolved.hosts_of(lid)):
            yield finding_kind("closing-in-other-order, lid first").found(
                resolved, resolved.pieces[lid], lid=lid, host=host
            )


def _closing_at(resolved: ResolvedDesign) -> Position:
    return resolved.design.positions.get("closing", Position(resolved.design.file, 1, 1))


def _closing_gaps(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """A piece that ``closing`` leaves out, though it names others of its kind, and that closes
    only when all does."""
    closed, listed = work_of(resolved).closed, resolved.design.closing
    named = dict.fromkeys(key for key in resolved.pieces if key in _pieces_of(listed))
    known = {*named, *(fold.piece for fold in closed_by_name(resolved, stages))}
    for key in (each for each in resolved.pieces if each not in known):
        kind = resolved.pieces[key].source.kind
        like = [each for each in named if resolved.pieces[each].source.kind == kind]
        if like and _closes_loosely(closed, key):
            told = " and ".join(f"'{each}'" for each in like)
            yield finding_kind("closing-incomplete").found(
                resolved, _closing_at(resolved), like=told, name=key
            )


def _pieces_of(names: Iterable[str]) -> set[str]:
    return {name.partition(".")[0] for name in names}


def _closes_loosely(closed: Assembly, key: str) -> bool:
    """Whether a piece is folded in the closed work, and not all of it held so."""
    folds = [fold for fold in closed.creases if fold.piece == key and closed.angle(fold)]
    return not all(closed.is_locked(fold) for fold in folds)


def _tucked(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A section tucked under one that lies over nothing which lies under the first: no ring of
    sections, each over the next, that it would close."""
    work = work_of(resolved)
    closed = without_seals(resolved, work.closed)
    for under, over in under_of(work.parts).items():
        fold, host = FoldKey(*under), FoldKey(*over)
        if _opens_again(closed, fold, host) and _misses_ring(closed, fold, host):
            yield finding_kind("tucked-without-ring").found(
                resolved,
                resolved.pieces[under.piece],
                under=section_in_words(resolved, under),
                over=section_in_words(resolved, over),
            )


def _opens_again(closed: Assembly, fold: FoldKey, host: FoldKey) -> bool:
    """Whether a section and the one that it is tucked under are there, and that one is loose."""
    return {fold, host} <= closed.creases.keys() and not closed.is_locked(host)


def _misses_ring(closed: Assembly, fold: FoldKey, host: FoldKey) -> bool:
    """Whether a section does not lie, level by level, over the one that it is tucked under."""
    level = [each for each in closed.creases if closed.angle(each) and _lies_level(closed, each)]

    def below(over: FoldKey) -> Iterator[FoldKey]:
        return (each for each in level if each != over and _covers(closed, over, each.face))

    return {fold, host} <= {*level} and host not in reached([fold], below)
