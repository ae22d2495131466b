"""Small designs played: what closes when, what is glued, and what is done of its own accord.

Sources: the sizes of the designs, worked out beside each check.  Lengths are mm.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.work import Assembly, FoldKey, Work
from gatherfold.work.closing import Turn
from gatherfold.work.moments import Placing, Tie, Trouble
from gatherfold.work.parts import closing_demands, further_demands, placement_demands
from gatherfold.work.putting import Way
from gatherfold.work.regions import FaceKey
from gatherfold.work.turning import Swing
from tests.work.small_designs import (
    FLAPS,
    JOINED,
    LATCH as TURNING,
    POCKET,
    TWO_FLAPS,
    WALLED,
    key,
    latched,
    mm,
    played,
)

CARD = (
    TWO_FLAPS
    + """\
    SEAMS
MORE
steps:
  - {title: Cut, text: Cut., cut: all, score: card, fold: card}
STEPS
"""
)
DRY = "seams: {flap: none, wing: none}"


def card(*steps: str, seams: str = DRY, more: str = "") -> Work:
    """The card with two flaps, made in some steps; each is what the step does."""
    lines = "\n".join(
        f"  - {{title: Step {n}, text: Do it., {step}}}" for n, step in enumerate(steps, start=2)
    )
    return played(CARD.replace("SEAMS", seams).replace("MORE", more).replace("STEPS", lines))


def standing(name: str, place: str, left: int) -> str:
    """A strip on the card with a foot of 10, and a wall of 20 that is to stand up beside it."""
    return f"""  {name}:
    as: strip
    from: grey
    across: {{foot: 10, wall: {{size: 20, closed: 90}}}}
    height: 20
    {place}
    by: foot
    left: {left}"""


def turns(work: Work, step: int | None = None) -> list[str]:
    """The folds that are turned, in order."""
    return [
        moment.motion.fold.hanging
        for moment in work.moments
        if isinstance(moment.motion, Turn) and step in (None, moment.step)
    ]


def troubles(work: Work) -> set[tuple[Trouble, int, str, str]]:
    return {(each.trouble, each.step, each.part, each.other) for each in work.problems}


def angles(assembly: Assembly) -> dict[str, int]:
    return {fold.hanging: angle for fold, angle in assembly.angles.items()}


# ---- closing and opening


def test_of_two_flaps_the_left_one_closes_first_and_what_the_design_names_closes_last() -> None:
    assert turns(card("close: all")) == ["flap", "wing"]
    assert turns(card("close: 'card.wing, card.flap'")) == ["flap", "wing"]
    named = FLAPS.replace(", PLACE", "").replace("TAG", "dry_fit: all")
    for order, wanted in (
        ("card.flap", ["wing", "flap"]),
        ("card.wing", ["flap", "wing"]),
        ("card.wing, card.flap", ["wing", "flap"]),
        ("card.flap, card.wing", ["flap", "wing"]),
        ("card", ["flap", "wing"]),
    ):
        text = named.replace("card.wing, card.flap]", f"{order}]")
        assert turns(played(text)) == wanted, order
        by_name = text.replace("close: all", "close: card")
        # Named in a step, all that it names has to be in the design's order, or none of it is.
        in_order = wanted if order.count("card") == 2 else ["flap", "wing"]
        assert turns(played(by_name)) == in_order, order


def test_what_is_opened_is_what_was_closed_last() -> None:
    work = card("close: card.flap", "close: card.wing", "open: card.wing")
    assert work.problems == ()
    assert turns(work) == ["flap", "wing", "wing"]
    assert angles(work.moments_of(4)[-1].assembly) == {"flap": 180}
    # What a step names it closes for good as far as it says: that is rest.
    assert angles(work.opened) == {"flap": 180}
    assert angles(work.closed) == {"flap": 180, "wing": 180}
    # What was not opened then can be opened later.
    one_by_one = card("close: card.flap", "close: card.wing", "open: card.wing", "open: card.flap")
    assert one_by_one.problems == () and turns(one_by_one, 5) == ["flap"]
    assert angles(one_by_one.opened) == {}
    # What lies under another one cannot be opened: the wing came last and lies on the flap.
    stuck = card("close: card.flap", "close: card.wing", "open: card.flap")
    assert troubles(stuck) == {(Trouble.CANNOT_TURN, 4, "card.flap", "card.wing")}
    assert angles(stuck.opened) == {"flap": 180, "wing": 180}
    # Both together are opened the last first.
    both = card("close: card.flap", "close: card.wing", "open: card")
    assert both.problems == () and turns(both, 4) == ["wing", "flap"]
    assert angles(both.opened) == {}


def test_what_stays_closed_is_opened_the_last_first_whatever_was_opened_before() -> None:
    """The wing lies on the flap; behind the card something else was closed and opened."""
    more = standing("angle", "on_back: card.back", 10)
    work = card(
        "attach: angle", "close: card.flap", "close: card.wing", "close: angle", "open: angle",
        "open: card", more=more,
    )  # fmt: skip
    assert work.problems == ()
    assert turns(work, 6) == ["wall"] and turns(work, 7) == ["wing", "flap"]
    assert angles(work.opened) == {}


def test_a_fold_that_glue_holds_open_is_told_where_a_step_closes_it_by_name() -> None:
    """The wall lies on the label and is glued to it as soon as the strip is laid down."""
    text = (
        JOINED.replace("HOST", "label").replace("LEFT", "30").replace("closed: 90", "closed: 180")
    )
    work = played(text.replace("close: all", "close: strip.wall"))
    assert (Trouble.GLUED_OPEN, 3, "strip.wall", "strip.foot") in troubles(work)
    assert turns(work) == []


def test_what_is_tried_is_opened_again_and_is_not_at_rest_meanwhile() -> None:
    work = card("close: all", "open: all", "close: all")
    assert turns(work) == ["flap", "wing", "wing", "flap", "flap", "wing"]
    assert angles(work.opened) == {}
    assert [each.fold.hanging for each in work.closing if isinstance(each, Turn)] == [
        "flap", "wing"
    ]  # fmt: skip
    # Opening all leaves what a step closed by name.
    kept = card("close: card.flap", "close: all", "open: all")
    assert turns(kept) == ["flap", "wing", "wing"]
    assert angles(kept.opened) == {"flap": 180}


def test_what_is_tried_twice_is_opened_alike() -> None:
    """A latch on the way: its part is turned back once for each time that it was turned."""
    again = """  - title: Try
    text: Close it and open it again.
    close: all
    open: all
