"""Which figures a document has: the finished thing, sheets, pieces, steps and templates.

In: a resolved design and its sheet plans.  Out: :class:`Figure` values by key, inked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from builder.checks.order import named_pieces
from builder.counts.cut_list import CutRow
from builder.drawings.assembly import assembly_scene
from builder.drawings.conventions import calibration_scene, conventions_scene
from builder.drawings.figures import Figure, figure
from builder.drawings.finished_view import cover_scene, finished_scene
from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene
from builder.drawings.sheet_map import sheet_scene
from builder.drawings.templates import template_scenes
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.stock_plans import StockPlan


@dataclass(frozen=True)
class FigureRoom:
    """The largest width and height in mm that a layout gives a kind of figure."""

    width: float
    height: float


@dataclass(frozen=True)
class FigureSet:
    """All figures by key; ``pieces``, ``steps`` and ``templates`` list their keys in order."""

    figures: Mapping[str, Figure]
    pieces: tuple[str, ...]
    templates: tuple[str, ...]


Progress = Callable[[str], None]


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
        for index, sheet in enumerate(stock_plan.plan.sheets, start=1):
            scene = sheet_scene(resolved, key, sheet, index, total, body * 0.56, 98)
            figures[f"sheet-{key}-{index}"] = figure(scene)
    progress("pieces")
    drawn = [row.first for row in rows if not row.first.is_plain]
    for piece in drawn:
        figures[f"piece-{piece.key}"] = figure(piece_scene(resolved, piece.key, body / 2 - 3, 72))
    progress("steps")
    for key, scene in _step_scenes(resolved, body):
        figures[key] = figure(scene)
    progress("templates")
    templates = []
    for piece in drawn:
        if needs_template(piece):
            page = resolved.edition.paper
            room = float(page.width) - 2 * MARGIN, float(page.height) - 2 * MARGIN - 22
            for tile, scene in enumerate(template_scenes(resolved, piece.key, *room), start=1):
                key = f"template-{piece.key}-{tile}"
                figures[key] = figure(scene)
                templates.append(key)
    return FigureSet(figures, tuple(f"piece-{piece.key}" for piece in drawn), tuple(templates))


#: The page margin of the layouts in mm.
MARGIN = 19.0


def needs_template(piece: ResolvedPiece) -> bool:
    """Shaped edges and windows are easier to trace than to measure."""
    return bool(piece.windows or len(piece.outline.edges) > 4)


def _step_scenes(resolved: ResolvedDesign, body: float) -> Iterator[tuple[str, Scene]]:
    """Assembly drawings for every step that joins something, with what is there already.

    What is laid on the side facing the reader and what is laid on the back get a drawing each.
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
        for side, keys in _by_side(resolved, new):
            if keys and step.figure:
                there = tuple(present)
                yield f"step-{number}-{side}", assembly_scene(resolved, keys, there, body, 76)
                present.extend(keys)


def _by_side(resolved: ResolvedDesign, keys: list[str]) -> list[tuple[str, list[str]]]:
    """The pieces that face the reader of the flat design, and those that face away."""
    facing = {face.piece: face.pose.normal[2] > 0 for face in resolved.states["flat"].faces}
    front = [key for key in keys if facing.get(key, True)]
    return [("front", front), ("back", [key for key in keys if key not in front])]
