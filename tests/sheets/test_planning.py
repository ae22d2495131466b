"""What a plan promises: least cost first, proof, settings, determinism, limits as data."""

from fractions import Fraction
from itertools import pairwise

import pytest

from gatherfold.sheets import Pin, Rectangle, Sheet, Trimmer, plan
from tests.sheets.checker import verify

CARD = Sheet("card", 12, 12)


def copies(name: str, width: int, height: int, count: int, turns: bool = False) -> list[Rectangle]:
    return [Rectangle(f"{name}{i}", width, height, turns) for i in range(count)]


def test_nine_equal_squares_take_one_sheet_and_two_settings() -> None:
    found = plan(copies("q", 4, 4, 9), CARD)
    assert (len(found.sheets), found.status) == (1, "proven minimal")
    # Two cuts part the strips and two each of the three strips; all are set to 4.
    assert (found.cuts, found.settings) == (8, 1)


def test_equal_settings_follow_one_another() -> None:
    pieces = copies("a", 5, 4, 2) + copies("b", 3, 4, 3)
    found = plan(pieces, CARD)
    settings = [cut.setting for cut in found.sheets[0].cuts]
    assert found.settings == 1 + sum(a != b for a, b in pairwise(settings))
    assert found.settings <= 4


def test_the_same_input_and_seed_give_the_same_plan() -> None:
    pieces = [Rectangle(str(i), 3 + i * 7 % 5, 2 + i * 5 % 7, True) for i in range(24)]
    first = plan(pieces, CARD, time_limit=20, seed=4)
    assert plan(pieces, CARD, time_limit=20, seed=4) == first


def test_lengths_stay_exact() -> None:
    third = Fraction(1, 3)
    found = plan([Rectangle(str(i), 4, third) for i in range(108)], CARD)
    assert (len(found.sheets), found.proven) == (1, True)
    assert {placed.height for placed in found.sheets[0].placed} == {third}
    assert found.sheets[0].offcuts == ()


def test_odd_fractions_are_planned_exactly() -> None:
    # The common denominator has twelve digits: no bound may overflow.
    pieces = [Rectangle(str(i), 6 - Fraction(1, 999_983), 4, True) for i in range(6)]
    pieces.append(Rectangle("odd", Fraction(1, 1_000_003), 4))
    found = plan(pieces, CARD)
    assert verify(found, pieces) == []
    assert (found.cost, found.bound) == (1, 1)


def test_a_sheet_of_which_there_is_none_gives_nothing() -> None:
    found = plan([Rectangle("a", 1, 1)], Sheet("s", 12, 12, count=0))
    assert (found.sheets, found.unplaced[0].code) == ((), "not-enough-sheets")


def test_a_single_piece_with_dearer_sheets_to_spare_is_settled() -> None:
    # One piece is too few to list the largest share of: that must not be tried.
    found = plan([Rectangle("a", 5, 5)], [Sheet("s", 6, 12, cost=2), Sheet("t", 9, 5, cost=3)])
    assert (found.cost, found.proven) == (2, True)


def test_a_float_length_is_refused() -> None:
    with pytest.raises(TypeError, match=r"0\.5"):
        plan([Rectangle("a", 0.5, 1)], CARD)  # type: ignore[arg-type]


def test_two_pieces_with_one_key_are_refused() -> None:
    with pytest.raises(ValueError, match="key of its own"):
        plan([Rectangle("a", 1, 1), Rectangle("a", 2, 2)], CARD)


def test_no_pieces_take_no_sheets() -> None:
    found = plan([], CARD)
    assert (found.sheets, found.cost, found.proven) == ((), 0, True)


def test_a_piece_without_leave_to_turn_is_not_turned() -> None:
    long = [Rectangle("a", 2, 12), Rectangle("b", 2, 12)]
    assert len(plan(long, Sheet("s", 12, 12)).sheets) == 1
    tall = plan([Rectangle("a", 3, 5, True)], Sheet("s", 5, 3))
    assert tall.sheets[0].placed[0].turned
    assert plan([Rectangle("a", 3, 5)], Sheet("s", 5, 3)).unplaced[0].code == (
        "piece-larger-than-sheet"
    )


def test_scraps_on_hand_are_used_before_a_new_sheet() -> None:
    scrap = Sheet("scrap", 6, 4, count=1, cost=0)
    pieces = [Rectangle("big", 12, 12), Rectangle("small", 6, 4)]
    found = plan(pieces, [CARD, scrap])
    assert sorted(one.sheet.name for one in found.sheets) == ["card", "scrap"]
    assert (found.cost, found.proven) == (1, True)


def test_the_cheaper_mix_of_sheets_is_chosen() -> None:
    small, large = Sheet("small", 10, 10, cost=3), Sheet("large", 20, 10, cost=5)
    found = plan(copies("q", 10, 10, 3), [small, large])
    assert sorted(one.sheet.name for one in found.sheets) == ["large", "small"]
    assert (found.cost, found.bound) == (8, 8)


def test_a_piece_comes_from_the_sheet_it_names() -> None:
    pieces = [Rectangle("a", 2, 2, sheet="blue"), Rectangle("b", 2, 2)]
    found = plan(pieces, [CARD, Sheet("blue", 12, 12)])
    assert verify(found, pieces) == []
    where = {p.key: one.sheet.name for one in found.sheets for p in one.placed}
    assert where["a"] == "blue"


