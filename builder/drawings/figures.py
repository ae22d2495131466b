"""A figure for a document: the inked scene with its size, its alternative in words, and its signs.

In: a scene.  Out: a figure, and the names of the signs that it uses, as the legend has them.  Lines
and fills carry their meaning, and strokes say what they are of.
"""

from __future__ import annotations

from dataclasses import dataclass

from builder.drawings.ink import ink
from builder.drawings.scene import Area, Scene, Strokes
from builder.drawings.styles import Fill, Line


@dataclass(frozen=True)
class Figure:
    """SVG bytes, exactly ``width_mm`` x ``height_mm``; ``alternative`` is its text equivalent,
    ``signs`` are those of the legend that it uses."""

    key: str
    title: str
    svg: bytes
    width_mm: float
    height_mm: float
    alternative: str
    signs: frozenset[str] = frozenset()


def figure(scene: Scene) -> Figure:
    return Figure(
        scene.key,
        scene.title,
        ink(scene),
        scene.width,
        scene.height,
        scene.text_equivalent,
        signs_of(scene),
    )


_BY_LINE = {
    Line.VISIBLE: "visible",
    Line.FAINT: "visible",
    Line.CUT: "cut_number",
    Line.VALLEY: "valley",
    Line.EXISTING_VALLEY: "valley",
    Line.SEEN_VALLEY: "valley",
    Line.MOUNTAIN: "mountain",
    Line.EXISTING_MOUNTAIN: "mountain",
    Line.SEEN_MOUNTAIN: "mountain",
    Line.EXISTING: "existing",
    Line.HIDDEN: "hidden",
    Line.PATH: "path",
    Line.CENTRE: "centre",
    Line.LEADER: "leader",
    Line.GLUE: "glue",
    Line.KEEP_OFF: "keep_off",
    Line.PATTERN: "two_sides",
}
_BY_SUBJECT = {
    "arrow": "fold_arrow",
    "break": "wavy",
    "grain": "grain",
    "head": "head",
    "legs": "head",
    "no print": "no_print",
    "print direction": "print",
    "registration": "joint",
    "running dimension": "running",
    "dimension": "size",
    "tick": "tick",
}
#: How the subject of a picture or region of a printed sheet begins.
_MOTIF = "printed place"
#: Where glue is hatched, a large area may be hatched along its rim only.
_WITH = {"glue": ("glue_rim",)}


def signs_of(scene: Scene) -> frozenset[str]:
    found: set[str] = set()
    for item in scene.items:
        if isinstance(item, Area) and item.fill is Fill.WASTE:
            found.add("waste")
        elif isinstance(item, Strokes):
            found |= _signs_of_strokes(item)
    for name, others in _WITH.items():
        found.update(others if name in found else ())
    return frozenset(found)


def _signs_of_strokes(strokes: Strokes) -> set[str]:
    if strokes.subject.startswith(_MOTIF):
        return {"motif"}
    by_line, by_subject = _BY_LINE.get(strokes.line), _BY_SUBJECT.get(strokes.subject)
    return {name for name in (by_line, by_subject) if name is not None}
