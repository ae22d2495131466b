"""Closures in detail: a section through the closed stack where the closing parts meet.

In: a resolved design and a closure, the room on paper.  Out: a scene: every layer in true order,
lengths along the cut to scale, thickness not to scale, each layer named; the closing part drawn
in wide lines, with the brad, the magnets or the band that does the work, glue hatched.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import assert_never

from builder.drawings.break_lines import wave
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.closed_stack import Bar, Cut
from builder.drawings.closure_cuts import Closure, closure_of, pierced_bars
from builder.drawings.hatching import GLUE
from builder.drawings.labels import NOTE_PT, margin_notes, margin_room
from builder.drawings.layers_apart import held_words
from builder.drawings.lettering import text_width
from builder.drawings.margin_targets import chosen_targets
from builder.drawings.plane import Place, Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.stock_tints import drawing_tints
from builder.drawings.styles import GREY_TEXT, Fill, Line
from builder.drawings.wording import named, words_of
from builder.fastenings import SectionShape
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening

_TALLEST_BAR, _LEAST_BAR = 3.4, 1.4
#: White between one layer and the next, as a share of a layer.
_GAP = 0.35
_BEND_STEP, _BEND_WIDTH = 1.3, 0.8
_LINE_PITCH = 3.8
_CAPTION = 5.0 + _LINE_PITCH
#: The words above and below the stack.
_SIDE_WORDS = 3.8
#: A layer that ends so near to the end of what is shown, in mm, goes on there.
_CLIPPED = 0.02
_HEAD, _HEAD_HALF, _SHANK_HALF = 1.2, 2.6, 0.6
_LEGS, _LEGS_HALF = 0.6, 4.2
_RIBBON, _RIBBON_BEYOND = 0.7, 6.0


@dataclass(frozen=True)
class _Paper:
    """From the cut to paper: ``scale`` along it, ``pitch`` from one level to the next."""

    left: float
    bottom: float
    scale: float
    pitch: float
    low: float

    def x(self, place: float) -> float:
        return self.left + (place - self.low) * self.scale

    def rect(self, bar: Bar) -> Rect:
        base = self.bottom + bar.level * self.pitch
        return Rect(self.x(bar.span[0]), base, self.x(bar.span[1]), base + self.pitch / (1 + _GAP))

    def middle(self, level: int) -> float:
        return self.bottom + (level + 0.5 / (1 + _GAP)) * self.pitch


def closure_scene(resolved: ResolvedDesign, key: str, max_width: float, max_height: float) -> Scene:
    """The section through one closure, within ``max_width`` x ``max_height`` mm."""
    closure = closure_of(resolved, key)
    canvas = Canvas(max_width, max_height)
    names = [_name(resolved, bar) for bar in closure.stack.bars]
    ends = [words for fastening, _ in closure.fastenings for words in [fastening.source.title]]
    side = margin_room([*names, *ends]) + MARGIN
    paper = _paper(closure, Rect(side, 0.0, max_width - side, max_height))
    _draw_bends(canvas, closure, paper)
    _draw_bars(canvas, resolved, closure, paper)
    _draw_glue(canvas, closure, paper)
    _draw_breaks(canvas, closure, paper)
    notes = _targets(resolved, closure, paper)
    for fastening, at in closure.fastenings:
        marks = _draw_fastening(canvas, resolved, closure, paper, fastening, at)
        notes += [((place,), text) for place, text in marks]
    left, right = paper.x(closure.cut.low), paper.x(closure.cut.high)
    frame = Rect(left, paper.bottom, right, paper.bottom + closure.stack.levels * paper.pitch)
    _draw_sides(canvas, resolved, frame)
    margin_notes(canvas, frame, chosen_targets(canvas.frame, frame, notes))
    _caption(canvas, resolved, closure, frame)
    wording = words_of(resolved)
    title = wording.phrase("draw_closed_title", title=closure.title)
    return canvas.scene(f"closure-{key}", title, _words(resolved, closure))


def _paper(closure: Closure, room: Rect) -> _Paper:
    levels, cut = closure.stack.levels, closure.cut
    bends = len(closure.stack.bends) * _BEND_STEP
    width = room.width - 2 * bends
    scale = min(width / (cut.high - cut.low), 3.0)
    height = room.height - _CAPTION - 2 * (_HEAD + 2.0 + _SIDE_WORDS)
    pitch = min(max(height / levels, _LEAST_BAR), _TALLEST_BAR * (1 + _GAP))
    left = room.centre[0] - scale * (cut.high - cut.low) / 2
    return _Paper(left, _CAPTION + _HEAD + 2.0 + _SIDE_WORDS, scale, pitch, cut.low)


def _name(resolved: ResolvedDesign, bar: Bar) -> str:
    """A layer, its section if it has several, and how it is held if it is not glued all over."""
    part = "" if len(bar.piece.faces) == 1 else f" ({bar.face[1].replace('_', ' ')})"
    is_held = bar.face[1] == bar.piece.by and not bar.piece.glue.is_all_over
    held = held_words(resolved, bar.piece) if is_held else ""
    return f"{named(bar.piece)}{part}, {held}" if held else f"{named(bar.piece)}{part}"


def _targets(
    resolved: ResolvedDesign, closure: Closure, paper: _Paper
) -> list[tuple[tuple[Place, ...], str]]:
    """Where each name may point: to the ends of the bars, left and right in turn, or elsewhere
    along them."""
    found = []
    for bar in closure.stack.bars:
        rect = paper.rect(bar)
        inset = min(2.0 + 1.2 * (bar.level % 2), rect.width / 2)
        is_left = bar.level % 2 == 0
        others = [b for b in closure.stack.bars if b.level == bar.level and b is not bar]
        if others:
            is_left = all(bar.span[0] <= other.span[0] for other in others)
        ends = [rect.left + inset, rect.right - inset]
        shares = (0.12, 0.25, 0.4, 0.6, 0.75, 0.88)
        xs = (*(ends if is_left else reversed(ends)), *(rect.left + s * rect.width for s in shares))
        found.append((tuple((x, rect.centre[1]) for x in xs), _name(resolved, bar)))
    return found


def _draw_bars(canvas: Canvas, resolved: ResolvedDesign, closure: Closure, paper: _Paper) -> None:
    tints = drawing_tints(resolved)
    for bar in closure.stack.bars:
        rect = paper.rect(bar)
        is_part = bar.piece.key == closure.part
        canvas.area([rect.ring], tints.fill(bar.piece, True))
        line = Line.VISIBLE if is_part else Line.FAINT
        canvas.strokes(_edges(closure.cut, bar, rect), line, bar.piece.key)


def _edges(cut: Cut, bar: Bar, rect: Rect) -> list[tuple[Place, ...]]:
    """The edges of a layer, without the ends where it goes on beyond what is shown."""
    goes_on = bar.span[0] <= cut.low + _CLIPPED, bar.span[1] >= cut.high - _CLIPPED
    lower = (rect.left, rect.bottom), (rect.right, rect.bottom)
    upper = (rect.right, rect.top), (rect.left, rect.top)
    if goes_on == (False, False):
        return [(*lower, *upper, lower[0])]
    if goes_on == (True, True):
        return [lower, upper]
    return [(*lower, *upper)] if goes_on[0] else [(*upper, *lower)]


def _draw_glue(canvas: Canvas, closure: Closure, paper: _Paper) -> None:
    """Short strokes between a layer and what it is glued to."""
    for glued in closure.stack.glued:
        rect = paper.rect(glued.bar)
        edge = rect.top if glued.side > 0 else rect.bottom
        other = edge + glued.side * (paper.pitch - rect.height)
        left, right = (paper.x(place) for place in glued.span)
        ring = Rect(left, min(edge, other), right, max(edge, other)).ring
        canvas.hatch(GLUE, Line.GLUE, [ring])


def _draw_breaks(canvas: Canvas, closure: Closure, paper: _Paper) -> None:
    """A wavy line at either end where layers go on beyond what is shown."""
    cut, bars = closure.cut, closure.stack.bars
    for at, cut_off in (
        (cut.low, [bar for bar in bars if bar.span[0] <= cut.low + _CLIPPED]),
        (cut.high, [bar for bar in bars if bar.span[1] >= cut.high - _CLIPPED]),
    ):
        if cut_off:
            rects = [paper.rect(bar) for bar in cut_off]
            low, high = min(r.bottom for r in rects), max(r.top for r in rects)
            run = wave((paper.x(at), low), (paper.x(at), high))
            canvas.strokes([run], Line.DIMENSION, "break", is_obstacle=False)


def _draw_sides(canvas: Canvas, resolved: ResolvedDesign, frame: Rect) -> None:
    """Which outside of the closed work each end of the stack is."""
    wording = words_of(resolved)
    for name, y in (
        ("draw_outside_front", frame.top + _HEAD + 1.6),
        ("draw_outside_back", frame.bottom - _HEAD - 3.6),
    ):
        text = Text(wording.phrase(name), frame.centre[0], y, NOTE_PT, colour=GREY_TEXT)
        canvas.text(text)


def _caption(canvas: Canvas, resolved: ResolvedDesign, closure: Closure, frame: Rect) -> None:
    """Where the section is taken, which way it looks, and what is not as in life."""
    wording, bars = words_of(resolved), closure.stack.bars
    lines = [_place_words(resolved, closure), wording.phrase("draw_closed_note")]
    if closure.stack.glued:
        lines[1] += f" · {wording.phrase('draw_hatched_between')}"
    cut = closure.cut
    if any(b.span[0] <= cut.low + _CLIPPED or b.span[1] >= cut.high - _CLIPPED for b in bars):
        lines[0] += f" · {wording.phrase('draw_wavy')}"
    for number, line in enumerate(reversed(lines)):
        half = text_width(line, NOTE_PT) / 2
        x = min(max(frame.centre[0], half), max(canvas.frame.right - half, half))
        canvas.text(Text(line, x, 1.0 + number * _LINE_PITCH, NOTE_PT, colour=GREY_TEXT))


def _place_words(resolved: ResolvedDesign, closure: Closure) -> str:
    wording = words_of(resolved)
    way = wording.phrase("draw_way_up" if closure.cut.along == 0 else "draw_way_left")
    return wording.phrase("draw_cut_through", title=closure.title, way=way)


def _draw_bends(canvas: Canvas, closure: Closure, paper: _Paper) -> None:
    """Upright bars beside the ends that they join, the longer outside the shorter."""
    for outward in (-1, 1):
        bends = sorted(
            (bend for bend in closure.stack.bends if bend.outward == outward),
            key=lambda bend: bend.levels[1] - bend.levels[0],
        )
        for number, bend in enumerate(bends):
            x = paper.x(bend.place) + outward * (0.4 + number * _BEND_STEP)
            low, high = (paper.middle(level) for level in bend.levels)
            start = paper.x(bend.place) - outward * 0.3
            run = ((start, low), (x + outward * _BEND_WIDTH, low))
            top = ((x + outward * _BEND_WIDTH, high), (start, high))
            is_part = bend.piece.key == closure.part
            line = Line.VISIBLE if is_part else Line.FAINT
            canvas.strokes([(*run, *top)], line, bend.piece.key)


def _draw_fastening(
    canvas: Canvas,
    resolved: ResolvedDesign,
    closure: Closure,
    paper: _Paper,
    fastening: ResolvedFastening,
    at: float,
) -> list[tuple[Place, str]]:
    """A shank through its layers, or two halves; what to write, and where it points."""
    x, bars = paper.x(at), pierced_bars(closure, fastening, at)
    title = fastening.source.title
    section = fastening.source.fastener.section
    match section:
        case SectionShape.PAIR:
            return [(_draw_magnets(canvas, paper, bars, x), title)]
        case SectionShape.HEAD_AND_LEGS | SectionShape.TUBE:
            return _draw_shank(canvas, resolved, paper, bars, fastening, x)
        case _:
            assert_never(section)


def _draw_shank(
    canvas: Canvas,
    resolved: ResolvedDesign,
    paper: _Paper,
    bars: Sequence[Bar],
    fastening: ResolvedFastening,
    x: float,
) -> list[tuple[Place, str]]:
    """A head on its first layer, a shank through all, legs behind the last."""
    title = fastening.source.title
    head = next(bar for bar in bars if bar.piece.key == fastening.source.through[0])
    is_front = head is bars[-1]
    notes = []
    ribbon = resolved.fastenings.get(fastening.source.holds or "")
    if ribbon is not None:
        notes.append((_draw_ribbon(canvas, paper, head, is_front, x), ribbon.source.title))
    top, bottom = paper.rect(bars[-1]).top, paper.rect(bars[0]).bottom
    heads, legs = (top, bottom - _LEGS) if is_front else (bottom - _HEAD, top)
    for ring in (
        Rect(x - _SHANK_HALF, bottom, x + _SHANK_HALF, top).ring,
        Rect(x - _HEAD_HALF, heads, x + _HEAD_HALF, heads + _HEAD).ring,
        Rect(x - _LEGS_HALF, legs, x + _LEGS_HALF, legs + _LEGS).ring,
    ):
        canvas.area([ring], Fill.SHADOW_6)
        canvas.outline(ring, Line.VISIBLE, "fastening")
    return [*notes, ((x + _HEAD_HALF * 0.6, heads + _HEAD / 2), title)]


def _draw_ribbon(canvas: Canvas, paper: _Paper, layer: Bar, is_front: bool, x: float) -> Place:
    """A ribbon from under the head along the outside of its layer and off the nearer edge."""
    rect = paper.rect(layer)
    side = 1.0 if rect.right - x < x - rect.left else -1.0
    edge = rect.right if side > 0 else rect.left
    y = rect.top + _RIBBON / 2 if is_front else rect.bottom - _RIBBON / 2
    end = edge + side * _RIBBON_BEYOND
    ring = Rect(min(x, end), y - _RIBBON / 2, max(x, end), y + _RIBBON / 2).ring
    canvas.area([ring], Fill.SHADOW_6)
    canvas.outline(ring, Line.FAINT, "ribbon")
    return end - side * 1.0, y


def _draw_magnets(canvas: Canvas, paper: _Paper, bars: Sequence[Bar], x: float) -> Place:
    """One magnet on the inner side of each of the two layers that it draws together."""
    low, high = min(bars, key=lambda b: b.level), max(bars, key=lambda b: b.level)
    places = (paper.rect(low).top, paper.rect(high).bottom - _HEAD)
    for base in places:
        ring = Rect(x - _HEAD_HALF, base, x + _HEAD_HALF, base + _HEAD).ring
        canvas.area([ring], Fill.SHADOW_6)
        canvas.outline(ring, Line.VISIBLE, "magnet")
    return x, places[1] + _HEAD / 2


def closure_equivalent(resolved: ResolvedDesign, key: str) -> str:
    """The layers in order from the back, and what the fastenings go through."""
    return _words(resolved, closure_of(resolved, key))


def _words(resolved: ResolvedDesign, closure: Closure) -> str:
    bars = sorted(closure.stack.bars, key=lambda bar: (bar.level, bar.span))
    names = [_name(resolved, bar) for bar in bars]
    wording = words_of(resolved)
    listed = wording.listed(names)
    sentences = [
        wording.phrase("draw_closure", title=closure.title, names=listed),
        _sentence(_place_words(resolved, closure)),
    ]
    sentences += _glue_sentences(resolved, closure)
    for fastening, _ in closure.fastenings:
        source = fastening.source
        pieces = wording.listed(named(resolved.pieces[name]) for name in source.through)
        is_pair = source.fastener.section is SectionShape.PAIR
        name = "draw_draws_together" if is_pair else "draw_goes_through"
        sentences.append(wording.phrase(name, fastening=source.title, pieces=pieces))
    own = resolved.fastenings.get(closure.key)
    if own is not None and own.source.holds is not None:
        held = resolved.pieces.get(own.source.holds)
        if held is not None:
            part = named(resolved.pieces[closure.part])
            sentences.append(wording.phrase("draw_laps_over", part=part, held=named(held)))
    return " ".join(sentences)


def _sentence(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}."


def _glue_sentences(resolved: ResolvedDesign, closure: Closure) -> list[str]:
    """What the closing part is glued to, and what is glued to it."""
    wording = words_of(resolved)
    found: dict[str, None] = {}
    for glued in closure.stack.glued:
        if closure.part in (glued.bar.piece.key, glued.host.piece.key):
            layer, host = _name(resolved, glued.bar), _name(resolved, glued.host)
            found[wording.phrase("draw_glued_to", piece=layer, host=host)] = None
    return list(found)
