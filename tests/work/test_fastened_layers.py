"""Fastenings among layers: what they go through, what they pass, how far their ends reach.

Sources: small designs whose sizes are worked out beside each check.  Lengths are mm.
"""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from gatherfold.geometry.outline import Box
from gatherfold.work import Work, pierced, work_of
from gatherfold.work.assembly import Assembly, Bond
from gatherfold.work.finished import swings_of
from gatherfold.work.layers import InTheWay, Layers
from gatherfold.work.piercing import (
    Stack,
    faces_of,
    meet,
    pierce,
    set_in,
    setting_of,
    stack_in,
    unfolded_at,
)
from gatherfold.work.play import play
from gatherfold.work.space import SpaceLine, quarter_turn, shifted_by
from gatherfold.work.turning import (
    Pivot,
    Swing,
    pivots_in,
    swung_aside,
    swung_back,
    swung_over,
)
from tests.work.small_designs import FLAPS, LATCH, key, latched, mm, played, resolved

# ---- a stack by itself


def stack(layers: str, through: str, is_high: bool = True) -> Stack:
    """Faces by one letter each, from the negative side on; a figure after it is another face."""
    return Stack(
        tuple(key(*name) for name in layers.split()),
        tuple(key(*name) for name in through.split()),
        is_high,
    )


def pieces(faces: object) -> str:
    assert isinstance(faces, tuple)
    return " ".join(face.piece for face in faces)


@pytest.mark.parametrize(
    ("layers", "through", "is_high", "between", "outside", "beyond"),
    [
        ("a b c d e", "d b", True, "c", "a e", "a"),
        ("a b c d e", "b d", False, "c", "a e", "e"),
        ("a b c d e f g", "e c", True, "d", "a b f g", "a b"),
        ("a b c d e f g", "c e", False, "d", "a b f g", "f g"),
        ("a b c d e", "e a", True, "b c d", "", ""),
        ("a b c d e", "a e", False, "b c d", "", ""),
        ("a b c d e", "d c b", True, "", "a e", "a"),
        ("a b c d e", "b c d", False, "", "a e", "e"),
        # One alone passes nothing.
        ("a b c", "b", True, "", "a c", "a"),
        ("a b c", "b", False, "", "a c", "c"),
        # The last that it names need not be the outermost.
        ("a b c d e", "e a c", True, "b d", "", "b"),
        ("a b c d e", "a e c", False, "b d", "", "d"),
    ],
)
def test_what_lies_between_outside_and_beyond(
    layers: str, through: str, is_high: bool, between: str, outside: str, beyond: str
) -> None:
    found = stack(layers, through, is_high)
    assert pieces(found.between) == between
    assert pieces(found.outside) == outside
    assert pieces(found.beyond_last) == beyond
    assert found.places == tuple(layers.split().index(name) for name in through.split())


def test_other_faces_of_what_it_goes_through_are_not_passed() -> None:
    """A piece folded round a card: it is gone through once."""
    found = Stack(
        (key("a", "one"), key("b"), key("a", "two"), key("c")), (key("a", "two"), key("b")), True
    )
    assert (found.between, pieces(found.outside)) == ((), "c")
    assert found.beyond_last == ()


# ---- layers that come and go


PINNED = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  backing: {as: panel, from: grey, size: 60 x 60, on_back: card, left: 20, bottom: 20}
  top: {as: panel, from: grey, size: 100 x 100, on: card, glue: none HOLE}
  over: {as: tag, from: grey, size: 40 x 40, on: top, left: 0, bottom: 0, keep_off: {left: 3}}
fastenings:
  first: {name: A, kind: brad, head: 6 mm, leg: LEG, through: 'THROUGH', left: 20, bottom: 30}
  second: {name: B, kind: eyelet, head: 5 mm, through: 'top, card', left: 70, bottom: 70}
  pair: {name: C, kind: magnet pair, head: 8 mm, through: 'top, card', left: 50, bottom: 20}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Pin, text: Pin., attach: 'backing, top', fasten: 'first, second, pair'}
  - {title: Cover, text: Cover., attach: over}
