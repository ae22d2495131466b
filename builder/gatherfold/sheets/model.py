"""What the planner takes and gives: pieces and sheets in, a plan of numbered cuts out.

Lengths are integers or Fractions in any one unit. The origin is the lower-left corner of a
sheet as it lies on the bench, x to the right and y up. Everything here is plain frozen data. The
planner itself works in whole numbers: ``scaled`` measures in smaller units, ``unscaled`` goes back.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import lcm
from typing import Any, Literal, TypeVar

from gatherfold.geometry import Axis, EdgeName

Length = int | Fraction

#: Why a piece finds no place.
ProblemCode = Literal[
    "sheet-unknown",
    "piece-larger-than-sheet",
    "pin-outside-sheet",
    "pins-overlap",
    "strip-too-narrow",
    "cut-too-long",
    "not-enough-sheets",
    "no-room-found",
]


@dataclass(frozen=True)
class Pin:
    """Where on the sheet a piece must lie; what is left out is free.

    ``x`` and ``y`` fix the lower-left corner, ``edge`` names the edge of the usable area the
    piece must touch, ``region`` is (x0, y0, x1, y1) which must contain the whole piece.
    """

    x: Length | None = None
    y: Length | None = None
    edge: EdgeName | None = None
    region: tuple[Length, Length, Length, Length] | None = None


@dataclass(frozen=True)
class Rectangle:
    """One physical piece. ``sheet`` restricts it to sheets of that name."""

    key: str
    width: Length
    height: Length
    turns: bool = False
    pin: Pin | None = None
    sheet: str | None = None


@dataclass(frozen=True)
class Sheet:
    """A kind of sheet: ``count`` copies at ``cost`` each (None: as many as needed).

    ``margins`` are the unusable borders (left, right, bottom, top). A scrap on hand is a
    sheet with a count and a cost of 0.
    """

    name: str
    width: Length
    height: Length
    count: int | None = None
    cost: Length = 1
    margins: tuple[Length, Length, Length, Length] = (0, 0, 0, 0)


@dataclass(frozen=True)
class Trimmer:
    """What the trimmer can do: its longest cut, and the narrowest strip it can hold.

    ``guide_step`` is the distance between the marks its guide is set by (0: any setting will do).
    A cut is measured from an edge that puts the guide on a mark wherever one of them does.
    """

    longest_cut: Length | None = None
    narrowest_strip: Length = 0
    guide_step: Length = 0


@dataclass(frozen=True)
class Placed:
    """A piece on a sheet; width and height are as it lies, after turning."""

    key: str
    x: Length
    y: Length
    width: Length
    height: Length
    turned: bool = False


@dataclass(frozen=True)
class Cut:
    """One cut right across a part, edge to edge.

    ``setting`` is the distance from ``edge`` of the part to the cut; a vertical cut divides
    the part into (left, right), a horizontal one into (bottom, top), which is the order of
    ``parts``.
    """

    number: int
    part: int
    axis: Axis
    setting: Length
    edge: EdgeName
    parts: tuple[int, int]


@dataclass(frozen=True)
class Offcut:
    """A part left over when every piece is cut."""

    part: int
    x: Length
    y: Length
    width: Length
    height: Length


@dataclass(frozen=True)
class SheetPlan:
    """One sheet: what lies where, and how to cut it. Part 0 is the whole sheet."""

    sheet: Sheet
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...]
    final: Mapping[int, str]
    offcuts: tuple[Offcut, ...]
    settings: int

    @property
    def largest_offcut(self) -> Offcut | None:
        """The offcut of largest area, or None when nothing is left over."""
        return max(self.offcuts, key=lambda part: part.width * part.height, default=None)


@dataclass(frozen=True)
class Problem:
    """A demand that cannot be met: why, with the numbers and the value that would do.

    ``pieces`` are left unplaced; ``against`` are pieces that stand in their way.
    """

    code: ProblemCode
    pieces: tuple[str, ...]
    message: str
    numbers: Mapping[str, Length] = field(default_factory=dict)
    remedy: Mapping[str, Length | str] = field(default_factory=dict)
    against: tuple[str, ...] = ()


@dataclass(frozen=True)
class Plan:
    """Every sheet to cut, with what is proven about it.

    ``cost`` is the sum of the sheets' costs and ``bound`` a value no plan for the placed
    pieces can go below. ``settings`` counts how often the guide is moved, ``cuts`` the cuts.
    """

    sheets: tuple[SheetPlan, ...]
    cost: Length
    bound: Length
    proven: bool
    status: str
    cuts: int
    settings: int
    unplaced: tuple[Problem, ...] = ()


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
