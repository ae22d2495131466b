"""Closures: the section meets the layers of the closed state, in order, and the parts that meet."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

import pytest

from builder.drawings.closed_stack import Bar, Cut, Stack, cut_through
from builder.drawings.closure_cuts import closure_of, closures, pierced_bars
from builder.drawings.closure_view import closure_equivalent, closure_scene
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.work import Assembly, FaceKey, work_of
from tests.checks.test_fastenings import folded, made, magnets
from tests.works import shipped, structure

CLASP = magnets("mat, left_mat", ", left: 1, bottom: 2")


def test_what_closes_each_design() -> None:
    assert closures(shipped("observatory-folio")) == ("latch_brad", "front_tie_brad", "band_back")
    assert closures(shipped("letter-envelope")) == ("seal",)
    # The ribbon of the box goes round it and through nothing: there is no layer to show.
    assert closures(shipped("keepsake-box")) == ()


def names(stack: Stack) -> list[str]:
    return [bar.piece.key for bar in sorted(stack.bars, key=lambda bar: bar.level)]


@pytest.mark.parametrize("key", ["front_tie_brad", "band_back"])
def test_layers_come_in_the_order_of_the_closed_work(key: str) -> None:
    """Of layers that the line meets at one place, the upper is above, or further up, in the work
    itself."""
    folio = shipped("observatory-folio")
    closed = work_of(folio).closed
    bars = closure_of(folio, key).stack.bars
    for index, upper in enumerate(bars):
        for lower in bars[:index]:
            if lower.span[0] < upper.span[1] and upper.span[0] < lower.span[1]:
                assert lower.level < upper.level
                planes = closed.plates[lower.face].plane, closed.plates[upper.face].plane
                is_above = closed.is_above(lower.face, upper.face)
                assert is_above is not False
                assert is_above or planes[0] < planes[1] or not _overlap(closed, lower, upper)


def _overlap(closed: Assembly, lower: Bar, upper: Bar) -> bool:
    return closed.plates[lower.face].lies_over(closed.plates[upper.face])


def test_a_book_that_stands_on_its_spine_is_cut_across_its_layers() -> None:
    """The design: the folio closes round its spine, the band lies behind its back cover, and its
    right lap is glued over the left one."""
    design = structure("belly-band")
    assert closures(design) == ("band",)
    closure = closure_of(design, "band")
    faces = [str(bar.face) for bar in sorted(closure.stack.bars, key=lambda bar: bar.level)]
    assert faces == [
        "band.run",
        "case.back",
        "back_lining.face",
        "note_card.face",
        "front_lining.face",
        "case.front",
        "band.left_lap",
        "band.right_lap",
        "band_label.face",
    ]
    glued = {(str(g.bar.face), str(g.host.face)) for g in closure.stack.glued}
    assert glued >= {("band.right_lap", "band.left_lap"), ("band_label.face", "band.right_lap")}
    scene = closure_scene(design, "band", 178, 100)
    assert overlaps(scene) == ()


@pytest.mark.parametrize("along", [0, 1])
def test_walls_stand_round_what_is_within_them(along: Literal[0, 1]) -> None:
    """The design: one tray stands in another, the lid rests on the rims of the outer one and hangs
    down over it; each has two walls in a section, one on either side."""
    design = structure("box-in-box")
    work = work_of(design)
    base = work.closed.plates[FaceKey("outer", "base")]
    low, high = (Fraction(end) / work.scale for end in base.extent(1 - along))
    cut = Cut(along, (low + high) / 2, -100.0, 300.0)
    stack = cut_through(design, work.closed, work.scale, cut)
    levels = {str(bar.face): bar.level for bar in stack.bars}
    assert list(levels) == [
        "outer.base",
        "outer_mat.face",
        "inner.base",
        "inner_mat.face",
        "lid.panel",
        "lid_mat.face",
        "lid_label.face",
    ]
    walls = {(bend.piece.key, bend.outward): bend.levels for bend in stack.bends}
    # As high as what is within; those of the lid hang down past the rim.
    for outward in (-1, 1):
        assert walls["outer", outward] == (levels["outer.base"], levels["inner_mat.face"])
        assert walls["inner", outward] == (levels["inner.base"], levels["inner_mat.face"])
        assert walls["lid", outward] == (levels["inner_mat.face"], levels["lid.panel"])
    places = {(bend.piece.key, bend.outward): bend.place for bend in stack.bends}
    assert places["lid", -1] < places["outer", -1] < places["inner", -1]
    assert len(walls) == len(stack.bends) == 6


def test_the_latch_lies_over_the_flap_that_it_holds_and_under_the_left_one() -> None:
    closure = closure_of(shipped("observatory-folio"), "latch_brad")
    order = names(closure.stack)
    assert order.index("right_flap_cover_mat") < order.index("latch")
    assert order.index("latch") < order.index("left_flap_cover_mat")
    latch, flap = closure.stack.bar_of("latch"), closure.stack.bar_of("right_flap")
    assert latch is not None and flap is not None
    lap = min(latch.span[1], flap.span[1]) - max(latch.span[0], flap.span[0])
    # Back cover 8 in wide; the flap reaches to 2 in from its left edge, the latch from ⅞ to 3⅜.
    assert lap == pytest.approx(1.375 * 25.4)


def test_the_brad_of_the_latch_goes_through_what_the_design_says() -> None:
    folio = shipped("observatory-folio")
    closure = closure_of(folio, "latch_brad")
    ((brad, at),) = closure.fastenings
    pierced = [bar.piece.key for bar in pierced_bars(closure, brad, at)]
    assert pierced == list(reversed(brad.source.through))


def test_of_a_folded_hinge_only_the_tab_with_the_hole_is_pierced() -> None:
    closure = closure_of(shipped("observatory-folio"), "front_tie_brad")
    for brad, at in closure.fastenings:
        bars = pierced_bars(closure, brad, at)
        assert [bar.face[1] for bar in bars if len(bar.piece.faces) > 1] == ["cover_tab"]


def test_the_band_is_joined_round_both_sides() -> None:
    stack = closure_of(shipped("observatory-folio"), "band_back").stack
    bends = [bend for bend in stack.bends if bend.piece.key == "band_back"]
    assert sorted(bend.outward for bend in bends) == [-1, 1]
    spine = next(bend for bend in stack.bends if bend.piece.key == "spine")
    assert spine.outward == -1, "the spine lies on the left of the closed folio"
    assert all(b.levels[0] < spine.levels[0] and b.levels[1] > spine.levels[1] for b in bends)


def test_the_seal_lies_over_both_flaps() -> None:
    stack = closure_of(shipped("letter-envelope"), "seal").stack
    faces = [bar.face for bar in sorted(stack.bars, key=lambda bar: bar.level)]
    flaps = [faces.index(("envelope", f"{end}_flap")) for end in ("bottom", "top")]
    assert flaps[0] < flaps[1] < faces.index(("seal", "face"))


def test_the_seal_is_glued_to_both_flaps_and_the_card_to_nothing() -> None:
    """The design: the seal is 1¼ in across, half of it beyond the tip of the top flap."""
    envelope = shipped("letter-envelope")
    closure = closure_of(envelope, "seal")
    spans = {
        glued.host.face[1]: glued.span[1] - glued.span[0]
        for glued in closure.stack.glued
        if glued.bar.piece.key == "seal"
    }
    half = 0.625 * 25.4
    assert spans == {"top_flap": pytest.approx(half), "bottom_flap": pytest.approx(half)}
    assert "letter_card" not in {glued.bar.piece.key for glued in closure.stack.glued}
    words = closure_equivalent(envelope, "seal")
    assert "B3 Seal is glued to A1 Envelope (bottom flap)." in words
    assert "B2 Letter card (back half), loose" in words


def test_the_band_is_closed_by_the_glue_on_its_two_laps_only() -> None:
    stack = closure_of(shipped("observatory-folio"), "band_back").stack
    band = [g for g in stack.glued if "band_back" in (g.bar.piece.key, g.host.piece.key)]
    assert {(g.bar.piece.key, g.host.face) for g in band} == {
        ("band_front", ("band_back", "left_lap")),
        ("band_front", ("band_back", "right_lap")),
    }


def test_layers_that_go_on_end_in_a_wavy_line() -> None:
    """The section of the seal shows a part of the envelope, that of the band shows all of it."""
    folio, envelope = shipped("observatory-folio"), shipped("letter-envelope")
    for design, key, count in ((envelope, "seal", 2), (folio, "band_back", 0)):
        scene = closure_scene(design, key, 178, 100)
        breaks = [s for line in Line for s in scene.strokes(line) if s.subject == "break"]
        assert len(breaks) == count
        assert any("wavy line" in text.text for text in scene.texts) == bool(count)


def test_magnets_lie_between_the_layers_that_they_draw_together() -> None:
    design = made(folded(), CLASP)
    assert closures(design) == ("clasp",)
    closure = closure_of(design, "clasp")
    ((magnet, at),) = closure.fastenings
    low, high = pierced_bars(closure, magnet, at)
    assert {low.piece.key, high.piece.key} == {"mat", "left_mat"}
    scene = closure_scene(design, "clasp", 150, 70)
    rings = [s.runs[0] for s in scene.strokes(Line.VISIBLE) if s.subject == "magnet"]
    bars = {
        s.subject: s.runs[0]
        for line in (Line.VISIBLE, Line.FAINT)
        for s in scene.strokes(line)
        if s.subject in ("mat", "left_mat")
    }
    bottom = max(y for _, y in bars[low.piece.key])
    top = min(y for _, y in bars[high.piece.key])
    assert len(rings) == 2
    assert all(bottom - 0.01 <= y <= top + 0.01 for ring in rings for _, y in ring)
    assert overlaps(scene) == ()


def test_a_folded_piece_that_is_glued_all_over_is_glued_with_every_face() -> None:
    """The design: the lining lies on the body of the envelope and on its top flap."""
    stack = closure_of(shipped("letter-envelope"), "seal").stack
    lining = {(g.bar.face[1], g.host.face[1]) for g in stack.glued if g.bar.piece.key == "lining"}
    assert lining == {("body", "body"), ("flap", "top_flap")}


def half_mat(glue: str) -> tuple[tuple[float, float], list[tuple[float, float]]]:
    """The span of a mat on the half that stays, in a section across it, and of its glue."""
    pieces = folded().replace("leaving: 1/2}", f"leaving: 1/2, {glue}}}")
    stack = closure_of(made(pieces, CLASP), "clasp").stack
    (bar,) = (bar for bar in stack.bars if bar.piece.key == "left_mat")
    return bar.span, [g.span for g in stack.glued if g.bar.piece.key == "left_mat"]


def test_glue_along_an_edge_is_hatched_where_the_section_meets_it_and_nowhere_else() -> None:
    """The section runs across the mat, 2 in above its lower edge.  It lies on the half that
    stays, its right edge on the right; glue along an edge is 6 mm wide where a design has no
    tape."""
    (low, high), glued = half_mat("glue: right")
    assert glued == [(pytest.approx(high - 6), pytest.approx(high))]
    # Hatched beside the layer, and said under the drawing.
    pieces = folded().replace("leaving: 1/2}", "leaving: 1/2, glue: right}")
    design = made(pieces, CLASP)
    bare = made(pieces.replace("glue: right", "glue: top"), CLASP)
    with_glue, without = (closure_scene(each, "clasp", 150, 70) for each in (design, bare))
    assert len(with_glue.strokes(Line.GLUE)) == len(without.strokes(Line.GLUE)) + 1
    assert overlaps(with_glue) == ()
    # The strips along the upper and lower edge do not reach the section.
    assert half_mat("glue: 'top, bottom'")[1] == []
    assert half_mat("glue: all")[1] == [(pytest.approx(low), pytest.approx(high))]


def test_an_area_to_keep_dry_is_not_hatched() -> None:
    (low, high), glued = half_mat("keep_off: {right: 1/2}")
    assert glued == [(pytest.approx(low), pytest.approx(high - 12.7))]


def test_every_layer_is_named_and_the_scale_is_stated() -> None:
    folio = shipped("observatory-folio")
    scene, closure = closure_scene(folio, "band_back", 178, 100), closure_of(folio, "band_back")
    written = [text.text for text in scene.texts]
    note = "closed work; thickness not to scale · hatched: glue between two layers"
    assert note in written
    assert "section through Band back, looking up" in written
    assert {"front, outside", "back, outside"} <= set(written)
    for bar in closure.stack.bars:
        assert any(text.startswith(f"{bar.piece.code} {bar.piece.title}") for text in written)
    assert overlaps(scene) == ()