"""
    text = TURNING.replace("LENGTH", "40")
    assert text.count(again) == 1
    work = played(text.replace(again, again * 2))
    assert work.problems == ()
    once, twice = (
        [(m.operation, type(m.motion)) for m in work.moments_of(step)] for step in (3, 4)
    )
    assert once == twice
    assert [kind for operation, kind in once if operation == "open"] == [Swing, Turn, Turn, Swing]
    first = latched().opened
    assert {face: plate.pose for face, plate in work.opened.plates.items()} == {
        face: plate.pose for face, plate in first.plates.items()
    }


def test_what_glue_holds_stays_closed_when_all_is_opened_and_the_work_rests_so() -> None:
    """A wall beside its foot is closed over that with all else, and glued to it."""
    text = JOINED.replace("on: HOST", "facing: strip.foot").replace("LEFT", "60")
    work = played(
        text.replace("closed: 90", "closed: 180") + "  - {title: Open, text: Open., open: all}\n"
    )
    assert work.problems == ()
    assert turns(work, 3) == ["wall"] and turns(work) == ["wall"]
    assert work.closed.is_locked(FoldKey("strip", "wall"))
    assert angles(work.opened) == angles(work.closed) == {"wall": 180}


def test_a_ribbon_that_is_fastened_is_tied_when_all_is_closed() -> None:
    ties = (
        "fastenings:\n"
        "  bow: {name: Bow, kind: ribbon tie, ribbon: satin, length: 200, allowance: 10}\n"
        "  knot: {name: Knot, kind: ribbon tie, ribbon: satin, length: 90, allowance: 10}"
    )
    work = card("fasten: bow", "close: all", "fasten: knot", "open: all", "close: all", more=ties)
    tied = [(m.step, m.motion.fastening) for m in work.moments if isinstance(m.motion, Tie)]
    # Each once, the second when all is closed again; after the flaps.
    assert tied == [(3, "bow"), (6, "knot")]
    assert [type(m.motion) for m in work.moments_of(6)] == [Turn, Turn, Tie]


# ---- what no step places


def test_what_no_step_places_lies_there_at_the_end_open_and_closed() -> None:
    """The card is closed by then; the tag goes on its back, under both flaps."""
    more = "  tag: {as: tag, from: grey, size: 20 x 20, on: card.back}"
    work = card("close: all", more=more)
    for assembly in (work.opened, work.closed):
        assert "tag" in assembly.pieces
        assert assembly.is_above(key("card", "back"), key("tag")) is True
    assert angles(work.opened) == {}
    assert angles(work.closed) == {"flap": 180, "wing": 180}
    for flap in ("flap", "wing"):
        assert work.closed.is_above(key("tag"), key("card", flap)) is True
    last = work.moments[-1]
    assert (last.step, last.operation) == (0, "finish")


def test_what_no_step_slides_in_is_slid_into_its_pocket_at_the_end() -> None:
    text = POCKET.replace("WIDTH", "50")
    work = played(text.replace("  - {title: Fill, text: Fill., insert: slip}\n", ""))
    (placing,) = (m.motion for m in work.moments if isinstance(m.motion, Placing) and m.step == 0)
    assert placing.piece == "slip" and placing.put.way is Way.SLID and not placing.is_glued
    at = (Fraction(50 * work.scale), Fraction(20 * work.scale))
    for assembly in (work.opened, work.closed):
        stack = assembly.stack_at(2, 0, at)
        assert [face.piece for face in stack] == ["card", "slip", "pocket"]
    # A mat that no step glues is laid on the pocket, not into it.
    mat = text.replace("as: insert, from: grey, size: WIDTH", "as: mat, from: grey, size: 50")
    mat = mat.replace("size: 50 x 70, inside: pocket, bottom: 6", "size: 50 x 30, on: pocket")
    work = played(mat.replace("  - {title: Fill, text: Fill., insert: slip}\n", ""))
    stack = work.closed.stack_at(2, 0, at)
    assert [face.piece for face in stack] == ["card", "pocket", "slip"]


# ---- leaves in the way


LEAF = """  leaf:
    as: strip
    from: grey
    closed: 180
    across: {tab: 5, page: 40}
    height: 60
    on: card.back
    by: tab
    left: 55
    seams: {page: none}
  tag: {as: tag, from: grey, size: 8 x 8, on: card.back, left: 30, bottom: 30}
