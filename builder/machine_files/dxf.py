"""A scene as DXF in millimetres, on the layers CUT, SCORE, PIERCE and DRAW.

In: a :class:`MachineScene`.  Out: the bytes of one file, the same for the same scene.  Runs are
LWPOLYLINE entities whose bulges are their arcs; small holes are CIRCLE entities.
"""

from __future__ import annotations

import io
import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from builder.geometry.outline import Arc, Edge
from builder.machine_files.scene import MachineScene, Stroke

#: Layers in the order of the work, each with its colour's number in the DXF colour index.
_LAYERS = {"DRAW": 3, "SCORE": 5, "PIERCE": 6, "CUT": 7}
#: Lengths in mm: the whole pattern, then drawn (positive) and left out (negative) by turns.
_LINETYPES = {
    "VALLEY": (3.6, 2.4, -1.2),
    "MOUNTAIN": (8.1, 4.2, -0.9, 0.4, -0.9, 0.4, -1.3),
}
_MILLIMETRES, _METRIC = 4, 1
_QUARTER = math.tan(math.pi / 8)


def dxf_file(scene: MachineScene) -> bytes:
    """The whole file: its page is the drawing's limits, title and notes are its properties."""
    with _without_clock():
        document = _empty_document(scene)
        space = document.modelspace()
        _add_runs(space, scene.draw, "DRAW")
        for stroke in scene.score:
            _add_runs(space, [stroke], "SCORE", stroke.kind.upper())
        for hole in scene.pierce:
            centre = (float(hole.centre.x), float(hole.centre.y))
            space.add_circle(centre, float(hole.diameter) / 2, dxfattribs={"layer": "PIERCE"})
        _add_runs(space, scene.cut, "CUT")
        text = io.StringIO()
        document.write(text)
    return text.getvalue().encode("utf-8", "dxfreplace")


@contextmanager
def _without_clock() -> Iterator[None]:
    """The same scene gives the same bytes: the library would write the time of day."""
    before = ezdxf.options.write_fixed_meta_data_for_testing
    ezdxf.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before


def _empty_document(scene: MachineScene) -> Drawing:
    document = ezdxf.new("R2007")
    document.header["$INSUNITS"] = _MILLIMETRES
    document.header["$MEASUREMENT"] = _METRIC
    page = (float(scene.width), float(scene.height))
    document.modelspace().reset_limits((0.0, 0.0), page)
    document.header.custom_vars.append("Title", scene.title)
    for number, note in enumerate(scene.notes, start=1):
        document.header.custom_vars.append(f"Note {number}", note)
    for name, pattern in _LINETYPES.items():
        document.linetypes.add(name, list(pattern), description=f"{name.lower()} fold")
    for name, colour in _LAYERS.items():
        document.layers.add(name, color=colour)
    return document


def _add_runs(
    space: Modelspace, strokes: Sequence[Stroke], layer: str, linetype: str = "BYLAYER"
) -> None:
    for stroke in strokes:
        points = [(float(e.start.x), float(e.start.y), _bulge(e)) for e in stroke.edges]
        if not stroke.is_closed:
            end = stroke.edges[-1].end
            points.append((float(end.x), float(end.y), 0.0))
        space.add_lwpolyline(
            points,
            format="xyb",
            close=stroke.is_closed,
            dxfattribs={"layer": layer, "linetype": linetype},
        )


def _bulge(edge: Edge) -> float:
    """The tangent of a quarter of the arc's angle, negative for a clockwise one."""
    if not isinstance(edge, Arc):
        return 0.0
    is_half = edge.start.x + edge.end.x == 2 * edge.centre.x and (
        edge.start.y + edge.end.y == 2 * edge.centre.y
    )
    bulge = 1.0 if is_half else _QUARTER
    return -bulge if edge.clockwise else bulge
