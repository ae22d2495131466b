"""What several stages' tests share: the shipped designs, built once."""

from __future__ import annotations

import gc
import os
import tempfile

import pytest

from gatherfold.build import EditionResult, Options, build_editions
from gatherfold.documents.laid_out import LaidOut
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.once import FOLDER, once

FOLIO = DESIGNS / "observatory-folio.yaml"
#: The design that is built with both editions in one document as well.
BUILT_TOGETHER = "letter-envelope"
#: A layout that says nothing of its page.
NO_LAYOUT = DESIGNS / "no layout"


def silent(text: str) -> None:
    """Progress that says nothing; a named function, so that it reaches worker processes."""


def first_document(result: EditionResult) -> LaidOut:
    """What was made of an edition in the first of its layouts."""
    return next(iter(result.documents.values()))


#: How much is made before Python searches what is newest, newer and old for garbage.
_SEARCHES = (50_000, 20, 20)


def pytest_configure(config: pytest.Config) -> None:
    """Give the workers of a run one folder for what is made once.

    What is made is kept, so that Python's search for garbage finds little and takes a tenth of the
    time; it is made less often.
    """
    gc.set_threshold(*_SEARCHES)
    if hasattr(config, "workerinput") or FOLDER in os.environ:
        return
    folder = tempfile.TemporaryDirectory(prefix="gatherfold-tests-")
    os.environ[FOLDER] = folder.name
    config.add_cleanup(folder.cleanup)
    config.add_cleanup(lambda: os.environ.pop(FOLDER))


@once
def built(name: str) -> dict[str, EditionResult]:
    """A shipped design in every layout, the pattern first, by edition; one of them side by side as
    well."""
    layouts = [LAYOUTS / layout for layout in ("pattern", "handout", "bench")]
    design = read_design_file(DESIGNS / f"{name}.yaml")
    options = Options(side_by_side=name == BUILT_TOGETHER)
    results = build_editions(design, list(EDITIONS.values()), layouts, options, silent)
    return {result.edition: result for result in results}


@pytest.fixture(scope="session")
def built_folio() -> dict[str, EditionResult]:
    """Both editions of the shipped folio in every layout, the pattern first, by edition."""
    return built("observatory-folio")
