"""Other names and another order of entries change nothing in the work.

Every shipped and test design is renamed and shuffled; what is compared is geometry: where every
face lies at every moment, what lies over what, what is joined, what moved and what went wrong.
Source: a name is a label; "shuffling the entries of a design changes nothing but codes".
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable
from dataclasses import replace
from pathlib import Path

import pytest

from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.work.assembly import Assembly, Bond
from gatherfold.work.closing import Turn
from gatherfold.work.moments import Moment, Motion, Placing, Tie, Work
from gatherfold.work.play import play
from gatherfold.work.turning import Swing
from tests.work.designs import DESIGNS
from tests.work.played import work_of
from tests.work.renaming import Renamed, rewritten

Namer = Callable[[object], str]


#: Two covers of one size, each with its mat and joined to nothing: nothing tells one from another.
_TWINS = {
    "class-keepsake": {
        "front": "cover", "back": "cover", "front_mat": "cover_mat", "back_mat": "cover_mat"
    }
}  # fmt: skip


def _same(text: object) -> str:
    return str(text)


def _namer(design: str, rename: Callable[[str], str], is_new: bool) -> Namer:
    """The new name of something, by its old name or its new one; twins have one name."""
    twins = {rename(old) if is_new else old: new for old, new in _TWINS.get(design, {}).items()}

    def named(text: object) -> str:
        piece, dot, face = str(text).partition(".")
        if piece in twins:
            return twins[piece] + dot + face
        return str(text) if is_new else rename(str(text))

    return named


def _assembly(assembly: Assembly, name: Namer) -> Hashable:
    plates = frozenset(
        (name(key), plate.pose, frozenset(plate.own.rings))
        for key, plate in assembly.plates.items()
    )
    creases = frozenset((name(key), c.sense, c.closed) for key, c in assembly.creases.items())
    angles = frozenset((name(key), angle) for key, angle in assembly.angles.items())
    sides = frozenset((name(a), name(b), side) for (a, b), side in assembly.sides.items())
    return name(assembly.base), plates, creases, angles, sides, _bonds(assembly.bonds, name)


def _bonds(bonds: tuple[Bond, ...], name: Namer) -> Hashable:
    return frozenset(
        (name(b.first), name(b.second), b.kind, name(b.joins), b.adhesive is not None)
        for b in bonds
    )


def _motion(motion: Motion | None, name: Namer) -> Hashable:
    match motion:
        case None:
            return None
        case Turn():
            quarters = tuple(
                (frozenset(map(name, q.moved)), q.line, q.sense, len(q.grazed))
                for q in motion.quarters
            )
            return name(motion.fold), motion.is_closing, quarters
        case Placing():
            return name(motion.piece), name(motion.host), motion.put.way, motion.put.out
        case Swing():
            return name(motion.fastening), motion.is_aside, frozenset(map(name, motion.moved))
        case Tie():
            return name(motion.fastening)


def _moment(moment: Moment, name: Namer) -> Hashable:
    others = Counter(_assembly(each, name) for each in moment.others)
    return (
        moment.step,
        moment.operation,
        _motion(moment.motion, name),
        frozenset(map(name, moment.fresh)),
        _bonds(moment.bonds, name),
        _assembly(moment.assembly, name),
        frozenset(others.items()),
    )


def _differences(work: Work, other: Work, name: Namer, same: Namer = _same) -> list[str]:
    """What is not the same in two works, by a name for whatever is in the one and in the other."""
    found = []
    for number, (one, two) in enumerate(zip(work.moments, other.moments, strict=False)):
        if _moment(one, name) != _moment(two, same):
            was = f"{one.operation}, {one.fresh}, {type(one.motion).__name__}"
            found.append(f"moment {number}, step {one.step}, {was}")
    if len(work.moments) != len(other.moments):
        found.append(f"{len(work.moments)} moments, then {len(other.moments)}")
    for what in ("opened", "closed"):
        one_state, other_state = getattr(work, what), getattr(other, what)
        if _assembly(one_state, name) != _assembly(other_state, same):
            found.append(what)
    if [_motion(m, name) for m in work.closing] != [_motion(m, same) for m in other.closing]:
        found.append("the closing")
    problems = (
        Counter((p.trouble, p.step, name(p.part), name(p.other)) for p in work.problems),
        Counter((p.trouble, p.step, p.part, p.other) for p in other.problems),
    )
    if problems[0] != problems[1]:
        found.append("the problems")
    marks = {
        name(key): {name(piece): point for piece, point in points.items()}
        for key, points in work.marks.items()
    }
    if marks != other.marks:
        found.append("the marks")
    return found


def _played(renamed: Renamed) -> Work:
    design = read_design(renamed.text.encode(), "renamed.yaml")
    return play(resolve(design, EDITIONS[design.native]))


def _compared(file: Path, renamed: Renamed) -> list[str]:
    names = [_namer(file.stem, renamed.name, is_new) for is_new in (False, True)]
    return _differences(work_of(file), _played(renamed), *names)


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_other_names_change_nothing(file: Path) -> None:
    renamed = rewritten(file.read_text(), 1, shuffles=False)
    assert len(renamed.parts) >= 8
    assert _compared(file, renamed) == []


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_another_order_of_entries_changes_nothing(file: Path) -> None:
    assert _compared(file, rewritten(file.read_text(), 2, renames=False)) == []


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_other_names_in_another_order_change_nothing(file: Path) -> None:
    for seed in (3, 4):
        assert _compared(file, rewritten(file.read_text(), seed)) == []


def test_a_difference_would_be_seen() -> None:
    """The comparison itself: a bond less, or another place, is a difference."""
    work = work_of(next(file for file in DESIGNS if file.stem == "four-flaps"))
    last = work.moments[-1]
    fewer = replace(last.assembly, bonds=last.assembly.bonds[1:])
    other = replace(work, moments=(*work.moments[:-1], replace(last, assembly=fewer)))
    assert len(_differences(work, other, _same)) == 1
    assert _differences(work, replace(work, opened=work.moments[0].assembly), _same) == ["opened"]