"""


def pinned(through: str = "top, card", hole: str = "", leg: str = "8 mm") -> Work:
    text = PINNED.replace("THROUGH", through).replace("LEG", leg)
    return work_of(pierced(resolved(text.replace(" HOLE", hole))))


def test_the_layers_of_a_fastening_when_it_is_set_and_later() -> None:
    """At (20, 30) of the card: its backing from 20 to 80 begins there, seen from behind."""
    work = pinned()
    then = stack_in(work, setting_of(work, "first"), "first")
    assert then is not None and [face.piece for face in then.layers] == ["card", "top"]
    later = stack_in(work, work.opened, "first")
    assert later is not None and [face.piece for face in later.layers] == ["card", "top", "over"]
    assert (later.head_is_high, pieces(later.through)) == (True, "top card")
    assert (pieces(later.outside), later.beyond_last) == ("over", ())
    # At (70, 70) lies the backing too.
    other = stack_in(work, work.opened, "second")
    assert other is not None
    assert [face.piece for face in other.layers] == ["backing", "card", "top"]
    assert pieces(other.beyond_last) == "backing"
    # Magnets meet and go through nothing.
    assert stack_in(work, work.opened, "pair") is None


def test_a_head_behind_the_work_lies_on_its_low_side() -> None:
    work = pinned("card, top")
    found = stack_in(work, work.opened, "first")
    assert found is not None and not found.head_is_high
    assert pieces(found.beyond_last) == "over"
    # Turned over as a whole, the same head is on the high side.
    half = quarter_turn(SpaceLine(1, (0, 0)), 1)
    over = stack_in(work, work.opened.all_moved(half.then(half)), "first")
    assert over is not None and over.head_is_high
    assert [face.piece for face in over.layers] == ["over", "top", "card"]


@pytest.mark.parametrize(("through", "is_high"), [("card", True), ("backing", False)])
def test_the_head_of_what_goes_through_one_piece_is_before_its_front(
    through: str, is_high: bool
) -> None:
    """A tag on the back looks away."""
    work = pinned(through)
    found = stack_in(work, work.opened, "first")
    assert found is not None
    assert (pieces(found.through), found.head_is_high) == (through, is_high)


def test_what_is_to_be_gone_through_and_comes_later() -> None:
    """When the brad is set the cover is not there; in the finished work it lies at the place."""
    work = pinned("top, card, over")
    assert [face.piece for face in work.pierced["first"]] == ["top", "card"]
    assert [face.piece for face in faces_of(work, work.opened, "first")] == ["top", "card", "over"]
    then = setting_of(work, "first")
    assert [face.piece for face in faces_of(work, then, "first")] == ["top", "card"]
    # It goes through what is there: a part alone has no first piece.
    alone = Assembly(key("card"), {key("card"): work.opened.plates[key("card")]}, {})
    assert faces_of(work, alone, "second") == (key("card"),)
    assert stack_in(work, alone, "second") is None
    none = Assembly(key("over"), {key("over"): work.opened.plates[key("over")]}, {})
    assert faces_of(work, none, "second") == ()
    assert stack_in(work, none, "second") is None


@pytest.mark.parametrize(
    ("left", "is_paper"),
    [(14, True), (15, True), (16, False), (20, False), (24, False), (25, True)],
)
def test_paper_with_a_punched_hole_is_none_within_the_hole(left: int, is_paper: bool) -> None:
    """A hole of 10 about ``left`` at the height of the brad, which goes through at 20."""
    hole = f", hole: [{{diameter: 10, left: {left}, bottom: 30}}]"
    work = pinned("over, card", hole)
    found = stack_in(work, work.opened, "first")
    assert found is not None
    assert ("top" in [face.piece for face in found.layers]) is is_paper


# ---- piercing


def test_each_fastening_is_set_in_its_own_moment() -> None:
    work = pinned()
    for name, there in (("first", {"first"}), ("second", {"first", "second"})):
        assembly, faces = set_in(work, name)
        assert {bond.joins for bond in assembly.bonds if bond.kind == "pin"} == there
        assert [face.piece for face in faces] == ["top", "card"]
    # Magnets are set in the work at rest, each on its own face.
    assembly, faces = set_in(work, "pair")
    assert assembly is work.opened and [face.piece for face in faces] == ["top", "card"]


def test_the_hole_of_a_brad_is_that_of_its_kind_and_of_an_eyelet_its_own() -> None:
    """An eighth of an inch on a grid of whole millimetres; the eyelet's is as wide as it is."""
    holes = {h.fastening: (h.diameter, h.centre) for h in piece_of(pinned(), "card").holes}
    assert {name: int(diameter) for name, (diameter, _) in holes.items()} == {
        "first": 3, "second": 5
    }  # fmt: skip
    assert [(int(c.x), int(c.y)) for _, c in holes.values()] == [(20, 30), (70, 70)]


def piece_of(work: Work, name: str):  # type: ignore[no-untyped-def]
    return pierced(work.parts.resolved).pieces[name]


def test_three_pieces_are_held_to_the_second_of_them() -> None:
    work = pinned("top, card, backing")
    (made,) = (m.bonds for m in work.moments if any(b.joins == "first" for b in m.bonds))
    assert [(b.first.piece, b.second.piece, b.kind) for b in made] == [
        ("top", "card", "pin"), ("card", "backing", "pin")
    ]  # fmt: skip


