"""Small works at random, each with one motion asked about that is free or blocked for sure.

In: a seed and how many of each. Out: cases as plain exact data, on a grid of half millimetres and
with quarter turns alone, and the oracle's answer. The same seed gives the same cases.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import combinations
from typing import Literal, TypeAlias

from shapely.geometry import Polygon

from tests.work.made import (
    Attempt,
    Case,
    ExactPoint,
    Glued,
    LiesOn,
    SlideBlock,
    State,
    TurnFold,
    WorkFace,
    WorkFold,
    WorkMotion,
    WorkPiece,
    attempt,
    begin,
    carried_out,
    overlaps_without_side,
    play,
)
from tests.work.oracle import Sense

Family = Literal["flaps", "leaves", "trays", "slides"]
MOST_TRIALS = 200
FAMILIES: tuple[Family, ...] = ("flaps", "leaves", "trays", "slides")


@dataclass(frozen=True)
class Answered:
    """A case with the oracle's answer, of one family of works.

    A blocked motion is stopped at the start by what lies on it (`attempt.at_start`), or on its way
    (`attempt.verdict` says where first).
    """

    case: Case
    family: Family
    attempt: Attempt

    @property
    def free(self) -> bool:
        """Tell whether the motion in question can be done."""
        return self.attempt.outcome == "free"


@lru_cache
def random_answers(seed: int, each: int = 20) -> tuple[Answered, ...]:
    """Give `each` blocked and `each` free cases, spread over the families."""
    answers = []
    for number in range(2 * each):
        family = FAMILIES[number // 2 % len(FAMILIES)]
        answers.append(_answered(family, f"{seed}-{number}", free=number % 2 == 0))
    return tuple(answers)


def random_cases(seed: int, each: int = 20) -> tuple[Case, ...]:
    """Give the cases alone."""
    return tuple(answer.case for answer in random_answers(seed, each))


def _answered(family: Family, seed: str, free: bool) -> Answered:
    """Try works of a family until one has a motion with the answer wanted."""
    for trial in range(MOST_TRIALS):
        rng = random.Random(f"{family}-{seed}-{trial}")
        case = replace(MAKERS[family](rng), name=f"{family}-{seed}")
        found = _with_motion(rng, case, family, free)
        if found is not None:
            return found
    raise RuntimeError(f"no {family} with such a motion found in {MOST_TRIALS} trials")


# --- motions ---------------------------------------------------------------------------------


def _with_motion(rng: random.Random, case: Case, family: Family, free: bool) -> Answered | None:
    """Do the motions that come before, and look for one with the answer wanted."""
    state = begin(case)
    if overlaps_without_side(state):
        raise ValueError(f"{case.name} does not say what lies on what at the start")
    if family == "slides":
        prepared = _shaped_to_slide(rng, case, state)
        if prepared is None:
            return None
        case, state = prepared
        choices = _slides(rng, case)
    else:
        case, state = _folded_at_random(rng, case, state, family)
        choices = _turns(rng, case, state)
    # Lying under something is the plainest way to be blocked; it is wanted, but not most often.
    under_is_enough = rng.random() < 0.25
    for motion in choices[:8]:
        made = attempt(case, state, motion)
        if made.outcome != ("free" if free else "blocked"):
            continue
        if family != "slides" and not made.settled:
            continue
        if made.at_start and not under_is_enough:
            continue
        # What is free because nothing is near asks nothing; one near face is what it hangs on.
        if free and len(made.verdict.near) < 2:
            continue
        return Answered(replace(case, motion=motion), family, made)
    return None


def _folded_at_random(
    rng: random.Random, case: Case, state: State, family: Family
) -> tuple[Case, State]:
    """Turn most folds by quarters in a random order, as far as each can be done."""
    folds = [fold for piece in case.pieces for fold in piece.folds]
    rng.shuffle(folds)
    spared = rng.randint(1, 2)
    for fold in folds[spared:] + rng.sample(folds, rng.randint(0, 1)):
        closed = rng.choice((90, 180) if family in ("flaps", "leaves") else (90, 90, 90, 180))
        start = state.angles[fold.name]
        end = closed if closed != start else 0
        done = _done(case, state, TurnFold(fold.name, fold.hanging, start, end))
        if done is not None:
            case, state = done
            if family == "trays" and rng.random() < 0.5:
                case, state = _with_tabs_glued(case, state)
    return case, state


def _done(case: Case, state: State, motion: WorkMotion) -> tuple[Case, State] | None:
    """Do a motion if it is free and leaves no doubt about the layers."""
    made = attempt(case, state, motion)
    if made.outcome != "free" or not made.settled:
        return None
    after = carried_out(case, state, made)
    return replace(case, before=(*case.before, motion)), after


def _with_tabs_glued(case: Case, state: State) -> tuple[Case, State]:
    """Glue the tabs that lie on a wall."""
    glued = [
        Glued(one, other, state.done)
        for one, other in sorted(state.sides)
        if one.startswith("tab") and other.startswith("wall")
    ]
    glued = [glue for glue in glued if (glue.one, glue.other) not in _glued_pairs(case.glued)]
    case = replace(case, glued=(*case.glued, *glued))
    return case, replace(state, glued=(*state.glued, *glued))


def _glued_pairs(glued: Iterable[Glued]) -> set[tuple[str, str]]:
    return {(glue.one, glue.other) for glue in glued}


def _turns(rng: random.Random, case: Case, state: State) -> list[WorkMotion]:
    """Give every turn of a fold by a quarter or a half, shuffled."""
    turns: list[WorkMotion] = [
        TurnFold(fold.name, fold.hanging, state.angles[fold.name], end)
        for piece in case.pieces
        for fold in piece.folds
        for end in (0, 90, 180)
        if end != state.angles[fold.name]
    ]
    rng.shuffle(turns)
    return turns


# --- flaps -----------------------------------------------------------------------------------

Edge: TypeAlias = tuple[ExactPoint, tuple[int, int], tuple[int, int], Fraction]


def _plate_with_flaps(rng: random.Random) -> Case:
    """Make a plate with 2 to 5 flaps, some in two parts or with an ear, and some glued walls."""
    width, height = _half(rng, 40, 120), _half(rng, 40, 120)
    plate = _rectangle("plate", Fraction(0), Fraction(0), width, height)
    faces, folds = [plate], []
    wanted = rng.randint(2, 5)
    for trial in range(40):
        if len(faces) > wanted:
            break
        edge = rng.choice(_edges(width, height))
        more_faces, more_folds = _flap(rng, edge, f"{trial}")
        if _apart([*faces, *more_faces]):
            faces += more_faces
            folds += more_folds
    piece = _lying("plate", faces, folds)
    pieces, ranks = [piece], [0]
    glued: list[Glued] = []
    for number in range(rng.randint(0, 2)):
        _add_standing_wall(rng, plate, f"{number}", pieces, ranks, glued)
    return _case(pieces, ranks, glued)


def _edges(width: Fraction, height: Fraction) -> tuple[Edge, ...]:
    """Give a plate's edges: where each begins, along it, out of it, and its length."""
    none = Fraction(0)
    return (
        ((none, height), (1, 0), (0, 1), width),
        ((width, height), (0, -1), (1, 0), height),
        ((width, none), (-1, 0), (0, -1), width),
        ((none, none), (0, 1), (-1, 0), height),
    )


