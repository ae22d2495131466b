"""What the rules of joins ask of folds, glue and layers.

In: an assembly.  Out: the folds of a piece that are turned, the glue among what holds, and the way
from a face to what was folded over it.
"""

from collections.abc import Iterable, Iterator

from gatherfold.work import Assembly, Bond, Crease, FaceKey, Look, Work, is_nearer


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
