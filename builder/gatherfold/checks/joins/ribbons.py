"""Ribbons: long enough for their run and a bow, on the work and off its plates, tied at one place.

In: the closed work and its ribbons.  Out: findings.  The limits are common practice, no source
(from memory): a bow takes some 250 to 350 mm of ribbon, so less than 180 ties none.
"""

from collections.abc import Iterator
from fractions import Fraction

from shapely import box

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import SpaceAxis, is_upright
from gatherfold.lengths import INCH, nearest_on_grid, up_to_grid
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import (
    ACROSS,
    AXES,
    FaceKey,
    Place,
    Plate,
    Tie,
    Work,
    extent,
    place_on,
    shape_of,
    work_of,
    wraps,
)

_BOW = Fraction(180)
_GOOD_BOW = Fraction(300)
#: Two ends that are tied lie at one height, within this.
_LEVEL = INCH / 8
#: What a ribbon may cover of a piece on its way.
_OVER = INCH / 32


def check_ribbons(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every ribbon."""
    work = work_of(resolved)
    for key, tie in resolved.fastenings.items():
        if tie.source.stock is None or not tie.length:
            continue
        if tie.allowance and tie.length <= tie.allowance:
            told = {"length": tie.length, "allowance": tie.allowance}
            yield finding_kind("ribbon-too-short, no length").found(resolved, tie, **told)
        elif tie.source.round is not None and tie.point is not None:
            yield from _round_work(resolved, work, tie)
        holders = [each for each in resolved.fastenings.values() if each.source.holds == key]
        if len(holders) > 1:
            yield from _held_ends(resolved, work, tie, holders)


# ---- round the work


def _round_work(resolved: ResolvedDesign, work: Work, tie: ResolvedFastening) -> Iterator[Finding]:
    piece = tie.source.round or ""
    closed = work.closed
    for moment in work.moments:
        if isinstance(moment.motion, Tie) and moment.motion.fastening == tie.key:
            if work.closed.base not in moment.assembly.plates:
                yield finding_kind("ribbon-tied-too-early").found(
                    resolved, tie, number=moment.step, round=piece
                )
            break
    assert tie.point is not None
    found = place_on(work.parts, closed, piece, tie.point) if piece in closed.pieces else None
    if found is None:
        return
    plate, place = closed.plates[found[0]], found[1]
    run = _run_axis(tie, plate)
    reach = extent(closed.plates.values())
    loop = sum((high - low for low, high in (reach[run], reach[plate.axis])), 0) * 2
    yield from _bow(resolved, tie, tie.length - Fraction(loop) / work.scale)
    yield from _beside(resolved, work, tie, plate, place)


def _run_axis(tie: ResolvedFastening, plate: Plate) -> SpaceAxis:
    """The axis along which it runs over its piece: across that on which its place is given."""
    is_upward = any(is_upright(edge) for edge in tie.source.distances)
    way = plate.pose.direction((0, 1, 0) if is_upward else (1, 0, 0))
    return next(axis for axis in AXES if way[axis])


def _bow(resolved: ResolvedDesign, tie: ResolvedFastening, spare: Fraction) -> Iterator[Finding]:
    if spare < _BOW:
        grid = resolved.edition.grid
        wanted = up_to_grid(tie.length + _GOOD_BOW - spare, grid)
        left, bow = nearest_on_grid(max(spare, Fraction(0)), grid), nearest_on_grid(_GOOD_BOW, grid)
        yield finding_kind("ribbon-too-short").found(
            resolved, tie, spare=left, wanted=wanted, bow=bow
        )


def _beside(
    resolved: ResolvedDesign, work: Work, tie: ResolvedFastening, plate: Plate, place: Place
) -> Iterator[Finding]:
    """What it lies over, and whether it stays on the work, on the side that it goes over."""
    closed, run, grid = work.closed, _run_axis(tie, plate), resolved.edition.grid
    width = resolved.stocks[tie.source.stock or ""].ribbon_width
    across = next(axis for axis in ACROSS[plate.axis] if axis != run)
    level = [closed.plates[key] for key in closed.in_plane(plate.axis, plate.plane)]
    reach = extent(level)[across]
    at = place[across]
    distance = Fraction(min(at - reach[0], reach[1] - at)) / work.scale
    if distance < width / 2:
        told = {"width": width, "distance": nearest_on_grid(max(distance, Fraction(0)), grid)}
        wanted = up_to_grid(width / 2 - distance, grid)
        yield finding_kind("ribbon-over-edge").found(resolved, tie, wanted=wanted, **told)
    half = float((width / 2 - _OVER) * work.scale)
    low, high = (float(end) for end in extent([plate])[run])
    band = (float(at) - half, low, float(at) + half, high)
    if ACROSS[plate.axis][0] == run:
        band = (band[1], band[0], band[3], band[2])
    for key in level:
        other = resolved.pieces[key.key.piece]
        placement = other.source.placement
        is_on = placement is not None and placement.host == tie.source.round
        if is_on and shape_of(key).intersects(box(*band)):
            yield finding_kind("ribbon-over-piece").found(resolved, tie, piece=other.key)


# ---- held by its ends


def _held_ends(
    resolved: ResolvedDesign,
    work: Work,
    tie: ResolvedFastening,
    holders: list[ResolvedFastening],
) -> Iterator[Finding]:
    """Ribbons that fastenings hold, one end each, and that are tied at an edge."""
    number, count = len(holders), tie.source.count
    if count < number:
        yield finding_kind("ribbons-too-few").found(resolved, tie, number=number, count=count)
    if not tie.allowance:
        wanted = up_to_grid(INCH, resolved.edition.grid)
        yield finding_kind("no-turn-under").found(resolved, tie, held=holders[0].key, wanted=wanted)
    for held in holders:
        if 0 < tie.allowance < Fraction(3, 2) * held.head:
            wanted = up_to_grid(2 * held.head, resolved.edition.grid)
            told = {"allowance": tie.allowance, "head": held.head, "wanted": wanted}
            yield finding_kind("turn-under-too-short").found(resolved, tie, held=held.key, **told)
            break
    places = {each.key: _place(work, each) for each in holders}
    total = tie.length * max(count, 1)
    found = {key: place for key, place in places.items() if place is not None}
    if len(holders) == len(found) == 2:
        yield from _pair(resolved, work, tie, found)
    for key in _bands_over(resolved, work, tie, list(found.values())):
        yield finding_kind("band-over-bow").found(resolved, resolved.pieces[key], tie=tie.key)
    yield from _bow(resolved, tie, total - _run(work, [p for p in places.values() if p]))


def _place(work: Work, held: ResolvedFastening) -> tuple[FaceKey, Place] | None:
    """Where a fastening lies in the closed work."""
    if held.point is None or not held.source.through:
        return None
    piece = held.source.through[0]
    if piece not in work.closed.pieces:
        return None
    return place_on(work.parts, work.closed, piece, held.point)


def _nearest_edge(plate: Plate, place: Place) -> tuple[SpaceAxis, int, Fraction]:
    """The axis and the end of it at which a place lies nearest to the edge of a plate."""
    found = []
    for axis in ACROSS[plate.axis]:
        low, high = plate.extent(axis)
        found += [(Fraction(place[axis] - low), axis, -1), (Fraction(high - place[axis]), axis, 1)]
    away, axis, way = min(found)
    return axis, way, away


def _run(work: Work, places: list[tuple[FaceKey, Place]]) -> Fraction:
    """From each end to its edge, and from edge to edge, in mm."""
    if len(places) < 2:
        return Fraction(0)
    plates = work.closed.plates
    edges = sum((_nearest_edge(plates[key], place)[2] for key, place in places), Fraction(0))
    levels = [plates[key].plane for key, _ in places]
    return (edges + max(levels) - min(levels)) / work.scale


def _bands_over(
    resolved: ResolvedDesign,
    work: Work,
    tie: ResolvedFastening,
    places: list[tuple[FaceKey, Place]],
) -> Iterator[str]:
    """The bands that go round the closed work where the bow is tied."""
    half = resolved.stocks[tie.source.stock or ""].ribbon_width / 2 * work.scale
    for face, place in places[:1]:
        plate = work.closed.plates[face]
        axis = _nearest_edge(plate, place)[0]
        along = next(k for k in ACROSS[plate.axis] if k != axis)
        for key, _ in wraps(work):
            plates = (each for each in work.closed.plates.values() if each.key.piece == key)
            low, high = extent(plates)[along]
            if low - half < place[along] < high + half:
                yield key


def _pair(
    resolved: ResolvedDesign,
    work: Work,
    tie: ResolvedFastening,
    pair: dict[str, tuple[FaceKey, Place]],
) -> Iterator[Finding]:
    """Two ends that are tied to one another run off one edge, at one height."""
    (first, (face, one)), (second, (other, two)) = pair.items()
    plates = work.closed.plates
    if plates[face].axis != plates[other].axis:
        return
    axis, way, _ = _nearest_edge(plates[face], one)
    if (axis, way) != _nearest_edge(plates[other], two)[:2]:
        yield finding_kind("ties-apart, other edge").found(
            resolved, tie, first=first, second=second
        )
        return
    along = next(k for k in ACROSS[plates[face].axis] if k != axis)
    apart = abs(Fraction(one[along] - two[along])) / work.scale
    if apart > _LEVEL + 2 * resolved.tolerance:
        apart = nearest_on_grid(apart, resolved.edition.grid)
        yield finding_kind("ties-apart").found(
            resolved, tie, first=first, second=second, apart=apart
        )
