"""Closures in detail: a section through the closed stack where the closing parts meet.

In: a resolved design and a closure, the room on paper.  Out: a scene: every layer in true order,
lengths along the cut to scale, thickness not to scale, each layer named; the closing part drawn
in wide lines, with the brad, the magnets or the band that does the work.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.closed_stack import (
    Bar,
    Cut,
    Stack,
    closed_faces,
    cut_through,
    is_on,
)
from builder.drawings.labels import NOTE_PT, margin_notes, margin_room
from builder.drawings.lettering import text_width
from builder.drawings.margin_targets import chosen_targets
from builder.drawings.plane import Place, Rect
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, TINTS, Fill, Line
from builder.drawings.wording import joined
from builder.geometry.areas import placed
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedFastening, ResolvedPiece

#: How much of the work is shown on either side of the closing part, in mm of the work.
_AROUND = 12.0
_TALLEST_BAR, _LEAST_BAR = 3.4, 1.4
#: White between one layer and the next, as a share of a layer.
_GAP = 0.35
_BEND_STEP, _BEND_WIDTH = 1.3, 0.8
_CAPTION = 5.0
_HEAD, _HEAD_HALF, _SHANK_HALF = 1.2, 2.6, 0.6
_LEGS, _LEGS_HALF = 0.6, 4.2
_RIBBON, _RIBBON_BEYOND = 0.7, 6.0
_NOTE = "section through the closed work; thickness not to scale"


@dataclass(frozen=True)
class Closure:
    """What closes: ``part`` is the piece that laps over or runs round; ``fastenings`` are those
    in the cut, each with its place along it and the pieces it goes through or lies between."""

    key: str
    title: str
    part: str
    stack: Stack
    cut: Cut
    fastenings: tuple[tuple[ResolvedFastening, float], ...]


def closures(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The keys of what holds the closed work shut: tabs that turn on a brad, magnet pairs, brads
    that hold a ribbon (the first of each ribbon), bands, and tags that are there only when closed.
    """
    found = []
    ribbons: set[str] = set()
    for key, fastening in resolved.fastenings.items():
        source = fastening.source
        if fastening.point is None or not source.through:
            continue
        holds_ribbon = source.holds in resolved.fastenings
        if holds_ribbon and source.holds in ribbons:
            continue
        if holds_ribbon and source.holds is not None:
            ribbons.add(source.holds)
        if source.kind == "magnet pair" or holds_ribbon or (source.pivot and source.holds):
            found.append(key)
    there = {face.piece for face in closed_faces(resolved)} if resolved.pieces else set()
    found += [
        key
        for key, piece in resolved.pieces.items()
        if key in there and piece.source.present == "closed" and _closes(piece)
    ]
    return tuple(found)


def _closes(piece: ResolvedPiece) -> bool:
    """Whether a piece that is there only when the work is closed holds it shut."""
    return piece.source.kind == "tag" or (piece.source.kind == "band" and bool(piece.scores))


def closure_of(resolved: ResolvedDesign, key: str) -> Closure:
    """The cut for one closure, and what it meets."""
    faces = closed_faces(resolved)
    if key in resolved.pieces:
        piece = resolved.pieces[key]
        own = next(f for f in faces if (f.piece, f.face) == (key, piece.by))
        return _cut_at(resolved, key, piece.title, key, faces, own, None)
    fastening = resolved.fastenings[key]
    first = fastening.source.through[0]
    own = next(f for f in faces if f.piece == first and is_on(resolved, fastening, f))
    return _cut_at(resolved, key, fastening.source.title, first, faces, own, fastening)


def _cut_at(
    resolved: ResolvedDesign,
    key: str,
    title: str,
    part: str,
    faces: Sequence[PlacedFace],
    own: PlacedFace,
    fastening: ResolvedFastening | None,
) -> Closure:
    """A cut along the longer side of the closing part; a band's goes all the way round."""
    piece = resolved.pieces[part]
    seen = placed(own.pose, piece.face(own.face).box).seen
    point = None if fastening is None else fastening.point
    if point is not None:
        x, y, _ = own.pose.apply(point.x, point.y)
        centre = x, y
    else:
        centre = seen.centre.x, seen.centre.y
    is_wrapped = bool(piece.scores)
    along = 0 if seen.width >= seen.height or is_wrapped else 1
    if is_wrapped:
        along = 0 if piece.scores[0].axis == "vertical" else 1
    low, high = (seen.left, seen.right) if along == 0 else (seen.bottom, seen.top)
    if piece.source.kind == "tag":
        # Across the edge that a seal holds down, not along it.
        along, low, high = 1, seen.bottom, seen.top
    is_small = fastening is not None and not fastening.source.pivot
    if is_small:
        assert fastening is not None
        along, reach = 0, 3 * fastening.head
        low, high = centre[0] - reach, centre[0] + reach
    cut = Cut(along, centre[1 - along], float(low) - _AROUND, float(high) + _AROUND)
    stack = cut_through(resolved, faces, cut)
    return Closure(key, title, part, stack, cut, tuple(_in_cut(resolved, faces, cut)))


