"""Every line once: outlines that lie edge to edge share their common line.

In: outlines with exact corners.  Out: runs of edges that together cover every line of the
outlines, and none of them twice.  As many outlines as can be stay closed: one that shares no line
with an earlier closed one is a run of its own; of the others only what is missing is left.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.outline import Arc, Edge, Line, Outline, Point

Interval = tuple[Fraction, Fraction]
#: An endless straight line: its slope (None: upright) and where it crosses x = 0 (or y = 0).
_Carrier = tuple[Fraction | None, Fraction]
_Arc = tuple[Point, Point, Point]


@dataclass(frozen=True)
class Run:
    """Edges that follow one another, taken from the outline with the index ``of``."""

    of: int
    edges: tuple[Edge, ...]
    is_closed: bool


def each_line_once(
    outlines: Sequence[Outline], apart_from: Sequence[Outline] = ()
) -> tuple[Run, ...]:
    """The runs in the order of their outlines, whole outlines before what completes others.

    What lies on a line of ``apart_from`` is left out.
    """
    taken = _Taken()
    for outline in apart_from:
        for edge in outline.edges:
            taken.take(edge)
    whole: list[Run] = []
    waiting: list[int] = []
    for index, outline in enumerate(outlines):
        if any(taken.touches(edge) for edge in outline.edges):
            waiting.append(index)
            continue
        whole.append(Run(index, outline.edges, True))
        for edge in outline.edges:
            taken.take(edge)
    rest = [
        Run(index, edges, False)
        for index in waiting
        for edges in _chained([part for e in outlines[index].edges for part in taken.take(e)])
    ]
    return (*whole, *rest)


def merged(intervals: Iterable[Interval]) -> tuple[Interval, ...]:
    """The same stretches in rising order, those that touch or overlap as one."""
    found: list[Interval] = []
    for start, end in sorted(intervals):
        if found and start <= found[-1][1]:
            found[-1] = (found[-1][0], max(end, found[-1][1]))
        else:
            found.append((start, end))
    return tuple(found)


class _Taken:
    """The lines that some run has already."""

    def __init__(self) -> None:
        self._stretches: dict[_Carrier, tuple[Interval, ...]] = {}
        self._arcs: set[_Arc] = set()

    def touches(self, edge: Edge) -> bool:
        """Whether a stretch of the edge, not merely a point, is taken."""
        return self._missing(edge) != [edge]

    def take(self, edge: Edge) -> list[Edge]:
        """Take the edge; gives those parts of it that were free, along its own direction."""
        missing = self._missing(edge)
        if isinstance(edge, Arc):
            self._arcs.add(_arc_key(edge))
        else:
            carrier = _carrier(edge)
            stretches = self._stretches.get(carrier, ())
            self._stretches[carrier] = merged((*stretches, _stretch(edge)))
        return missing

    def _missing(self, edge: Edge) -> list[Edge]:
        if isinstance(edge, Arc):
            return [] if _arc_key(edge) in self._arcs else [edge]
        carrier, (low, high) = _carrier(edge), _stretch(edge)
        taken = [s for s in self._stretches.get(carrier, ()) if s[0] < high and low < s[1]]
        if not taken:
            return [edge]
        parts: list[Edge] = [
            Line(_point_at(carrier, start), _point_at(carrier, end))
            for start, end in _gaps(low, high, taken)
        ]
        return parts if _along(edge.start, carrier) == low else _reversed(parts)


def _gaps(low: Fraction, high: Fraction, taken: Iterable[Interval]) -> Iterator[Interval]:
    """What of low to high lies in none of the intervals, which rise and do not overlap."""
    for start, end in taken:
        if low < start:
            yield low, start
        low = max(low, end)
    if low < high:
        yield low, high


def _reversed(parts: Sequence[Edge]) -> list[Edge]:
    return [Line(part.end, part.start) for part in reversed(parts)]


def _carrier(line: Line) -> _Carrier:
    across = line.end.x - line.start.x
    if across == 0:
        return None, line.start.x
    slope = (line.end.y - line.start.y) / across
    return slope, line.start.y - slope * line.start.x


def _along(point: Point, carrier: _Carrier) -> Fraction:
    """A point's place along its line: its y on an upright one, else its x."""
    return point.y if carrier[0] is None else point.x


def _stretch(line: Line) -> Interval:
    carrier = _carrier(line)
    first, last = _along(line.start, carrier), _along(line.end, carrier)
    return min(first, last), max(first, last)


def _point_at(carrier: _Carrier, along: Fraction) -> Point:
    slope, at = carrier
    return Point(at, along) if slope is None else Point(along, slope * along + at)


def _arc_key(arc: Arc) -> _Arc:
    """The same for both directions; arcs of outlines that lie beside one another are either the
    same or apart, so no part of an arc is ever asked for."""
    ends = (arc.end, arc.start) if arc.clockwise else (arc.start, arc.end)
    return (*ends, arc.centre)


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
