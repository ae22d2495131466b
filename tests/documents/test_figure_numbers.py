"""Numbers written in figures, without a unit beside them, are computed ones too."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Iterator, Mapping

import pytest

from gatherfold.drawings.kernel.figures import Figure
from gatherfold.resolve.edition import EDITIONS
from tests.built import Built, built
from tests.conftest import FOLIO
from tests.documents.test_pdf import _NUMBER, lengths_in, value_of

_ALONE = re.compile(rf"[⌀R]?\s?({_NUMBER})")
_SIZE = re.compile(rf"({_NUMBER})\s?×\s?({_NUMBER})")


@pytest.fixture(scope="module", params=EDITIONS)
def folio(request: pytest.FixtureRequest) -> Built:
    return built(FOLIO.stem, request.param)


@pytest.fixture(scope="module")
def figures(folio: Built) -> Mapping[str, Figure]:
    return folio.figures["pattern"]


def texts(svg: bytes) -> Iterator[str]:
    for element in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text"):
        yield "".join(element.itertext()).strip().replace("\xa0", " ")


def test_numbers_in_piece_and_step_figures_are_computed(
    folio: Built, figures: Mapping[str, Figure]
) -> None:
    known = set(lengths_in(folio.result.record))
    seen = 0
    for key, one in figures.items():
        if not key.startswith(("piece-", "step-")):
            continue
        for text in texts(one.svg):
            match = _ALONE.fullmatch(text)
            if match is not None:
                seen += 1
                assert value_of(match.group(1)) in known, f"{text} in {key}"
    assert seen > 60


def test_sizes_in_sheet_maps_are_computed(folio: Built, figures: Mapping[str, Figure]) -> None:
    known = set(lengths_in(folio.result.record))
    seen = 0
    for key, one in figures.items():
        for text in texts(one.svg) if key.startswith("sheet-") else ():
            for match in _SIZE.finditer(text):
                seen += 1
                assert {value_of(match.group(1)), value_of(match.group(2))} <= known, text
    assert seen > 30


def test_every_figure_has_a_text_equivalent(figures: Mapping[str, Figure]) -> None:
    for key, drawn in figures.items():
        assert len(drawn.alternative) > 20, key