def unfolded(work: Work, *names: str) -> set[str]:
    fastenings = work.parts.resolved.fastenings
    return set(unfolded_at(work.parts, [fastenings[name] for name in names]))


def test_what_lies_at_the_places_of_fastenings() -> None:
    """At (20, 30) the backing begins and the cover lies, from 0 to 40; at (70, 70) the backing."""
    work = pinned()
    assert unfolded(work, "first") == {"top", "card", "backing", "over"}
    assert unfolded(work, "second") == {"top", "card", "backing"}
    assert unfolded(work, "first", "second") == {"top", "card", "backing", "over"}
    assert unfolded(work) == set()
    # A magnet at (50, 20), which lies on them, is beside the cover.
    assert unfolded(work, "pair") == {"top", "card", "backing"}
    # Whatever else lies there: what it goes through it goes through.
    assert unfolded(pinned("backing, over"), "first") == {"top", "card", "backing", "over"}
    aside = PINNED.replace("THROUGH", "top, card, aside").replace("LEG", "8 mm")
    aside = aside.replace(" HOLE", "").replace(
        "  over:",
        "  aside: {as: tag, from: grey, size: 9 x 9, on: card, left: 80, bottom: 5}\n  over:",
    )
    assert unfolded(play(resolved(aside)), "first") == {"top", "card", "aside", "backing", "over"}
    # A ribbon that goes through nothing has no place.
    assert unfolded(latched(), "tie") == set()
    assert unfolded(latched(), "tie", "brad") == {"latch", "card"}


def test_what_lies_on_something_lies_where_that_does() -> None:
    """The pin from 10 to 15 of the label, which begins at 50 of the card, is named before both."""
    text = """
pieces:
  pin: {as: tag, from: grey, size: 5 x 5, on: label, left: 10, bottom: 10}
  label: {as: tag, from: grey, size: 40 x 40, on: card, left: 50, bottom: 20}
  card: {as: panel, from: grey, size: 100 x 100}
fastenings:
  a: {name: A, kind: brad, head: 6 mm, leg: 8 mm, through: card, left: 62, bottom: 32}
  b: {name: B, kind: brad, head: 6 mm, leg: 8 mm, through: card, left: 12, bottom: 12}
  c: {name: C, kind: brad, head: 6 mm, leg: 8 mm, through: pin, left: 2, bottom: 2}
  d: {name: D, kind: brad, head: 6 mm, leg: 8 mm, through: label, left: 30, bottom: 30}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: 'label, pin'}
"""
    work = played(text)
    assert unfolded(work, "a") == unfolded(work, "c") == {"card", "label", "pin"}
    assert unfolded(work, "b") == {"card"}
    assert unfolded(work, "d") == {"card", "label"}


@pytest.mark.parametrize(
    ("left", "found"),
    [
        # On the flap, from 0 to 50, lies the tag from 20 to 40; closed it lies from 60 to 80.
        (30, {"card", "tag"}),
        (10, {"card"}),
        (70, {"card"}),
    ],
)
def test_a_fold_that_closes_later_has_nothing_under_it_yet(left: int, found: set[str]) -> None:
    pin = (
        "fastenings:\n  pin: {name: P, kind: brad, head: 6 mm, leg: 8 mm, through: card, "
        f"left: {left}, bottom: 40}}\nclosing:"
    )
    text = FLAPS.replace("PLACE", "on: card.flap, left: 20, bottom: 30")
    work = played(text.replace("TAG", "attach: tag").replace("closing:", pin))
    assert work.problems == ()
    assert work.closed.is_above(key("card", "back"), key("tag")) is True
    assert unfolded(work, "pin") == found


def test_what_lies_in_another_plane_is_not_pierced() -> None:
    """Raised by 4 the top is not met, but a magnet meets it straight across."""
    text = PINNED.replace("THROUGH", "card, top").replace("LEG", "8 mm").replace(" HOLE", "")
    raised = resolved(text.replace("glue: none", "glue: none, raised: 4"))
    work = play(raised)
    brad, pair = (raised.fastenings[name] for name in ("first", "pair"))
    found = pierce(work.parts, work.opened, brad)
    assert set(found.marks) == {"card"} and found.bonds == ()
    assert [face.piece for face in found.faces] == ["card"]
    marks = meet(work.parts, work.opened, pair)
    assert {name: (int(p.x), int(p.y)) for name, p in marks.items()} == {
        "top": (50, 20), "card": (50, 20)
    }  # fmt: skip


def test_a_magnet_meets_the_nearest_face_of_a_folded_piece() -> None:
    """A strip in three sections round a gap of 6: from the lid, the upper one is nearer."""
    text = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  strip:
    as: strip
    from: grey
    across: {foot: 40, wall: {size: 6, closed: 90}, deck: {size: 30, closed: 90}}
    height: 50
    on: card
    by: foot
    left: 10
    bottom: 10
