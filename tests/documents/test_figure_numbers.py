"""Numbers written in figures, without a unit beside them, are computed ones too."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator

import pytest

from gatherfold.build import EditionResult
from gatherfold.counts.cut_list import cut_list
from gatherfold.documents.figure_set import FigureSet, draw_figures
from gatherfold.documents.page import read_page
from gatherfold.editions import check_edition
from gatherfold.reading import read_design_file
from gatherfold.resolve.edition import EDITIONS
from tests.conftest import FOLIO, NO_LAYOUT, silent
from tests.documents.test_pdf import _NUMBER, lengths_in, value_of

_ALONE = re.compile(rf"[⌀R]?\s?({_NUMBER})")
_SIZE = re.compile(rf"({_NUMBER})\s?×\s?({_NUMBER})")


@pytest.fixture(scope="module", params=EDITIONS)
def figures(request: pytest.FixtureRequest) -> tuple[str, FigureSet]:
    checked = check_edition(read_design_file(FOLIO), EDITIONS[request.param])
    rows, page = cut_list(checked.resolved), read_page(NO_LAYOUT, EDITIONS[request.param])
    return request.param, draw_figures(checked.resolved, checked.plans, rows, silent, page)


def texts(svg: bytes) -> Iterator[str]:
    for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        yield "".join(element.itertext()).strip().replace("\xa0", " ")


def test_numbers_in_piece_and_step_figures_are_computed(
    figures: tuple[str, FigureSet], built_folio: dict[str, EditionResult]
) -> None:
    name, drawn = figures
    known = set(lengths_in(built_folio[name].record))
    seen = 0
    for key, figure in drawn.figures.items():
        if not key.startswith(("piece-", "step-")):
            continue
        for text in texts(figure.svg):
            match = _ALONE.fullmatch(text)
            if match is not None:
                seen += 1
                assert value_of(match.group(1)) in known, f"{text} in {key}"
    assert seen > 60


def test_sizes_in_sheet_maps_are_computed(
    figures: tuple[str, FigureSet], built_folio: dict[str, EditionResult]
) -> None:
    name, drawn = figures
    known = set(lengths_in(built_folio[name].record))
    seen = 0
    for key, figure in drawn.figures.items():
        for text in texts(figure.svg) if key.startswith("sheet-") else ():
            for match in _SIZE.finditer(text):
                seen += 1
                assert {value_of(match.group(1)), value_of(match.group(2))} <= known, text
    assert seen > 30


def test_every_figure_has_a_text_equivalent(figures: tuple[str, FigureSet]) -> None:
    for key, figure in figures[1].figures.items():
        assert len(figure.alternative) > 20, key
