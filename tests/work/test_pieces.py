"""Small designs played: what turns aside, what is pierced, and what cannot be done.

Sources: the sizes of the designs, worked out beside each check; else common practice, no source.
Lengths are mm unless a check says inches.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from gatherfold.work import FoldKey, Work, after_steps, pierced, try_size, work_of
from gatherfold.work.closing import Turn
from gatherfold.work.finished import wraps
from gatherfold.work.layers import Layers
from gatherfold.work.moments import Placing, Tie, Trouble
from gatherfold.work.parts import tucks_of
from gatherfold.work.piercing import set_in, setting_of, stack_in
from gatherfold.work.play import play
from gatherfold.work.putting import Way
from gatherfold.work.space import AT_REST
from gatherfold.work.turning import Swing
from tests.work.designs import DESIGNS
from tests.work.played import work_of as work_of_file
from tests.work.small_designs import (
    FLAPS,
    JOINED,
    LATCH,
    POCKET,
    WALLED,
    key,
    latched,
    mm,
    played,
    resolved,
)


def test_a_latch_is_turned_aside_before_the_flap_and_over_it_afterwards() -> None:
    work = latched()
    assert work.problems == ()
    for step in (3, 4):
        motions = [m.motion for m in work.moments_of(step) if m.operation == "close"]
        kinds = [type(motion) for motion in motions]
        assert kinds[:4] == [Swing, Turn, Turn, Swing]
        aside, first, second, over = motions[:4]
        assert isinstance(aside, Swing) and isinstance(over, Swing)
        assert (aside.is_aside, over.is_aside, aside.fastening) == (True, False, "brad")
        assert aside.moved == over.moved == {key("latch")}
        assert isinstance(first, Turn) and isinstance(second, Turn)
        assert {first.fold.hanging, second.fold.hanging} == {"gusset", "high"}


def test_where_a_latch_lies_aside_and_over_the_flap() -> None:
    """Aside it stands upright on the card, from 34 to 74 over its middle: 29 to 69 of 11 + 6; over
    the flap it lies as before, lifted by the 4 of the hinge."""
    work = latched()
    aside, over = (
        next(
            m.motion for m in work.moments if isinstance(m.motion, Swing) and m.motion.is_aside is w
        )
        for w in (True, False)
    )
    assert isinstance(aside, Swing) and isinstance(over, Swing)
    latch = aside.after.plates[key("latch")]
    ends = [[mm(work, end) for end in latch.extent(axis)] for axis in (0, 1, 2)]
    assert ends == [[5, 17], [34, 74], [0, 0]]
    closed = over.after.plates[key("latch")]
    ends = [[mm(work, end) for end in closed.extent(axis)] for axis in (0, 1, 2)]
    assert ends == [[5, 45], [34, 46], [4, 4]]
    assert over.after.is_above(key("flap"), key("latch")) is True
    # Opened again it lies where it lay.
    opened = work.moments_of(3)[-1].assembly
    assert opened.plates[key("latch")].pose == work.opened.plates[key("latch")].pose
    assert opened.is_above(key("card"), key("latch")) is True
    assert work.closed.is_above(key("flap"), key("latch")) is True


def test_a_latch_that_does_not_reach_the_flap_holds_nothing() -> None:
    """The flap lies from 40 on; a latch of 34 ends at 39."""
    work = latched(34)
    assert {(p.trouble, p.part, p.other) for p in work.problems} == {
        (Trouble.HOLDS_NOTHING, "brad", "flap")
    }


def test_ribbons_are_tied_when_they_are_fastened_round_the_work() -> None:
    ties = [m for m in latched().moments if isinstance(m.motion, Tie)]
    assert [(m.step, m.operation) for m in ties] == [(4, "fasten")]


def test_holes_go_through_all_layers_at_one_place() -> None:
    """The latch is pierced at (6, 6) of it, that is at (11, 40) of the card."""
    design = resolved(LATCH.replace("LENGTH", "40"))
    done = pierced(design)
    holes = {
        name: [(int(h.centre.x), int(h.centre.y)) for h in piece.holes]
        for name, piece in done.pieces.items()
    }
    assert holes == {"card": [(11, 40)], "latch": [(6, 6)], "hinge": [], "flap": []}
    marks = {name: (int(p.x), int(p.y)) for name, p in done.fastenings["brad"].marks.items()}
    assert marks == {"latch": (6, 6), "card": (11, 40)}
    # The same work goes with the design without holes and the one with them.
    assert work_of(done) is work_of(design)
    assert design.pieces["card"].holes == ()
    before, *_, last = after_steps(done)
    assert [piece.holes for piece in before.pieces.values()] == [(), (), (), ()]
    assert work_of(before) is work_of(design)
    assert last is done
    assert work_of(design).pierced == {"brad": (key("latch"), key("card"))}


def test_another_size_is_worked_out_by_the_same_motions() -> None:
    """With a latch of 44 the latch ends at 49."""
    design = resolved(LATCH.replace("LENGTH", "40"))
    longer = resolved(LATCH.replace("LENGTH", "44"))
    try_size(design, longer)
    work = work_of(longer)
    assert [mm(work, end) for end in work.closed.plates[key("latch")].extent(0)] == [5, 49]
    assert work.closed.plates[key("latch")].pose == play(longer).closed.plates[key("latch")].pose
    assert work.moments == work_of(design).moments


# ---- pockets


def test_a_slip_goes_into_a_pocket_that_is_wide_enough() -> None:
    """60 wide, with tape of 5 on both sides: 50 goes in, 52 does not."""
    work = played(POCKET.replace("WIDTH", "50"))
    assert work.problems == ()
    placing = work.moments[-1].motion
    assert isinstance(placing, Placing) and placing.put.way is Way.SLID and not placing.is_glued
    # Out over the pocket's upper edge, which is at 40: its foot at 6 has 34 to go.
    assert [mm(work, part) for part in placing.put.out] == [0, 34, 0]
    at = (Fraction(50 * work.scale), Fraction(20 * work.scale))
    stack = work.closed.stack_at(2, 0, at)
    assert [face.piece for face in stack] == ["card", "slip", "pocket"]
    stuck = played(POCKET.replace("WIDTH", "52"))
    assert [(p.trouble, p.part, p.other) for p in stuck.problems] == [
        (Trouble.CANNOT_GO_IN, "slip", "pocket.face")
    ]
    assert stuck.moments[-1].fresh == ("slip",)


# ---- what cannot be done


def troubles(text: str) -> list[tuple[Trouble, int, str]]:
    return [(p.trouble, p.step, p.part) for p in played(text).problems]


def test_what_is_glued_beyond_every_edge_is_glued_to_nothing() -> None:
    """A label from 82 on lies on the wall that the base ends at 80 with; from 200 on on nothing."""
    walls = "tray.left, tray.right, tray.front, tray.back"
    sound = WALLED.replace("NAMES", walls)
    assert troubles(sound.replace("LEFT", "30")) == []
    assert (Trouble.GLUED_TO_NOTHING, 2, "label.face") in troubles(sound.replace("LEFT", "200"))


def test_tabs_that_come_before_their_wall_stands_miss_it() -> None:
    """Two walls alone: their tabs are folded in and meet no other wall."""
    found = troubles(WALLED.replace("NAMES", "tray.left, tray.right").replace("LEFT", "30"))
    tabs = {f"tray.{side}_{end}_tab" for side in ("left", "right") for end in ("top", "bottom")}
    assert {(trouble, step) for trouble, step, _ in found} == {(Trouble.JOIN_MISSES, 3)}
    assert {part for _, _, part in found} == tabs


def test_a_further_join_that_is_out_of_reach_is_never_made() -> None:
    """The wall lies from 20 to 40; a label from 60 on is out of reach, one from 30 on is not."""
    far = JOINED.replace("HOST", "label").replace("LEFT", "60")
    assert (Trouble.NEVER_JOINED, 0, "strip.wall") in troubles(far)
    near = JOINED.replace("HOST", "label").replace("LEFT", "30")
    assert Trouble.NEVER_JOINED not in {trouble for trouble, _, _ in troubles(near)}


def test_what_is_glued_down_as_it_lies_cannot_stand_up() -> None:
    down = JOINED.replace("HOST", "card").replace("LEFT", "60")
    assert (Trouble.GLUED_OPEN, 3, "strip.wall") in troubles(down)


def test_flaps_close_in_the_order_that_the_design_gives() -> None:
    """Both lap over one another: the wing goes first, and the flap lies on it."""
    loose = FLAPS.replace(", PLACE", "").replace("TAG", "dry_fit: all")
    work = played(loose)
    turns = [m.motion for m in work.moments if isinstance(m.motion, Turn) and m.step == 4]
    assert [str(turn.fold) for turn in turns] == ["card.wing", "card.flap"]
    assert work.closed.is_above(key("card", "wing"), key("card", "flap")) is True
    both = played(loose.replace("closing: [card.wing, card.flap]\n", ""))
    assert {m.motion.fold for m in both.moments if isinstance(m.motion, Turn)} == {
        turn.fold for turn in turns
    }


def test_what_is_glued_across_a_fold_keeps_it_open() -> None:
    """The tag lies from 40 to 60, over the fold at 50: no side turns without the other."""
    found = troubles(
        FLAPS.replace("PLACE", "on: card.flap, left: 40").replace("TAG", "attach: tag")
    )
    assert (Trouble.GLUED_OPEN, 4, "card.flap") in found


def test_what_lies_on_nothing_is_alone_and_flat() -> None:
    work = played(
        """
