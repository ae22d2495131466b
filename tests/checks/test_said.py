"""What checks say stands in one catalogue: every kind that is asked for, and no other."""

from __future__ import annotations

import ast
import string
from collections.abc import Iterator
from pathlib import Path

import pytest

import gatherfold
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Severity
from gatherfold.wording import read_catalogue

SAID = read_catalogue("gatherfold.checks", "findings")


def _nodes() -> Iterator[ast.AST]:
    for stage in ("checks", "native_edition"):
        for path in (Path(gatherfold.__file__).parent / stage).rglob("*.py"):
            yield from ast.walk(ast.parse(path.read_text()))


def test_a_kind_is_in_the_catalogue_if_and_only_if_it_is_asked_for() -> None:
    called, words = set[str](), set[str]()
    for node in _nodes():
        match node:
            case ast.Call(func=ast.Name(id="finding_kind"), args=[ast.Constant(value=str(name))]):
                called.add(name)
            case ast.Call(
                func=ast.Attribute(attr="found" | "found_in_text"),
                args=[ast.Constant(value=str(name)), *_],
            ):
                called.add(name)
            case ast.Constant(value=str(word)):
                words.add(word)
    assert len(called) > 70
    assert called - SAID.keys() == set()
    assert SAID.keys() - called - words == set()


@pytest.mark.parametrize("name", SAID)
def test_what_is_said_can_be_filled(name: str) -> None:
    """A severity is given only where it is no error, and every place has a name."""
    kind = finding_kind(name)
    assert SAID[name].keys() <= {"message", "remedy", "severity"}
    assert kind.severity is not Severity.ERROR or "severity" not in SAID[name]
    for text in (kind.message, kind.remedy):
        assert all(place != "" for _, place, _, _ in string.Formatter().parse(text))
