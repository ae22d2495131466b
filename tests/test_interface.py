"""The interface: its examples run, and the command line uses nothing else.

A build leaves the process's environment as it was, and takes any callable to say what it does.
"""

from __future__ import annotations

import ast
import doctest
import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest

import gatherfold
from gatherfold import files, interface, shipped
from gatherfold.editions import causes

PACKAGE = Path(gatherfold.__file__).parent
COMMAND_LINE = ("cli.py", "commands.py")


def _examples() -> list[doctest.DocTest]:
    names = {name: getattr(gatherfold, name) for name in gatherfold.__all__}
    finder = doctest.DocTestFinder(exclude_empty=True)
    found = [
        test
        for module in (gatherfold, interface, files, shipped, causes)
        for test in finder.find(module, globs=names)
    ]
    readme = (PACKAGE.parent / "README.md").read_text()
    found.append(doctest.DocTestParser().get_doctest(readme, {}, "README", "builder/README.md", 0))
    return [test for test in found if test.examples]


@pytest.mark.parametrize("example", _examples(), ids=lambda each: each.name)
def test_an_example_runs(
    example: doctest.DocTest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    said: list[str] = []
    assert doctest.DocTestRunner().run(example, out=said.append).failed == 0, "".join(said)


def test_every_function_has_an_example() -> None:
    shown = {test.name.rpartition(".")[2] for test in _examples()}
    functions = {
        name for name in gatherfold.__all__ if inspect.isfunction(getattr(gatherfold, name))
    }
    assert len(functions) > 10 and functions <= shown


def test_whatever_is_exported_says_what_it_is() -> None:
    for name in gatherfold.__all__:
        exported = getattr(gatherfold, name)
        if inspect.isclass(exported) or inspect.isfunction(exported) or inspect.ismodule(exported):
            assert inspect.getdoc(exported), name


@pytest.mark.parametrize("name", COMMAND_LINE)
def test_the_command_line_is_written_on_the_interface_alone(name: str) -> None:
    for node in ast.walk(ast.parse((PACKAGE / name).read_text())):
        if isinstance(node, ast.Import):
            modules = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.module is not None
            modules = [node.module]
            if node.module == "gatherfold":
                assert {alias.name for alias in node.names} <= {*gatherfold.__all__, "commands"}
        else:
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
                is_ours = node.value.id == "gatherfold"
                assert not is_ours or node.attr in (*gatherfold.__all__, "__version__"), node.attr
            continue
        for module in modules:
            assert module == "gatherfold" or module.split(".")[0] in sys.stdlib_module_names


def test_nothing_imports_the_command_line() -> None:
    above = {"gatherfold.cli", "gatherfold.commands"}
    for path in PACKAGE.rglob("*.py"):
        if path.name in (*COMMAND_LINE, "__main__.py"):
            continue
        for node in ast.walk(ast.parse(path.read_text())):
            if isinstance(node, ast.ImportFrom):
                assert node.module not in above, path
                names = {f"{node.module}.{alias.name}" for alias in node.names}
            elif isinstance(node, ast.Import):
                names = {alias.name for alias in node.names}
            else:
                continue
            assert not names & above, path


def test_the_version_is_said_before_anything_heavy_is_imported() -> None:
    command = [sys.executable, "-X", "importtime", "-m", "gatherfold", "--version"]
    run = subprocess.run(command, capture_output=True, text=True, check=True)
    assert run.stdout == f"gatherfold {gatherfold.__version__}\n"
    imported = {line.rpartition("|")[2].strip() for line in run.stderr.splitlines()}
    heavy = (
        "numpy",
        "yaml",
        "shapely",
        "highspy",
        "weasyprint",
        "matplotlib",
        "gatherfold.work",
    )
    assert "gatherfold.cli" in imported and not imported.intersection(heavy)


def test_a_name_that_is_not_exported_is_refused() -> None:
    with pytest.raises(AttributeError, match="no_such_name"):
        gatherfold.no_such_name  # noqa: B018


def test_a_build_tells_any_callable_and_leaves_the_environment_alone(tmp_path: Path) -> None:
    before = dict(os.environ)
    said: list[str] = []
    design = gatherfold.read_text(gatherfold.shipped_design("letter-envelope"))
    options = gatherfold.Options(layouts=("bench",))
    built = gatherfold.build_design(design, options, lambda text: said.append(text))
    assert dict(os.environ) == before
    assert {text.split(":")[0] for text in said} == {"imperial", "metric"}
    assert [path.name for path in built.write(tmp_path)] == list(built.files)
    assert built.fits and len(built.files) == 5


def test_a_layout_that_is_not_there_is_said_with_the_nearest() -> None:
    design = gatherfold.read_text(gatherfold.shipped_design("letter-envelope"))
    with pytest.raises(gatherfold.NoSuchName, match="Did you mean 'handout'"):
        gatherfold.draw_design(design, "metric", layout="handut")
