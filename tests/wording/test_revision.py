"""The revision page and the checksum: the same design, the same mark; any change, another."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

from gatherfold import __version__
from gatherfold.cli import main
from gatherfold.model.checksum import checksum, printed_mark
from gatherfold.reading import read_design
from gatherfold.reading.pictures import picture_bytes

TEXT = """\
title: Revised
author: A. Maker
units: inch
revision: "3"
date: 2026-05-04
changes:
  "3": The panel is an inch wider.
  "2": A picture of the first step.
stocks: {card: {material: cardstock, sheet: 12 in x 12 in}}
pieces: {panel: {from: card, size: 6 x 6}}
steps: [{title: Cut, text: Cut., cut: all}]
"""


def test_the_checksum_is_sha_256_of_the_design() -> None:
    """FIPS 180-4, as hashlib computes it."""
    assert checksum(b"title: A", {}) == hashlib.sha256(b"title: A").hexdigest()
    assert printed_mark(checksum(b"title: A", {})) == hashlib.sha256(b"title: A").hexdigest()[:16]


def test_pictures_and_sizes_set_by_hand_change_it() -> None:
    marks = [
        checksum(b"a", {}),
        checksum(b"a", {"panel": "9 in"}),
        checksum(b"a", {}, {"one.png": b"1"}),
        checksum(b"a", {}, {"one.png": b"2"}),
        checksum(b"a", {}, {"two.png": b"1"}),
        checksum(b"a", {}, {"one.png": b"1", "two.png": b""}),
        checksum(b"b", {}),
    ]
    assert len(set(marks)) == len(marks)
    assert checksum(b"a", {}, {"x": b"1", "y": b"2"}) == checksum(b"a", {}, {"y": b"2", "x": b"1"})


def test_pictures_are_those_that_steps_place(tmp_path: Path) -> None:
    (tmp_path / "cut.png").write_bytes(b"picture")
    text = TEXT.replace("cut: all", "cut: all, picture: cut.png")
    design = read_design(text.encode(), str(tmp_path / "revised.yaml"))
    assert picture_bytes(design) == {"cut.png": b"picture"}


def test_pages_and_record_say_which_design_they_are_of(tmp_path: Path) -> None:
    place = tmp_path / "revised.yaml"
    place.write_text(TEXT)
    arguments = ["build", str(place), "--out", str(tmp_path), "--html", "--edition", "imperial"]
    assert main(arguments) == 0
    whole = hashlib.sha256(TEXT.encode()).hexdigest()
    html = (tmp_path / "revised-imperial.html").read_text()
    assert whole[:16] in html and whole not in html
    for words in ("A. Maker", "Revision 3, 2026-05-04", "The panel is an inch wider.", __version__):
        assert words in html, words
    record = json.loads((tmp_path / "revised.json").read_text())
    assert (record["checksum"], record["version"]) == (whole, __version__)
    assert list(record["changes"]) == ["3", "2"]
    assert (tmp_path / "revised-imperial-supplies.csv").read_bytes().startswith(b"item,kind,")
