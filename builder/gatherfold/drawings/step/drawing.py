"""A stage of a step: what is there already in thin grey, what is new in bold, with glue.

In: a resolved design, a stage of a step, the room on paper.  Out: scenes of the work at that
moment.  Where pieces are placed it is seen from the side on which they are laid, those far apart in
enlarged panels side by side; where sections are glued as they close, from the side with the glue,
before they are folded, what the step has closed before folded in.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, islice

from gatherfold.drawings.kernel.break_lines import break_off
from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, around, clipped_run
from gatherfold.drawings.kernel.scene import Scene, Sized
from gatherfold.drawings.kernel.styles import EXISTING_FOLD_LINES, FOLD_LINES, Fill, Line
from gatherfold.drawings.kernel.wrapping import draw_caption
from gatherfold.drawings.step.arrows import mark_upright, mark_way
from gatherfold.drawings.step.captions import caption_words, remarks_on, title_words
from gatherfold.drawings.step.distances import draw_distances
from gatherfold.drawings.step.fastenings import dash_set_end, draw_set_end, set_ends
from gatherfold.drawings.step.glue import glue_on, hatch_glue, mark_on_edge
from gatherfold.drawings.step.names import write_names
from gatherfold.drawings.step.sections import draw_sections
from gatherfold.drawings.step.stages import GluedStage, PlacedStage
from gatherfold.drawings.step.view import PicturedWork, View, groups_of, view_of, work_at
from gatherfold.drawings.step.words import equivalent
from gatherfold.drawings.views.features import leading_score
from gatherfold.drawings.views.seen_pieces import SeenPiece, rings_of, runs_within
from gatherfold.drawings.views.sight import COINCIDENT, covered_runs
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import FaceKey

#: How much larger panels have to be before the work is shown in parts.
_WORTHWHILE = 1.3
#: What lettering usually adds to the width and the height of the work, and how wide a caption is.
_LETTERED, _CAPTION = (20.0, 8.0), 90.0
#: A dashed stretch shorter than this on paper says nothing.
_SHORTEST = 0.3
#: New pieces that are shown together.
_Group = tuple[str, ...]


def stage_scenes(
    resolved: ResolvedDesign, stage: PlacedStage | GluedStage, max_width: float, max_height: float
) -> tuple[Scene, ...]:
    """The scene of a stage, or several with fewer new pieces in each where that makes them much
    larger."""
    frame = Rect(0.0, 0.0, max_width, max_height)
    scenes: list[Scene] = []
    shown: list[str] = []
    for groups in _batches(work_at(resolved, stage), frame):
        shown += chain(*groups)
        scenes.append(_scene(resolved, stage.part(shown), groups, frame))
    return tuple(scenes)


def expected_stages(
    resolved: ResolvedDesign, stage: PlacedStage | GluedStage, max_width: float, max_height: float
) -> Iterator[Sized]:
    """About how large the scenes of a stage come out: the work with usual lettering round it."""
    frame, work = Rect(0.0, 0.0, max_width, max_height), work_at(resolved, stage)
    for groups in _batches(work, frame):
        panels = _panels(work, groups, frame)
        shown = around(view.window.moved(panel.left, 0.0) for view, panel in panels)
        wide = max(shown.width + _LETTERED[0], _CAPTION)
        yield min(wide, max_width), shown.height + _LETTERED[1]


def _batches(work: PicturedWork, frame: Rect) -> list[list[_Group]]:
    """The groups of new pieces two by two if that draws them worthwhile larger, else all as one."""
    groups = groups_of(work)
    pairs: list[list[_Group]] = [[*groups[i : i + 2]] for i in range(0, len(groups), 2)]
    apart = min(_smallest_scale(work, pair, frame) for pair in pairs)
    is_larger = apart > _WORTHWHILE * _smallest_scale(work, [work.new], frame)
    return pairs if is_larger else [[work.new]]


def _smallest_scale(work: PicturedWork, groups: Sequence[_Group], frame: Rect) -> float:
    return min(view.mapping.scale for view, _ in _panels(work, groups, frame))


def _panels(work: PicturedWork, groups: Sequence[_Group], frame: Rect) -> list[tuple[View, Rect]]:
    """A view of each group, side by side."""
    panel = frame._replace(right=frame.right / len(groups))
    return [
        (view_of(work, group, panel), panel.moved(index * panel.width, 0.0))
        for index, group in enumerate(groups)
    ]


def _scene(
    resolved: ResolvedDesign, stage: PlacedStage | GluedStage, groups: Sequence[_Group], frame: Rect
) -> Scene:
    """Draw groups of new pieces, the last of their stage."""
    work, new = work_at(resolved, stage), [*chain(*groups)]
    canvas = Canvas(frame.width, frame.height)
    remarks: dict[str, None] = {}
    for view, panel in _panels(work, groups, frame):
        drawn, unwritten = _drawn(view, panel)
        canvas.include(drawn, panel.left)
        remarks |= dict.fromkeys(remarks_on(view, unwritten))
    draw_caption(canvas, caption_words(work, new, list(remarks)))
    subjects = [key.face for key in work.sections]
    key = f"close-{work.sections[0].piece}" if work.sections else "assembly"
    return canvas.scene(
        "-".join([key, *(subjects or new)]),
        title_words(work, new),
        equivalent(work, new),
    )


def _drawn(view: View, panel: Rect) -> tuple[Canvas, tuple[str, ...]]:
    """One panel, on a canvas of its own, and what finds no place in it."""
    canvas = Canvas(panel.width, panel.height)
    _draw_stack(canvas, view)
    break_off(canvas, view.window, [view.mapping.shape(laid.outline) for laid in view.stack])
    if view.work.sections:
        draw_sections(canvas, view)
    else:
        draw_distances(canvas, view)
        # The upright way of prints has to be on their pieces: it goes before what may be beside.
        mark_upright(canvas, view)
        mark_way(canvas, view)
    return canvas, write_names(canvas, view)


def _draw_stack(canvas: Canvas, view: View) -> None:
    """The pieces and what is set on them already, from the farthest to the nearest."""
    ends = set_ends(view)
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
    _dash_hidden(canvas, view)
    for end in ends:
        dash_set_end(canvas, view, end)


def _draw_lines(canvas: Canvas, view: View, laid: SeenPiece) -> None:
    """The edges of what shows of a piece, and its folds that lie flat."""
    key, shown = laid.piece.key, view.shown(laid)
    if shown.is_empty:
        return
    is_bold = view.is_bold(key)
    window, scores = view.window.grown(0.001), laid.score_runs()
    edges = [run for ring in view.rings(laid) for run in clipped_run((*ring, ring[0]), window)]
    folds = (view.mapping.ring(run) for _, run in scores)
    found = runs_within(chain(edges, folds), shown)
    canvas.strokes(
        chain(*islice(found, len(edges))), Line.VISIBLE if is_bold else Line.EXISTING, key
    )
    looks = FOLD_LINES if is_bold else EXISTING_FOLD_LINES
    for (score, _), runs in zip(scores, found, strict=True):
        leading = leading_score(laid.piece, score)
        part = view.work.with_face(FaceKey(key, leading.sides[0]))
        if part is None or part.faces_front == laid.faces_front:
            part, leading = laid, score
        fold = leading.fold_seen(part.faces_front == view.work.from_front)
        canvas.strokes(runs, looks[fold], "score")


def _dash_hidden(canvas: Canvas, view: View) -> None:
    """Dashes for new pieces under what is there, and for faces that new ones are laid on."""
    for laid in view.stack:
        if view.is_new(laid):
            covers = [
                item
                for item in view.later(laid)
                if item.piece.key != laid.piece.key
                and (not view.is_bold(item.piece.key) or laid.shown.is_empty)
            ]
            _dash(canvas, view, laid, view.rings(laid)[0], covers)
    for key in view.new:
        host = view.work.host_of(key)
        if host is not None:
            own = [item for item in view.later(host) if view.is_bold(item.piece.key)]
            face = view.mapping.shape(host.face_shape(view.work.pieces[key].host_face))
            for ring in rings_of(face)[:1]:
                _dash(canvas, view, host, ring, own)


def _dash(
    canvas: Canvas, view: View, laid: SeenPiece, ring: Sequence[Place], covers: Sequence[SeenPiece]
) -> None:
    """The stretches of a ring on paper that lie under a cover."""
    outlines = [view.mapping.shape(item.outline) for item in covers]
    window = view.window.grown(0.001)
    runs = covered_runs(ring, outlines, COINCIDENT * view.mapping.scale, _SHORTEST)
    canvas.strokes(
        [r for run in runs for r in clipped_run(run, window)], Line.HIDDEN, laid.piece.key
    )


def _draw_edges(canvas: Canvas, view: View) -> None:
    """Faces that stand on edge."""
    for edge in view.work.edges:
        line = Line.VISIBLE if view.is_bold(edge.piece) else Line.EXISTING
        runs = clipped_run(view.mapping.ring(edge.run), view.window.grown(0.001))
        canvas.strokes(runs, line, edge.piece)
        mark_on_edge(canvas, view, edge)