pieces:
  one: {as: card, from: grey, size: 40 x 30}
  two: {as: card, from: grey, size: 60 x 30}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Keep, text: Keep., attach: one}
"""
    )
    assert len(work.assemblies) == 2
    assert {a.base.piece for a in work.assemblies} == {"one", "two"}
    assert all(plate.pose == AT_REST for a in work.assemblies for plate in a.plates.values())
    # Of two that are alone the larger is the one that the work is about.
    assert work.closed.pieces == ("two",)
    assert [m.fresh for m in work.moments] == [("one",)]


@pytest.mark.parametrize(
    ("turned", "ends"), [(0, ((10, 40), (20, 40))), (90, ((10, 30), (20, 50)))]
)
def test_a_piece_lies_where_its_offsets_say(turned: int, ends: object) -> None:
    """30 by 20, with its left edge at 10 and its lower at 20 of its host, turned or not."""
    work = played(
        f"""
pieces:
  card: {{as: panel, from: grey, size: 100 x 100}}
  tag: {{as: tag, from: grey, size: 30 x 20, on: card, left: 10, bottom: 20, turned: {turned}}}
steps:
  - {{title: Cut, text: Cut., cut: all}}
  - {{title: Glue, text: Glue., attach: tag}}
"""
    )
    tag = work.closed.plates[key("tag")]
    assert tuple(tuple(mm(work, e) for e in tag.extent(axis)) for axis in (0, 1)) == ends
    assert (tag.facing, tag.plane) == (1, 0)
    assert work.closed.side_of(key("card"), key("tag")) == 1


def test_a_piece_on_the_back_looks_away() -> None:
    """10 from the left as the back is looked at: its left is the right of the front."""
    work = played(
        """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  tag: {as: tag, from: grey, size: 30 x 20, on_back: card, left: 10, bottom: 20}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: tag}