fastenings:
  pair: {name: C, kind: magnet pair, head: 8 mm, through: 'card, strip', left: 30, bottom: 40}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: strip}
  - {title: Close, text: Close., close: all}
"""
    design = resolved(text)
    work = play(design)
    assert work.problems == ()
    deck = work.closed.plates[key("strip", "deck")]
    assert [mm(work, end) for end in deck.extent(0)] == [20, 50] and mm(work, deck.plane) == 6
    # On the card at (30, 40): of the foot that is (20, 30), of the deck (40 + 6 + 20, 30).
    marks = meet(work.parts, work.closed, design.fastenings["pair"])
    assert {n: (int(p.x), int(p.y)) for n, p in marks.items()} == {
        "card": (30, 40), "strip": (20, 30)
    }  # fmt: skip
    high = replace(work.closed, plates={
        face: plate.moved(quarter_turn(SpaceLine(2, (0, 0)), 1)) if face.face == "foot" else plate
        for face, plate in work.closed.plates.items()
    })  # fmt: skip
    marks = meet(work.parts, high, design.fastenings["pair"])
    assert (int(marks["strip"].x), int(marks["strip"].y)) == (66, 30)


# ---- what is in the way at a level


def fastened(layers: Layers, level: float, own: set[str] = set()) -> dict[str, float]:  # noqa: B006
    """What of fastenings reaches a level, and how far, in mm."""
    faces = {key(name) for name in own}
    met = [each for each in layers.in_the_way(level, faces) if not each.is_glue]
    return {each.name: round(each.reach / layers.work.scale, 3) for each in met}


def area(layers: Layers, met: InTheWay) -> float:
    return met.shape.area / layers.work.scale**2


def ready(work: Work, assembly: Assembly, up: int = 1) -> Layers:
    """The layers of an assembly in the plane of the card, of the design with its holes."""
    return Layers(pierced(work.parts.resolved), work, assembly, key("card"), up)  # type: ignore[arg-type]


@pytest.mark.parametrize("up", [1, -1])
def test_levels_rise_to_the_side_that_is_asked_for(up: int) -> None:
    """The brad's legs of 8 reach behind the card, its head of 6 before the top."""
    work = pinned()
    layers = ready(work, setting_of(work, "first"), up)
    card, top = key("card"), key("top")
    assert (layers.level_of(card) < layers.level_of(top)) is (up == 1)
    low, high = sorted((layers.level_of(card), layers.level_of(top)))
    before, behind = (high + 1, low - 1) if up == 1 else (low - 1, high + 1)
    assert fastened(layers, before)["first"] == 3
    assert fastened(layers, behind)["first"] == 8
    # A hole of 3, an eyelet of 5; of magnets of 8 the layers at their own levels are theirs.
    between = {"first": 1.5, "second": 2.5, "pair": 4}
    assert fastened(layers, (low + high) / 2) == between
    # At the levels of what it goes through it is in the way of all else, but for these two.
    assert fastened(layers, low, {"card"}) == between
    assert fastened(layers, low, {"card", "top"}) == {}


@pytest.mark.parametrize("up", [1, -1])
def test_one_paper_alone_has_the_head_before_it_and_the_legs_behind(up: int) -> None:
    work = pinned("card")
    layers = ready(work, work.opened, up)
    level = layers.level_of(key("card"))
    before, behind = (level + 0.25, level - 0.25) if up == 1 else (level - 0.25, level + 0.25)
    assert fastened(layers, before)["first"] == 3
    assert fastened(layers, behind)["first"] == 8
    assert fastened(layers, level)["first"] == 1.5


def test_the_legs_of_a_brad_open_behind_the_last_piece_that_it_goes_through() -> None:
    """From the card through its backing and the top: they open over the top, its head is below."""
    work = pinned("card, backing, top")
    layers = ready(work, setting_of(work, "first"))
    assert fastened(layers, layers.level_of(key("top")) + 0.25)["first"] == 8
    assert fastened(layers, layers.level_of(key("backing")) - 0.25)["first"] == 3
    # The other way round they open behind the backing.
    work = pinned("top, card, backing")
    layers = ready(work, setting_of(work, "first"))
    assert fastened(layers, layers.level_of(key("top")) + 0.25)["first"] == 3
    assert fastened(layers, layers.level_of(key("backing")) - 0.25)["first"] == 8


