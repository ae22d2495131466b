"""Magnets: each half is glued to a piece, and the two meet when the work is closed.

How far they hold and harm is said by the kind of fastening.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import FindingKind
from builder.choices import Trait
from builder.fastenings import Magnetism
from builder.findings import Finding, Severity
from builder.geometry.clearance import clears, holds
from builder.geometry.outline import Point
from builder.geometry.pose import Vector
from builder.lengths import nearest_on_grid, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening
from builder.work import Assembly, FaceKey, work_of
from builder.work.space import AXES, as_pose

_MISS = FindingKind("magnets-miss", "{what}", "{remedy}")
_NEAR_CARDS = FindingKind(
    "magnet-near-cards",
    "closed, a magnet of '{key}' comes within {limit} of '{piece}', and may harm cards with a "
    "magnetic strip there",
    "Move it {limit} away, or keep no such card there.",
    Severity.ADVICE,
)


def check_magnets(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every pair: do its halves meet, and do they keep away from cards."""
    for fastening in resolved.fastenings.values():
        magnetism = fastening.source.fastener.magnetism
        if magnetism is not None and fastening.point is not None:
            reason = _why_they_miss(resolved, fastening, magnetism)
            if reason is not None:
                yield _MISS.found(resolved, fastening, what=reason[0], remedy=reason[1])
            yield from _near_cards(resolved, fastening, magnetism)


def _why_they_miss(
    resolved: ResolvedDesign, fastening: ResolvedFastening, magnetism: Magnetism
) -> tuple[str, str] | None:
    """What is wrong and the remedy; None where the halves meet."""
    key, through = fastening.key, fastening.source.through
    units, grid = resolved.edition.units, resolved.edition.grid
    if len(through) != 2:
        message = f"magnet pair '{key}' does not name two pieces, one for each magnet"
        return message, "Name the two pieces under 'through:'."
    first, second = through
    places = _places(resolved, fastening)
    if second not in places:
        message = f"closed, the magnet of '{key}' on '{first}' has nothing of '{second}' across it"
        beyond = _beyond(resolved, fastening, second)
        if beyond is None:
            return message, f"Name a piece that lies flat against '{first}' when all is closed."
        way = units.text(up_to_grid(beyond + fastening.head / 2, grid))
        return message, f"Move its point on '{first}' at least {way} towards '{second}'."
    gap = max(abs(a - b) for a, b in zip(places[first], places[second], strict=True))
    if gap > magnetism.holds_across:
        message = f"closed, the magnets of '{key}' stay {units.text(gap)} apart"
        most = units.text(nearest_on_grid(magnetism.holds_across, grid))
        return message, f"Choose faces that close to within {most} of each other."
    for piece in through:
        if not _lies_on(resolved, fastening, piece):
            message = f"a magnet of '{key}' reaches over the edge of '{piece}'"
            half = units.text(up_to_grid(fastening.head / 2, grid))
            return message, f"Keep its centre at least {half} from every edge of '{piece}'."
    return None


def _places(resolved: ResolvedDesign, fastening: ResolvedFastening) -> dict[str, Vector]:
    """Where its halves lie in space when the work is closed, by piece."""
    found_places: dict[str, Vector] = {}
    for piece, point in fastening.marks.items():
        located = _place_of(resolved, piece, point)
        if located is not None:
            found_places[piece] = located[1]
    return found_places


def _place_of(resolved: ResolvedDesign, piece: str, point: Point) -> tuple[FaceKey, Vector] | None:
    """The face of the piece that holds the point, and where that lies in the closed work."""
    work = work_of(resolved)
    for face in resolved.pieces[piece].faces:
        plate = work.closed.plates.get(FaceKey(piece, face.name))
        if plate is not None and face.box.contains(point):
            return plate.key, as_pose(plate.pose, work.scale).apply(point.x, point.y)
    return None


def _beyond(resolved: ResolvedDesign, fastening: ResolvedFastening, second: str) -> Fraction | None:
    """How far beside the second piece the first magnet lies; None where no face is parallel."""
    assert fastening.point is not None
    located = _place_of(resolved, fastening.source.through[0], fastening.point)
    if located is None:
        return None
    work = work_of(resolved)
    axis = work.closed.plates[located[0]].axis
    distances = [
        max(
            away
            for k, away in enumerate(_away(work.closed, work.scale, key, located[1]))
            if k != axis
        )
        for key, plate in work.closed.plates.items()
        if key.piece == second and plate.axis == axis
    ]
    return min(distances, default=None)


def _away(closed: Assembly, scale: int, face: FaceKey, place: Vector) -> list[Fraction]:
    """How far a place lies outside what a face spans along each axis."""
    spans = [closed.plates[face].extent(axis) for axis in AXES]
    return [
        max(Fraction(low) / scale - k, k - Fraction(high) / scale, Fraction(0))
        for (low, high), k in zip(spans, place, strict=True)
    ]


def _lies_on(resolved: ResolvedDesign, fastening: ResolvedFastening, piece: str) -> bool:
    """Whether the whole magnet lies on the paper of the piece."""
    on, point = resolved.pieces[piece], fastening.marks[piece]
    edges = [edge for outline in (on.outline, *on.windows) for edge in outline.edges]
    in_window = any(holds(window, point) for window in on.windows)
    is_on_paper = holds(on.outline, point) and not in_window
    return is_on_paper and all(clears(edge, point, fastening.head / 2) for edge in edges)


def _near_cards(
    resolved: ResolvedDesign, fastening: ResolvedFastening, magnetism: Magnetism
) -> Iterator[Finding]:
    """Cards with a magnetic strip are kept in pockets and among inserts; the nearest is told."""
    limit = nearest_on_grid(magnetism.harms_cards_within, resolved.edition.grid)
    work, order = work_of(resolved), list(resolved.pieces)
    distances = [
        (sum(away**2 for away in _away(work.closed, work.scale, face, at)), order.index(face.piece))
        for face in work.closed.plates
        if _holds_cards(resolved, face)
        for at in _places(resolved, fastening).values()
    ]
    nearest = min(distances, default=None)
    if nearest is not None and nearest[0] < (limit + fastening.head / 2) ** 2:
        piece = order[nearest[1]]
        yield _NEAR_CARDS.found(resolved, fastening, piece=piece, limit=limit)


def _holds_cards(resolved: ResolvedDesign, face: FaceKey) -> bool:
    piece = resolved.pieces[face.piece]
    return piece.source.has(Trait.HOLDS_CARDS) or piece.is_in_pocket
