"""The steps of a design as they are written: their words, what they do, and what is accepted.

In: nothing.  Out: types that :mod:`gatherfold.model.design` is made of.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from gatherfold.findings import Position

#: What a step does, in the order in which a maker usually does it.
Operation = Literal[
    "cut", "divide", "score", "fold", "ink", "dry_fit", "attach", "close", "open", "fasten",
    "insert",
]  # fmt: skip
OPERATIONS: tuple[Operation, ...] = get_args(Operation)


@dataclass(frozen=True)
class Step:
    """One instruction: Markdown text and the operations it carries out, by name.

    ``operations`` are in the order in which the step writes them.
    """

    key: str
    title: str
    text: str
    text_position: Position
    operations: Mapping[Operation, tuple[str, ...]]
    places: Mapping[tuple[str, str], Position]
    picture: str | None
    figure: bool
    position: Position


@dataclass(frozen=True)
class Accepted:
    """Advice that the designer leaves as it is, by its code, and why.

    ``about`` is the part of the design that the advice speaks of; empty, every part is meant.
    """

    advice: str
    about: str
    because: str
    position: Position
    about_position: Position
