"""Where new pieces go: what is there already in thin grey, what is new in bold, with glue.

In: a resolved design, a stage of a step, the room on paper.  Out: a scene of the work at that
moment, seen from the side on which the new pieces are laid.  New pieces far apart are shown in
enlarged panels side by side.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely import box

from gatherfold.drawings.kernel.break_lines import break_off
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Rect, bounding, clipped_run
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import EXISTING_FOLD_LINES, FOLD_LINES, Fill, Line
from gatherfold.drawings.kernel.wording import unit_word, words_of
from gatherfold.drawings.kernel.wrapping import draw_caption
from gatherfold.drawings.step.arrows import mark_upright, mark_way
from gatherfold.drawings.step.distances import draw_distances
from gatherfold.drawings.step.fastenings import dash_set_end, draw_set_end, kept_out, set_ends
from gatherfold.drawings.step.glue import (
    glue_on,
    glue_phrases,
    hatch_glue,
    mark_on_edge,
)
from gatherfold.drawings.step.names import (
    FLUSH_REMARKS,
    flush_remarks,
    loose_words,
    prints_up,
    write_names,
)
from gatherfold.drawings.step.stages import Placed
from gatherfold.drawings.step.view import View, Work, groups_of, room_in, view_of, work_at
from gatherfold.drawings.step.words import assembly_equivalent, side_words
from gatherfold.drawings.views.seen_pieces import SeenPiece, rings_of, runs_within
from gatherfold.drawings.views.sight import dash_hidden
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work.putting import Way

#: How much larger panels have to be before the work is shown in parts.
_WORTHWHILE = 1.3


def placed_scenes(
    resolved: ResolvedDesign, stage: Placed, max_width: float, max_height: float
) -> tuple[Scene, ...]:
    """The scene of a stage, or several with fewer groups in each where that makes them much
    larger."""
    scenes: list[Scene] = []
    work = work_at(resolved, stage)
    groups: list[_Group] = [(work, group) for group in groups_of(work)]
    shown: list[str] = []
    for batch in _batches(groups, max_width, max_height):
        shown += batch
        scenes.append(_scene(resolved, stage.part(shown), batch, max_width, max_height))
    return tuple(scenes)


def _scene(
    resolved: ResolvedDesign,
    stage: Placed,
    new: Sequence[str],
    max_width: float,
    max_height: float,
) -> Scene:
    """Draw where ``new`` pieces go, the last of their stage."""
    work = work_at(resolved, stage)
    canvas = Canvas(max_width, max_height)
    remarks: dict[str, None] = {}
    groups: list[_Group] = [
        (work, kept) for group in groups_of(work) if (kept := [k for k in group if k in new])
    ]
    for view, panel in _panels(groups, new, max_width, max_height):
        drawn, further = _drawn(resolved, view, panel)
        canvas.include(drawn, panel.left)
        remarks |= dict.fromkeys(further)
    _caption(canvas, resolved, work, new, list(remarks))
    wording = words_of(resolved)
    codes = wording.listed(resolved.pieces[key].code for key in new)
    title = wording.counted("draw_where", len(new), codes=codes)
    return canvas.scene(
        f"assembly-{'-'.join(new)}", title, assembly_equivalent(resolved, work, new)
    )


#: New pieces of one work that are shown together.
_Group = tuple[Work, Sequence[str]]


def _batches(groups: Sequence[_Group], max_width: float, max_height: float) -> list[list[str]]:
    """Groups two by two if that draws them worthwhile larger, else all together."""
    new = [key for _, group in groups for key in group]
    together = _smallest_scale(_panels(groups, new, max_width, max_height))
    pairs = [groups[i : i + 2] for i in range(0, len(groups), 2)]
    apart = min(_smallest_scale(_columns(pair, max_width, max_height)) for pair in pairs)
    if len(groups) <= 2 or apart <= _WORTHWHILE * together:
        pairs = [groups]
    return [[key for _, group in pair for key in group] for pair in pairs]


_Panels = list[tuple[View, Rect]]


def _panels(
    groups: Sequence[_Group], new: Sequence[str], max_width: float, max_height: float
) -> _Panels:
    """One view of the work, or a column for each group where that is much larger."""
    whole = _columns([(groups[0][0], new)], max_width, max_height)
    columns = _columns(groups, max_width, max_height)
    is_larger = _smallest_scale(columns) > _WORTHWHILE * _smallest_scale(whole)
    return columns if is_larger else whole


def _columns(groups: Sequence[_Group], max_width: float, max_height: float) -> _Panels:
    panel = Rect(0.0, 0.0, max_width / len(groups), max_height)
    return [
        (view_of(work, group, room_in(panel)), panel.moved(index * panel.width, 0.0))
        for index, (work, group) in enumerate(groups)
    ]


def _smallest_scale(panels: _Panels) -> float:
    return min(view.mapping.scale for view, _ in panels)


def _drawn(resolved: ResolvedDesign, view: View, panel: Rect) -> tuple[Canvas, list[str]]:
    """One panel, on a canvas of its own, and what is left for the caption to say."""
    canvas, wording = Canvas(panel.width, panel.height), words_of(resolved)
    draw_stack(canvas, resolved, view)
    break_off(canvas, view.window, [view.on_paper(laid.outline) for laid in view.stack])
    draw_distances(canvas, resolved, view)
    # The upright way of prints has to be on their pieces: it goes before all that may be beside.
    mark_upright(canvas, view)
    mark_way(canvas, view)
    unseen = write_names(canvas, resolved, view)
    remarks = [wording.phrase(name) for name in glue_phrases(view)]
    remarks += [wording.phrase("draw_keep_out", name=name) for name in kept_out(resolved, view)]
    remarks += [wording.phrase("draw_laid_on", piece=name) for name in unseen]
    remarks += [wording.phrase(name) for name in flush_remarks(view)]
    return canvas, remarks


def draw_stack(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """The pieces and what is set on them already, from the farthest to the nearest."""
    ends = set_ends(resolved, view)
    unseen = []
    for laid in view.stack:
        canvas.area(
            rings_of(view.shown(laid)),
            Fill.PAPER if view.is_bold(laid.piece.key) else Fill.EXISTING,
        )
        if any(view.on_face(laid, area.glue).intersects(view.shown(laid))
               for area in glue_on(view, laid)):  # fmt: skip
            hatch_glue(canvas, view, laid)
        else:
            unseen.append(laid)
        _draw_lines(canvas, view, laid)
        for end in ends:
            if end.on is laid and end.ribbon is None:
                draw_set_end(canvas, view, end)
    for laid in unseen:
        hatch_glue(canvas, view, laid)
    for end in ends:
        if end.ribbon is not None:
            draw_set_end(canvas, view, end)
    _draw_edges(canvas, view)
    dash_hidden(canvas, view)
    for end in ends:
        dash_set_end(canvas, view, end)


def _draw_lines(canvas: Canvas, view: View, laid: SeenPiece) -> None:
    """The edges of what shows of a piece, and its folds that lie flat."""
    key, shown = laid.piece.key, view.shown(laid)
    if shown.is_empty:
        return
    is_bold = view.is_bold(key)
    runs = []
    for ring, own in zip(view.rings(laid), laid.rings, strict=True):
        closed = (*ring, ring[0])
        true = bounding(view.mapping.ring(own))
        if bounding(ring).width > true.width + 1e-6:
            # A small hole, drawn larger.
            runs += [closed] if shown.buffer(0.1).intersects(box(*true)) else []
        else:
            parts = clipped_run(closed, view.window.grown(0.001))
            runs += [run for part in parts for run in runs_within(part, shown)]
    canvas.strokes(runs, Line.VISIBLE if is_bold else Line.EXISTING, key)
    looks = FOLD_LINES if is_bold else EXISTING_FOLD_LINES
    for score, run in laid.score_runs():
        fold = score.fold_seen(laid.faces_front == view.work.from_front)
        canvas.strokes(runs_within(view.mapping.ring(run), shown), looks[fold], "score")


def _draw_edges(canvas: Canvas, view: View) -> None:
    """Faces that stand on edge."""
    for edge in view.work.edges:
        line = Line.VISIBLE if view.is_bold(edge.piece) else Line.EXISTING
        runs = clipped_run(view.mapping.ring(edge.run), view.window.grown(0.001))
        canvas.strokes(runs, line, edge.piece)
        mark_on_edge(canvas, view, edge)


def _caption(
    canvas: Canvas,
    resolved: ResolvedDesign,
    work: Work,
    keys: Sequence[str],
    remarks: Sequence[str],
) -> None:
    """The unit, once, the side seen, and what the hatches mean."""
    wording = words_of(resolved)
    new = [work.pieces[key] for key in keys]
    words = []
    if work.put is Way.LAID and any(piece.offsets is not None for piece in new):
        words.append(unit_word(resolved.edition.units))
    words.append(side_words(resolved, work))
    words.extend(prints_up(resolved, work, keys))
    if any(piece.glue.keep_off for piece in new):
        words.append(wording.phrase("draw_crossed"))
    flush = [wording.phrase(name) for name in FLUSH_REMARKS]
    words += sorted(remarks, key=lambda remark: remark in flush)
    if work.way != (0.0, 0.0):
        words += [loose_words(resolved, p, p.code) for p in new if not p.glue.edges]
    draw_caption(canvas, words)
