"""What is true of each kind of piece: the one table to write a new kind into.

In: the kind that a design calls a piece.  Out: facts that checks, counts and drawings ask for.
"""

from __future__ import annotations

from enum import Enum, auto

from builder.choices import PieceKind


class Trait(Enum):
    """Something that holds of a piece because of what it is."""

    #: It lies beside its like on one face; anything else may lie over its neighbour on purpose.
    SIDE_BY_SIDE = auto()
    #: It hides for good what it is glued over.
    HIDES = auto()
    CARRIES_PHOTOGRAPH = auto()
    #: It frames something: its left and right borders are equal.
    FRAMES = auto()
    #: It may not reach beyond the face that it lies on.
    WITHIN_HOST = auto()
    #: It may not reach beyond the covers when the work is closed.
    WITHIN_COVERS = auto()
    #: The covers of the work are made of it.
    COVERS = auto()
    #: It leaves the folds on both sides of it free.
    BETWEEN_FOLDS = auto()
    #: It is hard to take off again, and so laid in place without glue first.
    HARD_TO_MOVE = auto()
    #: Cards are kept in it.
    HOLDS_CARDS = auto()
    #: It seals closed work: over the edge that it holds down, or folded round all of it.
    SEALS_EDGE = auto()
    GOES_ROUND = auto()


TRAITS: dict[PieceKind, frozenset[Trait]] = {
    "panel": frozenset({Trait.HIDES, Trait.COVERS}),
    "spine": frozenset({Trait.HARD_TO_MOVE}),
    "hinge": frozenset({Trait.HARD_TO_MOVE}),
    "gusset": frozenset(),
    "flap": frozenset({Trait.WITHIN_COVERS, Trait.HARD_TO_MOVE}),
    "pocket": frozenset(
        {
            Trait.HIDES,
            Trait.WITHIN_HOST,
            Trait.WITHIN_COVERS,
            Trait.HARD_TO_MOVE,
            Trait.HOLDS_CARDS,
        }
    ),
    "band": frozenset({Trait.GOES_ROUND}),
    "mat": frozenset(
        {
            Trait.SIDE_BY_SIDE,
            Trait.FRAMES,
            Trait.WITHIN_HOST,
            Trait.WITHIN_COVERS,
            Trait.BETWEEN_FOLDS,
        }
    ),
    "photo mat": frozenset(
        {
            Trait.SIDE_BY_SIDE,
            Trait.CARRIES_PHOTOGRAPH,
            Trait.WITHIN_HOST,
            Trait.BETWEEN_FOLDS,
        }
    ),
    "strip": frozenset({Trait.SIDE_BY_SIDE, Trait.WITHIN_HOST, Trait.BETWEEN_FOLDS}),
    "tag": frozenset({Trait.BETWEEN_FOLDS, Trait.SEALS_EDGE}),
    "insert": frozenset({Trait.BETWEEN_FOLDS, Trait.HOLDS_CARDS}),
    "tab": frozenset(),
    "tray": frozenset(),
    "lid": frozenset(),
    "envelope": frozenset(),
    "liner": frozenset({Trait.WITHIN_HOST, Trait.BETWEEN_FOLDS}),
    "card": frozenset({Trait.BETWEEN_FOLDS}),
    "piece": frozenset(),
}
