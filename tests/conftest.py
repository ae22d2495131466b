"""What several stages' tests share: one folder for what is made once a run."""

from __future__ import annotations

import gc
import os
import tempfile
from typing import TYPE_CHECKING

import pytest

from gatherfold.shipped import DESIGNS
from tests.once import FOLDER

if TYPE_CHECKING:
    # The process that hands tests to workers reads this file alone, and typesets nothing.
    from gatherfold.build import EditionResult
    from gatherfold.documents.laid_out import LaidOut

FOLIO = DESIGNS / "observatory-folio.yaml"
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
