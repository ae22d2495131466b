"""What a maker knows of twelve structures, true at every moment of the work.

The facts are common practice or plain geometry, worked out by hand by somebody who had not seen the
program; each names its source.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

from gatherfold.work import Work
from tests.work.facts import Fact, fact_files, facts_of, work_of, wrong

_FACTS = [(file.stem, number) for file in fact_files() for number in range(len(facts_of(file)))]


@lru_cache
def _work(name: str) -> Work:
    return work_of(name)


@lru_cache
def _facts(name: str) -> list[Fact]:
    return facts_of(next(file for file in fact_files() if file.stem == name))


@pytest.mark.parametrize(("name", "number"), _FACTS)
def test_a_maker_finds_what_is_known(name: str, number: int) -> None:
    assert wrong(_work(name), _facts(name)[number]) is None


@pytest.mark.parametrize("file", fact_files(), ids=lambda file: file.stem)
def test_every_step_can_be_done(file: Path) -> None:
    assert _work(file.stem).problems == ()
