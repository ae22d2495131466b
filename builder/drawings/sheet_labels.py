"""Where a label of a sheet map can stand: inside its part, or beside it with a leader.

In: what is written, and boxes on paper.  Out: placings in order of their cost, the best first.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from builder.drawings.canvas import CLEARANCE
from builder.drawings.labels import NOTE_PT, leader_start, places_within
from builder.drawings.lettering import capital_height, centred_text, inked_rect, text_width
from builder.drawings.placings import Placing
from builder.drawings.plane import Place, Rect
from builder.drawings.scene import Text
from builder.drawings.styles import BLACK, LINE_LOOKS, SMALLEST_LETTERING_PT, Line

#: Size of a code and of the size below it, in points: as large as there is room for.
_TWO_LINES = ((9.0, NOTE_PT), (SMALLEST_LETTERING_PT, SMALLEST_LETTERING_PT))
_LINE_STEP = 3.6


@dataclass(frozen=True)
class Look:
    """How a label is written."""

    size_pt: float
    bold: bool = False
    boxed: bool = False
    colour: str = BLACK

    def at(self, text: str, x: float, y: float, rotation: int = 0) -> Text:
        """The text with its capitals centred on a place."""
        return centred_text(
            text,
            x,
            y,
            self.size_pt,
            rotation=rotation,
            bold=self.bold,
            boxed=self.boxed,
            colour=self.colour,
        )


#: What it costs more to write a label smaller, in one line, or turned.
_PLAINER = 1.0
#: What it costs more to write it off the middle of its part, for each place nearer to the middle.
_OFF_MIDDLE = 0.002


def inside(
    box: Rect,
    texts: Sequence[str],
    look: Look,
    cost: float = 0.0,
    clear_of: Sequence[Rect] = (),
) -> Iterator[Placing]:
    """The first of ``texts`` that fits inside the box, as large as it can be, level or upright;
    ``clear_of`` holds parts of the box that lie under something else."""
    sizes = sorted({look.size_pt, SMALLEST_LETTERING_PT}, reverse=True)
    for text, size, rotation in product(texts, sizes, (0, 90)):
        sized = replace(look, size_pt=size)
        along, across = text_width(text, size, look.bold), capital_height(size)
        width, height = (along, across) if rotation == 0 else (across, along)
        for number, (x, y) in enumerate(places_within(box, width, height)):
            label = sized.at(text, x, y, rotation)
            ground = inked_rect(label)
            if not any(cover.meets(ground) for cover in clear_of):
                yield Placing(ground, cost + number * _OFF_MIDDLE, (label,))
        cost += _PLAINER


def two_lines(box: Rect, code: str, size: str) -> Iterator[Placing]:
    """The code of a piece over its size, in the middle of the piece or near it."""
    for step, (code_pt, size_pt) in enumerate(_TWO_LINES):
        half = max(text_width(code, code_pt, True), text_width(size, size_pt)) / 2 + 0.1
        places = places_within(box, 2 * half + 0.8, 2 * _LINE_STEP + 0.4)
        for number, (x, y) in enumerate(places):
            texts = (
                centred_text(code, x, y + _LINE_STEP / 2, code_pt, bold=True),
                centred_text(size, x, y - _LINE_STEP / 2, size_pt),
            )
            ground = Rect(x - half, y - _LINE_STEP + 0.3, x + half, y + _LINE_STEP - 0.3)
            yield Placing(ground, step * _PLAINER + number * _OFF_MIDDLE, texts)


#: A piece narrower than this on paper holds no lettering, and one shorter than its line and this.
_LEAST_ACROSS, _LEAST_OVER = 2.9, 1.4


def holds_label(box: Rect, code: str, size: str) -> bool:
    """Whether a piece on paper has room for its code and its size, in a line or in two."""
    if any(True for _ in two_lines(box, code, size)):
        return True
    line = Look(SMALLEST_LETTERING_PT, bold=True).at(f"{code}  {size}", 0.0, 0.0)
    ink = inked_rect(line)
    along, across = max(box.width, box.height), min(box.width, box.height)
    least_across = max(_LEAST_ACROSS, ink.height + 2 * CLEARANCE + LINE_LOOKS[Line.CUT].width)
    return across >= least_across and along >= ink.width + _LEAST_OVER


_DISTANCES = (4.0, 7.0, 11.0, 16.0, 22.0, 29.0, 37.0, 46.0)
_ANGLES = tuple(math.tau * (step + 0.5) / 16 for step in range(16))
#: What it costs a label to stand on a part that it could be taken for the label of.
_MISLEADING = 300.0
#: And to stand so near to what it speaks of that the leader is hardly seen.
_SHORT, _TOO_SHORT = 20.0, 2.0
#: Labels anywhere on paper are tried so far apart, for so many targets.
_GRID, _FEW_TARGETS = 3.6, 2


def beside(
    targets: Sequence[Place],
    text: str,
    look: Look,
    cost: float,
    paper: Rect,
    avoid: Sequence[Rect] = (),
) -> Iterator[Placing]:
    """The label round each of ``targets``, then anywhere on paper, then on ``avoid``: areas where
    it would be taken for that of something else."""
    ink = inked_rect(look.at(text, 0.0, 0.0))
    misleading = []
    for places in (_round(targets, ink.width / 2), _all_over(paper, targets[:_FEW_TARGETS])):
        for length, centre, leader in sorted(_led(ink, places)):
            ground, label = ink.moved(*centre), (look.at(text, *centre),)
            over = _MISLEADING * sum(area.meets(ground) for area in avoid)
            placing = Placing(ground, cost + length + over, label, leader, is_free=True)
            if over:
                misleading.append(placing)
            else:
                yield placing
    yield from sorted(misleading, key=lambda placing: placing.cost)


def _round(targets: Sequence[Place], half: float) -> Iterator[tuple[Place, Place]]:
    """The middles of labels that start, or end, at growing distances from a target."""
    for (x, y), distance, angle in product(targets, _DISTANCES, _ANGLES):
        dx, dy = distance * math.cos(angle), distance * math.sin(angle)
        yield (x + dx + math.copysign(half, dx), y + dy), (x, y)


def _all_over(paper: Rect, targets: Sequence[Place]) -> Iterator[tuple[Place, Place]]:
    """Places in rows and columns all over the paper, for each target."""
    for column, row in product(range(int(paper.width / _GRID)), range(int(paper.height / _GRID))):
        for target in targets:
            yield (paper.left + (column + 0.5) * _GRID, paper.bottom + (row + 0.5) * _GRID), target


def _led(
    ink: Rect, places: Iterable[tuple[Place, Place]]
) -> Iterator[tuple[float, Place, tuple[Place, Place]]]:
    """For a label centred on each place: how long its leader is, dearer if it is too short to be
    seen; the place; and the leader."""
    for centre, target in places:
        start = leader_start(ink.moved(*centre), target)
        length = math.dist(start, target)
        yield length + _SHORT * (length < _TOO_SHORT), centre, (start, target)
