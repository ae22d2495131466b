"""A scene as SVG 1.1 (W3C Recommendation, second edition) in true millimetres.

In: a :class:`MachineScene`.  Out: the bytes of one file, the same for the same scene.  SVG's y runs
down, so every y is counted from the top edge.  Numbers are decimals of at most four places; in an
inch edition that is exact for sixteenths, and within 0.00005 mm for everything else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from typing import Literal
from xml.sax.saxutils import escape, quoteattr

from builder.choices import Fold
from builder.geometry.outline import Arc, Edge, Line, Point
from builder.machine_files.scene import MachineScene, Pierced, Stroke

_PLACES = 10_000
_Work = Literal["draw", "score", "pierce", "cut"]
#: Colours that are told apart with any colour vision (Okabe and Ito), one for each kind of work.
_COLOURS: dict[_Work, str] = {
    "draw": "#009E73",
    "score": "#0072B2",
    "pierce": "#CC79A7",
    "cut": "#000000",
}
#: Dashes in mm tell folds apart as the printed pattern does.
_DASHES: dict[Fold, str] = {"valley": "2.4 1.2", "mountain": "4.2 0.9 0.4 0.9 0.4 0.9"}

_Place = Callable[[Point], str]


def svg_file(scene: MachineScene) -> bytes:
    """The whole file, with its title and notes."""
    width, height = decimal(scene.width), decimal(scene.height)

    def place(point: Point) -> str:
        return f"{decimal(point.x)},{decimal(scene.height - point.y)}"

    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}">',
        f"<title>{escape(scene.title)}</title>",
        f"<desc>{escape(' '.join(scene.notes))}</desc>",
        *_group("draw", _paths(scene.draw, place)),
        *_group("score", _folds(scene.score, place)),
        *_group("pierce", [_circle(hole, scene.height) for hole in scene.pierce]),
        *_group("cut", _paths(scene.cut, place)),
        "</svg>",
    ]
    return ("\n".join(lines) + "\n").encode()


def decimal(length: Fraction) -> str:
    """The length to at most four places, without needless zeros."""
    rounded = (length * _PLACES + Fraction(1, 2)).__floor__()
    whole, rest = divmod(abs(rounded), _PLACES)
    sign = "-" if rounded < 0 else ""
    return f"{sign}{whole}.{rest:04d}".rstrip("0").rstrip(".")


def _group(name: _Work, content: Iterable[str]) -> list[str]:
    opening = f'<g id="{name}" fill="none" stroke="{_COLOURS[name]}" stroke-width="0.1">'
    return [opening, *content, "</g>"]


def _folds(scores: Sequence[Stroke], place: _Place) -> list[str]:
    lines: list[str] = []
    for fold, dashes in _DASHES.items():
        paths = _paths([stroke for stroke in scores if stroke.kind == fold], place)
        if paths:
            lines += [f'<g id="score-{fold}" stroke-dasharray="{dashes}">', *paths, "</g>"]
    return lines


def _paths(strokes: Sequence[Stroke], place: _Place) -> list[str]:
    return [
        f'<path id={quoteattr(stroke.name)} class="{stroke.kind}" d="{_data(stroke, place)}"/>'
        for stroke in strokes
    ]


def _data(stroke: Stroke, place: _Place) -> str:
    """Path data; the last straight edge of a closed path is its closing."""
    edges = stroke.edges
    if stroke.is_closed and isinstance(edges[-1], Line):
        edges = edges[:-1]
    steps = [f"M {place(stroke.edges[0].start)}", *(_step(edge, place) for edge in edges)]
    return " ".join([*steps, "Z"] if stroke.is_closed else steps)


def _step(edge: Edge, place: _Place) -> str:
    """A line or an arc; no arc is more than half a circle.  Seen with y up, an arc that is not
    clockwise turns against SVG's positive direction."""
    if isinstance(edge, Line):
        return f"L {place(edge.end)}"
    radius = decimal(arc_radius(edge))
    return f"A {radius},{radius} 0 0 {1 if edge.clockwise else 0} {place(edge.end)}"


def arc_radius(arc: Arc) -> Fraction:
    """Exact, because an arc's radii start along an axis."""
    return abs(arc.start.x - arc.centre.x) + abs(arc.start.y - arc.centre.y)


def _circle(hole: Pierced, height: Fraction) -> str:
    x, y, radius = hole.centre.x, height - hole.centre.y, hole.diameter / 2
    place = f'cx="{decimal(x)}" cy="{decimal(y)}" r="{decimal(radius)}"'
    return f"<circle id={quoteattr(hole.name)} {place}/>"
