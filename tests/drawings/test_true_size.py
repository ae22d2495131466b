"""Templates measured in the built PDFs, by libraries that had no part in making them.

Every edge of every template of the shipped designs, in both editions, lies within 0.1 mm of the
piece's exact outline; tiles laid together by their crosses alone give the outline to 0.2 mm.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import pdfplumber
import pypdfium2
import pytest
from pypdf import PdfReader

from gatherfold.counts.cut_list import cut_list
from gatherfold.drawings.template.drawing import needs_template
from gatherfold.geometry.outline import Arc, Outline
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.shipped import DESIGNS
from tests.built import pdf_of
from tests.conftest import FOLIO
from tests.works import checked

SHIPPED = sorted(DESIGNS.glob("*.yaml"))
Place = tuple[float, float]
Segment = tuple[Place, Place]
#: Inked widths of edges and of crosses, in points.
EDGE, THIN = 0.5 / 25.4 * 72, 0.25 / 25.4 * 72
#: Words set letter by letter may come out of a PDF without the spaces between them.
_TILE = re.compile(r"part ?(\d+) ?of ?(\d+) ?\(([a-z ]+)\)")
#: The names of tiles by their places: from the top, from the left.
_UP, _ACROSS = {"top": 0, "bottom": 1}, {"left": 0, "right": 1}


@dataclass(frozen=True)
class Page:
    """One template page: its words, its edges as runs of line, and its crosses; mm, y up."""

    words: str
    runs: tuple[tuple[Place, ...], ...]
    crosses: tuple[Place, ...]
    bars: tuple[float, ...]

    @property
    def segments(self) -> list[Segment]:
        return [pair for run in self.runs for pair in pairwise(run)]


@pytest.fixture(
    scope="module",
    params=[(path, name) for path in SHIPPED for name in EDITIONS],
    ids=lambda param: f"{param[0].stem}-{param[1]}",
)
def measured(request: pytest.FixtureRequest) -> tuple[ResolvedDesign, list[Page]]:
    path, name = request.param
    return checked(path, name).resolved, list(pages_of(pdf_of(path.stem, name, "pattern")))


def pages_of(pdf: bytes) -> Iterator[Page]:
    """The template pages; PDFium finds them in a hundredth of the time of the others."""
    texts = [page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(pdf)]
    maybe = [number for number, text in enumerate(texts) if "actual size" in text]
    pages = PdfReader(io.BytesIO(pdf)).pages
    words = {number: pages[number].extract_text() for number in maybe}
    templates = [n for n, text in words.items() if "print at actual size (100 %)" in text]
    with pdfplumber.open(io.BytesIO(pdf), pages=[number + 1 for number in templates]) as document:
        for page, number in zip(document.pages, templates, strict=True):
            yield read_page(page, words[number])


def read_page(page: Any, words: str) -> Page:
    drawn = [*page.lines, *page.curves, *page.rects]
    edges = [run_of(each) for each in drawn if abs((each["linewidth"] or 0) - EDGE) < 0.05]
    thin = [run_of(each) for each in drawn if abs((each["linewidth"] or 0) - THIN) < 0.05]
    arms = [run for run in thin if len(run) == 2 and abs(math.dist(*run) - 6.0) < 0.01]
    middles = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in arms]
    crosses = [
        place
        for index, place in enumerate(middles)
        if any(math.dist(place, other) < 0.01 for other in middles[:index])
    ]
    bars = [max(x for x, _ in run) - min(x for x, _ in run) for run in thin if len(run) == 5]
    return Page(words, tuple(edges), tuple(crosses), tuple(bars))


def run_of(drawn: dict[str, Any]) -> tuple[Place, ...]:
    """The places of a path; a closed one ends where it began."""
    places = [(x / 72 * 25.4, -y / 72 * 25.4) for x, y in drawn["pts"]]
    if drawn["object_type"] == "rect" or (
        len(places) > 2 and drawn.get("path", [("",)])[-1][0] == "h"
    ):
        places.append(places[0])
    return tuple(places)


def off_outline(outline: Outline, place: Place) -> float:
    """How far a place is from the exact outline; an arc is taken as a whole circle's part."""
    return min(_off_edge(edge, place) for edge in outline.edges)


