"""How work lies: on the table, open, and as faces from far to near.

Sources: plates of a few sizes on squared paper, beside each check.  Lengths are units.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from gatherfold.work.assembly import Adhesive, Assembly, Bond
from gatherfold.work.finished import (
    finished_size,
    goes_inside,
    is_lowered_into,
    laying_down,
    lowest_face,
    lying,
    lying_open,
    wraps,
)
from gatherfold.work.glue_areas import glue_areas
from gatherfold.work.layers import layers_of
from gatherfold.work.moments import Placing, Work
from gatherfold.work.putting import Put, Way
from gatherfold.work.regions import Bounds, Plate, rectangle_region
from gatherfold.work.space import AT_REST, Place, SpaceLine, quarter_turn
from gatherfold.work.visible import Look, visible_parts
from tests.work.designs import DESIGNS
from tests.work.played import work_of
from tests.work.small_designs import FLAPS, latched, mm, played
from tests.work.test_paths import block as plate_at
from tests.work.test_small_parts import key, on, paper
from tests.works import placed_faces


def named(plate: Plate, name: str) -> Plate:
    return Plate(key(name), plate.own, plate.pose)


def together(*plates: Plate) -> Assembly:
    """Plates beside one another, called a, b, c; the first is the base."""
    found = {key(name): named(plate, name) for name, plate in zip("abcdef", plates, strict=False)}
    return Assembly(key("a"), found, {})


# ---- on the table


def test_a_book_that_stands_comes_to_lie_with_its_left_or_its_upper_side_up() -> None:
    """Two covers of 100 by 80, 10 apart."""
    # Across the first axis, one at the left.
    book = together(plate_at(0, -5, 0, 0, 100, 80), plate_at(0, 5, 0, 0, 100, 80))
    lain = lying(book).plates
    assert {plate.axis for plate in lain.values()} == {2}
    assert lain[key("a")].plane - lain[key("b")].plane == 10
    # Across the second one, one at the top.
    book = together(plate_at(1, 5, 0, 0, 100, 80), plate_at(1, -5, 0, 0, 100, 80))
    lain = lying(book).plates
    assert {plate.axis for plate in lain.values()} == {2}
    assert lain[key("a")].plane - lain[key("b")].plane == 10
    # What lies stays.
    flat = together(plate_at(2, 5, 0, 0, 100, 80), plate_at(2, -5, 0, 0, 100, 80))
    assert laying_down(flat) == AT_REST


@pytest.mark.parametrize(("thick", "is_laid"), [(1, True), (19, True), (20, False), (30, False)])
def test_what_is_a_quarter_as_thick_as_it_is_wide_stands(thick: int, is_laid: bool) -> None:
    """The shorter side of the covers is 80, so that 20 is a quarter of it."""
    for axis, low, high in ((0, 100, 80), (0, 80, 100), (1, 100, 80), (1, 80, 100)):
        covers = (plate_at(axis, 0, 0, 0, low, high), plate_at(axis, thick, 0, 0, low, high))
        assert (laying_down(together(*covers)) != AT_REST) is is_laid


def test_of_equal_sizes_it_lies_as_it_is() -> None:
    """A plate of 40 with another one that stands on its edge: 0 thick nowhere, 40 by 40 by 9."""
    flat = together(plate_at(2, 0, 0, 0, 40, 40), plate_at(2, 9, 0, 0, 40, 40))
    assert laying_down(flat) == AT_REST
    # A line, as thin upright as across: it lies.
    line = together(plate_at(2, 0, 0, 0, 0, 40))
    assert laying_down(line) == AT_REST


def test_work_rests_on_the_largest_of_its_lowest_faces() -> None:
    low = [plate_at(2, -3, 0, 0, 10, 10), plate_at(2, -3, 20, 0, 31, 10)]
    high, standing = plate_at(2, 0, 0, 0, 90, 90), plate_at(0, -9, -9, -9, 90, 90)
    assert lowest_face(together(high, standing, *low)) == key("d")
    assert lowest_face(together(*low, high)) == key("b")
    # A slim one is smaller than a square one that is not as long.
    assert lowest_face(together(plate_at(2, 0, 0, 0, 40, 2), plate_at(2, 0, 0, 0, 10, 9))) == key(
        "b"
    )
    assert lowest_face(together(plate_at(2, 0, 5, 5, 15, 15), plate_at(2, 0, 0, 0, 9, 10))) == key(
        "a"
    )


# ---- open


def lowered(box: Bounds, out: Place = (0, 0, 50)) -> Placing:
    """A plate that is put down on a floor of 100 by 80."""
    before = on(paper("floor", 0, 0, 100, 80), paper("mat", 2, 2, 98, 78), "floor")
    after = on(before, paper("it", box.left, box.bottom, box.right, box.top), "floor")  # type: ignore[arg-type]
    return Placing("it", key("floor"), before, Put(after, Way.LOWERED, out), False)


@pytest.mark.parametrize(
    ("box", "is_inside"),
    [
        (Bounds(1, 1, 99, 79), True),
        (Bounds(-1, -1, 101, 81), False),
        # As wide, or as long, as what it is put on it goes over it.
        (Bounds(0, 1, 99, 79), False),
        (Bounds(1, 0, 99, 79), False),
        (Bounds(1, 1, 100, 79), False),
        (Bounds(1, 1, 99, 80), False),
    ],
)
def test_what_is_smaller_all_round_goes_inside(box: Bounds, is_inside: bool) -> None:
    assert goes_inside(lowered(box)) is is_inside
    # Along its way out it may reach beyond.
    along: Place = (50, 0, 0)
    assert not goes_inside(lowered(box, along))


@pytest.mark.parametrize(
    ("box", "is_between"),
    [
        (Bounds(1, 1, 99, 79), True),
        # As wide and as long as what stands there it touches that on every side.
        (Bounds(0, 0, 100, 80), True),
        (Bounds(-1, 0, 100, 80), False),
        (Bounds(0, -1, 100, 80), False),
        (Bounds(0, 0, 101, 80), False),
        (Bounds(0, 0, 100, 81), False),
    ],
)
def test_what_is_lowered_into_something_may_touch_it_and_not_reach_over_it(
    box: Bounds, is_between: bool
) -> None:
    placing = lowered(box)
    assert is_lowered_into(placing) is is_between
    # What is glued in, or slid in, is not lowered.
    assert not is_lowered_into(replace(placing, is_glued=True))
    slid = replace(placing, put=replace(placing.put, way=Way.SLID))
    assert not is_lowered_into(slid)


def test_work_that_a_latch_shuts_lies_open_with_the_latch_where_it_was() -> None:
    """What is last is a turn of the latch over the flap: that is part of its closing."""
    opened = lying_open(latched())
    assert dict(opened.angles) == {}
    assert opened.plates[key("latch")].pose == latched().opened.plates[key("latch")].pose


def test_what_is_only_closed_lies_open_as_it_was_before_its_first_fold() -> None:
    loose = FLAPS.replace(", PLACE", "").replace("TAG", "dry_fit: all")
    work = played(loose)
    assert all(moment.operation == "close" for moment in work.moments)
    opened = lying_open(work)
    assert dict(opened.angles) == {} and "card" in opened.pieces
    assert opened is work.opened


def test_work_lies_open_as_it_was_after_what_was_done_first() -> None:
    """A tag is glued on the middle before the only fold that is closed by name."""
    text = FLAPS.replace("PLACE", "on: card.back").replace("TAG", "attach: tag")
    text = text.replace("close: all", "close: card.wing")
    work = played(text.replace("closing: [card.wing, card.flap]\n", ""))
    assert work.problems == () and len(work.moments) == 2
    assert {str(fold): angle for fold, angle in work.opened.angles.items()} == {"card.wing": 180}
    opened = lying_open(work)
    assert dict(opened.angles) == {} and set(opened.pieces) == {"card", "tag"}


def test_what_is_glued_shut_stays_shut_when_the_work_lies_open() -> None:
    """The flap is glued down along its seam; the wing, which is not, opens again."""
    text = (
        FLAPS.replace(", PLACE", "")
        .replace("seams: {flap: none, wing: none}", "seams: {wing: none}")
        .replace("TAG", "dry_fit: all")
        .replace("close: all", "close: card.flap")
        .replace("closing: [card.wing, card.flap]\n", "")
    )
    work = played(text + "  - {title: Shut, text: Shut., close: card.wing}\n")
    assert work.problems == ()
    assert {str(fold): angle for fold, angle in work.closed.angles.items()} == {
        "card.flap": 180, "card.wing": 180
    }  # fmt: skip
    opened = lying_open(work)
    assert {str(fold): angle for fold, angle in opened.angles.items()} == {"card.flap": 180}


def test_the_size_of_closed_work() -> None:
    """Sections of 50, 60 and 55 by 80: closed over the middle one of 60."""
    work = played(FLAPS.replace(", PLACE", "").replace("TAG", "dry_fit: all"))
    assert finished_size(work) == (60, 80, 0)
    # A flap that closes over the card stands 4 over it.
    assert finished_size(latched()) == (100, 80, 4)
    assert mm(latched(), latched().closed.plates[key("flap")].plane) == Fraction(4)


# ---- from far to near


def test_faces_that_look_along_every_axis_are_placed() -> None:
    """Three walls of a corner; each once, ranks from 0 on."""
    corner = together(
        plate_at(2, 0, 0, 0, 9, 9), plate_at(1, 0, 0, 0, 9, 9), plate_at(0, 0, 0, 0, 9, 9)
    )
    faces = placed_faces(corner, 2)
    assert sorted(face.piece for face in faces) == ["a", "b", "c"]
    assert [face.rank for face in faces] == [0, 1, 2]
    # Those that look along one axis lie together, from its negative end on.
    both = together(
        plate_at(0, 7, 0, 0, 9, 9), plate_at(2, 1, 0, 0, 9, 9), plate_at(0, 2, 0, 0, 9, 9)
    )
    assert [face.piece for face in placed_faces(both, 1) if face.piece != "b"] == ["c", "a"]


def test_only_faces_that_are_asked_for_are_worked_out() -> None:
    pile = on(paper("base", 0, 0, 10, 10), paper("mat", 1, 1, 9, 9), "base")
    parts = visible_parts(pile, Look(2, 1), of=[key("base")])
    assert {face.piece: part.area for face, part in parts.items()} == {"base": 100 - 64}
    assert visible_parts(pile, Look(2, 1), of=()) == {}
    assert len(visible_parts(pile, Look(2, 1))) == 2


def test_a_pile_is_painted_from_its_lowest_sheet_on() -> None:
    pile = on(on(paper("base", 0, 0, 10, 10), paper("mat", 1, 1, 9, 9), "base"), paper(
        "back", 2, 2, 8, 8
    ), "base", -1)  # fmt: skip
    sheets = layers_of(pile, Look(2, 1), 0)
    assert [(face.piece, box) for face, box in sheets] == [
        ("back", Bounds(2, 2, 8, 8)), ("base", Bounds(0, 0, 10, 10)), ("mat", Bounds(1, 1, 9, 9))
    ]  # fmt: skip
    assert layers_of(pile, Look(2, 1), 1) == layers_of(pile, Look(0, 1), 0) == []


# ---- glue in strips


@pytest.mark.parametrize(
    ("strip", "edges"),
    [
        (Bounds(200, 300, 240, 306), ("bottom",)),
        (Bounds(200, 324, 240, 330), ("top",)),
        (Bounds(200, 300, 206, 330), ("left",)),
        (Bounds(234, 300, 240, 330), ("right",)),
    ],
)
def test_along_which_edge_of_its_face_a_strip_of_glue_lies(
    strip: Bounds, edges: tuple[str, ...]
) -> None:
    """A face of 40 by 30 that begins at (200, 300) of its own piece, on a card of 400 by 400."""
    pile = on(paper("card", 0, 0, 400, 400), paper("it", 200, 300, 240, 330), "card")
    adhesive = Adhesive(key("it"), -1, (rectangle_region(strip),))
    (area,) = glue_areas(pile, [Bond(key("it"), key("card"), "glue", "it", adhesive)])
    assert area.edges == edges
    box = (strip.right - strip.left) * (strip.top - strip.bottom)
    assert area.glue.area == pytest.approx(float(box))
    assert (area.whole.area, area.meeting.area) == (1200, 1200)


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
def test_glue_lies_in_the_face_s_own_coordinates_however_it_lies(turns: int) -> None:
    """A card under the left half of the face, an upper card under a part of that; dry at its foot.

    By hand: 20 by 30 meet, of which 10 by 30 meet the upper card; 6 at the foot are kept dry.
    """
    lower = on(paper("card", 0, 0, 220, 400), paper("upper", 0, 0, 210, 400), "card")
    pile = on(lower, paper("it", 200, 300, 240, 330), "card")
    motion = AT_REST
    for axis in range(turns):
        motion = quarter_turn(SpaceLine(axis, (3, 5)), 1).then(motion)
    pile = pile.all_moved(motion)
    adhesive = Adhesive(
        key("it"), -1,
        (rectangle_region(Bounds(200, 300, 240, 330)),),
        (rectangle_region(Bounds(200, 300, 240, 306)),),
    )  # fmt: skip
    bonds = [Bond(key("it"), key(name), "glue", "it", adhesive) for name in ("card", "upper")]
    (area,) = glue_areas(pile, bonds)
    assert area.meeting.bounds == pytest.approx((200, 300, 220, 330))
    assert area.glue.bounds == pytest.approx((200, 306, 220, 330))
    assert {face.piece: share for face, share in area.shares.items()} == {
        "card": pytest.approx(0.5), "upper": pytest.approx(0.5)
    }  # fmt: skip
    assert area.parts[key("upper")].bounds == pytest.approx((200, 300, 210, 330))
    assert area.joined == (key("card"), key("upper"))


def test_two_strips_of_one_adhesive_are_one_area_and_two_sides_are_two() -> None:
    pile = on(paper("card", 0, 0, 100, 100), paper("it", 10, 10, 50, 40), "card")
    pile = on(pile, paper("cover", 0, 0, 100, 100), "it")
    low, high = (rectangle_region(Bounds(10, y, 50, y + 5)) for y in (10, 35))
    bonds = [
        Bond(key("it"), key("card"), "glue", "it", Adhesive(key("it"), -1, (low,))),
        Bond(key("it"), key("card"), "glue", "it", Adhesive(key("it"), -1, (high,))),
        Bond(key("it"), key("cover"), "glue", "it", Adhesive(key("it"), 1, (high,))),
        Bond(key("it"), key("card"), "pin", "brad"),
    ]
    back, front = glue_areas(pile, bonds)
    assert back.glue.area == pytest.approx(2 * 40 * 5) and set(back.edges) == {"bottom", "top"}
    assert front.glue.area == pytest.approx(40 * 5) and front.joined == (key("cover"),)


def test_a_lid_goes_round_a_box_when_its_own_walls_are_folded() -> None:
    """Whatever the box inside does; with one of its walls flat it is no lid."""
    work = work_of(next(file for file in DESIGNS if file.stem == "box-in-box"))
    assert set(dict(wraps(work))) == {"lid"}

    def opened(piece: str) -> Work:
        """With one fold of a piece open."""
        fold = next(each for each in work.closed.angles if each.piece == piece)
        angles = {each: angle for each, angle in work.closed.angles.items() if each != fold}
        return replace(work, closed=replace(work.closed, angles=angles))

    assert set(dict(wraps(opened("outer")))) == {"lid"}
    assert dict(wraps(opened("lid"))) == {}
