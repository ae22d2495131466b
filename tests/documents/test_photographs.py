"""The designer's photographs: reduced to print, warned about when coarse, refused when unusable."""

from __future__ import annotations

import io
import struct
import zlib
from pathlib import Path

import numpy
import pikepdf
import pytest
from PIL import Image

from gatherfold.cli import main
from gatherfold.documents.photographs import UnusablePicture, photograph
from tests.test_cli import SMALL


def noise(width: int, height: int) -> Image.Image:
    """A picture that does not compress to nothing, the same each time."""
    dots = numpy.random.default_rng(7).integers(0, 255, (height, width, 3), dtype=numpy.uint8)
    return Image.fromarray(dots)


def opened(content: bytes) -> Image.Image:
    return Image.open(io.BytesIO(content))


def test_a_fine_picture_is_reduced_to_300_dots_per_inch(tmp_path: Path) -> None:
    """101.6 mm are 4 in, so 1200 dots across; it has 2400."""
    noise(2400, 1200).save(tmp_path / "large.png")
    placed = photograph(tmp_path / "large.png", 101.6, 90.0)
    assert (placed.width_mm, placed.height_mm) == pytest.approx((101.6, 50.8))
    assert opened(placed.content).size == (1200, 600)
    assert placed.resolution == pytest.approx(600)
    assert not placed.is_coarse


def test_a_coarse_picture_is_left_as_it_is(tmp_path: Path) -> None:
    noise(400, 200).save(tmp_path / "small.jpg")
    placed = photograph(tmp_path / "small.jpg", 101.6, 90.0)
    assert opened(placed.content).size == (400, 200)
    assert placed.resolution == pytest.approx(100) and placed.is_coarse


def test_the_height_of_the_room_counts_too(tmp_path: Path) -> None:
    noise(300, 600).save(tmp_path / "tall.png")
    placed = photograph(tmp_path / "tall.png", 101.6, 50.8)
    assert (placed.width_mm, placed.height_mm) == pytest.approx((25.4, 50.8))


def test_a_camera_held_on_its_side(tmp_path: Path) -> None:
    """EXIF orientation 6: the first row of dots is the right-hand side of the picture."""
    picture = noise(600, 300)
    exif = picture.getexif()
    exif[0x0112] = 6
    picture.save(tmp_path / "turned.jpg", exif=exif)
    placed = photograph(tmp_path / "turned.jpg", 100.0, 100.0)
    assert placed.height_mm > placed.width_mm


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "CMYK", "I;16"])
def test_every_kind_of_picture_can_be_placed(tmp_path: Path, mode: str) -> None:
    kind = "tif" if mode == "CMYK" else "png"
    Image.new(mode, (300, 200)).save(tmp_path / f"any.{kind}")
    placed = photograph(tmp_path / f"any.{kind}", 50.0, 50.0)
    assert opened(placed.content).size == (300, 200)


@pytest.mark.parametrize("content", [b"", b"no picture", b"\x89PNG\r\n\x1a\n" + b"0" * 50])
def test_what_is_no_picture(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bad.png").write_bytes(content)
    with pytest.raises(UnusablePicture, match="damaged"):
        photograph(tmp_path / "bad.png", 50.0, 50.0)


@pytest.mark.parametrize("side", [12_500, 40_000])
def test_a_picture_made_to_fill_the_memory(tmp_path: Path, side: int) -> None:
    """A PNG of a few bytes (W3C PNG, 11.2: IHDR, IDAT) that claims so many dots."""
    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    chunks = b"".join(
        struct.pack(">I", len(content))
        + kind
        + content
        + struct.pack(">I", zlib.crc32(kind + content))
        for kind, content in ((b"IHDR", header), (b"IDAT", zlib.compress(b"")))
    )
    (tmp_path / "huge.png").write_bytes(b"\x89PNG\r\n\x1a\n" + chunks)
    with pytest.raises(UnusablePicture, match="more dots"):
        photograph(tmp_path / "huge.png", 50.0, 50.0)


# In a design


def build(folder: Path, picture: str) -> int:
    text = SMALL.replace("steps: [{title", f"steps: [{{picture: {picture}, title")
    assert text != SMALL
    (folder / "folder.yaml").write_text(text)
    design, out = str(folder / "folder.yaml"), str(folder / "out")
    return main(["build", design, "--out", out, "--edition", "metric"])


def test_a_design_with_a_fine_photograph(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    noise(3000, 2000).save(tmp_path / "step.jpg")
    assert build(tmp_path, "step.jpg") == 0
    assert "coarse" not in capsys.readouterr().err
    with pikepdf.open(tmp_path / "out" / "folder-metric.pdf") as pdf:
        widths = [
            int(each.Width)
            for each in pdf.objects
            if isinstance(each, pikepdf.Stream) and each.get("/Subtype") == "/Image"
        ]
    assert widths and max(widths) < 3000


def test_a_coarse_photograph_is_a_warning_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    noise(300, 200).save(tmp_path / "step.jpg")
    assert build(tmp_path, "step.jpg") == 0
    said = capsys.readouterr().err
    line = next(
        number
        for number, text in enumerate((tmp_path / "folder.yaml").read_text().splitlines(), 1)
        if "step.jpg" in text
    )
    assert f"folder.yaml:{line}:" in said and "warning (coarse-picture)" in said
    assert "dots per inch" in said


def test_a_damaged_photograph_is_an_error_at_its_place(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "step.jpg").write_bytes(b"nothing")
    assert build(tmp_path, "step.jpg") == 2
    assert "error (bad-picture)" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()
