"""Which figures a document has: the finished thing, sheets, pieces, steps and templates.

In: a resolved design and its sheet plans.  Out: :class:`Figure` values by key, inked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from builder.counts.cut_list import CutRow
from builder.drawings.assembly import assembly_scenes
from builder.drawings.conventions import calibration_scene, conventions_scene
from builder.drawings.fastening import fastening_scene
from builder.drawings.figures import Figure, figure
from builder.drawings.finished_view import cover_scene, finished_scene
from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene
from builder.drawings.sheet_map import sheet_scene
from builder.drawings.templates import needs_template, template_pages
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings, named_pieces
from builder.sheets import SheetPlan
from builder.stock_plans import StockPlan


@dataclass(frozen=True)
class FigureSet:
    """All figures by key; ``templates`` lists the keys of the template pages in order."""

    figures: Mapping[str, Figure]
    templates: tuple[str, ...]


Progress = Callable[[str], None]

#: A sheet with more cuts than this has a large map, and its cuts below it.
MOST_CUTS_BESIDE = 16


def is_crowded(sheet: SheetPlan) -> bool:
    """Whether a sheet has too many cuts for a small map."""
    return len(sheet.cuts) > MOST_CUTS_BESIDE


def draw_figures(
    resolved: ResolvedDesign,
    plans: Mapping[str, StockPlan],
    rows: tuple[CutRow, ...],
    progress: Progress,
) -> FigureSet:
    """Every figure of the edition, drawn and inked."""
    figures: dict[str, Figure] = {}
    body = float(resolved.edition.paper.width) - 2 * MARGIN
    progress("finished views")
    figures["cover"] = figure(cover_scene(resolved, body, 150))
    figures["open"] = figure(finished_scene(resolved, "open", body, 108))
    figures["closed"] = figure(finished_scene(resolved, "closed", body, 88))
    figures["legend"] = figure(conventions_scene(body))
    figures["calibration"] = figure(calibration_scene(resolved.edition))
    progress("sheet maps")
    for key, stock_plan in plans.items():
        total = len(stock_plan.plan.sheets)
        for alike in stock_plan.alike:
            sheet = stock_plan.plan.sheets[alike[0] - 1]
            room = (body, 136.0) if is_crowded(sheet) else (body * 0.6, 98.0)
            scene = sheet_scene(resolved, key, sheet, alike[0], total, *room, last=alike[-1])
            figures[f"sheet-{key}-{alike[0]}"] = figure(scene)
    progress("pieces")
    drawn = [row.first for row in rows if not row.first.is_plain]
    for piece in drawn:
        figures[f"piece-{piece.key}"] = figure(piece_scene(resolved, piece.key, body / 2 - 3, 72))
    progress("steps")
    for key, scene in _step_scenes(resolved, body):
        figures[key] = figure(scene)
    progress("templates")
    page = resolved.edition.paper
    room = float(page.width) - 2 * MARGIN, float(page.height) - 2 * MARGIN - 22
    shaped = [piece.key for piece in drawn if needs_template(piece)]
    templates = []
    for number, scene in enumerate(template_pages(resolved, shaped, *room), start=1):
        templates.append(f"template-{number}")
        figures[templates[-1]] = figure(scene)
    return FigureSet(figures, tuple(templates))


#: The page margin of the layouts in mm.
MARGIN = 19.0


def _step_scenes(resolved: ResolvedDesign, body: float) -> Iterator[tuple[str, Scene]]:
    """Assembly drawings for every step that joins something, with what is there already.

    What is laid on different sides, or far apart, gets a drawing each, and so does each fastening.
    """
    present: list[str] = [key for key, p in resolved.pieces.items() if p.source.placement is None]
    for number, step in enumerate(resolved.design.steps, start=1):
        new = [
            key
            for key in (
                *named_pieces(step, "attach", resolved),
                *named_pieces(step, "insert", resolved),
            )
            if key not in present
        ]
        if new and step.figure:
            scenes = assembly_scenes(resolved, new, tuple(present), body, 76)
            yield from ((f"step-{number}-{index}", scene) for index, scene in enumerate(scenes, 1))
        for key in named_fastenings(step, resolved):
            if resolved.fastenings[key].point is not None and step.figure:
                yield f"step-{number}-{key}", fastening_scene(resolved, key, body, 70)
        present.extend(new)
