"""The last touch to a tagged PDF: what WeasyPrint leaves for PDF/UA-1 (ISO 14289-1) to be done.

In: the document and its objects just before they are written.  Nothing is said when nothing is to
be done.  Running heads and page numbers become artifacts (7.8), header cells say what they head
(7.5), links are printed with the page (ISO 32000-1, 12.5.3, flag 3), and figures say where on the
page they are in points from its lower left corner (ISO 32000-1, 14.8.5.4.3).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pydyf

_PRINT_FLAG = 4
#: WeasyPrint measures boxes in CSS pixels from the upper left corner: 96 to the inch, not 72.
_POINTS_PER_PIXEL = 72 / 96


def finish_tags(document: Any, pdf: pydyf.PDF) -> None:
    """Mend the structure in place; called by WeasyPrint as its finisher."""
    by_number = {each.number: each for each in pdf.objects}
    for each in pdf.objects:
        if isinstance(each, pydyf.Dictionary):
            if each.get("S") == "/TH":
                each["A"]["Scope"] = "/Column"
            elif each.get("S") == "/Figure":
                _place_figure(each["A"], by_number[_number(each["Pg"])])
            elif each.get("Type") == "/Annot":
                each["F"] = _PRINT_FLAG
    root = by_number[_number(pdf.catalog["StructTreeRoot"])]
    reached = set(_reached(root["K"], by_number))
    parents = by_number[_number(root["ParentTree"])]["Nums"]
    for index, page in enumerate(pdf.page_references):
        _mark_furniture(by_number[_number(page)], parents[2 * index + 1], reached, by_number)


def _place_figure(attributes: Any, page: Any) -> None:
    left, top, right, bottom = (side * _POINTS_PER_PIXEL for side in attributes["BBox"])
    height = page["MediaBox"][3]
    attributes["BBox"] = pydyf.Array([left, height - bottom, right, height - top])


def _mark_furniture(page: Any, owners: Any, reached: set[int], by_number: dict[int, Any]) -> None:
    """Content whose element hangs in no tree is of the page's margins: an artifact."""
    loose = {mark for mark, owner in enumerate(owners) if _number(owner) not in reached}
    line = by_number[_number(page["Contents"])].stream
    for index, entry in enumerate(line):
        if isinstance(entry, pydyf.Dictionary) and entry.get("MCID") in loose:
            line[index - 1 : index + 1] = ["/Artifact", pydyf.Dictionary({"Type": "/Pagination"})]
    for mark in loose:
        owners[mark] = "null"


def _reached(kids: Any, by_number: dict[int, Any]) -> Iterator[int]:
    """The numbers of all elements below these kids."""
    waiting = list(kids)
    while waiting:
        kid = waiting.pop()
        if isinstance(kid, bytes):
            number = _number(kid)
            yield number
            waiting.extend(by_number[number].get("K") or [])


def _number(reference: bytes) -> int:
    return int(reference.split()[0])