"""
LATCH = """  latch: {as: tab, from: grey, size: 20 x 10, on: card.back, left: 5, bottom: 5,
    glue: none}
fastenings:
  brad: {name: Brad, kind: brad, head: 6 mm, leg: 8 mm, through: 'latch, card', left: 5,
    pivot: yes, holds: leaf}"""


def test_leaves_over_a_place_are_turned_aside_and_back_the_last_first() -> None:
    """The leaf's page hangs out over the wing; closed it lies from 15 to 55 of the back, and the
    flap on it from 0 to 50.  The tag from 30 to 38 goes under both."""
    work = card("attach: leaf", "close: leaf", "close: card.flap", "attach: tag", more=LEAF)
    assert work.problems == ()
    (placing,) = (m.motion for m in work.moments_of(5) if isinstance(m.motion, Placing))
    assert angles(placing.before) == {}
    after = work.opened
    assert angles(after) == {"page": 180, "flap": 180}
    assert after.is_above(key("card", "back"), key("tag")) is True
    assert after.is_above(key("tag"), key("card", "flap")) is True
    # Turning them aside for it and back is no motion of the work.
    assert [type(m.motion) for m in work.moments_of(5)] == [Placing]
    # All are turned still: opened again they lie flat.
    again = card(
        "attach: leaf", "close: leaf", "close: card.flap", "attach: tag", "open: 'leaf, card'",
        more=LEAF,
    )  # fmt: skip
    assert again.problems == () and angles(again.opened) == {}
    assert turns(again, 6) == ["flap", "page"]


def test_what_goes_on_the_other_side_turns_no_leaf_aside() -> None:
    more = "  tag: {as: tag, from: grey, size: 8 x 8, on_back: card.back, left: 6, bottom: 30}"
    work = card("close: card.flap", "attach: tag", more=more)
    (placing,) = (m.motion for m in work.moments_of(3) if isinstance(m.motion, Placing))
    assert angles(placing.before) == {"flap": 180}
    assert work.opened.is_above(key("card", "back"), key("tag")) is False


def test_what_a_latch_holds_is_not_turned_aside() -> None:
    """The latch from 5 to 25 of the back laps over the closed leaf, which begins at 15: what comes
    after that lies on the leaf, and not under it."""
    work = card(
        "attach: 'leaf, latch', fasten: brad", "close: leaf", "attach: tag", more=LEAF + LATCH
    )
    assert work.problems == ()
    assert [type(m.motion) for m in work.moments_of(3)] == [Swing, Turn, Swing]
    assert work.opened.is_above(key("leaf", "page"), key("latch")) is True
    assert work.opened.is_above(key("leaf", "page"), key("tag")) is True
    assert angles(work.opened) == {"page": 180}


# ---- what is glued


def demands(work: Work, piece: str, section: str) -> list[tuple[int, float, int]]:
    """Of each demand of a section that closes: its side, its area in mm², and its strips."""
    part = work.parts.pieces[piece]
    found = []
    for demand in closing_demands(work.parts, part, section):
        assert demand.adhesive.face == FaceKey(piece, section)
        boxes = [region.bounds for region in demand.adhesive.spread]
        area = sum((b.right - b.left) * (b.top - b.bottom) for b in boxes)
        found.append((demand.adhesive.side, float(area) / work.scale**2, len(boxes)))
    return found


def test_what_is_closed_right_over_is_glued_on_its_inner_side() -> None:
    """A valley on its front, a mountain on its back; not what stands, or is said to be dry."""
    for seams, wanted in (
        ("", [(1, 50 * 80, 1)]),
        (DRY, []),
        ("seams: {wing: none}", [(1, 4000, 1)]),
    ):
        assert demands(card(seams=seams), "card", "flap") == wanted
    behind = CARD.replace("wing: 55", "wing: {size: 55, fold: mountain}")
    work = played(behind.replace("SEAMS", "").replace("MORE", "").replace("STEPS", ""))
    assert demands(work, "card", "wing") == [(-1, 55 * 80, 1)]
    assert demands(work, "card", "flap") == [(1, 50 * 80, 1)]
    standing = CARD.replace("wing: 55", "wing: {size: 55, closed: 90}")
    work = played(standing.replace("SEAMS", "").replace("MORE", "").replace("STEPS", ""))
    assert demands(work, "card", "wing") == []
    # What the piece lies by hangs on nothing, and there is no such section.
    assert demands(work, "card", "back") == demands(work, "card", "none") == []


@pytest.mark.parametrize(
    ("seams", "strips"),
    [
        # From 10 beside the fold on, 40 are left of the flap; strips are as wide as the tape, 5.
        ("{top: 10}", [(0, 75, 40, 80)]),
        ("{bottom: 0}", [(0, 0, 50, 5)]),
        ("{left: 0}", [(0, 0, 5, 80)]),
    ],
)
def test_a_seam_is_a_strip_of_tape_along_its_edge(
    seams: str, strips: list[tuple[int, ...]]
) -> None:
    work = card(seams=f"seams: {{wing: none, flap: {seams}}}")
    part = work.parts.pieces["card"]
    (demand,) = closing_demands(work.parts, part, "flap")
    found = [tuple(mm(work, end) for end in region.bounds) for region in demand.adhesive.spread]
    assert found == strips
    assert demand.adhesive.side == 1 and demand.targets == () and demand.joins == "card"
    # Mirrored: of the wing, which begins at 110, the same from its other side.
    work = card(seams=f"seams: {{flap: none, wing: {seams.replace('left', 'right')}}}")
    (demand,) = closing_demands(work.parts, work.parts.pieces["card"], "wing")
    wing = {
        (0, 75, 40, 80): (120, 75, 165, 80),
        (0, 0, 50, 5): (110, 0, 165, 5),
        (0, 0, 5, 80): (160, 0, 165, 80),
    }
    found = [tuple(mm(work, end) for end in region.bounds) for region in demand.adhesive.spread]
    assert found == [wing[strip] for strip in strips]  # type: ignore[index]


def test_tabs_are_glued_on_their_outer_side_all_over() -> None:
    text = WALLED.replace("NAMES", "tray.left").replace("LEFT", "30")
    work = played(text)
    (found,) = demands(work, "tray", "left_top_tab")
    assert found[0] == -1 and found[2] == 1
    over = played(text.replace("taper: 2}", "taper: 2, closed: 180}"))
    (found,) = demands(over, "tray", "left_top_tab")
    assert found[0] == 1


def test_what_a_join_glues_is_not_glued_by_closing() -> None:
    near = played(
        JOINED.replace("HOST", "label").replace("LEFT", "30").replace("closed: 90", "closed: 180")
    )
    assert demands(near, "strip", "wall") == []
    part = near.parts.pieces["strip"]
    (demand,) = further_demands(near.parts)
    assert demand.targets == (key("label"),) and demand.joins == "strip"
    assert (demand.adhesive.face, demand.adhesive.side) == (key("strip", "wall"), -1)
    assert demand.adhesive.spread == (part.regions[key("strip", "wall")],)


def test_what_a_piece_is_laid_down_with() -> None:
    """All over but where it is kept off; in strips; or with nothing."""
    text = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  whole: {as: tag, from: grey, size: 30 x 20, on: card, left: 1, keep_off: {left: 4, top: 3}}
  strips: {as: tag, from: grey, size: 30 x 20, behind: card, left: 1, glue: 'left, top'}
  bare: {as: tag, from: grey, size: 30 x 20, on: card, left: 60, glue: none}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: 'whole, strips, bare'}
"""
    work = played(text)

    def laid(name: str) -> list[tuple[int, list[object], list[object]]]:
        found = placement_demands(work.parts, work.parts.pieces[name])
        return [
            (
                demand.adhesive.side,
                [tuple(mm(work, end) for end in r.bounds) for r in demand.adhesive.spread],
                [tuple(mm(work, end) for end in r.bounds) for r in demand.adhesive.dry],
            )
            for demand in found
        ]

    assert laid("card") == laid("bare") == []
    ((side, spread, dry),) = laid("whole")
    assert (side, spread) == (-1, [(0, 0, 30, 20)])
    assert sorted(dry) == [(0, 0, 4, 20), (0, 17, 30, 20)]  # type: ignore[type-var]
    assert laid("strips") == [(1, [(0, 0, 5, 20), (0, 15, 30, 20)], [])]
    bonds = {m.fresh[0]: {bond.kind for bond in m.bonds} for m in work.moments if m.fresh}
    assert bonds == {"whole": {"glue"}, "strips": {"glue"}, "bare": {"rest"}}
    assert not work.glues(1, "attach") and work.glues(2, "attach")


