"""Where new pieces go: what is there already in thin grey, what is new in bold, with glue.

In: a resolved design, the new pieces, those already present, the room on paper.  Out: a scene,
seen from the side on which the new pieces are laid; drawn flat, before any folding.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.canvas import Canvas
from builder.drawings.dimensions import (
    horizontal_dimension,
    level_numbers,
    upright_numbers,
    vertical_dimension,
)
from builder.drawings.features import rect_of
from builder.drawings.hatching import GLUE, KEEP_OFF
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.lettering import text_rect, text_width
from builder.drawings.piece_drawing import FOLD_LINES
from builder.drawings.placed_view import LaidPiece, laid_pieces
from builder.drawings.plane import Mapping as PaperMapping
from builder.drawings.plane import (
    Place,
    Rect,
    around,
    clipped_ring,
    clipped_run,
    fitted,
    ring_holds,
)
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, Fill, Line
from builder.drawings.wording import joined, unit_word
from builder.lengths import UnitSystem
from builder.resolve.resolved import Offsets, ResolvedDesign, ResolvedPiece

_SIDE_ROOM = 16.0
_TOP_ROOM = 7.0
_BOTTOM_ROOM = 11.0
_CROP_MARGIN = 0.12
_GLUE_STRIP = 3.2


@dataclass(frozen=True)
class _View:
    """The new and present pieces in drawing order, as seen, and how they map to paper."""

    stack: tuple[LaidPiece, ...]
    new: frozenset[str]
    from_front: bool
    mapping: PaperMapping
    window: Rect

    def rings(self, laid: LaidPiece) -> tuple[tuple[Place, ...], ...]:
        return tuple(self.mapping.ring(ring) for ring in laid.rings)


def assembly_scene(
    resolved: ResolvedDesign,
    new_pieces: Sequence[str],
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> Scene:
    """Draw where ``new_pieces`` go on ``present`` ones, seen from the side most are laid on."""
    canvas = Canvas(max_width, max_height)
    view = _view(resolved, new_pieces, present, canvas.frame)
    units = resolved.edition.units
    _draw_stack(canvas, view)
    _draw_offsets(canvas, view, resolved.pieces, units)
    _label_new(canvas, view)
    _label_hosts(canvas, view, resolved.pieces)
    _caption(canvas, view, units)
    verb = "goes" if len(new_pieces) == 1 else "go"
    title = f"Where {joined(resolved.pieces[key].code for key in new_pieces)} {verb}"
    words = assembly_equivalent(resolved, new_pieces, view.from_front)
    return canvas.scene(f"assembly-{'-'.join(new_pieces)}", title, words)


def assembly_scenes(
    resolved: ResolvedDesign,
    new_pieces: Sequence[str],
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> tuple[Scene, ...]:
    """One scene for each side that new pieces are laid on, in the order of the pieces."""
    laid = laid_pieces(resolved, [*present, *new_pieces])
    sides: dict[bool, list[str]] = {}
    for key in new_pieces:
        if key in laid:
            sides.setdefault(is_laid_on_front(resolved.pieces, laid, key), []).append(key)
    scenes: list[Scene] = []
    there = list(present)
    for keys in sides.values():
        scenes.append(assembly_scene(resolved, keys, there, max_width, max_height))
        there.extend(keys)
    return tuple(scenes)


def is_laid_on_front(
    pieces: Mapping[str, ResolvedPiece], laid: Mapping[str, LaidPiece], key: str
) -> bool:
    """Whether a piece is laid on from the front of the whole work (+z)."""
    placement = pieces[key].source.placement
    if placement is None:
        return laid[key].faces_front
    host = laid.get(placement.host)
    host_faces_front = host.faces_front if host is not None else laid[key].faces_front
    return host_faces_front == (placement.relation in ("on", "inside"))


def laying_order(pieces: Mapping[str, ResolvedPiece], laid: Mapping[str, LaidPiece]) -> list[str]:
    """The pieces from the back to the front when laid on in the order of ``laid``.

    A piece laid from the front goes on top of all, one laid from behind under all; what goes
    inside a pocket goes just under it, and what lies on such an insert goes with it.
    """
    order: list[str] = []
    inserted: set[str] = set()
    waiting = list(laid)
    while waiting:
        ready = [k for k in waiting if (h := _host(pieces, k)) is None or h not in waiting]
        for key in ready or waiting[:1]:
            waiting.remove(key)
            _lay(order, inserted, key, pieces, laid)
    return order


def _host(pieces: Mapping[str, ResolvedPiece], key: str) -> str | None:
    placement = pieces[key].source.placement
    return None if placement is None else placement.host


def _lay(
    order: list[str],
    inserted: set[str],
    key: str,
    pieces: Mapping[str, ResolvedPiece],
    laid: Mapping[str, LaidPiece],
) -> None:
    placement = pieces[key].source.placement
    host = _host(pieces, key)
    on_front = is_laid_on_front(pieces, laid, key)
    if placement is not None and host in order and placement.relation == "inside":
        order.insert(order.index(host) + (0 if on_front else 1), key)
        inserted.add(key)
    elif host in inserted:
        order.insert(order.index(host) + (1 if on_front else 0), key)
        inserted.add(key)
    elif on_front:
        order.append(key)
    else:
        order.insert(0, key)


def _view(
    resolved: ResolvedDesign, new: Sequence[str], present: Sequence[str], frame: Rect
) -> _View:
    laid = laid_pieces(resolved, [*(key for key in present if key not in new), *new])
    drawn_new = [key for key in new if key in laid]
    votes = [is_laid_on_front(resolved.pieces, laid, key) for key in drawn_new]
    from_front = 2 * sum(votes) >= len(votes)
    stack = [laid[key] for key in laying_order(resolved.pieces, laid)]
    if not from_front:
        stack.reverse()
    whole = around(item.extent for item in stack)
    focus = _focus(resolved.pieces, laid, drawn_new, whole)
    room = Rect(_SIDE_ROOM, _BOTTOM_ROOM, frame.right - _SIDE_ROOM, frame.top - _TOP_ROOM)
    mapping = fitted(focus, room, 1.0, mirrored=not from_front)
    return _View(tuple(stack), frozenset(new), from_front, mapping, mapping.rect(focus))


def _focus(
    pieces: Mapping[str, ResolvedPiece],
    laid: Mapping[str, LaidPiece],
    new: Sequence[str],
    whole: Rect,
) -> Rect:
    """The part of the work to show: the new pieces and their host faces, or everything."""
    rects = [laid[key].extent for key in new]
    for key in new:
        placement = pieces[key].source.placement
        if placement is not None and placement.host in laid:
            rects.append(laid[placement.host].face_rect(pieces[key].host_face))
    needed = around(rects)
    margin = _CROP_MARGIN * max(needed.width, needed.height)
    focus = needed.grown(margin).common(whole.grown(0.01))
    if focus is None or focus.width * focus.height > 0.7 * whole.width * whole.height:
        return whole
    return focus


def _draw_stack(canvas: Canvas, view: _View) -> None:
    for laid in view.stack:
        if laid.piece.key in view.new:
            _draw_new(canvas, view, laid)
        else:
            _draw_present(canvas, view, laid)
    for index, laid in enumerate(view.stack):
        if laid.piece.key in view.new:
            _show_hidden(canvas, view, laid, view.stack[index + 1 :])


def _draw_present(canvas: Canvas, view: _View, laid: LaidPiece) -> None:
    outer, *openings = view.rings(laid)
    shown = clipped_ring(outer, view.window)
    if len(shown) < 3:
        return
    kept = [clipped_ring(ring, view.window) for ring in openings]
    canvas.area([shown, *(ring for ring in kept if ring)], Fill.EXISTING)
    runs = [run for ring in (outer, *openings) for run in _edges_within(ring, view.window)]
    runs += [
        run
        for _, score in laid.score_runs()
        for run in clipped_run(view.mapping.ring(score), view.window.grown(0.001))
    ]
    canvas.strokes(runs, Line.EXISTING, laid.piece.key)


def _edges_within(ring: Sequence[Place], window: Rect) -> list[tuple[Place, ...]]:
    return clipped_run((*ring, ring[0]), window.grown(0.001))


def _draw_new(canvas: Canvas, view: _View, laid: LaidPiece) -> None:
    outer, *openings = view.rings(laid)
    canvas.area([outer, *openings], Fill.PAPER)
    _hatch_glue(canvas, view, laid, (outer, *openings))
    for ring in (outer, *openings):
        canvas.outline(ring, Line.VISIBLE, laid.piece.key)
    for score, run in laid.score_runs():
        fold = score.fold if laid.faces_front == view.from_front else _other(score.fold)
        canvas.strokes([view.mapping.ring(run)], FOLD_LINES[fold], "score")


def _other(fold: str) -> str:
    """A valley is a mountain from the other side."""
    return "mountain" if fold == "valley" else "valley"


def _hatch_glue(
    canvas: Canvas, view: _View, laid: LaidPiece, rings: Sequence[Sequence[Place]]
) -> None:
    """Glue on the underside, where the piece meets its host, and areas to keep free of it."""
    glue = laid.piece.glue
    contact = _contact(view, laid)
    if not glue.edges or contact is None:
        return
    dry = [view.mapping.rect(laid.rect(rect_of(box))).ring for box in glue.keep_off]
    for strip in _glue_strips(view, laid, contact):
        canvas.hatch(GLUE, Line.GLUE, strip, [rings], dry)
    for ring in dry:
        canvas.hatch(KEEP_OFF, Line.KEEP_OFF, [ring], [rings])
        canvas.outline(ring, Line.KEEP_OFF, "keep off")


def _contact(view: _View, laid: LaidPiece) -> Rect | None:
    """Where the piece's face lies on its host's face, on paper."""
    own = laid.face_rect(laid.piece.by)
    host = _host_in(view, laid)
    if host is None:
        return view.mapping.rect(own)
    shared = own.common(host.face_rect(laid.piece.host_face))
    return None if shared is None else view.mapping.rect(shared)


def _glue_strips(
    view: _View, laid: LaidPiece, contact: Rect
) -> Iterator[tuple[tuple[Place, ...], ...]]:
    """Rings of each glued strip: along the named edges, or all round."""
    width = min(_GLUE_STRIP, contact.width / 2, contact.height / 2)
    if "all" in laid.piece.glue.edges:
        inner = contact.grown(-width)
        is_narrow = min(inner.width, inner.height) < 2 * _GLUE_STRIP
        yield (contact.ring,) if is_narrow else (contact.ring, inner.ring)
        return
    box = rect_of(laid.piece.face(laid.piece.by).box)
    depth = width / view.mapping.scale
    whole = {
        "left": Rect(box.left, box.bottom, box.left + depth, box.top),
        "right": Rect(box.right - depth, box.bottom, box.right, box.top),
        "bottom": Rect(box.left, box.bottom, box.right, box.bottom + depth),
        "top": Rect(box.left, box.top - depth, box.right, box.top),
    }
    done: list[Rect] = []
    for edge in laid.piece.glue.edges:
        strip = view.mapping.rect(laid.rect(whole[edge])).common(contact)
        for other in done:
            strip = strip and _shortened(strip, other)
        if strip is not None:
            done.append(strip)
            yield (strip.ring,)


def _shortened(strip: Rect, other: Rect) -> Rect:
    """The strip without the corner that another strip has hatched already."""
    if strip.common(other.grown(-0.01)) is None:
        return strip
    if strip.width > strip.height:
        left = other.right if other.centre[0] < strip.centre[0] else strip.left
        right = other.left if other.centre[0] > strip.centre[0] else strip.right
        return Rect(left, strip.bottom, right, strip.top)
    bottom = other.top if other.centre[1] < strip.centre[1] else strip.bottom
    top = other.bottom if other.centre[1] > strip.centre[1] else strip.top
    return Rect(strip.left, bottom, strip.right, top)


def _show_hidden(canvas: Canvas, view: _View, laid: LaidPiece, later: Sequence[LaidPiece]) -> None:
    """Dash the edges of a new piece that lie under pieces already there."""
    covers = [item.rings[0] for item in later if item.piece.key not in view.new]
    extents = [item.extent for item in later if item.piece.key not in view.new]
    if not any(extent.meets(laid.extent) for extent in extents):
        return
    ring = laid.rings[0]
    runs = []
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        runs.extend(_covered_parts(start, end, covers))
    canvas.strokes([view.mapping.ring(run) for run in runs], Line.HIDDEN, laid.piece.key)


def _covered_parts(
    start: Place, end: Place, covers: Sequence[Sequence[Place]]
) -> list[tuple[Place, Place]]:
    """Stretches of a segment that lie under a cover, found in sixteen steps."""

    def at(share: float) -> Place:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    parts: list[tuple[float, float]] = []
    for step in range(16):
        if any(ring_holds(ring, at((step + 0.5) / 16)) for ring in covers):
            low, high = step / 16, (step + 1) / 16
            if parts and parts[-1][1] == low:
                low = parts.pop()[0]
            parts.append((low, high))
    return [(at(low), at(high)) for low, high in parts]


def _draw_offsets(
    canvas: Canvas, view: _View, pieces: Mapping[str, ResolvedPiece], units: UnitSystem
) -> None:
    """Dimensions from the host's edges to each new piece.

    ``offsets`` read in the host's own frame; a host seen from its back is mirrored on paper, and
    so are its left and right.
    """
    for laid in view.stack:
        piece = laid.piece
        host = _host_in(view, laid)
        if piece.key not in view.new or piece.offsets is None or host is None:
            continue
        own = view.mapping.rect(laid.face_rect(piece.by))
        base = view.mapping.rect(host.face_rect(piece.host_face))
        for edges, text in _offset_texts(piece, piece.offsets, units):
            _dimension_offset(canvas, own, base, edges, text)


def _host_in(view: _View, laid: LaidPiece) -> LaidPiece | None:
    host = laid.piece.source.placement.host if laid.piece.source.placement else None
    return next((item for item in view.stack if item.piece.key == host), None)


def _offset_texts(
    piece: ResolvedPiece, offsets: Offsets, units: UnitSystem
) -> Iterator[tuple[tuple[str, ...], str]]:
    """At which edges a dimension may stand, and its text: an even reveal once, centring once.

    A flush edge needs no number, and neither does the edge across from it.
    """
    if offsets.is_even and offsets.left > 0:
        yield ("top", "bottom", "left", "right"), f"{units.number(offsets.top)} all round"
        return
    given = piece.source.placement.distances if piece.source.placement else {}
    for edge, opposite in (("left", "right"), ("bottom", "top")):
        near, far = getattr(offsets, edge), getattr(offsets, opposite)
        if near == 0 or far == 0:
            continue
        if near == far and near > 0:
            yield (edge, opposite), f"{units.number(near)} each side"
        elif opposite in given and edge not in given and far > 0:
            yield (opposite,), units.number(far)
        elif near > 0:
            yield (edge,), units.number(near)


@dataclass(frozen=True)
class _Offset:
    """One way to draw a dimension: between ``near`` and ``far`` on a line at ``level``."""

    near: float
    far: float
    level: float
    is_level: bool
    number: Text

    @property
    def line(self) -> tuple[Place, Place]:
        """The dimension line with its stubs and what runs under the number."""
        box = text_rect(self.number)
        if self.is_level:
            low, high = min(self.near - 3.2, box.left), max(self.far + 3.2, box.right)
            return (low, self.level), (high, self.level)
        return (self.level, self.near - 3.2), (self.level, self.far + 3.2)


def _dimension_offset(
    canvas: Canvas, own: Rect, base: Rect, edges: Sequence[str], text: str
) -> None:
    """The distance from a host edge to the piece, drawn where it is in nobody's way."""
    ways = [way for edge in edges for way in _ways(own, base, edge, text)]
    if not ways:
        return
    best = _least_cluttered(canvas, ways)
    draw = horizontal_dimension if best.is_level else vertical_dimension
    feet = (best.level, best.level)
    draw(canvas, best.near, best.far, best.level, feet, text, best.number)


