"""Where a label can stand: inside its part, beside it with a leader, or in a column beside all.

In: what is written, and boxes and places on paper.  Out: placings in order of their cost, the best
first; and single labels written where they cost least.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from heapq import merge
from itertools import chain, product
from operator import attrgetter, itemgetter

from gatherfold.drawings.kernel.canvas import CLEARANCE, Canvas
from gatherfold.drawings.kernel.lettering import inked_rect, level_text, text_width
from gatherfold.drawings.kernel.plane import Place, Rect, part_way
from gatherfold.drawings.kernel.styles import SMALLEST_LETTERING_PT
from gatherfold.drawings.labels.arrangement import arranged, best_place, cost_on
from gatherfold.drawings.labels.placings import (
    BADGE,
    FAULT,
    MISLEADING,
    Block,
    LabelLook,
    Leader,
    Mark,
    MarkPlace,
    block,
)

NOTE_PT = 7.5


def written(canvas: Canvas, places: Iterable[MarkPlace], limit: float) -> bool:
    """Write a label at the best of its places, if that costs less than a limit."""
    placing = best_place(canvas, places, limit)
    if placing is not None:
        placing.write(canvas)
    return placing is not None


def label(
    canvas: Canvas,
    targets: Iterable[Place],
    texts: Sequence[str],
    look: LabelLook,
    within: Iterable[MarkPlace] = (),
    avoid: Sequence[Rect] = (),
) -> Mark:
    """What is written in one of the places ``within`` a part, or beside it with a leader to one of
    ``targets``: the first of ``texts`` unless another finds a far better place.

    ``targets`` are places on the part it speaks of, the best first; ``avoid`` holds areas where
    the label would be taken for that of something else.
    """

    def led() -> Iterator[MarkPlace]:
        clearest = _clearest(canvas, targets)
        first, *others = (
            beside(clearest, text, look, _OUTSIDE + number * _SHORTER, canvas.frame, avoid)
            for number, text in enumerate(texts)
        )
        for placing in first:
            if others and placing.cost >= _OUTSIDE + _SHORTER:
                # No other text is looked at before it could cost less.
                yield from merge(chain([placing], first), *others, key=attrgetter("cost"))
                return
            yield placing
        yield from merge(*others, key=attrgetter("cost"))

    # Within there is mostly room: what is beside is not looked at before it is asked for.
    return Mark(texts[0], chain(within, led()))


def write_labels(canvas: Canvas, needed: Sequence[Mark], others: Sequence[Mark] = ()) -> list[Mark]:
    """Write labels where they stand best together; ``others`` only where they stand well.  Returns
    those that are left out."""
    left_out = []
    for mark, placing in arranged(canvas, (*needed, *others)).items():
        if mark in others and placing.cost + cost_on(canvas, placing) >= MISLEADING:
            left_out.append(mark)
        else:
            placing.write(canvas)
    return left_out


_MOST_TARGETS = 6
#: What it costs to stand beside a part, and to be the next of its texts.
_OUTSIDE, _SHORTER = 20.0, 40.0


def _clearest(canvas: Canvas, targets: Iterable[Place]) -> list[Place]:
    """The targets at which the end of a leader touches least; none is looked at after so many that
    it touches nothing at."""
    rated: list[tuple[tuple[int, ...], Place]] = []
    clear: list[Place] = []
    for place in targets:
        rated.append((_unclearness(canvas, place), place))
        clear += [] if any(rated[-1][0]) else [place]
        if len(clear) == _MOST_TARGETS:
            return clear
    return [place for _, place in sorted(rated, key=itemgetter(0))[:_MOST_TARGETS]]


def _unclearness(canvas: Canvas, place: Place) -> tuple[bool, bool, int, int]:
    """What the end of a leader here would touch: words, an arrowhead, the surroundings of words,
    lines that it could point at."""
    return (
        not canvas.is_clear_of_words(place),
        not canvas.is_clear_of_marks(place),
        canvas.words_beside(place),
        canvas.lines_under(place),
    )


#: What it costs more to write a label smaller, in one line, or turned.
PLAINER = 1.0
#: What it costs more to write it off the middle of its part, for each place nearer to the middle.
_OFF_MIDDLE = 0.002


def inside(
    box: Rect,
    texts: Sequence[str],
    look: LabelLook,
    cost: float = 0.0,
    clear_of: Sequence[Rect] = (),
) -> Iterator[MarkPlace]:
    """The first of ``texts`` that fits inside the box, as large as it can be, level or upright;
    ``clear_of`` holds parts of the box that lie under something else."""
    sizes = sorted({look.size_pt, SMALLEST_LETTERING_PT}, reverse=True)
    for text, size, rotation in product(texts, sizes, (0, 90)):
        line = block([(text, replace(look, size_pt=size))], rotation)
        yield from placed_within(box, line, cost, clear_of)
        cost += PLAINER


def placed_within(
    box: Rect, lines: Block, cost: float = 0.0, clear_of: Sequence[Rect] = ()
) -> Iterator[MarkPlace]:
    """Lines in the middle of a box, then nearer to its borders; nowhere if they do not fit."""
    reach_x = (box.width - lines.width) / 2 - CLEARANCE
    reach_y = (box.height - lines.height) / 2 - CLEARANCE
    if reach_x < 0 or reach_y < 0:
        return
    x, y = box.centre
    for number, (share_y, share_x) in enumerate(product(_UPWARD, _ACROSS)):
        at = x + share_x * reach_x, y + share_y * reach_y
        ground = lines.ground.moved(*at)
        if not any(cover.meets(ground) for cover in clear_of):
            yield MarkPlace(ground, cost + number * _OFF_MIDDLE, lines.texts, at=at)


_UPWARD = (0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0)
_ACROSS = (0.0, 0.35, -0.35, 0.7, -0.7, 1.0, -1.0)

_DISTANCES = (4.0, 7.0, 11.0, 16.0, 22.0, 29.0, 37.0, 46.0)
_ANGLES = tuple(math.tau * (step + 0.5) / 16 for step in range(16))
#: What it costs a label to stand so near to what it speaks of that the leader is hardly seen, and
#: to point to the next of the places offered.
_SHORT, _TOO_SHORT, _NEXT_TARGET = 20.0, 2.0, 3.0
#: Labels anywhere on paper are tried so far apart, for so many targets.
_GRID, _FEW_TARGETS = 3.6, 2


def beside(
    targets: Sequence[Place],
    text: str,
    look: LabelLook,
    cost: float,
    paper: Rect,
    avoid: Sequence[Rect] = (),
) -> Iterator[MarkPlace]:
    """The label round the ``targets`` at growing distances, then anywhere on paper, then on
    ``avoid``: areas where it would be taken for that of something else."""
    line = block([(text, look)])
    half = line.ground.width / 2
    misleading = []
    rings = (_round(targets, half, distance) for distance in _DISTANCES)
    for places in chain(rings, [_all_over(paper, targets[:_FEW_TARGETS])]):
        for length, at, ground, leader in sorted(_led(line.ground, places, look.circled)):
            over = MISLEADING * sum(area.meets(ground) for area in avoid)
            over += FAULT * ground.grown(CLEARANCE).holds(leader[1])
            kinds = {"is_circle": look.circled, "is_free": not look.circled}
            placing = MarkPlace(ground, cost + length + over, line.texts, leader, at, **kinds)
            if over:
                misleading.append(placing)
            else:
                yield placing
    yield from sorted(misleading, key=lambda placing: placing.cost)


#: The middle of a label, what it speaks of, and what it costs that it is not another place.
_Way = tuple[Place, Place, float]


def _round(targets: Sequence[Place], half: float, distance: float) -> Iterator[_Way]:
    """The middles of labels that start, or end, at a distance from a target."""
    for (index, (x, y)), angle in product(enumerate(targets), _ANGLES):
        dx, dy = distance * math.cos(angle), distance * math.sin(angle)
        yield (x + dx + math.copysign(half, dx), y + dy), (x, y), index * _NEXT_TARGET


def _all_over(paper: Rect, targets: Sequence[Place]) -> Iterator[_Way]:
    """Places in rows and columns all over the paper, for each target."""
    for column, row in product(range(int(paper.width / _GRID)), range(int(paper.height / _GRID))):
        at = paper.left + (column + 0.5) * _GRID, paper.bottom + (row + 0.5) * _GRID
        for index, target in enumerate(targets):
            yield at, target, index * _NEXT_TARGET


def _led(
    ink: Rect, ways: Iterable[_Way], is_circle: bool
) -> Iterator[tuple[float, Place, Rect, Leader]]:
    """For a label centred on each place: how long its leader is, dearer if it is too short to be
    seen; the place; what the label takes there; and the leader."""
    for centre, target, dearer in ways:
        ground = ink.moved(*centre)
        start = leader_start(ground, target)
        if is_circle:
            start = part_way(centre, target, BADGE / max(math.dist(centre, target), BADGE))
        length = math.dist(start, target)
        yield length + dearer + _SHORT * (length < _TOO_SHORT), centre, ground, (start, target)


def leader_start(rect: Rect, target: Place) -> Place:
    """The place beside the label nearest to the target: the middle of one of its sides."""
    x, y = rect.centre
    if target[0] < rect.left - 0.5:
        return rect.left - 0.5, y
    if target[0] > rect.right + 0.5:
        return rect.right + 0.5, y
    if target[1] > y:
        return x, rect.top + 0.5
    return x, rect.bottom - 0.5


@dataclass(frozen=True)
class NoteColumn:
    """Where notes stand on the right of a picture: at what x their leaders start, the paper, how
    they are written, and from one to the next."""

    x: float
    paper: Rect
    look: LabelLook
    pitch: float

    def note(self, text: str, y: float, end: Place, cost: float) -> MarkPlace:
        """A note at a height, with its leader."""
        look = self.look
        label = level_text(text, self.x + _GAP, y, look.size_pt, "start", bold=look.bold)
        # Half of the pitch: notes a pitch apart are clear of each other.
        half = (self.pitch - CLEARANCE) / 2 - 0.01
        left, _, right, _ = inked_rect(label)
        return MarkPlace(Rect(left, y - half, right, y + half), cost, (label,), ((self.x, y), end))


#: From the end of a leader to its note.
_GAP = 0.6
#: What it costs a leader of a note in a column to be a mm longer, and a mm off the level.
_LONG, _SLANTED = 0.1, 0.5
_SLANTS = tuple(step * sign * 1.5 for step in range(20) for sign in (1, -1))[1:]


def _way_cost(start: Place, end: Place) -> float:
    """What it costs the leader of a note in a column to run from a place to another."""
    return _LONG * abs(start[0] - end[0]) + _SLANTED * abs(start[1] - end[1])


def in_column(
    ends: Sequence[tuple[Place, float]], text: str, column: NoteColumn, cost: float = 0.0
) -> Iterator[MarkPlace]:
    """A note in the column, with its leader to one of ``ends``, each with what it costs."""
    paper, half = column.paper, column.pitch / 2
    if not paper.contains(column.note(text, paper.centre[1], paper.centre, cost).clear):
        return
    found = []
    for (end, dearer), slant in product(ends, _SLANTS):
        y = end[1] + slant
        if paper.bottom + half <= y <= paper.top - half:
            found.append((cost + dearer + _way_cost((column.x, y), end), y, end))
    for whole, y, end in sorted(found):
        yield column.note(text, y, end, whole)


_COLUMN_GAP = 5.0


def margin_room(texts: Sequence[str]) -> float:
    """How much room beside a picture a column of these labels needs."""
    return max((text_width(text, NOTE_PT) for text in texts), default=0.0) + _COLUMN_GAP + 1.0
