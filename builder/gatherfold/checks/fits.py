"""Fits: what slides into, lies between or closes round something else, in the worst case.

At worst the inner part is cut too large and the outer one too small, each by the cutting
tolerance; the margin is what remains then.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from typing import Literal

from gatherfold.checks.report import Condition, FindingKind, finding_kind, tenth
from gatherfold.findings import Finding
from gatherfold.geometry import Axis, Layer, SpaceAxis, ends_across, thickest
from gatherfold.lengths import up_to_grid
from gatherfold.model import Relation, Trait, is_valley
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import AXES, Placing, Plate, Way, is_lowered_into, seen_box, work_of, wraps

#: The score lines and the edges that bound a direction run so.
_AXES: dict[Flat, Axis] = {"across": "vertical", "upward": "horizontal"}


FitKind = Literal["in pocket", "between scores", "closing round", "going in"]
Flat = Literal["across", "upward"]
Direction = Literal[Flat, "deep"]


@dataclass(frozen=True)
class Fit:
    """``inner`` goes with ``outer`` along ``direction`` (across, upward, deep); mm.

    ``kind``: ``in pocket``, ``between scores``, ``closing round`` or, lowered, ``going in``.
    """

    kind: FitKind
    inner: str
    outer: str
    direction: Direction
    size: Fraction
    room: Fraction
    play: Fraction

    @property
    def margin(self) -> Fraction:
        return self.room - self.size - self.play


def fits(resolved: ResolvedDesign) -> Iterator[Fit]:
    """Every fit of the design, in its order."""
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is None:
            continue
        host = resolved.pieces[placement.host]
        if piece.is_in_pocket:
            yield from _in_pocket(resolved, piece, host)
        elif piece.source.has(Trait.BETWEEN_FOLDS):
            yield from _between_scores(resolved, piece, host)
    plates = work_of(resolved).closed.plates.values()
    round_it = dict(wraps(work_of(resolved)))
    for key, round_what in round_it.items():
        body = [plate for plate in plates if plate.key.piece in round_what]
        own = [plate for plate in plates if plate.key.piece == key]
        room = _Room(resolved.pieces[key], resolved.pieces[key].by, own)
        yield from _round_body(resolved, room, body, "closing round")
    for moment in work_of(resolved).moments:
        placed = moment.motion
        if isinstance(placed, Placing) and placed.piece not in round_it and _goes_into(placed):
            yield from _lowered(resolved, placed)


def _goes_into(placed: Placing) -> bool:
    """Whether something is lowered between walls, or slid between them."""
    is_slid = placed.put.way is Way.SLID and not placed.is_glued
    return is_slid or is_lowered_into(placed)


def widest_tape(resolved: ResolvedDesign) -> Fraction:
    """The widest tape of the supplies; 0 where none has a width: then adhesive is a line."""
    return max((width for width, _ in resolved.supply_sizes.values()), default=Fraction(0))


def _in_pocket(
    resolved: ResolvedDesign, insert: ResolvedPiece, pocket: ResolvedPiece
) -> Iterator[Fit]:
    """An insert between two glued edges of its pocket; keep-outs are the business of its path."""
    strips, play = 2 * widest_tape(resolved), 2 * resolved.tolerance
    for direction, size, room in _extents(insert, pocket):
        if set(ends_across(_AXES[direction])) <= set(pocket.glue.edges):
            yield Fit("in pocket", insert.key, pocket.key, direction, size, room - strips, play)


def _extents(
    piece: ResolvedPiece, host: ResolvedPiece
) -> Iterator[tuple[Flat, Fraction, Fraction]]:
    """Each direction, with the size of a piece and that of the face it lies on."""
    box = host.face(piece.host_face).box
    return zip(_AXES, piece.laid_size, (box.width, box.height), strict=True)


def _between_scores(
    resolved: ResolvedDesign, piece: ResolvedPiece, host: ResolvedPiece
) -> Iterator[Fit]:
    """What lies on a face that folds on both sides must leave both folds free."""
    if any(score.closed == 90 for score in piece.scores):
        return
    play = 2 * resolved.tolerance
    for direction, size, room in _extents(piece, host):
        scores = [
            score
            for score in host.scores
            if piece.host_face in score.sides and score.axis == _AXES[direction]
        ]
        if len(scores) == 2:
            yield Fit("between scores", piece.key, host.key, direction, size, room, play)


# Bands, lids and sleeves


@dataclass(frozen=True)
class _Room:
    """A piece that stands round something when all is closed: its faces, and the one by which it
    touches that."""

    piece: ResolvedPiece
    by: str
    own: list[Plate]


def _lowered(resolved: ResolvedDesign, placing: Placing) -> Iterator[Fit]:
    """What is lowered or slid between the walls of its host."""
    closed, host = work_of(resolved).closed.plates, placing.host
    own = [plate for key, plate in closed.items() if key.piece == host.piece]
    came = placing.put.after.plates.keys() - placing.before.plates.keys()
    body = [plate for key, plate in closed.items() if key in came]
    if body and own:
        room = _Room(resolved.pieces[host.piece], host.face, own)
        yield from _round_body(resolved, room, body, "going in", placing.piece)


def _round_body(
    resolved: ResolvedDesign, room: _Room, body: list[Plate], kind: FitKind, inner: str = ""
) -> Iterator[Fit]:
    """The room between each two opposite standing sides, and the depth under laps; directions are
    those of the face by which it lies there."""
    work, play = work_of(resolved), 2 * resolved.tolerance
    piece, own = room.piece, room.own
    inner, by = inner or work.closed.base.piece, next(p for p in own if p.key.face == room.by)
    for direction in _AXES:
        axis = _axis_of(by, direction)
        sides = [plate for plate in own if plate.axis == axis]
        planes = sorted({plate.plane for plate in sides})
        if len(planes) == 2:
            within = Fraction(planes[1] - planes[0]) / work.scale
            within -= 2 * _lining(resolved, piece, sides)
            size = _outside(resolved, body, axis)
            yield Fit(kind, inner, piece.key, direction, size, within, play)
    flat = sorted({plate.plane for plate in own if plate.axis == by.axis})
    if len(flat) == 2:
        size = _outside(resolved, body, by.axis)
        within = Fraction(flat[1] - flat[0]) / work.scale - piece.stock.caliper
        yield Fit(kind, inner, piece.key, "deep", size, within, play)


def _axis_of(plate: Plate, direction: Flat) -> SpaceAxis:
    """The axis in space of a direction in a face's own plane."""
    way = plate.pose.direction((1, 0, 0) if direction == "across" else (0, 1, 0))
    return next(axis for axis in AXES if way[axis])


