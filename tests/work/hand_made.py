"""Small works made by hand, each with a motion whose answer anybody can see.

In: nothing.  Out: cases with what is true of them; all by plain geometry.  Sizes are millimetres.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from tests.work.made import (
    Case,
    ExactPoint,
    Glued,
    LiesOn,
    SlideBlock,
    TurnFold,
    WorkFace,
    WorkFold,
    WorkMotion,
    WorkPiece,
)
from tests.work.oracle import Sense

Corner = tuple[int, int]


@dataclass(frozen=True)
class HandMade:
    """A case and whether its motion can be done."""

    case: Case
    is_free: bool


def face(name: str, *corners: Corner, holes: tuple[tuple[Corner, ...], ...] = ()) -> WorkFace:
    """A face by its corners."""
    return WorkFace(name, _exact(corners), tuple(_exact(hole) for hole in holes))


def block(name: str, left: int, low: int, right: int, high: int) -> WorkFace:
    """A rectangle."""
    return face(name, (left, low), (right, low), (right, high), (left, high))


def _exact(corners: tuple[Corner, ...]) -> tuple[ExactPoint, ...]:
    return tuple((Fraction(x), Fraction(y)) for x, y in corners)


def fold(hanging: str, base: str, start: Corner, end: Corner, sense: Sense = "valley") -> WorkFold:
    """A fold with what hangs on it to the left of the way from its start to its end."""
    first, last = _exact((start, end))
    return WorkFold(f"{hanging} fold", base, hanging, first, last, sense)


def sheet(name: str, faces: list[WorkFace], folds: list[WorkFold]) -> WorkPiece:
    """A piece that lies flat, its front up."""
    none = Fraction(0)
    return WorkPiece(name, tuple(faces), tuple(folds), (none, none, none), (1, 0, 0), (0, 1, 0))


def turn(hanging: str, start: int, end: int) -> TurnFold:
    """Turn what hangs on a fold."""
    return TurnFold(f"{hanging} fold", hanging, start, end)


def case(
    name: str,
    pieces: list[WorkPiece],
    motion: WorkMotion,
    *before: WorkMotion,
    glued: tuple[Glued, ...] = (),
    lies_on: tuple[LiesOn, ...] = (),
) -> Case:
    """A case with its motions before."""
    return Case(name, tuple(pieces), glued, lies_on, before, motion)


# ---- a plate of 100 x 80 with flaps on its edges


def plate_with(*flaps: str) -> WorkPiece:
    """A plate with some flaps: each reaches half over it, or further where it is called long."""
    faces, folds = [block("plate", 0, 0, 100, 80)], []
    shapes: dict[str, tuple[WorkFace, WorkFold]] = {
        "left": (block("left", -60, 0, 0, 80), fold("left", "plate", (0, 0), (0, 80))),
        "right": (block("right", 100, 0, 160, 80), fold("right", "plate", (100, 80), (100, 0))),
        "top": (block("top", 0, 80, 100, 120), fold("top", "plate", (0, 80), (100, 80))),
        "bottom": (
            block("bottom", 0, -30, 100, 0),
            fold("bottom", "plate", (100, 0), (0, 0)),
        ),
        # Its ear reaches back beyond the plate's right edge, down to 20.
        "eared": (
            face("eared", (40, 80), (100, 80), (100, 20), (120, 20), (120, 110), (40, 110)),
            fold("eared", "plate", (40, 80), (100, 80), "mountain"),
        ),
        # A frame: its window is 40 x 20, in the middle of what comes to lie on the plate.
        "frame": (
            face(
                "frame",
                (0, 80),
                (100, 80),
                (100, 150),
                (0, 150),
                holes=(((30, 100), (30, 120), (70, 120), (70, 100)),),
            ),
            fold("frame", "plate", (0, 80), (100, 80)),
        ),
        "pointed": (
            face("pointed", (0, 80), (100, 80), (50, 130)),
            fold("pointed", "plate", (0, 80), (100, 80)),
        ),
        "side": (
            face("side", (100, 80), (100, 0), (150, 40)),
            fold("side", "plate", (100, 80), (100, 0)),
        ),
    }
    for name in flaps:
        own, hung = shapes[name]
        faces.append(own)
        folds.append(hung)
    return sheet("plate", faces, folds)


def post(left: int, low: int, wide: int, high: int) -> tuple[WorkPiece, Glued, tuple[LiesOn, ...]]:
    """A foot on the plate with a post that can stand up on it: wide along x, and so high."""
    faces = [block("foot", left, low - 5, left + wide, low)]
    faces.append(block("post", left, low, left + wide, low + high))
    hung = fold("post", "foot", (left, low), (left + wide, low))
    lies = (LiesOn("foot", "plate", "front"), LiesOn("post", "plate", "front"))
    return sheet("post", faces, [hung]), Glued("foot", "plate"), lies


def with_post(
    name: str,
    flap: str,
    motion: WorkMotion,
    *before: WorkMotion,
    place: tuple[int, int, int, int],
) -> Case:
    """A plate with a flap and a post."""
    piece, glue, lies = post(*place)
    return case(name, [plate_with(flap), piece], motion, *before, glued=(glue,), lies_on=lies)


UP = turn("post", 0, 90)


def hand_made() -> Iterator[HandMade]:
    """All of them."""
    yield from _plates()
    yield from _posts()
    yield from _leaves()
    yield from _slides()


def _plates() -> Iterator[HandMade]:
    left, right = turn("left", 0, 180), turn("right", 0, 180)
    pair = [plate_with("left", "right")]
    # Two flaps of 60 on a plate of 100 lap over one another by 20.
    yield HandMade(case("one flap", pair, left), True)
    yield HandMade(case("a flap over another", pair, right, left), True)
    yield HandMade(case("the lower flap", pair, turn("left", 180, 90), left, right), False)
    yield HandMade(case("the upper flap", pair, turn("right", 180, 0), left, right), True)
    yield HandMade(case("too far", pair, turn("left", 180, 270), left), False)
    # Standing at 90 the left flap is passed by nothing: the right one swings within its own 60.
    yield HandMade(case("past a standing one", pair, right, turn("left", 0, 90)), True)
    # The top flap closes onto the standing wall of the right one, which stands on the same plate.
    both = [plate_with("top", "right")]
    yield HandMade(case("beside a wall", both, turn("top", 0, 180), turn("right", 0, 90)), True)
    # The eared flap turns with the top of the left flap over its part above its fold, not its ear.
    eared = [plate_with("eared", "bottom")]
    yield HandMade(case("an ear", eared, turn("eared", 0, 180)), True)
    # Behind the plate the ear passes the right edge of the plate from 80 up: it hangs free.
    yield HandMade(case("an ear back", eared, turn("eared", 180, 0), turn("eared", 0, 180)), True)
    # Under the left flap of an eared one only what lies before its fold is held.
    yield from _eared()
    # The pointed flap's tip comes to (50, 30) and its right edge to x = y + 20, the side one's tip
    # to (50, 40), 10 beyond that edge.
    pointed = [plate_with("pointed", "side")]
    yield HandMade(case("points", pointed, turn("side", 0, 180), turn("pointed", 0, 180)), True)
    yield HandMade(
        case(
            "a point held",
            pointed,
            turn("pointed", 180, 0),
            turn("pointed", 0, 180),
            turn("side", 0, 180),
        ),
        False,
    )


def _eared() -> Iterator[HandMade]:
    """A flap with an ear beyond its own fold, and another one on the part before the fold.

    The upper flap lies over the eared one from 80 to 90, where that moves away to the back; over
    its ear, which comes to the front, it does not lie.
    """
    faces = [
        block("plate", 0, 0, 100, 80),
        face("eared", (40, 80), (100, 80), (100, 20), (120, 20), (120, 110), (40, 110)),
        face("broad", (-70, 0), (0, 0), (0, 80), (0, 90), (-70, 90)),
    ]
    folds = [
        fold("eared", "plate", (40, 80), (100, 80), "mountain"),
        fold("broad", "plate", (0, 0), (0, 80)),
    ]
    pieces = [sheet("plate", faces, folds)]
    away = turn("eared", 0, 90)
    yield HandMade(case("away from a flap", pieces, away, turn("broad", 0, 180)), True)
    towards = [sheet("plate", faces, [replace(folds[0], sense="valley"), folds[1]])]
    yield HandMade(case("held by a flap", towards, away, turn("broad", 0, 180)), False)


def _posts() -> Iterator[HandMade]:
    over = turn("top", 0, 180)
    # The top flap reaches from 80 down to 40.
    yield HandMade(with_post("a post under", "top", over, UP, place=(40, 60, 20, 10)), False)
    yield HandMade(with_post("a post before", "top", over, UP, place=(40, 30, 20, 10)), True)
    # The flap's edge, at 40 from its fold, passes over a post at 60 (20 from the fold) that is
    # lower than sqrt(40² - 20²) = 34.6 in its plane on the way, and comes down on it in the end.
    yield HandMade(
        with_post("half closed over it", "top", turn("top", 0, 90), UP, place=(40, 60, 20, 10)),
        True,
    )
    # Beyond the reach of the flap a high post still stands in no way.
    yield HandMade(with_post("a high post", "top", over, UP, place=(40, 38, 20, 100)), True)
    close = turn("frame", 0, 180)
    # The window comes to lie from 40 to 60 over the plate, between 30 and 70.
    yield HandMade(with_post("in the window", "frame", close, UP, place=(40, 50, 20, 5)), True)
    yield HandMade(with_post("beside it", "frame", close, UP, place=(20, 50, 20, 5)), False)
    # A post of 28 at 30 from the fold is met by the frame's upper rim, 40 to 70 from the fold:
    # at a height of 28 it is 41 away from the fold.
    yield HandMade(with_post("too high for it", "frame", close, UP, place=(40, 50, 20, 28)), False)
    yield HandMade(with_post("just low enough", "frame", close, UP, place=(40, 50, 20, 26)), True)
    # Down again below the flap that has gone over it.
    down = turn("post", 90, 0)
    yield HandMade(with_post("down again", "top", down, UP, place=(40, 30, 20, 10)), True)
    # Lying, it reaches from 30 to 60 and under the closed flap.
    yield HandMade(with_post("up against a flap", "top", UP, over, place=(40, 30, 20, 30)), False)
    # The pointed flap is 100 - 2 h wide at a distance h from its fold: at 30 from 30 to 70.
    point = turn("pointed", 0, 180)
    yield HandMade(with_post("beside a point", "pointed", point, UP, place=(5, 50, 20, 5)), True)
    yield HandMade(with_post("under a point", "pointed", point, UP, place=(20, 50, 20, 5)), False)


def book(motion: WorkMotion, *before: WorkMotion) -> Case:
    """Two leaves glued tab on tab on a plate; a flap of 40 closes over the outer 40 of its 60."""
    plate = sheet(
        "plate",
        [block("plate", -60, 0, 60, 80), block("flap", 60, 0, 100, 80)],
        [fold("flap", "plate", (60, 80), (60, 0))],
    )
    leaves = [
        sheet(
            f"leaf {n}",
            [block(f"tab {n}", -8, 10, 0, 70), block(f"leaf {n}", 0, 10, 50, 70)],
            [fold(f"leaf {n}", f"tab {n}", (0, 70), (0, 10))],
        )
        for n in (1, 2)
    ]
    under = [("tab 1", "plate"), ("leaf 1", "plate"), ("tab 2", "plate"), ("leaf 2", "plate")]
    over = [*under, ("tab 2", "tab 1"), ("leaf 2", "leaf 1")]
    lies_on = tuple(LiesOn(upper, lower, "front") for upper, lower in over)
    glued = (Glued("tab 1", "plate"), Glued("tab 2", "tab 1"))
    return case("book", [plate, *leaves], motion, *before, glued=glued, lies_on=lies_on)


def _leaves() -> Iterator[HandMade]:
    first, second = turn("leaf 1", 0, 180), turn("leaf 2", 0, 180)
    shut = turn("flap", 0, 180)
    yield HandMade(book(second), True)
    yield HandMade(book(first), True)
    yield HandMade(book(turn("leaf 1", 180, 0), first), True)
    yield HandMade(book(turn("leaf 2", 180, 0), second, first), True)
    yield HandMade(book(turn("leaf 2", 0, 90), shut), False)
    yield HandMade(book(turn("leaf 1", 0, 90), shut), False)
    yield HandMade(book(shut, second), True)
    yield HandMade(book(turn("flap", 180, 0), shut), True)
    # Leaves that have been turned over lie clear of the flap.
    yield HandMade(book(shut, second, first), True)
    held = book(turn("flap", 180, 90), shut)
    yield HandMade(replace(held, glued=(*held.glued, Glued("flap", "leaf 2", after=1))), False)


def bridge(motion: WorkMotion, *, height: int, width: int, before: int = 0) -> Case:
    """A base with a bridge of 40 x 20 over it, and a plate before it with two walls.

    The plate is so wide, and its walls so high.
    """
    names = ("foot 1", "pier 1", "deck", "pier 2", "foot 2")
    senses: tuple[Sense, ...] = ("valley", "valley", "mountain", "mountain", "valley")
    sizes = (10, 20, 40, 20, 10)
    faces, folds, at = [], [], 0
    for number, size in enumerate(sizes):
        faces.append(block(names[number], at, 0, at + size, 50))
        if number:
            sense = senses[number]
            folds.append(fold(names[number], names[number - 1], (at, 50), (at, 0), sense))
        at += size
    base = sheet("base", [block("base", 0, 0, 60, 50)], [])
    left = 30 - width // 2
    walled = sheet(
        "insert",
        [
            block("floor", left, -60, left + width, -20),
            block("left wall", left - height, -60, left, -20),
            block("right wall", left + width, -60, left + width + height, -20),
        ],
        [
            fold("left wall", "floor", (left, -60), (left, -20)),
            fold("right wall", "floor", (left + width, -20), (left + width, -60)),
        ],
    )
    walled = replace(walled, origin=(Fraction(0), Fraction(0), Fraction(1)))
    over = tuple(LiesOn(name, "base", "front") for name in ("foot 1", "pier 1", "deck"))
    shaped = [
        turn("pier 1", 0, 90),
        turn("deck", 0, 90),
        turn("foot 2", 0, 90),
        turn("pier 2", 0, 90),
        turn("left wall", 0, 90),
        turn("right wall", 0, 90),
    ]
    if before:
        shaped.append(SlideBlock("floor", (Fraction(0), Fraction(before), Fraction(0))))  # type: ignore[arg-type]
    return case(
        "bridge",
        [base, sheet("bridge", faces, folds), walled],
        motion,
        *shaped,
        glued=(Glued("foot 1", "base"), Glued("foot 2", "base", after=4)),
        lies_on=over,
    )


def slide(x: int, y: int, z: int) -> SlideBlock:
    """Slide the plate with its walls."""
    return SlideBlock("floor", (Fraction(x), Fraction(y), Fraction(z)))


def _slides() -> Iterator[HandMade]:
    # The deck is 20 above the base, the floor 1: a wall of 18 fits below, one of 20 does not.
    yield HandMade(bridge(slide(0, 40, 0), height=18, width=36), True)
    yield HandMade(bridge(slide(0, 40, 0), height=20, width=36), False)
    yield HandMade(bridge(slide(0, 40, 0), height=18, width=44), False)
    yield HandMade(bridge(slide(0, 15, 0), height=20, width=36), True)
    within = 40
    yield HandMade(bridge(slide(0, -40, 0), height=18, width=36, before=within), True)
    yield HandMade(bridge(slide(0, 60, 0), height=18, width=36, before=within), True)
    # Within it 2 to each side and 1 to the deck: less is free, more is not.
    yield HandMade(bridge(slide(1, 0, 0), height=18, width=36, before=within), True)
    yield HandMade(bridge(slide(-5, 0, 0), height=18, width=36, before=within), False)
    yield HandMade(bridge(slide(0, 0, 5), height=18, width=36, before=within), False)
    yield HandMade(bridge(slide(0, 0, 10), height=9, width=36, before=within), True)