def _least_cluttered(canvas: Canvas, ways: Sequence[_Offset]) -> _Offset:
    best, least = ways[0], float("inf")
    for way in ways:
        clutter = _clutter(canvas, way)
        if clutter < least:
            best, least = way, clutter
        if clutter < 0.5:
            break
    return best


def _ways(own: Rect, base: Rect, edge: str, text: str) -> Iterator[_Offset]:
    is_level = edge in ("left", "right")
    low, high = (own.bottom, own.top) if is_level else (own.left, own.right)
    near, far = {
        "left": (base.left, own.left),
        "right": (own.right, base.right),
        "bottom": (base.bottom, own.bottom),
        "top": (own.top, base.top),
    }[edge]
    if far - near < 0.05:
        return
    numbers = level_numbers if is_level else upright_numbers
    for share in (0.5, 0.68, 0.32, 0.82, 0.18, 0.92, 0.08):
        level = low + share * (high - low)
        for number in numbers(near, far, level, text):
            yield _Offset(near, far, level, is_level, number)


def _clutter(canvas: Canvas, way: _Offset) -> float:
    """How much the number and its line would touch."""
    box = text_rect(way.number)
    words, lines = canvas.leader_faults(*way.line)
    on_paper = canvas.frame.contains(box.grown(0.5))
    return canvas.collisions(box, enough=6) + 2.0 * words + 0.1 * lines + (0 if on_paper else 9)


