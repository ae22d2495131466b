"""Several templates on a page: true size, apart, each labelled; large pieces keep their tiles."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest

from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Rect, bounding
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.template.drawing import needs_template, template_pages
from gatherfold.drawings.template.tiles import template_scenes
from gatherfold.drawings.views.features import FINE, outline_ring
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS
from gatherfold.work import pierced
from tests.benchmarks.figure_check import designs
from tests.drawings.samples import design, l_shape, piece, shaped_piece

SHIPPED = sorted(DESIGNS.glob("*.yaml"))
PAGE = (180.0, 240.0)


def outlines(scene: Scene) -> list[Rect]:
    """The rectangles round the pieces' own outlines, largest of each piece."""
    runs = [run for s in scene.strokes(Line.VISIBLE) if s.subject == "outline" for run in s.runs]
    boxes = [bounding(run) for run in runs]
    return [
        box for box in boxes if not any(other is not box and other.contains(box) for other in boxes)
    ]


def test_small_pieces_share_a_page_at_true_size() -> None:
    tags = {f"tag_{n}": piece(f"tag_{n}", "3", "2", f"A{n}") for n in range(1, 5)}
    (scene,) = template_pages(design(tags), list(tags), *PAGE)
    assert (scene.width, scene.height) == PAGE
    assert scene.title == "A1 Tag 1, A2 Tag 2, A3 Tag 3, A4 Tag 4"
    boxes = outlines(scene)
    assert len(boxes) == 4
    for box in boxes:
        assert box.width == pytest.approx(76.2)
        assert box.height == pytest.approx(50.8)
    assert not any(a.grown(7.99).meets(b) for a, b in combinations(boxes, 2))
    bars = [s for s in scene.strokes(Line.DIMENSION) if s.subject.startswith("calibration")]
    assert len(bars) == 2, "one in each unit"


def test_every_edge_keeps_its_length_when_packed() -> None:
    made = shaped_piece()
    (scene,) = template_pages(design({made.key: made}), [made.key], *PAGE)
    run = scene.strokes(Line.VISIBLE)[0].runs[0]
    ring = outline_ring(made.outline, FINE)
    dx, dy = run[0][0] - ring[0][0], run[0][1] - ring[0][1]
    for (x, y), (u, v) in zip(run, (*ring, ring[0]), strict=True):
        assert (x - dx, y - dy) == pytest.approx((u, v))


def test_one_template_names_all_pieces_that_are_cut_by_it() -> None:
    """The left and the right pocket have one shape; both are named, and how many to cut of each."""
    left, right = piece("left", "3", "2", "A12"), piece("right", "3", "2", "A14")
    pair, tag = replace(right, code="A15"), piece("tag", "3", "1", "B1")
    two = replace(pair, key="two", source=replace(pair.source, count=2))
    resolved = design({"left": left, "right": right, "two": two, "tag": tag})
    (page,) = template_pages(resolved, ["left", "tag"], *PAGE, {"left": ["right"]})
    words = [text.text for text in page.texts]
    assert sorted(page.title.split(", ")) == ["A12 Left and A14 Right", "B1 Tag"]
    assert "A12 Left and A14 Right" in words
    assert any("A12, A14: cut 1 of each" in each for each in words)
    assert "A12, A14: cut 1 of each" in page.text_equivalent
    (page,) = template_pages(resolved, ["left"], *PAGE, {"left": ["two"]})
    assert any("A12: cut 1, A15: cut 2" in text.text for text in page.texts)
    band = piece("band", "12", "9", "C1")
    tiles = template_pages(
        design({"band": band, "right": right}), ["band"], *PAGE, {"band": ["right"]}
    )
    assert len(tiles) > 1
    for tile in tiles:
        assert tile.title.startswith("C1 Band and A14 Right, part ")
        assert any("C1, A14: cut 1 of each" in text.text for text in tile.texts)


