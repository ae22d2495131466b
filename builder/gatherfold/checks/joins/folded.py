"""What the rules of joins ask of folds, glue and layers.

In: an assembly.  Out: the folds of a piece that are turned, the glue among what holds, and which of
some layers lies nearer to what they were folded over.
"""

from collections.abc import Iterable, Iterator
from itertools import pairwise

from gatherfold.work import Assembly, Bond, Crease, FaceKey, Look, Plate, Work, is_nearer, shape_of

#: Of the smaller of two faces at least so much has to lie under the other (common practice).
_SHARE = 0.1


def turned(assembly: Assembly, angle: int, *pieces: str) -> Iterator[Crease]:
    """The folds of some pieces that are at an angle now, in degrees towards closing."""
    for fold, crease in assembly.creases.items():
        if fold.piece in pieces and assembly.angle(fold) == angle:
            yield crease


def right_over(assembly: Assembly, *pieces: str) -> Iterator[Crease]:
    """The folds of some pieces that are turned right over."""
    return turned(assembly, 180, *pieces)


def glue_among(bonds: Iterable[Bond]) -> Iterator[Bond]:
    """Those of some bonds that are glue."""
    return (bond for bond in bonds if bond.kind == "glue")


def is_glued_over(work: Work, crease: Crease) -> bool:
    """Whether closing the fold spread glue on its section."""
    closing = (moment for moment in work.moments if moment.operation == "close")
    return any(
        bond.first == crease.hanging for moment in closing for bond in glue_among(moment.bonds)
    )


def outward(assembly: Assembly, base: FaceKey, over: FaceKey) -> Look | None:
    """The way from a face to another one over it; None where that stands on it."""
    axis = assembly.plates[base].axis
    if assembly.plates[over].axis != axis:
        return None
    up = Look(axis, 1)
    return up if is_nearer(assembly, base, over, up) else Look(axis, -1)


def lie_in_turn(assembly: Assembly, look: Look | None, *faces: FaceKey) -> bool:
    """Whether each of some parallel faces lies nearer than the one before, and the last shares its
    place with that."""
    plates = [assembly.plates[face] for face in faces]
    return (
        look is not None
        and all(plate.axis == look.axis for plate in plates)
        and all(is_nearer(assembly, *pair, look) for pair in pairwise(faces))
        and _share_place(*plates[-2:])
    )


def _share_place(first: Plate, second: Plate) -> bool:
    own, other = shape_of(first), shape_of(second)
    return bool(own.intersection(other).area > _SHARE * min(own.area, other.area))
