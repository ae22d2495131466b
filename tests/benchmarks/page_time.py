"""How long a page takes, and how that grows: documents of about 10, 50, 200 and 500 pages.

Each is a design with many steps, laid out as the pattern in inches.  Run it with
``python -m tests.benchmarks.page_time``; ``--pages 10,50`` asks for other lengths.
"""

from __future__ import annotations

import argparse
import io
import math
import time
from dataclasses import dataclass
from itertools import pairwise

from pypdf import PdfReader

from builder.build import BuildOrder, build_edition
from builder.reading import read_design
from builder.resolve.edition import IMPERIAL
from builder.shipped import LAYOUTS

#: Pages of the sample that are no steps, and steps that fill a page.
_OTHER_PAGES, _STEPS_A_PAGE = 7, 3

_HEAD = """\
title: Many steps
units: inch
stocks:
  card: {material: cardstock, sheet: 12 in x 12 in}
pieces:
  base: {from: card, size: 8 x 10}
  mat: {from: card, size: 7 x 9, on: base}
steps:
  - {title: Cut, text: Cut both., cut: all}
  - {title: Glue, text: "Centre the [mat] on the [base].", attach: mat}
"""
_STEP = """\
  - title: Look at it, time {number}
    text: |
"""
#: Lines that fill a third of a page, in few bytes: a design of 500 pages is within the limits.
_LINE = "      - Turn it.\n"
_LINES = 11


@dataclass(frozen=True)
class Timing:
    pages: int
    seconds: float

    @property
    def per_page(self) -> float:
        return self.seconds / self.pages


def timed(wanted: int) -> Timing:
    """Build a document of about so many pages."""
    steps = max(0, wanted - _OTHER_PAGES) * _STEPS_A_PAGE
    text = _HEAD + "".join(
        _STEP.format(number=number) + _LINE * _LINES for number in range(1, steps + 1)
    )
    design = read_design(text.encode(), "many-steps.yaml")
    order = BuildOrder((LAYOUTS / "pattern",), "0123456789ab", allow_draft=False)
    started = time.process_time()
    result = build_edition(design, IMPERIAL, order, lambda said: None)
    seconds = time.process_time() - started
    assert result.pdf is not None, result.findings
    return Timing(len(PdfReader(io.BytesIO(result.pdf)).pages), seconds)


def growth(first: Timing, second: Timing) -> float:
    """The exponent of the pages: 1 where twice the pages take twice the time."""
    return math.log(second.seconds / first.seconds) / math.log(second.pages / first.pages)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", default="10,50,200,500", help="about how many, with commas")
    wanted = [int(each) for each in parser.parse_args().pages.split(",")]
    timed(wanted[0])  # the first build imports and compiles what the others share
    timings = []
    for pages in wanted:
        timing = timed(pages)
        timings.append(timing)
        milliseconds = timing.per_page * 1000
        print(f"{timing.pages:4d} pages: {timing.seconds:7.2f} s, {milliseconds:4.0f} ms a page")
    for first, second in pairwise(timings):
        print(f"{first.pages} to {second.pages} pages: pages^{growth(first, second):.2f}")


if __name__ == "__main__":
    main()