"""
    )
    tag = work.closed.plates[key("tag")]
    assert [mm(work, end) for end in tag.extent(0)] == [60, 90]
    assert [mm(work, end) for end in tag.extent(1)] == [20, 40]
    assert tag.facing == -1
    assert work.closed.side_of(key("card"), key("tag")) == -1
    assert work.closed.side_of(key("tag"), key("card")) == -1


def test_a_tab_that_is_turned_over_is_glued_inside() -> None:
    """It comes to lie on the section that it hangs on: between the two is its inner side."""
    text = WALLED.replace("taper: 2}", "taper: 2, closed: 180}")
    work = played(text.replace("NAMES", "tray.left").replace("LEFT", "50"))
    assert work.problems == ()
    tabs = {"left_top_tab", "left_bottom_tab"}
    glued = {b.first.face: b for b in work.moments_of(3)[-1].bonds}
    assert set(glued) >= tabs
    for tab in tabs:
        adhesive = glued[tab].adhesive
        assert glued[tab].second == key("tray", "left")
        assert adhesive is not None and adhesive.side == 1


def test_a_section_closes_with_its_own_tabs() -> None:
    work = played(WALLED.replace("NAMES", "tray.left").replace("LEFT", "30"))
    closed = {m.motion.fold.hanging for m in work.moments_of(3) if isinstance(m.motion, Turn)}
    assert closed == {"left", "left_top_tab", "left_bottom_tab"}


def test_the_section_that_a_piece_lies_by_closes_where_it_begins() -> None:
    """Nothing hangs on it: what closes is the fold to the section before it."""
    work = played(
        """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  strip:
    as: strip
    from: grey
    closed: 180
    across: {a: 20, b: 30, c: 20}
    height: 40
    on: card
    by: b
    left: 30
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: strip}
  - {title: Close, text: Close., close: strip.b}
