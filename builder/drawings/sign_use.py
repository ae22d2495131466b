"""Which lines and signs of the legend a drawing uses.

In: a scene.  Out: names of signs, as the legend has them.  Lines and fills carry their meaning, and
strokes say what they are of.
"""

from __future__ import annotations

from builder.drawings.scene import Area, Scene, Strokes
from builder.drawings.styles import Fill, Line

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
