"""How long a page and a figure take, and how that grows: documents of 10, 50, 200 and 500 pages.

Run it with ``python -m tests.benchmarks.page_time`` when little else runs; ``--pages 10,50`` asks
for other lengths.  Processor time, one process, the pattern in inches.

A document is made longer by further steps: each lays a mat of its own on a card of its own, and so
brings a page with its words and its drawing, two sheets with their maps and sequences, and two
pieces in the cut list.  Sizes and sheets, drawing, and setting the pages are timed apart.  The run
says what each further page and figure takes from one length to the next, and fails where that
grows: then the time grows faster than in proportion.
"""

from __future__ import annotations

import argparse
import io
import re
import sys
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from pypdf import PdfReader

from gatherfold.build import EditionResult, Options, build_result
from gatherfold.reading import read_design
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import LAYOUTS
from tests.benchmarks.stages import Stages

#: Pages that are there whatever the steps, and pages that each step brings, both measured.
_OTHER_PAGES, _PAGES_OF_A_STEP = 6.0, 1.214
#: Timings vary from run to run: each further page or figure may take this many times what one took
#: between the two shortest documents. It would be 16 times if time grew with the square.
_MOST_GROWTH = 1.5

_HEAD = """\
title: Many cards
units: inch
stocks:
  card: {material: cardstock, sheet: 12 in x 12 in}
pieces:
"""
_PIECES = """\
  card_{number}: {{from: card, size: 8 x 10}}
  mat_{number}: {{as: mat, from: card, size: 7 x 9, on: card_{number}}}
"""
_STEP = """\
  - title: Mat card number {number}
    attach: mat_{number}
    text: |
      Centre the [mat_{number}] on the [card_{number}].

"""
#: Lines that fill a page beside the drawing of their step.
_LINES = "      - Turn it.\n" * 12


@dataclass(frozen=True)
class Timing:
    pages: int
    figures: int
    sizes: float
    drawing: float
    setting: float

    @property
    def line(self) -> str:
        page, figure = self.setting / self.pages * 1000, self.drawing / self.figures * 1000
        return (
            f"{self.pages:4d} pages, {self.figures:4d} figures: "
            f"setting {self.setting:7.2f} s, {page:4.0f} ms a page; "
            f"drawing {self.drawing:6.2f} s, {figure:4.0f} ms a figure; "
            f"sizes and sheets {self.sizes:6.2f} s"
        )


def written(steps: int) -> bytes:
    """A design of so many steps."""
    numbers = range(1, steps + 1)
    pieces = "".join(_PIECES.format(number=number) for number in numbers)
    attached = "".join(_STEP.format(number=number) + _LINES for number in numbers)
    return (
        f"{_HEAD}{pieces}steps:\n  - {{title: Cut, text: Cut all., cut: all}}\n{attached}".encode()
    )


def built(wanted: int, progress: Callable[[str], None]) -> EditionResult:
    """A document of about so many pages."""
    steps = max(1, round((wanted - _OTHER_PAGES) / _PAGES_OF_A_STEP))
    design = read_design(written(steps), "many-cards.yaml")
    return build_result(design, [IMPERIAL], [LAYOUTS / "pattern"], Options(), progress)


def timed(wanted: int) -> Timing:
    stages = Stages()
    result = built(wanted, stages.hear)
    stages.enter("sizes")
    assert result.documents, result.findings
    (document,) = result.documents.values()
    pages = len(PdfReader(io.BytesIO(document.pdf)).pages)
    figures = len(set(re.findall(r'src="(figure:[^"]+)"', document.html)))
    return Timing(pages, figures, **stages.seconds)


def each_further(seconds: tuple[float, float], amounts: tuple[int, int]) -> float:
    """What one more takes, in seconds, from one length to the next."""
    return (seconds[1] - seconds[0]) / (amounts[1] - amounts[0])


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", default="10,50,200,500", help="about how many, with commas")
    wanted = [int(each) for each in parser.parse_args().pages.split(",")]
    timed(wanted[0])  # the first build imports and compiles what the others share
    timings = []
    for pages in wanted:
        timings.append(timed(pages))
        print(timings[-1].line, flush=True)
    setting, drawing = [], []
    for first, second in pairwise(timings):
        pages, figures = (first.pages, second.pages), (first.figures, second.figures)
        setting.append(each_further((first.setting, second.setting), pages))
        drawing.append(each_further((first.drawing, second.drawing), figures))
        print(
            f"{first.pages} to {second.pages} pages: each further page "
            f"{setting[-1] * 1000:.0f} ms, each further figure {drawing[-1] * 1000:.1f} ms"
        )
    grown = max(each / rates[0] for rates in (setting, drawing) for each in rates)
    return 0 if grown <= _MOST_GROWTH else 1


if __name__ == "__main__":
    sys.exit(main())
