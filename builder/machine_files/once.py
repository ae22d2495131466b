"""Every line once: outlines that lie edge to edge share their common line.

In: outlines with exact corners.  Out: runs of edges that together cover every line of the
outlines, and none of them twice.  As many outlines as can be stay closed: one that shares no line
with an earlier closed one is a run of its own; of the others only what is missing is left.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.geometry.outline import Arc, Edge, Line, Outline, Point

#: An endless straight line, as its slope (None: upright) and where it crosses x = 0 (or y = 0); or
#: an arc, as its ends and centre.
_Carrier = tuple[Fraction | None, Fraction] | tuple[Point, Point, Point]
#: From one place to another along a carrier, the lower left end first.
_Stretch = tuple[Point, Point]


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
        if any(taken.free(edge) != [edge] for edge in outline.edges):
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
            return [Line(start, end) for start, end in free]
        return [Line(end, start) for start, end in reversed(free)]


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
