"""A condition: a length that a sound design keeps within a rule, and the finding when it does not.

Conditions have keys that are the same in every edition and at every size, so that what holds in
the designer's own edition can be asked for in the other one as well.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction

from builder.findings import Finding
from builder.lengths import is_on_grid

#: What kind of condition, and the names that it speaks of.
ConditionKey = tuple[str, ...]


class Rule(Enum):
    """What an amount must be; a whole number is one of steps."""

    NOT_NEGATIVE = "not negative"
    ZERO = "zero"
    WHOLE = "whole"


@dataclass(frozen=True)
class Condition:
    """``amount`` is in mm: a margin, a difference, or a length to be marked in whole ``step``s."""

    key: ConditionKey
    amount: Fraction
    finding: Callable[[], Finding]
    rule: Rule = Rule.NOT_NEGATIVE
    step: Fraction = Fraction(1)

    @property
    def holds(self) -> bool:
        if self.rule is Rule.NOT_NEGATIVE:
            return self.amount >= 0
        return self.amount == 0 if self.rule is Rule.ZERO else is_on_grid(self.amount, self.step)


def broken(conditions: Iterable[Condition]) -> Iterator[Finding]:
    """The findings of the conditions that do not hold."""
    return (condition.finding() for condition in conditions if not condition.holds)
