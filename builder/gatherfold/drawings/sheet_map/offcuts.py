"""What a sheet map writes on what is left over: the size of each offcut, and which to keep.

In: a resolved design and one sheet plan, on a canvas with all other marks.  Out: labels inside the
offcuts, in one line or two, and notes with leaders beside those that are too narrow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from collections.abc import Mapping as Names
from itertools import product

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Mapping, Place, Rect, around, segment_meets
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.drawings.labels.labels import PLAINER, placed_within, written
from gatherfold.drawings.labels.placings import FAULT, Leader, Look, Placing, block
from gatherfold.drawings.sheet_map.marks import (
    along,
    offcut_size,
    offcut_to_keep,
    part_box,
    true_offcuts,
)
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.sheets import Offcut, SheetPlan

_LOOK = Look(SMALLEST_LETTERING_PT, boxed=True, colour=GREY_TEXT)
#: White between the ends of a label and the cuts beside them, in mm, more than lettering keeps off
#: all lines; of one line, which has room in two where that is more than there is, and of two.
_OFF_CUTS = {1: 1.4, 2: 0.4}
#: From one line of a label to the next.
_PITCH = 3.0
#: An offcut that is narrower on paper has no room for the dot of a leader.
_NARROWEST = 1.2
#: A note may stand so far off, in mm of leader; each mm that its leader is off the level or off the
#: upright makes it so much dearer.
_FARTHEST, _ASLANT = 45.0, 0.5
#: Beside a sheet that is drawn narrower, notes would take more room than the sheet.
_LARGE = 45.0
#: Its leader may run over so many other parts of the sheet.
_MOST_PASSED = 1


def label_offcuts(
    canvas: Canvas,
    resolved: ResolvedDesign,
    stock_key: str,
    plan: SheetPlan,
    mapping: Mapping,
    kept: Names[int, str],
) -> None:
    """The size of every offcut that is not ``kept`` for something named, wherever there is room for
    it; the largest says at least that it is to be kept."""
    largest = offcut_to_keep(plan)
    found = true_offcuts(resolved, stock_key, plan, mapping)
    offcuts = [each for each in found if each[0].part not in kept]
    bare = []
    for offcut, box in sorted(offcuts, key=lambda each: each[0] is not largest):
        texts = _texts(resolved, offcut, offcut is largest)
        size = offcut_size(resolved, offcut)
        if not any(written(canvas, _inside(box, text, size), FAULT) for text in texts):
            bare.append((texts[0], box))
    boxes = [*map(part_box, plan.placed), *map(part_box, plan.offcuts)]
    parts = [mapping.rect(part) for part in boxes]
    if around(parts).width < _LARGE:
        return
    for text, box in sorted(bare, key=lambda each: -min(each[1].width, each[1].height)):
        if min(box.width, box.height) >= _NARROWEST:
            # Where a note would be in the way it stays bare: the cuts beside the map give its size.
            written(canvas, _outside(box, text, parts), _FARTHEST)


def _texts(resolved: ResolvedDesign, offcut: Offcut, is_largest: bool) -> list[str]:
    """What can be written on an offcut, the fullest first."""
    wording, size = words_of(resolved), offcut_size(resolved, offcut)
    if not is_largest:
        return [wording.phrase("draw_offcut", size=size), size]
    names = ("draw_offcut_keep", "draw_keep_size", "draw_keep")
    return [wording.phrase(name, size=size) for name in names]


def _inside(box: Rect, text: str, size: str) -> Iterator[Placing]:
    """The text in the box, in one line or in two, level or upright."""
    cost = 0.0
    for lines in ((text,), _in_two(text, size)):
        for rotation in (0, 90) if lines else ():
            looks = [(line, _LOOK) for line in lines]
            words = block(looks, rotation, _PITCH, (_OFF_CUTS[len(lines)], 0.0))
            yield from placed_within(box, words, cost)
            cost += PLAINER


def _in_two(text: str, size: str) -> tuple[str, ...]:
    """The text broken where both lines are shortest, but never within the size; empty if it is only
    that."""
    whole = size.replace(" ", _NO_BREAK)
    words = [word.replace(_NO_BREAK, " ") for word in text.replace(size, whole).split(" ")]
    breaks = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(breaks, key=lambda lines: max(map(len, lines)), default=())


_NO_BREAK = "\N{NO-BREAK SPACE}"


def _outside(box: Rect, text: str, parts: Sequence[Rect]) -> Iterator[Placing]:
    """On the right, on the left and below the sheet, for a leader nearly level or upright that runs
    over hardly anything else.  Above it, the leader would run across the dimension of the width."""
    others = [part for part in parts if not part.holds(box.centre)]
    words, sheet = block([(text, _LOOK)]), around(parts)
    for cost, at, leader in sorted(_led([box.centre, *along(box)], words.ground, sheet)):
        if sum(segment_meets(*leader, other) for other in others) <= _MOST_PASSED:
            ground = words.ground.moved(*at)
            yield Placing(ground, cost, words.texts, leader, at, is_free=True)


def _led(targets: Sequence[Place], ink: Rect, sheet: Rect) -> Iterator[tuple[float, Place, Leader]]:
    """What each place outside the sheet costs, the middle of the note there, and its leader."""
    for x, y in targets:
        ways = []
        for away, slant in product(_BESIDE, _SLANTS):
            for start, way in ((sheet.right + away, 1), (sheet.left - away, -1)):
                at = start + way * (ink.width / 2 + _GAP), y + slant
                ways.append((slant, at, (start, y + slant)))
        for away, slant in product(_BELOW, _SHIFTS):
            low = sheet.bottom - away
            ways.append((slant, (x + slant, low - ink.height / 2 - _GAP), (x + slant, low)))
        for slant, at, begin in ways:
            yield math.dist(begin, (x, y)) + _ASLANT * abs(slant), at, (begin, (x, y))


#: How far from the sheet such notes begin: beyond numbers of cuts, and beyond arrows; how far they
#: stand off the level or the upright of their ends; and from a leader to its note.
_BESIDE, _BELOW = (2.0, 6.0, 14.0), (1.5, 5.5)
_SLANTS = (0.0, 1.5, -1.5, 3.0, -3.0, 5.0, -5.0, 8.0, -8.0, 12.0, -12.0)
_SHIFTS = (0.0, 4.0, -4.0, 9.0, -9.0, 14.0, -14.0)
_GAP = 0.6
