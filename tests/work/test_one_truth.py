"""Only the work says where something lies, what lies over what, what moves and what is joined.

Source: section "the work" of the architecture: a later stage that works such a thing out itself,
or asks what kind of structure it has before it, can come to another answer than the work.
"""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterator
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "builder" / "gatherfold"

#: What makes a pose or a motion in space.
MAKERS = frozenset({"IDENTITY", "turned", "flipped", "shifted"})
MAKERS_OF_WORK = {
    "gatherfold.work": frozenset({"TURNED_OVER", "Rigid", "quarter_turn", "shifted_by", "AT_REST"}),
    "gatherfold.work.space": frozenset(
        {"TURNED_OVER", "Rigid", "quarter_turn", "shifted_by", "AT_REST"}
    ),
    "gatherfold.work.turning": frozenset({"turned", "moving_part"}),
    "gatherfold.work.putting": frozenset({"laid_on", "slid_between", "put_on", "slide_in"}),
    "gatherfold.work.closing": frozenset({"close", "close_in_order", "turn_fully"}),
    "gatherfold.work.paths": frozenset({"crossings_of_turn", "crossings_of_slide", "glides"}),
}
#: Stages before the work, and the geometry that it is built on.
BEFORE = ("work/", "geometry/")
#: Modules that move what they draw, and nothing that is made: each with what for.
PROJECTIONS = {
    "machine_files/scenes.py": "lays cut pieces on the sheet that a machine cuts",
    "drawings/views/seen_pieces.py": "turns the whole work towards who looks at a picture",
    "drawings/step/view.py": "draws what is put on beside the place that it goes to",
    "drawings/finished/drawing.py": "turns the finished work over to show its other side",
    "drawings/motion/drawing.py": "turns the work over, and draws what goes on beside it",
}
#: Modules of the model before the work.
REMOVED = (
    "checks/covering.py",
    "drawings/assembly_stages.py",
    "drawings/closed_work.py",
    "drawings/laying.py",
    "drawings/movements.py",
    "drawings/pivots.py",
    "drawings/put_on.py",
    "drawings/slid_work.py",
    "resolve/closed_for_good.py",
    "resolve/placement.py",
    "resolve/turns.py",
)
#: Names of the model before the work: states, what is there in which, and kinds of structures.
FORMER = (
    "State",
    "closed_for_good",
    "closed_sections",
    "goes_round",
    "is_box",
    "is_lid",
    "is_slid_in",
    "lids",
    "present",
    "slid_in",
    "slid_on",
    "states",
)
#: What of both stands yet; a test that begins to pass turns red until its entry is taken out here.
NOT_YET_REMOVED: tuple[str, ...] = ()
STILL_CALLED: tuple[str, ...] = ()


def _some_left(former: Collection[str], there: Collection[str]) -> list[object]:
    """A parameter for each; those that are still there are expected to fail."""
    reason = "stands until the stages after the work ask it alone"
    mark = pytest.mark.xfail(reason=reason, strict=True)
    return [pytest.param(each, marks=mark) if each in there else each for each in former]


@cache
def _trees() -> dict[str, ast.Module]:
    return {
        str(path.relative_to(PACKAGE)): ast.parse(path.read_text())
        for path in sorted(PACKAGE.rglob("*.py"))
    }


def _imported(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """What a module imports, as (module, name); a whole module has no name."""
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and node.module:
            for alias in node.names:
                yield node.module, alias.name
        elif isinstance(node, ast.Import):
            for alias in node.names:
                yield alias.name, ""


def _makers_in(tree: ast.Module) -> list[str]:
    """What a module imports that makes poses or motions."""
    poses = dict.fromkeys(("gatherfold.geometry", "gatherfold.geometry.pose"), MAKERS)
    makers = poses | MAKERS_OF_WORK
    found = []
    for module, name in _imported(tree):
        package, _, last = f"{module}.{name}".rpartition(".")
        if name in makers.get(module, ()) or (module in makers and not name):
            found.append(f"{module}.{name}")
        elif f"{package}.{last}" in makers:
            found.append(f"{package}.{last}")
    return found


@cache
def _words(path: str) -> frozenset[str]:
    """The names that a module gives, imports, or asks another thing for; not its own variables."""
    found = set()
    for node in ast.walk(_trees()[path]):
        match node:
            case ast.Attribute(attr=name) | ast.arg(arg=name) | ast.keyword(arg=str(name)):
                found.add(name)
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name) | ast.alias(name=name):
                found.add(name)
            case ast.AnnAssign(target=ast.Name(id=name)):
                found.add(name)
            case _:
                pass
    return frozenset(found)


def test_nothing_else_makes_poses_or_motions() -> None:
    found = {
        path: makers
        for path, tree in _trees().items()
        if not path.startswith(BEFORE) and path not in PROJECTIONS and (makers := _makers_in(tree))
    }
    assert found == {}


@pytest.mark.parametrize("path", PROJECTIONS)
def test_a_projection_that_is_excused_is_there_and_moves_something(path: str) -> None:
    """An excuse that nothing needs any longer goes."""
    assert _makers_in(_trees()[path])


@pytest.mark.parametrize("path", _some_left(REMOVED, NOT_YET_REMOVED))
def test_the_modules_of_the_model_before_are_gone(path: str) -> None:
    assert path not in _trees()


@pytest.mark.parametrize("name", _some_left(FORMER, STILL_CALLED))
def test_the_names_of_the_model_before_are_gone(name: str) -> None:
    assert [path for path in _trees() if name in _words(path)] == []


def test_the_work_knows_only_the_stages_before_it() -> None:
    allowed = (
        "gatherfold.geometry", "gatherfold.lengths", "gatherfold.model",
        "gatherfold.reading.matching_names", "gatherfold.resolve", "gatherfold.work",
    )  # fmt: skip
    found = {
        (path, f"{module}.{name}")
        for path, tree in _trees().items()
        if path.startswith("work/")
        for module, name in _imported(tree)
        if module.startswith("gatherfold") and not f"{module}.{name}".startswith(allowed)
    }
    assert found == set()


def test_the_stages_before_do_not_know_the_work() -> None:
    before = (
        "geometry/",
        "reading/",
        "resolve/",
        "formulas/",
    )
    found = {
        path
        for path, tree in _trees().items()
        if path.startswith(before)
        for module, _ in _imported(tree)
        if module.startswith("gatherfold.work")
    }
    assert found == set()