def test_pieces_are_listed_as_they_are_drawn_from_the_top() -> None:
    tags = {f"tag_{n}": piece(f"tag_{n}", "3", str(n), f"A{n}") for n in (1, 3, 2)}
    (scene,) = template_pages(design(tags), list(tags), *PAGE)
    titles = [text for text in scene.texts if text.bold]
    drawn = sorted(titles, key=lambda text: (-text.y, text.x))
    assert scene.title == ", ".join(text.text for text in drawn)


def test_a_wide_piece_is_turned() -> None:
    made = piece("strip", "8", "2")
    (scene,) = template_pages(design({"strip": made}), ["strip"], *PAGE)
    (box,) = outlines(scene)
    assert box.width == pytest.approx(50.8)
    assert box.height == pytest.approx(203.2)
    assert any("8 by 2 inches, drawn on its side" in text.text for text in scene.texts)
    (upright,) = template_pages(design({"tag": piece("tag", "3", "2")}), ["tag"], *PAGE)
    assert not any("on its side" in text.text for text in upright.texts)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_turned_pieces_and_only_they_are_said_to_lie_on_their_side(
    path: Path, edition: str
) -> None:
    """Measured: the outline on paper is as wide as the piece is high."""
    resolved = pierced(resolve(read_design_file(path), EDITIONS[edition]))
    for key, made in resolved.pieces.items():
        if not needs_template(made):
            continue
        pages = template_pages(resolved, [key], *PAGE)
        if len(pages) > 1 or made.width == made.height:
            continue
        (box,) = outlines(pages[0])
        is_turned = abs(box.width - float(made.width)) > 0.01
        said = any("on its side" in text.text for text in pages[0].texts)
        assert said == is_turned, key


def test_sections_and_holes_are_named_as_in_the_piece_drawing() -> None:
    folio = pierced(
        resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), EDITIONS["imperial"])
    )
    box = pierced(resolve(read_design_file(DESIGNS / "keepsake-box.yaml"), EDITIONS["imperial"]))

    def words(resolved: ResolvedDesign, key: str) -> list[str]:
        return [t.text for page in template_pages(resolved, [key], *PAGE) for t in page.texts]

    assert {"flap tab", "cover tab"} <= set(words(folio, "top_hinge"))
    assert {"base", "left wall", "right wall", "tab"} <= set(words(box, "tray"))
    assert "Ø ¼" in words(folio, "left_tag")
    assert "Ø ⅛, pierced in step 9" in words(folio, "latch"), "not in the loose piece"
    assert any("front facing you" in text for text in words(box, "tray")), "V and M depend on it"


def test_large_pieces_keep_their_tiles_in_the_order_given() -> None:
    ell, tag = l_shape(), piece("tag", "3", "2", "A1")
    resolved = design({"ell": ell, "tag": tag})
    tiles = template_scenes(resolved, "ell", *PAGE)
    pages = template_pages(resolved, ["ell", "tag"], *PAGE)
    assert pages[:-1] == tiles
    assert pages[-1].key == "template-tag"
    assert template_pages(resolved, ["tag", "ell"], *PAGE)[0].key == "template-tag"


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_pages(path: Path, edition: str) -> None:
    """Legible, every piece there once with its label and size, nothing on anything else."""
    resolved = pierced(resolve(read_design_file(path), EDITIONS[edition]))
    keys = [key for key, made in resolved.pieces.items() if needs_template(made)]
    paper = resolved.edition.paper
    width, height = float(paper.width) - 38.0, float(paper.height) - 60.0
    pages = template_pages(resolved, keys, width, height)
    assert [fault for page in pages for fault in overlaps(page)] == []
    assert len(pages) < sum(len(template_scenes(resolved, k, width, height)) for k in keys)
    tiled = {tile.key for k in keys for tile in template_scenes(resolved, k, width, height)}
    packed = [page for page in pages if page.key not in tiled]
    for page in packed:
        boxes = outlines(page)
        named = page.title.split(", ")
        assert len(boxes) == len(named)
        assert not any(a.grown(7.99).meets(b) for a, b in combinations(boxes, 2))
        made = [p for p in resolved.pieces.values() if f"{p.code} {p.title}" in named]
        sizes = sorted(sorted((box.width, box.height)) for box in boxes)
        wanted = sorted(sorted((float(p.width), float(p.height))) for p in made)
        for size, right in zip(sizes, wanted, strict=True):
            assert size == pytest.approx(right)
        titles = [text for text in page.texts if text.text in named]
        assert len(titles) == (len(named) if len(named) > 1 else 0), "the heading has a single one"
        for title in titles:
            assert not any(box.meets(text_rect(title)) for box in boxes)


