"""Which way prints and grain run: prints stand upright where they are seen, folds along the grain.

Sources conflict about the grain, so that is an advice.  A paper mill's is to score from 150 g/m²
when a fold runs across it (secondary source); lighter paper folds either way.

A piece glued over a score keeps what it lies on from folding there, or tears.
"""

from collections.abc import Collection, Iterable, Iterator
from fractions import Fraction

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import Exact
from gatherfold.lengths import up_to_grid
from gatherfold.model import has_direction
from gatherfold.plans import along_grain, print_of, way_round
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import (
    ACROSS,
    Assembly,
    Bond,
    FaceKey,
    FoldKey,
    Look,
    Turn,
    Work,
    is_seen,
    laying_down,
    visible_parts,
    work_of,
)


def check_across_folds(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Folds that glue holds for good before they have come to their angle."""
    work = work_of(resolved)
    held: set[FoldKey] = set()
    for moment in work.moments:
        glue = [bond for bond in moment.bonds if bond.adhesive is not None]
        if not glue:
            continue
        for fold, crease in moment.assembly.creases.items():
            is_open = moment.assembly.angle(fold) != crease.closed
            if is_open and fold not in held and moment.assembly.is_locked(fold):
                held.add(fold)
                reach, by = _reach(moment.assembly, glue, fold)
                if reach:
                    length = Fraction(reach) / work.scale
                    yield _finding(resolved, by, moment.assembly, fold, length)


def _reach(assembly: Assembly, glue: Iterable[Bond], fold: FoldKey) -> tuple[Exact, str]:
    """How far glue reaches beyond a fold, on the side where it reaches less far, and of which
    piece that is."""
    line, crease = assembly.lines[fold], assembly.creases[fold]
    side = assembly.plates[crease.staying]
    across = next(axis for axis in ACROSS[side.axis] if axis != line.axis)
    place, index = line.at[ACROSS[line.axis].index(across)], ACROSS[side.axis].index(across)
    found: list[tuple[Exact, str]] = []
    for bond in glue:
        assert bond.adhesive is not None
        plate = assembly.plates[bond.adhesive.face]
        if not plate.shares_plane(side):
            continue
        for region in bond.adhesive.spread:
            bounds = plate.in_space(region).bounds
            beyond = min(place - bounds[index], bounds[index + 2] - place)
            found.append((max(beyond, 0), bond.joins))
    return max(found, default=(0, next(iter(glue)).joins), key=lambda each: each[0])


def _finding(
    resolved: ResolvedDesign, by: str, assembly: Assembly, fold: FoldKey, reach: Fraction
) -> Finding:
    crease = assembly.creases[fold]
    sides = {crease.staying.face, crease.hanging.face}
    scores = resolved.pieces[fold.piece].scores
    named = next(score.sides for score in scores if set(score.sides) == sides)
    return finding_kind("glued-across-fold").found(
        resolved,
        resolved.pieces[by],
        host=fold.piece,
        first=in_words(named[0]),
        second=in_words(named[1]),
        reach=reach,
        wanted=up_to_grid(reach, resolved.edition.grid),
    )


_FRONT = Look(2, 1)
_HEAVY = 150


def check_printing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A printed face is read when it looks at the reader: its up must then be the page's up.

    It is looked at first with everything closed, then as leaf after leaf is opened: the first time
    that it shows counts.
    """
    left = {key for key, piece in resolved.pieces.items() if has_direction(print_of(piece))}
    states = list(_states(work_of(resolved))) if left else []
    # Whether it shows takes long to find out, and what is upright whenever it could needs no more.
    left &= {key.piece for _, assembly in states for key in _looking_up(assembly, left, False)}
    for state, assembly in states:
        looking = list(_looking_up(assembly, left))
        parts = visible_parts(assembly, _FRONT, looking)
        shown = [key for key in looking if is_seen(parts[key])]
        turned = set(_looking_up(assembly, left, False))
        left -= {key.piece for key in shown}
        for key in (key for key in shown if key in turned):
            yield finding_kind("sideways-print").found(
                resolved, resolved.pieces[key.piece], state=state
            )


def looked_at(resolved: ResolvedDesign, pieces: Collection[str]) -> set[str]:
    """Those of some pieces that look at the reader when the work is closed, or opened leaf by
    leaf, whether they show or not."""
    states = _states(work_of(resolved))
    return {key.piece for _, assembly in states for key in _looking_up(assembly, pieces)}


def _looking_up(
    assembly: Assembly, pieces: Collection[str], is_upright: bool | None = None
) -> Iterator[FaceKey]:
    """The faces of some pieces that look at the reader, all or those that are upright, or not."""
    for key, plate in assembly.plates.items():
        if key.piece in pieces and plate.axis == _FRONT.axis and plate.facing > 0:
            way = plate.pose.direction((0, 1, 0)) == (0, 1, 0)
            if is_upright in (None, way):
                yield key


def _states(work: Work) -> Iterator[tuple[str, Assembly]]:
    """What is looked at from the front: all closed and laid down, then with what closes last open
    again, …"""
    down = laying_down(work.closed)
    yield "the piece is closed", work.closed.all_moved(down)
    for motion in reversed(work.closing):
        if isinstance(motion, Turn):
            yield f"'{motion.fold.piece}' is open", motion.before.all_moved(down)
    yield "the piece is open", work.opened


def check_grain(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Pieces that print, picture or sheet force to be scored across the grain."""
    for piece in resolved.pieces.values():
        wanted = along_grain(piece)
        weight = piece.stock.source.weight
        is_heavy = weight is None or weight.grams >= _HEAVY
        if wanted and way_round(piece) != wanted and is_heavy:
            reason = "the sheet is too small the other way round"
            if has_direction(print_of(piece)):
                reason = "its print must stand upright"
            elif piece.source.motif is not None:
                reason = "it is cut round a picture"
            yield finding_kind("score-across-grain").found(
                resolved, piece, stock=piece.stock.key, reason=reason
            )
