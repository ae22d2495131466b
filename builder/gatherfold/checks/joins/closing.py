"""The order in which sections close: what ``closing`` says, against the steps and the layers.

In: the closed work and ``closing``.  Out: a section that ``closing`` names later than another, and
that lies under it; a lid that closes before its box; something put in under what is closed.
"""

from collections.abc import Iterator
from itertools import combinations

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    Assembly,
    FaceKey,
    FoldKey,
    Look,
    Placing,
    Work,
    is_nearer,
    shape_of,
    work_of,
)

#: Of the smaller of two faces at least so much has to lie under the other (common practice).
_SHARE = 0.1


def check_closing_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every two things that ``closing`` names, and everything that is inserted."""
    work = work_of(resolved)
    yield from _layers(resolved, work)
    yield from _lids(resolved)
    yield from _written(resolved, work)
    yield from _inserts(resolved, work)


def _layers(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    closed, position = work.closed, resolved.design.positions.get("closing")
    names = [name for name in resolved.design.closing if name.partition(".")[0] in closed.pieces]
    if any(problem.stop is not None for problem in work.problems):
        return
    for earlier, later in combinations(names, 2):
        pairs = (
            (first, second)
            for first in _hanging(closed, earlier)
            for second in _hanging(closed, later)
            if not _is_tucked(resolved, first, second) and _lies_under(closed, second, first)
        )
        if next(pairs, None) is not None:
            piece = resolved.pieces[later.partition(".")[0]]
            told = {"earlier": _words(earlier), "later": _words(later)}
            yield finding_kind("closing-contradicts-steps").found(
                resolved, position or piece.source.position, **told
            )


def _hanging(closed: Assembly, name: str) -> list[FaceKey]:
    """The faces that something in ``closing`` turns right over."""
    piece, _, section = name.partition(".")
    return [
        fold.face
        for fold, crease in closed.creases.items()
        if fold.piece == piece
        and section in ("", fold.hanging)
        and closed.angle(fold) == 180
        and crease.closed == 180
    ]


def _is_tucked(resolved: ResolvedDesign, first: FaceKey, second: FaceKey) -> bool:
    """Whether one of two faces is tucked under the other."""
    pairs = ((first, second), (second, first))
    return any(
        tuck.section == own.face and FaceKey(tuck.host, tuck.host_face) == other
        for own, other in pairs
        for tuck in resolved.pieces[own.piece].source.tucks
    )


def _lies_under(closed: Assembly, inner: FaceKey, outer: FaceKey) -> bool:
    """Whether a face lies nearer than another to what it was folded over, and shares its place."""
    plates = closed.plates
    staying = _base(closed, inner)
    if plates[inner].axis != plates[outer].axis or plates[staying].axis != plates[inner].axis:
        return False
    up = Look(plates[inner].axis, 1)
    look = up if is_nearer(closed, staying, inner, up) else Look(up.axis, -1)
    if not is_nearer(closed, inner, outer, look):
        return False
    own, other = shape_of(plates[inner]), shape_of(plates[outer])
    return bool(own.intersection(other).area > _SHARE * min(own.area, other.area))


def _written(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """Sections of one piece that a step closes by name, one after the other, against how they lie
    at the end."""
    if any(problem.stop is not None for problem in work.problems):
        return
    closed = work.closed
    for number, step in enumerate(resolved.design.steps, start=1):
        names = [name for name in step.operations.get("close", ()) if _is_section(resolved, name)]
        for earlier, later in combinations(names, 2):
            (first, second) = (FaceKey(*name.split(".", 1)) for name in (earlier, later))
            flat = _hanging(closed, earlier) and _hanging(closed, later)
            is_one = first.piece == second.piece and _base(closed, first) == _base(closed, second)
            if not is_one or not flat or _is_tucked(resolved, first, second):
                continue
            if _lies_under(closed, second, first):
                told = {"earlier": _words(earlier), "later": _words(later)}
                piece = resolved.pieces[first.piece]
                yield finding_kind("closing-contradicts-steps, written").found(
                    resolved, piece, number=number, **told
                )


def _is_section(resolved: ResolvedDesign, name: str) -> bool:
    """Whether a name is that of a section of one piece, without a pattern."""
    return "." in name and name.partition(".")[0] in resolved.pieces


def _base(closed: Assembly, hanging: FaceKey) -> FaceKey:
    """What a section is folded over."""
    fold = FoldKey(hanging.piece, hanging.face)
    return closed.creases[fold].staying if fold in closed.creases else hanging


def _lids(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A raised piece that ``closing`` names before what it stands over."""
    names = [name.partition(".")[0] for name in resolved.design.closing]
    for lid in dict.fromkeys(names):
        piece = resolved.pieces.get(lid)
        if piece is None or not piece.raised:
            continue
        for host in resolved.hosts_of(lid):
            if host in names[names.index(lid) :]:
                yield finding_kind("closing-contradicts-steps, lid first").found(
                    resolved, piece, lid=lid, host=host
                )


def _inserts(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """What a step slides in under a section that was closed before, and that nothing holds."""
    before: Assembly | None = None
    for moment in work.moments:
        placing = moment.motion
        if moment.operation == "insert" and isinstance(placing, Placing):
            last = placing.before if before is None else before
            piece = resolved.pieces[placing.piece]
            for fold in _closed_over(resolved, work, placing, last):
                told = {"flap": in_words(fold.hanging), "host": fold.piece}
                yield finding_kind("inserted-under-flap").found(
                    resolved, piece, number=moment.step, **told
                )
        before = moment.assembly


def _closed_over(
    resolved: ResolvedDesign, work: Work, placing: Placing, last: Assembly
) -> Iterator[FoldKey]:
    """Sections of what something goes into, closed just before, that lie over it at the end."""
    hosts = (placing.host.piece, *resolved.hosts_of(placing.host.piece))
    closed = work.closed
    own = [key for key in closed.plates if key.piece == placing.piece]
    for fold in (fold for fold in last.creases if fold.piece in hosts and fold in closed.creases):
        if last.angle(fold) == 180 and not last.is_locked(fold):
            base = last.creases[fold].staying
            if any(_covers(closed, base, key, fold.face) for key in own):
                yield fold


def _covers(after: Assembly, base: FaceKey, inner: FaceKey, flap: FaceKey) -> bool:
    """Whether a flap lies over something between it and what it was folded over."""
    plates = after.plates
    if not plates[base].axis == plates[inner].axis == plates[flap].axis:
        return False
    up = Look(plates[flap].axis, 1)
    look = up if is_nearer(after, base, flap, up) else Look(up.axis, -1)
    if not (is_nearer(after, base, inner, look) and is_nearer(after, inner, flap, look)):
        return False
    own, other = shape_of(plates[inner]), shape_of(plates[flap])
    return bool(own.intersection(other).area > _SHARE * min(own.area, other.area))


def _words(name: str) -> str:
    piece, _, section = name.partition(".")
    return f"the {in_words(section)} of '{piece}'" if section else f"'{piece}'"