# ---- further joins


def bridge(join: str, *steps: str) -> Work:
    """A strip of foot, wall, deck and far foot on a card: a bridge of 30 by 20.

    Flat its far foot lies from 85 to 95, beyond the card of 60.
    """
    lines = "\n".join(f"  - {{title: T, text: Do., {step}}}" for step in steps)
    return played(
        f"""
pieces:
  card: {{as: panel, from: grey, size: 60 x 60}}
  strip:
    as: strip
    from: grey
    across:
      foot: 10
      wall: {{size: 20, closed: 90}}
      deck: {{size: 30, closed: 90, fold: mountain}}
      side: {{size: 20, closed: 90, fold: mountain}}
      end: {{size: 10, closed: 90}}
    height: 40
    on: card
    by: foot
    left: 5
    joins: {{{join}}}
steps:
  - {{title: Cut, text: Cut., cut: all, score: strip, fold: strip}}
{lines}
"""
    )


def test_what_a_join_needs_is_folded_as_soon_as_the_piece_is_placed() -> None:
    """Its far foot comes down at 5 + 10 + 30, on the card; no step names its folds."""
    work = bridge("end: {on: card}", "attach: strip")
    assert work.problems == ()
    kinds = [type(m.motion) for m in work.moments_of(2)]
    assert kinds[0] is Placing and set(kinds[1:-1]) == {Turn} and kinds[-1] is type(None)
    assert set(turns(work)) == {"wall", "deck", "side", "end"}
    end = work.opened.plates[key("strip", "end")]
    assert [mm(work, x) for x in end.extent(0)] == [45, 55] and end.plane == 0
    assert [(str(b.first), str(b.second)) for b in work.moments_of(2)[-1].bonds] == [
        ("strip.end", "card.face")
    ]
    assert work.opened.is_locked(FoldKey("strip", "deck"))
    # Where a later step closes them by name they wait for that.
    later = bridge("end: {on: card}", "attach: strip", "close: strip")
    assert later.problems == ()
    assert turns(later, 2) == [] and set(turns(later, 3)) == {"wall", "deck", "side", "end"}
    # And where this one does.
    same = bridge("end: {on: card}", "attach: strip, close: strip")
    assert same.problems == ()
    assert [type(m.motion) for m in same.moments_of(2)][:2] == [Placing, Turn]


