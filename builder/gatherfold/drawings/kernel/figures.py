"""A figure for a document: a scene inked as SVG, true to size, with its words and its signs.

In: a scene.  Out: a figure, and the names of the signs that it uses, as the legend has them.  Lines
and fills carry their meaning, and strokes say what they are of.

This is the only module of Gatherfold that imports matplotlib.  Inking decides nothing: items are
drawn in order at the places they have, in the looks of ``styles``.  The renderer is used without a
figure, so nothing can rescale, trim or reorder the drawing.  Lettering stays text in the font
family Source Sans Pro, weights 400 and 600; a document that embeds the SVG has to load that family.
The same scene gives the same bytes.
"""

import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from typing import Any

import matplotlib
import matplotlib.font_manager
from matplotlib.backend_bases import GraphicsContextBase
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.transforms import Affine2D, IdentityTransform

from gatherfold.drawings.kernel.lettering import (
    BOLD_FILE,
    BOLD_WEIGHT,
    FONT_FAMILY,
    REGULAR_FILE,
    from_start,
    inked_rect,
    set_fractions,
    typeset,
)
from gatherfold.drawings.kernel.plane import Place
from gatherfold.drawings.kernel.scene import Anchor, Area, Scene, Strokes, Text
from gatherfold.drawings.kernel.styles import Fill, Line

_POINTS_PER_MM = 72 / 25.4
_SETTINGS: Any = {"svg.hashsalt": "gatherfold", "svg.fonttype": "none", "svg.id": None}


def ink(scene: Scene) -> bytes:
    """The scene as an SVG whose width and height are the scene's, in points."""
    with matplotlib.rc_context(_SETTINGS):
        return _Sheet(scene).drawn()


@cache
def _font(bold: bool) -> FontProperties:
    return FontProperties(family=FONT_FAMILY, weight=BOLD_WEIGHT if bold else 400)


@cache
def _register_fonts() -> None:
    for file in (REGULAR_FILE, BOLD_FILE):
        matplotlib.font_manager.fontManager.addfont(file)


#: What the renderer calls the end of a text that stands at its place.
_ALIGNMENTS: dict[Anchor, str] = {"start": "left", "middle": "center", "end": "right"}


@dataclass(frozen=True)
class _Anchored:
    """What the renderer asks of a text to keep its anchor: its place and how it is aligned."""

    x: float
    y: float
    anchor: Anchor

    def get_rotation_mode(self) -> str:
        return "anchor"

    def get_transform(self) -> Any:
        return IdentityTransform()

    def get_unitless_position(self) -> Place:
        return self.x, self.y

    def get_ha(self) -> str:
        return _ALIGNMENTS[self.anchor]


class _Sheet:
    """One SVG being written."""

    def __init__(self, scene: Scene) -> None:
        _register_fonts()
        self._scene = scene
        self._height = scene.height * _POINTS_PER_MM
        self._file = io.StringIO()
        metadata = {
            "Date": None, "Creator": None, "Format": None, "Type": None, "Title": scene.title
        }  # fmt: skip
        make_renderer: Any = RendererSVG
        self._renderer = make_renderer(
            scene.width * _POINTS_PER_MM, self._height, self._file, metadata=metadata
        )
        self._to_points = Affine2D().scale(_POINTS_PER_MM)

    def drawn(self) -> bytes:
        for item in self._scene.items:
            if isinstance(item, Area):
                self._fill(item.rings, item.fill.colour)
            elif isinstance(item, Strokes):
                self._stroke(item)
            else:
                self._write(item)
        self._renderer.finalize()
        return _with_attributes(set_fractions(self._file.getvalue())).encode()

    def _fill(self, rings: Iterable[Sequence[Place]], colour: str) -> None:
        context = GraphicsContextBase()
        context.set_linewidth(0)
        path = _path((*ring, ring[0]) for ring in rings)
        face = matplotlib.colors.to_rgba(colour)
        self._renderer.draw_path(context, path, self._to_points, face)

    def _stroke(self, strokes: Strokes) -> None:
        context = _line_context(strokes.line)
        path = _path(strokes.runs)
        self._renderer.draw_path(context, path, self._to_points, None)

    def _write(self, text: Text) -> None:
        if text.boxed:
            self._fill([inked_rect(text).ring], "#FFFFFF")
        text = from_start(text)
        context = GraphicsContextBase()
        context.set_foreground(text.colour)
        font = _font(text.bold).copy()
        font.set_size(text.size_pt)
        x, y = text.x * _POINTS_PER_MM, text.y * _POINTS_PER_MM
        anchored = _Anchored(x, y, text.anchor)
        self._renderer.draw_text(
            context, x, self._height - y, typeset(text.text), font, text.rotation, False, anchored
        )


#: How the renderer says of all strokes how they are joined; and how it is said of them here.
_OF_ALL = """ <defs>
  <style type="text/css">*{stroke-linejoin: round; stroke-linecap: butt}</style>
 </defs>
"""
_ROOT = '<svg stroke-linejoin="round" stroke-linecap="butt" '
_STYLE, _DECLARED = re.compile(' style="([^"]*)"'), re.compile("([^ :]+): ([^;]*)(?:; )?")


def _with_attributes(svg: str) -> str:
    """The SVG with its looks as attributes: read as CSS, as styles are, they take a page's setting
    longer."""
    svg = svg.replace(_OF_ALL, "", 1).replace("<svg ", _ROOT, 1)
    declared = partial(_DECLARED.sub, r' \1="\2"')
    return _STYLE.sub(lambda style: declared(style[1]), svg)


@cache
def _line_context(line: Line) -> GraphicsContextBase:
    look = line.look
    context = GraphicsContextBase()
    context.set_linewidth(look.width * _POINTS_PER_MM)
    context.set_foreground(look.colour)
    context.set_capstyle("butt")
    context.set_joinstyle("miter")
    if look.dashes:
        context.set_dashes(0, [dash * _POINTS_PER_MM for dash in look.dashes])
    return context


def _path(runs: Iterable[Sequence[Place]]) -> Path:
    vertices: list[Place] = []
    codes: list[Any] = []
    for run in runs:
        vertices.extend(run)
        is_closed = len(run) > 2 and run[0] == run[-1]
        last = Path.CLOSEPOLY if is_closed else Path.LINETO
        codes.extend([Path.MOVETO, *[Path.LINETO] * (len(run) - 2), last])
    return Path(vertices, codes)


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
    return {strokes.line.sign, _BY_SUBJECT.get(strokes.subject, "")} - {""}
