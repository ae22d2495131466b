"""Fastenings: far enough from edges, long enough, through every layer between; holes; magnets.

The limits are common practice, no source: how much paper a fastening needs that pulls at its hole
is said by its kind; a plain hole keeps half its diameter round its rim, and never less than an
eighth of an inch (3 mm).  Each half of a pair of magnets is glued to a piece, and the two meet when
the work is closed; how far they hold and harm is said by their kind.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from functools import partial
from itertools import combinations, pairwise

from gatherfold.checks.report import FindingKind, finding_kind, in_words
from gatherfold.findings import Finding, Severity
from gatherfold.geometry import (
    Exact,
    Point,
    clears,
    encloses,
    is_in_paper,
    room_around,
    run_misses,
    run_stays_within,
    squared,
)
from gatherfold.lengths import INCH, down_to_grid, nearest_on_grid, up_to_grid
from gatherfold.model import Magnetism, Trait, is_hole
from gatherfold.resolve import Hole, ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import (
    AXES,
    Assembly,
    FaceKey,
    Place,
    Stack,
    place_on,
    setting_of,
    stack_in,
    work_of,
)

_LEAST_PAPER = INCH / 8
#: Distances are told to a quarter of the grid's step, never larger than they are.
_TOLD = 4


def check_holes(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every hole of every piece, against edges and other holes."""
    for piece in resolved.pieces.values():
        for hole in piece.holes:
            yield from _near_edge(resolved, piece, hole)
            yield from _on_score(resolved, piece, hole)
        for first, second in combinations(piece.holes, 2):
            yield from _near_hole(resolved, piece, first, second)


def _paper(resolved: ResolvedDesign, hole: Hole) -> Fraction:
    """How much paper a hole keeps between its rim and an edge."""
    if hole.fastening is not None:
        piercing = resolved.fastenings[hole.fastening].source.fastener.piercing
        return Fraction(0) if piercing is None else piercing.paper * hole.diameter
    return max(hole.diameter / 2, nearest_on_grid(_LEAST_PAPER, resolved.edition.grid))


def _near_edge(resolved: ResolvedDesign, piece: ResolvedPiece, hole: Hole) -> Iterator[Finding]:
    least = hole.diameter / 2 + _paper(resolved, hole)
    has_room = partial(_has_room, piece, hole.centre)
    if not has_room(least):
        distance = room_around(resolved.edition.grid / _TOLD, least, has_room)
        yield _told(finding_kind("hole-near-edge"), resolved, piece, hole, least, distance=distance)


def _has_room(piece: ResolvedPiece, centre: Point, radius: Fraction) -> bool:
    """Whether a whole disc lies on the paper of a piece."""
    return is_in_paper(piece.outline, piece.windows, centre) and all(
        clears(edge, centre, radius)
        for outline in (piece.outline, *piece.windows)
        for edge in outline.edges
    )


def _on_score(resolved: ResolvedDesign, piece: ResolvedPiece, hole: Hole) -> Iterator[Finding]:
    """A fastening whose legs or head would lie over the fold of what it goes through."""
    fastening = resolved.fastenings.get(hole.fastening or "")
    if fastening is not None and fastening.source.fastener.spread is not None:
        for score in filter(hole.is_on, piece.scores):
            first, second = map(in_words, score.sides)
            told = {"piece": piece.key, "first": first, "second": second}
            yield finding_kind("hole-on-score").found(resolved, fastening, **told)


def _near_hole(
    resolved: ResolvedDesign, piece: ResolvedPiece, first: Hole, second: Hole
) -> Iterator[Finding]:
    """Two holes about one centre are one hole, such as a punched one that a brad goes through."""
    paper = max(_paper(resolved, first), _paper(resolved, second))
    least = (first.diameter + second.diameter) / 2 + paper
    apart = squared(first.centre, second.centre)
    if 0 < apart < least**2:
        pierced = second if second.fastening is not None else first
        yield _told(finding_kind("hole-near-hole"), resolved, piece, pierced, least)


