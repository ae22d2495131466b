"""How the work rests on the table, and how large it is when it is finished.

In: an assembly, whose base rests with its front up, or the work.  Out: the motion that lays it down
as a maker would, and its extent in mm.
"""

from __future__ import annotations

from fractions import Fraction

from builder.work.assembly import Assembly
from builder.work.moments import Work
from builder.work.opening import without, wrapped_round
from builder.work.plates import FaceKey, Plate, extent
from builder.work.space import AT_REST, AXES, Exact, Rigid, SpaceLine, quarter_turn

#: What is less thick than this share of its shorter side is flat work, and does not stand on edge.
FLAT = Fraction(1, 4)
_UPRIGHT = 2


def laying_down(assembly: Assembly) -> Rigid:
    """The motion that lays flat work down which stands on edge: what was on the left of its base
    comes up, or else what was at the top.

    A book whose spine was at rest comes to lie on its back cover.  Anything else stays as it is.
    """
    sizes = [high - low for low, high in extent(assembly.plates.values())]
    thin = min(AXES, key=lambda axis: (sizes[axis], axis != _UPRIGHT))
    if thin == _UPRIGHT or sizes[thin] >= FLAT * min(sizes[k] for k in AXES if k != thin):
        return AT_REST
    across = SpaceLine(1, (0, 0)) if thin == 0 else SpaceLine(0, (0, 0))
    return quarter_turn(across, 1)


def lying(assembly: Assembly) -> Assembly:
    """An assembly as it lies on the table."""
    return assembly.all_moved(laying_down(assembly))


def lowest_face(assembly: Assembly) -> FaceKey:
    """The largest of the faces that lie lowest: what the work rests on."""
    flat = [plate for plate in assembly.plates.values() if plate.axis == _UPRIGHT]
    low = min(plate.plane for plate in flat)
    return max((plate for plate in flat if plate.plane == low), key=_area).key


def _area(plate: Plate) -> Exact:
    box = plate.bounds
    return (box.high0 - box.low0) * (box.high1 - box.low1)


def finished_size(work: Work) -> tuple[Fraction, Fraction, Fraction] | None:
    """Width, height and depth of the closed work as it lies, in mm, without what is wrapped round
    it; None where nothing is placed.

    Faces are planes here: the thickness of card is not counted.
    """
    rest = without(work.closed, wrapped_round(work.moments, work.closed))
    if not rest.plates:
        return None
    width, height, depth = (
        Fraction(high - low) / work.scale for low, high in extent(lying(rest).plates.values())
    )
    return width, height, depth
