"""Every figure of every shipped design, in both editions: nothing overlaps, is clipped or small."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from builder.checks.order import named_pieces
from builder.drawings.assembly import assembly_scenes
from builder.drawings.finished_view import cover_scene, finished_scene, visible_pieces
from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene
from builder.drawings.scene_check import overlaps
from builder.drawings.template_tiles import template_scenes
from builder.drawings.templates import needs_template
from builder.reading import read_design_file
from builder.resolve import resolve
from builder.resolve.edition import EDITIONS
from builder.resolve.resolved import ResolvedDesign
from builder.shipped import DESIGNS

SHIPPED = sorted(DESIGNS.glob("*.yaml"))


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_every_figure_is_legible(path: Path, edition: str) -> None:
    resolved = resolve(read_design_file(path), EDITIONS[edition])
    faults = [f"{scene.key}: {fault}" for scene in _scenes(resolved) for fault in overlaps(scene)]
    assert faults == []


def _scenes(resolved: ResolvedDesign) -> Iterator[Scene]:
    body = float(resolved.edition.paper.width) - 38.0
    yield cover_scene(resolved, body, 150)
    for state in ("open", "closed"):
        for view in ("front", "back"):
            shown = visible_pieces(resolved, state, view)
            yield finished_scene(resolved, state, body, 108, view, shown)
    for key, piece in resolved.pieces.items():
        yield piece_scene(resolved, key, body / 2 - 3, 72)
        if needs_template(piece):
            yield from template_scenes(resolved, key, body, 220)
    yield from _steps(resolved, body)


def _steps(resolved: ResolvedDesign, body: float) -> Iterator[Scene]:
    present = [key for key, piece in resolved.pieces.items() if piece.source.placement is None]
    for step in resolved.design.steps:
        named = (*named_pieces(step, "attach", resolved), *named_pieces(step, "insert", resolved))
        new = [key for key in dict.fromkeys(named) if key not in present]
        if new:
            yield from assembly_scenes(resolved, new, tuple(present), body, 76)
            present.extend(new)
