"""What covers when the work is closed: flaps that meet, lids that fit, rest and do not stand.

In: the closed work.  Out: an opening that flaps leave over what they fold over, covers that do not
meet, and a lid that is loose, stands beside the box or rests on nothing.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction

from shapely import unary_union

from gatherfold.checks.fits import fits
from gatherfold.checks.joins.folded import is_glued_over, right_over
from gatherfold.checks.report import finding_kind, in_words, section_in_words
from gatherfold.findings import Finding
from gatherfold.geometry import Exact, SpaceAxis, common, is_vertical
from gatherfold.lengths import INCH, nearest_on_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    ACROSS,
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
_MEASURED = {"across": "wider", "upward": "higher", "deep": "deeper"}


def check_covering(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every piece of the closed work that covers something."""
    work = work_of(resolved)
    folded = {fold.piece for fold in work.closed.creases}
    for key in filter(folded.__contains__, resolved.pieces):
        yield from _flaps(resolved, work, resolved.pieces[key])
        yield from _lid(resolved, work, resolved.pieces[key])
    yield from _loose_lids(resolved)
    yield from _edges_meet(resolved, work)


# ---- flaps


def _flaps(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """Sections that fold right over one base from all sides, or those of an envelope."""
    grid, folded = resolved.edition.grid, list(right_over(work.closed, piece.key))
    for base in dict.fromkeys(crease.staying for crease in folded):
        flaps = [crease for crease in folded if crease.staying == base]
        for width, height in _left_open(work, base, flaps) if _close(work, flaps) else ():
            size = (nearest_on_grid(width, grid), nearest_on_grid(height, grid))
            words = in_words(base.face)
            yield finding_kind("flaps-leave-gap").found(resolved, piece, base=words, size=size)


def _close(work: Work, flaps: list[Crease]) -> bool:
    """Whether flaps come from all four sides; what is turned in and glued all round holds a board,
    and closes nothing."""
    sides = {(is_vertical(crease.axis), crease.is_beyond) for crease in flaps}
    return len(sides) == 4 and not all(is_glued_over(work, crease) for crease in flaps)


def _left_open(
    work: Work, base: FaceKey, flaps: list[Crease]
) -> Iterator[tuple[Fraction, Fraction]]:
    """The largest opening over a base that nothing on the side of its flaps closes, in mm."""
    plates = work.closed.plates
    over = [shape_of(plates[crease.hanging]) for crease in flaps]
    bare = shape_of(plates[base]).difference(unary_union(over))
    opened = bare.buffer(-float(_GAP * work.scale) / 2)
    if not opened.is_empty:
        parts = getattr(opened, "geoms", [opened])
        ends = max(parts, key=lambda part: part.area).bounds
        left, low, right, high = ends
        yield _gap(work, right - left), _gap(work, high - low)


def _gap(work: Work, units: float) -> Fraction:
    """The width of a gap that is left of one when that of cutting is taken off."""
    return Fraction(round(units)) / work.scale + _GAP


# ---- covers


def _beyond(plate: Plate, cover: Plate) -> Exact:
    """How far a face reaches beyond a parallel one, at any edge."""
    ends = [(plate.extent(axis), cover.extent(axis)) for axis in ACROSS[cover.axis]]
    return max(max(near - low, high - far) for (low, high), (near, far) in ends)


def _edges_meet(resolved: ResolvedDesign, work: Work) -> Iterator[Finding]:
    """The outermost panels of the closed work, front and back, have to meet all round."""
    for smaller, larger in _outermost(resolved, work):
        apart = Fraction(max(_beyond(larger, smaller), _beyond(smaller, larger))) / work.scale
        if apart > _GAP + 2 * resolved.tolerance and _lies_mostly_over(smaller, larger):
            first, second = (section_in_words(resolved, each.key) for each in (larger, smaller))
            yield finding_kind("covers-apart").found(
                resolved,
                resolved.pieces[larger.key.piece],
                first=first,
                second=second,
                apart=nearest_on_grid(apart, resolved.edition.grid),
            )


def _outermost(resolved: ResolvedDesign, work: Work) -> Iterator[tuple[Plate, Plate]]:
    """The large panels at the back and at the front of the closed work, the smaller one first."""
    panels = sorted(_panels(resolved, work), key=_area)
    if panels:
        large = {plate.key for plate in panels if _area(plate) > _LARGE * _area(panels[-1])}
        inward = from_far_to_near(work.closed, Look(panels[-1].axis, 1))
        ordered = [work.closed.plates[key] for key in inward if key in large]
        smaller, larger = sorted((ordered[0], ordered[-1]), key=_area)
        yield smaller, larger


def _panels(resolved: ResolvedDesign, work: Work) -> Iterator[Plate]:
    """The covers of the closed work, without what is folded round it."""
    off = wrapped_round(work.moments, work.closed)
    for key, plate in work.closed.plates.items():
        if key.piece not in off and resolved.pieces[key.piece].source.has(Trait.COVERS):
            yield plate


def _area(plate: Plate) -> Exact:
    return plate.bounds.area


def _lies_mostly_over(smaller: Plate, larger: Plate) -> bool:
    shared = common(smaller.bounds, larger.bounds)
    return shared is not None and 2 * shared.area >= _area(smaller)


# ---- lids


def _lid(resolved: ResolvedDesign, work: Work, piece: ResolvedPiece) -> Iterator[Finding]:
    """A raised piece with standing sides: what it rests on, and how deep its sides reach."""
    slack = 2 * resolved.tolerance
    for deeper, gap in _over_walls(work, piece) if piece.raised else ():
        if deeper > slack:
            yield finding_kind("lid-stands-beside").found(resolved, piece, deeper=deeper)
        if gap > slack + 2 * piece.stock.caliper:
            yield finding_kind("lid-not-seated").found(resolved, piece, gap=gap)


def _over_walls(work: Work, piece: ResolvedPiece) -> Iterator[tuple[Fraction, Fraction]]:
    """How much deeper than the walls under a lid its sides reach, and how far it lies above them,
    in mm."""
    closed, own = work.closed, work.closed.plates[FaceKey(piece.key, piece.by)]
    mine = closed.block_of(piece.key)
    standing = [plate for plate in closed.plates.values() if plate.axis != own.axis]
    sides = _ends((plate for plate in standing if plate.key.piece == piece.key), own.axis)
    walls = _ends((plate for plate in standing if plate.key not in mine), own.axis)
    if sides and walls:
        up = 1 if 2 * own.plane > min(walls) + max(walls) else -1
        deeper = _lowest(walls, up) - _lowest(sides, up)
        gap = up * own.plane + _lowest(walls, -up)
        yield Fraction(deeper) / work.scale, Fraction(gap) / work.scale


def _ends(plates: Iterable[Plate], axis: SpaceAxis) -> list[Exact]:
    return [end for plate in plates for end in plate.extent(axis)]


def _lowest(ends: Iterable[Exact], up: int) -> Exact:
    """The height of the lowest of some ends, upwards along an axis or against it."""
    return min(up * end for end in ends)


def _loose_lids(resolved: ResolvedDesign) -> Iterator[Finding]:
    """What goes over a box, or round the work, with much more room than it needs."""
    grid = resolved.edition.grid
    for fit in fits(resolved):
        outer = resolved.pieces[fit.outer]
        most = _LOOSE if outer.raised and fit.direction != "deep" else _LOOSE_BAND
        if fit.kind == "closing round" and fit.margin > most + 2 * resolved.tolerance:
            yield finding_kind("closes-too-loosely").found(
                resolved,
                outer,
                margin=nearest_on_grid(fit.margin, grid),
                measured=_MEASURED[fit.direction],
                most=nearest_on_grid(most, grid),
            )