"""
    )
    closed = [m.motion.fold.hanging for m in work.moments_of(3) if isinstance(m.motion, Turn)]
    assert closed == ["a"]


def test_what_is_tucked_in_lies_on_the_sides_that_its_join_names() -> None:
    """The wall lies on the label: its back against the label's front."""
    work = played(JOINED.replace("HOST", "label").replace("LEFT", "30"))
    wall, label = key("strip", "wall"), key("label")
    assert tucks_of(work.parts) == {(wall, label): -1, (label, wall): 1}


def locked_in(work: Work) -> set[str]:
    return {str(fold) for fold in work.closed.creases if work.closed.is_locked(fold)}


def test_what_is_glued_on_both_sides_of_its_fold_is_locked() -> None:
    down = played(JOINED.replace("HOST", "card").replace("LEFT", "60"))
    assert locked_in(down) == {"strip.wall"}
    loose = played(JOINED.replace("joins: {wall: {on: HOST}}", "").replace("LEFT", "60"))
    assert locked_in(loose) == set()


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_every_face_lies_at_whole_units(file: Path) -> None:
    """The scale is chosen so: whole numbers are exact and quick."""
    for moment in work_of_file(file).moments:
        for plate in moment.assembly.plates.values():
            assert all(isinstance(part, int) for part in plate.pose.shift), plate.key


def test_which_operations_glue() -> None:
    work = played(POCKET.replace("WIDTH", "50"))
    assert work.glues(2, "attach")
    assert not work.glues(3, "insert") and not work.glues(2, "insert")
    assert not work.glues(1, "attach")
    assert [len(work.moments_of(step)) for step in (1, 2, 3, 4)] == [0, 1, 1, 0]


# ---- in which order


def placed(text: str) -> list[str]:
    """The pieces in the order in which they are placed."""
    return [m.fresh[0] for m in played(text).moments if m.fresh]


