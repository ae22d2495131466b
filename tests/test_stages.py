"""Data flows one way: a stage imports only stages before it, and none is too large to look through.

A stage takes from another what its front gives on, and a front gives on nothing else.

Source: section 8 of the architecture, and the guide's picture of the stages.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import gatherfold

PACKAGE = Path(gatherfold.__file__).parent
#: Every stage with those that it knows, in the order of the data.
STAGES = (
    ("lengths", "findings", "solver", "shipped", "files"),
    ("geometry",),
    ("formulas",),
    ("model",),
    ("wording",),
    ("reading",),
    ("resolve",),
    ("sheets",),
    ("work",),
    ("plans",),
    ("counts",),
    ("checks",),
    ("native_edition",),
    ("editions",),
    ("drawings", "machine_files"),
    ("documents", "record"),
    ("build",),
    ("interface",),
    ("commands",),
    ("cli",),
)
#: They ask for a part of the package when it is needed, and are no stage themselves.
FRONTS = ("__init__.py", "__main__.py")
#: Insides that a later stage may import.  Drawing takes a second to import and typesetting another,
#: and documents have errors that the command line waits for when it needs neither.
SLOW_TO_IMPORT = {
    f"gatherfold.documents.{module}"
    for module in ("figure_set", "laid_out", "page", "proof_sheet", "typeset")
}
#: Its front is for whoever plans plain rectangles, too.
USED_FROM_OUTSIDE = "sheets"
MOST_MODULES = 20


@cache
def _imported() -> tuple[tuple[Path, str, str, str], ...]:
    """Each module, its stage, a module that it imports from, and a name."""
    return tuple(_read_imports())


def _read_imports() -> Iterator[tuple[Path, str, str, str]]:
    for path in sorted(PACKAGE.rglob("*.py")):
        within = path.relative_to(PACKAGE)
        stage = within.parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("gatherfold."):
                assert node.module is not None
                yield from ((within, stage, node.module, alias.name) for alias in node.names)


def _imports() -> Iterator[tuple[Path, str, str]]:
    """Each module, its stage and a stage that it imports."""
    for path, stage, module, _ in _imported():
        yield path, stage, module.split(".")[1]


def _given_on(front: Path) -> list[str]:
    """The names that a front gives on from within its stage."""
    return [
        alias.name
        for node in ast.parse(front.read_text()).body
        if isinstance(node, ast.ImportFrom)
        for alias in node.names
        if alias.asname is not None
    ]


def test_every_module_is_of_a_stage() -> None:
    stages = {path.name.removesuffix(".py") for path in PACKAGE.iterdir() if path.suffix == ".py"}
    stages |= {path.parent.name for path in PACKAGE.glob("*/__init__.py")}
    named = {name for stage in STAGES for name in stage}
    assert stages - {name.removesuffix(".py") for name in FRONTS} == named


def test_the_guide_names_every_stage_in_this_order() -> None:
    table = (PACKAGE.parents[1] / "DEVELOPERS.md").read_text().partition("| --- |")[2]
    places = [line.split("|")[1] for line in table.split("\n\n")[0].splitlines() if "|" in line]
    named = [set(re.findall(r"`(?:builder/gatherfold/)?(\w+)(?:/|\.py)", row)) for row in places]
    first_row = {
        name: next(number for number, row in enumerate(named) if name in row)
        for stage in STAGES
        for name in stage
    }
    last = [max(first_row[name] for name in stage) for stage in STAGES]
    assert last == sorted(last)


def test_a_stage_knows_only_the_stages_before_it() -> None:
    place = {name: number for number, stage in enumerate(STAGES) for name in stage}
    known = [(path, stage, other) for path, stage, other in _imports() if str(path) not in FRONTS]
    assert len(known) > 500
    back = [
        (str(path), other)
        for path, stage, other in known
        if stage != other and place[other] > place[stage]
    ]
    assert back == []


def test_stages_side_by_side_do_not_know_one_another() -> None:
    beside = ({"drawings", "machine_files"}, {"documents", "record"})
    assert not [
        (str(path), other)
        for path, stage, other in _imports()
        if stage != other and {stage, other} in beside
    ]


def test_planning_sheets_knows_nothing_of_designs() -> None:
    known = {other for _, stage, other in _imports() if stage == "sheets"}
    assert known <= {"sheets", "solver", "lengths", "geometry"}


def test_a_stage_imports_from_the_front_of_another() -> None:
    inside = {
        (str(path), module)
        for path, stage, module, _ in _imported()
        if module.count(".") > 1 and module.split(".")[1] != stage
    }
    assert {module for _, module in inside} == SLOW_TO_IMPORT
    assert {path for path, _ in inside} == {"build.py", "interface.py"}


def test_no_stage_imports_its_own_front() -> None:
    assert not [
        (path, module) for path, stage, module, _ in _imported() if module == f"gatherfold.{stage}"
    ]


@pytest.mark.parametrize("stage", [path.parent.name for path in PACKAGE.glob("*/__init__.py")])
def test_a_front_gives_on_what_others_use(stage: str) -> None:
    given = _given_on(PACKAGE / stage / "__init__.py")
    used = {name for _, _, module, name in _imported() if module == f"gatherfold.{stage}"}
    assert stage == USED_FROM_OUTSIDE or {*given} <= used
    assert len(given) == len({*given})


def test_a_folder_can_be_looked_through() -> None:
    folders = {path.parent for path in PACKAGE.rglob("*.py")} - {PACKAGE}
    counts = {folder.name: len(list(folder.glob("*.py"))) for folder in folders}
    assert not {name for name, count in counts.items() if count > MOST_MODULES}