def test_a_join_of_a_piece_to_itself_waits_for_its_folds() -> None:
    """Its deck is glued on its own far foot, which no step has folded: it is never joined."""
    work = bridge("end: {on: strip.foot}", "attach: strip")
    assert turns(work) == []
    assert troubles(work) == {(Trouble.NEVER_JOINED, 0, "strip.end", "strip.foot")}


def test_a_join_that_a_step_closes_beside_its_host_is_told() -> None:
    """The wall comes to lie from 20 to 40, the label from 60 on."""
    text = JOINED.replace("HOST", "label").replace("LEFT", "60")
    missed = played(
        text.replace("close: all", "close: strip.wall").replace("closed: 90", "closed: 180")
    )
    assert troubles(missed) == {
        (Trouble.JOIN_MISSES, 3, "strip.wall", "label.face"),
        (Trouble.NEVER_JOINED, 0, "strip.wall", "label.face"),
    }


def test_only_the_folds_between_a_join_and_what_is_laid_down_are_closed() -> None:
    """The tail hangs on the far foot, which is joined: it is left as it is."""
    text = """
pieces:
  card: {as: panel, from: grey, size: 60 x 60}
  strip:
    as: strip
    from: grey
    across:
      foot: 10
      wall: {size: 20, closed: 90}
      deck: {size: 30, closed: 90, fold: mountain}
      side: {size: 20, closed: 90, fold: mountain}
      end: {size: 10, closed: 90}
      tail: {size: 8, closed: 90}
    height: 40
    on: card
    by: foot
    left: 5
    joins: {end: {on: card}}
steps:
  - {title: Cut, text: Cut., cut: all, score: strip, fold: strip}
  - {title: Glue, text: Glue., attach: strip}
"""
    work = played(text)
    assert work.problems == ()
    assert set(turns(work)) == {"wall", "deck", "side", "end"}
    assert "tail" in {f.hanging for f in work.opened.creases} and "tail" not in angles(work.opened)
    assert angles(work.closed)["tail"] == 90


