"""Small works for tests of the course of making: a tray and a wrapper of flaps."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign
from tests.checks.small_designs import resolved_design

WALLS = "left_wall, right_wall, front_wall, back_wall"

TRAY = """
tray:
  as: tray
  from: night
  across: {left_wall: 1, base: 4, right_wall: 1}
  up: {front_wall: 1, base: 3, back_wall: 1}
  corners: {all: notch 1 x 1}
  tabs:
    left_wall: {top: 1/2, bottom: 1/2, taper: 1/8}
    right_wall: {top: 1/2, bottom: 1/2, taper: 1/8}
"""
#: Two flaps that lap over one another by half an inch, and a third that laps over both.
WRAP = """
wrap:
  as: envelope
  from: night
  closed: 180
  across: {left_flap: 2 1/4, body: 4, right_flap: 2 1/4}
  up: {body: 4, top_flap: 3}
  corners: {top: notch 2 1/4 x 3}
  seams: {left_flap: none, right_flap: none, top_flap: none}
"""
CLOSE_WALLS = ", ".join(f"tray.{wall}" for wall in WALLS.split(", "))


def steps(*done: str, closing: str = "") -> str:
    """Sections after the pieces: a step for each text of operations, one a line."""
    lines = [f"closing: [{closing}]"] if closing else []
    lines.append("steps:")
    for operations in done:
        lines.append("  - title: Do it\n    text: Do it.")
        lines += [f"    {line.strip()}" for line in operations.strip().splitlines()]
    return "\n".join(lines) + "\n"


def codes_of(
    check: Callable[[ResolvedDesign], Iterator[Finding]], pieces: str, rest: str
) -> list[str]:
    """What a check says about pieces and steps, by code."""
    return [finding.code for finding in check(resolved_design(pieces, rest))]
