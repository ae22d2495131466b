"""Data flows one way: a stage imports only stages before it, and none is too large to look through.

Source: section 8 of the architecture, and the guide's picture of the stages.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import gatherfold

PACKAGE = Path(gatherfold.__file__).parent
#: Every stage with those that it knows, in the order of the data; kinds of fastenings are facts of
#: the model, and known to it.
STAGES = (
    ("lengths", "findings", "solver", "shipped", "files"),
    ("geometry",),
    ("formulas",),
    ("model", "fastenings"),
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
MOST_MODULES = 20


def _imports() -> Iterator[tuple[Path, str, str]]:
    """Each module below the fronts, its stage and a stage that it imports."""
    for path in sorted(PACKAGE.rglob("*.py")):
        within = path.relative_to(PACKAGE)
        stage = within.parts[0].removesuffix(".py")
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("gatherfold."):
                assert node.module is not None
                yield within, stage, node.module.split(".")[1]


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


def test_a_folder_can_be_looked_through() -> None:
    folders = {path.parent for path in PACKAGE.rglob("*.py")} - {PACKAGE}
    counts = {folder.name: len(list(folder.glob("*.py"))) for folder in folders}
    assert not {name for name, count in counts.items() if count > MOST_MODULES}
