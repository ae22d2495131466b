"""How long a page and a figure take, and how that grows: documents of 10, 50, 200 and 500 pages.

Run it with ``python -m tests.benchmarks.page_time`` when little else runs; ``--pages 10,50`` asks
for other lengths.  Processor time, one process, the pattern in inches.

A document is made longer by further steps: each lays a mat of its own on a card of its own, and so
brings a page with its words and its drawing, two sheets with their maps and sequences, and two
pieces in the cut list.  Sizes and sheets, drawing, and setting the pages are timed apart; the run
fails where drawing or setting grows faster than in proportion.
"""

from __future__ import annotations

import argparse
import io
import math
import re
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import pairwise

from pypdf import PdfReader

from builder.build import BuildOrder, EditionResult, build_edition
from builder.reading import read_design
from builder.resolve.edition import IMPERIAL
from builder.shipped import LAYOUTS

#: Pages that are there whatever the steps, and pages that each step brings, both measured.
_OTHER_PAGES, _PAGES_OF_A_STEP = 6.5, 1.53
#: Timings vary by some percent from run to run: more than this is growth.
_PROPORTIONAL = 1.12

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

#: How the progress of a build begins to say what is done next.
_STAGES = {"working out": "sizes", "drawing": "drawing", "setting": "setting"}


@dataclass
class Stages:
    """Seconds of the processor by stage, heard from the progress of a build."""

    seconds: dict[str, float] = field(default_factory=lambda: dict.fromkeys(_STAGES.values(), 0.0))
    _stage: str = "sizes"
    _since: float = field(default_factory=time.process_time)

    def hear(self, said: str) -> None:
        doing = said.split(": ", 1)[1]
        self.enter(next(stage for begin, stage in _STAGES.items() if doing.startswith(begin)))

    def enter(self, stage: str) -> None:
        now = time.process_time()
        self.seconds[self._stage] += now - self._since
        self._stage, self._since = stage, now


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
    order = BuildOrder((LAYOUTS / "pattern",), "0123456789ab", allow_draft=False)
    return build_edition(design, IMPERIAL, order, progress)


def timed(wanted: int) -> Timing:
    stages = Stages()
    result = built(wanted, stages.hear)
    stages.enter("sizes")
    assert result.pdf is not None and result.html is not None, result.findings
    pages = len(PdfReader(io.BytesIO(result.pdf)).pages)
    figures = len(set(re.findall(r'src="(figure:[^"]+)"', result.html)))
    return Timing(pages, figures, **stages.seconds)


def growth(seconds: tuple[float, float], amounts: tuple[int, int]) -> float:
    """The exponent: 1 where twice as many take twice the time."""
    return math.log(seconds[1] / seconds[0]) / math.log(amounts[1] / amounts[0])


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--pages", default="10,50,200,500", help="about how many, with commas")
    wanted = [int(each) for each in parser.parse_args().pages.split(",")]
    timed(wanted[0])  # the first build imports and compiles what the others share
    timings = []
    for pages in wanted:
        timings.append(timed(pages))
        print(timings[-1].line, flush=True)
    steepest = 0.0
    for first, second in pairwise(timings):
        setting = growth((first.setting, second.setting), (first.pages, second.pages))
        drawing = growth((first.drawing, second.drawing), (first.figures, second.figures))
        print(
            f"{first.pages} to {second.pages} pages: setting pages^{setting:.2f}, "
            f"drawing figures^{drawing:.2f}"
        )
        steepest = max(steepest, setting, drawing)
    return 0 if steepest <= _PROPORTIONAL else 1


if __name__ == "__main__":
    sys.exit(main())
