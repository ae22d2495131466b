"""Machine files read back by libraries that know nothing of the program, and what the exact
model says should be in them.  All lengths are mm as floats, y up, from the lower left corner."""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import ezdxf
import svgelements
from ezdxf.entities import Arc as DxfArc, Circle as DxfCircle, LWPolyline
from shapely.geometry import LineString, Polygon

from gatherfold.geometry.outline import Arc, Outline
from gatherfold.machine_files import machine_files
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedPiece
from gatherfold.shipped import DESIGNS
from tests.works import checked

#: Half of the last of four decimals, in both x and y, and a little for floats.
NEAR = 0.0001
CHORDS = 256
OTHERS = Path(__file__).parents[1] / "designs"
ALL = sorted([*DESIGNS.glob("*.yaml"), *OTHERS.glob("*.yaml")])
CASES = [(path, edition) for path in ALL for edition in EDITIONS]
Place = tuple[float, float]
#: The groups as builder/README.md names them, in the order of the work.
ORDER = ["mark", "score-valley", "score-mountain", "pierce", "opening", "outline"]


def case_name(value: object) -> str:
    return value.stem if isinstance(value, Path) else str(value)


@cache
def files_of(path: Path, edition: str) -> dict[str, bytes]:
    found = checked(path, edition)
    return machine_files(found.resolved, found.plans)


@dataclass(frozen=True)
class Segment:
    """A line, or an arc about ``centre`` that turns by ``sweep`` (radians, counter-clockwise)."""

    start: Place
    end: Place
    centre: Place | None = None
    sweep: float = 0.0

    @property
    def places(self) -> list[Place]:
        """The ends of a line; an arc in chords."""
        if self.centre is None:
            return [self.start, self.end]
        x, y = self.centre
        radius = math.dist(self.start, self.centre)
        first = math.atan2(self.start[1] - y, self.start[0] - x)
        angles = [first + self.sweep * step / CHORDS for step in range(1, CHORDS)]
        between = [(x + radius * math.cos(a), y + radius * math.sin(a)) for a in angles]
        return [self.start, *between, self.end]


def run_of(segments: Sequence[Segment]) -> list[Place]:
    """The places along segments that follow one another, each once."""
    return [*(p for s in segments for p in s.places[:-1]), segments[-1].end]


@dataclass(frozen=True)
class Drawn:
    name: str
    segments: tuple[Segment, ...]
    is_closed: bool

    @property
    def line(self) -> LineString:
        return LineString(run_of(self.segments))

    @property
    def polygon(self) -> Polygon:
        return Polygon(run_of(self.segments))


@dataclass(frozen=True)
class File:
    """One file as read: the size of its page, groups in their order, circles (centre, radius)."""

    width: float
    height: float
    order: list[str]
    paths: dict[str, list[Drawn]]
    circles: list[tuple[Place, float]]

    @property
    def cuts(self) -> list[Drawn]:
        """What goes through the sheet, in the order of the file."""
        return [*self.paths["opening"], *self.paths["outline"]]


def read_svg(content: bytes) -> File:
    """Read with one user unit for a millimetre, and undo the library's rounded inch."""
    svg = svgelements.SVG.parse(io.BytesIO(content), ppi=25.4)
    scale = svg.width / svg.viewbox.width
    assert abs(scale - 1) < 1e-5, "the page is as large in mm as its coordinates say"
    height = svg.viewbox.height

    def place(point: svgelements.Point) -> Place:
        return point.x / scale, height - point.y / scale

    groups = [g for g in svg if isinstance(g, svgelements.Group)]
    paths = {
        group.id: [_path(found, place) for found in group.select(_is_path)] for group in groups
    }
    circles = [
        (place(svgelements.Point(found.cx, found.cy)), found.rx / scale)
        for found in svg.select(lambda each: isinstance(each, svgelements.Circle))
    ]
    order = [group.id for group in groups]
    return File(svg.viewbox.width, height, order, paths, circles)


def _is_path(element: object) -> bool:
    return isinstance(element, svgelements.Path)


def _path(found: svgelements.Path, place: object) -> Drawn:
    segments: list[Segment] = []
    closed = False
    for part in found:
        if isinstance(part, svgelements.Move):
            continue
        start, end = place(part.start), place(part.end)  # type: ignore[operator]
        closed = closed or isinstance(part, svgelements.Close)
        if isinstance(part, svgelements.Arc):
            centre = place(part.center)  # type: ignore[operator]
            segments.append(Segment(start, end, centre, -part.sweep))
        elif start != end:
            segments.append(Segment(start, end))
    return Drawn(found.id, tuple(segments), closed)


