"""Every sheet of every shipped design, in both editions, read back from its SVG and its DXF.

Where a piece lies is worked out here from the plan by shapely's own affine moves.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest
from shapely.affinity import rotate, scale, translate
from shapely.geometry import LineString, Point, Polygon
from shapely.ops import polygonize, unary_union
from shapely.strtree import STRtree

from gatherfold.plans import facing_side, placed_pieces, way_round
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.sheets import name_of
from gatherfold.sheets.model import Placed, SheetPlan
from tests.machine_files.reread import (
    CASES,
    NEAR,
    Drawn,
    File,
    Segment,
    case_name,
    expected_rings,
    files_of,
    read_dxf,
    read_svg,
    run_of,
)
from tests.works import checked

#: Two straight lines closer than this lie on one another.
_ASIDE = 0.002
_SAME_LENGTH = 0.02


def sheets_of(path: Path, edition: str) -> Iterator[tuple[SheetPlan, File, File]]:
    """Every planned sheet with the two files that are for it: those of the first sheet alike."""
    files = files_of(path, edition)
    for key, plan in checked(path, edition).plans.items():
        known: dict[object, int] = {}
        for number, sheet in enumerate(plan.plan.sheets, start=1):
            places = [(name_of(p.key), p.x, p.y, p.width, p.height) for p in sheet.placed]
            first = known.setdefault((sheet.sheet.name, *sorted(places)), number)
            stem = f"sheet-{key}-{first}"
            yield sheet, read_svg(files[f"{stem}.svg"]), read_dxf(files[f"{stem}.dxf"])
        stems = {name.split(".")[0] for name in files if name.startswith(f"sheet-{key}-")}
        assert stems == {f"sheet-{key}-{number}" for number in known.values()}


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_every_piece_of_the_plan_is_cut_at_its_place(path: Path, edition: str) -> None:
    resolved = checked(path, edition).resolved
    for sheet, svg, dxf in sheets_of(path, edition):
        shapes = shapes_of(resolved, sheet)
        for file in (svg, dxf):
            size = (float(sheet.sheet.width), float(sheet.sheet.height))
            assert math.dist((file.width, file.height), size) < 2 * NEAR
            expect_shapes(shapes, file)


def shapes_of(resolved: ResolvedDesign, sheet: SheetPlan) -> list[list[Polygon]]:
    """The outline of every piece where the plan lays it, followed by its openings."""
    facing = facing_side(resolved, sheet)
    laid = []
    for placed in placed_pieces(resolved, sheet, facing):
        piece = resolved.pieces[name_of(placed.key)]
        rings = [Polygon(run_of(ring)) for ring in expected_rings(piece)]
        laid.append([moved(ring, piece, placed, piece.side != facing) for ring in rings])
    return laid


def moved(ring: Polygon, piece: ResolvedPiece, placed: Placed, mirrored: bool) -> Polygon:
    """A ring of a piece as the face that lies up is looked at."""
    size = (float(placed.width), float(placed.height))
    is_turned = size != (float(piece.width), float(piece.height))
    if piece.width == piece.height:
        is_turned = placed.turned or way_round(piece) == "turned"
    if is_turned:
        ring = translate(rotate(ring, -90, origin=(0, 0)), 0, float(piece.width))
        assert size == (float(piece.height), float(piece.width))
    if mirrored:
        ring = scale(ring, -1, 1, origin=(size[0] / 2, 0))
    return translate(ring, float(placed.x), float(placed.y))


def expect_shapes(shapes: Sequence[Sequence[Polygon]], file: File) -> None:
    """The cut lines are the pieces' outlines and openings, no less and no more."""
    lines = unary_union([each.line for each in file.cuts])
    wanted = unary_union([ring.exterior for rings in shapes for ring in rings])
    for first, second in ((lines, wanted), (wanted, lines)):
        assert first.difference(second.buffer(_ASIDE)).length < _SAME_LENGTH
    faces = list(polygonize(lines))
    for outline, *openings in shapes:
        inside = [f for f in faces if outline.contains(f.representative_point())]
        assert unary_union(inside).symmetric_difference(outline).area < 0.01 + (
            2 * NEAR * outline.length
        )
        assert len(inside) == 1 + len(openings), "nothing else is cut within a piece"


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_no_line_is_there_twice(path: Path, edition: str) -> None:
    for _, svg, dxf in sheets_of(path, edition):
        for file in (svg, dxf):
            cuts, scores = ("opening", "outline"), ("score-valley", "score-mountain")
            assert lines_on_one_another(segments_of(file, cuts)) == []
            assert lines_on_one_another(segments_of(file, scores)) == []
            both = segments_of(file, (*cuts, *scores))
            assert lines_on_one_another(both) == [], "nothing is scored along a cut"
            centres = [centre for centre, _ in file.circles]
            assert all(math.dist(a, b) > 1 for n, a in enumerate(centres) for b in centres[:n])


def segments_of(file: File, groups: Sequence[str]) -> list[Segment]:
    return [s for group in groups for path in file.paths[group] for s in closed(path)]


