"""The program and the oracle agree on which motions are free and on what then lies on what.

The oracle shares no code with the program.  ``python -m tests.work.agreement`` asks much more.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.work.agreement import (
    Tally,
    asked,
    by_hand,
    other_turns,
    together,
    turns_confirmed,
)
from tests.work.designs import DESIGNS
from tests.work.played import work_of
from tests.work.random_works import random_answers

_FILES = {file.stem: file for file in DESIGNS}


def _free(asked: Counter[str]) -> int:
    return sum(count for kind, count in asked.items() if kind.endswith(", free"))


def _blocked(asked: Counter[str]) -> int:
    return sum(count for kind, count in asked.items() if kind.endswith(", blocked"))


def _agree(tally: Tally) -> None:
    assert not tally.differences, "\n".join(tally.differences)


def test_works_made_by_hand_move_as_anybody_can_see() -> None:
    """Source: plain geometry, in the comments of the works."""
    tally = by_hand()
    _agree(tally)
    assert tally.asked["by hand, free"] >= 25 and tally.asked["by hand, blocked"] >= 10


def test_works_at_random_move_as_the_oracle_says() -> None:
    tally = together(
        asked(answer.case, answer.attempt, answer.family)
        for answer in random_answers(seed=7, each=8)
    )
    _agree(tally)
    assert _blocked(tally.asked) >= 8 and _free(tally.asked) >= 40
    assert tally.asked["sides after a motion"] >= 400


@pytest.mark.parametrize("name", [n for n in _FILES if n != "observatory-folio"])
def test_every_turn_of_a_design_is_free_and_lands_where_it_can(name: str) -> None:
    _agree(turns_confirmed(work_of(_FILES[name]), name))


@pytest.mark.parametrize(
    ("name", "every"),
    [("four-flaps", 3), ("letter-envelope", 5), ("glued-flat-sleeve", 3), ("keepsake-box", 61)],
)
def test_other_turns_at_every_moment_are_blocked_where_the_oracle_says(
    name: str, every: int
) -> None:
    _agree(other_turns(work_of(_FILES[name]), name, every))
