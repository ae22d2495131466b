"""The lines of pieces where they lie: what is marked, scored, pierced and cut, every line once.

In: pieces with the pose that lays each of them down.  Out: strokes and holes of a scene.  Outlines
that lie edge to edge share their common line: the runs together cover every line and none twice.
As many outlines as can be stay closed: one that shares no line with an earlier closed one is a run
of its own; of the others only what is missing is left.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise, starmap

from gatherfold.geometry import Arc, Axis, Edge, Outline, Point, Pose, Segment, circle
from gatherfold.machine_files.scene import Pierced, Stroke
from gatherfold.model import Fold, other_fold
from gatherfold.resolve import ResolvedPiece

#: An endless straight line, as its slope (None: upright) and where it crosses x = 0 (or y = 0); or
#: an arc, as its ends and centre.
_Carrier = tuple[Fraction | None, Fraction] | tuple[Point, Point, Point]
#: From one place to another along a carrier, the lower left end first.
_Stretch = tuple[Point, Point]


def each_line_once(
    named: Sequence[tuple[str, Outline]], apart_from: Sequence[Outline] = ()
) -> tuple[Stroke, ...]:
    """The strokes in the order of their outlines, whole outlines before what completes others.

    What lies on a line of ``apart_from`` is left out.
    """
    taken = _Taken()
    for outline in apart_from:
        for edge in outline.edges:
            taken.take(edge)
    whole: list[Stroke] = []
    waiting: list[tuple[str, Outline]] = []
    for name, outline in named:
        if any(taken.free(edge) != [edge] for edge in outline.edges):
            waiting.append((name, outline))
            continue
        whole.append(Stroke(name, outline.edges, True))
        for edge in outline.edges:
            taken.take(edge)
    rest = [
        Stroke(f"{name}-part-{number}", edges, False)
        for name, outline in waiting
        for number, edges in enumerate(
            _chained([part for edge in outline.edges for part in taken.take(edge)]), start=1
        )
    ]
    return (*whole, *rest)


class _Taken:
    """The lines that some run has already."""

    def __init__(self) -> None:
        self._stretches: dict[_Carrier, list[_Stretch]] = defaultdict(list)

    def take(self, edge: Edge) -> list[Edge]:
        """Take the edge; gives those parts of it that were free, along its own direction."""
        free = self.free(edge)
        self._stretches[_carrier(edge)] += map(_stretch, free)
        return free

    def free(self, edge: Edge) -> list[Edge]:
        """The parts of an edge that no run has, the edge itself where it touches none."""
        free = [_stretch(edge)]
        for low, high in self._stretches[_carrier(edge)]:
            parts = [part for a, b in free for part in ((a, min(b, low)), (max(a, high), b))]
            free = [(start, end) for start, end in parts if start < end]
        if isinstance(edge, Arc):
            return [edge] if free else []
        if edge.start < edge.end:
            return [Segment(start, end) for start, end in free]
        return [Segment(end, start) for start, end in reversed(free)]


def _stretch(edge: Edge) -> _Stretch:
    return min(edge.start, edge.end), max(edge.start, edge.end)


def _carrier(edge: Edge) -> _Carrier:
    """The same for both directions; arcs of outlines that lie beside one another are either the
    same or apart, so no part of an arc is ever asked for."""
    if isinstance(edge, Arc):
        ends = (edge.end, edge.start) if edge.clockwise else (edge.start, edge.end)
        return (*ends, edge.centre)
    across = edge.end.x - edge.start.x
    if across == 0:
        return None, edge.start.x
    slope = (edge.end.y - edge.start.y) / across
    return slope, edge.start.y - slope * edge.start.x


def _chained(parts: Sequence[Edge]) -> list[tuple[Edge, ...]]:
    """The parts of one outline joined where one ends at the start of the next, round its end."""
    runs: list[list[Edge]] = []
    for part in parts:
        if runs and runs[-1][-1].end == part.start:
            runs[-1].append(part)
        else:
            runs.append([part])
    if len(runs) > 1 and runs[-1][-1].end == runs[0][0].start:
        runs[0] = [*runs.pop(), *runs[0]]
    return [tuple(run) for run in runs]


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
        x, y, _ = self.pose.apply((own.x, own.y, 0))
        return Point(x, y)

    def outline(self, own: Outline) -> Outline:
        """An outline of the piece where it lies."""
        return own.mapped(self.place, self.is_mirrored)

    def run(self, *places: Point) -> tuple[Segment, ...]:
        """The lines from one place of the piece to the next, where they lie."""
        return tuple(starmap(Segment, pairwise(map(self.place, places))))


def outlines(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """The edges of all pieces; what neighbours share is there once."""
    named = [(f"outline-{each.name}", each.outline(each.piece.outline)) for each in laid]
    return each_line_once(named)


def openings(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """Windows and wide holes; where one lies on the edge of a piece, the outline has that line."""
    named = [
        (f"opening-{each.name}-{number}", each.outline(opening))
        for each in laid
        for number, opening in enumerate(_openings(each.piece), start=1)
    ]
    return each_line_once(named, [each.outline(each.piece.outline) for each in laid])


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
