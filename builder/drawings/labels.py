"""Placing labels: try places, score what they would touch, keep the best.

A label stands inside its part where it fits; otherwise it goes where there is room and a leader
joins it to the part.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property, partial

from builder.drawings.canvas import CLEARANCE, DOT, Canvas
from builder.drawings.dimensions import spread
from builder.drawings.lettering import (
    capital_height,
    centred_text,
    inked_rect,
    level_text,
    text_width,
)
from builder.drawings.plane import Place, Rect, segments_cross
from builder.drawings.scene import Anchor, Text
from builder.drawings.styles import BLACK, SMALLEST_LETTERING_PT, Fill

NOTE_PT = 7.5
_GRID = 1.8


def inner_label(
    canvas: Canvas,
    box: Rect,
    texts: Sequence[str],
    size_pt: float,
    *,
    bold: bool = False,
    boxed: bool = False,
    colour: str = BLACK,
    may_turn: bool = True,
    clear_of: Sequence[Rect] = (),
) -> bool:
    """Write the first of ``texts`` that fits free inside ``box``; level first, then upright.

    ``clear_of`` holds parts of the box that lie under something else.
    """
    for text in texts:
        for size in _sizes(size_pt):
            for rotation in (0, 90) if may_turn else (0,):
                style = _Style(size, rotation, bold, boxed, colour)
                label = _inside(canvas, box, text, style, clear_of)
                if label is not None:
                    canvas.text(label)
                    return True
    return False


def _sizes(size_pt: float) -> Iterator[float]:
    yield size_pt
    if size_pt > SMALLEST_LETTERING_PT:
        yield SMALLEST_LETTERING_PT


@dataclass(frozen=True)
class _Style:
    size: float
    rotation: int
    bold: bool
    boxed: bool
    colour: str


def _inside(
    canvas: Canvas, box: Rect, text: str, style: _Style, clear_of: Sequence[Rect]
) -> Text | None:
    along, across = text_width(text, style.size, style.bold), capital_height(style.size)
    width, height = (along, across) if style.rotation == 0 else (across, along)
    for x, y in places_within(box, width, height):
        # Rough, and enough to discard most places: capitals only, no descenders.
        rough = Rect(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
        if any(cover.meets(rough) for cover in clear_of) or canvas.is_taken(rough):
            continue
        label = centred_text(
            text,
            x,
            y,
            style.size,
            rotation=style.rotation,
            bold=style.bold,
            boxed=style.boxed,
            colour=style.colour,
        )
        rect = inked_rect(label)
        if any(cover.meets(rect) for cover in clear_of):
            continue
        if canvas.is_free(rect):
            return label
    return None


def places_within(box: Rect, width: float, height: float) -> Iterator[Place]:
    """Where the middle of a label can lie: that of the box first, then places nearer the borders.
    None if the label does not fit."""
    reach_x = (box.width - width) / 2 - CLEARANCE
    reach_y = (box.height - height) / 2 - CLEARANCE
    if reach_x < 0 or reach_y < 0:
        return
    x, y = box.centre
    for share_y in (0.0, 0.25, -0.25, 0.5, -0.5, 0.75, -0.75, 1.0, -1.0):
        for share_x in (0.0, 0.35, -0.35, 0.7, -0.7, 1.0, -1.0):
            yield x + share_x * reach_x, y + share_y * reach_y


def note(
    canvas: Canvas,
    targets: Sequence[Place],
    text: str,
    *,
    size_pt: float = NOTE_PT,
    bold: bool = False,
    boxed: bool = False,
    avoid: Sequence[Rect] = (),
    of_edge: bool = False,
) -> None:
    """Write ``text`` in the best free place and join it by a leader to one of ``targets``.

    ``targets`` are places on the part it speaks of, the best first; ``avoid`` holds areas where
    the label would be taken for that of something else.  What is said ``of_edge`` has its targets
    on a line; others keep off lines where they can.
    """
    clear = [place for place in targets if canvas.is_clear_of_words(place)]
    free = [place for place in clear if canvas.is_clear_of_marks(place)]
    unclearness = canvas.words_beside if of_edge else partial(_unclearness, canvas)
    tried = sorted(free or clear or targets, key=unclearness)[:_MOST_TARGETS]
    look = _Look(text, size_pt, bold, boxed)
    cost, best = math.inf, (tried[0], tried[0], tried[0])
    for target, places, enough in _searches(canvas, tried, look):
        for place in places:
            if _least_length(look, place, target) >= cost:
                continue
            scored = _scored(canvas, look.rect.moved(*place), target, avoid, cost)
            if scored is not None:
                cost, best = scored[0], (place, scored[1], target)
        if cost < enough:
            break
    assert cost < math.inf
    place, start, target = best
    canvas.misplaced += cost >= _MISLEADING
    canvas.text(look.at(*place))
    pointed_leader(canvas, start, target)


_MOST_TARGETS = 6


def _unclearness(canvas: Canvas, place: Place) -> tuple[int, int]:
    """How many words the end of a leader here would seem to belong to, and lines that its dot would
    touch: it could point at one of these."""
    return canvas.words_beside(place), canvas.lines_under(place)


@dataclass(frozen=True)
class _Look:
    """What a note says and how; it is placed by its centre."""

    text: str
    size: float
    bold: bool
    boxed: bool

    @cached_property
    def half(self) -> float:
        return text_width(self.text, self.size, self.bold) / 2

    @cached_property
    def rect(self) -> Rect:
        """What it takes when it is centred on the origin."""
        return inked_rect(self.at(0.0, 0.0))

    def at(self, x: float, y: float) -> Text:
        """The note with its capitals centred on a place."""
        return centred_text(self.text, x, y, self.size, bold=self.bold, boxed=self.boxed)


def _least_length(look: _Look, place: Place, target: Place) -> float:
    """At least so long is the leader of a note centred on a place: quickly found, and enough to
    rule out most of the paper."""
    across = abs(target[0] - place[0]) - look.half - _BESIDE_WORDS
    up = abs(target[1] - place[1]) - _OVER_WORDS
    return max(across, up)


#: Where a leader starts, in mm: beside the lettering, and above or below it at the most.
_BESIDE_WORDS, _OVER_WORDS = 1.0, 4.0


def _searches(
    canvas: Canvas, targets: Sequence[Place], look: _Look
) -> Iterator[tuple[Place, Iterator[Place], float]]:
    """Places round each target first, then all over the paper for each, each with the cost that is
    low enough to end the search.  Many places are looked at only where all of few touch
    something."""
    for target in targets:
        yield target, _near(target, look), _GOOD
    *others, last = targets[:3]
    for target in others:
        yield target, _anywhere(canvas, look, 2 * _GRID), _GOOD
    yield last, _anywhere(canvas, look, 2 * _GRID), _BLOCKED
    for target in targets[:3]:
        yield target, _anywhere(canvas, look, _GRID), _GOOD


_NEIGHBOURS = 2.2
_BLOCKED = 1000.0
_MISLEADING = 300.0
_GOOD = 60.0
_DOT_ANGLES = tuple(math.tau * step / 10 for step in range(10))


def _near(target: Place, look: _Look) -> Iterator[Place]:
    """Places round the target at growing distances."""
    half = look.half
    for distance in (4.0, 7.0, 11.0, 16.0):
        for step in range(16):
            angle = math.tau * (step + 0.5) / 16
            dx, dy = math.cos(angle) * distance, math.sin(angle) * distance
            shift = half if dx > 0 else -half
            yield target[0] + dx + shift, target[1] + dy


def _anywhere(canvas: Canvas, look: _Look, pitch: float) -> Iterator[Place]:
    """Places all over the paper."""
    half = look.half
    frame = canvas.frame
    for row in range(int(frame.height / pitch)):
        for column in range(int(frame.width / pitch)):
            x = frame.left + half + column * pitch
            if x + half <= frame.right:
                yield x, frame.bottom + (row + 0.6) * pitch


def _scored(
    canvas: Canvas, rect: Rect, target: Place, shunned: Sequence[Rect], limit: float
) -> tuple[float, Place] | None:
    """What a label in ``rect`` costs, with the place where its leader starts; None if that is not
    below ``limit``.

    The cheapest questions are asked first: most places are too far off to need the others.
    """
    start = leader_start(rect, target)
    length = math.hypot(start[0] - target[0], start[1] - target[1])
    cost = length + (20.0 if length < 2.0 else 0.0)
    if cost >= limit:
        return None
    if not canvas.frame.contains(rect.grown(CLEARANCE)):
        cost += 5 * _BLOCKED
        return (cost, start) if cost < limit else None
    if rect.grown(CLEARANCE).holds(target):
        # It would cover what it points at.
        cost += _BLOCKED
    cost += _MISLEADING * sum(1 for area in shunned if area.meets(rect))
    near = canvas.neighbours(rect, _NEIGHBOURS)
    cost += 12.0 * near
    if cost >= limit:
        return None
    enough = min(int((limit - cost) / _BLOCKED) + 1, 3) if limit < math.inf else 3
    # Words that it touches are among its neighbours.
    touched = canvas.collisions if near else canvas.lines_touched
    cost += _BLOCKED * touched(rect, CLEARANCE, enough)
    if cost >= limit:
        return None
    cost += _MISLEADING * canvas.words_beside(target)
    words, lines = canvas.leader_faults(start, target)
    cost += _BLOCKED * words + 5.0 * lines
    return (cost, start) if cost < limit else None


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


COLUMN_GAP = 5.0
COLUMN_PITCH = 3.6


def margin_room(texts: Sequence[str]) -> float:
    """How much room beside a picture a column of these labels needs."""
    return max((text_width(text, NOTE_PT) for text in texts), default=0.0) + COLUMN_GAP + 1.0


def margin_notes(canvas: Canvas, frame: Rect, notes: Sequence[tuple[Place, str]]) -> None:
    """Label places inside ``frame`` from columns on its left and right; leaders never cross."""
    by_x = sorted(notes, key=lambda item: item[0][0])
    middle = (len(by_x) + 1) // 2
    for column, is_left in ((by_x[:middle], True), (by_x[middle:], False)):
        ordered = sorted(column, key=lambda item: item[0][1])
        heights = spread(
            [target[1] for target, _ in ordered],
            [COLUMN_PITCH] * len(ordered),
            canvas.frame.bottom + COLUMN_PITCH / 2,
            canvas.frame.top - COLUMN_PITCH / 2,
        )
        x = frame.left - COLUMN_GAP if is_left else frame.right + COLUMN_GAP
        starts = [(x, y) for y in heights]
        uncross(ordered, starts)
        for (target, text), (_, y) in zip(ordered, starts, strict=True):
            anchor: Anchor = "end" if is_left else "start"
            canvas.text(level_text(text, x + (-0.6 if is_left else 0.6), y, NOTE_PT, anchor))
            pointed_leader(canvas, (x, y), target)


def uncross(notes: list[tuple[Place, str]], starts: Sequence[Place]) -> None:
    """Swap labels of leaders that cross; each swap shortens them, so this ends."""
    is_settled = False
    while not is_settled:
        is_settled = True
        for i in range(len(notes)):
            for j in range(i):
                if segments_cross(starts[i], notes[i][0], starts[j], notes[j][0]):
                    notes[i], notes[j] = notes[j], notes[i]
                    is_settled = False


def pointed_leader(canvas: Canvas, start: Place, target: Place) -> None:
    """A leader that ends in a dot."""
    canvas.leader(start, target)
    x, y = target
    ring = [(x + DOT * math.cos(a), y + DOT * math.sin(a)) for a in _DOT_ANGLES]
    canvas.area([ring], Fill.INK)