def test_margins_stay_free() -> None:
    printed = Sheet("printed", 12, 12, margins=(0, 0, Fraction(1, 2), 0))
    pieces = copies("q", 4, 4, 9)
    found = plan(pieces, printed)
    assert verify(found, pieces) == []
    assert len(found.sheets) == 2


def test_three_pinned_motifs_and_what_goes_round_them_take_one_sheet() -> None:
    motifs = [
        Rectangle("heron", 4, 6, pin=Pin(0, 6)),
        Rectangle("reed", 3, 3, pin=Pin(8, 1)),
        Rectangle("boat", 5, 2, pin=Pin(5, 9)),
        Rectangle("strip", 12, 1, pin=Pin(edge="bottom")),
        Rectangle("tag", 2, 2, pin=Pin(region=(4, 4, 9, 8))),
    ]
    pieces = motifs + [Rectangle(f"small{i}", 2, 1, True) for i in range(6)]
    found = plan(pieces, CARD)
    assert verify(found, pieces) == []
    assert (len(found.sheets), found.proven, found.unplaced) == (1, True, ())


def test_twelve_copies_of_one_motif_prove_twelve_sheets() -> None:
    motifs = [Rectangle(f"heron{k}", 4, 4, pin=Pin(1 + k % 2, 1)) for k in range(12)]
    tags = copies("tag", 3, 3, 12)
    found = plan(motifs + tags, CARD)
    assert verify(found, motifs + tags) == []
    assert (found.cost, found.bound) == (12, 12)


def test_pieces_that_name_their_sheet_bound_that_sheet() -> None:
    pieces = [Rectangle(f"a{i}", 7, 7, sheet="blue") for i in range(3)]
    found = plan(pieces, [Sheet("large", 24, 24, cost=2), Sheet("blue", 12, 12, cost=5)])
    assert (found.cost, found.bound) == (15, 15)


def test_a_long_sheet_is_first_cut_across_for_a_short_trimmer() -> None:
    roll = Sheet("roll", 12, 36)
    trimmer = Trimmer(longest_cut=12)
    pieces = copies("q", 6, 9, 8)
    found = plan(pieces, roll, trimmer=trimmer)
    assert verify(found, pieces, trimmer) == []
    assert (found.sheets[0].cuts[0].axis, len(found.sheets)) == ("horizontal", 1)


def test_the_class_kit_is_planned_as_one() -> None:
    # One kit alone needs two sheets; twelve kits need less than twenty-four.
    kit = [(8, 8), (8, 3), (3, 8), (4, 4), (4, 4)]
    pieces = [
        Rectangle(f"kit{k} piece{i}", w, h, True) for k in range(12) for i, (w, h) in enumerate(kit)
    ]
    found = plan(pieces, CARD)
    assert verify(found, pieces) == []
    assert found.cost < 24


class TestImpossibleDemands:
    """They come back as data with the numbers and what would do."""

    def test_a_piece_larger_than_the_sheet(self) -> None:
        (problem,) = plan([Rectangle("mat", 13, 3)], CARD).unplaced
        assert problem.code == "piece-larger-than-sheet"
        assert (problem.numbers["width"], problem.numbers["sheet_width"]) == (13, 12)
        assert problem.remedy == {"width": 12, "height": 3}

    def test_a_piece_that_would_fit_turned(self) -> None:
        (problem,) = plan([Rectangle("mat", 14, 3)], Sheet("s", 4, 20)).unplaced
        assert "turns" in problem.remedy

    def test_two_pins_that_overlap_on_the_only_sheet(self) -> None:
        pieces = [Rectangle("a", 3, 3, pin=Pin(1, 1)), Rectangle("b", 3, 3, pin=Pin(2, 3))]
        found = plan(pieces, Sheet("s", 12, 12, count=1))
        (problem,) = found.unplaced
        assert problem.code == "pins-overlap"
        assert {*problem.pieces, *problem.against} == {"a", "b"}
        assert (problem.numbers["overlap_width"], problem.numbers["overlap_height"]) == (2, 1)
        assert problem.remedy == {"sheet": "s", "more_sheets": 1}
        assert verify(found, pieces) == []

    def test_more_pieces_than_the_sheets_can_give(self) -> None:
        found = plan(copies("q", 7, 7, 5), Sheet("s", 12, 12, count=2))
        (problem,) = found.unplaced
        assert (problem.code, len(problem.pieces)) == ("not-enough-sheets", 3)
        assert problem.remedy == {"sheet": "s", "more_sheets": 3}
        assert len(found.sheets) == 2

    def test_a_strip_thinner_than_the_trimmer_holds(self) -> None:
        strip = Rectangle("strip", 6, Fraction(1, 8))
        (problem,) = plan([strip], CARD, trimmer=Trimmer(12, Fraction(1, 4))).unplaced
        assert problem.code == "strip-too-narrow"
        assert problem.remedy == {"width": Fraction(1, 4)}

    def test_a_cut_longer_than_the_trimmer(self) -> None:
        (problem,) = plan(
            [Rectangle("panel", 14, 14)], Sheet("s", 24, 24), trimmer=Trimmer(12)
        ).unplaced
        assert problem.code == "cut-too-long"

    def test_a_pin_that_leaves_the_sheet(self) -> None:
        (problem,) = plan([Rectangle("a", 4, 4, pin=Pin(10, 2))], CARD).unplaced
        assert (problem.code, problem.remedy) == ("pin-outside-sheet", {"move_by": 2})
