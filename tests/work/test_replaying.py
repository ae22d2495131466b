"""Another size of a work by the same motions lies where it would if it were played.

Source: playing the same edition from the start.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.reading import read_design_file
from builder.resolve import resolve
from builder.resolve.edition import EDITIONS
from builder.work.assembly import Assembly
from builder.work.play import play
from builder.work.replaying import replayed
from tests.work.designs import DESIGNS, resolved_of
from tests.work.played import work_of


def _laid(assembly: Assembly) -> dict[object, object]:
    return {key: (plate.pose, plate.own) for key, plate in assembly.plates.items()}


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_the_same_size_again_lies_where_it_lay(file: Path) -> None:
    work = work_of(file)
    again = replayed(work, resolved_of(file))
    assert _laid(again.opened) == _laid(work.opened)
    assert _laid(again.closed) == _laid(work.closed)
    assert again.moments == work.moments


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_another_edition_lies_as_if_it_were_played(file: Path) -> None:
    work = work_of(file)
    design = read_design_file(file)
    (other,) = (edition for name, edition in EDITIONS.items() if name != design.native)
    resolved = resolve(design, other)
    played, again = play(resolved), replayed(work, resolved)
    assert again.scale == played.scale
    assert _laid(again.opened) == _laid(played.opened)
    assert _laid(again.closed) == _laid(played.closed)
    # A pair that overlaps in one size only has no side in the other; none has another side.
    wrong = [p for p, s in again.closed.sides.items() if played.closed.sides.get(p, s) != s]
    assert wrong == []
    missing = played.closed.sides.keys() - again.closed.sides.keys()
    assert len(missing) * 10 < len(played.closed.sides) or not missing