def _lining(resolved: ResolvedDesign, piece: ResolvedPiece, sides: list[Plate]) -> Fraction:
    """How far the inside of a standing side lies from its plane: half its card, the tab glued
    inside it, and the thickest piece on its inner face."""
    names = {plate.key.face for plate in sides}
    tabs = [tab for tab in piece.source.tabs if tab.name not in names]
    is_forward = all(is_valley(score.fold) for _, _, score in piece.folds_outward())
    inner: Relation = "on" if is_forward else "on_back"
    linings = [
        other.stock.caliper
        for other in resolved.pieces.values()
        if other.source.placement is not None
        and other.source.placement.host == piece.key
        and other.source.placement.relation == inner
        and other.host_face in names
    ]
    caliper = piece.stock.caliper
    return caliper / 2 + (caliper if tabs else 0) + max(linings, default=Fraction(0))


def _outside(resolved: ResolvedDesign, body: list[Plate], axis: SpaceAxis) -> Fraction:
    """How far a body reaches along an axis: between its outermost planes, and the thickest piles of
    layers beyond them.

    The scores of a spine or a tray stand at the middle of its card, so the outermost folded face
    counts half.
    """
    work, ends = work_of(resolved), [end for plate in body for end in plate.extent(axis)]
    total, pieces = Fraction(max(ends) - min(ends)) / work.scale, resolved.pieces
    for plane in (min(ends), max(ends)):
        level = {p.key: p for p in body if p.axis == axis and p.plane == plane}
        # What stands or lies by a fold of its own piece, as the wall of a tray does.
        folded = [key for key in level if len(pieces[key.piece].faces) > 1]
        inside = work.closed.beyond(folded, is_up=plane == min(ends))
        total += thickest(
            [
                Layer(seen_box(plate, work.scale), pieces[key.piece].stock.caliper)
                for key, plate in level.items()
                if key not in inside
            ]
        )
        calipers = [pieces[key.piece].stock.caliper for key in folded]
        total += max(calipers, default=Fraction(0)) / 2
    return total


# Conditions

_TOO_TIGHT: dict[FitKind, FindingKind] = {
    "in pocket": finding_kind("insert-too-wide"),
    "between scores": finding_kind("over-the-score"),
    "closing round": finding_kind("does-not-close-round"),
    "going in": finding_kind("does-not-go-in"),
}
_MEASURED: dict[Direction, str] = {"across": "wide", "upward": "high", "deep": "deep"}
#: Whether a fit is told of the inner piece, and not of the outer one.
_OF_INNER: dict[FitKind, bool] = {
    "in pocket": True,
    "between scores": True,
    "closing round": False,
    "going in": True,
}


def fit_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Every fit leaves something in the worst case."""
    for fit in fits(resolved):
        key = (_TOO_TIGHT[fit.kind].code, fit.inner, fit.outer, fit.direction)
        yield Condition(key, fit.margin, partial(_too_tight, resolved, fit))


def _too_tight(resolved: ResolvedDesign, fit: Fit) -> Finding:
    text, short = resolved.edition.units.text, up_to_grid(-fit.margin, resolved.edition.grid)
    outer = resolved.pieces[fit.outer]
    extent = outer.width if fit.direction == "across" else outer.height
    return _TOO_TIGHT[fit.kind].found(
        resolved,
        resolved.pieces[fit.inner] if _OF_INNER[fit.kind] else outer,
        inner=fit.inner,
        outer=fit.outer,
        size=text(fit.size),
        room=text(fit.room),
        measured=_MEASURED[fit.direction],
        extent=text(extent + short),
        less=tenth(-fit.margin),
        short=short,
    )