def _flap(rng: random.Random, edge: Edge, name: str) -> tuple[list[WorkFace], list[WorkFold]]:
    """Hang a flap on a part of an edge."""
    length = edge[3]
    start, end = sorted((_half(rng, 0, int(length) - 8), _half(rng, 8, int(length))))
    if end - start < 6:
        start, end = Fraction(0), length
    height = _half(rng, 8, 100)
    shape = rng.choice(("plain", "plain", "tapered", "wide", "ear"))
    none = Fraction(0)
    if shape == "tapered":
        taper = min(_half(rng, 1, 10), (end - start) / 4)
        taper = Fraction(int(taper * 2), 2)
        corners = [(start, none), (end, none), (end - taper, height), (start + taper, height)]
    elif shape in ("wide", "ear"):
        end, out = length, length + _half(rng, 3, 25)
        back = -_half(rng, 3, 30) if shape == "ear" else none
        turn_back = [(end, back)] if back else []
        corners = [
            (start, none),
            (end, none),
            *turn_back,
            (out, back),
            (out, height),
            (start, height),
        ]
    else:
        corners = [(start, none), (end, none), (end, height), (start, height)]
    faces = [WorkFace(f"flap {name}", _on_edge(edge, corners))]
    sense = _sense(rng, 0.8)
    folds = [_hung(edge, f"fold {name}", "plate", faces[0].name, start, end, none, sense)]
    if shape == "plain" and rng.random() < 0.35:
        further = height + _half(rng, 5, 50)
        corners = [(start, height), (end, height), (end, further), (start, further)]
        faces.append(WorkFace(f"tip {name}", _on_edge(edge, corners)))
        folds.append(
            _hung(
                edge,
                f"tip fold {name}",
                faces[0].name,
                faces[1].name,
                start,
                end,
                height,
                _sense(rng, 0.6),
            )
        )
    return faces, folds