# ---- in which order fastenings are set


def test_fastenings_of_one_pattern_go_by_the_first_piece_they_go_through() -> None:
    """The large mat ranks before the small one, whatever else a brad goes through."""
    text = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  large: {as: mat, from: grey, size: 80 x 80, on: card, glue: none}
  small: {as: mat, from: grey, size: 60 x 60, on: large, glue: none}
fastenings:
  a: {name: A, kind: brad, head: 6 mm, leg: 8 mm, through: 'small, card', left: 10, bottom: 10}
  b: {name: B, kind: brad, head: 6 mm, leg: 8 mm, through: 'card, small', left: 80, bottom: 30}
  c: {name: C, kind: brad, head: 6 mm, leg: 8 mm, through: 'large, card', left: 40, bottom: 10}
  tie: {name: Tie, kind: ribbon tie, ribbon: satin, length: 200, allowance: 10, round: card}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Pin, text: Pin., attach: 'large, small', fasten: all}
"""
    work = played(text)
    assert [m.bonds[0].joins for m in work.moments if m.operation == "fasten" and m.bonds] == [
        "b", "c", "a"
    ]  # fmt: skip
    kinds = [type(m.motion) for m in work.moments_of(2) if m.operation == "fasten"]
    assert kinds[-1] is Tie


# ---- what is there at each moment


THREE = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  other: {as: panel, from: grey, size: 90 x 90}
  last: {as: panel, from: grey, size: 30 x 30}
  tag: {as: tag, from: grey, size: 20 x 20, on: card, left: 5}
  label: {as: tag, from: grey, size: 10 x 10, on: other, left: 5}
  pin: {as: tag, from: grey, size: 5 x 5, on: label, left: 1}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: A, text: Glue., attach: tag}
  - {title: B, text: Glue., attach: label}
  - {title: C, text: Glue., attach: 'tag, pin'}
"""


def test_each_moment_has_what_is_worked_on_and_all_else_beside_it() -> None:
    work = played(THREE)
    assert work.problems == ()
    # What is glued already is not glued again.
    assert [(m.step, m.operation, m.fresh) for m in work.moments] == [
        (2, "attach", ("tag",)), (3, "attach", ("label",)), (4, "attach", ("pin",))
    ]  # fmt: skip
    seen = [
        (set(m.assembly.pieces), {frozenset(each.pieces) for each in m.others})
        for m in work.moments
    ]
    alone = {frozenset({name}) for name in ("other", "last", "label", "pin")}
    assert seen[0] == ({"card", "tag"}, alone)
    card, both = frozenset({"card", "tag"}), frozenset({"other", "label"})
    assert seen[1] == (set(both), {card, frozenset({"last"}), frozenset({"pin"})})
    assert seen[2] == ({*both, "pin"}, {card, frozenset({"last"})})
    # The work is that of most pieces; of as many, that whose base is larger.
    assert set(work.closed.pieces) == {"other", "label", "pin"} == set(work.opened.pieces)
    fewer = THREE.replace("attach: 'tag, pin'", "dry_fit: pin").replace(
        "  pin: {as: tag, from: grey, size: 5 x 5, on: label, left: 1}",
        "  pin: {as: tag, from: grey, size: 5 x 5}",
    )
    assert set(played(fewer).closed.pieces) == {"card", "tag"}
    assert len(work.assemblies) == 3


def test_what_came_first_closes_first_and_what_is_told_is_told_once() -> None:
    """Two strips of one size: the right one is glued a step before the left one."""
    text = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  a: {as: strip, from: grey, across: {foot: 10, wall: {size: 20, closed: 90}}, height: 20, on: card,
    by: foot, left: 10}
  b: {as: strip, from: grey, across: {foot: 10, wall: {size: 20, closed: 90}}, height: 20, on: card,
    by: foot, left: 60}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: A, text: Glue., attach: FIRST}
  - {title: B, text: Glue., attach: SECOND}
  - {title: C, text: Close., close: all}
