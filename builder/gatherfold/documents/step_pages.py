"""Which steps share a page, and how large their drawings may be so that the pages are well filled.

In: the steps, each with a way to draw it in any room, and how high its words are.  Out: their
scenes.  A step never breaks, so a page ends where the next step has no room; the drawings of a page
grow together as far as what is left of it allows.  Heights of words are estimates for the pattern's
own type: where a layout sets larger type its pages break earlier, and nothing is lost.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from gatherfold.counts import step_hazards
from gatherfold.documents.page import Page
from gatherfold.documents.steps_text import step_html, things_at_hand, tools_at_hand
from gatherfold.drawings import Scene, Sized, text_width, words_of
from gatherfold.model import Step
from gatherfold.plans import strip_plan
from gatherfold.resolve import ResolvedDesign, named_strips

#: The drawings of one step at a scale of the standard rooms, with their keys; and about how large
#: they will come out at one.
Draw = Callable[[float], list[tuple[str, Scene]]]
Expect = Callable[[float], Sequence[Sized]]

#: Of the standard rooms, the largest first; down to 1 a page may grow, the others are for steps
#: that share a page with another only when they are a little smaller.
_SCALES = (1.7, 1.6, 1.5, 1.4, 1.3, 1.2, 1.1, 1.0, 0.9, 0.8)
#: For a step with a page to itself that they leave emptier than this share.
_ALONE, _WELL_FILLED = (2.6, 2.0), 0.75
_TO_SHARE = tuple(scale for scale in _SCALES if scale <= 1.0)

# What the pattern's stylesheet makes of a step, in mm and points.
_TEXT_PT, _TEXT_LINE, _PARAGRAPH = 10.5, 5.2, 2.4
_SMALL_PT, _SMALL_LINE = 10.0, 5.0
_HEADING, _MESSAGE, _BELOW = 13.0, 8.5, 6.5
_DIVISION_HEAD, _CUT_LINE = 14.0, 4.4
#: The part's own heading and the note below it, on its first page.
_PART_HEADING = 24.0
_BETWEEN_DRAWINGS, _BELOW_DRAWINGS = 5.5, 2.5
#: A drawing no wider than this share of the page stands beside its text when it is alone.
WIDEST_BESIDE = 0.56
_BESIDE_GAP = 5.0
#: Left over at the foot of a page, because heights are estimates.
_SPARE = 6.0


@dataclass(frozen=True)
class StepWords:
    """The words of a step: ``head`` is the height of what stands above its drawings, ``text`` its
    paragraphs, ``below`` the height of what follows them."""

    head: float
    text: tuple[str, ...]
    below: float

    def height(self, sizes: Sequence[Sized], width: float) -> float:
        """How high the step comes out with drawings of these sizes on a page of this width."""
        if len(sizes) == 1 and sizes[0][0] <= WIDEST_BESIDE * width:
            beside = width - sizes[0][0] - _BESIDE_GAP
            return self.head + max(sizes[0][1], self._text(beside) + self.below)
        return self.head + _rows(sizes, width) + self._text(width) + self.below

    def _text(self, width: float) -> float:
        lines = (_lines(each, _TEXT_PT, width) for each in self.text)
        return sum(count * _TEXT_LINE + _PARAGRAPH for count in lines)


@dataclass(frozen=True, eq=False)
class StepOnPage:
    """A step, its words, how to draw it, and what is known of its drawings without that."""

    words: StepWords
    draw: Draw
    expect: Expect
    #: Its drawings at the scales at which they are drawn by now.
    by_scale: dict[float, list[tuple[str, Scene]]] = field(default_factory=dict)

    def drawn(self, scale: float) -> list[tuple[str, Scene]]:
        if scale not in self.by_scale:
            self.by_scale[scale] = self.draw(scale)
        return self.by_scale[scale]

    def height(self, scale: float, width: float) -> float:
        """How high the step is with its drawings at a scale: exactly where they are drawn."""
        return self.words.height(self.sizes(scale, width), width)

    def sizes(self, scale: float, width: float) -> tuple[Sized, ...]:
        """How large the drawings are at a scale, or about so: as expected, and other than that as
        they are at the nearest scale at which they are drawn."""
        expected = self.expect(scale)
        near = min(self.by_scale, key=lambda other: abs(other - scale), default=None)
        if near is None:
            return tuple(expected)
        known, then = sizes_of(self.by_scale[near]), self.expect(near)
        if near == scale:
            return known
        if not len(known) == len(then) == len(expected):
            return tuple(expected)
        found = (map(_corrected, *each) for each in zip(expected, known, then, strict=True))
        return tuple((min(wide, width), high) for wide, high in found)


def _corrected(expected: float, known: float, then: float) -> float:
    """An expected size by what came out elsewhere instead of what was expected ``then``: lettering
    adds as much at any scale; what the work does not fill is a share of it."""
    return expected + known - then if known > then else expected * known / then


def sizes_of(drawn: Sequence[tuple[str, Scene]]) -> tuple[Sized, ...]:
    return tuple((scene.width, scene.height) for _, scene in drawn)


@dataclass(frozen=True)
class FilledPage:
    """The steps of one page, the height that it leaves them, and their drawings."""

    steps: tuple[StepOnPage, ...]
    room: float
    drawn: list[tuple[str, Scene]]


def shared_pages(steps: Sequence[StepOnPage], width: float, height: float) -> Iterator[FilledPage]:
    """The steps page by page, with drawings so large that they fill pages of this size within the
    margins.  Where what seemed to fit comes out too high at every scale, the last one goes on to
    the next page, or all of them would be small on pages of their own."""
    waiting = tuple(steps)
    room = height - _SPARE - _PART_HEADING
    while waiting:
        heights = (min(each.height(s, width) for s in _TO_SHARE) for each in waiting)
        page = waiting[: _that_fit(heights, room)]
        drawn = _grown(page, width, room)
        while drawn is None and len(page) > 1:
            page = page[:-1]
            drawn = _grown(page, width, room)
        if drawn is None:
            drawn = [each for step in page for each in step.drawn(_SCALES[-1])]
        yield FilledPage(page, room, drawn)
        waiting, room = waiting[len(page) :], height - _SPARE


def on_first_page(heights: Sequence[float], height: float) -> int:
    """How many steps of these heights stand on the part's first page: one at least."""
    return _that_fit(heights, height - _SPARE - _PART_HEADING)


