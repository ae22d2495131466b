"""The small parts of the work, each by what is plain about it.

Sources: geometry by hand on squared paper, and common practice, no source, where a check says so.
Lengths are units unless a check says mm.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction

import pytest
from shapely import Point, Polygon, box, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.geometry import Box
from gatherfold.work.adhesive import contact
from gatherfold.work.assembly import Adhesive, Assembly, Bond, FoldKey, Pair, both_ways
from gatherfold.work.layers import seen_box
from gatherfold.work.parts import glued_side, host_side
from gatherfold.work.putting import (
    Arrival,
    Put,
    Stuck,
    Way,
    laid_on,
    lean,
    put_on,
    slid_between,
    slide_in,
)
from gatherfold.work.regions import Bounds, FaceKey, Plate, Region, rectangle_region
from gatherfold.work.space import (
    ACROSS,
    AT_REST,
    Exact,
    Rigid,
    Sense,
    SpaceLine,
    as_pose,
    as_rigid,
    quarter_turn,
    shifted_by,
    size,
    whole,
)
from gatherfold.work.turning import Blocked, Manner, Obstacle, Quarter, turned
from gatherfold.work.visible import (
    Look,
    from_far_to_near,
    is_seen,
    look_at,
    nearer_at,
    visible_parts,
)
from tests.work.agreement import assembly_of
from tests.work.hand_made import UP, block, case, fold, sheet, turn, with_post
from tests.work.ways_out import way_out
from tests.works import placed_faces

ANY = turn("none", 0, 90)


def key(name: str, face: str = "face") -> FaceKey:
    return FaceKey(name, face)


def paper(name: str, left: int, low: int, right: int, high: int) -> Assembly:
    """A sheet of one face that lies flat, its front up."""
    region = rectangle_region(Bounds(left, low, right, high))
    return Assembly(key(name), {key(name): Plate(key(name), region, AT_REST)}, {})


def on(base: Assembly, top: Assembly, host: str, side: int = 1) -> Assembly:
    """Lay one on another where it is."""
    return laid_on(Arrival(base, top, AT_REST, key(host), side, {}))  # type: ignore[arg-type]


# ---- space


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_quarter_turn_goes_by_the_right_hand_rule(axis: int) -> None:
    """With the thumb along the axis the first of the two others goes to the second."""
    first, second = ACROSS[axis]
    place = [0, 0, 0]
    place[first], place[second], place[axis] = 5 + 3, 7 + 1, 9
    turned_place = quarter_turn(SpaceLine(axis, (5, 7)), 1).apply((place[0], place[1], place[2]))
    # From (3, 1) beside the line to (-1, 3).
    assert (turned_place[first], turned_place[second], turned_place[axis]) == (5 - 1, 7 + 3, 9)
    back = quarter_turn(SpaceLine(axis, (5, 7)), -1)
    assert back.apply(turned_place) == tuple(place)


def test_motions_one_after_another_and_back() -> None:
    rng = random.Random(1)
    for _ in range(50):
        one, two = (
            shifted_by((rng.randint(-9, 9), rng.randint(-9, 9), rng.randint(-9, 9))).then(
                quarter_turn(SpaceLine(rng.randrange(3), (rng.randint(-9, 9), 2)), 1)
            )
            for _ in range(2)
        )
        place = (rng.randint(-9, 9), rng.randint(-9, 9), rng.randint(-9, 9))
        assert one.then(two).apply(place) == one.apply(two.apply(place))
        assert one.undone().apply(one.apply(place)) == place
        way = one.apply((place[0] + 1, place[1] + 2, place[2] + 3))
        assert tuple(b - a for a, b in zip(one.apply(place), way, strict=True)) == one.direction(
            (1, 2, 3)
        )
        pose = as_pose(one, 4)
        assert as_rigid(pose, 4) == one
        x, y, z = one.apply((place[0], place[1], 0))
        assert pose.apply((Fraction(place[0], 4), Fraction(place[1], 4), 0)) == (
            Fraction(x, 4), Fraction(y, 4), Fraction(z, 4)
        )  # fmt: skip


def test_lengths() -> None:
    assert (size(-3), size(3), size(0)) == (3, 3, 0)
    assert whole(Fraction(3, 2), 4) == 6 and isinstance(whole(Fraction(3, 2), 4), int)
    assert whole(Fraction(1, 3), 4) == Fraction(4, 3)


def test_a_pose_in_space_holds_its_own_places() -> None:
    """In mm, as drawings have it: the front looks along its normal, and places come back."""
    pose = as_pose(quarter_turn(SpaceLine(0, (2, 3)), 1), 1)
    assert pose.normal == (0, -1, 0)
    assert [row[1] for row in pose.rotation] == [0, 0, 1]
    place = pose.apply((Fraction(4), Fraction(5), 0))
    assert pose.undone().apply(place) == (Fraction(4), Fraction(5), Fraction(0))


# ---- layers


def test_what_is_laid_down_lies_on_the_side_that_it_is_laid_on() -> None:
    base = paper("base", 0, 0, 10, 10)
    both = on(on(base, paper("front", 2, 2, 8, 8), "base"), paper("back", 1, 1, 9, 9), "base", -1)
    assert both.side_of(key("base"), key("front")) == 1
    assert both.side_of(key("base"), key("back")) == -1
    assert both.is_above(key("base"), key("front")) is True
    assert both.is_above(key("back"), key("front")) is True
    assert both.is_above(key("front"), key("back")) is False
    assert both.stack_at(2, 0, (5, 5)) == (key("back"), key("base"), key("front"))
    assert both.stack_at(2, 0, (Fraction(3, 2), 5)) == (key("back"), key("base"))
    # The same, seen from the other side of the world.
    over = both.all_moved(quarter_turn(SpaceLine(0, (0, 0)), 1).then(
        quarter_turn(SpaceLine(0, (0, 0)), 1)
    ))  # fmt: skip
    assert over.side_of(key("base"), key("front")) == 1
    assert over.is_above(key("base"), key("front")) is False
    assert over.stack_at(2, 0, (5, -5)) == (key("front"), key("base"), key("back"))


def test_what_lies_beside_has_no_side() -> None:
    base = on(paper("base", 0, 0, 10, 10), paper("left", 0, 0, 4, 10), "base")
    both = on(base, paper("right", 4, 0, 10, 10), "base")
    assert both.side_of(key("left"), key("right")) is None
    assert both.is_above(key("left"), key("right")) is None
    assert both.in_plane(2, 0) == (key("base"), key("left"), key("right"))
    assert both.in_plane(2, 1) == both.in_plane(1, 0) == ()
    assert both.pieces == ("base", "left", "right")


def test_what_is_put_between_lies_between() -> None:
    pile = on(paper("base", 0, 0, 10, 10), paper("top", 0, 0, 10, 10), "base")
    slip = paper("slip", 2, 2, 8, 8)
    below = {key("base"): True, key("top"): False}
    both = slid_between(pile, slip, AT_REST, below, {})
    assert both.stack_at(2, 0, (5, 5)) == (key("base"), key("slip"), key("top"))


def test_each_of_two_faces_is_held_to_the_other() -> None:
    bond = Bond(key("tag"), key("card"), "glue", "tag")
    assert (bond.other(key("tag")), bond.other(key("card"))) == (key("card"), key("tag"))
    assert bond.faces == (key("tag"), key("card"))


def test_what_is_held_by_a_bond_alone_comes_off_when_that_lets_go() -> None:
    """A tag glued on a card that is glued on a base: whatever was asked before."""
    pile = on(on(paper("base", 0, 0, 10, 10), paper("card", 1, 1, 9, 9), "base"), paper(
        "tag", 2, 2, 4, 4
    ), "card")  # fmt: skip
    tag = Bond(key("tag"), key("card"), "glue", "tag")
    card = Bond(key("card"), key("base"), "glue", "card")
    glued = pile.with_bonds([tag, card])
    for _ in range(2):
        assert glued.connected(key("tag")) == {key("tag"), key("card"), key("base")}
        assert glued.connected(key("tag"), loose=[tag]) == {key("tag")}
        assert glued.connected(key("tag"), loose=[card]) == {key("tag"), key("card")}
        assert glued.connected(key("base"), loose=[tag]) == {key("base"), key("card")}
        assert glued.block_of("card", loose=[card]) == {key("tag"), key("card")}
    assert glued.connected(key("base")) == {key("tag"), key("card"), key("base")}


def test_both_ways_say_the_same() -> None:
    """Front up and front down: above the one that looks down is behind it."""
    up = Plate(key("up"), rectangle_region(Bounds(0, 0, 4, 4)), AT_REST)
    half = quarter_turn(SpaceLine(1, (0, 0)), 1)
    down = Plate(key("down"), rectangle_region(Bounds(-4, 0, 0, 4)), half.then(half))
    assert (up.facing, down.facing) == (1, -1)
    plates = {up.key: up, down.key: down}
    assert dict(both_ways(plates, up.key, down.key, True)) == {
        (up.key, down.key): 1, (down.key, up.key): 1
    }  # fmt: skip
    assert dict(both_ways(plates, up.key, down.key, False)) == {
        (up.key, down.key): -1, (down.key, up.key): -1
    }  # fmt: skip


def folded(name: str, high: int = 10) -> Assembly:
    """A foot of 20 by 10 with a wall on its far edge that stands up."""
    faces = [block("foot", 0, 0, 20, 10), block("wall", 0, 10, 20, 10 + high)]
    flat = assembly_of(
        case("x", [sheet(name, faces, [fold("wall", "foot", (0, 10), (20, 10))])], ANY)
    )
    quarter = turned(flat, FoldKey(name, "wall"), True)
    assert isinstance(quarter, Quarter)
    return quarter.after


def test_a_wall_leans_to_the_side_of_what_it_stands_on() -> None:
    """In half millimetres: the foot reaches from 0 to 20 before the wall, which stands at 20."""
    angle = folded("angle")
    wall = angle.plates[key("angle", "wall")]
    assert (wall.axis, wall.plane) == (1, 20)
    assert wall.extent(2) == (0, 20)
    assert lean(angle, wall.key) == -1
    # The foot has all of its wall above it.
    assert lean(angle, key("angle", "foot")) == 1
    # A mat glued on the wall leans as that does; one that only rests, or lies flat, does not.
    mat = paper("mat", 4, 0, 16, 8)
    half = quarter_turn(SpaceLine(0, (20, 0)), 1)
    placed = laid_on(Arrival(angle, mat, half, wall.key, 1, {}))
    bare = lean(placed, key("mat"))
    glued = placed.with_bonds([Bond(key("mat"), wall.key, "glue", "mat")])
    assert (bare, lean(glued, key("mat"))) == (0, -1)
    rests = placed.with_bonds([Bond(key("mat"), wall.key, "rest", "mat")])
    assert lean(rests, key("mat")) == 0


def test_papers_glued_on_one_another_alone_lean_nowhere() -> None:
    both = on(paper("one", 0, 0, 9, 9), paper("two", 0, 0, 9, 9), "one")
    glued = both.with_bonds([Bond(key("two"), key("one"), "glue", "two")])
    assert lean(glued, key("one")) == lean(glued, key("two")) == 0


def test_walls_that_come_to_stand_against_one_another() -> None:
    """A wall at 20 with its foot before it, and one against it whose foot is behind it: each lies
    on the side of its own foot.  Where a join says otherwise, that counts."""
    old, new = folded("old"), folded("new")
    half = quarter_turn(SpaceLine(2, (20, 20)), 1)
    motion = half.then(half)
    one, other = key("old", "wall"), key("new", "wall")
    below = dict.fromkeys(old.plates, True)
    below.pop(one)
    for merged in (
        slid_between(old, new, motion, below, {}),
        laid_on(Arrival(old, new, motion, key("old", "foot"), 1, {})),
    ):
        # Both walls stand at 20 on the second axis, the new one's foot lies beyond.
        assert merged.plates[other].plane == 20
        assert merged.is_above(one, other) is True
    facing = old.plates[one].facing
    new_facing = slid_between(old, new, motion, below, {}).plates[other].facing
    for side in (1, -1):
        tucks = {(other, one): side}
        merged = slid_between(old, new, motion, below, tucks)  # type: ignore[arg-type]
        assert merged.side_of(other, one) == side
        assert merged.side_of(one, other) == (side if facing != new_facing else -side)


# ---- adhesive


def shape(region: Region) -> BaseGeometry:
    found: BaseGeometry = Polygon()
    for ring in region.rings:
        found = found.symmetric_difference(Polygon([(float(x), float(y)) for x, y in ring]))
    return found


def met(pairs: Mapping[Pair, Exact]) -> dict[FaceKey, Exact]:
    """How much of each face adhesive meets."""
    found: dict[FaceKey, Exact] = {}
    for (_, other), area in pairs.items():
        found[other] = found.get(other, 0) + area
    return found


def test_adhesive_meets_what_lies_next_to_it() -> None:
    """By hand: 10 by 10 spread on the back, a dry window of 2 by 2; half lies on the left paper,
    which lies on the base, the rest on the base but for 10 by 1 beyond its edge."""
    base = on(paper("base", 0, 0, 10, 9), paper("left", 0, 0, 5, 10), "base")
    whole_face = rectangle_region(Bounds(0, 0, 10, 10))
    dry = rectangle_region(Bounds(7, 2, 9, 4))
    top = on(base, paper("top", 0, 0, 10, 10), "base")
    found = contact(top, Adhesive(key("top"), -1, (whole_face,), (dry,)))
    assert found == {
        (key("top"), key("left")): 50, (key("top"), key("base")): 41
    }  # fmt: skip
    # On the front of it there is nothing.
    above = contact(top, Adhesive(key("top"), 1, (whole_face,)))
    assert above == {}
    # Narrowed to a part of the plane, or with the left paper counted to its own.
    part = contact(
        top, Adhesive(key("top"), -1, (whole_face,)), within=rectangle_region(Bounds(4, 0, 6, 3))
    )
    assert met(part) == {key("left"): 3, key("base"): 3}
    own = contact(top, Adhesive(key("top"), -1, (whole_face,)), own=[key("left")])
    assert own == {
        (key("left"), key("base")): 5 * 9, (key("top"), key("base")): 5 * 9
    }  # fmt: skip
    assert contact(top, Adhesive(key("top"), -1, ())) == {}


def test_adhesive_meets_the_areas_that_shapely_finds() -> None:
    """Papers at random in a pile under one: each is met where no later one lies on it."""
    rng = random.Random(12)
    for _ in range(40):
        pile = paper("base", 0, 0, 30, 30)
        shapes = [("base", box(0, 0, 30, 30))]
        for number in range(rng.randint(1, 5)):
            left, low = rng.randint(0, 25), rng.randint(0, 25)
            right, high = rng.randint(left + 1, 30), rng.randint(low + 1, 30)
            pile = on(pile, paper(f"p{number}", left, low, right, high), "base")
            shapes.append((f"p{number}", box(left, low, right, high)))
        is_slanted = rng.random() < 0.5
        slanted = Region((((1, 2), (28, 5), (20, 33), (-3, 20)),))
        if not is_slanted:
            slanted = rectangle_region(Bounds(-2, 1, 27, 33))
        top = Assembly(key("top"), {key("top"): Plate(key("top"), slanted, AT_REST)}, {})
        all_of_it = on(pile, top, "base")
        spread = (rectangle_region(Bounds(0, 0, 12, 40)), rectangle_region(Bounds(9, 5, 40, 25)))
        dry = Region((((5, 5), (20, 10), (8, 20)),))
        if not is_slanted:
            dry = rectangle_region(Bounds(6, 3, 15, 22))
        found = contact(all_of_it, Adhesive(key("top"), -1, spread, (dry,)))
        free = shape(slanted).intersection(unary_union([shape(s) for s in spread]))
        free = free.difference(shape(dry))
        for number, (name, own) in enumerate(shapes):
            there = free.intersection(own).difference(
                unary_union([other for _, other in shapes[number + 1 :]])
            )
            # Measured along lines half way between corners: where edges slant a little is missed.
            off = 20 if is_slanted else 1e-6
            assert float(met(found).get(key(name), 0)) == pytest.approx(there.area, abs=off)


# ---- joins and parts


def test_which_sides_meet() -> None:
    """By the words: on, and in a pocket, its back lies down; behind, its front lies against the
    back of the host; ``on_back`` back to back, ``facing`` front to front."""
    assert [(glued_side(r), host_side(r)) for r in ("on", "behind", "on_back", "facing")] == [
        (-1, 1), (1, -1), (-1, -1), (1, 1)
    ]  # fmt: skip
    # Behind the pocket's own piece, on what the pocket stands on.
    assert (glued_side("inside"), host_side("inside")) == (-1, -1)


def test_strips_along_edges() -> None:
    area = Box(*map(Fraction, (0, 0, 10, 6)))
    two = Fraction(2)
    assert area.strip("top", two) == Box(*map(Fraction, (0, 4, 10, 6)))
    assert area.strip("left", two) == Box(*map(Fraction, (0, 0, 2, 6)))
    assert area.strip("right", two) == Box(*map(Fraction, (8, 0, 10, 6)))
    assert area.strip("bottom", two) == Box(*map(Fraction, (0, 0, 10, 2)))
    # Deeper than itself it goes on beyond the edge across.
    assert area.strip("left", Fraction(20)) == Box(*map(Fraction, (0, 0, 20, 6)))
    assert area.strip("top", Fraction(20)) == Box(*map(Fraction, (0, -14, 10, 6)))


# ---- what shows


def test_what_shows_is_what_nothing_lies_before() -> None:
    base = on(paper("base", 0, 0, 10, 10), paper("mat", 1, 1, 9, 9), "base")
    both = on(base, paper("photo", 0, 0, 5, 10), "base")
    front = visible_parts(both, look_at(both, key("base"), 1))
    assert {k.piece: round(part.area, 3) for k, part in front.items()} == {
        "base": 100 - 50 - 4 * 8, "mat": 4 * 8, "photo": 50
    }  # fmt: skip
    assert [k.piece for k in front] == ["base", "mat", "photo"]
    back = visible_parts(both, look_at(both, key("base"), -1))
    assert {k.piece: is_seen(part) for k, part in back.items()} == {
        "base": True, "mat": False, "photo": False
    }  # fmt: skip
    assert [k.piece for k in back] == ["photo", "mat", "base"]
    assert look_at(both, key("base"), 1) == Look(2, 1)
    assert look_at(both, key("base"), -1) == Look(2, -1)
    # A thousandth of a unit is only rounding.
    thin = box(0, 0, 10, 0.001)
    assert not is_seen(thin) and is_seen(box(0, 0, 10, 1))


def test_what_lies_over_a_place_of_a_face_is_nearer_to_the_viewer() -> None:
    base = on(paper("base", 0, 0, 10, 10), paper("mat", 1, 1, 9, 9), "base")
    both = on(base, paper("photo", 0, 0, 5, 10), "base")
    front, back = Look(2, 1), Look(2, -1)

    def over(look: Look, face: str, x: int) -> set[str]:
        return {each.piece for each in nearer_at(both, look, key(face), (x, 5))}

    assert over(front, "base", 3) == {"mat", "photo"}
    assert over(front, "base", 7) == {"mat"}
    assert over(front, "mat", 3) == {"photo"} and over(front, "mat", 7) == set()
    assert over(back, "base", 3) == set() and over(back, "photo", 3) == {"base", "mat"}


def test_what_is_nearer_hides_what_is_further_in_other_planes() -> None:
    low = paper("low", 0, 0, 10, 10)
    high = paper("high", 4, 0, 14, 10).all_moved(shifted_by((0, 0, 5)))
    plates = {**low.plates, **high.plates}
    both = Assembly(key("low"), plates, {})
    for towards, hidden in ((1, "low"), (-1, "high")):
        parts = visible_parts(both, Look(2, towards))  # type: ignore[arg-type]
        areas = {k.piece: round(part.area, 3) for k, part in parts.items()}
        assert areas == {"low": 100, "high": 100} | {hidden: 40}
    assert [k.piece for k in from_far_to_near(both, Look(2, 1))] == ["low", "high"]
    assert [k.piece for k in from_far_to_near(both, Look(2, -1))] == ["high", "low"]
    # What stands on edge shows nothing.
    assert from_far_to_near(both, Look(0, 1)) == ()


def test_of_four_interleaved_flaps_each_shows_but_for_its_corner() -> None:
    """Four strips of 10 by 3 round a square of 10, each with one end over the next one's: each
    hides 3 by 3 of the next; in the middle, 4 by 4, there is none."""
    names = ("a", "b", "c", "d")
    places = ((0, 0, 10, 3), (7, 0, 10, 10), (0, 7, 10, 10), (0, 0, 3, 10))
    plates: dict[FaceKey, Plate] = {}
    for name, (left, low, right, high) in zip(names, places, strict=True):
        plates.update(paper(name, left, low, right, high).plates)
    sides: dict[Pair, Sense] = {}
    for n in range(4):
        sides.update(both_ways(plates, key(names[n]), key(names[(n + 1) % 4]), False))
    ring = Assembly(key("a"), plates, {}, sides=sides)
    for towards in (1, -1):
        parts = visible_parts(ring, Look(2, towards))
        seen = {each.piece: round(part.area, 3) for each, part in parts.items()}
        assert seen == dict.fromkeys(names, 30 - 9)
        hidden = parts[key("b")].contains(Point(8, 1)), parts[key("a")].contains(Point(8, 1))
        assert hidden == ((False, True) if towards == 1 else (True, False))


def test_faces_in_mm_have_larger_ranks_further_on() -> None:
    base = on(paper("base", 0, 0, 10, 10), paper("mat", 1, 1, 9, 9), "base")
    both = on(base, paper("under", 1, 1, 9, 9), "base", -1)
    faces = placed_faces(both, 2)
    ranks = {face.piece: face.rank for face in faces}
    assert ranks["under"] < ranks["base"] < ranks["mat"]
    moved = placed_faces(both.all_moved(shifted_by((3, 0, 0))), 2)
    assert {face.pose.shift[0] for face in moved} == {Fraction(3, 2)}
    assert faces[0].key == key("under")


def test_the_box_that_a_plate_covers_in_mm() -> None:
    """In quarters of a mm: from 2 to 10 and from 4 to 12."""
    plate = Plate(key("x"), rectangle_region(Bounds(2, 4, 10, 12)), shifted_by((0, 0, 6)))
    half = Fraction(1, 2)
    box_seen = seen_box(plate, 4)
    assert (box_seen.left, box_seen.right) == (half, 2 + half)
    assert (int(box_seen.bottom), int(box_seen.top)) == (1, 3)


# ---- putting


def pile_with_gap() -> Assembly:
    """A base of 100 by 100 with a pocket of 60 by 40, glued along 5 at its left, right and foot."""
    base, pocket = paper("base", 0, 0, 100, 100), paper("pocket", 20, 0, 80, 40)
    pile = on(base, pocket, "base")
    strips = tuple(
        rectangle_region(area)
        for area in (Bounds(20, 0, 25, 40), Bounds(75, 0, 80, 40), Bounds(20, 0, 80, 5))
    )
    glue = Adhesive(key("pocket"), -1, strips)
    return pile.with_bonds([Bond(key("pocket"), key("base"), "glue", "pocket", glue)])


def test_a_card_slides_into_a_pocket_and_no_wider_one() -> None:
    pile = pile_with_gap()
    card = paper("card", 26, 6, 74, 70)
    put = slide_in(Arrival(pile, card, AT_REST, key("pocket"), -1, {}), 0.0)
    assert isinstance(put, Put) and put.way is Way.SLID
    assert put.after.stack_at(2, 0, (50, 20)) == (key("base"), key("card"), key("pocket"))
    assert put.after.stack_at(2, 0, (50, 50)) == (key("base"), key("card"))
    # Out over the top, as far as the pocket is high above the card's foot.
    assert put.out == (0, 40 - 6, 0)
    # One that would lie on the glue goes in by no way.
    wide = slide_in(
        Arrival(pile, paper("card", 22, 6, 74, 70), AT_REST, key("pocket"), -1, {}), 0.0
    )
    assert isinstance(wide, Stuck) and wide.by is None
    # On the front of the pocket there is room.
    before = slide_in(Arrival(pile, card, AT_REST, key("pocket"), 1, {}), 0.0)
    assert isinstance(before, Put)
    assert before.after.stack_at(2, 0, (50, 20)) == (key("base"), key("pocket"), key("card"))


def test_what_holds_a_card_in_a_pocket() -> None:
    """Glued at its foot and sides it lets the card out over the top only."""
    put = slide_in(
        Arrival(pile_with_gap(), paper("card", 26, 6, 74, 70), AT_REST, key("pocket"), -1, {}), 0.0
    )
    assert isinstance(put, Put)
    held = {
        way: way_out(put.after, "card", key("pocket"), way, 0.0)
        for way in ((0, 1, 0), (0, -1, 0), (1, 0, 0), (-1, 0, 0), (0, 0, 1), (0, 0, -1))
    }
    assert held[0, 1, 0] is None
    assert all(held[way] is not None for way in held if way != (0, 1, 0))
    # Straight off the front lies the pocket, off the back the base.
    assert (held[0, 0, 1], held[0, 0, -1]) == (key("pocket"), key("base"))
    # What is glued to it comes along.
    glued = put.after.with_bonds([Bond(key("card"), key("base"), "glue", "card")])
    assert glued.block_of("card") == {key("card"), key("base"), key("pocket")}
    assert put.after.block_of("card") == {key("card")}
    rests = put.after.with_bonds([Bond(key("card"), key("base"), "rest", "card")])
    assert rests.block_of("card") == {key("card")}


def tray() -> Assembly:
    """A base of 100 by 80 mm, and walls of 30 on its four edges: all stand."""
    faces = [
        block("base", 0, 0, 100, 80), block("left", -30, 0, 0, 80), block("right", 100, 0, 130, 80),
        block("front", 0, -30, 100, 0), block("back", 0, 80, 100, 110),
    ]  # fmt: skip
    folds = [
        fold("left", "base", (0, 0), (0, 80)), fold("right", "base", (100, 80), (100, 0)),
        fold("front", "base", (100, 0), (0, 0)), fold("back", "base", (0, 80), (100, 80)),
    ]  # fmt: skip
    now = assembly_of(case("tray", [sheet("tray", faces, folds)], ANY))
    for name in ("left", "right", "front", "back"):
        quarter = turned(now, FoldKey("tray", name), True)
        assert isinstance(quarter, Quarter)
        now = quarter.after
    return now


def test_a_box_is_lowered_into_a_tray_and_stands_in_it() -> None:
    """In half millimetres: the tray is 200 by 160 inside and 60 high."""
    base = FaceKey("tray", "base")
    small = replace_piece(tray(), "small", 0.8)
    put = put_on(Arrival(tray(), small, shifted_by((10, 10, 0)), base, 1, {}), 0.0)
    assert isinstance(put, Put) and put.way is Way.LOWERED
    # From just clear of the walls.
    assert put.out == (0, 0, 60 + 1)
    assert put.after.stack_at(2, 0, (100, 80)) == (base, FaceKey("small", "base"))
    # Flat paper is laid.
    mat = put_on(Arrival(tray(), paper("mat", 10, 10, 190, 150), AT_REST, base, 1, {}), 0.0)
    assert isinstance(mat, Put) and mat.way is Way.LAID
    # What reaches through a wall goes in no way.
    out = shifted_by((0, 0, 20))
    stuck = put_on(Arrival(tray(), paper("mat", -10, 10, 190, 150), out, base, 1, {}), 0.0)
    assert isinstance(stuck, Stuck) and stuck.by == FaceKey("tray", "left")
    # As far as a hand-cut edge may be off it goes.
    near = put_on(Arrival(tray(), paper("mat", -1, 10, 190, 150), out, base, 1, {}), 2.0)
    assert isinstance(near, Put)
    # It reaches through by 1: just so far it may.
    exact = put_on(Arrival(tray(), paper("mat", -1, 10, 190, 150), out, base, 1, {}), 1.0)
    assert isinstance(exact, Put)
    assert isinstance(
        put_on(Arrival(tray(), paper("mat", -1, 10, 190, 150), out, base, 1, {}), 0.5), Stuck
    )


def replace_piece(assembly: Assembly, name: str, scale: float) -> Assembly:
    """The same made smaller and called otherwise."""
    share = Fraction(str(scale))

    def own(region: Region) -> Region:
        return Region(tuple(tuple((x * share, y * share) for x, y in r) for r in region.rings))

    plates = {}
    for face, plate in assembly.plates.items():
        x, y, z = (part * share for part in plate.pose.shift)
        new = FaceKey(name, face.face)
        plates[new] = Plate(new, own(plate.own), Rigid(plate.pose.rotation, (x, y, z)))
    return Assembly(FaceKey(name, assembly.base.face), plates, {})


# ---- turning


def test_how_far_a_crossing_may_go_is_the_hand_cut_tolerance() -> None:
    """In half millimetres: a post of 28 mm stands 30 before the fold of a frame whose rim is 40
    away: its top is √(30² + 28²) = 41.04 mm away from the fold, 1.04 mm too far."""
    made = assembly_of(with_post("x", "frame", turn("frame", 0, 180), place=(40, 50, 20, 28)))
    post = turned(made, FoldKey("post", "post"), True)
    assert isinstance(post, Quarter)
    first = turned(post.after, FoldKey("plate", "frame"), True)
    assert isinstance(first, Quarter) and first.grazed == ()
    stop = turned(first.after, FoldKey("plate", "frame"), True)
    assert isinstance(stop, Blocked) and stop.why is Obstacle.CROSSES
    assert {stop.moving.face, stop.by.face} == {"frame", "post"}
    assert stop.depth == pytest.approx(2 * 1.04, abs=0.02)
    grazing = turned(first.after, FoldKey("plate", "frame"), True, Manner(2.2))
    assert isinstance(grazing, Quarter)
    assert [each.depth for each in grazing.grazed] == [pytest.approx(2 * 1.04, abs=0.02)]
    still_blocked = turned(first.after, FoldKey("plate", "frame"), True, Manner(2.0))
    assert isinstance(still_blocked, Blocked)


def test_what_stops_a_flap_is_what_lies_nearest_on_it() -> None:
    """Three papers on a closed flap: the one that lies on it stops it."""
    faces = [block("plate", 0, 0, 100, 80), block("flap", 100, 0, 160, 80)]
    flat = assembly_of(
        case("x", [sheet("plate", faces, [fold("flap", "plate", (100, 80), (100, 0))])], ANY)
    )
    now = flat
    for _ in range(2):
        quarter = turned(now, FoldKey("plate", "flap"), True)
        assert isinstance(quarter, Quarter)
        now = quarter.after
    flap, plate = FaceKey("plate", "flap"), FaceKey("plate", "plate")
    assert now.side_of(flap, plate) == 1
    pile = now
    for name in ("first", "second", "third"):
        pile = laid_on(Arrival(pile, paper(name, 100, 20, 190, 140), AT_REST, plate, 1, {}))
        pile = pile.with_bonds([Bond(key(name), plate, "glue", name)])
    stop = turned(pile, FoldKey("plate", "flap"), False)
    assert isinstance(stop, Blocked) and stop.why is Obstacle.COVERED
    assert (stop.moving, stop.by) == (flap, key("first"))
    # Glued to both sides of its fold a flap is locked.
    glued = now.with_bonds([Bond(flap, plate, "glue", "plate")])
    assert glued.is_locked(FoldKey("plate", "flap")) and not now.is_locked(FoldKey("plate", "flap"))
    locked = turned(glued, FoldKey("plate", "flap"), False)
    assert isinstance(locked, Blocked) and locked.why is Obstacle.LOCKED


def test_a_post_goes_up_between_what_lies_beside_it() -> None:
    made = assembly_of(with_post("x", "top", UP, place=(40, 30, 20, 10)))
    assert made.connected(FaceKey("post", "post")) == frozenset(made.plates)
    cut = made.connected(FaceKey("post", "post"), [FoldKey("post", "post")])
    assert cut == {FaceKey("post", "post")}
    line = made.lines[FoldKey("post", "post")]
    # It runs along x, at y = 30 mm and z = 0.
    assert line == SpaceLine(0, (60, 0))
    assert made.folds_on(line) == {FoldKey("post", "post")}
    assert replace(made, angles={FoldKey("post", "post"): 90}).angle(FoldKey("post", "post")) == 90
