"""Every piece of every shipped design, in both editions, read back from its SVG and its DXF."""

from __future__ import annotations

import math
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import Point, Polygon

from gatherfold.machine_files.dxf import dxf_file
from gatherfold.machine_files.scenes import piece_scenes
from gatherfold.machine_files.svg import svg_file
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedPiece
from gatherfold.work import pierced
from tests.machine_files.reread import (
    CASES,
    NEAR,
    ORDER,
    File,
    area_of,
    case_name,
    decimals_in,
    expected_rings,
    files_of,
    is_same_ring,
    read_dxf,
    read_svg,
    run_of,
)
from tests.works import checked

READERS: dict[str, Callable[[bytes], File]] = {"svg": read_svg, "dxf": read_dxf}


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
@pytest.mark.parametrize("ending", READERS)
def test_every_piece_is_read_back_exactly(path: Path, edition: str, ending: str) -> None:
    files = files_of(path, edition)
    pieces = [
        piece
        for piece in checked(path, edition).resolved.pieces.values()
        if piece.stock.source.material != "ribbon"
    ]
    assert pieces
    assert len([n for n in files if n.startswith("piece-")]) == 2 * len(pieces)
    for piece in pieces:
        expect_piece(piece, READERS[ending](files[f"piece-{piece.key}.{ending}"]))


def expect_piece(piece: ResolvedPiece, file: File) -> None:
    assert math.dist((file.width, file.height), (piece.width, piece.height)) < 2 * NEAR
    expected = expected_rings(piece)
    cut = file.cuts
    assert all(each.is_closed for each in cut)
    assert len(cut) == len(expected), "one closed path for the outline, one for each opening"
    for ring in expected:
        (found,) = (each for each in cut if is_same_ring(ring, each.segments))
        assert area_of(found.segments) == pytest.approx(area_of(ring), abs=NEAR * found.line.length)
        shape = Polygon(run_of(ring))
        assert shape.is_valid and found.polygon.is_valid
        assert shape.symmetric_difference(found.polygon).area < 2 * NEAR * shape.length
    (outline,) = file.paths["outline"]
    assert is_same_ring(expected[0], outline.segments), "nothing but the outline is with it"
    expect_scores(piece, file)
    small = {
        (float(h.centre.x), float(h.centre.y), float(h.diameter) / 2)
        for h in piece.holes
        if h.diameter <= 4
    }
    assert len(file.circles) == len(small)
    for centre, radius in file.circles:
        assert any(math.dist((*centre, radius), hole) < 2 * NEAR for hole in small)


def expect_scores(piece: ResolvedPiece, file: File) -> None:
    """Each fold's lines: their length in all, and every score of the model on one of them."""
    for fold in ("valley", "mountain"):
        lines = [each.line for each in file.paths[f"score-{fold}"]]
        wanted = [score for score in piece.scores if score.fold == fold]
        length = sum(float(score.end - score.start) for score in wanted)
        assert sum(line.length for line in lines) == pytest.approx(length, abs=0.001)
        for score in wanted:
            ends = [(score.at, score.start), (score.at, score.end)]
            if score.axis == "horizontal":
                ends = [(y, x) for x, y in ends]
            for end in ends:
                assert min(line.distance(Point(*map(float, end))) for line in lines) < 2 * NEAR


@pytest.mark.parametrize(("path", "edition"), CASES, ids=case_name)
def test_the_form_of_every_file(path: Path, edition: str) -> None:
    for name, content in files_of(path, edition).items():
        if name.endswith(".svg"):
            assert read_svg(content).order == ORDER
            assert max(map(len, decimals_in(content)), default=0) <= 4
            text = content.decode()
            assert "follow its maker’s instructions" in text
            assert "<text" not in text and "transform" not in text
        else:
            order = read_dxf(content).order
            assert order == [layer for layer in ORDER if layer in order]
            assert "follow its maker" in content.decode()


CORNER = st.sampled_from(("none", "round 1/4", "round 3/7", "mitre 1/2", "mitre 1/3 x 3/4",
                          "notch 1/2 x 5/16"))  # fmt: skip
PLACES = ("top left", "top right", "bottom left", "bottom right")
THUMBS = st.dictionaries(
    st.sampled_from(("top", "bottom", "left", "right")), st.sampled_from(("1/4", "3/7")), max_size=4
)
SIZES = st.sampled_from(("3", "3 1/7", "4 5/32", "5"))


@st.composite
def shaped_pieces(draw: st.DrawFn) -> str:
    """A piece with any corners, thumb notches, a window and holes of both kinds."""
    corners = {place: draw(CORNER) for place in PLACES}
    kept = ", ".join(f"{place}: {shape}" for place, shape in corners.items() if shape != "none")
    parts = [f"from: card, size: {draw(SIZES)} x {draw(SIZES)}"]
    if kept:
        parts.append(f"corners: {{{kept}}}")
    thumbs = draw(THUMBS)
    if thumbs:
        listed = ", ".join(f"{edge}: {radius}" for edge, radius in thumbs.items())
        parts.append(f"thumb_notch: {{{listed}}}")
    if draw(st.booleans()):
        parts.append("window: {size: 3/4 x 5/7}")
    diameter = draw(st.sampled_from(("1/8", "1/4", "1/7")))
    parts.append(f"hole: {{diameter: {diameter}, left: 5/8, bottom: 7/9}}")
    return "{" + ", ".join(parts) + "}"


@settings(max_examples=60, deadline=None)
@given(shaped_pieces(), st.sampled_from(sorted(EDITIONS)))
def test_any_outline_is_read_back_exactly(piece: str, edition: str) -> None:
    text = (
        "title: Test\nunits: inch\nstocks:\n"
        "  card: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}\n"
        f"pieces:\n  one: {piece}\n"
    )
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), EDITIONS[edition]))
    (scene,) = piece_scenes(resolved)
    expect_piece(resolved.pieces["one"], read_svg(svg_file(scene)))
    expect_piece(resolved.pieces["one"], read_dxf(dxf_file(scene)))
