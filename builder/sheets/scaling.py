"""Whole numbers for the planner: lengths times the least common denominator, and back.

In: pieces, sheets and trimmer in integers or Fractions. Out: the same with integers alone; and a
plan in integers turned back into the unit it was asked in.
"""

from collections.abc import Callable, Iterable
from dataclasses import replace
from fractions import Fraction
from math import lcm
from typing import Any, TypeVar

from builder.sheets.model import Length, Rectangle, Sheet, SheetPlan, Trimmer

T = TypeVar("T", Rectangle, Sheet, Trimmer)
#: The fields that are lengths or hold what has lengths; prices and numbers are none.
LENGTHS = frozenset(
    {"x", "y", "width", "height", "pin", "region", "margins", "setting"}
    | {"longest_cut", "narrowest_strip", "guide_step", "placed", "cuts", "offcuts"}
)


def scale_of(things: Iterable[Rectangle | Sheet | Trimmer]) -> int:
    """The least factor that makes every length whole."""
    denominators: set[int] = set()

    def note(length: Length) -> Length:
        if not isinstance(length, int | Fraction):
            raise TypeError(f"a length must be an integer or a Fraction, not {length!r}")
        denominators.add(length.denominator)
        return length

    for thing in things:
        _changed(thing, note)
    return lcm(*denominators)


def scaled(thing: T, factor: int) -> T:
    """The same in units that are so many times smaller."""
    whole: T = _changed(thing, lambda length: int(length * factor))
    return whole


def unscaled(plan: SheetPlan, sheet: Sheet, factor: int) -> SheetPlan:
    """A plan in small units as one of the caller's own sheet."""

    def larger(length: Length) -> Length:
        back = Fraction(length) / factor
        return int(back) if back.denominator == 1 else back

    own: SheetPlan = replace(_changed(plan, larger), sheet=sheet)
    return own


def _changed(value: Any, change: Callable[[Length], Length]) -> Any:
    """A value with every length in it changed."""
    if value is None:
        return None
    if isinstance(value, tuple):
        return tuple(_changed(each, change) for each in value)
    fields = getattr(value, "__dataclass_fields__", None)
    if fields is None:
        return change(value)
    return replace(
        value, **{n: _changed(getattr(value, n), change) for n in fields if n in LENGTHS}
    )
