"""What a maker knows of the test designs, held against the moments of the work.

The facts are data in tests/designs/facts, worked out by hand; how each is to be read stands in the
README there.  Each function says what is wrong, or nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

from gatherfold.work.assembly import Assembly, FoldKey
from gatherfold.work.moments import Work
from gatherfold.work.regions import FaceKey
from gatherfold.work.space import ACROSS
from gatherfold.work.turning import Blocked, Manner, turned
from gatherfold.work.visible import is_seen, look_at, visible_parts
from tests.tables import table
from tests.work.designs import TEST_DESIGNS as DESIGNS
from tests.work.played import work_of as played_of
from tests.work.ways_out import way_out

FACTS = DESIGNS / "facts"
Fact = dict[str, Any]
_TOWARDS = {
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "top": (0, 1, 0),
    "bottom": (0, -1, 0),
    "front": (0, 0, 1),
    "back": (0, 0, -1),
}


def fact_files() -> list[Path]:
    return sorted(FACTS.glob("*.yaml"))


def facts_of(file: Path) -> list[Fact]:
    facts: list[Fact] = table(file)["facts"]
    return facts


def work_of(name: str) -> Work:
    return played_of(DESIGNS / f"{name}.yaml")


def key(text: str) -> FaceKey:
    piece, _, face = text.partition(".")
    return FaceKey(piece, face or "face")


def assembly_at(work: Work, moment: object, faces: list[FaceKey]) -> Assembly:
    """The assembly at a moment that holds the faces a fact speaks of, or that is worked on."""
    if not isinstance(moment, dict):
        return work.closed
    found = [m for m in work.moments if m.step == moment["step"] and m.operation == moment["after"]]
    # An operation that changed nothing leaves what was there.
    last = found[-1] if found else [m for m in work.moments if m.step <= moment["step"]][-1]
    holding = [a for a in (last.assembly, *last.others) if faces and faces[0] in a.plates]
    return holding[0] if holding else last.assembly


def wrong(work: Work, fact: Fact) -> str | None:
    """What is wrong about a fact; None where it is true."""
    (kind,) = (name for name in fact if name not in ("moment", "source"))
    return _KINDS[kind](work, fact["moment"], fact[kind])


def _joined(work: Work, moment: object, pair: list[str]) -> str | None:
    return None if _are_joined(work, moment, pair) else f"{pair} are not glued together"


def _not_joined(work: Work, moment: object, pair: list[str]) -> str | None:
    return f"{pair} are glued together" if _are_joined(work, moment, pair) else None


def _are_joined(work: Work, moment: object, pair: list[str]) -> bool:
    faces = [key(name) for name in pair]
    assembly = assembly_at(work, moment, faces)
    return any(
        {bond.first, bond.second} == set(faces) and bond.kind == "glue" for bond in assembly.bonds
    )


def _order(work: Work, moment: object, value: Any) -> str | None:
    """All faces that a line square to a face meets, from far away to the viewer."""
    of = key(value["of"])
    assembly = assembly_at(work, moment, [of])
    plate = assembly.plates[of]
    x, y = (Fraction(str(end)) for end in value["at"])
    box = work.parts.pieces[of.piece].piece.face(of.face).box
    own = ((box.left + x) * work.scale, (box.bottom + y) * work.scale, 0)
    place = plate.pose.apply(own)
    first, second = ACROSS[plate.axis]
    planes = sorted({plane for axis, plane in assembly.planes if axis == plate.axis})
    found = [
        str(face)
        for plane in planes
        for face in assembly.stack_at(plate.axis, plane, (place[first], place[second]))
    ]
    is_up = (plate.facing > 0) == (value["look"] == "front")
    found = found if is_up else found[::-1]
    wanted = [str(key(name)) for name in value["layers"]]
    return None if found == wanted else f"layers at {value['at']} of {of}: {found}, not {wanted}"


def _height(work: Work, moment: object, value: Any) -> str | None:
    start = key(value["from"])
    assembly = assembly_at(work, moment, [start])
    plate = assembly.plates[start]
    for name, height in value["planes"].items():
        other = assembly.plates[key(name)]
        if other.axis != plate.axis:
            return f"{name} is not parallel to {start}"
        found = Fraction(other.plane - plate.plane) / work.scale * plate.facing
        if found != Fraction(str(height)):
            return f"{name} lies {float(found)} before {start}, not {height}"
    return None


def _stands(work: Work, moment: object, value: Any) -> str | None:
    return _parallel(work, moment, value, False)


def _lies(work: Work, moment: object, value: Any) -> str | None:
    return _parallel(work, moment, value, True)


def _parallel(work: Work, moment: object, value: Any, is_parallel: bool) -> str | None:
    start = key(value["from"])
    assembly = assembly_at(work, moment, [start])
    for name in value["faces"]:
        is_so = assembly.plates[key(name)].axis == assembly.plates[start].axis
        if is_so != is_parallel:
            return f"{name} {'lies' if is_so else 'stands'} on {start}"
    return None


def _free(work: Work, moment: object, name: str) -> str | None:
    return f"{name} is locked" if _is_locked(work, moment, name) else None


def _locked(work: Work, moment: object, name: str) -> str | None:
    return None if _is_locked(work, moment, name) else f"{name} can be turned"


def _is_locked(work: Work, moment: object, name: str) -> bool:
    assembly = assembly_at(work, moment, [key(name)])
    return assembly.is_locked(_fold_of(assembly, name))


def _fold_of(assembly: Assembly, name: str) -> FoldKey:
    """The fold that a face hangs on; of the face that a piece lies by, one that hangs on it."""
    own = FoldKey(*key(name))
    hanging = [fold for fold, crease in assembly.creases.items() if crease.staying == key(name)]
    return own if own in assembly.creases else hanging[0]


def _turned(work: Work, moment: object, value: Any) -> Blocked | None:
    assembly = assembly_at(work, moment, [key(value["turn"])])
    for _ in range(abs(value["degrees"]) // 90):
        quarter = turned(
            assembly,
            _fold_of(assembly, value["turn"]),
            value["degrees"] > 0,
            Manner(work.parts.tolerance),
        )
        if isinstance(quarter, Blocked):
            return quarter
        assembly = quarter.after
    return None


def _motion_free(work: Work, moment: object, value: Any) -> str | None:
    stop = _turned(work, moment, value)
    return None if stop is None else f"{value} is stopped: {stop}"


def _motion_blocked(work: Work, moment: object, value: Any) -> str | None:
    stop = _turned(work, moment, value)
    if stop is None:
        return f"{value} is free"
    by = value.get("by")
    names = [by] if isinstance(by, str) else by
    if names and stop.by.piece not in names:
        return f"{value} is stopped by {stop.by} ({stop.why})"
    return None


def _slides_out(work: Work, moment: object, value: Any) -> str | None:
    by = _held(work, moment, value)
    return None if by is None else f"{value} is held by {by}"


def _stays_in(work: Work, moment: object, value: Any) -> str | None:
    return f"{value} slides out" if _held(work, moment, value) is None else None


def _held(work: Work, moment: object, value: Any) -> FaceKey | None:
    of = key(value["of"])
    assembly = assembly_at(work, moment, [of])
    own = _TOWARDS[value["towards"]]
    return way_out(assembly, value["piece"], of, own, work.parts.tolerance)


def _seen(work: Work, moment: object, value: Any) -> str | None:
    hidden = [name for name, shows in _shown(work, moment, value) if not shows]
    return f"{hidden} do not show" if hidden else None


def _hidden(work: Work, moment: object, value: Any) -> str | None:
    seen = [name for name, shows in _shown(work, moment, value) if shows]
    return f"{seen} show" if seen else None


def _shown(work: Work, moment: object, value: Any) -> Iterator[tuple[str, bool]]:
    of = key(value["of"])
    assembly = assembly_at(work, moment, [of])
    look = look_at(assembly, of, 1 if value["look"] == "front" else -1)
    parts = visible_parts(assembly, look)
    for name in value["faces"]:
        part = parts.get(key(name))
        yield name, part is not None and is_seen(part)


def _absent(work: Work, moment: object, names: list[str]) -> str | None:
    assembly = assembly_at(work, moment, [])
    there = [name for name in names if name in assembly.pieces]
    return f"{there} are there" if there else None


_KINDS: dict[str, Callable[[Work, object, Any], str | None]] = {
    "joined": _joined,
    "not_joined": _not_joined,
    "order": _order,
    "height": _height,
    "stands": _stands,
    "lies": _lies,
    "free": _free,
    "locked": _locked,
    "motion_free": _motion_free,
    "motion_blocked": _motion_blocked,
    "slides_out": _slides_out,
    "stays_in": _stays_in,
    "seen": _seen,
    "hidden": _hidden,
    "absent": _absent,
}
