"""Layers at places chosen at random, in every plane of every moment.

The stacks are worked out with lists in :mod:`tests.work.stacks`, or follow from plain geometry:
what lies over one place lies there in one order, and adhesive joins neighbours.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import pytest
from shapely import Point, Polygon
from shapely.geometry.base import BaseGeometry

from gatherfold.work.assembly import Assembly, Bond
from gatherfold.work.moments import Placing
from gatherfold.work.putting import Way
from gatherfold.work.regions import FaceKey, Plate
from tests.work.designs import DESIGNS
from tests.work.played import work_of
from tests.work.stacks import PlaneKey, listed

_PLACES = 50
_FILES = {file.stem: file for file in DESIGNS}


def places(
    assembly: Assembly, plane: PlaneKey, rng: random.Random
) -> Iterator[tuple[float, float]]:
    """Places of a plane at which there is paper, spread over all of its faces."""
    faces = assembly.planes[plane]
    for number in range(_PLACES):
        bounds = assembly.plates[faces[number % len(faces)]].bounds
        yield (
            rng.uniform(float(bounds.left), float(bounds.right)),
            rng.uniform(float(bounds.bottom), float(bounds.top)),
        )


def layered(assembly: Assembly) -> list[PlaneKey]:
    """The planes in which something may lie over something."""
    return [plane for plane, faces in assembly.planes.items() if len(faces) > 1]


def shape(plate: Plate) -> BaseGeometry:
    """A face as the even-odd fill of its rings, in floats, away from its edges."""
    found: BaseGeometry = Polygon()
    for ring in plate.region.rings:
        found = found.symmetric_difference(Polygon([(float(x), float(y)) for x, y in ring]))
    return found


@pytest.mark.parametrize(
    ("name", "least"),
    [
        ("angled-pocket-card", 200),
        ("belly-band", 500),
        ("concertina-boards", 400),
        ("envelope-liner", 200),
        ("flap-on-flap", 1000),
        ("letter-envelope", 200),
        ("observatory-folio", 2500),
        ("roll-up", 300),
    ],
)
def test_layers_are_those_of_lists(name: str, least: int) -> None:
    rng, asked, known, unknown = random.Random(name), 0, 0, 0
    for each in listed(work_of(_FILES[name])):
        assembly = each.moment.assembly
        shapes: dict[FaceKey, BaseGeometry] = {}
        for plane in layered(assembly):
            faces = each.lists.get(plane)
            if faces is None:
                unknown += 1
                continue
            known += 1
            assert set(faces) == set(assembly.planes[plane])
            for spot in places(assembly, plane, rng):
                there = []
                for key in faces:
                    shapes.setdefault(key, shape(assembly.plates[key]))
                    if shapes[key].contains(Point(spot)):
                        there.append(key)
                stack = assembly.stack_at(*plane, spot)  # type: ignore[arg-type]
                assert list(stack) == there, (each.moment.step, each.moment.operation, plane, spot)
                asked += len(there) > 1
    assert asked >= least
    assert known > unknown


def _order_is_total(assembly: Assembly, stack: tuple[FaceKey, ...]) -> None:
    for lower, upper in combinations(stack, 2):
        assert assembly.is_above(lower, upper) is True, (lower, upper)
        assert assembly.is_above(upper, lower) is False, (lower, upper)


def _is_spread(assembly: Assembly, bond: Bond, axis: int, spot: tuple[float, float]) -> bool:
    """Whether the adhesive of a bond lies at a place of its plane."""
    adhesive = bond.adhesive
    assert adhesive is not None
    plate = assembly.plates[adhesive.face]
    place: list[float] = [0.0, 0.0, 0.0]
    place[axis], place[(axis + 1) % 3], place[(axis + 2) % 3] = float(plate.plane), *spot
    x, y, _ = plate.pose.undone().apply((place[0], place[1], place[2]))  # type: ignore[arg-type]
    own = (x, y)
    is_on = plate.own.holds(own) and any(region.holds(own) for region in adhesive.spread)
    return is_on and not any(region.holds(own) for region in adhesive.dry)


def _glue_joins_neighbours(
    assembly: Assembly, stack: tuple[FaceKey, ...], axis: int, spot: tuple[float, float]
) -> int:
    glued: dict[object, list[Bond]] = {}
    for bond in assembly.bonds:
        if bond.adhesive is not None and bond.first in stack and bond.second in stack:
            glued.setdefault(id(bond.adhesive), []).append(bond)
    asked = 0
    for bonds in glued.values():
        if _is_spread(assembly, bonds[0], axis, spot):
            gaps = [abs(stack.index(b.first) - stack.index(b.second)) for b in bonds]
            assert min(gaps) == 1, (bonds, stack)
            asked += 1
    return asked


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_at_one_place_there_is_one_order_and_glue_joins_neighbours(file: Path) -> None:
    rng, glued, stacked = random.Random(file.stem), 0, 0
    work = work_of(file)
    for assembly in [*(moment.assembly for moment in work.moments), work.closed, work.opened]:
        for plane in layered(assembly):
            for spot in places(assembly, plane, rng):
                stack = assembly.stack_at(*plane, spot)  # type: ignore[arg-type]
                _order_is_total(assembly, stack)
                glued += _glue_joins_neighbours(assembly, stack, plane[0], spot)
                stacked += len(stack) > 1
    assert stacked >= (100 if len(work.moments) > 8 else 0)
    assert glued >= (100 if len(work.moments) > 8 else 0)


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_what_is_laid_down_lies_beyond_all_that_is_there(file: Path) -> None:
    """Source: common practice, no source: glued or laid, a piece lies on top of what is there."""
    rng, asked = random.Random(file.stem), 0
    work = work_of(file)
    for moment in work.moments:
        motion = moment.motion
        if not isinstance(motion, Placing) or motion.put.way is Way.SLID:
            continue
        placement = work.parts.pieces[motion.piece].piece.source.placement
        assert placement is not None
        after = motion.put.after
        old, host = motion.before.plates.keys(), after.plates[motion.host]
        is_up = (placement.relation in ("on", "facing")) == (host.facing > 0)
        for plane in layered(after):
            if plane[0] != host.axis:
                continue
            for spot in places(after, plane, rng):
                stack = after.stack_at(*plane, spot)  # type: ignore[arg-type]
                are_new = [key not in old for key in (stack if is_up else stack[::-1])]
                assert are_new == sorted(are_new), (motion.piece, stack)
                asked += len(set(are_new)) > 1
    assert asked or len(work.moments) < 3


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_a_part_of_the_work_lies_as_it_does_in_the_whole(file: Path) -> None:
    """Every second face alone: what lies over each is what lies over it among all, as far as it is
    there."""
    closed = work_of(file).closed
    few = dict(list(closed.plates.items())[::2])
    alone = replace(closed, plates=few)
    for key in few:
        for is_up in (False, True):
            whole = [other for other in closed.lying_over(key, is_up) if other in few]
            assert list(alone.lying_over(key, is_up)) == whole
