"""Another size of a work by the same motions lies where it would if it were played.

Source: playing the same edition from the start.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.work.assembly import Assembly
from gatherfold.work.play import play
from gatherfold.work.replaying import replayed
from tests.work.designs import DESIGNS, resolved_of
from tests.work.played import work_of
from tests.work.small_designs import FLAPS, LATCH, POCKET, WALLED, played, resolved


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


@pytest.mark.parametrize(
    ("text", "before", "after"),
    [
        # A flap that closes further above the card, and a latch that has to rise further.
        (LATCH.replace("LENGTH", "40"), "gusset: 4", "gusset: 7"),
        (LATCH.replace("LENGTH", "40"), "left: 5, bottom: 34", "left: 3, bottom: 20"),
        (LATCH.replace("LENGTH", "40"), "size: 60 x 80, behind", "size: 64 x 80, behind"),
        # A pocket elsewhere, and a slip that looks further out of it.
        (
            POCKET.replace("WIDTH", "50"),
            "size: 60 x 40, on: card, bottom: 0",
            "size: 70 x 30, on: card, bottom: 9",
        ),
        (POCKET.replace("WIDTH", "50"), "bottom: 6", "bottom: 8"),
        # Walls of another height round a base of another size.
        (
            WALLED.replace("NAMES", "tray.left, tray.right, tray.front, tray.back").replace(
                "LEFT", "30"
            ),
            "base: 80",
            "base: 90",
        ),
        # Flaps of other widths, the tag under one of them; a leaf turned aside for it.
        (
            FLAPS.replace("closing: [card.wing, card.flap]\n", "")
            .replace("PLACE", "on: card.back, right: 5")
            .replace("TAG", "close: card.wing")
            .replace("close: all", "attach: tag"),
            "flap: 50, back: 60, wing: 55",
            "flap: 45, back: 65, wing: 50",
        ),
    ],
)
def test_another_size_of_a_small_design_lies_as_if_it_were_played(
    text: str, before: str, after: str
) -> None:
    assert before in text
    work, resized = played(text), resolved(text.replace(before, after))
    again, wanted = replayed(work, resized), play(resized)
    assert wanted.problems == work.problems == ()
    assert _laid(again.opened) == _laid(wanted.opened)
    assert _laid(again.closed) == _laid(wanted.closed)
    assert _laid(again.closed) != _laid(work.closed)
    assert again.closed.sides == wanted.closed.sides
    assert again.parts.resolved is resized and again.moments is work.moments
