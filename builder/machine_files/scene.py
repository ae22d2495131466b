"""What a machine is to do in one file.  Lengths are mm, exact; x to the right and y up.

A scene is as large as the sheet (or as the piece's own rectangle), its origin at the lower left.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from builder.choices import Fold
from builder.geometry.outline import Edge, Point

CutKind = Literal["opening", "outline"]
StrokeKind = Literal[CutKind, Fold, "position"]


@dataclass(frozen=True)
class Stroke:
    """One movement of the tool; of a closed one the last edge ends where the first starts.

    ``kind`` is ``opening`` or ``outline`` of a cut, ``valley`` or ``mountain`` of a score and
    ``position`` of what is drawn.  ``name`` tells it from every other mark of the file.
    """

    name: str
    kind: StrokeKind
    edges: tuple[Edge, ...]
    is_closed: bool


@dataclass(frozen=True)
class Pierced:
    """A small round hole."""

    name: str
    centre: Point
    diameter: Fraction


@dataclass(frozen=True)
class MachineScene:
    """Everything in one file, each kind of work in the order in which it is to be done.

    ``stem`` is the file's name without its ending; ``notes`` are sentences.
    """

    stem: str
    title: str
    notes: tuple[str, ...]
    width: Fraction
    height: Fraction
    draw: tuple[Stroke, ...]
    score: tuple[Stroke, ...]
    pierce: tuple[Pierced, ...]
    cut: tuple[Stroke, ...]
