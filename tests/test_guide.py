"""The contributor guide names what is there: each file and folder, and each module of the tests."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
GUIDE = (ROOT / "DEVELOPERS.md").read_text()
#: Where the guide's paths begin: at the top, in the package, or beside a file named before.
PLACES = [ROOT, ROOT / "builder" / "gatherfold"]
#: Made by what the guide says to run, or any name at its place.
NOT_THERE = {"out/before", "out/after", ".venv/bin/python"}


def _paths() -> list[str]:
    quoted = re.findall(r"`([^`\s]+)`", GUIDE)
    named = [each for each in quoted if "/" in each or each.endswith((".py", ".yaml", ".md"))]
    return sorted(set(named) - NOT_THERE)


@pytest.mark.parametrize("path", _paths())
def test_what_the_guide_names_is_there(path: str) -> None:
    package = ROOT / "builder" / "gatherfold"
    at_places = any((place / path).exists() for place in PLACES)
    assert at_places or any(package.rglob(path)) or any(ROOT.glob(f"layouts/*/{path}"))


@pytest.mark.parametrize(
    "module", sorted(set(re.findall(r"`tests\.([\w.]+)`|-m tests\.([\w.]+)", GUIDE)))
)
def test_commands_of_the_guide_are_there(module: tuple[str, str]) -> None:
    name = (module[0] or module[1]).rstrip(".")
    assert (ROOT / "tests" / f"{name.replace('.', '/')}.py").exists()
