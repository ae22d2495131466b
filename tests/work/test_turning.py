"""Which part of an assembly turns, what it takes along, and what holds it.

All sources are plain geometry: a fold that is turned has its own angle changed and no other.
"""

from __future__ import annotations

from dataclasses import replace

from gatherfold.work.assembly import Assembly, FoldKey
from gatherfold.work.regions import FaceKey
from gatherfold.work.turning import Blocked, Obstacle, Quarter, turned
from tests.work.agreement import assembly_of
from tests.work.hand_made import block, case, face, fold, sheet, turn
from tests.work.made import Glued, LiesOn

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


def _under_a_cover(sense: str) -> Quarter | Blocked:
    """A flap over the fold at 80 of a plate, whose ear reaches back to 20 beside that; a cover of
    30 to 80 lies on the plate and on the ear, and ends at the fold."""
    plate = sheet(
        "plate",
        [
            block("plate", 0, 0, 100, 80),
            face("eared", (40, 80), (100, 80), (100, 20), (120, 20), (120, 110), (40, 110)),
        ],
        [fold("eared", "plate", (40, 80), (100, 80), sense)],  # type: ignore[arg-type]
    )
    cover = sheet("cover", [block("cover", 50, 30, 120, 80)], [])
    lies_on = (LiesOn("cover", "plate", "front"), LiesOn("cover", "eared", "front"))
    glued = (Glued("cover", "plate"),)
    return _turned(
        assembly_of(case("x", [plate, cover], ANY, glued=glued, lies_on=lies_on)), "eared"
    )


def test_what_ends_at_a_fold_holds_only_what_lies_on_its_own_side_of_that() -> None:
    """Where the flap comes forward its ear goes back, away from the cover; else the ear is held."""
    assert isinstance(_under_a_cover("valley"), Quarter)
    stop = _under_a_cover("mountain")
    assert isinstance(stop, Blocked) and stop.why is Obstacle.COVERED
    assert (stop.moving.face, stop.by.face) == ("eared", "cover")


def test_no_fold_goes_further_than_half_a_turn_even_where_nothing_lies_in_the_way() -> None:
    """A flap beside its plate, along the same line: it passes nothing and comes over nothing."""
    faces = [block("plate", 0, 0, 40, 80), block("flap", 60, 80, 100, 110)]
    now = assembly_of(
        case("x", [sheet("work", faces, [fold("flap", "plate", (0, 80), (100, 80))])], ANY)
    )
    for _ in range(2):
        quarter = _turned(now, "flap")
        assert isinstance(quarter, Quarter)
        now = quarter.after
    stop = _turned(now, "flap")
    assert isinstance(stop, Blocked)
    assert (stop.why, stop.fold) == (Obstacle.FULL_TURN, FoldKey("work", "flap"))
    assert (stop.moving.face, stop.by.face) == ("flap", "plate")
