"""Which part of an assembly turns, what it takes along, and what holds it.

All sources are plain geometry: a fold that is turned has its own angle changed and no other.
"""

from __future__ import annotations

from dataclasses import replace

from builder.work.assembly import Assembly, FoldKey
from builder.work.regions import FaceKey
from builder.work.turning import Blocked, Obstacle, Quarter, turned
from tests.work.agreement import assembly_of
from tests.work.hand_made import block, case, fold, sheet, turn

ANY = turn("none", 0, 90)


def _strip_of_four() -> Assembly:
    """Panels of 60, folded to and fro, and a tab of 12 behind the last one; the first stays.

    Closed, the fold of the tab lies on that between the second and the third panel.
    """
    faces = [block(f"p{n}", 60 * n, 0, 60 * n + 60, 80) for n in (1, 2, 3, 4)]
    faces.append(block("tab", 300, 0, 312, 80))
    names = ("p1", "p2", "p3", "p4", "tab")
    folds = [
        fold(
            names[n], names[n - 1], (60 * n + 60, 80), (60 * n + 60, 0),
            "valley" if n % 2 else "mountain",
        )
        for n in (1, 2, 3, 4)
    ]  # fmt: skip
    return assembly_of(case("strip", [sheet("strip", faces, folds)], ANY))


def _turned(assembly: Assembly, name: str, is_closing: bool = True) -> Quarter | Blocked:
    return turned(assembly, FoldKey(assembly.base.piece, name), is_closing)


def _after(assembly: Assembly, *names: str) -> Assembly:
    """The assembly after quarters of some folds."""
    for name in names:
        quarter = _turned(assembly, name)
        assert isinstance(quarter, Quarter), quarter
        assembly = quarter.after
    return assembly


def _angles(assembly: Assembly) -> dict[str, int]:
    return {fold.hanging: angle for fold, angle in assembly.angles.items()}


def test_a_part_is_not_taken_along_with_what_turns_against_it() -> None:
    closed = _after(_strip_of_four(), "tab", "tab", "p4", "p4", "p2", "p2")
    assert _angles(closed) == {"p2": 180, "p4": 180, "tab": 180}
    # The tab lies flat on the back of the last panel: it goes no further than that.
    stop = _turned(closed, "tab")
    assert isinstance(stop, Blocked) and stop.by.face == "p4"
    # The fold between the second and the third panel takes all that hangs on it along.
    opened = _turned(closed, "p3")
    assert isinstance(opened, Quarter)
    assert {key.face for key in opened.moved} == {"p3", "p4", "tab"}
    assert _angles(opened.after) == {"p2": 180, "p3": 90, "p4": 180, "tab": 180}


def test_the_side_that_the_base_does_not_hold_turns() -> None:
    """Two flaps on one edge of a plate, whatever the folds of the sheet are counted from."""
    faces = [
        block("plate", 0, 0, 100, 80),
        block("first", 0, 80, 40, 110),
        block("second", 60, 80, 100, 110),
    ]
    folds = [
        fold("first", "plate", (0, 80), (40, 80)),
        # The plate hangs on its second flap.
        fold("plate", "second", (100, 80), (60, 80)),
    ]
    flat = assembly_of(case("two flaps", [sheet("work", faces, folds)], ANY))
    held = replace(flat, base=FaceKey("work", "first"))
    quarter = _turned(held, "plate")
    assert isinstance(quarter, Quarter)
    assert {key.face for key in quarter.moved} == {"second"}
    assert _angles(quarter.after) == {"plate": 90}


def test_what_hangs_on_the_turning_part_alone_goes_with_it() -> None:
    """A plate that turns on one of its flaps takes the other one along, which shares the line."""
    faces = [
        block("plate", 0, 0, 100, 80),
        block("first", 0, 80, 40, 110),
        block("second", 60, 80, 100, 110),
    ]
    folds = [
        fold("first", "plate", (0, 80), (40, 80)),
        fold("second", "plate", (60, 80), (100, 80)),
    ]
    flat = assembly_of(case("two flaps", [sheet("work", faces, folds)], ANY))
    held = replace(flat, base=FaceKey("work", "first"))
    quarter = _turned(held, "first")
    assert isinstance(quarter, Quarter)
    assert {key.face for key in quarter.moved} == {"plate", "second"}
    assert _angles(quarter.after) == {"first": 90}


def test_a_fold_goes_no_further_than_flat_on_either_side() -> None:
    """Of two faces side by side neither passes through the other, however far it is turned."""
    faces = [block("plate", 0, 0, 100, 80), block("flap", 0, 80, 100, 110)]
    flat = assembly_of(
        case("flap", [sheet("work", faces, [fold("flap", "plate", (0, 80), (100, 80))])], ANY)
    )
    for is_closing in (True, False):
        now = flat
        for angle in (90, 180):
            quarter = _turned(now, "flap", is_closing)
            assert isinstance(quarter, Quarter)
            now = quarter.after
            assert _angles(now) == {"flap": angle if is_closing else -angle}
        stop = _turned(now, "flap", is_closing)
        assert isinstance(stop, Blocked) and stop.why is Obstacle.COVERED
        # On the front of the plate when it has closed over it, behind it when it went back.
        plate, flap = FaceKey("work", "plate"), FaceKey("work", "flap")
        assert now.side_of(plate, flap) == (1 if is_closing else -1)
        assert now.side_of(flap, plate) == (1 if is_closing else -1)