def test_labels_state_stock_side_grain_and_count() -> None:
    resolved = pierced(
        resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), EDITIONS["imperial"])
    )
    pages = template_pages(resolved, ["latch", "title_mat"], *PAGE)
    words = " ".join(text.text for page in pages for text in page.texts)
    latch = resolved.pieces["latch"]
    assert f"{latch.code} {latch.title}" in words
    assert "cut 1 · 2½ by ¾ inches" in words
    assert "grain" not in words, "neither is folded"
    assert "Moon phases facing you" in words


@pytest.mark.parametrize("edition", EDITIONS)
def test_a_double_arrow_runs_along_the_scores_where_the_grain_decides(edition: str) -> None:
    """The folio's hinges are laid with their scores along the stock's grain, so the arrow on
    their templates is parallel to their folds; the latch may lie either way and has none."""
    resolved = pierced(
        resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), EDITIONS[edition])
    )
    for key, count in (("top_hinge", 1), ("latch", 0)):
        (page,) = template_pages(resolved, [key], *PAGE)
        arrows = [
            run
            for strokes in page.strokes(Line.DIMENSION)
            if strokes.subject == "grain"
            for run in strokes.runs
        ]
        assert len(arrows) == count
        words = [text.text for text in page.texts if "grain" in text.text]
        assert len(words) == count
        assert all("grain along the folds (double arrow)" in text for text in words)
        folds = [
            run for s in (Line.VALLEY, Line.MOUNTAIN) for f in page.strokes(s) for run in f.runs
        ]
        for (x0, _), (x1, _) in arrows:
            assert folds
            assert all((x0 == x1) == (a[0] == b[0]) for a, b in folds)


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", designs(), ids=lambda path: path.stem)
def test_grain_is_told_only_with_its_arrow_and_never_by_the_sides_of_a_sheet(
    path: Path, edition: str
) -> None:
    """A sheet of 12 × 12 in has no long side."""
    resolved = pierced(resolve(read_design_file(path), EDITIONS[edition]))
    for key, made in resolved.pieces.items():
        for page in template_pages(resolved, [key], *PAGE) if needs_template(made) else ():
            said = [text.text for text in page.texts if "grain" in text.text]
            arrows = [s for s in page.strokes(Line.DIMENSION) if s.subject == "grain"]
            assert bool(said) == bool(arrows), key
            assert not any("side" in words.split("grain")[1] for words in said)
            assert not said or made.scores


def test_things_of_all_sizes_lie_apart_and_on_the_page() -> None:
    sizes = (("2", "1"), ("3", "3"), ("6", "1"), ("1", "5"), ("4", "4"), ("1", "1"), ("7", "1/2"))
    made = {f"tag_{n}": piece(f"tag_{n}", *size, f"A{n}") for n, size in enumerate(sizes)}
    pages = template_pages(design(made), list(made), *PAGE)
    found = [outlines(page) for page in pages]
    assert len(found) == 2
    assert sum(map(len, found)) == len(sizes)
    for boxes in found:
        assert all(Rect(0.99, 9.99, 179.01, 239.01).contains(box) for box in boxes)
        assert not any(a.grown(7.99).meets(b) for a, b in combinations(boxes, 2))


def test_what_is_larger_than_a_page_never_shares_one() -> None:
    made = {"band": piece("band", "20", "1", "A1"), "tag": piece("tag", "3", "2", "A2")}
    pages = template_pages(design(made), list(made), *PAGE)
    assert all("A2" not in page.title for page in pages[:-1])
    assert pages[-1].title == "A2 Tag"
