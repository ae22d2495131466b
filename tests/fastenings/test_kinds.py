"""Kinds of fastenings say everything about themselves, and no stage knows one by its name.

What the sizes and limits are checked against is said in the tests of the checks; here it is that a
kind cannot be left half told.  mypy is asked, as it is before every commit.
"""

from __future__ import annotations

import ast
import re
import string
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from mypy import api

import builder
from builder.choices import FASTENING_KINDS, FasteningKind
from builder.fastenings import FastenerKind, Need, kind_of
from builder.fastenings.kind import FIELD_NAMES
from builder.lengths import INCH
from builder.wording import LANGUAGES, load_wording

SOURCE = Path(builder.__file__).parent
CHOICES = SOURCE / "choices.py"
#: What the kinds may know: data and exact geometry, nothing that is drawn, read or printed.
BELOW = {"choices", "lengths", "tool_names", "geometry", "fastenings"}


def _mypy(*arguments: str, cache: Path) -> tuple[list[str], str]:
    """The errors that mypy reports, strict as the project has it, and all that it says."""
    config = SOURCE.parent / "pyproject.toml"
    said, _, _ = api.run(["--cache-dir", str(cache), "--config-file", str(config), *arguments])
    return [line for line in said.splitlines() if ": error: " in line], said


def _lacking(member: str, members: Iterable[str]) -> str:
    """A kind that borrows all but one member from the brad, and is then made."""
    borrowed = [f"    {each} = brad.Brad.{each}" for each in members if each != member]
    return "\n".join([f"class Lacks_{member}(FastenerKind):", *borrowed, f"Lacks_{member}()", ""])


def test_a_kind_that_lacks_any_member_is_refused(tmp_path: Path) -> None:
    """Each member in turn is left out; mypy names it where the kind is made, and nothing else."""
    members = sorted(FastenerKind.__abstractmethods__)
    lines = [_lacking(member, members) for member in members]
    staple = tmp_path / "staple.py"
    imports = "from builder.fastenings import FastenerKind, brad\n\n"
    staple.write_text(imports + "\n".join(lines))
    errors, said = _mypy(str(staple), cache=tmp_path / "cache")
    abstract = [line for line in errors if "[abstract]" in line]
    assert len(members) > 10 and len(errors) == len(members), said
    for member, line in zip(members, abstract, strict=True):
        assert f'"Lacks_{member}" with abstract attribute "{member}"' in line


def test_a_new_word_is_missed_in_one_place_only(tmp_path: Path) -> None:
    """A word without its line in ``kind_of`` is an error there and nowhere else in the program."""
    shadow = tmp_path / "choices.py"
    text, count = re.subn(r'("ribbon tie")\]', r'\1, "staple"]', CHOICES.read_text())
    assert count == 1
    shadow.write_text(text)
    shadowed = ["--shadow-file", str(CHOICES), str(shadow)]
    errors, said = _mypy(*shadowed, "-p", "builder", cache=tmp_path / "cache")
    assert len(errors) == 1, said
    assert "fastenings/__init__.py" in errors[0] and "assert_never" in errors[0]


def _sources() -> Iterator[tuple[Path, ast.Module]]:
    for path in sorted(SOURCE.rglob("*.py")):
        yield path.relative_to(SOURCE), ast.parse(path.read_text())


def test_no_stage_knows_a_kind_by_its_name() -> None:
    named = {
        path.parts[0]
        for path, tree in _sources()
        for node in ast.walk(tree)
        if isinstance(node, ast.Constant) and node.value in FASTENING_KINDS
    }
    assert named == {"choices.py", "fastenings"}


def test_kinds_know_no_stage() -> None:
    known = {
        node.module.split(".")[1]
        for path, tree in _sources()
        if path.parts[0] == "fastenings"
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("builder.")
    }
    assert known and known <= BELOW


@pytest.mark.parametrize("word", FASTENING_KINDS)
def test_each_kind_answers_for_every_field_of_a_design_file(word: FasteningKind) -> None:
    needs = kind_of(word).needs
    assert set(needs) == set(FIELD_NAMES)
    assert Need.REQUIRED in needs.values()


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
    hole = kind.hole(INCH / 4, INCH / 16)
    assert (hole is None) == (kind.ends is None)
    if hole is not None:
        assert hole > 0 and kind.paper_round(hole) >= hole
    assert kind.spread is None or kind.needs["leg"] is Need.REQUIRED
