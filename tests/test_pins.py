"""What is installed is bounded, so that a fresh install of any day passes the tests; and what is
imported is asked for by name."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())
LIBRARIES: list[str] = PROJECT["project"]["dependencies"]
TOOLS: list[str] = PROJECT["project"]["optional-dependencies"]["test"]
NUMBER = r"[0-9]+(?:\.[0-9]+)*"


def name_of(requirement: str) -> str:
    """The name as PEP 503 makes names alike."""
    name = re.match(r"[A-Za-z0-9._-]+", requirement)
    assert name is not None
    return re.sub(r"[-_.]+", "-", name.group()).lower()


@pytest.mark.parametrize("library", LIBRARIES)
def test_a_library_has_a_lower_and_an_upper_bound(library: str) -> None:
    assert re.fullmatch(rf"[A-Za-z0-9._-]+>={NUMBER},<{NUMBER}", library)


@pytest.mark.parametrize("tool", [*TOOLS, *PROJECT["build-system"]["requires"]])
def test_a_tool_is_pinned(tool: str) -> None:
    assert re.fullmatch(rf"[A-Za-z0-9._-]+=={NUMBER}", tool)


@pytest.mark.parametrize(
    ("folder", "asked_for"), [("builder", LIBRARIES), ("tests", [*LIBRARIES, *TOOLS])]
)
def test_what_is_imported_is_asked_for(folder: str, asked_for: list[str]) -> None:
    """Not merely there because something else needs it."""
    own = {"gatherfold", "tests", *sys.stdlib_module_names}
    imported = {
        module
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        for module in modules_of(node)
    } - own
    distributions = packages_distributions()
    known = {name_of(each) for each in asked_for}
    missing = {
        module
        for module in imported
        if not known & {name_of(name) for name in distributions.get(module, [module])}
    }
    assert imported and not missing


def modules_of(node: ast.AST) -> list[str]:
    match node:
        case ast.Import(names):
            return [alias.name.partition(".")[0] for alias in names]
        case ast.ImportFrom(str() as module, level=0):
            return [module.partition(".")[0]]
    return []