def read_dxf(content: bytes) -> File:
    """Read by ezdxf, which must find nothing to mend."""
    document = ezdxf.read(io.StringIO(content.decode()))  # type: ignore[attr-defined]
    audit = document.audit()
    assert not audit.has_errors and not audit.has_fixes
    assert document.header["$INSUNITS"] == 4, "millimetres"
    paths: dict[str, list[Drawn]] = {name: [] for name in ORDER}
    order, circles = [], []
    for entity in document.modelspace():
        layer = entity.dxf.layer
        order.append(layer)
        if isinstance(entity, DxfCircle) and not isinstance(entity, DxfArc):
            assert layer == "pierce"
            circles.append(((entity.dxf.center.x, entity.dxf.center.y), entity.dxf.radius))
            continue
        assert isinstance(entity, LWPolyline)
        assert entity.dxf.linetype == "BYLAYER"
        segments = _dxf_segments(entity)
        paths[layer].append(Drawn("", segments, bool(entity.closed)))
    size = document.header["$LIMMAX"]
    return File(size[0], size[1], list(dict.fromkeys(order)), paths, circles)


def _dxf_segments(entity: LWPolyline) -> tuple[Segment, ...]:
    """Bulges are the tangents of a quarter of the angle (DXF reference, group code 42)."""
    points = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
    ends = [*points[1:], points[0]] if entity.closed else points[1:]
    return tuple(
        _bulged((x, y), (to[0], to[1]), bulge)
        for (x, y, bulge), to in zip(points, ends, strict=False)
    )


def _bulged(start: Place, end: Place, bulge: float) -> Segment:
    if bulge == 0:
        return Segment(start, end)
    centre, *_ = ezdxf.math.bulge_to_arc(start, end, bulge)  # type: ignore[attr-defined]
    return Segment(start, end, (centre.x, centre.y), 4 * math.atan(bulge))


def expected_rings(piece: ResolvedPiece) -> list[list[Segment]]:
    """The outline, then windows and holes wider than 4 mm, from the exact model."""
    rings = [_exact(outline) for outline in (piece.outline, *piece.windows)]
    for centre, radius in {(h.centre, h.diameter / 2) for h in piece.holes if h.diameter > 4}:
        x, y, r = float(centre.x), float(centre.y), float(radius)
        right, left = (x + r, y), (x - r, y)
        rings.append([Segment(right, left, (x, y), math.pi), Segment(left, right, (x, y), math.pi)])
    return rings


def _exact(outline: Outline) -> list[Segment]:
    segments = []
    for edge in outline.edges:
        start, end = (
            (float(edge.start.x), float(edge.start.y)),
            (
                float(edge.end.x),
                float(edge.end.y),
            ),
        )
        if not isinstance(edge, Arc):
            segments.append(Segment(start, end))
            continue
        centre = (float(edge.centre.x), float(edge.centre.y))
        first = math.atan2(start[1] - centre[1], start[0] - centre[0])
        last = math.atan2(end[1] - centre[1], end[0] - centre[0])
        turn = (first - last if edge.clockwise else last - first) % math.tau
        segments.append(Segment(start, end, centre, -turn if edge.clockwise else turn))
    return segments


def area_of(segments: Sequence[Segment]) -> float:
    """By Green's theorem: the polygon of the corners, and what each arc adds to its chord."""
    corners = sum(s.start[0] * s.end[1] - s.end[0] * s.start[1] for s in segments) / 2
    arcs = sum(
        math.dist(s.start, s.centre) ** 2 / 2 * (s.sweep - math.sin(s.sweep))
        for s in segments
        if s.centre is not None
    )
    return abs(corners + arcs)


def is_same_ring(first: Sequence[Segment], second: Sequence[Segment]) -> bool:
    """The same lines and arcs in the same order and direction, from whichever corner."""
    if len(first) != len(second):
        return False
    turns = range(len(first))
    return any(
        all(is_near(a, b) for a, b in zip(first, [*second[n:], *second[:n]], strict=True))
        for n in turns
    )


def is_near(a: Segment, b: Segment) -> bool:
    pairs: Iterable[tuple[Place, Place]] = [(a.start, b.start), (a.end, b.end)]
    if (a.centre is None) != (b.centre is None) or abs(a.sweep - b.sweep) > 1e-4:
        return False
    if a.centre is not None and b.centre is not None:
        pairs = [*pairs, (a.centre, b.centre)]
    return all(math.dist(p, q) < NEAR * math.sqrt(2) for p, q in pairs)


def decimals_in(content: bytes) -> list[str]:
    """The decimals of every number in a file's coordinates."""
    text = content.decode()
    data = re.findall(r'(?: d|viewBox|width|height|cx|cy|r)="([^"]*)"', text)
    return re.findall(r"\.(\d+)", " ".join(data))
