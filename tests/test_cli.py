"""The command line: exit statuses, messages, and outputs written whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from gatherfold import write_files
from gatherfold.cli import main
from gatherfold.shipped import DESIGNS

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
supplies: {tape: {kind: tape, width: 1/4 in}}
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
        (["start", "x", "--from", "observatory-foli"], "Did you mean 'observatory-folio'?"),
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


def test_start_copies_a_shipped_design_and_never_overwrites(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["start", "mine"]) == 0
    assert (tmp_path / "mine.yaml").read_bytes() == (
        DESIGNS / "observatory-folio.yaml"
    ).read_bytes()
    assert main(["start", "mine"]) == 2


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
        write_files(tmp_path, {"a": b"new", "c": None})  # type: ignore[dict-item]
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


SPINE = """
  inner_spine: {as: spine, from: slate, on: folder.back, by: to_left, left: 1, \
across: {to_left: 1/2, spine: 1/2, to_right: 1/2}, height: panel.height}
"""
ACCEPTED = (
    'accepted: [{advice: no-dry-fit, about: inner_spine, because: "the class lays it in a jig"}]\n'
)
#: A design that gets one advice: a spine is glued without a dry fit.
ADVISED = (
    SMALL.replace("\nsteps:", f"{SPINE}steps:")
    .replace("score: folder", "score: [folder, inner_spine]")
    .replace("attach: mat", "attach: [inner_spine, mat]")
    .replace("Leave {reveal}", "Glue the [inner_spine]. Leave {reveal}")
)


def test_advice_is_counted_until_it_is_accepted(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(ADVISED)
    assert main(["check", str(small)]) == 0
    shown = capsys.readouterr()
    assert "advice (no-dry-fit)" in shown.err
    assert shown.out.splitlines()[-1] == "1 advice"
    small.write_text(ADVISED + ACCEPTED)
    assert main(["check", str(small)]) == 0
    shown = capsys.readouterr()
    (line,) = shown.err.splitlines()
    assert "accepted (no-dry-fit) [imperial and metric]" in line
    assert line.endswith("– the class lays it in a jig")
    assert shown.out.splitlines()[-1] == "1 accepted"


def test_a_build_says_nothing_of_accepted_advice_but_its_json_does(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(ADVISED + ACCEPTED)
    assert main(["build", str(small), "--out", str(tmp_path), "--edition", "imperial"]) == 0
    assert capsys.readouterr().err == ""
    record = json.loads((tmp_path / "note-folder.json").read_text())
    (finding,) = record["editions"]["imperial"]["findings"]
    assert finding["accepted"] == "the class lays it in a jig"
    from pypdf import PdfReader

    pages = PdfReader(tmp_path / "note-folder-imperial.pdf").pages
    assert not any("jig" in page.extract_text() for page in pages), "the buyer is spared it"


def test_nothing_to_accept_is_said_only_of_the_design_as_written_in_both_editions(
    small: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    small.write_text(SMALL + ACCEPTED.replace("inner_spine,", "mat,"))
    assert main(["check", str(small)]) == 0
    shown = capsys.readouterr()
    line = len(SMALL.splitlines()) + 1
    assert f"{small}:{line}:12: warning (nothing-to-accept)" in shown.err
    assert shown.out.splitlines()[-1] == "1 warning"
    assert main(["check", str(small), "--edition", "metric"]) == 0
    assert capsys.readouterr().err == ""
    assert main(["check", str(small), "--set", "panel=5 in x 7 in"]) == 0
    assert capsys.readouterr().err == ""


def test_the_proof_sheet_and_json_are_written_errors_or_not(
    small: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    sheet, data = tmp_path / "out" / "sheet.pdf", tmp_path / "data.json"
    arguments = ["check", str(small), "--proof", str(sheet), "--json", str(data)]
    assert main([*arguments, "--edition", "metric"]) == 0
    assert sheet.read_bytes().startswith(b"%PDF")
    assert list(json.loads(data.read_text())["editions"]) == ["metric"]
    sheet.unlink()
    assert main([*arguments, "--set", "panel=40 in x 6 in"]) == 1
    assert sheet.read_bytes().startswith(b"%PDF")
    editions = json.loads(data.read_text())["editions"]
    assert editions["metric"]["tally"]["errors"] > 0
    assert {row["code"] for row in editions["imperial"]["findings"]} >= {"larger-than-sheet"}
    shown = capsys.readouterr().out.splitlines()
    assert shown[-3:-1] == [str(sheet), str(data)]
    assert "error" in shown[-1]


def test_a_design_that_cannot_be_read_has_findings_as_json_and_no_sheet(
    small: Path, tmp_path: Path
) -> None:
    small.write_text(SMALL.replace("leaving: reveal}", "leaving: revel, leavin: 1}"))
    sheet, data = tmp_path / "sheet.pdf", tmp_path / "data.json"
    assert main(["check", str(small), "--proof", str(sheet), "--json", str(data)]) == 2
    assert not sheet.exists()
    record = json.loads(data.read_text())
    assert record["editions"] == {}
    assert [row["code"] for row in record["findings"]] == ["unknown-key"]


def test_outputs_never_overwrite_the_design_or_each_other(small: Path, tmp_path: Path) -> None:
    before = small.read_bytes()
    assert main(["check", str(small), "--json", str(small)]) == 2
    assert main(["check", str(small), "--proof", str(tmp_path / "." / small.name)]) == 2
    both = str(tmp_path / "x")
    assert main(["check", str(small), "--proof", both, "--json", both]) == 2
    assert small.read_bytes() == before
    assert not (tmp_path / "x").exists()


def test_the_proof_layout_is_not_for_patterns(small: Path) -> None:
    assert main(["build", str(small), "--layout", "proof"]) == 2
