"""Pictures and fonts of a layout that are damaged or made to fill the memory, and any complaint of
the typesetter at all: nothing is written, and what is said names the file."""

from __future__ import annotations

import io
import logging
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from gatherfold.cli import main
from gatherfold.documents.photographs import UnusablePicture, photograph
from gatherfold.documents.problems import DocumentProblem
from gatherfold.documents.typeset import typeset
from gatherfold.drawings.kernel.figures import Figure
from gatherfold.shipped import LAYOUTS
from tests.documents.test_layouts import change, copied
from tests.test_cli import SMALL

_LOGO = 'logo: {file: logo.png, words: "Kite Press"}\n'


def png(width: int, height: int) -> bytes:
    """A PNG (W3C PNG, 11.2) that claims so many dots in grey, and holds none."""
    header = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    chunks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"")), (b"IEND", b""))
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )


def cut_short() -> bytes:
    """Half of a picture that cannot be compressed: as a copy broken off leaves it."""
    whole = io.BytesIO()
    Image.effect_noise((80, 80), 60).save(whole, "PNG")
    return whole.getvalue()[: len(whole.getvalue()) // 2]


@pytest.mark.parametrize("content", [b"", b"no picture", cut_short(), png(60_000, 60_000)])
def test_a_logo_that_is_no_picture(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], content: bytes
) -> None:
    folder = copied("pattern", tmp_path)
    settings = folder / "mine" / "layout.yaml"
    settings.write_text(settings.read_text() + _LOGO)
    (folder / "mine" / "logo.png").write_bytes(content)
    assert build(folder) == 2
    line = len(settings.read_text().splitlines())
    said = f"layout.yaml:{line}:7: error (bad-picture): the logo 'logo.png' cannot be placed"
    assert said in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_a_picture_of_a_template_that_is_cut_short(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = copied("pattern", tmp_path)
    (folder / "mine" / "kite.png").write_bytes(cut_short())
    change(folder, "document.html.j2", "</h1>", '</h1><img src="kite.png" alt="a kite">')
    assert build(folder) == 2
    assert (
        "the picture 'kite.png' cannot be used: its content is damaged" in capsys.readouterr().err
    )
    assert not (folder / "out").exists()


def test_a_photograph_that_is_cut_short(tmp_path: Path) -> None:
    (tmp_path / "kite.png").write_bytes(cut_short())
    with pytest.raises(UnusablePicture, match="damaged"):
        photograph(tmp_path / "kite.png", 80.0, 80.0)


def test_a_font_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = copied("pattern", tmp_path)
    (folder / "mine" / "mine.ttf").write_bytes(b"no font")
    face = "@font-face { font-family: Mine; src: url('mine.ttf'); } html {"
    change(folder, "style.css", "html {", face)
    assert build(folder) == 2
    assert "'Mine' cannot be loaded" in capsys.readouterr().err
    assert not (folder / "out").exists()


def test_a_photograph_that_is_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = copied("pattern", tmp_path)
    text = SMALL.replace("steps: [{title", "steps: [{picture: gone.jpg, title")
    (folder / "folder.yaml").write_text(text)
    assert build(folder) == 2
    said = capsys.readouterr().err
    assert "folder.yaml:" in said and "gone.jpg" in said
    assert not (folder / "out").exists()


def build(folder: Path) -> int:
    arguments = ["--out", str(folder / "out"), "--layout", "mine", "--edition", "metric"]
    return main(["build", str(folder / "folder.yaml"), *arguments])


@pytest.mark.parametrize("level", [logging.WARNING, logging.ERROR])
def test_whatever_the_typesetter_complains_of_stops_the_build(tmp_path: Path, level: int) -> None:
    """So no test of a document can pass with a complaint: each builds through this function."""

    class Complaining(dict[str, Figure]):
        def __getitem__(self, key: str) -> Figure:
            logging.getLogger("weasyprint").log(level, "something new about %s", key)
            svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="9" height="9"/>'
            return Figure(svg, "a kite", "a kite", 3.0, 3.0)

    page = '<html lang="en"><title>Kite</title><h1>Kite</h1><img src="figure:kite" alt="a kite">'
    with pytest.raises(DocumentProblem, match="something new about kite"):
        typeset(page, LAYOUTS / "pattern", Complaining(), "", tmp_path)
