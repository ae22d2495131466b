"""Ribbons: long enough for their run and a bow, on the work and off its plates, tied at one place.

In: the closed work and its ribbons.  Out: findings.  The limits are common practice, no source
(from memory): a bow takes some 250 to 350 mm of ribbon, so less than 180 ties none.
"""

from collections.abc import Iterator
from fractions import Fraction
from itertools import islice

from shapely import box

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Exact, Point, Sense, SpaceAxis, is_upright
from gatherfold.lengths import INCH, nearest_on_grid, up_to_grid
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import (
    ACROSS,
    AXES,
    FaceKey,
    Place,
    Plate,
    Work,
    extent,
    glued_side,
    is_seen,
    look_at,
    place_on,
    shape_of,
    visible_parts,
    work_of,
    wraps,
)

_BOW = Fraction(180)
_GOOD_BOW = Fraction(300)
#: Two ends that are tied lie at one height, within this.
_LEVEL = INCH / 8
#: What a ribbon may cover of a piece on its way.
_OVER = INCH / 32


#: Where an end of a ribbon is held: the face, and the place in space.
End = tuple[FaceKey, Place]


def check_ribbons(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every ribbon."""
    work = work_of(resolved)
    for tie in resolved.fastenings.values():
        if tie.source.stock is not None and tie.length:
            yield from _round_work(resolved, work, tie)
            yield from _held_ends(resolved, work, tie)


# ---- round the work


def _round_work(resolved: ResolvedDesign, work: Work, tie: ResolvedFastening) -> Iterator[Finding]:
    """A ribbon that is nothing but turning under, or one that goes round a piece at some place."""
    if 0 < tie.length <= tie.allowance:
        told = {"length": tie.length, "allowance": tie.allowance}
        yield finding_kind("ribbon-too-short, no length").found(resolved, tie, **told)
    elif tie.source.round is not None and tie.point is not None:
        end = _end_on(work, tie.source.round, tie.point)
        if end is not None:
            plate, place = work.closed.plates[end[0]], end[1]
            if _is_shut_in(resolved, work, end[0]):
                ring = tie.source.round
                yield finding_kind("ribbon-inside").found(resolved, tie, ring=ring)
                return
            yield from _bow(resolved, tie, tie.length - _loop(work, tie, plate))
            yield from _past_edge(resolved, work, tie, plate, place)
            yield from _over_pieces(resolved, work, tie, plate, place)


def _is_shut_in(resolved: ResolvedDesign, work: Work, face: FaceKey) -> bool:
    """Whether nothing of a face is seen in the closed work, from the side that it shows."""
    piece = resolved.pieces[face.piece]
    side: Sense = (
        -1 if piece.source.placement and glued_side(piece.source.placement.relation) > 0 else 1
    )
    look = look_at(work.closed, face, side)
    return not is_seen(visible_parts(work.closed, look, [face])[face])


def _loop(work: Work, tie: ResolvedFastening, plate: Plate) -> Fraction:
    """The way once round the closed work, in mm."""
    reach = extent(work.closed.plates.values())
    ends = [reach[axis] for axis in (_run_axis(tie, plate), plate.axis)]
    return Fraction(2 * sum(high - low for low, high in ends)) / work.scale


def _run_axis(tie: ResolvedFastening, plate: Plate) -> SpaceAxis:
    """The axis along which it runs over its piece: across that on which its place is given."""
    is_upward = any(is_upright(edge) for edge in tie.source.distances)
    way = plate.pose.direction((0, 1, 0) if is_upward else (1, 0, 0))
    return next(axis for axis in AXES if way[axis])


def _other_axis(plate: Plate, axis: SpaceAxis) -> SpaceAxis:
    """Of the axes that a plate lies along, the one across another."""
    return next(each for each in ACROSS[plate.axis] if each != axis)


def _bow(resolved: ResolvedDesign, tie: ResolvedFastening, spare: Fraction) -> Iterator[Finding]:
    if spare < _BOW:
        grid = resolved.edition.grid
        wanted = up_to_grid(tie.length + _GOOD_BOW - spare, grid)
        left, bow = nearest_on_grid(max(spare, Fraction(0)), grid), nearest_on_grid(_GOOD_BOW, grid)
        yield finding_kind("ribbon-too-short").found(
            resolved, tie, spare=left, wanted=wanted, bow=bow
        )


def _past_edge(
    resolved: ResolvedDesign, work: Work, tie: ResolvedFastening, plate: Plate, place: Place
) -> Iterator[Finding]:
    """Whether a ribbon stays on the work, on the side that it goes over."""
    width, grid = _width(resolved, tie), resolved.edition.grid
    across = _other_axis(plate, _run_axis(tie, plate))
    low, high = extent(_level(work, plate))[across]
    distance = Fraction(min(place[across] - low, high - place[across])) / work.scale
    if distance < width / 2:
        yield finding_kind("ribbon-over-edge").found(
            resolved,
            tie,
            wanted=up_to_grid(width / 2 - distance, grid),
            width=width,
            distance=nearest_on_grid(max(distance, Fraction(0)), grid),
        )


def _over_pieces(
    resolved: ResolvedDesign, work: Work, tie: ResolvedFastening, plate: Plate, place: Place
) -> Iterator[Finding]:
    """What a ribbon lies over on its way."""
    half = (_width(resolved, tie) / 2 - _OVER) * work.scale
    run = _run_axis(tie, plate)
    at = place[_other_axis(plate, run)]
    spans = {run: extent([plate])[run], _other_axis(plate, run): (at - half, at + half)}
    (left, right), (low, high) = (map(float, spans[axis]) for axis in ACROSS[plate.axis])
    way = box(left, low, right, high)
    for each in _level(work, plate):
        piece = resolved.pieces[each.key.piece]
        if piece.host == tie.source.round and shape_of(each).intersects(way):
            yield finding_kind("ribbon-over-piece").found(resolved, tie, piece=piece.key)


def _level(work: Work, plate: Plate) -> list[Plate]:
    """All that lies in the plane of a plate."""
    return [work.closed.plates[key] for key in work.closed.in_plane(plate.axis, plate.plane)]


def _width(resolved: ResolvedDesign, tie: ResolvedFastening) -> Fraction:
    return resolved.stocks[str(tie.source.stock)].ribbon_width


# ---- held by its ends


def _held_ends(resolved: ResolvedDesign, work: Work, tie: ResolvedFastening) -> Iterator[Finding]:
    """Ribbons that fastenings hold, one end each, and that are tied at an edge."""
    holders = [each for each in resolved.fastenings.values() if each.source.holds == tie.key]
    if len(holders) < 2:
        return
    yield from _turned_under(resolved, tie, holders)
    places = ((each.key, _end_on(work, _first(each), each.point)) for each in holders)
    found = {key: end for key, end in places if end is not None}
    if len(holders) == len(found) == 2:
        yield from _pair(resolved, work, tie, found)
    for key in _bands_over(resolved, work, tie, list(found.values())):
        yield finding_kind("band-over-bow").found(resolved, resolved.pieces[key], tie=tie.key)
    total = tie.length * max(tie.source.count, 1)
    yield from _bow(resolved, tie, total - _run(work, list(found.values())))


def _turned_under(
    resolved: ResolvedDesign, tie: ResolvedFastening, holders: list[ResolvedFastening]
) -> Iterator[Finding]:
    """A ribbon for each end, and enough of it to be turned under the head that holds it."""
    number, count, grid = len(holders), tie.source.count, resolved.edition.grid
    if count < number:
        yield finding_kind("ribbons-too-few").found(resolved, tie, number=number, count=count)
    if not tie.allowance:
        wanted = up_to_grid(INCH, grid)
        yield finding_kind("no-turn-under").found(resolved, tie, held=holders[0].key, wanted=wanted)
    slim = (each for each in holders if 0 < tie.allowance < Fraction(3, 2) * each.head)
    for held in islice(slim, 1):
        lengths = {"allowance": tie.allowance, "head": held.head}
        lengths["wanted"] = up_to_grid(2 * held.head, grid)
        yield finding_kind("turn-under-too-short").found(resolved, tie, held=held.key, **lengths)


def _first(fastening: ResolvedFastening) -> str | None:
    """The first piece that a fastening goes through, if any."""
    return next(iter(fastening.source.through), None)


def _end_on(work: Work, piece: str | None, point: Point | None) -> End | None:
    """Where a point of a piece lies in the closed work."""
    if piece is None or point is None or piece not in work.closed.pieces:
        return None
    return place_on(work.parts, work.closed, piece, point)


def _nearest_edge(plate: Plate, place: Place) -> tuple[SpaceAxis, int, Fraction]:
    """The axis and the end of it at which a place lies nearest to the edge of a plate."""
    found = []
    for axis in ACROSS[plate.axis]:
        low, high = plate.extent(axis)
        found += [(Fraction(place[axis] - low), axis, -1), (Fraction(high - place[axis]), axis, 1)]
    away, axis, way = min(found)
    return axis, way, away


def _run(work: Work, ends: list[End]) -> Fraction:
    """From each end to its edge, and from edge to edge, in mm."""
    if len(ends) < 2:
        return Fraction(0)
    plates = work.closed.plates
    edges = sum((_nearest_edge(plates[key], place)[2] for key, place in ends), Fraction(0))
    levels = [plates[key].plane for key, _ in ends]
    return (edges + max(levels) - min(levels)) / work.scale


def _bands_over(
    resolved: ResolvedDesign, work: Work, tie: ResolvedFastening, ends: list[End]
) -> Iterator[str]:
    """The bands that go round the closed work where the bow is tied."""
    half = _width(resolved, tie) / 2 * work.scale
    for face, place in ends[:1]:
        plate = work.closed.plates[face]
        along = _other_axis(plate, _nearest_edge(plate, place)[0])
        for key, _ in wraps(work):
            low, high = _extent_of(work, key)[along]
            if low - half < place[along] < high + half:
                yield key


def _extent_of(work: Work, piece: str) -> tuple[tuple[Exact, Exact], ...]:
    """From where to where a piece of the closed work reaches along each axis."""
    return extent(plate for plate in work.closed.plates.values() if plate.key.piece == piece)


def _pair(
    resolved: ResolvedDesign, work: Work, tie: ResolvedFastening, pair: dict[str, End]
) -> Iterator[Finding]:
    """Two ends that are tied to one another run off one edge, at one height."""
    (first, (face, one)), (second, (other, two)) = pair.items()
    plate, opposite = work.closed.plates[face], work.closed.plates[other]
    if plate.axis != opposite.axis:
        return
    axis, way, _ = _nearest_edge(plate, one)
    along = _other_axis(plate, axis)
    apart = abs(Fraction(one[along] - two[along])) / work.scale
    if (axis, way) != _nearest_edge(opposite, two)[:2]:
        told = {"first": first, "second": second}
        yield finding_kind("ties-apart, other edge").found(resolved, tie, **told)
    elif apart > _LEVEL + 2 * resolved.tolerance:
        apart = nearest_on_grid(apart, resolved.edition.grid)
        yield finding_kind("ties-apart").found(
            resolved, tie, first=first, second=second, apart=apart
        )
