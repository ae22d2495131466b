"""Where new pieces go: what is there already in thin grey, what is new in bold, with glue.

In: a resolved design, the new pieces, those already present, the room on paper.  Out: a scene,
seen from the side on which the new pieces are laid; drawn flat, before any folding.  New pieces
far apart are shown in enlarged panels side by side.
"""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.assembly_view import View, Work, groups_of, view_of, work_of
from builder.drawings.assembly_words import assembly_equivalent
from builder.drawings.canvas import Canvas
from builder.drawings.glue_marks import hatch_glue
from builder.drawings.labels import NOTE_PT, inner_label, note
from builder.drawings.laying import is_laid_on_front
from builder.drawings.lettering import text_width
from builder.drawings.offset_dimensions import draw_offsets
from builder.drawings.piece_drawing import FOLD_LINES
from builder.drawings.placed_view import LaidPiece, laid_pieces
from builder.drawings.plane import Place, Rect, clipped_ring, clipped_run, ring_holds
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, Fill, Line
from builder.drawings.wording import joined, unit_word
from builder.resolve.resolved import ResolvedDesign

_SIDE_ROOM = 14.0
_TOP_ROOM = 7.0
_BOTTOM_ROOM = 11.0
#: How much larger panels have to be before the work is shown in parts.
_WORTHWHILE = 1.3


