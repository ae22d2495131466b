"""The README's own examples work as they stand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from gatherfold.cli import main

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
LANGUAGE = ROOT / "designs" / "README.md"


def test_the_ten_line_design_fits(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    match = re.search(r"```yaml\n(.*?)```", README.read_text(), re.DOTALL)
    assert match is not None
    design = tmp_path / "note-folder.yaml"
    design.write_text(match.group(1))
    assert len(match.group(1).splitlines()) == 10
    assert main(["check", str(design)]) == 0
    assert capsys.readouterr().err == "", "not even a warning"
    assert main(["check", str(design), "--set", "panel=5 in x 7 in"]) == 0


@pytest.mark.parametrize("name", ["install", "test"])
def test_each_command_is_one_line_to_paste(name: str) -> None:
    block = re.search(rf"<!-- {name} -->\n```sh\n(.*?)```\n<!-- end -->", README.read_text(), re.S)
    assert block is not None and len(block.group(1).splitlines()) == 1


def test_the_pictures_are_there() -> None:
    pictures = re.findall(r"!\[[^]]+\]\(([^)]+)\)", README.read_text())
    assert len(pictures) >= 3
    assert all((README.parent / picture).is_file() for picture in pictures)


def test_the_accepted_advice_can_be_read(tmp_path: Path) -> None:
    pattern = r"<!-- accepted -->\n```yaml\n(.*?)```\n<!-- end -->"
    example = re.search(pattern, LANGUAGE.read_text(), re.S)
    design = re.search(r"```yaml\n(.*?)```", README.read_text(), re.S)
    assert example is not None and design is not None
    path = tmp_path / "note-folder.yaml"
    path.write_text(design.group(1) + example.group(1))
    assert main(["check", str(path)]) == 0
