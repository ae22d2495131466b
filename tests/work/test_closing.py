"""In which order folds close where the design leaves it open.

Source: the rule of the work: least height first, then what is dry, then what came first, then by
place and size; nothing closes through anything else.  Sizes are mm, doubled to units.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from gatherfold.work import closing
from gatherfold.work.adhesive import is_met, unmet_demands
from gatherfold.work.assembly import Adhesive, Assembly, FoldKey
from gatherfold.work.closing import (
    Closed,
    Demand,
    Turn,
    close,
    close_in_order,
    in_order_of_height,
    turn_fully,
)
from gatherfold.work.regions import Bounds, FaceKey, rectangle_region
from gatherfold.work.space import SpaceLine, quarter_turn
from gatherfold.work.turning import Blocked, Manner, Obstacle
from tests.work.agreement import assembly_of
from tests.work.hand_made import UP, block, case, fold, sheet, turn, with_post
from tests.work.made import Glued, LiesOn, WorkFace, WorkFold

ANY = turn("none", 0, 90)


def plate(*flaps: tuple[str, tuple[int, int, int, int], WorkFold], name: str = "sheet") -> Assembly:
    """A plate of 100 by 80 with flaps."""
    faces: list[WorkFace] = [block("plate", 0, 0, 100, 80)]
    faces += [block(each, *area) for each, area, _ in flaps]
    return assembly_of(case("x", [sheet(name, faces, [hung for _, _, hung in flaps])], ANY))


LEFT = ("z", (-30, 10, 0, 70), fold("z", "plate", (0, 10), (0, 70)))
RIGHT = ("a", (100, 10, 130, 70), fold("a", "plate", (100, 70), (100, 10)))
TOP = ("m", (10, 80, 90, 110), fold("m", "plate", (10, 80), (90, 80)))
BOTTOM = ("b", (10, -30, 90, 0), fold("b", "plate", (90, 0), (10, 0)))


def order(done: Closed) -> list[str]:
    assert not done.stops
    return [each.fold.hanging for each in done.turns]


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_of_equals_the_left_one_closes_before_the_right_one(turns: int) -> None:
    """As the plate has it, wherever it lies, and whatever the flaps are called."""
    flat = plate(RIGHT, LEFT)
    for axis in range(turns):
        flat = flat.all_moved(quarter_turn(SpaceLine(axis, (3, 5)), 1))
    done = close(flat, flat.creases, Manner(0.0))
    assert order(done) == ["z", "a"]
    # All are made for 180 degrees.
    assert set(done.after.angles.values()) == {180}


def test_of_equals_the_lower_one_closes_before_the_upper_one() -> None:
    flat = plate(TOP, BOTTOM)
    assert order(close(flat, flat.creases, Manner(0.0))) == ["b", "m"]
    # What came first goes first, wherever it lies.
    came = Manner(0.0, came={"sheet": 3})
    assert order(close(flat, flat.creases, came)) == ["b", "m"]


def walls(low: int, high: int) -> Assembly:
    """Two walls made for 90 degrees, the left one ``low``."""
    flat = plate(
        ("z", (-low, 10, 0, 70), fold("z", "plate", (0, 10), (0, 70))),
        ("a", (100, 10, 100 + high, 70), fold("a", "plate", (100, 70), (100, 10))),
    )
    creases = {
        key: type(crease)(**{**crease.__dict__, "closed": 90})
        for key, crease in flat.creases.items()
    }
    return Assembly(flat.base, flat.plates, creases)


def test_the_lower_one_closes_first() -> None:
    assert order(close(walls(30, 20), walls(30, 20).creases, Manner(0.0))) == ["a", "z"]
    assert order(close(walls(20, 30), walls(20, 30).creases, Manner(0.0))) == ["z", "a"]
    done = close(walls(20, 30), walls(20, 30).creases, Manner(0.0))
    assert set(done.after.angles.values()) == {90}
    # A flap that lies flat is lower than any wall.
    flat = plate(LEFT, RIGHT)
    creases = dict(flat.creases)
    left = FoldKey("sheet", "z")
    creases[left] = type(creases[left])(**{**creases[left].__dict__, "closed": 90})
    mixed = Assembly(flat.base, flat.plates, creases)
    assert order(close(mixed, mixed.creases, Manner(0.0))) == ["a", "z"]
    # What is closed already is left as it is, and what is not named too.
    half = turn_fully(flat, left, 180, Manner(0.0))
    assert isinstance(half, Turn) and len(half.quarters) == 2
    assert half.moved == {FaceKey("sheet", "z")} and half.is_closing
    assert order(close(half.after, flat.creases, Manner(0.0))) == ["a"]
    assert order(close(flat, [left], Manner(0.0))) == ["z"]
    back = turn_fully(half.after, left, 0, Manner(0.0))
    assert isinstance(back, Turn) and not back.is_closing
    assert dict(back.after.angles) == {}


def test_of_two_flaps_over_one_another_the_shorter_fold_closes_first() -> None:
    """Two sheets on one another, whose flaps have one middle: 100 and 60 long."""
    lower = sheet(
        "lower",
        [block("plate 1", 0, 0, 100, 80), block("long", 0, 80, 100, 110)],
        [fold("long", "plate 1", (0, 80), (100, 80))],
    )
    upper = sheet(
        "upper",
        [block("plate 2", 0, 0, 100, 80), block("short", 20, 80, 80, 110)],
        [fold("short", "plate 2", (20, 80), (80, 80))],
    )
    over = tuple(
        LiesOn(one, other, "front") for one, other in (("plate 2", "plate 1"), ("short", "long"))
    )
    glued = (Glued("plate 2", "plate 1"),)
    both = assembly_of(case("x", [lower, upper], ANY, glued=glued, lies_on=over))
    assert order(close(both, both.creases, Manner(0.0))) == ["short", "long"]
    # The sheet that came first goes first all the same.
    later = Manner(0.0, came={"lower": 1, "upper": 2})
    first = close(both, both.creases, later).turns[0]
    assert first.fold.hanging == "long"


def test_what_is_glued_closes_after_what_is_dry() -> None:
    """The left flap has adhesive on its inner side: the right one goes under it."""
    flat = plate(LEFT, RIGHT)
    key = FaceKey("sheet", "z")
    glue = Adhesive(key, 1, (flat.plates[key].own,))
    demand = Demand(glue, (FaceKey("sheet", "plate"),), "sheet")
    done = close(flat, flat.creases, Manner(0.0, demands=(demand,)))
    assert order(done) == ["a", "z"] and done.unmet == ()
    # Adhesive on its outer side meets nothing: all the same both close, and it is told.
    outside = Demand(Adhesive(key, -1, (flat.plates[key].own,)), (), "sheet")
    missed = close(flat, flat.creases, Manner(0.0, demands=(outside,)))
    assert missed.unmet == (outside,) and len(missed.turns) == 2
    # Met by something else than its target it is not met.
    elsewhere = Demand(glue, (FaceKey("sheet", "a"),), "sheet")
    assert close(flat, flat.creases, Manner(0.0, demands=(elsewhere,))).unmet == (elsewhere,)


def test_of_two_glued_flaps_the_one_that_the_other_is_glued_to_closes_first() -> None:
    """Flaps of 60 from both sides of a plate of 100; the left one has to lie on the right one."""
    flat = plate(
        ("z", (-60, 10, 0, 70), fold("z", "plate", (0, 10), (0, 70))),
        ("a", (100, 10, 160, 70), fold("a", "plate", (100, 70), (100, 10))),
    )
    left, right = FaceKey("sheet", "z"), FaceKey("sheet", "a")
    demands = tuple(
        Demand(Adhesive(own, 1, (flat.plates[own].own,)), (other,), "sheet")
        for own, other in ((left, right), (right, FaceKey("sheet", "plate")))
    )
    done = close(flat, flat.creases, Manner(0.0, demands=demands))
    assert order(done) == ["a", "z"] and done.unmet == ()
    # Of equals the left one closes first.
    other_way = tuple(replace(demand, targets=()) for demand in demands)
    assert order(close(flat, flat.creases, Manner(0.0, demands=other_way))) == ["z", "a"]


def test_a_roof_that_is_folded_on_down_its_wall_is_lower_than_a_higher_wall() -> None:
    """A wall of 30 stands, with a roof of 20 that comes down inside of it; another has 40."""
    flat = plate(
        ("wall", (-30, 10, 0, 70), fold("wall", "plate", (0, 10), (0, 70))),
        ("roof", (-50, 10, -30, 70), fold("roof", "wall", (-30, 10), (-30, 70))),
        ("a", (100, 10, 140, 70), fold("a", "plate", (100, 70), (100, 10))),
    )
    wall, roof, other = (FoldKey("sheet", name) for name in ("wall", "roof", "a"))
    creases = dict(flat.creases)
    creases |= {each: replace(creases[each], closed=90) for each in (wall, other)}
    now = replace(flat, creases=creases)
    for each in (wall, roof):
        up = turn_fully(now, each, 90, Manner(0.0))
        assert isinstance(up, Turn)
        now = up.after
    assert order(close(now, creases, Manner(0.0))) == ["roof", "a"]


def test_what_cannot_close_says_what_stops_it() -> None:
    """A post stands under the top flap."""
    made = assembly_of(with_post("x", "top", UP, place=(40, 60, 20, 10)))
    up = turn_fully(made, FoldKey("post", "post"), 90, Manner(0.0))
    assert isinstance(up, Turn)
    top = FoldKey("plate", "top")
    done = close(up.after, [top], Manner(0.0))
    assert [(stop.fold, stop.why, stop.by.face) for stop in done.stops] == [
        (top, Obstacle.CROSSES, "post")
    ]
    assert done.turns == () and done.after is up.after
    assert isinstance(turn_fully(up.after, top, 180, Manner(0.0)), Blocked)
    # Group after group: what is stopped is told, and closed all the same.
    both = close_in_order(up.after, [[top], [FoldKey("post", "post")]], Manner(0.0))
    assert len(both.stops) == 1
    assert [each.fold.hanging for each in both.turns] == ["top", "post"]
    # As far as a hand-cut edge may be off it does close.
    assert not close(up.after, [top], Manner(100.0)).stops


def test_a_search_that_takes_too_long_leaves_all_as_it_was() -> None:
    flat = plate(LEFT, RIGHT)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(closing, "MOST_TRIALS", 0)
        done = close(flat, flat.creases, Manner(0.0))
        assert done.turns == () and done.after is flat and done.start is flat
        patch.setattr(closing, "MOST_TRIALS", 2)
        assert order(close(flat, flat.creases, Manner(0.0))) == ["z", "a"]


def test_an_order_is_found_where_the_lower_one_may_not_go_first() -> None:
    """A short flap and a long one over it: the short one is as low, and lies to the right; but it
    has adhesive outside, which the long one has to come over."""
    flat = plate(
        ("z", (-90, 10, 0, 70), fold("z", "plate", (0, 10), (0, 70))),
        ("a", (100, 10, 130, 70), fold("a", "plate", (100, 70), (100, 10))),
    )
    key = FaceKey("sheet", "a")
    strips = (rectangle_region(Bounds(240, 20, 260, 140)),)
    outside = Demand(Adhesive(key, -1, strips), (FaceKey("sheet", "z"),), "sheet")
    done = close(flat, flat.creases, Manner(0.0, demands=(outside,)))
    # The strip lies from 70 to 80 of the plate, the long flap reaches from 0 to 90.
    assert order(done) == ["a", "z"] and done.unmet == ()
    assert done.after.side_of(key, FaceKey("sheet", "z")) == -1


def test_of_two_flaps_in_one_place_that_on_the_left_line_is_looked_at_first() -> None:
    """One hangs on a left plate and one on a right plate, both over the gap of 30 between them: the
    upper one has to turn away before the lower one can."""
    base = sheet("base", [block("ground", 0, 0, 230, 80)], [])
    left = sheet(
        "left", [block("plate 1", 0, 0, 100, 80), block("under", 100, 0, 130, 80)],
        [fold("under", "plate 1", (100, 80), (100, 0))],
    )  # fmt: skip
    right = sheet(
        "right", [block("plate 2", 130, 0, 230, 80), block("over", 100, 0, 130, 80)],
        [fold("over", "plate 2", (130, 0), (130, 80))],
    )  # fmt: skip
    names = ("plate 1", "under", "plate 2", "over")
    lies = tuple(LiesOn(name, "ground", "front") for name in names)
    made = case(
        "x", [base, left, right], ANY,
        glued=(Glued("plate 1", "ground"), Glued("plate 2", "ground")),
        lies_on=(*lies, LiesOn("over", "under", "front")),
    )  # fmt: skip
    both = assembly_of(made)
    folds = [FoldKey("left", "under"), FoldKey("right", "over")]
    for given in (folds, folds[::-1]):
        assert order(close(both, given, Manner(0.0))) == ["over", "under"]
        assert [each.hanging for each in in_order_of_height(both, given, Manner(0.0))] == [
            "under", "over"
        ]  # fmt: skip


def test_adhesive_on_what_is_not_there_meets_nothing() -> None:
    flat = plate(LEFT)
    there = FaceKey("sheet", "z")
    area = flat.plates[there].own
    for face, is_there in ((FaceKey("elsewhere", "z"), False), (there, True)):
        for targets in ((), (FaceKey("sheet", "plate"),)):
            demand = Demand(Adhesive(face, 1, (area,)), targets, "sheet")
            assert not is_met(flat, demand) and unmet_demands(flat, [demand]) == (demand,)
            closed = turn_fully(flat, FoldKey("sheet", "z"), 180, Manner(0.0))
            assert isinstance(closed, Turn)
            assert is_met(closed.after, demand) is is_there
            assert unmet_demands(closed.after, [demand]) == (() if is_there else (demand,))
