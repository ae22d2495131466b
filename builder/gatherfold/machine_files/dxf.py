"""A scene as DXF in millimetres, on a layer for each group of work.

In: a :class:`MachineScene`.  Out: the bytes of one file, the same for the same scene.  Runs are
LWPOLYLINE entities whose bulges are their arcs; small holes are CIRCLE entities.
"""

import io
import math
from collections.abc import Iterator
from contextlib import contextmanager
from typing import assert_never

import ezdxf
from ezdxf.document import Drawing
from ezdxf.layouts import Modelspace

from gatherfold.geometry import Arc, Edge
from gatherfold.machine_files.scene import Group, MachineScene, Pierced, Stroke

_MILLIMETRES, _METRIC = 4, 1
_QUARTER = math.tan(math.pi / 8)


def dxf_file(scene: MachineScene) -> bytes:
    """The whole file: its page is the drawing's limits, title and notes are its properties."""
    with _without_clock():
        document = _empty_document(scene)
        space = document.modelspace()
        for group in Group:
            for each in scene.work[group]:
                _add(space, each, group.value.name)
        # The library keeps some of its classes in a set and would write them in any order.
        document.classes.add_required_classes(document.dxfversion)
        document.classes.classes = dict(sorted(document.classes.classes.items()))
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
    for look in (group.value for group in Group):
        if look.dashes:
            # The length of the whole pattern; what is left out is negative.
            signed = [dash * (-1) ** place for place, dash in enumerate(look.dashes)]
            name = look.linetype
            pattern = [sum(look.dashes), *signed]
            document.linetypes.add(name, pattern, description=f"{name.lower()} fold")
        document.layers.add(look.name, color=look.dxf_colour, linetype=look.linetype)
    return document


def _add(space: Modelspace, each: Stroke | Pierced, layer: str) -> None:
    """Add an entity that looks as its layer does."""
    match each:
        case Stroke():
            points = [(float(e.start.x), float(e.start.y), _bulge(e)) for e in each.edges]
            if not each.is_closed:
                end = each.edges[-1].end
                points.append((float(end.x), float(end.y), 0.0))
            space.add_lwpolyline(
                points, format="xyb", close=each.is_closed, dxfattribs={"layer": layer}
            )
        case Pierced():
            centre = (float(each.centre.x), float(each.centre.y))
            space.add_circle(centre, float(each.diameter) / 2, dxfattribs={"layer": layer})
        case _:
            assert_never(each)


def _bulge(edge: Edge) -> float:
    """The tangent of a quarter of the arc's angle, negative for a clockwise one."""
    if not isinstance(edge, Arc):
        return 0.0
    is_half = edge.start.x + edge.end.x == 2 * edge.centre.x and (
        edge.start.y + edge.end.y == 2 * edge.centre.y
    )
    bulge = 1.0 if is_half else _QUARTER
    return -bulge if edge.clockwise else bulge
