"""What covers when the work is closed: flaps that meet, lids that fit, rest and do not stand.

In: the closed work.  Out: an opening that flaps leave over what they fold over, a cover shorter
than what lies in it, covers that do not meet, and a lid that is loose, stands beside the box or
rests on nothing.
"""

from collections.abc import Iterator
from fractions import Fraction

from shapely import unary_union

from gatherfold.checks.fits import fits
from gatherfold.checks.joins.freed import is_glued_over
from gatherfold.checks.report import finding_kind, in_words, section_in_words
from gatherfold.findings import Finding
from gatherfold.geometry import Exact, SpaceAxis, common, crosses, is_vertical
from gatherfold.lengths import INCH, nearest_on_grid, up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    ACROSS,
    Assembly,
    Crease,
    FaceKey,
    Look,
    Plate,
    Work,
    from_far_to_near,
    shape_of,
    work_of,
    wrapped_round,
)

#: A gap no wider than this is one of cutting and folding (common practice, no source).
_GAP = INCH / 8
#: How loose a lid may be in all; half of it on each side (common practice, no source).
_LOOSE = INCH / 4
#: How loose a band may be (common practice, no source).
_LOOSE_BAND = INCH / 2
#: A cover is at least so large a share of the largest panel.
_LARGE = Fraction(3, 5)
#: What lies within covers; tags, tabs, inserts and cards may look out to be drawn.
_INSIDE = (Trait.COVERS, Trait.WITHIN_COVERS, Trait.SIDE_BY_SIDE)


_MEASURED = {"across": "wider", "upward": "higher", "deep": "deeper"}