def assembly_scene(
    resolved: ResolvedDesign,
    new_pieces: Sequence[str],
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> Scene:
    """Draw where ``new_pieces`` go on ``present`` ones, seen from the side most are laid on."""
    work = work_of(resolved, new_pieces, present)
    canvas = Canvas(max_width, max_height)
    for view, panel in _panels(work, max_width, max_height):
        canvas.include(_drawn(resolved, view, panel), panel.left)
    _caption(canvas, resolved, work)
    verb = "goes" if len(new_pieces) == 1 else "go"
    title = f"Where {joined(resolved.pieces[key].code for key in new_pieces)} {verb}"
    words = assembly_equivalent(resolved, new_pieces, work.from_front)
    return canvas.scene(f"assembly-{'-'.join(new_pieces)}", title, words)


def assembly_scenes(
    resolved: ResolvedDesign,
    new_pieces: Sequence[str],
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> tuple[Scene, ...]:
    """As many scenes as it takes: one for each side that new pieces are laid on, and fewer groups
    in each where that makes them much larger."""
    scenes: list[Scene] = []
    there = list(present)
    for keys in _by_side(resolved, new_pieces, present):
        for batch in _batches(work_of(resolved, keys, there), max_width, max_height):
            scenes.append(assembly_scene(resolved, batch, there, max_width, max_height))
            there.extend(batch)
    return tuple(scenes)


def _by_side(
    resolved: ResolvedDesign, new_pieces: Sequence[str], present: Sequence[str]
) -> list[list[str]]:
    laid = laid_pieces(resolved, [*present, *new_pieces])
    sides: dict[bool, list[str]] = {}
    for key in new_pieces:
        if key in laid:
            sides.setdefault(is_laid_on_front(resolved.pieces, laid, key), []).append(key)
    return list(sides.values())


def _batches(work: Work, max_width: float, max_height: float) -> list[list[str]]:
    """Groups two by two if that draws them worthwhile larger, else all together."""
    groups = groups_of(work)
    together = _smallest_scale(_panels(work, max_width, max_height))
    pairs = [groups[i : i + 2] for i in range(0, len(groups), 2)]
    apart = min(_smallest_scale(_columns(work, pair, max_width, max_height)) for pair in pairs)
    if len(groups) > 2 and apart > _WORTHWHILE * together:
        return [[key for group in pair for key in group] for pair in pairs]
    return [list(work.new)]


_Panels = list[tuple[View, Rect]]


def _panels(work: Work, max_width: float, max_height: float) -> _Panels:
    """One view of everything, or a column for each group where that is much larger."""
    whole = _columns(work, [work.new], max_width, max_height)
    groups = groups_of(work)
    if len(groups) < 2:
        return whole
    columns = _columns(work, groups, max_width, max_height)
    is_larger = _smallest_scale(columns) > _WORTHWHILE * _smallest_scale(whole)
    return columns if is_larger else whole


def _columns(
    work: Work, groups: Sequence[Sequence[str]], max_width: float, max_height: float
) -> _Panels:
    width = max_width / len(groups)
    panels = []
    for index, group in enumerate(groups):
        room = Rect(_SIDE_ROOM, _BOTTOM_ROOM, width - _SIDE_ROOM, max_height - _TOP_ROOM)
        panel = Rect(index * width, 0.0, (index + 1) * width, max_height)
        panels.append((view_of(work, group, room), panel))
    return panels


def _smallest_scale(panels: _Panels) -> float:
    return min(view.mapping.scale for view, _ in panels)


def _drawn(resolved: ResolvedDesign, view: View, panel: Rect) -> Canvas:
    """One panel, on a canvas of its own."""
    canvas = Canvas(panel.width, panel.height)
    _draw_stack(canvas, view)
    draw_offsets(canvas, view, resolved.edition.units)
    _label_new(canvas, view)
    _label_hosts(canvas, view)
    return canvas


def _draw_stack(canvas: Canvas, view: View) -> None:
    for laid in view.stack:
        if view.is_new(laid):
            _draw_new(canvas, view, laid)
        else:
            _draw_present(canvas, view, laid)
    for index, laid in enumerate(view.stack):
        if view.is_new(laid):
            _show_hidden(canvas, view, laid, view.stack[index + 1 :])


def _draw_present(canvas: Canvas, view: View, laid: LaidPiece) -> None:
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


def _draw_new(canvas: Canvas, view: View, laid: LaidPiece) -> None:
    outer, *openings = view.rings(laid)
    canvas.area([outer, *openings], Fill.PAPER)
    hatch_glue(canvas, view, laid, (outer, *openings))
    for ring in (outer, *openings):
        canvas.outline(ring, Line.VISIBLE, laid.piece.key)
    for score, run in laid.score_runs():
        fold = score.fold if laid.faces_front == view.work.from_front else _other(score.fold)
        canvas.strokes([view.mapping.ring(run)], FOLD_LINES[fold], "score")


def _other(fold: str) -> str:
    """A valley is a mountain from the other side."""
    return "mountain" if fold == "valley" else "valley"


def _show_hidden(canvas: Canvas, view: View, laid: LaidPiece, later: Sequence[LaidPiece]) -> None:
    """Dash the edges of a new piece that lie under pieces already there."""
    covers = [item.rings[0] for item in later if not view.is_new(item)]
    extents = [item.extent for item in later if not view.is_new(item)]
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


def _label_new(canvas: Canvas, view: View) -> None:
    """Code and title on each new piece where it is not covered; a leader where there is no room."""
    pending: list[tuple[LaidPiece, str]] = []
    for index, laid in enumerate(view.stack):
        piece = laid.piece
        if not view.is_new(laid):
            continue
        covers = [view.mapping.rect(later.extent) for later in view.stack[index + 1 :]]
        box = view.mapping.rect(laid.extent)
        texts = [f"{piece.code} {piece.title}", piece.code]
        if not inner_label(canvas, box, texts, NOTE_PT, bold=True, boxed=True, clear_of=covers):
            pending.append((laid, piece.code))
    others = [view.rect(laid) for laid in view.stack if view.is_new(laid)]
    for laid, text in pending:
        own = view.rect(laid)
        avoid = [rect for rect in others if not rect.contains(own, 0.01)]
        note(canvas, _seen_places(view, laid), text, bold=True, boxed=True, avoid=avoid)


def _seen_places(view: View, laid: LaidPiece) -> list[Place]:
    """Places on the piece, on paper, that nothing covers: near its middle first, then on what
    shows of it round its rim."""
    later = view.stack[view.stack.index(laid) + 1 :]
    middle = laid.extent.centre
    inner = _grid(laid.extent, [share / 16 for share in range(1, 16)])
    inner.sort(key=lambda p: abs(p[0] - middle[0]) + abs(p[1] - middle[1]))
    seen = [
        p
        for p in (*inner, *_rim(laid.extent))
        if ring_holds(laid.rings[0], p) and not any(ring_holds(i.rings[0], p) for i in later)
    ]
    return [view.mapping(*p) for p in seen] or [view.mapping(*middle)]


def _grid(box: Rect, shares: Sequence[float]) -> list[Place]:
    return [
        (box.left + box.width * across, box.bottom + box.height * up)
        for across in shares
        for up in shares
    ]


def _rim(box: Rect) -> list[Place]:
    """Places just inside the edges, for pieces of which only a narrow reveal shows."""
    places: list[Place] = []
    for depth in (1.2, 0.6):
        inner = box.grown(-depth)
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            x, y = inner.left + share * inner.width, inner.bottom + share * inner.height
            places += [(x, inner.top), (inner.right, y), (x, inner.bottom), (inner.left, y)]
    return places


def _label_hosts(canvas: Canvas, view: View) -> None:
    """Grey codes on the pieces that the new ones are laid on, where there is room."""
    hosts = {host.piece.key for key in view.labelled if (host := view.work.host_of(key))}
    for index, laid in enumerate(view.stack):
        if laid.piece.key not in hosts or view.is_new(laid):
            continue
        covers = [view.rect(later) for later in view.stack[index + 1 :]]
        box = view.rect(laid).common(view.window)
        if box is not None:
            texts = [f"{laid.piece.code} {laid.piece.title}", laid.piece.code]
            inner_label(canvas, box, texts, 7.0, boxed=True, colour=GREY_TEXT, clear_of=covers)


def _caption(canvas: Canvas, resolved: ResolvedDesign, work: Work) -> None:
    """The unit, once, the side seen, and what the hatches mean."""
    new = [work.pieces[key] for key in work.new]
    words = []
    if any(piece.offsets is not None for piece in new):
        words.append(unit_word(resolved.edition.units))
    if not work.from_front:
        words.append("seen from behind")
    if any(piece.glue.edges for piece in new):
        words.append("hatched: glue underneath")
    if any(piece.glue.keep_off for piece in new):
        words.append("crossed: keep free of glue")
    text = " · ".join(words)
    if not text:
        return
    half = text_width(text, NOTE_PT) / 2
    x = min(max(canvas.middle, half), canvas.frame.right - half)
    canvas.text(Text(text, x, canvas.lowest - 3.4, NOTE_PT, colour=GREY_TEXT))
