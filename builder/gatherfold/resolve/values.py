"""Names → exact values in one edition: measures, piece sizes, section sizes, stock thickness.

In: a :class:`Design` and an :class:`Edition`.  Out: lengths in mm on demand, each computed once;
problems are collected as findings and never reported twice.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from fractions import Fraction
from functools import partial
from typing import Protocol, TypeVar

from gatherfold.findings import Position, Problems, suggestion
from gatherfold.formulas import (
    Formula,
    FormulaProblem,
    Pair,
    Quantity,
    Scope,
    Value,
    length,
    pair,
    value,
)
from gatherfold.geometry import (
    EDGES,
    EXTENTS,
    EdgeName,
    Extent,
    ends_across,
    is_upright,
    is_width,
    other_extent,
)
from gatherfold.lengths import NOTHING, nearest_on_grid
from gatherfold.model import (
    Design,
    Expression,
    Piece,
    Placement,
    Section,
    Stock,
    default_caliper,
    narrowed,
)
from gatherfold.resolve.edition import Edition
from gatherfold.resolve.resolved import Given

_Result = TypeVar("_Result")


class _Placed(Protocol):
    """A part of a design that knows where it is written."""

    @property
    def position(self) -> Position: ...


_Part = TypeVar("_Part", bound=_Placed)

#: How deep formulas may lie within one another, counted in calls, well within Python's own limit.
_MOST_DEPTH = 250
_DEPTH_OF_A_NAME = 3

CHECK_FORMULA = "Check its formula."


class Unresolved(Exception):
    """A value cannot be computed; the reason is already among the findings."""


#: What a value is known by: what a formula calls it, and for a section its direction as well.
_Name = tuple[str, ...]


def _as_written(name: _Name) -> str:
    return ".".join(name[:2])


class Values:
    """Evaluates a design's formulas in one edition.

    Lengths the designer typed snap to the edition's grid unless this is her own edition;
    ``actual`` measures, sheets, ribbons and fastenings keep their true size.  ``shifts`` moves
    single snapped lengths by so many steps of the grid; ``given`` notes all that snapped.
    """

    def __init__(
        self, design: Design, edition: Edition, shifts: Mapping[Position, int] | None = None
    ) -> None:
        self.design = design
        self.edition = edition
        self.findings = Problems()
        self.report = self.findings.report
        self.given: dict[Position, Given] = {}
        self._shifts = shifts or {}
        self._known: dict[_Name, Value] = {}
        self._failed: set[_Name] = set()
        self._open: list[_Name] = []
        self._depth = 0

    # Expressions

    def length_of(self, expression: Expression, actual: bool = False) -> Fraction:
        """The expression as one length; raises :class:`Unresolved` after reporting why not."""
        return self._evaluated(expression, actual, length)

    def length_if_given(self, expression: Expression | None, actual: bool = False) -> Fraction:
        """The length, or nothing where none is written."""
        return NOTHING if expression is None else self.length_of(expression, actual)

    def pair_of(self, expression: Expression, actual: bool = False) -> Pair:
        return self._evaluated(expression, actual, pair)

    def lengths_of(self, written: Mapping[EdgeName, Expression]) -> dict[EdgeName, Fraction]:
        """The lengths that are written for edges."""
        return {edge: self.length_of(expression) for edge, expression in written.items()}

    def value_of(self, expression: Expression, actual: bool = False) -> Value:
        return self._evaluated(expression, actual, value)

    def _evaluated(
        self,
        expression: Expression,
        actual: bool,
        evaluate: Callable[[Formula, Scope], _Result],
    ) -> _Result:
        snap = partial(self._snapped, expression.position)
        as_given = (lambda typed, _: typed) if actual else snap
        scope = Scope(self._lookup, self.design.unit, as_given, self.edition.grid)
        formula = expression.formula
        try:
            with self._deeper(formula.height + _DEPTH_OF_A_NAME):
                return evaluate(formula, scope)
        except FormulaProblem as problem:
            position = expression.position.along(problem.offset)
            message = f"in '{formula.text}': {problem.message}"
            raise self.refused(problem.code, position, message, problem.remedy) from None

    @contextmanager
    def _deeper(self, depth: int) -> Iterator[None]:
        """Count the calls that formulas within one another take, and refuse too many."""
        self._depth += depth
        try:
            if self._depth > _MOST_DEPTH:
                message = "too many formulas wait for one another here"
                remedy = "Write each measure after those that it needs."
                raise FormulaProblem("too-deep", message, remedy)
            yield
        finally:
            self._depth -= depth

    def _snapped(self, start: Position, typed: Fraction, offset: int) -> Fraction:
        """A typed length as this edition uses it: kept in the designer's own, snapped else."""
        position, grid = start.along(offset), self.edition.grid
        kept = self.edition.name == self.design.native
        value = typed if kept else nearest_on_grid(typed, grid)
        value += self._shifts.get(position, 0) * grid
        name = _as_written(self._open[-1]) if self._open else ""
        self.given.setdefault(position, Given(position, name, typed, value))
        return value

    # Problems

    def refused(self, code: str, position: Position, message: str, remedy: str = "") -> Unresolved:
        """Report what is wrong; what to raise where nothing can be computed without it."""
        self.report(code, position, message, remedy)
        return Unresolved(message)

    def measured(
        self,
        expression: Expression | None,
        what: str,
        actual: bool = False,
        may_be_nothing: bool = False,
    ) -> Fraction:
        """A length that has to be above zero, or at least not below; zero where none is given, or
        none can be computed."""
        if expression is None:
            return NOTHING
        try:
            found = self.length_of(expression, actual)
        except Unresolved:
            return NOTHING
        if found < 0 or (found == 0 and not may_be_nothing):
            least = "less than nothing" if may_be_nothing else "nothing or less"
            message = f"{what} comes to {least}"
            self.report("negative-size", expression.position, message, CHECK_FORMULA)
        return found

    def size_of(
        self, expression: Expression, what: str, actual: bool = False, or_square: bool = False
    ) -> Pair:
        """A size, or one length for a square, both of it above zero; raises :class:`Unresolved`
        after reporting another."""
        size = self.value_of(expression) if or_square else self.pair_of(expression, actual)
        if isinstance(size, Quantity):
            size = Pair(size.value, size.value)
        if min(size.width, size.height) > 0:
            return size
        message = f"the size of {what} comes to nothing or less"
        raise self.refused("negative-size", expression.position, message, CHECK_FORMULA)

    def all_of(
        self, parts: Mapping[str, _Part], resolve: Callable[[_Part], _Result]
    ) -> dict[str, _Result]:
        """Every part that can be computed, by its key; what is wrong with others is reported."""
        found: dict[str, _Result] = {}
        for key, part in parts.items():
            try:
                found[key] = resolve(part)
            except Unresolved:
                continue
            except FormulaProblem as problem:
                self.report(problem.code, part.position, problem.message, problem.remedy)
        return found

    # Names

    def measure(self, name: str) -> Value:
        """The value of a measure."""
        return self._once((name,), partial(self._compute_measure, name))

    def extent(self, piece: Piece, axis: Extent) -> Fraction:
        """The piece's ``width`` or ``height``."""
        return self._length_once((piece.key, axis), partial(self._compute_extent, piece, axis))

    def extents(self, piece: Piece) -> tuple[Fraction, Fraction]:
        """Width and height; what is wrong with either is reported before giving up."""
        found = []
        for axis in EXTENTS:
            with suppress(Unresolved):
                found.append(self.extent(piece, axis))
        if len(found) < 2:
            raise Unresolved(piece.key)
        return found[0], found[1]

    def face_extent(self, piece: Piece, face: str | None, axis: Extent) -> Fraction:
        """The size of one face along an axis; the whole piece where it has no such sections."""
        tab = next((tab for tab in piece.tabs if tab.name == face), None)
        if tab is not None:
            if is_upright(tab.edge) == is_width(axis):
                return self.length_of(tab.depth)
            face = tab.section
        section = _section_on(piece, face, axis)
        return self.extent(piece, axis) if section is None else self.section(piece, section)

    def section(self, piece: Piece, section: Section) -> Fraction:
        """The size of one section of a piece."""
        axis = "across" if section in piece.across else "up"
        name = (piece.key, section.name, axis)
        return self._length_once(name, partial(self.length_of, section.size))

    def _length_once(self, name: _Name, compute: Callable[[], Fraction]) -> Fraction:
        result = self._once(name, lambda: Quantity(compute(), 1))
        assert isinstance(result, Quantity)
        return result.value

    def _once(self, name: _Name, compute: Callable[[], Value]) -> Value:
        if name in self._known:
            return self._known[name]
        if name in self._failed:
            raise Unresolved(_as_written(name))
        if name in self._open:
            names = [*self._open[self._open.index(name) :], name]
            loop = " → ".join(_as_written(name) for name in names)
            message = f"these depend on each other in a circle: {loop}"
            raise FormulaProblem("cycle", message, "Give one of them a value of its own.")
        self._open.append(name)
        try:
            with self._deeper(_DEPTH_OF_A_NAME):
                self._known[name] = compute()
        except Unresolved:
            self._failed.add(name)
            raise
        finally:
            self._open.pop()
        return self._known[name]

    def _lookup(self, name: str) -> Value:
        head, _, tail = name.partition(".")
        if head in self.design.measures:
            found = _part_of(self.measure(head), tail)
            if found is not None:
                return found
            message = f"'{head}' has no '{tail}'"
            raise FormulaProblem("unknown-name", message, "Only a size has .width and .height.")
        if head in self.design.pieces and tail:
            return self._piece_part(self.design.pieces[head], tail)
        if head in self.design.stocks and tail == "thickness":
            return Quantity(self.caliper(self.design.stocks[head]), 1)
        if head in self.design.pieces:
            message, remedy = f"'{name}' is a piece, not a length", f"Write '{head}.width' or so."
        elif tail and head not in self.design.stocks:
            message = f"there is no piece or measure '{head}'"
            remedy = suggestion(head, [*self.design.measures, *self.design.pieces])
        else:
            message = f"there is no measure '{name}'"
            known = [*self.design.measures, *(f"{key}.width" for key in self.design.pieces)]
            remedy = suggestion(name, known, "a measure")
        raise FormulaProblem("unknown-name", message, remedy)

    def _piece_part(self, piece: Piece, part: str) -> Value:
        """``.width``, ``.height``, or a section; one that both directions share is a size."""
        name, _, side = part.partition(".")
        extent, sections = narrowed(part, EXTENTS), (*piece.across, *piece.up)
        sizes = [self.section(piece, each) for each in sections if each.name == name]
        found: Value | None = None
        if extent is not None:
            found = Quantity(self.extent(piece, extent), 1)
        elif sizes:
            found = _part_of(Pair(*sizes) if len(sizes) > 1 else Quantity(sizes[0], 1), side)
        if found is not None:
            return found
        known = [*EXTENTS, *(section.name for section in sections)]
        message = f"piece '{piece.key}' has no '{part}'"
        raise FormulaProblem("unknown-name", message, suggestion(part, known))

    def caliper(self, stock: Stock) -> Fraction:
        """The thickness of one layer of a stock: given, or an indicative one by its weight."""
        if stock.caliper is None:
            return default_caliper(stock)
        measured = partial(self.length_of, stock.caliper, actual=True)
        return self._length_once((stock.key, "thickness"), measured)

    # Computing

    def _compute_measure(self, name: str) -> Value:
        measure = self.design.measures[name]
        fixed = measure.fixed.get(self.edition.name)
        return self.value_of(fixed or measure.expression, measure.actual or fixed is not None)

    def _compute_extent(self, piece: Piece, axis: Extent) -> Fraction:
        sections = piece.across if is_width(axis) else piece.up
        written = piece.width if is_width(axis) else piece.height
        if sections:
            return sum((self.section(piece, section) for section in sections), Fraction(0))
        if piece.size is not None:
            return _along(self.pair_of(piece.size), axis)
        return self._filling(piece, axis) if written is None else self.length_of(written)

    def _filling(self, piece: Piece, axis: Extent) -> Fraction:
        """The extent that fills what the distances to the host's edges leave."""
        placement = piece.placement
        if placement is not None:
            host_axis = axis if placement.turned in (0, 180) else other_extent(axis)
            ends = ends_across("vertical" if is_width(host_axis) else "horizontal")
            first, second = (self._given_distance(placement, edge) for edge in ends)
            if first is not None and second is not None:
                host = self.design.pieces[placement.host]
                return self.face_extent(host, placement.host_face, host_axis) - first - second
        message = f"the {axis} of piece '{piece.key}' is not given and nothing determines it"
        remedy = f"Add '{axis}:' (or 'size:'), or the distances to both edges of its host."
        raise self.refused("missing-size", piece.position, message, remedy)

    def _given_distance(self, placement: Placement, edge: EdgeName) -> Fraction | None:
        expression = placement.distances.get(edge, placement.leaving)
        return None if expression is None else self.length_of(expression)

    def distances(self, placement: Placement) -> dict[EdgeName, Fraction]:
        """The distances to the host's edges that the design gives."""
        found = {edge: self._given_distance(placement, edge) for edge in EDGES}
        return {edge: distance for edge, distance in found.items() if distance is not None}


def _along(size: Pair, extent: Extent) -> Fraction:
    return size.width if is_width(extent) else size.height


def _part_of(whole: Value, part: str) -> Value | None:
    """The width or the height of a size, or all of any value where no part is named."""
    extent = narrowed(part, EXTENTS)
    if isinstance(whole, Pair) and extent is not None:
        return Quantity(_along(whole, extent), 1)
    return None if part else whole


def _section_on(piece: Piece, face: str | None, axis: Extent) -> Section | None:
    """The section of the piece that a face spans along an axis, when there are sections.

    In a grid of sections the face name of a cell is that of its column or of its row, and the
    shared section stands for the other.
    """
    sections = piece.across if is_width(axis) else piece.up
    crossing = piece.up if is_width(axis) else piece.across
    if not sections or face is None:
        return None
    named = {section.name: section for section in sections}
    if face in named:
        return named[face]
    return next((s for s in sections if s.name in {c.name for c in crossing}), None)