def check_covering(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece of the closed work that covers something."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        if piece.key not in work.closed.pieces or not piece.scores:
            continue
        yield from _flaps(resolved, work, piece)
        yield from _covers(resolved, work, piece)
        if piece.raised and piece.source.placement is not None:
            yield from _lid(resolved, work, piece)
    yield from _loose_lids(resolved)
    yield from _edges_meet(resolved, work)


# ---- flaps


def _flaps(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """Sections that fold right over one base from all sides, or those of an envelope."""
    closed = work.closed
    for base in {crease.staying for fold, crease in closed.creases.items() if _is_of(piece, fold)}:
        flaps = [
            crease
            for fold, crease in closed.creases.items()
            if _is_of(piece, fold) and crease.staying == base and closed.angle(fold) == 180
        ]
        sides = {(is_vertical(crease.axis), crease.is_beyond) for crease in flaps}
        if len(sides) < 4 or all(is_glued_over(work, crease.key) for crease in flaps):
            # What is turned in and glued all round holds a board, and closes nothing.
            continue
        gap = _left_open(work, closed, base, flaps)
        if gap is not None:
            grid = resolved.edition.grid
            size = (nearest_on_grid(gap[0], grid), nearest_on_grid(gap[1], grid))
            words = in_words(base.face)
            yield finding_kind("flaps-leave-gap").found(resolved, piece, base=words, size=size)


def _is_of(piece: ResolvedPiece, fold: tuple[str, str]) -> bool:
    return fold[0] == piece.key


def _left_open(
    work: Work, closed: Assembly, base: FaceKey, flaps: list[Crease]
) -> tuple[Fraction, Fraction] | None:
    """The largest opening over a base that nothing on the side of its flaps closes, in mm."""
    own = closed.plates[base]
    over = [shape_of(closed.plates[crease.hanging]) for crease in flaps]
    bare = shape_of(own).difference(unary_union(over))
    opened = bare.buffer(-float(_GAP * work.scale) / 2)
    if opened.is_empty:
        return None
    parts = getattr(opened, "geoms", [opened])
    left, low, right, high = max(parts, key=lambda part: part.area).bounds
    first, second = (Fraction(round(end)) / work.scale + _GAP for end in (right - left, high - low))
    return first, second


# ---- covers


def _covers(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A folded panel that closes over what lies in it: either half has to cover that."""
    closed = work.closed
    if not piece.source.has(Trait.COVERS) or piece.source.placement is not None:
        return
    halves = sorted(
        (key for key in closed.plates if key.piece == piece.key),
        key=lambda face: -closed.plates[face].bounds.area,
    )[:2]
    axis = closed.plates[halves[0]].axis
    if len(halves) < 2 or not _lie_over(closed.plates[halves[0]], closed.plates[halves[1]]):
        return
    smaller = halves[1]
    cover = closed.plates[smaller]
    off = wrapped_round(work.moments, closed)
    for key, plate in closed.plates.items():
        inner = resolved.pieces[key.piece]
        is_inside = piece.key in resolved.hosts_of(key.piece) and key.piece not in off
        if not is_inside or plate.axis != axis or not any(map(inner.source.has, _INSIDE)):
            continue
        beyond = Fraction(max(_beyond(plate, cover, each) for each in ACROSS[axis])) / work.scale
        if beyond > 2 * resolved.tolerance:
            grid, words = resolved.edition.grid, in_words(smaller.face)
            told = {"beyond": nearest_on_grid(beyond, grid), "wanted": up_to_grid(beyond, grid)}
            yield finding_kind("cover-too-short").found(
                resolved, piece, inner=key.piece, cover=words, **told
            )
            return


def _lie_over(first: Plate, second: Plate) -> bool:
    """Whether two faces lie parallel, one over the other, at whatever distance."""
    return first.axis == second.axis and crosses(first.bounds, second.bounds)


def _beyond(plate: Plate, cover: Plate, axis: SpaceAxis) -> Exact:
    """How far a face reaches beyond another along an axis."""
    (low, high), (near, far) = plate.extent(axis), cover.extent(axis)
    return max(near - low, high - far)


def _edges_meet(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """The outermost panels of the closed work, front and back, have to meet all round."""
    closed = work.closed
    if not closed.plates:
        return
    off = wrapped_round(work.moments, closed)
    panels = [
        key
        for key in closed.plates
        if resolved.pieces[key.piece].source.has(Trait.COVERS) and key.piece not in off
    ]
    if len(panels) < 2:
        return
    most = max(closed.plates[key].bounds.area for key in panels)
    large = {key for key in panels if closed.plates[key].bounds.area > _LARGE * most}
    axis = closed.plates[max(large, key=lambda key: closed.plates[key].bounds.area)].axis
    ordered = [key for key in from_far_to_near(closed, Look(axis, 1)) if key in large]
    if len(ordered) < 2:
        return
    back, front = closed.plates[ordered[0]], closed.plates[ordered[-1]]
    if back.bounds.area > front.bounds.area:
        back, front = front, back
    shared = common(back.bounds, front.bounds)
    if shared is None or 2 * shared.area < back.bounds.area:
        return
    apart = max(_beyond(front, back, each) for each in ACROSS[axis])
    apart = Fraction(max(apart, *(_beyond(back, front, each) for each in ACROSS[axis])))
    apart /= work.scale
    if apart > _GAP + 2 * resolved.tolerance:
        told = {"apart": nearest_on_grid(apart, resolved.edition.grid)}
        first, second = (section_in_words(resolved, plate.key) for plate in (front, back))
        piece = resolved.pieces[front.key.piece]
        yield finding_kind("covers-apart").found(
            resolved, piece, first=first, second=second, **told
        )


# ---- lids


def _lid(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A raised piece with standing sides: what it rests on, and how deep its sides reach."""
    closed, own = work.closed, work.closed.plates[FaceKey(piece.key, piece.by)]
    mine = closed.block_of(piece.key)
    sides = [closed.plates[k] for k in mine if k.piece == piece.key and k.face != piece.by]
    sides = [plate for plate in sides if plate.axis != own.axis]
    under = [
        plate.extent(own.axis)
        for key, plate in closed.plates.items()
        if key not in mine and plate.axis != own.axis
    ]
    if not sides or not under:
        return
    low, high = min(ends[0] for ends in under), max(ends[1] for ends in under)
    is_up = 2 * own.plane > low + high
    ends = [plate.extent(own.axis) for plate in sides]
    rim = min(end[0] for end in ends) if is_up else max(end[1] for end in ends)
    deeper = Fraction(low - rim if is_up else rim - high) / work.scale
    gap = Fraction(own.plane - high if is_up else low - own.plane) / work.scale
    slack = 2 * resolved.tolerance
    if deeper > slack:
        yield finding_kind("lid-stands-beside").found(resolved, piece, deeper=deeper)
    if gap > slack + 2 * piece.stock.caliper:
        yield finding_kind("lid-not-seated").found(resolved, piece, gap=gap)


def _loose_lids(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What goes over a box, or round the work, with much more room than it needs."""
    grid = resolved.edition.grid
    for fit in fits(resolved):
        outer = resolved.pieces[fit.outer]
        is_lid = outer.raised and fit.direction != "deep"
        most = _LOOSE if is_lid else _LOOSE_BAND
        if fit.kind == "closing round" and fit.margin > most + 2 * resolved.tolerance:
            yield finding_kind("closes-too-loosely").found(
                resolved,
                outer,
                margin=nearest_on_grid(fit.margin, grid),
                measured=_MEASURED[fit.direction],
                most=nearest_on_grid(most, grid),
            )
