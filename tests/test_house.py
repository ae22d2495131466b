"""How the code is built: names said once, functions that fit on a screen, fronts that are used.

Source: the habits in the guide.
"""

from __future__ import annotations

import ast
from collections import Counter
from functools import cache
from pathlib import Path

import gatherfold

PACKAGE = Path(gatherfold.__file__).parent
MOST_LINES, MOST_PARAMETERS = 40, 6
#: A function has one way through it, and one more for each place where it may go another way.
MOST_WAYS = 4.0
FORKS = (ast.If, ast.For, ast.While, ast.ExceptHandler, ast.IfExp, ast.comprehension,
         ast.match_case, ast.Assert)  # fmt: skip


@cache
def _nodes() -> list[tuple[str, ast.AST]]:
    return [
        (str(path.relative_to(PACKAGE)), node)
        for path in sorted(PACKAGE.rglob("*.py"))
        for node in ast.walk(ast.parse(path.read_text()))
    ]


def _functions() -> list[tuple[str, ast.FunctionDef]]:
    return [(path, node) for path, node in _nodes() if isinstance(node, ast.FunctionDef)]


def _parameters(node: ast.FunctionDef) -> int:
    given = node.args
    names = [each.arg for each in (*given.posonlyargs, *given.args, *given.kwonlyargs)]
    return len(names) - (names[:1] in (["self"], ["cls"]))


def _ways(node: ast.FunctionDef) -> int:
    inside = list(ast.walk(node))
    joined = sum(len(each.values) - 1 for each in inside if isinstance(each, ast.BoolOp))
    return 1 + joined + sum(isinstance(each, FORKS) for each in inside)


def test_a_class_has_a_name_of_its_own() -> None:
    names = Counter(node.name for _, node in _nodes() if isinstance(node, ast.ClassDef))
    assert len(names) > 300
    assert [name for name, count in names.items() if count > 1] == []


def test_a_function_fits_on_a_screen_and_takes_few_things() -> None:
    long = [
        (path, node.name)
        for path, node in _functions()
        if (node.end_lineno or 0) - node.lineno + 1 > MOST_LINES
        or _parameters(node) > MOST_PARAMETERS
    ]
    assert long == []


def test_functions_go_few_ways() -> None:
    ways = [_ways(node) for _, node in _functions()]
    assert sum(ways) / len(ways) <= MOST_WAYS
