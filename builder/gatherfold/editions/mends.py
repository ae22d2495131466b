"""What mends a design, and what is known of a change that was tried.

In: nothing.  Out: the records of remedies.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from gatherfold.findings import Finding
from gatherfold.model import Design

#: So many changes that leave nothing wrong are told of one finding.
MOST_TOLD = 2

#: What a finding is known by in a changed design: its code and the parts that it is about.
Mark = tuple[str, tuple[str, ...]]


@dataclass(frozen=True)
class Mend:
    """A change of a design, and what is said of it: what to type where.  ``place`` is its line,
    ``text`` that of the changed design where words are changed."""

    said: str
    place: int
    changed: Callable[[], Design] = field(compare=False)
    text: str = ""

    @property
    def is_number(self) -> bool:
        """Whether one length is typed otherwise, and no word."""
        return not self.text

    def __str__(self) -> str:
        return self.said


@dataclass(frozen=True)
class Helpful:
    """A change that helps: the finding for which it was tried by its number, what goes, and how
    much stays that stops or warns, and that is advice about the same parts."""

    mend: Mend
    cause: int
    gone: frozenset[Mark]
    left: tuple[int, int]
    is_whole: bool

    def is_like(self, other: "Helpful") -> bool:
        """Whether both are this or that length, for the same finding, and leave as much."""
        are_numbers = self.mend.is_number and other.mend.is_number
        return are_numbers and (self.cause, self.left) == (other.cause, other.left)


@dataclass(frozen=True)
class Spoiling:
    """A length with which a finding would go, and what comes then: the one stands against the
    other."""

    mend: Mend
    comes: Finding

    def __str__(self) -> str:
        typed = str(self.mend).removesuffix(".")
        return f"To {typed[0].lower()}{typed[1:]} is not all: then {self.comes.message}."


def mark_of(finding: Finding) -> Mark:
    return finding.code, finding.about
