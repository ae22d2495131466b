"""Every plan, replayed cut by cut by the independent checker, gives exactly the pieces."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings, strategies as st

from gatherfold.sheets import Cut, Pin, Plan, Rectangle, Sheet, Trimmer, plan, plan_kits
from gatherfold.sheets.model import Length
from tests.sheets.checker import ImpossibleCut, replay, verify

LIMIT = 0.05


def lengths(least: int, most: int) -> st.SearchStrategy[Fraction | int]:
    """Whole lengths, and eighths."""
    return st.one_of(
        st.integers(least, most),
        st.integers(least * 8, most * 8).map(lambda eighths: Fraction(eighths, 8)),
    )


def one_of(*values: Length) -> st.SearchStrategy[Length]:
    """One of a few lengths or prices."""
    return st.sampled_from(values)


@st.composite
def rectangles(draw: st.DrawFn) -> list[Rectangle]:
    """Up to fourteen pieces, some larger than the sheet."""
    count = draw(st.integers(1, 14))
    return [
        Rectangle(f"p{i}", draw(lengths(1, 13)), draw(lengths(1, 13)), draw(st.booleans()))
        for i in range(count)
    ]


@st.composite
def stocks(draw: st.DrawFn) -> list[Sheet]:
    """One to three kinds of sheet, limited or not, with margins and prices."""
    return [
        Sheet(
            f"s{i}",
            draw(st.integers(8, 16)),
            draw(st.integers(8, 16)),
            draw(st.sampled_from([None, 1, 2, 3])),
            draw(one_of(0, 1, 1, 2, Fraction(5, 2))),
            (draw(one_of(0, 1)), 0, draw(one_of(0, Fraction(1, 2))), 0),
        )
        for i in range(draw(st.integers(1, 3)))
    ]


@st.composite
def trimmers(draw: st.DrawFn) -> Trimmer | None:
    """None, or one that cuts at least the shorter side of some sheets."""
    if draw(st.booleans()):
        return None
    step = draw(one_of(0, Fraction(1, 8), 1))
    return Trimmer(draw(st.integers(9, 16)), draw(one_of(0, 1, Fraction(3, 2))), step)


@given(rectangles(), stocks(), trimmers(), st.integers(0, 3))
@settings(max_examples=70, deadline=None)
def test_replaying_the_cuts_of_any_plan_gives_exactly_its_pieces(
    pieces: list[Rectangle], sheets: list[Sheet], trimmer: Trimmer | None, seed: int
) -> None:
    found = plan(pieces, sheets, trimmer=trimmer, time_limit=LIMIT, seed=seed)
    assert verify(found, pieces, trimmer) == []


@st.composite
def pinned(draw: st.DrawFn) -> list[Rectangle]:
    """A few pinned pieces and a few free ones on a sheet of 16 by 16."""
    pieces = []
    for i in range(draw(st.integers(1, 4))):
        width, height = draw(st.integers(1, 6)), draw(st.integers(1, 6))
        x, y = draw(st.integers(0, 10)), draw(st.integers(0, 10))
        pin = draw(
            st.sampled_from(
                [
                    Pin(x, y),
                    Pin(x=x),
                    Pin(y=y),
                    Pin(edge="left"),
                    Pin(edge="right"),
                    Pin(edge="bottom"),
                    Pin(edge="top"),
                    Pin(region=(x, y, x + 6, y + 6)),
                    Pin(edge="top", region=(x, 0, x + 6, 16)),
                ]
            )
        )
        pieces.append(Rectangle(f"m{i}", width, height, draw(st.booleans()), pin))
    for i in range(draw(st.integers(0, 6))):
        pieces.append(Rectangle(f"p{i}", draw(st.integers(1, 8)), draw(st.integers(1, 8)), True))
    return pieces


@given(pinned(), st.sampled_from([None, 1, 2]))
@settings(max_examples=60, deadline=None)
def test_pinned_pieces_come_out_where_they_are_pinned(
    pieces: list[Rectangle], count: int | None
) -> None:
    found = plan(pieces, Sheet("motifs", 16, 16, count), time_limit=LIMIT)
    assert verify(found, pieces) == []
    if count is None:
        assert found.unplaced == ()


@given(pinned(), stocks(), trimmers(), st.integers(0, 3))
@settings(max_examples=60, deadline=None)
def test_pins_margins_limits_and_the_trimmer_hold_all_at_once(
    pieces: list[Rectangle], sheets: list[Sheet], trimmer: Trimmer | None, seed: int
) -> None:
    found = plan(pieces, sheets, trimmer=trimmer, time_limit=LIMIT, seed=seed)
    assert verify(found, pieces, trimmer) == []


@given(rectangles(), stocks(), trimmers(), st.integers(2, 5))
@settings(max_examples=20, deadline=None)
def test_the_plan_of_a_class_gives_every_piece_of_every_kit(
    kit: list[Rectangle], sheets: list[Sheet], trimmer: Trimmer | None, kits: int
) -> None:
    found = plan_kits(kit, kits, sheets, trimmer=trimmer, time_limit=LIMIT)
    assert verify(found.one, kit, trimmer) == []
    later = [replace(p, key=f"{p.key}#kit{n}") for n in range(2, kits + 1) for p in kit]
    assert verify(found.all, kit + later, trimmer) == []


def small_plan() -> tuple[Plan, list[Rectangle]]:
    """Two pieces side by side on one sheet."""
    pieces = [Rectangle("a", 4, 6), Rectangle("b", 4, 6)]
    return plan(pieces, Sheet("s", 12, 12)), pieces


def changed(found: Plan, index: int, **fields: object) -> Plan:
    """The plan with one cut of its first sheet changed."""
    sheet = found.sheets[0]
    cuts = list(sheet.cuts)
    cuts[index] = replace(cuts[index], **fields)  # type: ignore[arg-type]
    return replace(found, sheets=(replace(sheet, cuts=tuple(cuts)),))


def test_the_checker_sees_a_changed_setting() -> None:
    found, pieces = small_plan()
    assert verify(found, pieces) == []
    assert verify(changed(found, 0, setting=5), pieces) != []


def test_the_checker_sees_a_cut_of_a_part_that_is_gone() -> None:
    found, pieces = small_plan()
    assert "which is not there" in verify(changed(found, 1, part=0), pieces)[0]


def test_the_checker_sees_a_cut_outside_its_part() -> None:
    found, pieces = small_plan()
    assert "does not lie inside" in verify(changed(found, 0, setting=12), pieces)[0]


def test_the_checker_sees_a_missing_piece_and_a_wrong_cost() -> None:
    found, pieces = small_plan()
    wrong = verify(replace(found, cost=2), [*pieces, Rectangle("c", 1, 1)])
    assert any("piece c is obtained 0 times" in text for text in wrong)
    assert any("cost 1, not 2" in text for text in wrong)


def test_a_cut_may_be_set_from_either_edge() -> None:
    sheet = Sheet("s", 10, 4)
    cut = Cut(1, 0, "vertical", 3, "right", (1, 2))
    assert replay(sheet, [cut], {2: "a"}) == {"a": (7, 0, 3, 4)}
    with pytest.raises(ImpossibleCut):
        replay(sheet, [replace(cut, edge="top")], {2: "a"})


def test_the_checker_sees_a_setting_between_the_marks() -> None:
    pieces = [Rectangle("a", 4, 6)]
    sheet = Sheet("s", Fraction(19, 2), 6)
    trimmer = Trimmer(guide_step=1)
    found = plan(pieces, sheet, trimmer=trimmer)
    assert verify(found, pieces, trimmer) == []
    (cut,) = found.sheets[0].cuts
    assert (cut.setting, cut.edge) == (4, "left")
    far = changed(found, 0, setting=Fraction(11, 2), edge="right")
    assert "between the marks" in verify(far, pieces, trimmer)[0]