"""

    def order(first: str, second: str) -> list[str]:
        work = played(text.replace("FIRST", first).replace("SECOND", second))
        assert work.problems == ()
        return [m.motion.fold.piece for m in work.moments if isinstance(m.motion, Turn)]

    assert order("b", "a") == ["b", "a"]
    assert order("a", "b") == ["a", "b"]
    # Together the left one goes first.
    assert order("'b, a'", "a") == ["a", "b"]


def test_a_piece_without_a_place_is_noted_when_it_is_attached() -> None:
    work = played(
        """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  tag: {as: tag, from: grey, size: 10 x 10, on: card, left: 5}
steps:
  - {title: A, text: Take., attach: card}
  - {title: B, text: Glue., attach: tag}
"""
    )
    assert [(m.step, m.fresh, type(m.motion)) for m in work.moments] == [
        (1, ("card",), type(None)), (2, ("tag",), Placing)
    ]  # fmt: skip
    placing = work.moments[1].motion
    assert isinstance(placing, Placing)
    assert (placing.piece, placing.host, placing.is_glued) == ("tag", key("card"), True)
    assert placing.before.pieces == ("card",)
    # What is glued is laid where it goes, along no way.
    assert (placing.put.way, placing.put.out) == (Way.LAID, (0, 0, 0))


def test_what_no_step_speaks_of_is_there_in_the_end() -> None:
    work = played(
        """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  other: {as: panel, from: grey, size: 90 x 90}
steps:
  - {title: A, text: Take., cut: card}
"""
    )
    assert [each.pieces for each in work.assemblies] == [("card",), ("other",)]
    assert work.moments == () and work.closed.pieces == work.opened.pieces == ("card",)


def test_what_stops_a_closing_is_told_and_the_work_is_closed_all_the_same() -> None:
    """The design wants the flap closed before a block that stands under it is folded down."""
    text = """
pieces:
  card:
    as: panel
    from: grey
    closed: 180
    across: {flap: 50, back: 60, wing: 5}
    height: 80
    seams: {flap: none, wing: none}
  block: {as: strip, from: grey, across: {foot: 10, wall: {size: 8, closed: 90}}, height: 20,
    on: card.back, by: foot, left: 10}
closing: [block, card.flap]
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: A, text: Glue., attach: block}
  - {title: C, text: Close., close: all}
"""
    work = played(text)
    assert {(p.trouble, p.part, p.other) for p in work.problems} == {
        (Trouble.CANNOT_TURN, "card.flap", "block.wall")
    }
    assert turns(work) == ["wing", "wall", "flap"]
    assert angles(work.closed) == {"wing": 180, "wall": 90, "flap": 180}
    sound = played(
        text.replace("closing: [block, card.flap]", "closing: [card.flap]").replace(
            "closed: 90", "closed: 0"
        )
    )
    assert sound.problems == ()


def test_what_is_too_wide_is_put_in_its_place_all_the_same_and_told() -> None:
    """A slip of 52 between strips of tape 50 apart: it lies behind the pocket nevertheless."""
    work = played(POCKET.replace("WIDTH", "52"))
    at = (Fraction(50 * work.scale), Fraction(20 * work.scale))
    assert "slip" in [face.piece for face in work.closed.stack_at(2, 0, at)]
    placing = work.moments[-1].motion
    assert isinstance(placing, Placing) and placing.put.way is Way.SLID
    assert placing.put.out == (0, 0, 0)
    assert [bond.kind for bond in work.moments[-1].bonds] == ["rest"]


def test_what_is_closed_for_good_by_which_step() -> None:
    """A flap that is glued down, and the walls of a tray that its tabs hold; tabs go with those."""
    flap = card("close: card.flap", "close: card.wing", seams="seams: {wing: none}")
    assert [(str(s.fold), s.step, s.operation) for s in flap.shut] == [("card.flap", 2, "close")]
    assert flap.glues(2, "close") and not flap.glues(3, "close")
    walls = "tray.left, tray.right, tray.front, tray.back"
    tray = played(WALLED.replace("NAMES", walls).replace("LEFT", "30"))
    shut = {(s.fold.hanging, s.step, s.operation) for s in tray.shut}
    assert shut == {(name, 3, "close") for name in ("left", "right", "front", "back")}
    assert card("close: all").shut == ()


def test_what_no_step_places_comes_with_all_that_is_glued_on_it() -> None:
    """The label is glued on the tag; no step glues the tag on the card, which is closed by then."""
    more = (
        "  tag: {as: tag, from: grey, size: 20 x 20, on: card.back}\n"
        "  label: {as: tag, from: grey, size: 9 x 9, on: tag}"
    )
    work = card("attach: label", "close: all", more=more)
    for assembly in (work.opened, work.closed):
        assert set(assembly.pieces) == {"card", "tag", "label"}
        assert assembly.is_above(key("tag"), key("label")) is True
        assert assembly.is_above(key("card", "back"), key("label")) is True
    assert angles(work.opened) == {} and len(work.assemblies) == 1


WINGED = """
pieces:
  card: {as: panel, from: grey, up: {base: 70, wing: {size: 20, closed: WING}}, width: 100,
    seams: {wing: none}}
  hinge:
    as: hinge
    from: grey
    across: {low: 10, gusset: 4, high: 10}
    height: 70
    on: card.base
    by: low
    right: 0
    bottom: 0
  flap: {as: flap, from: grey, size: 60 x 70, behind: hinge.high, left: 0, bottom: 0}
  latch: {as: tab, from: grey, size: LENGTH x 12, on: card.base, left: 5, bottom: 34, glue: none}