def test_a_shaft_is_as_wide_as_the_holes_that_there_are() -> None:
    """What comes after the brad has no hole; those of the top and the card are 3 wide."""
    work = pinned("top, card, over")
    layers = ready(work, work.opened)
    low, high = layers.level_of(key("card")), layers.level_of(key("top"))
    assert fastened(layers, (low + high) / 2)["first"] == 1.5


def test_an_eyelet_reaches_as_far_on_both_sides_and_its_shaft_is_its_hole() -> None:
    """Its rim, of 5, is half that wide about its middle; its backing covers it behind."""
    work = pinned()
    layers = ready(work, work.opened)
    card, top = layers.level_of(key("card")), layers.level_of(key("top"))
    assert fastened(layers, top + 0.25)["second"] == 2.5
    assert fastened(layers, card - 0.25)["second"] == 2.5
    assert fastened(layers, (card + top) / 2)["second"] == 2.5
    # Behind the backing, which lies over all of its rim, nothing of it is felt: but for itself.
    assert "second" not in fastened(layers, layers.level_of(key("backing")) - 1)
    assert fastened(layers, layers.level_of(key("backing")) - 1, {"backing"})["second"] == 2.5
    # Before the cover, from 0 to 40, the brad's head at (20, 30) is covered.
    assert "first" not in fastened(layers, layers.level_of(key("over")) + 1)
    assert "first" in fastened(layers, layers.level_of(key("over")) + 1, {"over"})
    # Behind the card the legs at (20, 30) are half covered: the backing begins at 20.
    (legs,) = (
        each
        for each in layers.in_the_way(layers.level_of(key("backing")) - 1, set())
        if each.name == "first"
    )
    assert area(layers, legs) == pytest.approx(math.pi * 8 * 8 / 2, rel=1e-3)
    # A circle in chords lies within it, by less than a thousandth.
    assert area(layers, legs) < math.pi * 8 * 8 / 2


def test_glue_is_where_it_is_spread_on_both_and_not_kept_off() -> None:
    """The cover of 40 by 40, with 3 along its left edge dry, on the top; its glue holds it."""
    work = pinned()
    layers = ready(work, work.opened)
    over, top = layers.level_of(key("over")), layers.level_of(key("top"))
    (met,) = (m for m in layers.in_the_way((over + top) / 2, set()) if m.name == "over")
    assert met.is_glue and not met.holds
    assert area(layers, met) == pytest.approx(37 * 40)
    (own,) = (m for m in layers.in_the_way(over, {key("over")}) if m.name == "over")
    assert own.holds and area(layers, own) == pytest.approx(37 * 40)
    # Of both together it is in no way, nor at their own levels.
    assert not [m for m in layers.in_the_way(over, {key("over"), key("top")}) if m.name == "over"]
    for level in (over, top, over + 1):
        assert not [m for m in layers.in_the_way(level, set()) if m.name == "over"]


# ---- parts that turn


LATCHED_BEHIND = """
pieces:
  card: {as: panel, from: grey, size: 100 x 80}
  flap: {as: flap, from: grey, size: 60 x 80, on_back: card, left: 0, raised: 4, glue: none}
  latch: {as: tab, from: grey, size: 40 x 12, SIDE: card, left: 55, bottom: 34, glue: none}
  knob: {as: tag, from: grey, size: 8 x 8, on: latch, left: 20, bottom: 2}
fastenings:
  brad: {name: Brad, kind: brad, head: 6 mm, leg: 8 mm, through: 'latch, card', left: 34,
    pivot: yes, holds: flap}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Set, text: Set., attach: 'flap, latch, knob', fasten: brad}
"""


def turning(text: str) -> tuple[Work, Pivot]:
    work = play(resolved(text))
    assert work.problems == ()
    (pivot,) = pivots_in(work.parts, work.opened)
    return work, pivot


def test_what_turns_with_a_part() -> None:
    """All that is glued to it, not what it turns on or what only lies there."""
    work, pivot = turning(LATCHED_BEHIND.replace("SIDE", "on_back"))
    assert (pivot.face, pivot.anchor, pivot.held) == (key("latch"), key("card"), "flap")
    assert pivot.moved == {key("latch"), key("knob")}
    resting = replace(
        work.opened, bonds=(*work.opened.bonds, Bond(key("flap"), key("latch"), "rest", "flap"))
    )
    (again,) = pivots_in(work.parts, resting)
    assert again.moved == pivot.moved
    # Glued to what it turns on it does not turn, and where there is nothing to hold it holds none.
    stuck = work.opened.with_bonds([Bond(key("knob"), key("card"), "glue", "knob")])
    assert list(pivots_in(work.parts, stuck)) == []
    without = {face: p for face, p in work.opened.plates.items() if face.piece != "flap"}
    assert list(pivots_in(work.parts, replace(work.opened, plates=without))) == []