def _hung(
    edge: Edge,
    name: str,
    base: str,
    hanging: str,
    start: Fraction,
    end: Fraction,
    out: Fraction,
    sense: Sense,
) -> WorkFold:
    first, last = _on_edge(edge, [(start, out), (end, out)])
    return WorkFold(name, base, hanging, first, last, sense)


def _on_edge(edge: Edge, places: Sequence[ExactPoint]) -> tuple[ExactPoint, ...]:
    """Give places, told along and out of an edge, in the sheet."""
    begin_at, along, out, _ = edge
    return tuple(
        tuple(begin_at[axis] + u * along[axis] + v * out[axis] for axis in (0, 1))
        for u, v in places
    )


def _add_standing_wall(
    rng: random.Random,
    plate: WorkFace,
    name: str,
    pieces: list[WorkPiece],
    ranks: list[int],
    glued: list[Glued],
) -> None:
    """Glue a wall by its foot where nothing else lies on the plate, if a place is found."""
    for _ in range(20):
        front = 1 if rng.random() < 0.8 else -1
        wall = _standing_wall(rng, plate, name, front)
        there = [piece for piece, rank in zip(pieces, ranks, strict=True) if rank * front > 0]
        foot = _seen_from_above(wall, wall.faces[0])
        if all(
            foot.intersection(_seen_from_above(piece, face)).area == 0
            for piece in there
            for face in piece.faces
        ):
            pieces.append(wall)
            ranks.append(len(ranks) * front)
            glued.append(Glued(wall.faces[0].name, plate.name))
            return


def _seen_from_above(piece: WorkPiece, face: WorkFace) -> Polygon:
    """Give where a face lies at the start."""
    return Polygon(
        [
            [float(piece.origin[i] + x * piece.right[i] + y * piece.up[i]) for i in (0, 1)]
            for x, y in face.corners
        ]
    )


def _standing_wall(rng: random.Random, plate: WorkFace, name: str, front: int) -> WorkPiece:
    """Lay a wall with its foot on a plate's front (1) or its back (-1)."""
    length, foot, height = _half(rng, 5, 30), _half(rng, 4, 10), _half(rng, 5, 60)
    none = Fraction(0)
    faces = [
        _rectangle(f"foot {name}", none, none, length, foot),
        _rectangle(f"standing {name}", none, foot, length, foot + height),
    ]
    fold = WorkFold(
        f"standing fold {name}",
        faces[0].name,
        faces[1].name,
        (none, foot),
        (length, foot),
        "valley",
    )
    right, across = rng.choice(
        (((1, 0), (0, 1)), ((0, 1), (-1, 0)), ((-1, 0), (0, -1)), ((0, -1), (1, 0)))
    )
    up = (across[0] * front, across[1] * front)
    corners = [
        tuple(a * length * right[i] + b * foot * up[i] for i in (0, 1))
        for a in (0, 1)
        for b in (0, 1)
    ]
    width, depth = plate.corners[2]
    origin = []
    for axis, size in ((0, width), (1, depth)):
        low, high = (pick(corner[axis] for corner in corners) for pick in (min, max))
        origin.append(_half(rng, 0, int(size - (high - low))) - low)
    return WorkPiece(f"wall {name}", tuple(faces), (fold,), (*origin, none), (*right, 0), (*up, 0))


# --- leaves ----------------------------------------------------------------------------------


def _stack_of_leaves(rng: random.Random) -> Case:
    """Make leaves that turn on one line, glued tab on tab, over a plate that may have flaps."""
    spine, width, height = _half(rng, 10, 50), _half(rng, 40, 100), _half(rng, 40, 100)
    none = Fraction(0)
    plate = _rectangle("plate", none, none, spine + width, height)
    faces, folds = [plate], []
    for number in range(rng.randint(0, 2)):
        edge = rng.choice(_edges(spine + width, height))
        more_faces, more_folds = _flap(rng, edge, f"{number}")
        if _apart([*faces, *more_faces]):
            faces += more_faces
            folds += more_folds
    pieces, ranks, glued = [_lying("plate", faces, folds)], [0], []
    tab, foot = _half(rng, 4, 9), _half(rng, 0, 5)
    for number in range(rng.randint(2, 4)):
        pieces.append(_leaf(rng, number, (spine, tab, foot), (width, height)))
        ranks.append(number + 1)
        glued.append(Glued(f"tab {number}", f"tab {number - 1}" if number else "plate"))
    if rng.random() < 0.5:
        _add_standing_wall(rng, plate, "0", pieces, ranks, glued)
    return _case(pieces, ranks, glued)


