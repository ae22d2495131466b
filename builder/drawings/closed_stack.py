"""A cut through an assembly: which layers it meets, in order, what bends round and what glue joins.

In: an assembly whose layers lie flat, and a line across it.  Out: bars (layers along the line) with
their levels from the back, bends (folds and standing faces) and the stretches of glue between bars.
Lengths along the line are true, in mm; a level stands for one layer, whatever its thickness.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.work.assembly import Adhesive, Assembly, FoldKey
from builder.work.plates import FaceKey, Plate
from builder.work.regions import Along, Region
from builder.work.space import ACROSS
from builder.work.visible import Look, from_far_to_near

Interval = tuple[float, float]
_UP = 2
#: Stretches shorter than this, in mm, are only rounding.
_NOTHING = 0.01


@dataclass(frozen=True)
class Cut:
    """A line across an assembly: along x at y = ``at``, or along y at x = ``at``; ``low`` and
    ``high`` bound what is shown of it."""

    along: Literal[0, 1]
    at: Fraction
    low: float
    high: float


@dataclass(frozen=True)
class Bar:
    """One layer along the cut; ``upward`` is 1 where its front looks up, else −1."""

    face: FaceKey
    piece: ResolvedPiece
    span: Interval
    level: int
    upward: int


@dataclass(frozen=True)
class Bend:
    """A fold, or a standing face, at ``place`` along the cut; it joins two levels.  ``outward`` is
    −1 where the layers lie to the right of it, else 1."""

    piece: ResolvedPiece
    place: float
    levels: tuple[int, int]
    outward: int


@dataclass(frozen=True)
class GluedSpan:
    """A stretch of a layer that is glued to ``host`` with its upper (1) or lower (−1) side."""

    bar: Bar
    side: int
    span: Interval
    host: Bar


@dataclass(frozen=True)
class Stack:
    bars: tuple[Bar, ...]
    bends: tuple[Bend, ...]
    glued: tuple[GluedSpan, ...] = ()

    @property
    def levels(self) -> int:
        return max((bar.level for bar in self.bars), default=-1) + 1

    def bar_of(self, piece: str) -> Bar | None:
        return next((bar for bar in self.bars if bar.piece.key == piece), None)


def cut_through(resolved: ResolvedDesign, assembly: Assembly, scale: int, cut: Cut) -> Stack:
    """What a line across an assembly meets, from the back to the front."""
    section = _Section(resolved, assembly, scale, cut)
    bars = tuple(section.bars())
    return Stack(bars, tuple(section.bends(bars)), tuple(section.glued(bars)))


@dataclass(frozen=True)
class _Section:
    resolved: ResolvedDesign
    assembly: Assembly
    scale: int
    cut: Cut

    def bars(self) -> list[Bar]:
        """The layers, each a level above all that it lies over along the line."""
        found: list[Bar] = []
        for key in from_far_to_near(self.assembly, Look(_UP, 1)):
            plate = self.assembly.plates[key]
            for span in self._shown(self._spans([plate.region])):
                under = [bar.level for bar in found if _overlap(bar.span, span)]
                level = max(under, default=-1) + 1
                piece = self.resolved.pieces[key.piece]
                found.append(Bar(key, piece, span, level, plate.facing))
        return found

    def _spans(self, regions: Sequence[Region]) -> list[Interval]:
        """Where the line runs through any of some regions, in mm."""
        place, across = self.cut.at * self.scale, _across(self.cut)
        found = sorted(
            (float(Fraction(near) / self.scale), float(Fraction(far) / self.scale))
            for region in regions
            for strip in region.strips(across)
            if strip.low <= place < strip.high
            for near, far in strip.at(place)
        )
        return _joined(found)

    def _shown(self, spans: Sequence[Interval]) -> list[Interval]:
        shown = ((max(a, self.cut.low), min(b, self.cut.high)) for a, b in spans)
        return [(low, high) for low, high in shown if high - low > _NOTHING]

    # ---- folds

    def bends(self, bars: Sequence[Bar]) -> Iterator[Bend]:
        """Each fold between two lying faces, with what stands between them; and each other standing
        face, past the layers within its height."""
        hangs_on = {crease.hanging: crease.staying for crease in self.assembly.creases.values()}
        drawn: set[FaceKey] = set()
        for fold, crease in self.assembly.creases.items():
            far, near = self.assembly.plates[crease.hanging], crease.staying
            passed = []
            while self.assembly.plates[near].axis == self.cut.along and near in hangs_on:
                passed.append(near)
                near = hangs_on[near]
            place, other = self._place(fold), self.assembly.plates[near]
            if place is None or other.axis != _UP or far.facing == other.facing:
                continue
            pairs = ((a, b) for a in bars if a.face == far.key for b in bars if b.face == near)
            found = [bend for pair in pairs for bend in self._bend(place, *pair)]
            drawn.update(passed if found else ())
            yield from found
        for key, plate in self.assembly.plates.items():
            if plate.axis == self.cut.along and key not in drawn:
                yield from self._wall(bars, plate)

    def _place(self, fold: FoldKey) -> float | None:
        """Where a fold crosses the line; None where it runs along it."""
        line = self.assembly.lines[fold]
        if line.axis != _across(self.cut):
            return None
        at = line.at[ACROSS[line.axis].index(self.cut.along)]
        return float(Fraction(at) / self.scale)

    def _bend(self, place: float, bar: Bar, other: Bar) -> Iterator[Bend]:
        """The bend where both bars end at the fold, if it lies within what is shown."""
        for end, outward in ((0, -1), (1, 1)):
            ends = bar.span[end], other.span[end]
            if self._is_shown(place) and max(abs(place - at) for at in ends) < _NOTHING:
                low, high = sorted((bar.level, other.level))
                yield Bend(bar.piece, place, (low, high), outward)
                return

    def _is_shown(self, place: float) -> bool:
        return self.cut.low + _NOTHING < place < self.cut.high - _NOTHING

    def _wall(self, bars: Sequence[Bar], plate: Plate) -> Iterator[Bend]:
        """A standing face from the layer that it hangs on, past those within its height."""
        along: Along = 0 if ACROSS[plate.axis][0] == _across(self.cut) else 1
        place, at = float(Fraction(plate.plane) / self.scale), self.cut.at * self.scale
        heights = [(bar.level, self.assembly.plates[bar.face].plane) for bar in bars]
        for bar in self._hung_on(bars, plate.key) if self._is_shown(place) else ():
            piece = self.resolved.pieces[plate.key.piece]
            outward = -1 if place < sum(bar.span) / 2 else 1
            for strip in plate.region.strips(along):
                for foot, top in strip.at(at) if strip.low <= at < strip.high else ():
                    if self.assembly.plates[bar.face].plane == foot:
                        within = [level for level, height in heights if height < top]
                        yield Bend(piece, place, (bar.level, max(within)), outward)
                    else:
                        within = [level for level, height in heights if height > foot]
                        low = min(*within, bar.level - 1)
                        yield Bend(piece, place, (max(low, 0), bar.level), outward)

    def _hung_on(self, bars: Sequence[Bar], key: FaceKey) -> list[Bar]:
        """The layers that a face shares a fold with."""
        folds = ({crease.hanging, crease.staying} for crease in self.assembly.creases.values())
        beside = {face for ends in folds if key in ends for face in ends}
        return [bar for bar in bars if bar.face in beside]

    # ---- glue

    def glued(self, bars: Sequence[Bar]) -> Iterator[GluedSpan]:
        """Where adhesive between two layers lies along the line, with nothing between them."""
        for bond in self.assembly.bonds:
            if bond.adhesive is None:
                continue
            wet = self._wet(bond.adhesive)
            for bar in (each for each in bars if each.face == bond.first):
                for host in (each for each in bars if each.face == bond.second):
                    yield from self._between(bars, bar, host, wet)

    def _wet(self, adhesive: Adhesive) -> list[Interval]:
        plate = self.assembly.plates[adhesive.face]
        spread, dry = (_in_space(plate, each) for each in (adhesive.spread, adhesive.dry))
        return _without(self._spans(spread), self._spans(dry))

    def _between(
        self, bars: Sequence[Bar], bar: Bar, host: Bar, wet: Sequence[Interval]
    ) -> Iterator[GluedSpan]:
        side = 1 if host.level > bar.level else -1
        low, high = sorted((bar.level, host.level))
        between = [each.span for each in bars if low < each.level < high]
        met = [_common(_common(bar.span, host.span), span) for span in wet]
        for span in _without([each for each in met if each[0] < each[1]], between):
            yield GluedSpan(bar, side, span, host)


def _across(cut: Cut) -> Along:
    return 1 if cut.along == 0 else 0


def _in_space(plate: Plate, regions: Sequence[Region]) -> list[Region]:
    return [Region(tuple(plate.ring(ring) for ring in region.rings)) for region in regions]


def _overlap(first: Interval, second: Interval) -> bool:
    return first[0] < second[1] - 1e-6 and second[0] < first[1] - 1e-6


def _common(first: Interval, second: Interval) -> Interval:
    return max(first[0], second[0]), min(first[1], second[1])


def _joined(spans: Sequence[Interval]) -> list[Interval]:
    found: list[Interval] = []
    for low, high in spans:
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(high, found[-1][1])
        else:
            found.append((low, high))
    return found


def _without(spans: Sequence[Interval], taken: Sequence[Interval]) -> list[Interval]:
    left = list(spans)
    for low, high in taken:
        sides = [((a, min(b, low)), (max(a, high), b)) for a, b in left]
        left = [(a, b) for side in sides for a, b in side if b - a > _NOTHING]
    return [(low, high) for low, high in left if high - low > _NOTHING]
