"""What is wrong with a scene's lettering: overlaps, clipping, letters too small, leaders crossed.

In: a scene.  Out: sentences, none when all is well.  The rule: a text may touch no other text
and no line that is visible beneath it.  A line is hidden where a later area covers the text's
place; textures may lie behind boxed lettering only.
"""

from __future__ import annotations

from itertools import pairwise

from builder.drawings.lettering import text_rect
from builder.drawings.plane import Place, Rect, bounding, ring_holds, segment_meets, segments_cross
from builder.drawings.scene import Area, Scene, Strokes, Text
from builder.drawings.styles import SMALLEST_LETTERING_PT, TEXTURES, Fill, Line

#: Metrics are trusted to this many mm.
_TOLERANCE = 0.05


def overlaps(scene: Scene) -> tuple[str, ...]:
    """Every fault of the lettering, as a sentence."""
    faults = [*_clipped(scene), *_too_small(scene), *_on_texts(scene), *_on_lines(scene)]
    return (*faults, *_crossed_leaders(scene))


def _clipped(scene: Scene) -> list[str]:
    frame = Rect(0.0, 0.0, scene.width, scene.height)
    return [
        f"'{text.text}' is clipped by the edge of the drawing"
        for text in scene.texts
        if not frame.contains(text_rect(text), _TOLERANCE)
    ]


def _too_small(scene: Scene) -> list[str]:
    return [
        f"'{text.text}' is set in {text.size_pt} pt, below {SMALLEST_LETTERING_PT} pt"
        for text in scene.texts
        if text.size_pt < SMALLEST_LETTERING_PT
    ]


def _on_texts(scene: Scene) -> list[str]:
    boxes = [(text, text_rect(text).grown(-_TOLERANCE)) for text in scene.texts]
    return [
        f"'{first.text}' overlaps '{second.text}'"
        for index, (first, box) in enumerate(boxes)
        for second, other in boxes[index + 1 :]
        if box.meets(other)
    ]


def _on_lines(scene: Scene) -> list[str]:
    faults = []
    for index, item in enumerate(scene.items):
        if isinstance(item, Text):
            fault = _line_under(scene, index, item)
            if fault is not None:
                faults.append(f"'{item.text}' lies on a line: {fault}")
    return faults


def _line_under(scene: Scene, index: int, text: Text) -> str | None:
    box = text_rect(text).grown(-_TOLERANCE)
    covered = max(
        (
            i
            for i, item in enumerate(scene.items[:index])
            if isinstance(item, Area) and _covers(item, box)
        ),
        default=-1,
    )
    for i, item in enumerate(scene.items):
        if isinstance(item, Area) and item.fill is Fill.INK:
            if any(bounding(ring).meets(box) for ring in item.rings):
                return "an arrowhead or dot"
            continue
        if not isinstance(item, Strokes) or i < covered:
            continue
        if item.line in TEXTURES and text.boxed and i < index:
            continue
        if any(_run_meets(run, box) for run in item.runs):
            return item.line.value
    return None


def _covers(area: Area, box: Rect) -> bool:
    """Whether one ring of the area holds all of the box and its other rings none of it."""
    outer, *inner = area.rings
    if area.fill is Fill.INK or not bounding(outer).contains(box):
        return False
    if not all(ring_holds(outer, corner) for corner in box.ring):
        return False
    if _run_meets((*outer, outer[0]), box):
        return False
    return not any(bounding(ring).meets(box) for ring in inner)


def _run_meets(run: tuple[Place, ...], box: Rect) -> bool:
    return any(segment_meets(a, b, box) for a, b in pairwise(run))


def _crossed_leaders(scene: Scene) -> list[str]:
    leaders = [run for item in scene.strokes(Line.LEADER) for run in item.runs]
    return [
        "two leaders cross"
        for index, first in enumerate(leaders)
        for second in leaders[index + 1 :]
        if segments_cross(first[0], first[-1], second[0], second[-1])
    ]