def test_of_one_pattern_hosts_come_first_then_large_before_small_then_left_before_right() -> None:
    """Whatever they are called, and wherever they stand in the file."""
    text = """
pieces:
  a_tag: {as: tag, from: grey, size: 10 x 10, on: card, left: 60, bottom: 10}
  b_tag: {as: tag, from: grey, size: 10 x 10, on: card, left: 60, bottom: 40}
  c_tag: {as: tag, from: grey, size: 5 x 5, on: z_tag}
  d_tag: {as: tag, from: grey, size: 20 x 10, on: card, left: 70, bottom: 70}
  z_tag: {as: tag, from: grey, size: 10 x 10, on: card, left: 5, bottom: 10}
  card: {as: panel, from: grey, size: 100 x 100}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: "*_tag"}
"""
    # The largest, the left one, of two at 60 the upper one, and what lies on another one last.
    assert placed(text) == ["d_tag", "z_tag", "b_tag", "a_tag", "c_tag"]
    # Named one by one they go in the order that is written.
    assert placed(text.replace('"*_tag"', "'a_tag, z_tag, b_tag, d_tag, c_tag'")) == [
        "a_tag", "z_tag", "b_tag", "d_tag", "c_tag"
    ]  # fmt: skip


def test_of_equal_mats_that_on_the_larger_card_comes_first() -> None:
    text = """
pieces:
  a_mat: {as: mat, from: grey, size: 10 x 10, on: small, left: 5, bottom: 5}
  z_mat: {as: mat, from: grey, size: 10 x 10, on: SIDE: large, left: 5, bottom: 5}
  small: {as: card, from: grey, size: 60 x 40}
  large: {as: card, from: grey, size: 60 x 50}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: "*_mat"}
""".replace("on: SIDE: large", "on: large")
    assert placed(text) == ["z_mat", "a_mat"]
    wide = text.replace(
        "large: {as: card, from: grey, size: 60 x 50}",
        "large: {as: card, from: grey, size: 70 x 30}",
    )
    assert placed(wide) == ["z_mat", "a_mat"]
    # On the front before on the back, of one card.
    both = text.replace("on: large", "on: small").replace(
        "a_mat: {as: mat, from: grey, size: 10 x 10, on: small",
        "a_mat: {as: mat, from: grey, size: 10 x 10, on_back: small",
    )
    assert placed(both) == ["z_mat", "a_mat"]


def test_of_mats_on_two_walls_that_on_the_upper_one_comes_first() -> None:
    mats = """
  a_mat: {as: mat, from: grey, size: 10 x 10, on: tray.front}
  z_mat: {as: mat, from: grey, size: 10 x 10, on: tray.back}"""
    text = WALLED.replace("\nsteps:", mats + "\nsteps:").replace("attach: label", "attach: '*_mat'")
    found = placed(
        text.replace("LEFT", "30").replace("NAMES", "tray.left, tray.right, tray.front, tray.back")
    )
    assert found[:2] == ["z_mat", "a_mat"]


def test_a_piece_that_no_step_cuts_is_there_when_it_is_wanted() -> None:
    text = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  tag: {as: tag, from: grey, size: 10 x 10, on: card}
steps:
  - {title: Glue, text: Glue., attach: tag}
