"""Remedies that work: one typed length with another number, tried before it is proposed.

In: a design, and a finding of its own edition.  Out: what to type where, after which the finding is
gone in both editions and nothing new is wrong; or nothing.

Of a length within a rule it is known how it changes with each typed length, so the number is worked
out.  Of other findings it is not, and nothing is proposed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import islice
from math import ceil, floor

from gatherfold.checks import Condition, Rule, check_all, conditions
from gatherfold.editions.typed_lengths import formulas_behind, retyped
from gatherfold.findings import DesignUnreadable, Finding, Position, Severity
from gatherfold.formulas import Literal, lengths_in
from gatherfold.lengths import MILLIMETRE, mixed_number
from gatherfold.model import Design
from gatherfold.native_edition import settle
from gatherfold.resolve import EDITIONS, ResolvedDesign, resolve
from gatherfold.work import try_size

#: How many lengths are looked at for one finding, and how many designs are checked for it.
_MOST_LENGTHS, _MOST_DESIGNS = 14, 3
#: A slip is so many steps of the grid, or half of what is typed: to change more is another design.
_SLIP = 4

#: What a finding is known by in a changed design: its code and the parts that it is about.
_Mark = tuple[str, tuple[str, ...]]


@dataclass(frozen=True)
class Mend:
    """A typed length: what it was and is to be, in the unit that it is typed in."""

    name: str
    position: Position
    was: Fraction
    number: Fraction

    def __str__(self) -> str:
        named = f" for '{self.name}'" if self.name else ""
        number, was = mixed_number(self.number), mixed_number(self.was)
        return f"Type {number} instead of {was}{named} in line {self.position.line}."


@dataclass(frozen=True)
class Mending:
    """A design in its own edition, and what is wrong with it already, found when it is needed."""

    own: ResolvedDesign

    @cached_property
    def _before(self) -> frozenset[_Mark]:
        return _marks(self.own.design)

    def mend_of(self, finding: Finding) -> Mend | None:
        """Find a single typed length that mends a finding of the edition, and what it should be;
        None where no single one does."""
        design = self.own.design
        for mend in islice(_tries(design, self.own, finding), _MOST_DESIGNS):
            after = _marks(retyped(design, mend.position, mend.number))
            if _mark(finding) not in after and after <= self._before:
                return mend
        return None


def _mark(finding: Finding) -> _Mark:
    return finding.code, finding.about


def _marks(design: Design) -> frozenset[_Mark]:
    """What is wrong with a design in both editions, its sheets left out."""
    found: list[Finding] = []
    for edition in EDITIONS.values():
        try:
            settled = settle(design, edition)
        except DesignUnreadable as problem:
            found += problem.findings
            continue
        found += check_all(settled.resolved, {}, settled.findings)
    return frozenset(_mark(each) for each in found if each.severity is not Severity.ADVICE)


def _tries(design: Design, own: ResolvedDesign, finding: Finding) -> Iterator[Mend]:
    """What might mend it, what changes least first."""
    broken = next((each for each in conditions(own) if _says(each, finding)), None)
    if broken is None:
        return
    found: list[tuple[int, int, Mend]] = []
    lengths = islice(_lengths(design, finding), _MOST_LENGTHS)
    for place, (name, position, literal) in enumerate(lengths):
        step = own.edition.grid / _unit(design, literal)
        steps = _steps_needed(own, broken, retyped(design, position, literal.value + step))
        if steps is None or literal.value + steps * step <= 0:
            continue
        if abs(steps) * step <= max(_SLIP * step, literal.value / 2):
            mend = Mend(name, position, literal.value, literal.value + steps * step)
            found.append((abs(steps), place, mend))
    yield from (mend for _, _, mend in sorted(found, key=lambda each: each[:2]))


def _unit(design: Design, literal: Literal) -> Fraction:
    return literal.unit or design.unit or MILLIMETRE


def _says(condition: Condition, finding: Finding) -> bool:
    """Whether a condition is broken and a finding says so."""
    return (
        condition.key[0] == finding.code
        and not condition.holds
        and _mark(condition.finding()) == _mark(finding)
    )


def _lengths(design: Design, finding: Finding) -> Iterator[tuple[str, Position, Literal]]:
    """The lengths that are typed behind the parts that a finding is about, with what they are
    called where they are measures.  What is multiplied with a length is none."""
    names = {each.expression: name for name, each in design.measures.items()}
    for expression in formulas_behind(design, finding.about):
        for literal in lengths_in(expression.formula):
            yield names.get(expression, ""), expression.position.along(literal.offset), literal


def _steps_needed(own: ResolvedDesign, broken: Condition, changed: Design) -> int | None:
    """By how many such changes a condition comes to hold; None where they have no influence, or
    what it comes to is no whole number."""
    try:
        moved = resolve(changed, own.edition)
    except DesignUnreadable:
        return None
    try_size(own, moved)
    after = next((each for each in conditions(moved) if each.key == broken.key), None)
    change = after.amount - broken.amount if after is not None else Fraction(0)
    if not change:
        return None
    needed = -broken.amount / change
    match broken.rule:
        case Rule.NOT_NEGATIVE:
            return ceil(needed) if needed > 0 else floor(needed)
        case Rule.ZERO:
            return int(needed) if needed.denominator == 1 else None
        case Rule.WHOLE:
            return None
