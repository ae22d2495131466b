"""Ways in and out of boxes of a few plates, and tabs that come against walls.

Sources: squared paper, beside each check.  Lengths are units.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from gatherfold.work.assembly import Adhesive, Assembly, Bond, FoldKey, Pair
from gatherfold.work.putting import Arrival, Put, Stuck, Way, put_on, slide_in
from gatherfold.work.regions import Bounds, FaceKey, Plate, rectangle_region
from gatherfold.work.space import AT_REST, Rigid, Sense, SpaceLine, quarter_turn, shifted_by
from gatherfold.work.turning import Blocked, Manner, Obstacle, Quarter, standing_in, turned
from tests.work.agreement import assembly_of
from tests.work.hand_made import block, case, fold, sheet, turn
from tests.work.test_paths import block as plate_at
from tests.work.test_small_parts import key, on, paper
from tests.work.ways_out import way_out

FLOOR = key("floor")


def room(*there: str, **more: Plate) -> Assembly:
    """A floor of 100 by 80, with walls of 20 on some of its edges, and a roof at 20."""
    every = {
        "floor": plate_at(2, 0, 0, 0, 100, 80),
        "roof": plate_at(2, 20, 0, 0, 100, 80),
        # Of a plate across the first axis the second is named first; across the second the third.
        "left": plate_at(0, 0, 0, 0, 80, 20),
        "right": plate_at(0, 100, 0, 0, 80, 20),
        "top": plate_at(1, 80, 0, 0, 20, 100),
        "bottom": plate_at(1, 0, 0, 0, 20, 100),
        **more,
    }
    plates = {
        key(name): Plate(key(name), every[name].own, every[name].pose)
        for name in ("floor", *there, *more)
    }
    return Assembly(FLOOR, plates, {})


def put(
    base: Assembly, mat: Assembly, motion: Rigid = AT_REST, side: Sense = 1, off: float = 0.0
) -> Put | Stuck:
    return put_on(Arrival(base, mat, motion, FLOOR, side, {}), off)


MAT = paper("mat", 10, 10, 90, 70)


# ---- laid, lowered, slid


@pytest.mark.parametrize(
    ("walls", "out"),
    [
        # Over the top 80 - 10; over the left 90 - 0; over the right 100 - 10; at the foot 70 - 0.
        ((), (0, 70, 0)),
        (("top",), (-90, 0, 0)),
        (("left",), (0, 70, 0)),
        (("top", "left"), (90, 0, 0)),
        (("top", "left", "right"), (0, -70, 0)),
        (("top", "right", "bottom"), (-90, 0, 0)),
    ],
)
def test_under_a_roof_something_is_slid_in_by_the_first_way_that_is_open(
    walls: tuple[str, ...], out: tuple[int, int, int]
) -> None:
    """A mat that stands 5 over the floor: from above the roof is in the way."""
    up = shifted_by((0, 0, 5))
    done = put(room("roof", *walls), MAT, up)
    assert isinstance(done, Put) and done.way is Way.SLID and done.out == out
    assert done.after.plates[key("mat")].plane == 5
    # Without a roof it is laid down from above.
    laid = put(room(*walls), MAT, up)
    assert isinstance(laid, Put) and laid.way is Way.LAID
    # As another one has it that lies elsewhere, the way is turned along.
    motion = quarter_turn(SpaceLine(0, (3, 5)), 1).then(quarter_turn(SpaceLine(2, (1, 2)), 1))
    there = room("roof", *walls).all_moved(motion)
    again = put(there, MAT, motion.then(up))
    assert isinstance(again, Put) and again.out == motion.direction(out)


def test_a_box_without_an_opening_lets_nothing_in() -> None:
    up = shifted_by((0, 0, 5))
    closed = room("roof", "top", "left", "right", "bottom")
    assert put(closed, MAT, up) == Stuck(key("roof"))
    # As far as a hand-cut edge may be off it may cross: 15 of the mat are below the roof.
    assert isinstance(put(closed, MAT, up, off=100.0), Put)


def test_how_far_something_is_lifted_before_it_is_lowered() -> None:
    """To just clear of what stands, or lies, on that side of the floor."""
    below = {"under": plate_at(0, 0, 0, -30, 80, 0)}
    for base, motion, side, out in (
        (room(), AT_REST, 1, (0, 0, 1)),
        (room(), AT_REST, -1, (0, 0, -1)),
        (room("left"), AT_REST, 1, (0, 0, 21)),
        (room("left"), AT_REST, -1, (0, 0, -1)),
        (room(**below), AT_REST, -1, (0, 0, -31)),
        (room(**below), AT_REST, 1, (0, 0, 1)),
        # What comes to lie above all that is there has nothing to be lifted over.
        (room(), shifted_by((0, 0, 7)), 1, (0, 0, 1)),
        (room("left"), shifted_by((0, 0, 7)), 1, (0, 0, 14)),
        (room("left"), shifted_by((0, 0, 50)), 1, (0, 0, 1)),
        (room(), shifted_by((0, 0, -7)), -1, (0, 0, -1)),
    ):
        done = put(base, MAT, motion, side)  # type: ignore[arg-type]
        assert isinstance(done, Put) and done.way is Way.LAID
        assert done.out == out


def test_what_has_faces_that_stand_is_lowered() -> None:
    angle = room("left")
    box = replace(angle, plates={
        FaceKey("box", face.piece): Plate(FaceKey("box", face.piece), plate.own, plate.pose)
        for face, plate in angle.plates.items()
    }, base=FaceKey("box", "floor"))  # fmt: skip
    done = put(room("right"), box, shifted_by((-10, 0, 0)))
    # The box is 20 high, and so is the wall it goes over.
    assert isinstance(done, Put) and done.way is Way.LOWERED and done.out == (0, 0, 21)


def test_what_lies_beyond_an_edge_needs_no_way_over_it() -> None:
    """A mat that lies beyond the floor's upper edge is clear of it that way: to the left, under a
    roof that reaches as far, it goes by 90."""
    roof = {"wide": plate_at(2, 20, 0, 0, 100, 200)}
    beyond = paper("mat", 10, 90, 90, 150)
    done = put(room(**roof), beyond, shifted_by((0, 0, 5)))
    assert isinstance(done, Put) and done.out == (-90, 0, 0)


# ---- into a gap


def lined(*edges: str, floor: int | None = None, ceiling: int | None = None) -> Assembly:
    """A wall of 100 by 80 at 10 and a lining of 60 by 80 behind it, glued along some edges, or all
    over; and parallel plates further down, or up."""
    wall = paper("wall", 0, 0, 100, 80).all_moved(shifted_by((0, 0, 10)))
    pile = on(wall, paper("lining", 20, 0, 80, 80).all_moved(shifted_by((0, 0, 10))), "wall", -1)
    strips = {
        "left": Bounds(20, 0, 25, 80), "right": Bounds(75, 0, 80, 80), "all": Bounds(20, 0, 80, 80)
    }  # fmt: skip
    bonds = []
    if edges:
        spread = tuple(rectangle_region(strips[edge]) for edge in edges)
        glue = Adhesive(key("lining"), 1, spread)
        bonds = [Bond(key("lining"), key("wall"), "glue", "lining", glue)]
    plates = dict(pile.plates)
    for name, plane in (("floor", floor), ("ceiling", ceiling)):
        if plane is not None:
            made = plate_at(2, plane, 0, 0, 100, 80)
            plates[key(name)] = Plate(key(name), made.own, made.pose)
    return replace(pile, plates=plates).with_bonds(bonds)


def slid(base: Assembly, left: int = 30, right: int = 70) -> Put | Stuck:
    """Slide a card of 80 high in behind the wall."""
    card = paper("card", left, 0, right, 80)
    return slide_in(Arrival(base, card, shifted_by((0, 0, 10)), key("wall"), -1, {}), 0.0)


def behind_wall(done: Put | Stuck) -> list[str]:
    """The pieces from behind to the front at the middle."""
    assert isinstance(done, Put) and done.way is Way.SLID
    return [face.piece for face in done.after.stack_at(2, 10, (50, 40))]


def test_a_card_goes_next_behind_the_wall_where_no_glue_is() -> None:
    """A loose lining lies behind it; of one that is glued at its sides 50 are open."""
    assert behind_wall(slid(lined())) == ["lining", "card", "wall"]
    assert behind_wall(slid(lined("left", "right"))) == ["lining", "card", "wall"]
    assert behind_wall(slid(lined("left", "right"), 25, 75)) == ["lining", "card", "wall"]
    assert slid(lined("left", "right"), 24, 70) == Stuck(None)
    assert slid(lined("left", "right"), 30, 76) == Stuck(None)


def test_behind_a_lining_there_is_room_where_it_is_glued_down_or_something_closes_it() -> None:
    """Glued all over it is part of the wall; glued at its sides only in a tube, which has a far
    wall."""
    assert behind_wall(slid(lined("all"))) == ["card", "lining", "wall"]
    assert behind_wall(slid(lined("left", floor=0), 20, 70)) == ["card", "lining", "wall"]
    # A wall before it closes nothing behind it, and one in its own plane neither.
    assert slid(lined("left", ceiling=30), 20, 70) == Stuck(None)
    assert slid(lined("left"), 20, 70) == Stuck(None)
    beside = lined("left", floor=0)
    moved = beside.plates[key("floor")].moved(shifted_by((200, 0, 0)))
    assert slid(replace(beside, plates={**beside.plates, key("floor"): moved}), 20, 70) == Stuck(
        None
    )


def test_a_card_is_slid_along_the_first_way_that_is_free_of_walls_and_glue() -> None:
    """Glue along the foot is passed by no card that comes from there; over the top it goes in."""
    pile = on(paper("wall", 0, 0, 100, 80), paper("pocket", 20, 0, 80, 40), "wall")
    strip = rectangle_region(Bounds(20, 0, 80, 5))
    glue = Adhesive(key("pocket"), -1, (strip,))
    pile = pile.with_bonds([Bond(key("pocket"), key("wall"), "glue", "pocket", glue)])
    card = paper("card", 30, 10, 70, 60)
    done = slide_in(Arrival(pile, card, AT_REST, key("pocket"), -1, {}), 0.0)
    # Over the pocket's own upper edge at 40: 30 from the card's foot.
    assert isinstance(done, Put) and done.out == (0, 30, 0)
    assert [face.piece for face in done.after.stack_at(2, 0, (50, 20))] == [
        "wall", "card", "pocket"
    ]  # fmt: skip
    # A wall that stands over the top sends it out at the left: 70 - 20.
    bar = plate_at(1, 65, -9, 0, 9, 100)
    barred = {**pile.plates, key("bar"): Plate(key("bar"), bar.own, bar.pose)}
    done = slide_in(
        Arrival(replace(pile, plates=barred), card, AT_REST, key("pocket"), -1, {}), 0.0
    )
    assert isinstance(done, Put) and done.out == (-50, 0, 0)
    # Walls on all sides: the last that is met is told.
    bars = {
        "top": plate_at(1, 65, -9, 0, 9, 100), "left": plate_at(0, 15, 0, -9, 80, 9),
        "right": plate_at(0, 85, 0, -9, 80, 9), "foot": plate_at(1, 7, -9, 0, 9, 100),
    }  # fmt: skip
    shut = {key(name): Plate(key(name), each.own, each.pose) for name, each in bars.items()}
    done = slide_in(
        Arrival(
            replace(pile, plates={**pile.plates, **shut}), card, AT_REST, key("pocket"), -1, {}
        ),
        0.0,
    )
    assert done == Stuck(key("foot"))


def test_a_fold_across_the_way_is_passed_by_nothing() -> None:
    """A card folded shut at its left edge: what comes from the right goes in, as far as it does not
    reach the fold; from the left nothing does."""
    faces = [block("back", 0, 0, 50, 40), block("cover", -50, 0, 0, 40)]
    flat = assembly_of(
        case("x", [sheet("card", faces, [fold("cover", "back", (0, 0), (0, 40))])], ANY)
    )
    now = flat
    for _ in range(2):
        quarter = turned(now, FoldKey("card", "cover"), True)
        assert isinstance(quarter, Quarter)
        now = quarter.after
    # In half millimetres the card reaches from 0 to 100 and from 0 to 80.
    back = FaceKey("card", "back")
    slip = paper("slip", 10, 10, 60, 70)
    done = slide_in(Arrival(now, slip, AT_REST, back, 1, {}), 0.0)
    assert isinstance(done, Put) and done.out == (0, 70, 0)
    assert done.after.stack_at(2, 0, (30, 40)) == (back, key("slip"), FaceKey("card", "cover"))
    # One that reaches over the fold goes round the card, before its cover.
    over = slide_in(Arrival(now, paper("slip", -10, 10, 60, 70), AT_REST, back, 1, {}), 0.0)
    assert not isinstance(over, Put) or over.after.stack_at(2, 0, (30, 40))[-1] == key("slip")


ANY = turn("none", 0, 90)


# ---- out again


@pytest.mark.parametrize("axis", [0, 1, 2])
@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize("start", [-300, 0, 300])
def test_what_stands_far_off_keeps_a_piece_from_being_drawn_out_to_any_distance(
    axis: int, way: int, start: int
) -> None:
    """A wall 400 away across the way, wherever both are; the other way it is free."""
    card = plate_at(axis, start, 0, 0, 10, 10)
    wall = plate_at(axis, start + way * 400, -5, -5, 15, 15)
    plates = {key("card"): card, key("wall"): Plate(key("wall"), wall.own, wall.pose)}
    plates[key("card")] = Plate(key("card"), card.own, card.pose)
    both = Assembly(key("card"), plates, {})
    front = (0, 0, way)
    assert way_out(both, "card", key("card"), front, 0.0) == key("wall")
    assert way_out(both, "card", key("card"), (0, 0, -way), 0.0) is None
    for beside in ((1, 0, 0), (-1, 0, 0), (0, 1, 0), (0, -1, 0)):
        assert way_out(both, "card", key("card"), beside, 0.0) is None
    # Alone it goes anywhere, and what is glued to it goes along.
    alone = Assembly(key("card"), {key("card"): plates[key("card")]}, {})
    assert way_out(alone, "card", key("card"), front, 0.0) is None
    glued = both.with_bonds([Bond(key("wall"), key("card"), "glue", "wall")])
    assert way_out(glued, "card", key("card"), front, 0.0) is None


def test_a_sleeve_keeps_what_it_is_glued_round_from_going_across_it() -> None:
    """A strip lies under a card and a band over it, glued to one another on both sides of it: the
    card goes out along them, not across."""
    pile = on(paper("strip", 0, 20, 100, 40), paper("card", 30, 0, 70, 60), "strip")
    pile = on(pile, paper("band", 0, 20, 100, 40), "strip")
    ends = tuple(rectangle_region(Bounds(x, 20, x + 20, 40)) for x in (5, 75))
    glue = Adhesive(key("band"), -1, ends)
    held = pile.with_bonds([Bond(key("band"), key("strip"), "glue", "band", glue)])
    along, across = ((0, 1, 0), (0, -1, 0)), ((1, 0, 0), (-1, 0, 0))
    for way in along:
        assert way_out(held, "card", key("card"), way, 0.0) is None
    for way in across:
        assert way_out(held, "card", key("card"), way, 0.0) == key("band")
        assert way_out(pile, "card", key("card"), way, 0.0) is None
    assert way_out(held, "card", key("card"), (0, 0, 1), 0.0) == key("band")
    assert way_out(held, "card", key("card"), (0, 0, -1), 0.0) == key("strip")


# ---- a tab that comes against a wall


def corner() -> Assembly:
    """A floor of 100 by 80 mm with a back wall that stands, and a left wall that lies, the tab on
    its edge folded up: both walls are 30 high, the tab 12 wide."""
    faces = [
        block("floor", 0, 0, 100, 80), block("left", -30, 0, 0, 80), block("back", 0, 80, 100, 110),
        block("tab", -30, 80, 0, 92),
    ]  # fmt: skip
    folds = [
        fold("left", "floor", (0, 0), (0, 80)), fold("back", "floor", (0, 80), (100, 80)),
        fold("tab", "left", (-30, 80), (0, 80)),
    ]  # fmt: skip
    now = assembly_of(case("box", [sheet("box", faces, folds)], ANY))
    for name in ("tab", "back"):
        quarter = turned(now, FoldKey("box", name), True)
        assert isinstance(quarter, Quarter)
        now = quarter.after
    return now


TAB, BACK = FaceKey("box", "tab"), FaceKey("box", "back")


def test_a_tab_glides_over_no_wall_unless_it_is_tucked_in() -> None:
    """Turned up with its wall the tab comes over the back wall in the plane of that."""
    up = FoldKey("box", "left")
    stop = turned(corner(), up, True)
    assert isinstance(stop, Blocked)
    assert (stop.why, stop.fold, stop.moving, stop.by) == (Obstacle.GLIDES, up, TAB, BACK)
    for side in (1, -1):
        tucks: dict[Pair, Sense] = {(TAB, BACK): side, (BACK, TAB): -side}  # type: ignore[dict-item]
        done = turned(corner(), up, True, Manner(tucks=tucks))
        assert isinstance(done, Quarter)
        assert done.after.side_of(TAB, BACK) == side
        # Both look into the box.
        assert done.after.plates[TAB].facing == done.after.plates[BACK].facing
        assert done.after.side_of(BACK, TAB) == -side
        assert done.moved == {TAB, FaceKey("box", "left")}
    # Where it lay over the wall already it stays on its side.
    done = turned(corner(), up, True, Manner(tucks={(TAB, BACK): 1, (BACK, TAB): -1}))
    assert isinstance(done, Quarter)
    back = turned(done.after, up, False)
    assert isinstance(back, Quarter)
    # Gone again it lies over nothing.
    assert back.after.side_of(TAB, BACK) is None


def test_what_has_come_to_rest_within_something_is_told_with_what_it_is_in() -> None:
    """A floor and a wall that passes through it, 2 from its edge; and one 3 from it."""
    plates = {
        key(name): Plate(key(name), each.own, each.pose)
        for name, each in (
            ("floor", plate_at(2, 0, 0, 0, 20, 20)), ("near", plate_at(0, 2, 0, -9, 20, 9)),
            ("far", plate_at(1, 17, -9, 0, 9, 20)),
        )
    }  # fmt: skip
    whole = Assembly(key("floor"), plates, {})
    fold_of = FoldKey("floor", "face")
    stop = standing_in(whole, fold_of, {key("floor")}, 0.0)
    assert stop == Blocked(fold_of, Obstacle.CROSSES, key("floor"), key("far"), 3.0)
    stop = standing_in(whole, fold_of, {key("near"), key("far")}, 0.0)
    assert stop == Blocked(fold_of, Obstacle.CROSSES, key("far"), key("floor"), 3.0)
    assert standing_in(whole, fold_of, {key("floor")}, 3.0) is None
    assert standing_in(whole, fold_of, {key("floor")}, 2.9) is not None
    # What moves together is in no way of itself.
    assert standing_in(whole, fold_of, set(plates), 0.0) is None
    assert standing_in(whole, fold_of, set(), 0.0) is None
