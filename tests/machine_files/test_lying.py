"""Which way round and which face up a piece lies, by hand on a small sheet."""

from __future__ import annotations

import io
import re
from fractions import Fraction

import ezdxf
import pytest

from gatherfold.geometry.pose import IDENTITY
from gatherfold.machine_files.dxf import dxf_file
from gatherfold.machine_files.laid import Laid, scores
from gatherfold.machine_files.scene import Group, MachineScene
from gatherfold.machine_files.scenes import piece_scenes, sheet_scenes
from gatherfold.machine_files.svg import decimal, svg_file
from gatherfold.plans import plan_stocks
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import METRIC
from gatherfold.resolve.resolved import Score
from gatherfold.work import pierced
from tests.drawings.samples import piece
from tests.machine_files.reread import ORDER, read_dxf, read_svg

HEAD = """\
title: Test & <trial>
units: millimetre
stocks:
  reeds:
    material: paper
    sheet: 200 x 100
    front: {name: Reeds, print: FRONT}
    back: {name: Sand, print: BACK}
pieces:
"""
Places = list[tuple[Fraction, Fraction]]


def scenes(pieces: str, front: str = "any", back: str = "any", kits: int = 1) -> list[MachineScene]:
    text = HEAD.replace("FRONT", front).replace("BACK", back) + pieces
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), METRIC))
    return sheet_scenes(resolved, plan_stocks(resolved, kits))


def cornered(scene: MachineScene) -> Places:
    """The two ends of the one slanted line of a sheet."""
    (slant,) = (
        edge
        for stroke in scene.work[Group.OUTLINE]
        for edge in stroke.edges
        if edge.start.x != edge.end.x and edge.start.y != edge.end.y
    )
    return sorted([(slant.start.x, slant.start.y), (slant.end.x, slant.end.y)])


ONE = "  one: {from: reeds SIDE, size: 60 x 80, corners: {top left: mitre 10 x 20}}\n"
#: A second piece makes the front the side that lies up.
MORE = "  more: {from: reeds front, size: 60 x 80, count: 2}\n"


def test_an_upright_print_is_cut_as_it_is_drawn() -> None:
    (scene,) = scenes(ONE.replace("SIDE", "front"), front="upright")
    assert cornered(scene) == [(0, 60), (10, 80)]
    assert (scene.width, scene.height) == (200, 100)


def test_a_sideways_print_has_its_top_at_the_right() -> None:
    (scene,) = scenes(ONE.replace("SIDE", "front"), front="sideways")
    # Turned clockwise: the top edge is at x = 80, the left edge on top at y = 60.
    assert cornered(scene) == [(60, 60), (80, 50)]


@pytest.mark.parametrize(("back", "expected"), [
    ("upright", [(-10, 80), (0, 60)]),  # from the right edge of where it lies
    ("sideways", [(0, 50), (20, 60)]),  # its top is at the left when seen from behind
])  # fmt: skip
def test_a_piece_from_the_side_that_lies_down_is_mirrored(back: str, expected: Places) -> None:
    (scene,) = scenes(ONE.replace("SIDE", "back") + MORE, back=back, front="upright")
    left = min(
        min(edge.start.x, edge.end.x)
        for stroke in scene.work[Group.OUTLINE]
        if stroke.name.startswith("outline-one")
        for edge in stroke.edges
    )
    shift = left + (60 if back == "upright" else 0)
    assert [(x - shift, y) for x, y in cornered(scene)] == expected
    words = " ".join(scene.notes)
    assert "The front (Reeds) lies up." in words
    assert "mirrored: A1 One." in words


def test_a_valley_seen_from_behind_is_a_mountain() -> None:
    folded = "  one: {from: reeds SIDE, across: {a: 20, b: {size: 40, fold: valley}}, height: 80}\n"
    for side, fold in (("front", "valley"), ("back", "mountain")):
        (scene,) = scenes(folded.replace("SIDE", side) + MORE)
        folds = {
            "valley": scene.work[Group.SCORE_VALLEY],
            "mountain": scene.work[Group.SCORE_MOUNTAIN],
        }
        assert {seen: len(strokes) for seen, strokes in folds.items()} == {
            "valley": int(fold == "valley"),
            "mountain": int(fold == "mountain"),
        }
        svg, dxf = read_svg(svg_file(scene)), read_dxf(dxf_file(scene))
        for file in (svg, dxf):
            assert len(file.paths[f"score-{fold}"]) == 1


def test_scores_in_line_with_one_another_are_one() -> None:
    def score(axis: str, at: int, start: int, end: int, fold: str) -> Score:
        return Score(axis, Fraction(at), Fraction(start), Fraction(end), fold, 90, ("a", "b"))

    halves = (
        score("vertical", 2, 0, 3, "valley"),
        score("vertical", 2, 3, 5, "valley"),
        score("vertical", 2, 6, 8, "valley"),
        score("vertical", 2, 8, 9, "mountain"),
        score("horizontal", 2, 0, 3, "valley"),
    )
    whole = piece("one", "4", "6", scores=halves)
    laid = [Laid("one", whole, IDENTITY)]
    lines = [(fold, *map(int, (line.start.x, line.start.y, line.end.x, line.end.y)))
             for fold in ("valley", "mountain")
             for stroke in scores(laid, fold) for line in stroke.edges]  # fmt: skip
    assert lines == [
        ("valley", 2, 0, 2, 5),
        ("valley", 2, 6, 2, 8),
        ("valley", 0, 2, 3, 2),
        ("mountain", 2, 8, 2, 9),
    ]