def test_a_latch_behind_the_work_is_lifted_to_the_back() -> None:
    """Seen from behind the latch lies from 55 to 95 and its brad at 89: 11 from the left edge of
    the front.  The flap lies from 0 to 60 from behind: from 40 on from the front, 4 behind."""
    work, pivot = turning(LATCHED_BEHIND.replace("SIDE", "on_back"))
    over = swung_over(work.parts, work.opened, pivot)
    assert isinstance(over, Swing) and not over.is_aside
    latch, knob = (over.after.plates[key(name)] for name in ("latch", "knob"))
    assert [mm(work, end) for end in latch.extent(0)] == [5, 45]
    assert [mm(work, end) for end in latch.extent(1)] == [34, 46]
    assert mm(work, latch.plane) == mm(work, knob.plane) == -4
    # It lies behind the flap, and what is glued on it behind it.
    assert over.after.is_above(key("flap"), key("latch")) is False
    assert over.after.side_of(key("latch"), key("knob")) == 1
    assert over.after.side_of(key("card"), key("latch")) is None
    # All the rest stays.
    assert over.after.plates[key("flap")] is work.opened.plates[key("flap")]
    # A quarter to the left, as it is looked at from behind: its long end comes down.
    aside = swung_aside(work.parts, work.opened, pivot, work.opened)
    turned = aside.after.plates[key("latch")]
    assert aside.is_aside and aside.fastening == "brad"
    assert [mm(work, end) for end in turned.extent(0)] == [5, 17]
    assert [mm(work, end) for end in turned.extent(1)] == [6, 46]
    assert aside.after.is_above(key("card"), key("latch")) is False
    # Nothing lies further behind than the flap: over that there is no need to turn it.
    still = swung_aside(work.parts, over.after, pivot, work.opened)
    assert still.after.plates[key("latch")].pose == latch.pose
    back = swung_back(over.after, over)
    assert back.plates[key("latch")] is work.opened.plates[key("latch")]
    assert back.sides == work.opened.sides


def test_a_latch_is_turned_aside_by_the_first_quarter_that_clears_what_closes() -> None:
    """The latch of 40 reaches over the flap, which begins at 40, only where it lies as it was
    laid: upright it stands from 5 to 17.  A quarter is a turn to the left as it is looked at."""
    work = latched()
    (pivot,) = pivots_in(work.parts, work.opened)
    aside = swung_aside(work.parts, work.opened, pivot, work.closed)
    turned = aside.after.plates[key("latch")]
    # Its brad is at (11, 40); 34 of it lie to the right of that, which come to lie above it.
    assert [mm(work, end) for end in turned.extent(1)] == [34, 74]
    assert mm(work, turned.plane) == 0
    assert aside.after.is_above(key("card"), key("latch")) is True
    assert aside.moved == {key("latch")} and aside.before is work.opened
    # Where nothing comes to lie over it it stays as it is.
    still = swung_aside(work.parts, work.opened, pivot, work.opened)
    assert still.after.plates[key("latch")].pose == work.opened.plates[key("latch")].pose
    # What closes below it, or across, is in no way.
    down = work.closed.all_moved(quarter_turn(SpaceLine(0, (0, 0)), 1))
    for other in (down, work.opened):
        swing = swung_aside(work.parts, work.opened, pivot, other)
        assert swing.after.plates[key("latch")].pose == work.opened.plates[key("latch")].pose


def test_a_latch_goes_round_to_where_it_laps_over_what_it_holds() -> None:
    """Laid with its long end upwards, or away from the flap, it needs three quarters, or a half."""
    for turned, ends in ((90, [34, 46]), (180, [34, 46]), (270, [34, 46])):
        sizes = {90: "left: 5, bottom: 34", 180: "left: -23, bottom: 34", 270: "left: 5, bottom: 6"}
        text = resolved_latch(sizes[turned], turned)
        work, pivot = turning(text)
        over = swung_over(work.parts, work.opened, pivot)
        assert isinstance(over, Swing), turned
        latch = over.after.plates[key("latch")]
        assert [mm(work, end) for end in latch.extent(1)] == ends
        assert [mm(work, end) for end in latch.extent(0)] == [5, 45]
        assert mm(work, latch.plane) == 4
    # One that is too short is turned nowhere.
    short = resolved_latch("left: 5, bottom: 34", 0).replace("size: 40 x 12", "size: 34 x 12")
    work, pivot = turning(short)
    assert swung_over(work.parts, work.opened, pivot) is None


def resolved_latch(place: str, turned: int) -> str:
    """A latch on the front with its brad at (11, 40) of the card, and a flap that stands 4 over the
    card from 40 on."""
    text = LATCHED_BEHIND.replace("on_back: card, left: 0, raised", "on: card, left: 40, raised")
    text = text.replace("SIDE: card, left: 55, bottom: 34", f"on: card, {place}, turned: {turned}")
    return text.replace("left: 34,", "left: 6,")


