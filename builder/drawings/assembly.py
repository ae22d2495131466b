"""Where new pieces go: what is there already in thin grey, what is new in bold, with glue.

In: a resolved design, the new pieces, those already present, the room on paper.  Out: a scene,
seen from the side on which the new pieces are laid; drawn flat, before any folding.  New pieces
far apart are shown in enlarged panels side by side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from builder.choices import Fold
from builder.drawings.arrow_marks import mark_upright, mark_way
from builder.drawings.assembly_fastenings import dash_set_end, draw_set_end, set_ends
from builder.drawings.assembly_marks import (
    FLUSH_REMARKS,
    draw_meetings,
    flush_remarks,
    note_flush,
    pierced_through,
)
from builder.drawings.assembly_names import name_pieces, prints_up
from builder.drawings.assembly_stages import stages_of, works_of
from builder.drawings.assembly_view import View, Work, groups_of, view_of
from builder.drawings.assembly_words import assembly_equivalent
from builder.drawings.break_lines import break_off
from builder.drawings.canvas import Canvas
from builder.drawings.captions import draw_caption
from builder.drawings.closed_stack import strip_depth
from builder.drawings.glue_marks import glue_phrases, hatch_glue
from builder.drawings.hidden_edges import dash_hidden
from builder.drawings.offset_dimensions import draw_offsets
from builder.drawings.placed_view import LaidPiece
from builder.drawings.plane import Place, Rect, clipped_ring, clipped_run
from builder.drawings.scene import Scene
from builder.drawings.styles import EXISTING_FOLD_LINES, FOLD_LINES, Fill, Line
from builder.drawings.wording import unit_word, words_of
from builder.resolve.resolved import ResolvedDesign, Score

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
    """Draw where ``new_pieces`` go: on ``present`` ones, or on hosts of their own that are not
    there yet; each seen from the side that most are laid on."""
    works = works_of(resolved, new_pieces, present)
    canvas = Canvas(max_width, max_height)
    remarks: dict[str, None] = {}
    for view, panel in _panels(_groups(works), max_width, max_height):
        drawn, further = _drawn(resolved, view, panel)
        canvas.include(drawn, panel.left)
        remarks |= dict.fromkeys(further)
    _caption(canvas, resolved, works, list(remarks))
    wording = words_of(resolved)
    codes = wording.listed(resolved.pieces[key].code for key in new_pieces)
    title = wording.counted("draw_where", len(new_pieces), codes=codes)
    words = assembly_equivalent(resolved, new_pieces, works[0].from_front)
    return canvas.scene(f"assembly-{'-'.join(new_pieces)}", title, words)


def assembly_scenes(
    resolved: ResolvedDesign,
    new_pieces: Sequence[str],
    present: Sequence[str],
    max_width: float,
    max_height: float,
) -> tuple[Scene, ...]:
    """As many scenes as it takes: one for each stage, so that nothing new hides where another new
    piece goes, and fewer groups in each where that makes them much larger."""
    scenes: list[Scene] = []
    for stage in stages_of(resolved, new_pieces, present):
        there = list(stage.present)
        groups = _groups(works_of(resolved, stage.new, there))
        for batch in _batches(groups, max_width, max_height):
            scenes.append(assembly_scene(resolved, batch, there, max_width, max_height))
            there.extend(batch)
    return tuple(scenes)


#: New pieces of one work that are shown together.
_Group = tuple[Work, Sequence[str]]


def _groups(works: Sequence[Work]) -> list[_Group]:
    return [(work, group) for work in works for group in groups_of(work)]


def _batches(groups: Sequence[_Group], max_width: float, max_height: float) -> list[list[str]]:
    """Groups two by two if that draws them worthwhile larger, else all together."""
    together = _smallest_scale(_panels(groups, max_width, max_height))
    pairs = [groups[i : i + 2] for i in range(0, len(groups), 2)]
    apart = min(_smallest_scale(_columns(pair, max_width, max_height)) for pair in pairs)
    if len(groups) <= 2 or apart <= _WORTHWHILE * together:
        pairs = [groups]
    return [[key for _, group in pair for key in group] for pair in pairs]


_Panels = list[tuple[View, Rect]]


def _panels(groups: Sequence[_Group], max_width: float, max_height: float) -> _Panels:
    """One view of each work, or a column for each group where that is much larger."""
    wholes = {id(work): (work, work.new) for work, _ in groups}
    whole = _columns(list(wholes.values()), max_width, max_height)
    columns = _columns(groups, max_width, max_height)
    is_larger = _smallest_scale(columns) > _WORTHWHILE * _smallest_scale(whole)
    return columns if is_larger else whole


def _columns(groups: Sequence[_Group], max_width: float, max_height: float) -> _Panels:
    width = max_width / len(groups)
    panels = []
    for index, (work, group) in enumerate(groups):
        room = Rect(_SIDE_ROOM, _BOTTOM_ROOM, width - _SIDE_ROOM, max_height - _TOP_ROOM)
        panel = Rect(index * width, 0.0, (index + 1) * width, max_height)
        panels.append((view_of(work, group, room), panel))
    return panels


def _smallest_scale(panels: _Panels) -> float:
    return min(view.mapping.scale for view, _ in panels)


def _drawn(resolved: ResolvedDesign, view: View, panel: Rect) -> tuple[Canvas, list[str]]:
    """One panel, on a canvas of its own, and what is left for the caption to say; drawn again with
    its labels in another order where some found no good place in the first."""
    tries = []
    for order in _ORDERS:
        tries.append(_labelled(resolved, view, panel, *order))
        if not tries[-1][0].misplaced:
            break
    return min(tries, key=lambda drawn: drawn[0].misplaced)


#: Whether what is flush is said before the names, and the names of what hardly shows come first.
_ORDERS = ((False, True), (True, True), (True, False))


def _labelled(
    resolved: ResolvedDesign, view: View, panel: Rect, is_flush_first: bool, is_few_first: bool
) -> tuple[Canvas, list[str]]:
    canvas, wording = Canvas(panel.width, panel.height), words_of(resolved)
    _draw_stack(canvas, resolved, view)
    break_off(canvas, view)
    draw_meetings(canvas, resolved, view)
    # A hole through the host gives a part's place, and needs no second set of distances.
    others = replace(view, labelled=view.labelled - pierced_through(resolved, view))
    draw_offsets(canvas, others, resolved.edition.units)
    # The upright way of prints has to be on their pieces: it goes before all that may be beside.
    mark_upright(canvas, view)
    if is_flush_first:
        note_flush(canvas, resolved, view)
    unseen = name_pieces(canvas, resolved, view, is_few_first)
    if not is_flush_first:
        note_flush(canvas, resolved, view)
    remarks = [wording.phrase(name) for name in glue_phrases(view)]
    remarks += [wording.phrase("draw_laid_on", piece=name) for name in unseen]
    remarks += [wording.phrase(name) for name in flush_remarks(view)]
    mark_way(canvas, view)
    return canvas, remarks


def _draw_stack(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """The pieces and what is set on them already, from the farthest to the nearest."""
    glue, ends = strip_depth(resolved), set_ends(resolved, view)
    for laid in view.stack:
        if view.is_new(laid):
            _draw_new(canvas, view, laid, glue)
        else:
            _draw_present(canvas, view, laid)
        for end in ends:
            if end.piece == laid.piece.key:
                draw_set_end(canvas, view, end)
    dash_hidden(canvas, view)
    for end in ends:
        dash_set_end(canvas, view, end)


def _draw_present(canvas: Canvas, view: View, laid: LaidPiece) -> None:
    outer, *openings = view.rings(laid)
    shown = clipped_ring(outer, view.window)
    if len(shown) < 3:
        return
    kept = [clipped_ring(ring, view.window) for ring in openings]
    canvas.area([shown, *(ring for ring in kept if ring)], Fill.EXISTING)
    runs = [run for ring in (outer, *openings) for run in _edges_within(ring, view.window)]
    canvas.strokes(runs, Line.EXISTING, laid.piece.key)
    for score, run in laid.score_runs():
        folds = clipped_run(view.mapping.ring(run), view.window.grown(0.001))
        canvas.strokes(folds, EXISTING_FOLD_LINES[_fold_seen(view, laid, score)], "score")


def _edges_within(ring: Sequence[Place], window: Rect) -> list[tuple[Place, ...]]:
    return clipped_run((*ring, ring[0]), window.grown(0.001))


def _draw_new(canvas: Canvas, view: View, laid: LaidPiece, glue: Fraction) -> None:
    outer, *openings = view.rings(laid)
    canvas.area([outer, *openings], Fill.PAPER)
    hatch_glue(canvas, view, laid, (outer, *openings), glue)
    for ring in (outer, *openings):
        canvas.outline(ring, Line.VISIBLE, laid.piece.key)
    for score, run in laid.score_runs():
        canvas.strokes([view.mapping.ring(run)], FOLD_LINES[_fold_seen(view, laid, score)], "score")


def _fold_seen(view: View, laid: LaidPiece, score: Score) -> Fold:
    return score.fold_seen(laid.faces_front == view.work.from_front)


def _caption(
    canvas: Canvas, resolved: ResolvedDesign, works: Sequence[Work], remarks: Sequence[str]
) -> None:
    """The unit, once, the side seen, and what the hatches mean."""
    wording = words_of(resolved)
    new = [work.pieces[key] for work in works for key in work.new]
    words = []
    if any(piece.offsets is not None for piece in new):
        words.append(unit_word(resolved.edition.units))
    words.append(wording.phrase(_side_seen(works[0])))
    words.extend(prints_up(resolved, works))
    if any(piece.glue.keep_off for piece in new):
        words.append(wording.phrase("draw_crossed"))
    flush = [wording.phrase(name) for name in FLUSH_REMARKS]
    words += sorted(remarks, key=lambda remark: remark in flush)
    draw_caption(canvas, words)


def _side_seen(work: Work) -> str:
    """The phrase for the side that the drawing shows."""
    if work.is_closed:
        return "draw_closed_front" if work.from_front else "draw_closed_behind"
    return "draw_from_front" if work.from_front else "draw_from_behind"