def test_a_strip_lies_as_its_pieces() -> None:
    pieces = "  low: {from: reeds, size: 30 x 80}\n  high: {from: reeds, size: 50 x 80}\n"
    (scene,) = scenes(pieces + "strips: {pair: {across: [low, high]}}\n", front="upright")
    boxes = {
        stroke.name: sorted({e.start.x for e in stroke.edges} | {stroke.edges[-1].end.x})
        for stroke in scene.work[Group.OUTLINE]
    }
    assert boxes == {"outline-low": [0, 30], "outline-high-part-1": [30, 80]}


def test_sheets_cut_alike_share_one_file() -> None:
    found = scenes("  one: {from: reeds, size: 150 x 90}\n", kits=3)
    assert [scene.stem for scene in found] == ["sheet-reeds-1"]
    assert "Cut 3 sheets alike." in found[0].notes
    assert found[0].title.endswith("sheets 1, 2, 3")


def test_small_holes_are_pierced_and_wide_ones_cut() -> None:
    holes = "hole: [{diameter: 4, left: 20, bottom: 20}, {diameter: 4.5, left: 20, bottom: 40}]"
    text = HEAD.replace("FRONT", "any").replace("BACK", "any")
    text += f"  one: {{from: reeds, size: 60 x 80, {holes}}}\n"
    (scene,) = piece_scenes(pierced(resolve(read_design(text.encode(), "test.yaml"), METRIC)))
    small = [(hole.centre.x, hole.centre.y, hole.diameter) for hole in scene.work[Group.PIERCE]]
    assert small == [(20, 20, 4)]
    assert [
        stroke.is_closed for stroke in (*scene.work[Group.OPENING], *scene.work[Group.OUTLINE])
    ] == [True, True]
    (wide,) = scene.work[Group.OPENING]
    assert {edge.start.y for edge in wide.edges} == {40}
    assert "<title>Test &amp; &lt;trial&gt;, Millimetre edition" in svg_file(scene).decode()


def test_a_line_of_an_opening_and_an_outline_is_the_outlines() -> None:
    window = "window: {size: 20 x 30, left: 0, bottom: 40}"
    (scene,) = scenes(f"  one: {{from: reeds, size: 60 x 80, {window}}}\n", front="upright")
    (outline,), (opening,) = scene.work[Group.OUTLINE], scene.work[Group.OPENING]
    assert outline.is_closed and len(outline.edges) == 4
    assert not opening.is_closed
    ends = [opening.edges[0].start, *(edge.end for edge in opening.edges)]
    # Round the window but not along the left edge.
    assert sorted([(p.x, p.y) for p in ends]) == [(0, 40), (0, 70), (20, 40), (20, 70)]
    assert {(ends[0].x, ends[-1].x)} == {(0, 0)}


def test_every_group_has_a_look_of_its_own() -> None:
    """Six groups in every file, each with its colour; only the folds have dashes."""
    (scene,) = scenes("  one: {from: reeds, size: 60 x 80}\n")
    svg = svg_file(scene).decode()
    groups = re.findall(r'<g id="([a-z-]+)" fill="none" stroke="(#[0-9A-F]{6})"(.*)>', svg)
    assert [name for name, _, _ in groups] == ORDER
    assert len({colour for _, colour, _ in groups}) == len(ORDER)
    dashed = {name: look for name, _, look in groups if "stroke-dasharray" in look}
    assert list(dashed) == ["score-valley", "score-mountain"]
    assert len(set(dashed.values())) == 2
    document = ezdxf.read(io.StringIO(dxf_file(scene).decode()))  # type: ignore[attr-defined]
    layers = [document.layers.get(name) for name in ORDER]
    assert len({layer.color for layer in layers}) == len(ORDER)
    linetypes = [layer.dxf.linetype.lower() for layer in layers]
    assert linetypes == ["continuous", "valley", "mountain", *["continuous"] * 3]


def test_classes_are_written_in_one_order() -> None:
    """The library holds some of them in a set, whose order is another in every process."""
    (scene,) = scenes("  one: {from: reeds, size: 60 x 80}\n")
    document = ezdxf.read(io.StringIO(dxf_file(scene).decode()))  # type: ignore[attr-defined]
    names = [each.dxf.name for each in document.classes]
    assert names == sorted(names) != []


@pytest.mark.parametrize(("length", "text"), [
    ("0", "0"), ("12", "12"), ("100", "100"), ("1/8", "0.125"), ("127/80", "1.5875"),
    ("1/3", "0.3333"), ("2/3", "0.6667"), ("199999/100000", "2"), ("-1/3", "-0.3333"),
    ("-1/100000", "0"), ("1/20000", "0.0001"),
])  # fmt: skip
def test_decimals(length: str, text: str) -> None:
    assert decimal(Fraction(length)) == text