def _label_new(canvas: Canvas, view: _View) -> None:
    """Code and title on each new piece where it is not covered; a leader where there is no room."""
    pending: list[tuple[LaidPiece, str]] = []
    for index, laid in enumerate(view.stack):
        piece = laid.piece
        if piece.key not in view.new:
            continue
        covers = [view.mapping.rect(later.extent) for later in view.stack[index + 1 :]]
        box = view.mapping.rect(laid.extent)
        texts = [f"{piece.code} {piece.title}", piece.code]
        if not inner_label(canvas, box, texts, NOTE_PT, bold=True, boxed=True, clear_of=covers):
            pending.append((laid, piece.code))
    others = [view.mapping.rect(laid.extent) for laid in view.stack if laid.piece.key in view.new]
    for laid, text in pending:
        target = _seen_place(canvas, view, laid)
        avoid = [rect for rect in others if rect != view.mapping.rect(laid.extent)]
        note(canvas, target, text, bold=True, boxed=True, avoid=avoid)


def _seen_place(canvas: Canvas, view: _View, laid: LaidPiece) -> Place:
    """A place on the piece, on paper, that nothing covers and no word is near; near its middle."""
    later = view.stack[view.stack.index(laid) + 1 :]
    ring = laid.rings[0]
    box = laid.extent
    middle = box.centre
    best: tuple[float, Place] = (float("inf"), middle)
    for column in range(1, 24):
        for row in range(1, 24):
            p = (box.left + box.width * column / 24, box.bottom + box.height * row / 24)
            distance = abs(p[0] - middle[0]) + abs(p[1] - middle[1])
            if distance >= best[0] or not ring_holds(ring, p):
                continue
            if any(ring_holds(item.rings[0], p) for item in later):
                continue
            if canvas.is_clear_of_words(view.mapping(*p)):
                best = (distance, p)
    return view.mapping(*best[1])


