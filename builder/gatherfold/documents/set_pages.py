"""What is wrong on finished pages though nothing complained: another font than the one that was
asked for, and words or pictures that run off the paper.

In: the pages as WeasyPrint laid them out, in CSS pixels.  Out: a sentence for each fault.
"""

from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Any

from weasyprint.formatting_structure.boxes import ReplacedBox, TextBox

from gatherfold.documents.problems import place_of
from gatherfold.findings import nearest_name

#: CSS Fonts Module Level 4, 2.1.3 "Generic font families" (from memory): the machine's own.
_GENERIC = ("serif", "sans-serif", "monospace", "cursive", "fantasy", "system-ui", "math", "emoji")
#: CSS Values and Units, 6.2: 96 pixels are an inch.
_MM = 25.4 / 96
#: Less than this in mm over the edge is white: a line is a little higher than its letters.
_OVER = 1.0
_SHOWN = 40


def unknown_families(pages: Any, known: Collection[str], layout: Path) -> tuple[str, ...]:
    """A fault for each family that text is set in and that no font was given for: a font of the
    machine would stand in for it, another one on the next machine."""
    usable = {name.lower() for name in known} | set(_GENERIC)
    asked = dict.fromkeys(
        family
        for page in pages
        for box, _ in _boxes(page._page_box)
        if isinstance(box, TextBox) and box.text.strip()
        for family in box.style["font_family"]
    )
    return tuple(
        _unknown(family, known, layout) for family in asked if family.lower() not in usable
    )


def _unknown(family: str, known: Collection[str], layout: Path) -> str:
    near = nearest_name(family, known)
    hint = "" if near is None else f" Did you mean '{near}'?"
    names = ", ".join(sorted(known))
    return (
        f"{place_of(family, layout)}: there is no font '{family}'.{hint} Fonts that can be used: "
        f"{names}; add others with @font-face."
    )


def off_the_paper(pages: Any, layout: Path) -> tuple[str, ...]:
    """A fault for each page with words or a picture beyond the paper's edge: the one that runs
    furthest."""
    faults = []
    for number, page in enumerate(pages, start=1):
        over = [
            (_beyond(box, page), _named(box))
            for box, is_cut_off in _boxes(page._page_box)
            if not is_cut_off and _is_ink(box)
        ]
        furthest, what = max(over, default=(0.0, ""))
        if furthest > _OVER:
            faults.append(
                f"{layout}: page {number}: {what} runs {furthest:.0f} mm off the paper; give it "
                "more room, or a smaller type or drawing"
            )
    return tuple(faults)


def _is_ink(box: Any) -> bool:
    if box.style["visibility"] != "visible":
        return False
    return isinstance(box, ReplacedBox) or (isinstance(box, TextBox) and bool(box.text.strip()))


def _beyond(box: Any, page: Any) -> float:
    """How far the box lies beyond the nearest edge that it crosses, in mm; below zero within."""
    left, top = box.border_box_x(), box.border_box_y()
    right, bottom = left + box.border_width(), top + box.border_height()
    edges = (-left, -top, right - page.width, bottom - page.height)
    return float(max(edges)) * _MM


def _named(box: Any) -> str:
    if isinstance(box, TextBox):
        text = " ".join(box.text.split())
        return f"'{text if len(text) <= _SHOWN else text[:_SHOWN] + '…'}'"
    words = box.element.get("alt") if box.element is not None else ""
    return f"the picture '{(words or '')[:_SHOWN]}…'"


def _boxes(box: Any, is_cut_off: bool = False) -> Iterator[tuple[Any, bool]]:
    """Every box within one, and whether what runs out of it is cut off."""
    yield box, is_cut_off
    is_cut_off = is_cut_off or (
        box.style["overflow"] != "visible" and not hasattr(box, "page_type")
    )
    for child in getattr(box, "children", ()):
        yield from _boxes(getattr(child, "_box", child), is_cut_off)