"""
    assert placed(text) == ["tag"] and played(text).closed.pieces == ("card", "tag")
    assert played(text).problems == ()


# ---- folded for it, and turned aside


def test_a_card_that_does_not_fit_open_is_closed_and_slid_in() -> None:
    """Open it is 100 wide, closed 50; between the strips of tape of a pocket of 60 there are 50."""
    text = POCKET.replace(
        "{as: insert, from: grey, size: WIDTH x 70, inside: pocket, bottom: 6}",
        "{as: card, from: grey, closed: 180, across: {one: 50, two: 50}, height: 70, "
        "inside: pocket, by: one, bottom: 6, left: 5, seams: {two: none}}",
    )
    work = played(text)
    assert work.problems == ()
    kinds = [(m.operation, type(m.motion)) for m in work.moments_of(3)]
    assert kinds == [("insert", Turn), ("insert", Placing)]
    at = (Fraction(50 * work.scale), Fraction(20 * work.scale))
    stack = work.closed.stack_at(2, 0, at)
    assert [str(face) for face in stack] == ["card.face", "slip.one", "slip.two", "pocket.face"]
    assert [mm(work, end) for end in work.closed.plates[key("slip", "one")].extent(0)] == [25, 75]
    assert len(work.assemblies) == 1


def test_a_leaf_that_covers_a_place_is_turned_aside_for_what_goes_there() -> None:
    """The wing is closed over the back; the tag goes under it, and the wing lies on the tag."""
    text = (
        FLAPS.replace("closing: [card.wing, card.flap]\n", "")
        .replace("PLACE", "on: card.back, right: 5")
        .replace("TAG", "close: card.wing")
        .replace("close: all", "attach: tag")
    )
    work = played(text)
    assert work.problems == ()
    assert work.closed.angle(FoldKey("card", "wing")) == 180
    (placing,) = [m.motion for m in work.moments if isinstance(m.motion, Placing)]
    assert placing.before.angle(FoldKey("card", "wing")) == 0
    after = work.closed
    assert after.is_above(key("card", "back"), key("tag")) is True
    assert after.is_above(key("tag"), key("card", "wing")) is True
    assert len(work.assemblies) == 1


def test_a_further_join_is_made_as_soon_as_its_host_comes() -> None:
    """The wing closes on a tag, whose front is glued to it."""
    text = (
        FLAPS.replace("closing: [card.wing, card.flap]\n", "")
        .replace("PLACE", "on: card.back, right: 5, joins: {face: {facing: card.wing}}")
        .replace("TAG", "attach: tag")
        .replace("close: all", "close: card.wing")
    )
    work = played(text)
    assert work.problems == ()
    last = work.moments_of(4)[-1]
    assert [(str(b.first), str(b.second)) for b in last.bonds] == [("tag.face", "card.wing")]
    assert work.closed.is_locked(FoldKey("card", "wing"))


PINNED = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  top: {as: panel, from: grey, size: 100 x 100, on: card, glue: none}
fastenings:
  a_brad: {name: A, kind: brad, head: 6 mm, leg: 8 mm, through: 'top, card', left: 80, bottom: 20}
  z_brad: {name: Z, kind: brad, head: 6 mm, leg: 8 mm, through: 'top, card', left: 20, bottom: 20}
  m_brad: {name: M, kind: brad, head: 6 mm, leg: 8 mm, through: 'top, card', left: 20, bottom: 80}
  tie: {name: Tie, kind: ribbon tie, ribbon: satin, length: 200, allowance: 10, round: card}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Pin, text: Pin., attach: top, fasten: NAMES}
"""


def test_fastenings_are_set_as_they_are_named_and_of_one_pattern_from_the_left() -> None:
    def order(names: str) -> list[str]:
        work = played(PINNED.replace("NAMES", names))
        return [m.bonds[0].joins for m in work.moments if m.operation == "fasten" and m.bonds]

    assert order('"*_brad"') == ["m_brad", "z_brad", "a_brad"]
    assert order("all") == ["m_brad", "z_brad", "a_brad"]
    assert order("'a_brad, z_brad'") == ["a_brad", "z_brad"]
    assert order("'z_brad, *_brad'") == ["z_brad", "m_brad", "a_brad"]


def test_holes_are_pierced_at_their_places_and_what_misses_is_told() -> None:
    """A smaller paper that ends at 50 is not met at 80."""
    design = pierced(resolved(PINNED.replace("NAMES", "all")))
    holes = {(h.fastening, int(h.centre.x), int(h.centre.y)) for h in design.pieces["card"].holes}
    assert holes == {("a_brad", 80, 20), ("z_brad", 20, 20), ("m_brad", 20, 80)}
    short = PINNED.replace("size: 100 x 100, on: card", "size: 50 x 100, on: card, left: 0")
    short = short.replace("through: 'top, card', left: 80", "through: 'card, top', left: 80")
    found = played(short.replace("NAMES", "all")).problems
    assert {(p.trouble, p.part, p.other) for p in found} == {(Trouble.NO_HOLE, "a_brad", "top")}