def _leaf(
    rng: random.Random, number: int, place: tuple[Fraction, ...], room: tuple[Fraction, Fraction]
) -> WorkPiece:
    """Make a leaf with the tab on which it turns; its height differs from its tab's."""
    spine, tab, foot = place
    width, height = room
    leaf_width = _half(rng, 10, int(width) + 10)
    low, high = foot, foot + _half(rng, 20, int(height) - 10)
    faces = [
        _rectangle(f"tab {number}", spine - tab, foot, spine, foot + 20),
        _rectangle(f"leaf {number}", spine, low, spine + leaf_width, high),
    ]
    fold = WorkFold(
        f"leaf fold {number}",
        faces[0].name,
        faces[1].name,
        (spine, foot + 20),
        (spine, foot),
        "valley",
    )
    return _lying(f"leaf {number}", faces, [fold])


# --- trays -----------------------------------------------------------------------------------


def _tray(rng: random.Random) -> Case:
    """Make a tray of four walls, with tabs at some of their ends and often a lid with a lip."""
    width, height, none = _half(rng, 30, 80), _half(rng, 30, 80), Fraction(0)
    faces, folds = [_rectangle("base", none, none, width, height)], []
    lid_side = rng.randrange(4) if rng.random() < 0.7 else None
    for number, edge in enumerate(_edges(width, height)):
        start, end = (rng.choice((none, Fraction(1, 2), Fraction(1))) for _ in range(2))
        end, high, wall = edge[3] - end, _half(rng, 10, 40), f"wall {number}"
        faces.append(WorkFace(wall, _on_edge(edge, _block(start, none, end, high))))
        folds.append(_hung(edge, f"wall fold {number}", "base", wall, start, end, none, "valley"))
        if number % 2 == 0 or rng.random() < 0.2:
            _add_tabs(rng, edge, f"{number}", (start, end, high), faces, folds)
        if number == lid_side:
            _add_lid(
                rng, edge, wall, (start, end, high), width if number % 2 else height, faces, folds
            )
    if not _apart(faces):
        return _tray(rng)
    return _case([_lying("tray", faces, folds)], [0], [])


def _add_tabs(
    rng: random.Random,
    edge: Edge,
    name: str,
    wall: tuple[Fraction, Fraction, Fraction],
    faces: list[WorkFace],
    folds: list[WorkFold],
) -> None:
    """Hang a tab on one or both ends of a wall."""
    start, end, high = wall
    low, top = Fraction(1, 2), high - rng.choice((Fraction(0), Fraction(1, 2)))
    for side in rng.choice(("left", "right", "both", "both")).replace("both", "left right").split():
        long = _half(rng, 4, 20)
        shift = (end, end + long) if side == "right" else (start - long, start)
        tab = f"tab {name} {side}"
        faces.append(WorkFace(tab, _on_edge(edge, _block(shift[0], low, shift[1], top))))
        at = end if side == "right" else start
        ends = [(at, top), (at, low)] if side == "right" else [(at, low), (at, top)]
        first, last = _on_edge(edge, ends)
        folds.append(
            WorkFold(f"tab fold {name} {side}", f"wall {name}", tab, first, last, _sense(rng, 0.9))
        )


def _add_lid(
    rng: random.Random,
    edge: Edge,
    wall: str,
    ends: tuple[Fraction, Fraction, Fraction],
    depth: Fraction,
    faces: list[WorkFace],
    folds: list[WorkFold],
) -> None:
    """Hang a lid on a wall's top, and a lip on the lid."""
    start, end, high = ends
    far = high + depth + _half(rng, -6, 3)
    faces.append(WorkFace("lid", _on_edge(edge, _block(start, high, end, far))))
    folds.append(_hung(edge, "lid fold", wall, "lid", start, end, high, "valley"))
    inset = _half(rng, 1, 4)
    faces.append(
        WorkFace(
            "lip", _on_edge(edge, _block(start + inset, far, end - inset, far + _half(rng, 5, 25)))
        )
    )
    folds.append(_hung(edge, "lip fold", "lid", "lip", start + inset, end - inset, far, "valley"))