def _label_hosts(canvas: Canvas, view: _View, pieces: Mapping[str, ResolvedPiece]) -> None:
    """Grey codes on the pieces that the new ones are laid on, where there is room."""
    hosts = {
        placement.host
        for key in view.new
        if (placement := pieces[key].source.placement) is not None
    }
    for index, laid in enumerate(view.stack):
        if laid.piece.key not in hosts or laid.piece.key in view.new:
            continue
        covers = [view.mapping.rect(later.extent) for later in view.stack[index + 1 :]]
        box = view.mapping.rect(laid.extent).common(view.window)
        if box is not None:
            inner_label(canvas, box, [laid.piece.code], 7.0, colour=GREY_TEXT, clear_of=covers)


def _caption(canvas: Canvas, view: _View, units: UnitSystem) -> None:
    new = [laid.piece for laid in view.stack if laid.piece.key in view.new]
    words = []
    if any(piece.offsets is not None for piece in new):
        words.append(unit_word(units))
    if not view.from_front:
        words.append("seen from behind")
    if any(piece.glue.edges for piece in new):
        words.append("hatched: glue underneath")
    if any(piece.glue.keep_off for piece in new):
        words.append("crossed: keep free of glue")
    text = " · ".join(words)
    if not text:
        return
    half = text_width(text, NOTE_PT) / 2
    x = min(max(view.window.centre[0], half), canvas.frame.right - half)
    canvas.text(Text(text, x, canvas.lowest - 3.4, NOTE_PT, colour=GREY_TEXT))