def test_two_magnets_meet_when_all_is_closed() -> None:
    """On the flap at 50 from the hinge: closed that is at 100 - 50 of the card; nothing is pierced.
    On a card that lies on nothing there is no other to meet."""
    text = LATCH.replace("LENGTH", "40").replace(
        "  tie:",
        "  pair: {name: Magnets, kind: magnet pair, head: 8 mm, through: 'WHERE, card', "
        "left: 50, bottom: 40}\n  tie:",
    )
    text = text.replace(
        "  latch: {as", "  other: {as: card, from: grey, size: 60 x 80}\n  latch: {as"
    )
    text = text.replace("fasten: brad", "fasten: 'brad, pair'")
    for where, wanted in (
        ("flap", {"flap": (50, 40), "card": (50, 40)}),
        ("other", {"other": (50, 40)}),
    ):
        design = pierced(resolved(text.replace("WHERE", where)))
        marks = {n: (int(p.x), int(p.y)) for n, p in design.fastenings["pair"].marks.items()}
        assert marks == wanted
        assert [hole.fastening for hole in design.pieces["card"].holes] == ["brad"]


# ---- fastenings among layers


#: The latch on a label glued on the card, and a backing behind that: the brad goes not through it.
LAYERED = (
    LATCH.replace("LENGTH", "40")
    .replace(
        "  latch:",
        """  label: {as: tag, from: grey, size: 20 x 20, on: card, left: 3, bottom: 30}
  backing: {as: tag, from: grey, size: 30 x 30, on_back: card, right: 2, bottom: 25}
  latch:""",
    )
    .replace("attach: hinge, flap, latch", "attach: 'hinge, flap, label, latch'")
    .replace("text: Close it and open it again.", "text: Close.\n    attach: backing")
)


def test_the_layers_at_a_fastening() -> None:
    """At (11, 40) of the card lie, from behind: backing, card, label, latch."""
    work = played(LAYERED)
    assert work.problems == ()
    then = setting_of(work, "brad")
    assert "backing" not in then.pieces and "latch" in then.pieces
    stack = stack_in(work, then, "brad")
    assert stack is not None
    assert [face.piece for face in stack.layers] == ["card", "label", "latch"]
    assert [face.piece for face in stack.through] == ["latch", "card"]
    assert stack.places == (2, 0) and stack.head_is_high
    assert [face.piece for face in stack.between] == ["label"]
    assert stack.outside == stack.beyond_last == ()
    last = stack_in(work, work.opened, "brad")
    assert last is not None
    assert [face.piece for face in last.layers] == ["backing", "card", "label", "latch"]
    assert [face.piece for face in last.outside] == ["backing"]
    assert [face.piece for face in last.beyond_last] == ["backing"]
    assert last.places == (3, 1)
    # A ribbon is set in no layers; what no step sets is set in the work at rest.
    assert stack_in(work, work.opened, "tie") is None
    assert setting_of(work, "tie") is work.opened
    assembly, faces = set_in(work, "brad")
    assert assembly is then and [face.piece for face in faces] == ["latch", "card"]


def test_what_is_in_the_way_at_a_level_of_flat_work() -> None:
    """The strips of tape of a pocket of 60 by 40, 5 wide: 2 x 5 x 40 and 50 x 5 at its foot."""
    design = resolved(POCKET.replace("WIDTH", "50"))
    work = play(design)
    layers = Layers(design, work, work.closed, key("card"), 1)
    slip, pocket, card = (key(name) for name in ("slip", "pocket", "card"))
    assert layers.level_of(card) < layers.level_below(slip) < layers.level_of(slip)
    assert layers.level_of(slip) < layers.level_of(pocket)
    assert layers.level_of(slip) - layers.level_below(slip) == 0.5
    square = work.scale**2
    (met,) = layers.in_the_way(layers.level_of(slip), {slip})
    assert (met.name, met.is_glue, met.holds) == ("pocket", True, False)
    assert met.shape.area / square == pytest.approx(2 * 5 * 40 + 50 * 5)
    # Over the pocket nothing is in the way; the pocket itself is held by its own tape.
    assert list(layers.in_the_way(layers.level_of(pocket) + 1, {slip})) == []
    (own,) = layers.in_the_way(layers.level_of(pocket), {pocket})
    assert own.holds and own.is_glue
    assert list(layers.in_the_way(layers.level_of(slip), {pocket, card})) == []
    assert layers.is_here(card) and not layers.is_here(key("nowhere"))


