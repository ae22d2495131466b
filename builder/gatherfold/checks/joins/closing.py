"""The order in which sections close: what ``closing`` says, against the layers.

In: the closed work and ``closing``.  Out: a section that ``closing`` names later than another, and
that lies under it; a lid that closes before its box; something put in under what is closed.
"""

from collections.abc import Iterator
from itertools import combinations, product

from gatherfold.checks.joins.folded import lie_in_turn, outward, right_over
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import Assembly, Crease, FaceKey, FoldKey, Placing, Work, work_of


def check_closing_order(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every two things that ``closing`` names, and everything that is inserted."""
    work = work_of(resolved)
    yield from _lids(resolved)
    if all(problem.stop is None for problem in work.problems):
        yield from _layers(resolved, work.closed)
    yield from _inserts(resolved, work)


# ---- layers


def _layers(resolved: ResolvedDesign, closed: Assembly) -> Iterator[Finding]:
    """What ``closing`` names one after the other, against how it lies at the end."""
    position = resolved.design.positions.get("closing")
    names = (name for name in resolved.design.closing if _piece(name) in closed.pieces)
    for earlier, later in combinations(names, 2):
        if _lies_wrong(resolved, closed, earlier, later):
            piece = resolved.pieces[_piece(later)]
            told = {"earlier": _words(earlier), "later": _words(later)}
            yield finding_kind("closing-contradicts-steps").found(
                resolved, position or piece.source.position, **told
            )


def _lies_wrong(resolved: ResolvedDesign, closed: Assembly, earlier: str, later: str) -> bool:
    """Whether what closes later lies under what closes earlier, and is not tucked there."""
    pairs = product(_hanging(closed, earlier), _hanging(closed, later))
    return any(
        _lies_under(closed, second, first) and not _is_tucked(resolved, first, second)
        for first, second in pairs
    )


def _hanging(closed: Assembly, name: str) -> list[FaceKey]:
    """The faces that something in ``closing`` turns right over."""
    piece, _, section = name.partition(".")
    return [
        crease.hanging
        for crease in right_over(closed, piece)
        if crease.closed == 180 and section in ("", crease.key.hanging)
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
    return lie_in_turn(closed, outward(closed, _base(closed, inner), inner), inner, outer)


def _base(closed: Assembly, hanging: FaceKey) -> FaceKey:
    """What a section is folded over."""
    fold = FoldKey(hanging.piece, hanging.face)
    return closed.creases[fold].staying if fold in closed.creases else hanging


# ---- lids and inserts


def _lids(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A raised piece that ``closing`` names before what it stands over."""
    names = [_piece(name) for name in resolved.design.closing]
    for lid in dict.fromkeys(names):
        if lid in resolved.pieces and resolved.pieces[lid].raised:
            later = names[names.index(lid) :]
            for host in filter(later.__contains__, resolved.hosts_of(lid)):
                yield finding_kind("closing-contradicts-steps, lid first").found(
                    resolved, resolved.pieces[lid], lid=lid, host=host
                )


def _inserts(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """What a step slides in under a section that was closed before, and that nothing holds."""
    for number, placing, last in _slid_in(work):
        hosts = (placing.host.piece, *resolved.hosts_of(placing.host.piece))
        for crease in right_over(last, *hosts):
            if not last.is_locked(crease.key) and _lies_over(work.closed, crease, placing.piece):
                told = {"flap": in_words(crease.hanging.face), "host": crease.hanging.piece}
                yield finding_kind("inserted-under-flap").found(
                    resolved, resolved.pieces[placing.piece], number=number, **told
                )


def _slid_in(work: Work) -> Iterator[tuple[int, Placing, Assembly]]:
    """What each step inserts, with the step and what was on the table just before."""
    before: Assembly | None = None
    for moment in work.moments:
        if moment.operation == "insert" and isinstance(moment.motion, Placing):
            yield moment.step, moment.motion, before or moment.motion.before
        before = moment.assembly


def _lies_over(closed: Assembly, crease: Crease, piece: str) -> bool:
    """Whether a section lies over a piece at the end, between it and what it is folded over."""
    base, flap = crease.staying, crease.hanging
    return crease.key in closed.creases and any(
        lie_in_turn(closed, outward(closed, base, flap), base, key, flap)
        for key in closed.plates
        if key.piece == piece
    )


# ---- names in ``closing``


def _piece(name: str) -> str:
    return name.partition(".")[0]


def _words(name: str) -> str:
    piece, _, section = name.partition(".")
    return f"the {in_words(section)} of '{piece}'" if section else f"'{piece}'"
