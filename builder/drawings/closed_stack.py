"""A cut through the closed work: which layers it meets, in order, and what joins them.

In: a resolved design and a line across the page.  Out: bars (layers along the line) with their
levels from the back, and bends (folds and gussets that join two of them).  Lengths along the line
are true, in mm; a level stands for one layer, whatever its thickness.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from builder.choices import is_tape
from builder.drawings.features import outline_ring
from builder.drawings.pivots import holding_pivots, turned_over
from builder.drawings.plane import Place
from builder.geometry.areas import placed
from builder.geometry.edges import EdgeName
from builder.geometry.outline import Box
from builder.geometry.pose import Pose
from builder.resolve.placement import FaceKey, folds_outward, main_body, tree_of
from builder.resolve.resolved import REMEMBERED, PlacedFace, ResolvedDesign, ResolvedPiece
from builder.resolve.turns import fold_ends, fold_of, folded_faces, turns

Interval = tuple[float, float]
#: Glue along an edge is so wide, in mm of the work, where the design names no tape.
_STRIP = Fraction(6)


@dataclass(frozen=True)
class Cut:
    """A line across the closed work: along x at y = ``at``, or along y at x = ``at``; ``low`` and
    ``high`` bound what is shown of it."""

    along: int
    at: Fraction
    low: float
    high: float


@dataclass(frozen=True)
class Bar:
    """One layer along the cut; ``upward`` is 1 where its front looks up, else −1; ``glue`` are the
    stretches of it that have glue on the side towards its host."""

    face: FaceKey
    piece: ResolvedPiece
    span: Interval
    level: int
    upward: int
    glue: tuple[Interval, ...] = ()


@dataclass(frozen=True)
class Bend:
    """A fold, or a standing face between two folds, at ``place`` along the cut; it joins two
    levels.  ``outward`` is −1 where the layers lie to the right of it, else 1."""

    piece: ResolvedPiece
    place: float
    levels: tuple[int, int]
    outward: int


@dataclass(frozen=True)
class Stack:
    bars: tuple[Bar, ...]
    bends: tuple[Bend, ...]

    @property
    def levels(self) -> int:
        return max((bar.level for bar in self.bars), default=-1) + 1

    def bar_of(self, piece: str) -> Bar | None:
        return next((bar for bar in self.bars if bar.piece.key == piece), None)


@lru_cache(maxsize=REMEMBERED)
def closed_faces(resolved: ResolvedDesign) -> tuple[PlacedFace, ...]:
    """The closed main body, everything in place: tabs that turn lap over what they hold."""
    tree = tree_of(resolved)
    motions = [turn.angles for turn in turns(resolved)]
    faces = folded_faces(resolved, main_body(tree), motions)
    faces = tuple(f for f in faces if resolved.pieces[f.piece].source.present != "open")
    for pivot in holding_pivots(resolved):
        faces = turned_over(resolved, faces, pivot)
    return faces


def cut_through(resolved: ResolvedDesign, faces: Sequence[PlacedFace], cut: Cut) -> Stack:
    """What a line across the closed work meets, from the back to the front."""
    bars: list[Bar] = []
    for face in sorted(faces, key=lambda face: face.order):
        if face.pose.normal[2] == 0:
            continue
        piece = resolved.pieces[face.piece]
        for span in _spans(piece, face, cut):
            under = [bar.level for bar in bars if _overlap(bar.span, span)]
            level = max(under, default=-1) + 1
            glue = tuple(_glue_in(piece, face, cut, span, strip_depth(resolved)))
            key = face.piece, face.face
            bars.append(Bar(key, piece, span, level, face.pose.normal[2], glue))
    return Stack(tuple(bars), tuple(_bends(resolved, faces, cut, bars)))


def strip_depth(resolved: ResolvedDesign) -> Fraction:
    """How wide the glue along an edge is: as the narrowest tape of the design."""
    tapes = (key for key, supply in resolved.design.supplies.items() if is_tape(supply.kind))
    widths = (resolved.supply_sizes[key][0] for key in tapes)
    return min((width for width in widths if width), default=_STRIP)


def _overlap(first: Interval, second: Interval) -> bool:
    return first[0] < second[1] - 1e-6 and second[0] < first[1] - 1e-6


def _spans(piece: ResolvedPiece, face: PlacedFace, cut: Cut) -> list[Interval]:
    """Where the cut runs through a lying face, openings left out."""
    slab = placed(face.pose, piece.face(face.face).box)
    across = 1 - cut.along
    if not slab.low[across] < cut.at < slab.high[across]:
        return []
    lowest = max(float(slab.low[cut.along]), cut.low)
    highest = min(float(slab.high[cut.along]), cut.high)
    rings = [outline_ring(piece.outline), *(outline_ring(w) for w in piece.windows)]
    marks = sorted(mark for ring in rings for mark in _crossings(ring, face.pose, cut))
    spans = []
    for start, end in zip(marks[::2], marks[1::2], strict=True):
        if min(end, highest) - max(start, lowest) > 0.01:
            spans.append((max(start, lowest), min(end, highest)))
    return spans


def _glue_in(
    piece: ResolvedPiece, face: PlacedFace, cut: Cut, span: Interval, depth: Fraction
) -> list[Interval]:
    """The stretches of a layer with glue on them: all of it, or where the cut meets a strip along
    a glued edge; areas to keep dry are left out."""
    glue, box = piece.glue, piece.face(face.face).box
    strips = [box] if glue.is_all_over else [_strip(box, edge, depth) for edge in glue.strips]
    if not glue.is_all_over and face.face != piece.by:
        # Edges are those of the face that lies on the host.
        return []
    wet = [met for strip in strips if (met := _met(face.pose, strip, cut, span))]
    found: list[Interval] = []
    for low, high in sorted(wet):
        if found and low <= found[-1][1]:
            found[-1] = found[-1][0], max(high, found[-1][1])
        else:
            found.append((low, high))
    for dry in piece.glue.keep_off:
        met = _met(face.pose, dry, cut, span)
        if met is not None:
            sides = [((low, min(high, met[0])), (max(low, met[1]), high)) for low, high in found]
            found = [(low, high) for side in sides for low, high in side if high - low > 0.01]
    return found


def _strip(box: Box, edge: EdgeName, depth: Fraction) -> Box:
    """The strip along one edge of a face, in its own coordinates; half the face at most."""
    return box.strip(edge, min(depth, box.across(edge) / 2))


def _met(pose: Pose, box: Box, cut: Cut, span: Interval) -> Interval | None:
    """The part of ``span`` that lies in a box of a placed face, where the cut meets it."""
    slab, across = placed(pose, box), 1 - cut.along
    if not slab.low[across] < cut.at < slab.high[across]:
        return None
    low = max(float(slab.low[cut.along]), span[0])
    high = min(float(slab.high[cut.along]), span[1])
    return (low, high) if high - low > 0.01 else None


def _crossings(ring: Sequence[Place], pose: Pose, cut: Cut) -> list[float]:
    """Where a closed ring, placed in space, crosses the line of the cut."""
    (a, b, _), (c, d, _), _ = pose.rotation
    e, f = float(pose.shift[0]), float(pose.shift[1])
    places = [(a * x + b * y + e, c * x + d * y + f) for x, y in ring]
    across, at = 1 - cut.along, float(cut.at)
    found = []
    for index, here in enumerate(places):
        before = places[index - 1]
        if (before[across] > at) != (here[across] > at):
            share = (at - before[across]) / (here[across] - before[across])
            found.append(before[cut.along] + share * (here[cut.along] - before[cut.along]))
    return found


def _bends(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], cut: Cut, bars: Sequence[Bar]
) -> list[Bend]:
    """Each fold between two lying faces, and each standing face between two folds."""
    placed_at = {(face.piece, face.face): face for face in faces}
    levels = {bar.face: bar for bar in bars}
    found = []
    for key in dict.fromkeys(face.piece for face in faces):
        piece = resolved.pieces[key]
        hangs_on = {hanging: staying for staying, hanging, _ in folds_outward(piece)}
        for hanging, staying in hangs_on.items():
            far = placed_at[key, hanging]
            if far.pose.normal[2] == 0:
                continue
            near = (key, staying)
            while placed_at[near].pose.normal[2] == 0 and near[1] in hangs_on:
                near = (key, hangs_on[near[1]])
            bar, other = levels.get((key, hanging)), levels.get(near)
            if bar is None or other is None or far.pose.normal == placed_at[near].pose.normal:
                continue
            place = float(fold_ends(fold_of(piece, hanging), far.pose)[0][cut.along])
            bend = _bend(piece, cut, place, bar, other)
            if bend is not None:
                found.append(bend)
    return found


def _bend(piece: ResolvedPiece, cut: Cut, place: float, bar: Bar, other: Bar) -> Bend | None:
    """The bend where both bars end at the fold, if it lies within what is shown."""
    if not cut.low + 0.01 < place < cut.high - 0.01:
        return None
    for end, outward in ((0, -1), (1, 1)):
        if max(abs(place - bar.span[end]), abs(place - other.span[end])) < 0.01:
            low, high = sorted((bar.level, other.level))
            return Bend(piece, place, (low, high), outward)
    return None
