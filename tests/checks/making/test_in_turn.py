"""Pieces are tried, named and glued in one order."""

from __future__ import annotations

import pytest

from gatherfold.checks.making.in_turn import check_turns
from gatherfold.checks.making.stages import stages_of
from tests.checks.making.works_in_steps import codes_of, steps

PIECES = """
base: {as: panel, from: night, size: 8 x 6}
mat: {as: mat, from: night, on: base, leaving: 1/8}
plate: {as: panel, from: night, size: 2 x 2, on: mat}
"""


def codes(pieces: str, rest: str) -> list[str]:
    return codes_of(lambda resolved: check_turns(resolved, stages_of(resolved)), pieces, rest)


@pytest.mark.parametrize(
    ("done", "expected"),
    [
        (["dry_fit: mat\nattach: mat", "attach: plate"], []),
        (["dry_fit: mat", "attach: plate", "attach: mat"], ["dry-fit-left"]),
        # It is tried where it is glued, too.
        (["dry_fit: mat", "attach: plate", "dry_fit: mat\nattach: mat"], []),
        (["dry_fit: mat", "attach: mat", "attach: plate"], []),
        (["dry_fit: mat, plate\nattach: mat, plate"], []),
        (["dry_fit: mat, plate\nattach: plate, mat"], ["dry-fit-order"]),
        (["dry_fit: plate\nattach: plate, mat"], []),
    ],
)
def test_what_is_tried_is_glued_in_that_turn(done: list[str], expected: list[str]) -> None:
    assert codes(PIECES, steps("cut: all", *done)) == expected


@pytest.mark.parametrize(
    ("rows", "expected"), [("[2, 1]", []), ("[1, 2]", ["named-in-other-order"])]
)
def test_what_lies_over_others_is_named_after_them(rows: str, expected: list[str]) -> None:
    """Each panel lies flat over the foot in front of it until it stands: the one at the back of the
    tray comes first."""
    pieces = f"""
    base: {{as: panel, from: night, size: 4 x 6}}
    dividers:
      each: {{n: {rows}}}
      pieces:
        "wall_{{n}}":
          from: night
          up: {{foot: 1/2, panel: 2}}
          width: 4
          on: base
          by: foot
          bottom: "{{n}}"
    """
    assert codes(pieces, steps("cut: all\nscore: wall_*", "attach: wall_*")) == expected
