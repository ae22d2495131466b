"""The command line: exit statuses, messages, and outputs written whole or not at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.cli import main
from builder.outputs import write_all
from builder.shipped import DESIGNS

SMALL = """\
title: Note folder
units: inch
measures: {panel: 4 x 6, reveal: 1/8, spine: 1/2}
stocks:
  slate: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  reeds: {material: paper, sheet: 12 in x 12 in, front: {name: Reeds, print: upright}, back: Sand}
pieces:
  folder: {from: slate, across: {front: panel.width, spine: spine, back: panel.width}, \
height: panel.height}
  mat: {as: mat, from: reeds front, on: folder.front, leaving: reveal}
steps: [{title: Make it, text: "Leave {reveal} round the [mat].", cut: all, score: folder, \
attach: mat}]
"""


@pytest.fixture
def small(tmp_path: Path) -> Path:
    path = tmp_path / "note-folder.yaml"
    path.write_text(SMALL)
    return path


def test_check_of_a_design_that_fits(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(small)]) == 0
    assert "everything fits" in capsys.readouterr().out


def test_check_reports_a_mistake_with_its_place(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(SMALL.replace("leaving: reveal}", "leaving: revel}"))
    assert main(["check", str(small)]) == 2
    shown = capsys.readouterr().err
    assert f"{small}:9:" in shown
    assert "Did you mean 'reveal'?" in shown


def test_misfit_is_status_one_and_writes_nothing(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "note-folder-imperial.pdf").write_bytes(b"earlier")
    status = main(["build", str(small), "--out", str(out), "--set", "panel=40 in x 6 in"])
    assert status == 1
    assert "larger-than-sheet" in capsys.readouterr().err
    assert [path.name for path in out.iterdir()] == ["note-folder-imperial.pdf"]
    assert (out / "note-folder-imperial.pdf").read_bytes() == b"earlier"


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["check", "no-such.yaml"], "no-such.yaml"),
        (["new", "x", "--from", "observatory-foli"], "Did you mean 'observatory-folio'?"),
    ],
)
def test_what_cannot_be_read_is_status_two(
    arguments: list[str], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(arguments) == 2
    assert message in capsys.readouterr().err


def test_set_of_an_unknown_measure_names_the_nearest(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", str(small), "--set", "panle=5 x 7"]) == 2
    assert "Did you mean 'panel'?" in capsys.readouterr().err


def test_unknown_layout_is_status_two(small: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(small), "--layout", "patern"]) == 2
    assert "Did you mean 'pattern'?" in capsys.readouterr().err


def test_new_copies_a_shipped_design_and_never_overwrites(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["new", "mine"]) == 0
    assert (tmp_path / "mine.yaml").read_bytes() == (
        DESIGNS / "observatory-folio.yaml"
    ).read_bytes()
    assert main(["new", "mine"]) == 2


def test_compare_names_only_what_changed(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    newer = tmp_path / "newer.yaml"
    newer.write_text(SMALL.replace("reveal: 1/8", "reveal: 1/4"))
    assert main(["compare", str(small), str(newer)]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    assert lines[0].startswith("measure reveal")
    assert "mat" in lines[1] and "3½" in lines[1]


def test_outputs_are_all_written_or_none(tmp_path: Path) -> None:
    (tmp_path / "b").mkdir()
    (tmp_path / "b" / "inside").write_bytes(b"")
    with pytest.raises(TypeError):
        write_all(tmp_path, {"a": b"new", "c": None})  # type: ignore[dict-item]
    assert sorted(path.name for path in tmp_path.iterdir()) == ["b"]


@pytest.mark.parametrize(
    ("picture", "code", "remedy"),
    [
        ("no-such.png", "missing-picture", "Put it beside the design"),
        ("notes.txt", "picture-kind", "Use one of"),
    ],
)
def test_a_picture_that_cannot_be_placed_is_found_where_it_is_named(
    small: Path, capsys: pytest.CaptureFixture[str], picture: str, code: str, remedy: str
) -> None:
    text = SMALL.replace("attach: mat}", f"attach: mat, picture: {picture}}}")
    small.write_text(text)
    line = next(n for n, row in enumerate(text.splitlines(), 1) if picture in row)
    column = text.splitlines()[line - 1].index(picture) + 1
    assert main(["check", str(small)]) == 2
    shown = capsys.readouterr().err
    assert f"{small}:{line}:{column}: error ({code})" in shown
    assert remedy in shown


def test_a_picture_beside_the_design_is_placed(small: Path, tmp_path: Path) -> None:
    from PIL import Image

    Image.new("RGB", (40, 30), "navy").save(tmp_path / "photo.png")
    small.write_text(SMALL.replace("attach: mat}", "attach: mat, picture: photo.png}"))
    out = tmp_path / "out"
    assert main(["build", str(small), "--out", str(out), "--edition", "imperial"]) == 0
    from pypdf import PdfReader

    pages = PdfReader(out / "note-folder-imperial.pdf").pages
    assert {image.image.size for page in pages for image in page.images} == {(40, 30)}
