"""Two editions in one document: each column whole and native, nothing mixed in one instruction."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from gatherfold.build import SIDE_BY_SIDE
from gatherfold.counts.cut_list import CutRow, cut_list
from gatherfold.documents.laid_out import LaidOut, joint_rows
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC
from gatherfold.work import pierced
from tests.built import BUILT_TOGETHER, built
from tests.conftest import FOLIO

_INCH, _MM = re.compile(r"\d[\d\s\u00a0⁄½¼¾⅛⅜⅝⅞]*\sin\b|[½¼¾⅛⅜⅝⅞]\sin\b"), re.compile(r"\d\smm\b")
#: The true size of something bought, as the millimetre edition writes it.
_BOUGHT = re.compile(r"[\d¼½¾⅛⅜⅝⅞⁄× ]+ in \([\d.,× ]+ mm\)")


class _Sentences(HTMLParser):
    """The text of each paragraph, cell and list item by itself."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[str] = [""]

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag in ("p", "td", "th", "li", "h1", "h2", "h3", "br", "span", "div"):
            self.texts.append("")

    def handle_data(self, data: str) -> None:
        self.texts[-1] += data.replace("\u00a0", " ")


def sentences(html: str) -> list[str]:
    parser = _Sentences()
    parser.feed(html.replace('<span class="fraction">', "").replace("</span>", ""))
    return parser.texts


@pytest.fixture(params=["pattern", "handout", "bench"])
def both(request: pytest.FixtureRequest) -> LaidOut:
    """What is made of both editions in a layout."""
    return built(BUILT_TOGETHER, SIDE_BY_SIDE).result.documents[request.param]


def test_no_instruction_mixes_the_two_systems(both: LaidOut) -> None:
    """What is bought is named by its true size, ``12 × 12 in (304.8 × 304.8 mm)``; the scale bars
    have one bar of each."""
    texts = [_BOUGHT.sub("", text) for text in sentences(both.html)]
    inches = [text for text in texts if _INCH.search(text)]
    millimetres = [text for text in texts if _MM.search(text)]
    assert len(inches) > 10 and len(millimetres) > 10
    mixed = [text for text in inches if _MM.search(text)]
    assert [text for text in mixed if "100 mm long" not in text] == []


@pytest.mark.parametrize("edition", list(EDITIONS))
def test_each_column_has_the_native_cut_list(both: LaidOut, edition: str) -> None:
    """Every size of a cut list that an edition gives alone stands in the document of both."""
    alone = built(BUILT_TOGETHER, edition).result.documents["bench"]
    sizes = re.findall(r'<td class="size[^"]*">(.*?)</td>', alone.html)
    together = re.findall(r'<td class="size[^"]*">(.*?)</td>', both.html)
    assert sizes and set(sizes) <= set(together)


def test_rows_are_split_until_both_editions_have_the_same() -> None:
    resolved = [
        pierced(resolve(read_design_file(FOLIO), edition)) for edition in (IMPERIAL, METRIC)
    ]
    left, right = joint_rows(*(cut_list(each) for each in resolved))

    def keys(rows: tuple[CutRow, ...]) -> list[tuple[str, ...]]:
        return [tuple(sorted(piece.key for piece in row.pieces)) for row in rows]

    assert keys(left) == keys(right)
    whole = sum(piece.source.count for piece in resolved[0].pieces.values())
    assert sum(row.count for row in left) == sum(row.count for row in right) == whole