def test_what_of_a_fastening_is_in_the_way() -> None:
    """The head of 6 sticks out of the latch with a radius of 3, the legs of 8 reach so far behind
    the card; in between there is the shaft, half the hole wide."""
    design = pierced(resolved(LATCH.replace("LENGTH", "40")))
    work = work_of(design)
    layers = Layers(design, work, work.opened, key("card"), 1)
    card, latch, flap = key("card"), key("latch"), key("flap")
    hole = design.pieces["card"].holes[0].diameter
    reaches = []
    for level in (layers.level_of(latch) + 0.25, layers.level_below(latch), -1.0):
        (met,) = (each for each in layers.in_the_way(level, {flap}) if not each.is_glue)
        assert met.name == "brad" and not met.holds
        middle = met.shape.centroid
        assert (middle.x / work.scale, middle.y / work.scale) == pytest.approx((11, 40), abs=1e-6)
        width = met.shape.bounds[2] - met.shape.bounds[0]
        assert width / work.scale == pytest.approx(2 * met.reach / work.scale, rel=1e-3)
        reaches.append(met.reach / work.scale)
    assert reaches == [pytest.approx(3), pytest.approx(float(hole) / 2), pytest.approx(8)]
    brad = design.fastenings["brad"]
    centre = layers.centre(brad)
    assert centre is not None and (centre.x / work.scale, centre.y / work.scale) == (11, 40)
    assert layers.centre(design.fastenings["tie"]) is None
    # It is in no way of what it goes through itself.
    both = layers.in_the_way(layers.level_below(latch), {card, latch})
    assert [each for each in both if not each.is_glue] == []
    # The flap lies in another plane when it is closed; in that of the gusset there is no brad.
    closed = Layers(design, work, work.closed, key("card"), 1)
    assert not closed.is_here(flap)
    standing = Layers(design, work, work.closed, key("hinge", "gusset"), 1)
    assert standing.centre(brad) is None
    assert list(standing.in_the_way(0.0, set())) == []


@pytest.mark.parametrize(
    ("name", "piece", "inside"),
    [
        ("belly-band", "band", "case"),
        ("box-in-box", "lid", "outer"),
        ("keepsake-box", "lid", "tray"),
        ("observatory-folio", "band_back", "back_cover"),
    ],
)
def test_what_goes_round_the_finished_work(name: str, piece: str, inside: str) -> None:
    """A band and a lid close round what they are put on; a tray that stands in another does not."""
    file = next(each for each in DESIGNS if each.stem == name)
    found = dict(wraps(work_of_file(file)))
    assert set(found) == {piece}
    assert inside in found[piece] and piece not in found[piece]


def test_nothing_goes_round_an_envelope_or_an_album() -> None:
    for file in DESIGNS:
        if file.stem in ("letter-envelope", "hinged-album", "four-flaps", "covered-board"):
            assert dict(wraps(work_of_file(file))) == {}


def test_what_lies_beyond_what() -> None:
    """Backing, card, label and latch: all that lies before a face, at whatever remove."""
    work = played(LAYERED)
    rest = work.opened

    def beyond(name: str, is_up: bool) -> set[str]:
        return {face.piece for face in rest.beyond([key(name)], is_up)} - {name}

    assert beyond("card", True) >= {"label", "latch"} and "backing" not in beyond("card", True)
    assert beyond("card", False) == {"backing"}
    assert beyond("latch", True) == set()
    assert beyond("latch", False) == {"card", "label", "backing"}
    # What it is asked for is part of the answer.
    assert rest.beyond([key("latch")], True) == {key("latch")}