fastenings:
  brad: {name: Brad, kind: brad, head: 6 mm, leg: 8 mm, through: 'latch, card', left: 6, pivot: yes,
    holds: flap}
closing: [hinge.gusset, card.wing, hinge.high]
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Set, text: Set., attach: 'hinge, flap, latch', fasten: brad}
  - {title: Close, text: Close., close: all}
"""


def test_a_latch_that_lies_over_another_fold_when_it_is_turned_aside_stops_that() -> None:
    """Upright about (11, 40) a latch of 40 reaches to 74, over the fold of the wing at 70: what
    comes after that is left as it is."""
    work = played(WINGED.replace("LENGTH", "40").replace("WING", "180"))
    assert {(p.trouble, p.part, p.other) for p in work.problems if p.step == 3} == {
        (Trouble.CANNOT_TURN, "card.wing", "latch.face")
    }
    assert [type(m.motion) for m in work.moments_of(3)] == [Swing, Turn]
    assert turns(work, 3) == ["gusset"]
    # One of 35 ends at 69, and laps over no flap, which begins at 40.
    short = played(WINGED.replace("LENGTH", "35").replace("WING", "90"))
    assert troubles(short) == {(Trouble.HOLDS_NOTHING, 3, "brad", "flap")}
    assert turns(short, 3) == ["gusset", "wing", "high"]
    # Where the wing comes last it closes all the same.
    text = WINGED.replace("card.wing, hinge.high]", "hinge.high, card.wing]")
    last = played(text.replace("LENGTH", "35").replace("WING", "90"))
    assert troubles(last) == {(Trouble.HOLDS_NOTHING, 3, "brad", "flap")}
    assert turns(last, 3) == ["gusset", "high", "wing"]
    assert angles(last.closed) == {"gusset": 90, "high": 90, "wing": 90}


def test_a_leaf_that_cannot_be_turned_back_stays_open_and_is_told() -> None:
    """What is put under the wing stands up by then: a wall of 20 at 20 from the fold."""
    more = standing("block", "on: card.back", 30)
    work = card("close: block", "close: card.wing", "attach: block", more=more)
    assert (Trouble.CANNOT_TURN, 4, "card.wing", "block.wall") in troubles(work)
    assert angles(work.opened) == {"wall": 90}
    # What is turned meanwhile elsewhere, that block itself, changes nothing.
    later = card("close: card.wing", "close: block", "attach: block", more=more)
    assert (Trouble.CANNOT_TURN, 4, "card.wing", "block.wall") in troubles(later)
    assert angles(later.opened) == {"wall": 90}
    # As long as it lies flat it goes under the wing.
    flat = card("close: card.wing", "attach: block", more=more)
    assert {each[1] for each in troubles(flat)} <= {0}
    assert angles(flat.opened) == {"wing": 180}


def test_nothing_is_closed_where_nothing_is_there_yet() -> None:
    work = played(
        """
pieces:
  card: {as: panel, from: grey, closed: 180, across: {flap: 50, back: 60}, height: 80,
    seams: {flap: none}}
steps:
  - {title: Close, text: Close., close: all}
  - {title: Cut, text: Cut., cut: card}
"""
    )
    assert work.problems == work.moments == ()
    assert work.opened.pieces == work.closed.pieces == ("card",)
    assert angles(work.opened) == {} and set(angles(work.closed).values()) == {180}


def test_a_seam_along_the_edge_of_a_high_narrow_flap_lies_on_the_flap() -> None:
    """The wing reaches from 40 to 55 and is 200 high."""
    text = CARD.replace("flap: 50, back: 60, wing: 55", "flap: 10, back: 30, wing: 15")
    text = text.replace("height: 80", "height: 200").replace("MORE", "").replace("STEPS", "")
    work = played(text.replace("SEAMS", "seams: {flap: none, wing: {right: 0}}"))
    (demand,) = closing_demands(work.parts, work.parts.pieces["card"], "wing")
    (strip,) = demand.adhesive.spread
    assert [mm(work, end) for end in strip.bounds] == [50, 0, 55, 200]
