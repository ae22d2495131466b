"""A scene as SVG 1.1 (W3C Recommendation, second edition) in true millimetres.

In: a :class:`MachineScene`.  Out: the bytes of one file, the same for the same scene.  SVG's y runs
down, so every y is counted from the top edge.  Numbers are decimals of at most four places; in an
inch edition that is exact for sixteenths, and within 0.00005 mm for everything else.
"""

from collections.abc import Callable
from fractions import Fraction
from typing import assert_never
from xml.sax.saxutils import escape, quoteattr

from gatherfold.geometry import Edge, Point, Segment
from gatherfold.lengths import decimal_number
from gatherfold.machine_files.scene import Group, MachineScene, Pierced, Stroke

#: The x and the y of a point, as they are written.
_Place = Callable[[Point], tuple[str, str]]


def svg_file(scene: MachineScene) -> bytes:
    """The whole file, with its title and notes."""
    width, height = decimal(scene.width), decimal(scene.height)

    def place(point: Point) -> tuple[str, str]:
        return decimal(point.x), decimal(scene.height - point.y)

    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}">',
        f"<title>{escape(scene.title)}</title>",
        f"<desc>{escape(' '.join(scene.notes))}</desc>",
    ]
    for group in Group:
        lines += [
            _opening_tag(group),
            *(_element(each, place) for each in scene.work[group]),
            "</g>",
        ]
    lines.append("</svg>")
    return ("\n".join(lines) + "\n").encode()


def decimal(length: Fraction) -> str:
    """The length to at most four places, without needless zeros."""
    return decimal_number(length, 4)


def _opening_tag(group: Group) -> str:
    look = f'fill="none" stroke="{group.value.colour}" stroke-width="0.1"'
    if group.value.dashes:
        look += f' stroke-dasharray="{" ".join(map(str, group.value.dashes))}"'
    return f'<g id="{group.value.name}" {look}>'


def _element(each: Stroke | Pierced, place: _Place) -> str:
    match each:
        case Stroke():
            return f'<path id={quoteattr(each.name)} d="{_data(each, place)}"/>'
        case Pierced():
            (x, y), radius = place(each.centre), decimal(each.diameter / 2)
            return f'<circle id={quoteattr(each.name)} cx="{x}" cy="{y}" r="{radius}"/>'
        case _:
            assert_never(each)


def _data(stroke: Stroke, place: _Place) -> str:
    """Path data; the last straight edge of a closed path is its closing."""
    edges = stroke.edges
    if stroke.is_closed and isinstance(edges[-1], Segment):
        edges = edges[:-1]
    steps = [f"M {','.join(place(stroke.edges[0].start))}", *(_step(edge, place) for edge in edges)]
    return " ".join([*steps, "Z"] if stroke.is_closed else steps)


def _step(edge: Edge, place: _Place) -> str:
    """A line or an arc; no arc is more than half a circle.  Seen with y up, an arc that is not
    clockwise turns against SVG's positive direction."""
    if isinstance(edge, Segment):
        return f"L {','.join(place(edge.end))}"
    radius = decimal(edge.radius)
    return f"A {radius},{radius} 0 0 {1 if edge.clockwise else 0} {','.join(place(edge.end))}"
