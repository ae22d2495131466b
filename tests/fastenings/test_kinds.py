"""Kinds of fastenings say everything about themselves, and no stage knows one by its name.

What the sizes and limits are checked against is said in the tests of the checks; here it is that a
kind cannot be left half told.  mypy is asked, as it is before every commit.
"""

from __future__ import annotations

import ast
import dataclasses
import re
import string
from collections.abc import Iterator
from pathlib import Path

import pytest
from mypy import api

import gatherfold
from gatherfold.lengths import INCH
from gatherfold.model.choices import FASTENING_KINDS, FasteningKind
from gatherfold.model.fastenings import FastenerKind, kind_of
from gatherfold.wording import LANGUAGES, load_wording

SOURCE = Path(gatherfold.__file__).parent
CHOICES = SOURCE / "model/choices.py"
#: What the kinds may know: data and exact geometry, nothing that is drawn, read or printed.
BELOW = ("model.choices", "lengths", "geometry.", "model.fastenings.")


def _mypy(*arguments: str, cache: Path) -> tuple[list[str], str]:
    """The errors that mypy reports, strict as the project has it, and all that it says."""
    config = SOURCE.parents[1] / "pyproject.toml"
    said, _, _ = api.run(["--cache-dir", str(cache), "--config-file", str(config), *arguments])
    return [line for line in said.splitlines() if ": error: " in line], said


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What mypy learnt of the library and the packages from outside serves both tests."""
    return tmp_path_factory.mktemp("mypy")


def test_a_kind_that_lacks_any_fact_is_refused(tmp_path: Path, cache: Path) -> None:
    """Each fact in turn is left out; mypy names it where the kind is made, and nothing else."""
    facts = sorted(field.name for field in dataclasses.fields(FastenerKind))
    lines = []
    for lacking in facts:
        told = ", ".join(f"{fact}=brad.{fact}" for fact in facts if fact != lacking)
        lines.append(f"FastenerKind({told})")
    staple = tmp_path / "staple.py"
    imports = "from gatherfold.model import FastenerKind, kind_of\n\nbrad = kind_of('brad')\n"
    staple.write_text(imports + "\n".join(lines))
    errors, said = _mypy(str(staple), cache=cache)
    assert len(facts) > 10 and len(errors) == len(facts), said
    for fact, line in zip(facts, errors, strict=True):
        assert f'Missing named argument "{fact}"' in line


def test_a_new_word_is_missed_in_one_place_only(tmp_path: Path, cache: Path) -> None:
    """A word without its line in ``kind_of`` is an error there and nowhere else in the program."""
    shadow = tmp_path / "choices.py"
    text, count = re.subn(r"(FasteningKind = Literal\[.*)\]", r'\1, "staple"]', CHOICES.read_text())
    assert count == 1
    shadow.write_text(text)
    shadowed = ["--shadow-file", str(CHOICES), str(shadow)]
    errors, said = _mypy(*shadowed, "-p", "gatherfold", cache=cache)
    assert len(errors) == 1, said
    assert "fastenings/__init__.py" in errors[0] and "assert_never" in errors[0]


def _sources() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE), ast.parse(path.read_text())


def test_no_stage_knows_a_kind_by_its_name() -> None:
    named = {
        str(path)
        for path, tree in _sources()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and node.value in FASTENING_KINDS
    }
    kinds = {f"model/fastenings/{module}.py" for module in ("__init__", "kind")}
    assert named == {"model/choices.py"} | kinds


def test_kinds_know_no_stage() -> None:
    known = {
        node.module.removeprefix("gatherfold.")
        for path, tree in _sources()
        if path.parts[:2] == ("model", "fastenings")
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom)
        and node.module
        and node.module.startswith("gatherfold.")
    }
    assert known and all(name.startswith(BELOW) for name in known)


@pytest.mark.parametrize("word", FASTENING_KINDS)
def test_each_kind_needs_some_field_of_a_design_file_and_takes_it(word: FasteningKind) -> None:
    kind = kind_of(word)
    assert kind.required and not kind.required & kind.refused


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("word", FASTENING_KINDS)
def test_what_a_kind_is_called_is_in_every_catalogue(word: FasteningKind, language: str) -> None:
    wording, words = load_wording(language), kind_of(word).words
    asked = {
        words.one: set[str](),
        **{phrase: {"size", "length"} for phrase in words.section},
        **{phrase: {"head", "leg", "piece"} for phrase in words.setting},
    }
    for phrase, places in asked.items():
        written = {name for _, name, _, _ in string.Formatter().parse(wording.text[phrase]) if name}
        assert written <= places
    assert {*kind_of(word).tools} <= {*wording.tools}
    assert {*kind_of(word).hazards} <= {*wording.hazards}
    if words.bought is not None:
        assert wording.phrase(words.bought, "a", "b") and wording.kinds[word]


@pytest.mark.parametrize("word", FASTENING_KINDS)
def test_what_shows_on_both_sides_goes_through_a_hole(word: FasteningKind) -> None:
    """Common practice, no source: what is glued on between the layers pierces none of them."""
    kind = kind_of(word)
    assert (kind.piercing is None) == (kind.ends is None)
    if kind.piercing is not None:
        assert kind.piercing.diameter(INCH / 4, INCH / 16) > 0 and kind.piercing.paper >= 1
    assert kind.spread is None or "leg" in kind.required