def _told(
    kind: FindingKind,
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    hole: Hole,
    least: Fraction,
    **told: Fraction,
) -> Finding:
    """Where a fastening pulls at the hole it is an error, else a warning."""
    wanted = up_to_grid(least, resolved.edition.grid)
    if hole.fastening is not None:
        fastening = resolved.fastenings[hole.fastening]
        named = f"'{hole.fastening}' pierces '{piece.key}'"
        return kind.found(resolved, fastening, hole=named, **told, wanted=wanted)
    openings = [opening for opening in piece.source.openings if is_hole(opening.shape)]
    plain = [each for each in piece.holes if each.fastening is None]
    position, named = openings[plain.index(hole)].position, f"a hole of '{piece.key}' lies"
    warning = replace(kind, severity=Severity.WARNING)
    return warning.found(resolved, position, hole=named, **told, wanted=wanted)


def check_magnets(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every pair: do its halves meet, and do they keep away from cards."""
    for fastening in resolved.fastenings.values():
        magnetism = fastening.source.fastener.magnetism
        if magnetism is not None and fastening.point is not None:
            reason = _why_they_miss(resolved, fastening, magnetism)
            if reason is not None:
                yield finding_kind("magnets-miss").found(
                    resolved, fastening, what=reason[0], remedy=reason[1]
                )
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
    apart = (Fraction(a - b) for a, b in zip(places[first], places[second], strict=True))
    gap = max(map(abs, apart)) / work_of(resolved).scale
    if gap > magnetism.holds_across:
        message = f"closed, the magnets of '{key}' stay {units.text(gap)} apart"
        most = units.text(nearest_on_grid(magnetism.holds_across, grid))
        return message, f"Choose faces that close to within {most} of each other."
    for piece in through:
        if not _has_room(resolved.pieces[piece], fastening.marks[piece], fastening.head / 2):
            message = f"a magnet of '{key}' reaches over the edge of '{piece}'"
            half = units.text(up_to_grid(fastening.head / 2, grid))
            return message, f"Keep its centre at least {half} from every edge of '{piece}'."
    return None


def _places(resolved: ResolvedDesign, fastening: ResolvedFastening) -> dict[str, Place]:
    """Where its halves lie in space when the work is closed, by piece, in units."""
    work, marks = work_of(resolved), fastening.marks.items()
    located = {piece: place_on(work.parts, work.closed, piece, point) for piece, point in marks}
    return {piece: found[1] for piece, found in located.items() if found is not None}


def _beyond(resolved: ResolvedDesign, fastening: ResolvedFastening, second: str) -> Fraction | None:
    """How far beside the second piece the first magnet lies; None where no face is parallel."""
    assert fastening.point is not None
    work = work_of(resolved)
    located = place_on(work.parts, work.closed, fastening.source.through[0], fastening.point)
    if located is None:
        return None
    axis = work.closed.plates[located[0]].axis
    distances = [
        max(away for k, away in enumerate(_away(work.closed, key, located[1])) if k != axis)
        for key, plate in work.closed.plates.items()
        if key.piece == second and plate.axis == axis
    ]
    return Fraction(min(distances)) / work.scale if distances else None


def _away(closed: Assembly, face: FaceKey, place: Place) -> list[Exact]:
    """How far a place lies outside what a face spans along each axis."""
    spans = [closed.plates[face].extent(axis) for axis in AXES]
    return [max(low - k, k - high, 0) for (low, high), k in zip(spans, place, strict=True)]


def _near_cards(
    resolved: ResolvedDesign, fastening: ResolvedFastening, magnetism: Magnetism
) -> Iterator[Finding]:
    """Cards with a magnetic strip are kept in pockets and among inserts; the nearest is told."""
    limit = nearest_on_grid(magnetism.harms_cards_within, resolved.edition.grid)
    work, order = work_of(resolved), list(resolved.pieces)
    distances = [
        (sum(away**2 for away in _away(work.closed, face, at)), order.index(face.piece))
        for face in work.closed.plates
        if (piece := resolved.pieces[face.piece]).source.has(Trait.HOLDS_CARDS)
        or piece.is_in_pocket
        for at in _places(resolved, fastening).values()
    ]
    nearest = min(distances, default=None)
    if nearest is not None and nearest[0] < ((limit + fastening.head / 2) * work.scale) ** 2:
        yield finding_kind("magnet-near-cards").found(
            resolved, fastening, piece=order[nearest[1]], limit=limit
        )


_AXES = ((1, 0), (0, 1))


def check_fastenings(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Holes, legs, layers and magnets."""
    yield from check_holes(resolved)
    yield from check_magnets(resolved)
    work = work_of(resolved)
    for fastening in resolved.fastenings.values():
        spread = fastening.source.fastener.spread
        if spread is not None and fastening.point is not None:
            yield from _short_legs(resolved, fastening, spread)
            yield from _legs_over_edge(resolved, fastening, spread)
        stack = stack_in(work, setting_of(work, fastening.key), fastening.key)
        if stack is not None:
            # Layers that lie between those it goes through, at its place, and are not pierced.
            for face in stack.between:
                yield finding_kind("layer-not-pierced").found(resolved, fastening, layer=face.piece)
            yield from _out_of_order(resolved, fastening, stack)
        stack = stack_in(work, work.opened, fastening.key)
        if stack is not None:
            yield from _showing_prongs(resolved, fastening, stack)


def _thickness(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Fraction:
    calipers = (resolved.pieces[key].stock.caliper for key in fastening.source.through)
    return sum(calipers, Fraction(0))


def _short_legs(
    resolved: ResolvedDesign, fastening: ResolvedFastening, spread: Fraction
) -> Iterator[Finding]:
    needed = _thickness(resolved, fastening) + spread
    if fastening.leg < needed:
        layers, wanted = len(fastening.source.through), up_to_grid(needed, resolved.edition.grid)
        yield finding_kind("legs-too-short").found(
            resolved, fastening, layers=layers, wanted=wanted
        )


def _legs_over_edge(
    resolved: ResolvedDesign, fastening: ResolvedFastening, spread: Fraction
) -> Iterator[Finding]:
    """Legs spread both ways along one axis, flat on the last layer; the better axis counts."""
    last = resolved.pieces[fastening.source.through[-1]]
    point = fastening.marks.get(last.key)
    thickness = _thickness(resolved, fastening)
    reach = fastening.leg - thickness
    if point is None or reach <= 0 or not encloses(last.outline, point):
        return
    stays = [partial(_legs_stay_on, last, point, axis) for axis in _AXES]
    if any(stay(reach) for stay in stays):
        return
    units, grid = resolved.edition.units, resolved.edition.grid
    room = max(room_around(grid, reach, stay) for stay in stays)
    longest = down_to_grid(thickness + room, grid)
    shorter = f"Use legs of at most {units.text(longest)}, or move it"
    yield finding_kind("legs-stick-out").found(
        resolved,
        fastening,
        last=last.key,
        remedy=shorter if longest >= thickness + spread else "Move it",
        short=units.text(up_to_grid(reach - room, grid)),
        reach=reach,
        room=room,
    )


def _legs_stay_on(
    piece: ResolvedPiece, point: Point, axis: tuple[int, int], reach: Fraction
) -> bool:
    """Whether both legs lie on the paper of the piece when spread along the axis."""
    tips = [point.moved(sign * axis[0] * reach, sign * axis[1] * reach) for sign in (1, -1)]
    return all(
        run_stays_within(piece.outline, point, tip)
        and all(run_misses(window, point, tip) for window in piece.windows)
        for tip in tips
    )


def _out_of_order(
    resolved: ResolvedDesign, fastening: ResolvedFastening, stack: Stack
) -> Iterator[Finding]:
    """The layers are named as they are met, from the front or from the back."""
    rises = [first < second for first, second in pairwise(stack.places)]
    if all(rises) or not any(rises):
        return
    in_order = sorted(stack.through, key=stack.layers.index)
    if 2 * in_order.index(stack.through[0]) >= len(in_order):
        in_order.reverse()
    names = ", ".join(face.piece for face in in_order)
    yield finding_kind("through-out-of-order").found(resolved, fastening, names=names)


def _showing_prongs(
    resolved: ResolvedDesign, fastening: ResolvedFastening, stack: Stack
) -> Iterator[Finding]:
    """Spread prongs catch and scratch unless a layer is glued over them."""
    # A layer is there for good, and not only slid in or laid there.
    bonds = [bond for bond in work_of(resolved).opened.bonds if bond.kind != "rest"]
    held = {face.piece for bond in bonds for face in bond.faces}
    staying = [key for key in held if not resolved.pieces[key].is_in_pocket]
    is_spread = fastening.source.fastener.spread is not None
    if is_spread and not any(face.piece in staying for face in stack.beyond_last):
        yield finding_kind("prongs-showing").found(
            resolved, fastening, last=stack.through[-1].piece
        )
