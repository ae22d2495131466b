"""The lines of pieces where they lie: what is marked, scored, pierced and cut.

In: pieces with the pose that lays each of them down.  Out: strokes and holes of a scene.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, starmap

from builder.choices import Fold, other_fold
from builder.geometry.edges import Axis
from builder.geometry.outline import Line, Outline, Point, circle
from builder.geometry.pose import Pose
from builder.machine_files.once import each_line_once
from builder.machine_files.scene import Pierced, Stroke
from builder.resolve.resolved import ResolvedPiece

#: Holes up to this diameter are pierced: an awl, a needle or a small punch makes them, and a
#: blade that trails behind its pivot tears so small a circle.  (Common practice, no source.)
WIDEST_PIERCED = Fraction(4)
#: The length of a position mark's legs, and the shortest edge that gets marks at both its ends.
_LEG = Fraction(4)
_SHORTEST_MARKED = 4 * _LEG

#: From where to where a score runs along its line.
Stretch = tuple[Fraction, Fraction]


@dataclass(frozen=True)
class Laid:
    """A piece and how it lies: mirrored when the side it is cut from lies down."""

    name: str
    piece: ResolvedPiece
    pose: Pose

    @property
    def is_mirrored(self) -> bool:
        return self.pose.normal[2] < 0

    def place(self, own: Point) -> Point:
        """Where a place of the piece lies."""
        x, y, _ = self.pose.apply(own.x, own.y)
        return Point(x, y)

    def outline(self, own: Outline) -> Outline:
        """An outline of the piece where it lies."""
        return own.mapped(self.place, self.is_mirrored)

    def run(self, *places: Point) -> tuple[Line, ...]:
        """The lines from one place of the piece to the next, where they lie."""
        return tuple(starmap(Line, pairwise(map(self.place, places))))


def outlines(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """The edges of all pieces; what neighbours share is there once."""
    named = [(f"outline-{each.name}", each.outline(each.piece.outline)) for each in laid]
    return _strokes(named, ())


def openings(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """Windows and wide holes; where one lies on the edge of a piece, the outline has that line."""
    named = [
        (f"opening-{each.name}-{number}", each.outline(opening))
        for each in laid
        for number, opening in enumerate(_openings(each.piece), start=1)
    ]
    return _strokes(named, [each.outline(each.piece.outline) for each in laid])


def _strokes(
    named: Sequence[tuple[str, Outline]], apart_from: Sequence[Outline]
) -> tuple[Stroke, ...]:
    strokes: list[Stroke] = []
    parts: Counter[int] = Counter()
    for run in each_line_once([outline for _, outline in named], apart_from):
        name, _ = named[run.of]
        if not run.is_closed:
            parts[run.of] += 1
            name = f"{name}-part-{parts[run.of]}"
        strokes.append(Stroke(name, run.edges, run.is_closed))
    return tuple(strokes)


def _openings(piece: ResolvedPiece) -> Iterator[Outline]:
    yield from piece.windows
    for centre, diameter in _round_holes(piece):
        if diameter > WIDEST_PIERCED:
            yield circle(centre, diameter / 2)


def _round_holes(piece: ResolvedPiece) -> dict[tuple[Point, Fraction], None]:
    """Centre and diameter of each hole, once where several fastenings share it."""
    return dict.fromkeys((hole.centre, hole.diameter) for hole in piece.holes)


def pierced(laid: Sequence[Laid]) -> tuple[Pierced, ...]:
    """The small holes."""
    found: list[Pierced] = []
    for each in laid:
        small = [hole for hole in _round_holes(each.piece) if hole[1] <= WIDEST_PIERCED]
        for number, (centre, diameter) in enumerate(small, start=1):
            found.append(Pierced(f"pierce-{each.name}-{number}", each.place(centre), diameter))
    return tuple(found)


def scores(laid: Sequence[Laid], fold: Fold) -> tuple[Stroke, ...]:
    """The scores that are such folds on the face that lies up: a valley is a mountain from
    behind."""
    strokes: list[Stroke] = []
    for each in laid:
        for number, (own, start, end) in enumerate(_score_lines(each.piece), start=1):
            if fold == (other_fold(own) if each.is_mirrored else own):
                strokes.append(Stroke(f"score-{each.name}-{number}", each.run(start, end), False))
    return tuple(strokes)


def _score_lines(piece: ResolvedPiece) -> Iterator[tuple[Fold, Point, Point]]:
    """(fold, start, end) of each score; those that continue one another are one line."""
    groups: dict[tuple[Fold, Axis, Fraction], list[Stretch]] = {}
    for score in piece.scores:
        groups.setdefault((score.fold, score.axis, score.at), []).append((score.start, score.end))
    for (fold, axis, at), stretches in groups.items():
        for start, end in merged(stretches):
            if axis == "vertical":
                yield fold, Point(at, start), Point(at, end)
            else:
                yield fold, Point(start, at), Point(end, at)


def merged(stretches: Iterable[Stretch]) -> tuple[Stretch, ...]:
    """The same stretches in rising order, those that touch or overlap as one."""
    found: list[Stretch] = []
    for start, end in sorted(stretches):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return tuple(found)


def position_marks(
    laid: Sequence[Laid], lying_on: Sequence[ResolvedPiece], inset: Fraction
) -> tuple[Stroke, ...]:
    """Corners that show where a piece is glued on, ``inset`` within its edges so that it hides
    them; only on fronts that lie up."""
    return tuple(
        Stroke(f"mark-{each.name}-{upper.key}-{number}", each.run(*corner), False)
        for each in laid
        if not each.is_mirrored
        for upper in lying_on
        for number, corner in enumerate(_corner_marks(upper, each.piece, inset), start=1)
    )


def _corner_marks(
    upper: ResolvedPiece, host: ResolvedPiece, inset: Fraction
) -> Iterator[tuple[Point, Point, Point]]:
    """At the corners of what a plain rectangle glued flat on the front of its host is sure to hide
    of it: the end of one leg, the corner, the end of the other."""
    placement, offsets = upper.source.placement, upper.offsets
    if placement is None or placement.host != host.key or offsets is None:
        return
    if placement.relation != "on" or not placement.glue or upper.raised or not upper.is_plain:
        return
    if upper.reaches_beyond:
        return
    face = host.face(upper.host_face).box
    left, bottom = face.left + offsets.left + inset, face.bottom + offsets.bottom + inset
    right, top = face.right - offsets.right - inset, face.top - offsets.top - inset
    if min(right - left, top - bottom) < _SHORTEST_MARKED:
        return
    for x, inward in ((left, _LEG), (right, -_LEG)):
        for y, upward in ((bottom, _LEG), (top, -_LEG)):
            yield Point(x + inward, y), Point(x, y), Point(x, y + upward)
