"""Text that a design may hold by accident or malice, in every field that a page shows.

It stands on the page as it was written, within the page and over no other text, or a finding says
where it stands and what is wrong with it; nothing is left out silently.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path

import pikepdf
import pypdfium2
import pytest

from gatherfold.cli import main
from tests.documents.conftest import text_boxes

#: Every field of words: {words} stands for them as YAML (JSON is YAML 1.2), {step} for them in a
#: step that also names a piece.
_DESIGN = """\
title: {words}
subtitle: {words}
author: {words}
revision: {words}
summary: {words}
terms: {words}
skill: {words}
units: inch
measures: {{panel: 4 x 6, reveal: 1/8, spine: 1/2}}
stocks:
  slate: {{name: {words}, material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}}
  reeds: {{material: paper, sheet: 12 in x 12 in, front: {{name: {words}, print: upright}}, \
back: {words}}}
pieces:
  folder: {{name: {words}, from: slate, across: {{front: panel.width, spine: spine, \
back: panel.width}}, height: panel.height, note: {words}}}
  mat: {{name: {words}, as: mat, from: reeds front, on: folder.front, leaving: reveal}}
steps: [{{title: {words}, text: {step}, cut: all, score: folder, attach: mat}}]
supplies: {{tape: {{name: {words}, kind: tape, width: 1/4 in}}}}
safety: {{add: {{wax: {{signal: caution, title: {words}, danger: {words}, avoid: [{words}], \
short: {words}, steps: []}}}}, age: {words}}}
changes: {{"2": {words}}}
"""

_MARKUP = "<script>alert(1)</script> <b>no</b> &amp; </div>"
_LONG_WORD = "Wort" * 80
_RIGHT_TO_LEFT = "שלום עולם"
#: It turns what follows it around, to the end of its paragraph.
_OVERRIDE = "kite \u202e tail"
_WORDS = {
    "markup": _MARKUP,
    "long-word": _LONG_WORD,
    "right-to-left": _RIGHT_TO_LEFT,
    "override": _OVERRIDE,
}


def written(folder: Path, words: str) -> Path:
    """The design with these words in every field."""
    path = folder / "kite.yaml"
    step = json.dumps(f"{words} [mat]", ensure_ascii=False)
    path.write_text(_DESIGN.format(words=json.dumps(words, ensure_ascii=False), step=step))
    return path


def built(design: Path) -> int:
    layouts = ["--layout", "pattern,handout,bench", "--edition", "metric", "--html"]
    return main(["build", str(design), "--out", str(design.parent / "out"), *layouts])


@pytest.fixture(scope="module")
def set_with(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The folder of a design that was built with these words in every field, each once."""

    @cache
    def folder_of(words: str) -> Path:
        folder = tmp_path_factory.mktemp("words")
        assert built(written(folder, words)) == 0
        return folder

    return folder_of


def pages_of(folder: Path) -> Iterator[tuple[str, pypdfium2.PdfPage]]:
    for path in sorted((folder / "out").glob("*.pdf")):
        document = pypdfium2.PdfDocument(path)
        for number in range(len(document)):
            yield f"{path.name}, page {number + 1}", document[number]
        document.close()


@pytest.mark.parametrize("words", _WORDS.values(), ids=list(_WORDS))
def test_hostile_words_stay_within_the_page(set_with: Callable[[str], Path], words: str) -> None:
    folder = set_with(words)
    count = 0
    for place, page in pages_of(folder):
        width, height = page.get_size()
        for left, bottom, right, top in text_boxes(page):
            inside = left >= 0 and bottom >= 0 and right <= width and top <= height
            assert inside, (place, left, bottom, right, top)
            count += 1
    assert count > 300
    for path in (folder / "out").glob("*.pdf"):
        with pikepdf.open(io.BytesIO(path.read_bytes())) as pdf:
            assert pdf.check_pdf_syntax() == []


@pytest.mark.parametrize(
    ("words", "shown"), [(_MARKUP, "<script>alert(1)</script>"), (_LONG_WORD, _LONG_WORD)]
)
def test_hostile_words_are_shown_as_they_are_written(
    set_with: Callable[[str], Path], words: str, shown: str
) -> None:
    """Title, step, licence and caution among them: each layout shows them many times over."""
    folder = set_with(words)
    text: dict[str, str] = {}
    for place, page in pages_of(folder):
        found = "".join(page.get_textpage().get_text_range().split())
        name = place.split(",")[0]
        text[name] = text.get(name, "") + found.replace("\ufffe", "").replace("-", "")
    assert len(text) == 3
    assert text["kite-metric.pdf"].count("".join(shown.split())) > 15
    assert all("".join(shown.split()) in each for each in text.values())
    for path in (folder / "out").glob("*.html"):
        assert "<script" not in path.read_text() and "<b>no" not in path.read_text()


@pytest.mark.parametrize("character", ["\U0001fa81", "\U00012000"])
def test_what_no_font_has_is_said_at_every_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], character: str
) -> None:
    """An emoji and a cuneiform sign that only fonts of their own have: no empty box on a page."""
    assert built(written(tmp_path, f"Kite {character}")) == 2
    said = capsys.readouterr().err
    # In `title: "Kite X"` the character is the fourteenth of its line.
    assert f"kite.yaml:1:14: error (no-glyph): no font of this layout has '{character}'" in said
    assert f"(U+{ord(character):04X}" in said
    lines = (tmp_path / "kite.yaml").read_text().splitlines()
    for number, line in enumerate(lines, start=1):
        assert (f"kite.yaml:{number}:" in said) == (character in line)
    assert not (tmp_path / "out").exists()


def test_an_emoji_that_some_fonts_have_is_shown_or_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """It depends on the fonts of the machine whether any has this face."""
    if built(written(tmp_path, "Kite \U0001f600")) == 2:
        assert "kite.yaml:1:14: error (no-glyph)" in capsys.readouterr().err
    else:
        shown = [page.get_textpage().get_text_range() for _, page in pages_of(tmp_path)]
        assert sum(text.count("\U0001f600") for text in shown) > 30


@pytest.mark.parametrize("character", ["\x07", "\x1b", "\x7f", "\x85"])
def test_control_characters_are_refused_at_their_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], character: str
) -> None:
    design = written(tmp_path, "Kite")
    text = design.read_text().replace('title: "Kite"', f'title: "Kite{escaped(character)}"', 1)
    design.write_text(text)
    assert built(design) == 2
    assert "kite.yaml:1:" in capsys.readouterr().err


def escaped(character: str) -> str:
    """As YAML 1.2 (5.7) escapes it in double quotes."""
    return f"\\x{ord(character):02x}"