# --- slides ----------------------------------------------------------------------------------


def _something_to_slide(rng: random.Random) -> Case:
    """Make a tube or a bridge, and before it something to slide in."""
    wide, high, long = _half(rng, 20, 60), _half(rng, 6, 25), _half(rng, 20, 60)
    if rng.random() < 0.5:
        pieces, ranks, left = [_tube(rng, wide, high, long)], [0], Fraction(0)
        glued = [Glued("tab", "bottom", 4)]
    else:
        left = _half(rng, 5, 10)
        pieces, ranks = _bridge(wide, high, long, left), [0, 1]
        glued = [Glued("foot 1", "base"), Glued("foot 2", "base", 4)]
    pieces.append(_insert(rng, left, wide, high))
    return _case(pieces, [*ranks, 0], glued)


def _tube(rng: random.Random, wide: Fraction, high: Fraction, long: Fraction) -> WorkPiece:
    """Make a strip of four walls and a tab, often with a flap that shuts the far end."""
    none, start = Fraction(0), Fraction(0)
    tab = min(_half(rng, 4, 10), wide)
    faces, folds = [], []
    names = ("bottom", "right", "top", "left", "tab")
    for number, (name, size) in enumerate(zip(names, (wide, high, wide, high, tab), strict=True)):
        faces.append(_rectangle(name, start, none, start + size, long))
        if number:
            folds.append(
                WorkFold(
                    f"tube fold {number}",
                    names[number - 1],
                    name,
                    (start, long),
                    (start, none),
                    "valley",
                )
            )
        start += size
    if rng.random() < 0.5:
        shut = _half(rng, 3, int(high))
        faces.append(_rectangle("end", Fraction(1), long, wide - 1, long + shut))
        folds.append(
            WorkFold("end fold", "bottom", "end", (Fraction(1), long), (wide - 1, long), "valley")
        )
    return _lying("tube", faces, folds)


def _bridge(wide: Fraction, high: Fraction, long: Fraction, foot: Fraction) -> list[WorkPiece]:
    """Make a base and on it a strip that becomes a bridge with two feet."""
    none, start = Fraction(0), Fraction(0)
    base = _lying("base", [_rectangle("base", none, none, wide + 2 * foot, long)], [])
    names = ("foot 1", "pier 1", "deck", "pier 2", "foot 2")
    senses: tuple[Sense, ...] = ("valley", "valley", "mountain", "mountain", "valley")
    faces, folds = [], []
    for number, (name, size) in enumerate(zip(names, (foot, high, wide, high, foot), strict=True)):
        faces.append(_rectangle(name, start, none, start + size, long))
        if number:
            folds.append(
                WorkFold(
                    f"bridge fold {number}",
                    names[number - 1],
                    name,
                    (start, long),
                    (start, none),
                    senses[number],
                )
            )
        start += size
    return [base, _lying("bridge", faces, folds)]


def _insert(rng: random.Random, left: Fraction, wide: Fraction, high: Fraction) -> WorkPiece:
    """Make a plate with up to two flaps, before the opening that begins at `left`."""
    room = int(wide)
    width, deep = _half(rng, max(5, room - 12), room + 3), _half(rng, 10, 50)
    faces, folds = [_rectangle("plate", Fraction(0), Fraction(0), width, deep)], []
    for number in range(rng.randint(0, 2)):
        edge = rng.choice(_edges(width, deep))
        start, end = _half(rng, 0, 2), edge[3] - _half(rng, 0, 2)
        tall = _half(rng, 3, int(high) + 4)
        flap = WorkFace(f"flap {number}", _on_edge(edge, _block(start, Fraction(0), end, tall)))
        if _apart([*faces, flap]):
            faces.append(flap)
            folds.append(
                _hung(
                    edge,
                    f"insert fold {number}",
                    "plate",
                    flap.name,
                    start,
                    end,
                    Fraction(0),
                    "valley",
                )
            )
    front = max(corner[1] for face in faces for corner in face.corners) + _half(rng, 1, 10)
    clear = _half(rng, 0, max(1, int(wide - width))) if wide > width else _half(rng, -2, 0)
    origin = (left + clear, -front, rng.choice((Fraction(0), Fraction(1), _half(rng, 1, 5))))
    return replace(_lying("insert", faces, folds), origin=origin)


