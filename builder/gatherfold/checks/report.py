"""How a check says what it found: kinds of findings, and conditions that are broken.

In: what a check measured.  Out: findings that carry the edition and their numbers.  A condition is
a length that a sound design keeps within a rule, with the finding when it does not; it has a key
that is the same in every edition and at every size, so that what holds in the designer's own
edition can be asked for in the other one as well.
"""

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from fractions import Fraction
from functools import cache

from gatherfold.findings import Finding, Position, Severity
from gatherfold.geometry import EXTENTS
from gatherfold.lengths import down_to_grid, is_on_grid, mixed_number, up_to_grid
from gatherfold.resolve import (
    Edition,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedStock,
    ResolvedStrip,
)
from gatherfold.wording import read_catalogue

#: What fills a place of a sentence: a length, a size of width and height, or words.
Told = Fraction | tuple[Fraction, Fraction] | str | int

_QUOTED = re.compile(r"'([a-z][a-z0-9_]*)'")


@dataclass(frozen=True)
class FindingKind:
    """A kind of finding: its code, and its sentence and remedy with ``{places}`` to be filled.

    Kinds stand in ``findings.yaml``.
    """

    code: str
    message: str
    remedy: str
    severity: Severity = Severity.ERROR

    def found(
        self,
        resolved: ResolvedDesign,
        at: ResolvedPiece | ResolvedStrip | ResolvedFastening | ResolvedStock | Position,
        about: tuple[str, ...] = (),
        /,
        **told: Told,
    ) -> Finding:
        """A finding of this edition, at a part of the design, which is ``{key}``, or at a position.

        What is ``told`` fills the places; lengths and sizes are written in the edition's unit, and
        kept as numbers, those of a size as ``NAME_width`` and ``NAME_height``.  Without ``about``
        it is about every part that its sentence names in quotes.
        """
        units, words, lengths = resolved.edition.units, dict(told), dict[str, str]()
        for name, each in told.items():
            if isinstance(each, tuple):
                words[name] = _readable(resolved.edition, name, *each)
                extents = zip(EXTENTS, each, strict=True)
                lengths |= {f"{name}_{extent}": units.text(length) for extent, length in extents}
            elif isinstance(each, Fraction):
                words[name], lengths[name] = (
                    _readable(resolved.edition, name, each),
                    units.text(each),
                )
        position = at
        if not isinstance(position, Position):
            words, position = {"key": position.key, **words}, position.source.position
        message, remedy = self.message.format(**words), self.remedy.format(**words)
        edition, numbers = resolved.edition.name, tuple(lengths.items())
        parts = about or _parts_named(resolved, message)
        return Finding(self.severity, self.code, position, message, remedy, edition, numbers, parts)


#: What is there, and not what is missing: to say too little of it is safe, of all else too much.
_THERE = ("room", "gap", "left_over", "distance", "lane_width", "lane_length")


def _readable(edition: Edition, name: str, *lengths: Fraction) -> str:
    """A length or a size as a person writes it: where it lies on no half step of the grid, rounded
    to the safe side, and "about" it."""
    units, step = edition.units, edition.grid / 2
    rounded = down_to_grid if name in _THERE else up_to_grid
    written = [rounded(length, step) for length in lengths]
    text = units.text(*written) if len(written) == 1 else units.size_text(*written)
    return text if written == [*lengths] else f"about {text}"


@cache
def finding_kind(name: str) -> FindingKind:
    """The kind of this name, which is its code and what may follow a comma; KeyError where the
    catalogue lacks it."""
    entry = _catalogue()[name]
    severity = Severity(entry.get("severity", Severity.ERROR))
    return FindingKind(name.partition(",")[0], entry["message"], entry["remedy"], severity)


@cache
def _catalogue() -> dict[str, dict[str, str]]:
    return read_catalogue(__package__, "findings")


def _parts_named(resolved: ResolvedDesign, message: str) -> tuple[str, ...]:
    known = {*resolved.pieces, *resolved.fastenings, *resolved.stocks, *resolved.design.supplies}
    return tuple(dict.fromkeys(name for name in _QUOTED.findall(message) if name in known))


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


def with_all_on(resolved: ResolvedDesign, key: str) -> tuple[str, ...]:
    """A piece and all that it carries."""
    return (key, *(each for each in resolved.pieces if key in resolved.hosts_of(each)))


def quoted(names: Iterable[str]) -> str:
    """Names as a sentence lists them, each once: 'lid', 'tray'."""
    return ", ".join(f"'{name}'" for name in dict.fromkeys(names))


def as_typed(length: Fraction, resolved: ResolvedDesign) -> str:
    """A length as a design file writes it."""
    units = resolved.edition.units
    number = mixed_number(length / units.size) if units.is_inch else units.number(length)
    return f"{number} {units.unit}"


def tenth(thickness: Fraction) -> str:
    """Calipers are measured in millimetres whatever the edition; a tenth is what they are worth."""
    return f"{float(thickness):.1f}"


def in_words(name: str) -> str:
    """A name of a section as a sentence says it."""
    return name.replace("_", " ")


def section_in_words(resolved: ResolvedDesign, section: tuple[str, str]) -> str:
    """A section of a piece in words, as a face or a fold names it; a piece without folds is its
    only face."""
    key, face = section
    if len(resolved.pieces[key].faces) == 1:
        return f"'{key}'"
    return f"the {in_words(face)} of '{key}'"