def ends(box: Box) -> tuple[int, ...]:
    return tuple(int(end) for end in (box.left, box.bottom, box.right, box.top))


def test_where_a_latch_may_lie_when_what_it_holds_has_closed() -> None:
    """It turns about (11, 40) of the card, 34 of it to the right; the flap lies from 40 to 100 at 4
    over it then, on the hinge, which is folded back on itself from 90 to 100."""
    found = swings_of(latched(), "brad")
    assert found is not None
    assert (found.centre.x, found.centre.y) == (11, 40)
    assert [ends(box) for box in found.turns] == [
        (5, 34, 45, 46), (5, 34, 17, 74), (-23, 34, 17, 46), (5, 6, 17, 46)
    ]  # fmt: skip
    before = {name: [ends(box) for box in boxes] for name, boxes in found.before.items()}
    # It is asked for when that has closed, while the latch is turned aside.
    assert before.keys() == {"hinge", "flap", "latch"}
    assert before["latch"] == [(5, 34, 17, 74)]
    assert before["flap"] == [(40, 0, 100, 80)]
    assert before["hinge"] == [(90, 0, 100, 80)] * 2


def test_where_a_latch_behind_the_work_may_lie() -> None:
    """The plane has its first axis to the right of the front: seen so it turns to the other side.
    The flap behind it lies from 40 to 100; what lies before the card is in no way."""
    text = LATCHED_BEHIND.replace("SIDE", "on_back")
    text = text.replace("  knob:", "  mat: {as: mat, from: grey, size: 90 x 70, on: card}\n  knob:")
    work = play(resolved(text.replace("'flap, latch, knob'", "'flap, latch, knob, mat'")))
    found = swings_of(work, "brad")
    assert found is not None
    assert (found.centre.x, found.centre.y) == (11, 40)
    assert [ends(box) for box in found.turns] == [
        (5, 34, 45, 46), (5, 6, 17, 46), (-23, 34, 17, 46), (5, 34, 17, 74)
    ]  # fmt: skip
    assert [ends(box) for box in found.before["flap"]] == [(40, 0, 100, 80)]
    assert "mat" not in found.before and "card" not in found.before


def test_what_turns_on_nothing_swings_nowhere() -> None:
    assert swings_of(pinned("card"), "first") is None
    assert swings_of(latched(), "tie") is None


def test_where_a_fastening_meets_its_pieces_when_it_is_set_or_at_last_if_no_step_sets_it() -> None:
    """The cover comes after the brad: it has no hole of it.  What no step sets goes through all."""
    done = pinned("top, card, over").parts.resolved
    marks = {name: set(pierced(done).fastenings[name].marks) for name in ("first", "second")}
    assert marks == {"first": {"top", "card"}, "second": {"top", "card"}}
    text = PINNED.replace("THROUGH", "top, card, over").replace("LEG", "8 mm").replace(" HOLE", "")
    unset = pierced(resolved(text.replace("'first, second, pair'", "'second, pair'")))
    brad = unset.fastenings["first"]
    places = {name: (int(point.x), int(point.y)) for name, point in brad.marks.items()}
    assert places == {"top": (20, 30), "card": (20, 30), "over": (20, 30)}
    assembly, faces = set_in(work_of(unset), "first")
    assert assembly is work_of(unset).opened
    assert [face.piece for face in faces] == ["top", "card", "over"]


def test_a_latch_that_looks_forward_from_behind_the_card_rises_to_the_back() -> None:
    """It lies behind the card and looks as that does: what it lies on says where it is lifted."""
    text = LATCHED_BEHIND.replace("SIDE: card, left: 55", "behind: card, left: 5")
    text = text.replace("left: 34,", "left: 6,").replace("on: latch", "behind: latch")
    work, pivot = turning(text)
    assert work.opened.plates[key("latch")].facing == 1
    over = swung_over(work.parts, work.opened, pivot)
    assert isinstance(over, Swing)
    latch = over.after.plates[key("latch")]
    assert [mm(work, end) for end in latch.extent(0)] == [5, 45] and mm(work, latch.plane) == -4
    assert over.after.is_above(key("flap"), key("latch")) is False
    assert over.after.is_above(key("latch"), key("knob")) is False
    aside = swung_aside(work.parts, work.opened, pivot, work.opened)
    turned = aside.after.plates[key("latch")]
    assert [mm(work, end) for end in turned.extent(1)] == [34, 74]
    assert aside.after.is_above(key("card"), key("latch")) is False