def _that_fit(heights: Iterable[float], room: float) -> int:
    """How many steps of these heights fit in a room one after the other: the first in any case."""
    count = 0
    for height in heights:
        if count and height > room:
            break
        count, room = count + 1, room - height
    return count


def _grown(page: Sequence[StepOnPage], width: float, room: float) -> list[tuple[str, Scene]] | None:
    """The drawings of one page at the largest scale at which all its steps fit; None if they do
    at none.

    Drawing takes time: one step after the other, those of which least is known first, is drawn at
    the largest scale at which all should fit by what is known by then.
    """
    while True:
        fitting = (s for s in _SCALES if sum(step.height(s, width) for step in page) <= room)
        scale = next(fitting, None)
        if scale is None:
            return None
        if len(page) == 1:
            scale = _alone(page[0], scale, width, room)
        undrawn = [step for step in page if scale not in step.by_scale]
        if not undrawn:
            return [each for step in page for each in step.drawn(scale)]
        min(undrawn, key=lambda step: len(step.by_scale)).drawn(scale)


def _alone(step: StepOnPage, scale: float, width: float, room: float) -> float:
    """The scale for a step that has a page to itself: more than those that share one ever have
    where that leaves much of it empty, if its drawings come out larger: several may have to stand
    in other rows then."""
    if step.height(scale, width) >= _WELL_FILLED * room:
        return scale
    area = _area(step.sizes(scale, width))
    larger = (s for s in _ALONE if step.height(s, width) <= room)
    return next((s for s in larger if _area(step.sizes(s, width)) > area), scale)


def _area(sizes: Iterable[Sized]) -> float:
    return sum(wide * high for wide, high in sizes)


def words_of_step(step: Step, resolved: ResolvedDesign, page: Page) -> StepWords:
    """What a step of the pattern says beside its drawings; a photograph of hers, as high as its
    room at most, stands above them."""
    wording = words_of(resolved)
    things = (*things_at_hand(step, resolved, wording), *tools_at_hand(step, resolved, wording))
    need = f"{wording.phrase('at_hand')} {', '.join(things)}"
    cuts = [
        len(strip_plan(resolved.strips[key]).cuts) for key in named_strips(step, "divide", resolved)
    ]
    head = _HEADING + _lines(need, _SMALL_PT, float(page.width)) * _SMALL_LINE + _PARAGRAPH
    html = step_html(step, resolved, wording, page.parts)
    photograph = page.rooms["picture"][1] + _BELOW_DRAWINGS if step.picture else 0.0
    paragraphs = [each.striptags() for each in html.split("</p>")]
    below = sum(_DIVISION_HEAD + 2 * count * _CUT_LINE for count in cuts)
    return StepWords(
        head + _MESSAGE * len(step_hazards(step, resolved)) + photograph,
        tuple(filter(None, paragraphs)),
        below + _BELOW,
    )


def _lines(text: str, size_pt: float, width: float) -> int:
    """How many lines a text takes, word by word."""
    space = text_width(" ", size_pt)
    count, used = 1, 0.0
    for word in text.split():
        length = text_width(word, size_pt)
        if used and used + space + length > width:
            count, used = count + 1, 0.0
        used += length + (space if used else 0.0)
    return count


def _rows(sizes: Sequence[Sized], width: float) -> float:
    """How high drawings are that follow one another in rows, with the room below each row."""
    rows = height_of_rows(sizes, width, _BETWEEN_DRAWINGS, _BELOW_DRAWINGS)
    return rows + (_BELOW_DRAWINGS if sizes else 0.0)


def height_of_rows(sizes: Iterable[Sized], width: float, beside: float, below: float) -> float:
    """How high drawings of these sizes are that follow one another in rows of a ``width``, so far
    apart, in mm."""
    total, across, highest = 0.0, 0.0, 0.0
    for wide, high in sizes:
        if across and across + wide > width:
            total += highest + below
            across, highest = 0.0, 0.0
        across += wide + beside
        highest = max(highest, high)
    return total + highest