def _in_cut(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], cut: Cut
) -> list[tuple[ResolvedFastening, float]]:
    """The fastenings whose centre lies on the cut, with their places along it."""
    found = []
    for fastening in resolved.fastenings.values():
        for face in faces:
            through = fastening.source.through[:1]
            if fastening.point is None or (face.piece,) != through:
                continue
            if face.pose.normal[2] == 0 or not is_on(resolved, fastening, face):
                continue
            place = face.pose.apply(fastening.point.x, fastening.point.y)
            at = float(place[cut.along])
            if place[1 - cut.along] == cut.at and cut.low < at < cut.high:
                found.append((fastening, at))
    return found


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
    names = [_name(bar) for bar in closure.stack.bars]
    ends = [words for fastening, _ in closure.fastenings for words in [fastening.source.title]]
    side = margin_room([*names, *ends]) + MARGIN
    paper = _paper(closure, Rect(side, 0.0, max_width - side, max_height))
    _draw_bends(canvas, closure, paper)
    _draw_bars(canvas, resolved, closure, paper)
    notes = _targets(closure, paper)
    for fastening, at in closure.fastenings:
        marks = _draw_fastening(canvas, resolved, closure, paper, fastening, at)
        notes += [((place,), text) for place, text in marks]
    left, right = paper.x(closure.cut.low), paper.x(closure.cut.high)
    frame = Rect(left, paper.bottom, right, paper.bottom + closure.stack.levels * paper.pitch)
    margin_notes(canvas, frame, chosen_targets(canvas.frame, frame, notes))
    width = text_width(_NOTE, NOTE_PT)
    canvas.text(Text(_NOTE, (left + right - width) / 2, 1.0, NOTE_PT, "start", colour=GREY_TEXT))
    title = f"{closure.title}, closed"
    return canvas.scene(f"closure-{key}", title, _words(resolved, closure))


def _paper(closure: Closure, room: Rect) -> _Paper:
    levels, cut = closure.stack.levels, closure.cut
    bends = len(closure.stack.bends) * _BEND_STEP
    width = room.width - 2 * bends
    scale = min(width / (cut.high - cut.low), 3.0)
    height = room.height - _CAPTION - 2 * (_HEAD + 2.0)
    pitch = min(max(height / levels, _LEAST_BAR), _TALLEST_BAR * (1 + _GAP))
    left = room.centre[0] - scale * (cut.high - cut.low) / 2
    return _Paper(left, _CAPTION + _HEAD + 2.0, scale, pitch, cut.low)


def _name(bar: Bar) -> str:
    part = "" if len(bar.piece.faces) == 1 else f" ({bar.face[1].replace('_', ' ')})"
    return f"{bar.piece.code} {bar.piece.title}{part}"


def _targets(closure: Closure, paper: _Paper) -> list[tuple[tuple[Place, ...], str]]:
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
        found.append((tuple((x, rect.centre[1]) for x in xs), _name(bar)))
    return found


def _draw_bars(canvas: Canvas, resolved: ResolvedDesign, closure: Closure, paper: _Paper) -> None:
    stocks = list(resolved.stocks)
    for bar in closure.stack.bars:
        rect = paper.rect(bar)
        is_part = bar.piece.key == closure.part
        tint = TINTS[stocks.index(bar.piece.stock.key) % len(TINTS)]
        canvas.area([rect.ring], tint)
        canvas.outline(rect.ring, Line.VISIBLE if is_part else Line.FAINT, bar.piece.key)


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
    """A brad through its layers, or the two magnets; what to write, and where it points."""
    x, bars = paper.x(at), pierced_bars(closure, fastening, at)
    title = fastening.source.title
    if fastening.source.kind == "magnet pair":
        return [(_draw_magnets(canvas, paper, bars, x), title)]
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


def pierced_bars(closure: Closure, fastening: ResolvedFastening, at: float) -> list[Bar]:
    """The layers that a fastening goes through, from the back: of a folded piece only the face
    that its hole is in."""
    found = []
    for bar in closure.stack.bars:
        mark = fastening.marks.get(bar.piece.key)
        if mark is not None and bar.piece.face(bar.face[1]).box.contains(mark):
            found.append(bar)
    return sorted(found, key=lambda bar: bar.level)


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
    names = [_name(bar) for bar in sorted(closure.stack.bars, key=lambda b: b.level)]
    sentences = [
        f"{closure.title}, closed: a section, thickness not to scale. From the back to the front: "
        f"{joined(names)}."
    ]
    for fastening, _ in closure.fastenings:
        through = joined(
            f"{resolved.pieces[name].code} {resolved.pieces[name].title}"
            for name in fastening.source.through
        )
        verb = "draws together" if fastening.source.kind == "magnet pair" else "goes through"
        sentences.append(f"{fastening.source.title} {verb} {through}.")
    own = resolved.fastenings.get(closure.key)
    source = None if own is None else own.source
    if source is not None and source.holds is not None:
        held = resolved.pieces.get(source.holds)
        if held is not None:
            part = resolved.pieces[closure.part]
            sentences.append(f"{part.code} {part.title} laps over {held.code} {held.title}.")
    return " ".join(sentences)