def test_a_latch_is_turned_aside_for_whatever_comes_to_lie_over_it_however_near() -> None:
    """The flap one unit over the latch, level with it, and one unit behind it."""
    work = latched()
    (pivot,) = pivots_in(work.parts, work.opened)
    flap = work.closed.plates[key("flap")]
    for height, is_turned in ((1, True), (0, False), (-1, False)):
        near = flap.moved(shifted_by((0, 0, height - flap.plane)))
        closed = Assembly(key("flap"), {key("flap"): near}, {})
        aside = swung_aside(work.parts, work.opened, pivot, closed)
        turned = aside.after.plates[key("latch")]
        assert (mm(work, turned.extent(1)[1]) == 74) is is_turned


def test_what_lies_below_a_latch_is_in_no_way_of_it() -> None:
    """The card stands 5 over a mount, which lies below all that turns on it."""
    text = LATCH.replace("LENGTH", "40").replace(
        "  card: {as: panel, from: grey, size: 100 x 80}",
        "  mount: {as: panel, from: grey, size: 120 x 100}\n"
        "  card: {as: panel, from: grey, size: 100 x 80, on: mount, raised: 5, glue: none}",
    )
    work = play(resolved(text.replace("attach: hinge", "attach: card, hinge")))
    found = swings_of(work, "brad")
    assert found is not None
    assert found.before.keys() == {"hinge", "flap", "latch"}
    # The card lies 10 from the edges of the mount.
    assert (found.centre.x, found.centre.y) == (21, 50)
    assert [ends(box) for box in found.before["flap"]] == [(50, 10, 110, 90)]


def in_mm(found: dict[str, list[Box]]) -> dict[str, list[tuple[int, ...]]]:
    return {name: [ends(box) for box in boxes] for name, boxes in found.items()}


def test_a_latch_on_a_doubled_card_turns_on_what_is_next_to_it() -> None:
    """Its brad goes on through a backing: it lies as it does without one."""
    text = LATCH.replace("LENGTH", "40").replace(
        "through: latch, card", "through: 'latch, card, back'"
    )
    text = text.replace(
        "fastenings:", "  back: {as: panel, from: grey, size: 90 x 70, on_back: card}\nfastenings:"
    )
    work = played(text.replace("attach: hinge", "attach: back, hinge"))
    assert work.problems == ()
    found, plain = swings_of(work, "brad"), swings_of(latched(), "brad")
    assert found is not None and plain is not None
    assert (found.centre, found.turns) == (plain.centre, plain.turns)
    assert in_mm(dict(found.before)) == in_mm(dict(plain.before))


def folding(sections: str, closing: str) -> Work:
    """The latched card as one section of a piece in two."""
    text = LATCH.replace("LENGTH", "40").replace("on: card", "on: card.base")
    text = text.replace("size: 100 x 80", f"{sections}, closed: 180")
    work = played(text.replace("steps:", f"closing: {closing}\nsteps:"))
    assert work.problems == ()
    return work


def test_what_closes_after_what_a_latch_holds_does_not_lie_over_it_yet() -> None:
    """A wing of 3 at the top of the card closes over it when the latch lies on the flap."""
    sections = "up: {base: 80, wing: 3}, width: 100, seams: {wing: none}"
    work = folding(sections, "[hinge, card.wing]")
    assert work.closed.is_above(key("card", "base"), key("card", "wing")) is True
    found = swings_of(work, "brad")
    assert found is not None
    assert found.before.keys() == {"hinge", "flap", "latch"}


def test_a_latch_lies_as_it_did_before_the_card_that_it_turns_on_is_closed() -> None:
    """A cover of 120 stays when the card of 100, beside it, is folded behind it at last."""
    sections = "across: {cover: 120, base: {size: 100, fold: mountain}}, height: 80"
    work = folding(f"{sections}, seams: {{base: none}}", "[hinge, card]")
    assert work.closed.is_above(key("card", "cover"), key("card", "base")) is False
    found = swings_of(work, "brad")
    assert found is not None
    assert (found.centre.x, found.centre.y) == (120 + 11, 40)
    assert found.before.keys() == {"hinge", "flap", "latch"}
    assert [ends(box) for box in found.before["flap"]] == [(160, 0, 220, 80)]


def test_a_latch_that_lies_on_what_it_holds_is_turned_aside_over_that() -> None:
    """On the flap nothing lies over it: it stays as it is, and does not go under what it is on."""
    work = latched()
    (pivot,) = pivots_in(work.parts, work.closed)
    latch = work.closed.plates[key("latch")]
    assert mm(work, latch.plane) == 4
    aside = swung_aside(work.parts, work.closed, pivot, work.closed)
    assert aside.after.plates[key("latch")].pose == latch.pose
    assert aside.after.is_above(key("flap"), key("latch")) is True