def assembly_equivalent(
    resolved: ResolvedDesign, new_pieces: Sequence[str], from_front: bool
) -> str:
    """Where each piece goes, in words."""
    sentences = [_placing_sentence(resolved, resolved.pieces[key]) for key in new_pieces]
    if not from_front:
        sentences.insert(0, "Seen from behind.")
    return " ".join(sentences)


_RELATION_WORDS = {
    "on": "on",
    "behind": "behind",
    "on_back": "on the back of",
    "inside": "inside",
}


def _placing_sentence(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    placement = piece.source.placement
    name = f"{piece.code} {piece.title}"
    if placement is None or piece.offsets is None:
        return f"{name} lies by itself."
    host = resolved.pieces[placement.host]
    face = "" if piece.host_face == "face" else f", {piece.host_face.replace('_', ' ')}"
    parts = [f"{name} {_RELATION_WORDS[placement.relation]} {host.code} {host.title}{face}"]
    parts.append(_offset_words(piece.offsets, resolved.edition.units))
    glue = piece.glue
    if glue.edges == ("all",):
        is_partly_on = min(_all_offsets(piece.offsets)) < 0
        parts.append("glued where they meet" if is_partly_on else "glued all over")
    elif glue.edges:
        parts.append(f"glued along the {joined(glue.edges)} {_edges_word(glue.edges)}")
    else:
        parts.append("not glued")
    if glue.keep_off and piece.source.placement:
        areas = joined(area.where for area in piece.source.placement.keep_off)
        parts.append(f"no glue at the {areas}")
    return f"{'; '.join(part for part in parts if part)}."


def _all_offsets(offsets: Offsets) -> tuple[Fraction, ...]:
    return offsets.left, offsets.right, offsets.top, offsets.bottom


def _edges_word(edges: Sequence[str]) -> str:
    return "edge" if len(edges) == 1 else "edges"


def _offset_words(offsets: Offsets, units: UnitSystem) -> str:
    if offsets.is_even and offsets.left > 0:
        return f"{units.text(offsets.left)} showing all round"
    words = []
    for near, far in (("left", "right"), ("bottom", "top")):
        first: Fraction = getattr(offsets, near)
        second: Fraction = getattr(offsets, far)
        if first == second:
            way = "from side to side" if near == "left" else "up and down"
            words.append(f"centred {way}" if first else f"flush with the {near} and {far} edges")
        elif first >= 0:
            words.append(_from_edge(first, near, units))
        else:
            words.append(_from_edge(second, far, units))
    return ", ".join(words)


def _from_edge(distance: Fraction, edge: str, units: UnitSystem) -> str:
    if distance == 0:
        return f"flush with the {edge} edge"
    if distance < 0:
        return f"{units.text(-distance)} beyond the {edge} edge"
    return f"{units.text(distance)} from the {edge} edge"