def closed(path: Drawn) -> list[Segment]:
    """With the straight way back to the start, where a closed path leaves it unsaid."""
    segments = list(path.segments)
    if path.is_closed and math.dist(segments[-1].end, segments[0].start) > NEAR:
        segments.append(Segment(segments[-1].end, segments[0].start))
    return segments


def lines_on_one_another(segments: Sequence[Segment]) -> list[tuple[Segment, Segment]]:
    """Pairs of straight lines that share a stretch, and pairs of arcs that are the same."""
    straight = [s for s in segments if s.centre is None]
    lines = [LineString([s.start, s.end]) for s in straight]
    tree = STRtree(lines)
    found = []
    for index, line in enumerate(lines):
        broad = line.buffer(_ASIDE)
        for other in (int(n) for n in tree.query(broad) if n < index):
            if lines[other].intersection(broad).length > _SAME_LENGTH:
                found.append((straight[index], straight[other]))
    arcs = [s for s in segments if s.centre is not None]
    middles = [s.places[len(s.places) // 2] for s in arcs]
    for index, middle in enumerate(middles):
        found += [
            (arcs[index], arcs[n]) for n in range(index) if math.dist(middle, middles[n]) < NEAR
        ]
    return found


def test_the_search_for_double_lines_finds_them() -> None:
    side = Segment((10.0, 0.0), (10.0, 50.0))
    part = Segment((10.0005, 40.0), (10.0005, 20.0))
    crossing = Segment((0.0, 25.0), (20.0, 25.0))
    arc = Segment((0.0, 0.0), (2.0, 0.0), (1.0, 0.0), math.pi)
    back = Segment((2.0, 0.0), (0.0, 0.0), (1.0, 0.0), -math.pi)
    assert lines_on_one_another([side, crossing, arc]) == []
    assert lines_on_one_another([side, part]) == [(part, side)]
    assert lines_on_one_another([arc, back]) == [(back, arc)]


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_outlines_are_closed_unless_a_closed_neighbour_has_part_of_them(
    path: Path, edition: str
) -> None:
    resolved = checked(path, edition).resolved
    for sheet, *files in sheets_of(path, edition):
        outlines = [rings[0] for rings in shapes_of(resolved, sheet)]
        for file in files:
            whole = [each.polygon for each in file.paths["outline"] if each.is_closed]
            is_whole = [any(is_same_shape(shape, each) for each in whole) for shape in outlines]
            assert any(is_whole)
            for outline in (o for o, found in zip(outlines, is_whole, strict=True) if not found):
                broad = outline.exterior.buffer(_ASIDE)
                assert any(broad.intersection(each.exterior).length > 1 for each in whole)


def is_same_shape(first: Polygon, second: Polygon) -> bool:
    return bool(first.symmetric_difference(second).area < 2 * NEAR * first.length)


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_openings_and_outlines_are_apart_and_no_name_comes_twice(path: Path, edition: str) -> None:
    resolved = checked(path, edition).resolved
    for sheet, svg, dxf in sheets_of(path, edition):
        shapes = shapes_of(resolved, sheet)
        holes = sum(len(openings) for _, *openings in shapes)
        for file in (svg, dxf):
            lying = [o.exterior for o, *_ in shapes]
            assert len(file.paths["opening"]) == holes
            for each in file.paths["outline"]:
                assert unary_union(lying).buffer(_ASIDE).covers(each.line)
        names = [each.name for paths in svg.paths.values() for each in paths]
        assert len(set(names)) == len(names)


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_what_is_marked_lies_under_the_piece_that_is_glued_there(path: Path, edition: str) -> None:
    """Each mark is within the rectangle of the piece that hides it, from its offsets."""
    resolved = checked(path, edition).resolved
    files = files_of(path, edition)
    seen = 0
    for host in resolved.pieces.values():
        if host.stock.source.material == "ribbon":
            continue
        for mark in read_svg(files[f"piece-{host.key}.svg"]).paths["mark"]:
            key = mark.name.removeprefix(f"mark-{host.key}-").rpartition("-")[0]
            upper = resolved.pieces[key]
            assert upper.source.placement is not None and upper.offsets is not None
            assert upper.source.placement.host == host.key and upper.source.placement.glue
            face = host.face(upper.host_face).box
            left, bottom = face.left + upper.offsets.left, face.bottom + upper.offsets.bottom
            width, height = upper.laid_size
            corners = [(left, bottom), (left + width, bottom), (left + width, bottom + height),
                       (left, bottom + height)]  # fmt: skip
            box = Polygon([(float(x), float(y)) for x, y in corners])
            hand = float(resolved.tolerance)
            assert box.buffer(-hand, join_style="mitre").buffer(_ASIDE).covers(mark.line)
            corner = Point(mark.segments[0].end)
            assert min(corner.distance(Point(p)) for p in box.exterior.coords) == pytest.approx(
                hand * math.sqrt(2), abs=_ASIDE
            )
            seen += 1
    assert seen % 4 == 0
    if path.parent.name == "designs" and path.stem == "observatory-folio":
        assert seen >= 40