def _shaped_to_slide(rng: random.Random, case: Case, state: State) -> tuple[Case, State] | None:
    """Fold the tube or the bridge and what is slid, and often slide it in already."""
    bridge = any(piece.name == "bridge" for piece in case.pieces)
    order = (
        ("bridge fold 1", "bridge fold 2", "bridge fold 4", "bridge fold 3")
        if bridge
        else ("tube fold 4", "tube fold 3", "tube fold 2", "tube fold 1")
    )
    folds = {fold.name: fold for piece in case.pieces for fold in piece.folds}
    others = sorted(folds.keys() - set(order))
    rng.shuffle(others)
    for name in (*order, *others):
        if name in others and rng.random() < 0.15:
            continue
        done = _done(case, state, TurnFold(name, folds[name].hanging, 0, 90))
        if done is None:
            return None
        case, state = done
    if rng.random() < 0.5:
        way = (Fraction(0), _half(rng, 15, 80), Fraction(0))
        case, state = _done(case, state, SlideBlock("plate", way)) or (case, state)
    return case, state


def _slides(rng: random.Random, case: Case) -> list[WorkMotion]:
    """Give slides along the tube or the bridge, and some across it."""
    none = Fraction(0)
    ways = [(none, _half(rng, 10, 120), none) for _ in range(3)]
    if any(isinstance(motion, SlideBlock) for motion in case.before):
        ways += [
            (none, -_half(rng, 10, 120), none),
            (rng.choice((-1, 1)) * _half(rng, 2, 60), none, none),
            (none, none, rng.choice((-1, 1)) * _half(rng, 2, 30)),
        ]
    rng.shuffle(ways)
    return [SlideBlock("plate", way) for way in ways]


# --- small parts -----------------------------------------------------------------------------


def _half(rng: random.Random, low: int, high: int) -> Fraction:
    """Give a number of half millimetres between two whole ones."""
    return Fraction(rng.randint(2 * low, max(2 * low, 2 * high)), 2)


def _sense(rng: random.Random, valley: float) -> Sense:
    return "valley" if rng.random() < valley else "mountain"


def _block(left: Fraction, low: Fraction, right: Fraction, high: Fraction) -> list[ExactPoint]:
    return [(left, low), (right, low), (right, high), (left, high)]


def _rectangle(
    name: str, left: Fraction, low: Fraction, right: Fraction, high: Fraction
) -> WorkFace:
    return WorkFace(name, tuple(_block(left, low, right, high)))


def _lying(name: str, faces: Sequence[WorkFace], folds: Sequence[WorkFold]) -> WorkPiece:
    """Lay a piece flat with its front up, at the sheet's own place."""
    origin = (Fraction(0), Fraction(0), Fraction(0))
    return WorkPiece(name, tuple(faces), tuple(folds), origin, (1, 0, 0), (0, 1, 0))


def _apart(faces: Sequence[WorkFace]) -> bool:
    """Tell whether no faces of a sheet lie over each other."""
    outlines = [Polygon([tuple(map(float, corner)) for corner in face.corners]) for face in faces]
    return all(one.intersection(other).area < 1e-9 for one, other in combinations(outlines, 2))


def _case(pieces: Sequence[WorkPiece], ranks: Sequence[int], glued: Sequence[Glued]) -> Case:
    """Give a case without motions; a piece of a higher rank lies over one of a lower."""
    bare = Case("", tuple(pieces), tuple(glued), (), (), SlideBlock("", ()))
    rank_of, fronts_up = {}, {}
    for piece, rank in zip(pieces, ranks, strict=True):
        up = piece.right[0] * piece.up[1] - piece.right[1] * piece.up[0] > 0
        for face in piece.faces:
            rank_of[face.name], fronts_up[face.name] = rank, up
    lies_on = [
        LiesOn(
            one, other, "front" if (rank_of[one] > rank_of[other]) == fronts_up[other] else "back"
        )
        for one, other in overlaps_without_side(begin(replace(bare, glued=())))
    ]
    return replace(bare, lies_on=tuple(lies_on))


MAKERS: dict[Family, Callable[[random.Random], Case]] = {
    "flaps": _plate_with_flaps,
    "leaves": _stack_of_leaves,
    "trays": _tray,
    "slides": _something_to_slide,
}


def replayed(case: Case) -> Attempt:
    """Give the oracle's answer for a case again, from its data alone."""
    return play(case).attempt
