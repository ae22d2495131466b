"""What a sheet map writes on what is left over: the size of each offcut, and which to keep.

In: a resolved design and one sheet plan, on a canvas with all other marks.  Out: labels inside the
offcuts, in one line or two, and notes with leaders beside those that are too narrow.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from collections.abc import Mapping as Names
from itertools import product

from builder.drawings.arrangement import FAULT, cost_on
from builder.drawings.canvas import Canvas
from builder.drawings.labels import places_within, pointed_leader
from builder.drawings.lettering import capital_height, inked_rect, text_width
from builder.drawings.placings import Placing
from builder.drawings.plane import Mapping, Place, Rect, around, segment_meets
from builder.drawings.sheet_labels import Look
from builder.drawings.sheet_marks import along, offcut_size, offcut_to_keep, part_box, true_offcuts
from builder.drawings.styles import GREY_TEXT, SMALLEST_LETTERING_PT
from builder.drawings.wording import words_of
from builder.resolve.resolved import ResolvedDesign
from builder.sheets.model import Offcut, SheetPlan

#: What a place for a note costs, the middle of the note, and its leader.
_Led = tuple[float, Place, tuple[Place, Place]]
_LOOK = Look(SMALLEST_LETTERING_PT, boxed=True, colour=GREY_TEXT)
#: White between the ends of a label and the cuts beside them, in mm, more than lettering keeps off
#: all lines; of one line, which has room in two where that is more than there is, and of two.
_OFF_CUTS = {1: 1.4, 2: 0.4}
#: From one line of a label to the next.
_PITCH = 3.0
#: An offcut that is narrower on paper has no room for the dot of a leader.
_NARROWEST = 1.2
#: A note may stand so far off, in mm of leader; to cross a line makes it so much dearer, and each
#: mm that its leader is off the level or off the upright.
_FARTHEST, _ACROSS, _ASLANT = 45.0, 3.0, 0.5
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
        if not any(_inside(canvas, box, text, size) for text in texts):
            bare.append((texts[0], box))
    boxes = [*map(part_box, plan.placed), *map(part_box, plan.offcuts)]
    parts = [mapping.rect(part) for part in boxes]
    if around(parts).width < _LARGE:
        return
    for text, box in sorted(bare, key=lambda each: -min(each[1].width, each[1].height)):
        if min(box.width, box.height) >= _NARROWEST:
            _note(canvas, box, text, parts)


def _texts(resolved: ResolvedDesign, offcut: Offcut, is_largest: bool) -> list[str]:
    """What can be written on an offcut, the fullest first."""
    wording, size = words_of(resolved), offcut_size(resolved, offcut)
    if not is_largest:
        return [wording.phrase("draw_offcut", size=size), size]
    names = ("draw_offcut_keep", "draw_keep_size", "draw_keep")
    return [wording.phrase(name, size=size) for name in names]


def _inside(canvas: Canvas, box: Rect, text: str, size: str) -> bool:
    """Write the text in the box, in one line or in two, level or upright, if there is room."""
    return any(
        _written(canvas, box, lines, rotation)
        for lines in ((text,), _in_two(text, size))
        for rotation in (0, 90)
        if lines
    )


def _written(canvas: Canvas, box: Rect, lines: Sequence[str], rotation: int) -> bool:
    """Write lines below one another, or beside one another where they stand upright, in the first
    place that is free."""
    along = max(text_width(line, _LOOK.size_pt) for line in lines) + 2 * _OFF_CUTS[len(lines)]
    across = capital_height(_LOOK.size_pt) + _PITCH * (len(lines) - 1)
    width, height = (along, across) if rotation == 0 else (across, along)
    first = _PITCH * (len(lines) - 1) / 2
    for x, y in places_within(box, width, height):
        labels = []
        for number, line in enumerate(lines):
            off = first - number * _PITCH
            at = (x, y + off) if rotation == 0 else (x - off, y)
            labels.append(_LOOK.at(line, *at, rotation))
        if all(canvas.is_free(inked_rect(label)) for label in labels):
            for label in labels:
                canvas.text(label)
            return True
    return False


def _in_two(text: str, size: str) -> tuple[str, ...]:
    """The text broken where both lines are shortest, but never within the size; empty if it is only
    that."""
    whole = size.replace(" ", _NO_BREAK)
    words = [word.replace(_NO_BREAK, " ") for word in text.replace(size, whole).split(" ")]
    breaks = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(breaks, key=lambda lines: max(map(len, lines)), default=())


_NO_BREAK = "\N{NO-BREAK SPACE}"


def _note(canvas: Canvas, box: Rect, text: str, parts: Sequence[Rect]) -> None:
    """Write the text outside the sheet, with a leader, if there is a place where it is in nobody's
    way; else the offcut stays bare, for the cuts beside the map give its size."""
    others = [part for part in parts if not part.holds(box.centre)]
    ink = inked_rect(_LOOK.at(text, 0.0, 0.0))
    best: Placing | None = None
    least = _FARTHEST
    for length, centre, leader in sorted(_outside([box.centre, *along(box)], ink, around(parts))):
        if length >= least:
            break
        placing = Placing(ink.moved(*centre), length, (), leader, is_free=True)
        touched = cost_on(canvas, placing)
        passed = sum(segment_meets(*leader, other) for other in others)
        if touched < FAULT and passed <= _MOST_PASSED and length + touched * _ACROSS < least:
            best, least = placing, length + touched * _ACROSS
    if best is not None and best.leader is not None:
        canvas.text(_LOOK.at(text, *best.ground.moved(-ink.centre[0], -ink.centre[1]).centre))
        pointed_leader(canvas, *best.leader)


def _outside(targets: Sequence[Place], ink: Rect, sheet: Rect) -> Iterator[_Led]:
    """Places on the right, on the left and below the sheet, for a leader nearly level or upright.
    Above it, the leader would run across the dimension of the width."""
    for target in targets:
        for away, slant in product(_BESIDE, _SLANTS):
            y = target[1] + slant
            for start, way in ((sheet.right + away, 1), (sheet.left - away, -1)):
                yield _led((start + way * (ink.width / 2 + _GAP), y), (start, y), target)
        for away, slant in product(_BELOW, _SHIFTS):
            x, y = target[0] + slant, sheet.bottom - away
            yield _led((x, y - ink.height / 2 - _GAP), (x, y), target)


def _led(centre: Place, start: Place, target: Place) -> _Led:
    slant = min(abs(start[0] - target[0]), abs(start[1] - target[1]))
    return math.dist(start, target) + _ASLANT * slant, centre, (start, target)


#: How far from the sheet such notes begin: beyond numbers of cuts, and beyond arrows; how far they
#: stand off the level or the upright of their ends; and from a leader to its note.
_BESIDE, _BELOW = (2.0, 6.0, 14.0), (1.5, 5.5)
_SLANTS = (0.0, 1.5, -1.5, 3.0, -3.0, 5.0, -5.0, 8.0, -8.0, 12.0, -12.0)
_SHIFTS = (0.0, 4.0, -4.0, 9.0, -9.0, 14.0, -14.0)
_GAP = 0.6