def _off_edge(edge: Any, place: Place) -> float:
    start = float(edge.start.x), float(edge.start.y)
    end = float(edge.end.x), float(edge.end.y)
    if isinstance(edge, Arc):
        centre = float(edge.centre.x), float(edge.centre.y)
        return abs(math.dist(place, centre) - math.dist(start, centre))
    return off_segment(place, start, end)


def off_segment(place: Place, start: Place, end: Place) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    square = dx * dx + dy * dy
    share = ((place[0] - start[0]) * dx + (place[1] - start[1]) * dy) / square if square else 0.0
    share = min(max(share, 0.0), 1.0)
    return math.dist(place, (start[0] + share * dx, start[1] + share * dy))


def along(outline: Outline, step: float = 1.0) -> Iterator[Place]:
    """Places all along an exact outline, its corners among them."""
    for edge in outline.edges:
        start = float(edge.start.x), float(edge.start.y)
        end = float(edge.end.x), float(edge.end.y)
        count = max(1, math.ceil(math.dist(start, end) / step))
        if not isinstance(edge, Arc):
            for number in range(count):
                share = number / count
                yield (
                    start[0] + share * (end[0] - start[0]),
                    start[1] + share * (end[1] - start[1]),
                )
            continue
        x, y = float(edge.centre.x), float(edge.centre.y)
        first = math.atan2(start[1] - y, start[0] - x)
        turn = (math.atan2(end[1] - y, end[0] - x) - first) % math.tau
        turn = turn - math.tau if edge.clockwise else turn
        for number in range(count):
            angle = first + turn * number / count
            radius = math.dist(start, (x, y))
            yield x + radius * math.cos(angle), y + radius * math.sin(angle)


def deviation(piece: ResolvedPiece, segments: Sequence[Segment]) -> float:
    """The most by which drawn edges and the exact ones differ, either way round; the drawing's
    lower left corner is laid on the piece's, as it is or turned back by a quarter."""
    return min(_laid(piece, segments, turned) for turned in (False, True))


def _laid(piece: ResolvedPiece, segments: Sequence[Segment], turned: bool) -> float:
    if turned:
        segments = [((y, -x), (v, -u)) for (x, y), (u, v) in segments]
    places = [place for segment in segments for place in segment]
    left, bottom = min(x for x, _ in places), min(y for _, y in places)
    segments = [((x - left, y - bottom), (u - left, v - bottom)) for (x, y), (u, v) in segments]
    width = max(x for segment in segments for x, _ in segment)
    if abs(width - float(piece.width)) > 1.0:
        return math.inf
    rings = [piece.outline, *piece.windows]
    drawn = max(min(off_outline(ring, p) for ring in rings) for pair in segments for p in pair)
    left_out = max(
        min(off_segment(place, *segment) for segment in segments)
        for ring in rings
        for place in along(ring)
    )
    return max(drawn, left_out)


def shaped(resolved: ResolvedDesign) -> list[ResolvedPiece]:
    return [row.first for row in cut_list(resolved) if needs_template(row.first)]


def test_every_edge_is_within_a_tenth(measured: tuple[ResolvedDesign, list[Page]]) -> None:
    """Of every piece that fits a page: found there once, edge by edge."""
    resolved, pages = measured
    whole = [page for page in pages if not _TILE.search(page.words)]
    for piece in shaped(resolved):
        if any(_TILE.search(p.words) and f"{piece.code} {piece.title}" in p.words for p in pages):
            continue
        named = [page for page in whole if f"{piece.code} {piece.title}" in page.words]
        assert len(named) == 1, piece.key
        found = [deviation(piece, list(pairwise(run))) for run in named[0].runs if len(run) > 3]
        assert min(found) < 0.1, piece.key


