"""Which number may have been meant by a typed length, so that a finding goes.

In: a design in its own edition, and a finding.  Out: lengths with another number, what changes
least first.

Of a length within a rule it is known how it changes with each typed length, so the number is worked
out; so it is for a length that a finding gives, if it changes in the finding of a changed design.
Only lengths that stand near are looked at: those of the parts and of the measures behind them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import islice
from math import ceil, floor

from gatherfold.checks import Condition, Rule, checks_of, conditions
from gatherfold.editions.typed_lengths import formulas_behind, retyped
from gatherfold.findings import DesignUnreadable, Finding, Position
from gatherfold.formulas import Literal, lengths_in, parse
from gatherfold.lengths import MILLIMETRE, mixed_number
from gatherfold.model import Design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.work import pierced, try_size

#: How many lengths are looked at for one finding, and how far behind its parts; fewer where the
#: checks have to be asked.
_MOST_LENGTHS, _MOST_MEASURED, _FAR, _NEAR = 14, 6, 2, 1
#: A slip is as much again as what is typed, where a rule says how much is needed, or so many steps
#: of the grid for nought; where no rule does, half of what is typed.  More is another design.
_SLIP, _MOST_OF_TYPED, _MOST_MEASURED_OF_TYPED = 8, 1, Fraction(1, 2)


@dataclass(frozen=True)
class Number:
    """A typed length: what it was and is to be, in the unit that it is typed in; ``is_bound`` where
    more of the same does too."""

    name: str
    position: Position
    was: Fraction
    value: Fraction
    is_bound: bool = False

    def __str__(self) -> str:
        named = f" for '{self.name}'" if self.name else ""
        number, was = mixed_number(self.value), mixed_number(self.was)
        if self.is_bound:
            number = f"at {'least' if self.value > self.was else 'most'} {number}"
        return f"Type {number} instead of {was}{named} in line {self.position.line}."


def numbers_meant(own: ResolvedDesign, finding: Finding) -> Iterator[Number]:
    """Typed lengths behind the parts of a finding with the number that keeps the rule, and with the
    next one, which keeps it in the other edition too; those that it speaks of first."""
    design = own.design
    broken = next((each for each in conditions(own) if _says(each, finding)), None)
    told = finding if broken is not None else _twin(own, finding)
    slip, most = (0, _MOST_MEASURED_OF_TYPED) if broken is None else (_SLIP, _MOST_OF_TYPED)
    found: list[tuple[tuple[int, int, int], Number]] = []
    is_bound = broken is not None and broken.rule is Rule.NOT_NEGATIVE
    many, far = (_MOST_MEASURED, _NEAR) if broken is None else (_MOST_LENGTHS, _FAR)
    lengths = islice(_lengths(design, finding.about, far), many)
    for place, (name, position, literal) in enumerate(lengths):
        step = own.edition.grid / (literal.unit or design.unit or MILLIMETRE)
        changed = retyped(design, position, literal.value + step)
        for steps in _steps(own, changed, broken, told):
            value = literal.value + steps * step
            if value > 0 and abs(steps) * step <= (literal.value * most or slip * step):
                number = Number(name, position, literal.value, value, is_bound)
                rank = (_place_in(finding.message, name), abs(steps), place)
                found.append((rank, number))
    yield from (number for _, number in sorted(found, key=lambda each: each[0]))


def _place_in(told: str, name: str) -> int:
    """Where a sentence first speaks of what a measure is called after; its end where it does
    not."""
    places = [told.find(word) for word in (name.replace("_", " "), name) if name and word in told]
    return min(places, default=len(told))


def _steps(
    own: ResolvedDesign, changed: Design, broken: Condition | None, told: Finding | None
) -> list[int]:
    """By how many such changes a finding may go, and by one more."""
    try:
        moved = resolve(changed, own.edition)
    except DesignUnreadable:
        return []
    if broken is not None:
        try_size(own, moved)
        needed = _steps_needed(broken, moved)
    else:
        needed = [] if told is None else _steps_measured(told, _twin(pierced(moved), told))
    further = [each + (1 if each > 0 else -1) for each in needed]
    return list(dict.fromkeys((*needed, *further)))


def _says(condition: Condition, finding: Finding) -> bool:
    """Whether a condition is broken and a finding says so."""
    if condition.key[0] != finding.code or condition.holds:
        return False
    return condition.finding().about == finding.about


def _lengths(
    design: Design, parts: Sequence[str], far: int
) -> Iterator[tuple[str, Position, Literal]]:
    """The lengths that are typed behind the parts that a finding is about, with what they are
    called where they are measures.  What is multiplied with a length is none."""
    names = {each.expression: name for name, each in design.measures.items()}
    for expression in formulas_behind(design, parts, far):
        for literal in lengths_in(expression.formula):
            yield names.get(expression, ""), expression.position.along(literal.offset), literal


def _steps_needed(broken: Condition, moved: ResolvedDesign) -> list[int]:
    """By how many such changes a condition comes to hold; none where they have no influence, or
    what it comes to is no whole number."""
    after = next((each for each in conditions(moved) if each.key == broken.key), None)
    change = after.amount - broken.amount if after is not None else Fraction(0)
    if not change or broken.rule is Rule.WHOLE:
        return []
    needed = -broken.amount / change
    if broken.rule is Rule.ZERO:
        return [int(needed)] if needed.denominator == 1 else []
    return [_away(needed)]


def _away(steps: Fraction) -> int:
    return ceil(steps) if steps > 0 else floor(steps)


def _twin(resolved: ResolvedDesign, finding: Finding) -> Finding | None:
    """The finding that says the same of one edition alone, or of a changed design."""
    found = (each for check in checks_of(resolved, {}) for each in check())
    alike = (each for each in found if (each.code, each.about) == (finding.code, finding.about))
    return next(alike, None)


def _steps_measured(finding: Finding, twin: Finding | None) -> list[int]:
    """By how many such changes a length that a finding gives comes to nothing, or to another that
    it gives; one where it is gone with the first."""
    if twin is None:
        return [1]
    here = {name: _amount(text) for name, text in finding.numbers}
    there = {name: _amount(text) for name, text in twin.numbers}
    steps: dict[int, None] = {}
    for name, length in here.items():
        change = there.get(name, length) - length
        for goal in (Fraction(0), *here.values()) if change else ():
            steps[_away((goal - length) / change)] = None
    return [each for each in steps if each]


def _amount(text: str) -> Fraction:
    """A length that a finding gives, in mm."""
    lengths = (each.value * (each.unit or MILLIMETRE) for each in lengths_in(parse(text)))
    return sum(lengths, Fraction(0))
