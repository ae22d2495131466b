"""What several stages' tests share: the shipped folio, built once."""

from __future__ import annotations

import fcntl
import os
import pickle
from collections.abc import Callable
from typing import TypeVar

import pytest

from gatherfold.build import BuildOrder, EditionResult, build_editions
from gatherfold.documents.laid_out import LaidOut
from gatherfold.reading import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS

FOLIO = DESIGNS / "observatory-folio.yaml"
#: A layout that says nothing of its page.
NO_LAYOUT = DESIGNS / "no layout"


def silent(text: str) -> None:
    """Progress that says nothing; a named function, so that it reaches worker processes."""


def first_document(result: EditionResult) -> LaidOut:
    """What was made of an edition in the first of its layouts."""
    return next(iter(result.documents.values()))


Made = TypeVar("Made")


def made_once(factory: pytest.TempPathFactory, name: str, make: Callable[[], Made]) -> Made:
    """What ``make`` returns, made by the first worker of this run that asks; the others read it."""
    base = factory.getbasetemp()
    folder = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    kept = folder / f"{name}.pickle"
    with (folder / f"{name}.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if kept.exists():
            found: Made = pickle.loads(kept.read_bytes())
            return found
        made = make()
        kept.write_bytes(pickle.dumps(made))
    return made


@pytest.fixture(scope="session")
def built_folio(tmp_path_factory: pytest.TempPathFactory) -> dict[str, EditionResult]:
    """Both editions of the shipped folio in every layout, the pattern first, by edition."""
    return made_once(tmp_path_factory, "built-folio", _build_folio)


def _build_folio() -> dict[str, EditionResult]:
    layouts = tuple(LAYOUTS / name for name in ("pattern", "handout", "bench"))
    order = BuildOrder(layouts, "0123456789ab", allow_draft=False)
    design = read_design_file(FOLIO)
    results = build_editions(design, list(EDITIONS.values()), order, silent)
    return {result.edition: result for result in results}