def test_tiles_laid_together_by_their_crosses(measured: tuple[ResolvedDesign, list[Page]]) -> None:
    resolved, pages = measured
    for piece in shaped(resolved):
        tiles = {}
        for page in pages:
            match = _TILE.search(page.words)
            if match and f"{piece.code} {piece.title}" in page.words:
                tiles[place_of(match[3])] = page
                count = int(match[2])
        if tiles:
            rows, columns = (max(axis) + 1 for axis in zip(*tiles, strict=True))
            assert len(tiles) == count
            assert set(tiles) == {(r, c) for r in range(rows) for c in range(columns)}
            assert deviation(piece, joined(tiles, rows, columns)) < 0.2, piece.key


def place_of(words: str) -> tuple[int, int]:
    """The row and the column of a tile."""
    row = next((at for name, at in _UP.items() if name in words), 0)
    return row, next((at for name, at in _ACROSS.items() if name in words), 0)


def joined(tiles: dict[tuple[int, int], Page], rows: int, columns: int) -> list[Segment]:
    """The edges of all tiles, each moved so that its crosses lie on its neighbours'."""
    moves: dict[tuple[int, int], Place] = {(0, 0): (0.0, 0.0)}
    for row in range(rows):
        for column in range(columns):
            here = tiles[row, column].crosses
            ways = []
            if column:
                near = tiles[row, column - 1].crosses
                ways.append(((row, column - 1), seam(near, 0, max), seam(here, 0, min)))
            if row:
                near = tiles[row - 1, column].crosses
                ways.append(((row - 1, column), seam(near, 1, min), seam(here, 1, max)))
            for before, fixed, moving in ways:
                move = moved_on(fixed, moving)
                base = moves[before]
                total = base[0] + move[0], base[1] + move[1]
                assert math.dist(moves.setdefault((row, column), total), total) < 0.05
    return [
        ((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy))
        for key, (dx, dy) in moves.items()
        for a, b in tiles[key].segments
    ]


def seam(crosses: Sequence[Place], axis: int, outermost: Any) -> list[Place]:
    """The crosses along one border of a tile, in order."""
    border = outermost(place[axis] for place in crosses)
    return sorted(place for place in crosses if abs(place[axis] - border) < 0.01)


def moved_on(fixed: Sequence[Place], moving: Sequence[Place]) -> Place:
    """The move that lays crosses on others; two or more agree on it, so nothing is askew."""
    assert len(fixed) == len(moving) >= 2
    moves = [(a - c, b - d) for (a, b), (c, d) in zip(fixed, moving, strict=True)]
    assert all(math.dist(move, moves[0]) < 0.05 for move in moves)
    return moves[0]


def test_bars_in_both_units_on_every_template(measured: tuple[ResolvedDesign, list[Page]]) -> None:
    """50 mm, and 2 in of 25.4 mm (the international inch, 1959)."""
    assert measured[1]
    for page in measured[1]:
        for length in (50.0, 50.8):
            assert any(abs(bar - length) < 0.05 for bar in page.bars), page.words


def test_a_template_that_is_off_is_found() -> None:
    """The measure itself: a square drawn half a millimetre too wide deviates by so much."""
    resolved = checked(FOLIO, "metric").resolved
    piece = resolved.pieces["title_plate"]
    ring = [*along(piece.outline, 0.5)]
    true = list(pairwise([*ring, ring[0]]))
    assert deviation(piece, true) < 0.01
    wide = float(piece.width)
    off = [tuple((x * (wide + 0.5) / wide, y) for x, y in pair) for pair in true]
    assert deviation(piece, off) == pytest.approx(0.5, abs=0.02)  # type: ignore[arg-type]
