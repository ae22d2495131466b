"""The option of the command: what is written where, alike each time, and never for a draft."""

from __future__ import annotations

from pathlib import Path

import pytest

from gatherfold import write_files
from gatherfold.cli import main
from tests.test_cli import SMALL


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "note-folder.yaml"
    path.write_text(SMALL)
    return path


def build(design: Path, out: Path, *options: str) -> int:
    chosen = ["--edition", "metric", "--machine-files", *options]
    return main(["build", str(design), "--out", str(out), *chosen])


def test_each_sheet_and_piece_has_two_files_in_a_folder_of_their_own(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert build(small, tmp_path / "one") == 0
    folder = tmp_path / "one" / "note-folder-metric-machine"
    stems = ("piece-folder", "piece-mat", "sheet-reeds-1", "sheet-slate-1")
    names = [f"{stem}.{ending}" for stem in stems for ending in ("dxf", "svg")]
    assert sorted(path.name for path in folder.iterdir()) == names
    assert f"{folder}: 8 files for a cutting machine" in capsys.readouterr().out
    assert build(small, tmp_path / "two") == 0
    for name in names:
        again = tmp_path / "two" / folder.name / name
        assert (folder / name).read_bytes() == again.read_bytes()


def test_files_of_an_earlier_build_are_named(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "note-folder-metric-machine"
    write_files(tmp_path, {f"{folder.name}/sheet-slate-9.svg": b"earlier"})
    assert build(small, tmp_path) == 0
    shown = capsys.readouterr().err
    assert "sheet-slate-9.svg" in shown and "earlier build" in shown
    assert (folder / "sheet-slate-9.svg").read_bytes() == b"earlier"


def test_a_draft_has_none(small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert build(small, tmp_path, "--set", "panel=40 in x 6 in", "--draft") == 1
    assert (tmp_path / "note-folder-metric.pdf").exists()
    assert not (tmp_path / "note-folder-metric-machine").exists()
    assert "no files for a machine" in capsys.readouterr().err
