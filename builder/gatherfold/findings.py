"""The one way to say that something is wrong, doubtful or worth knowing about a design.

Every stage returns :class:`Finding` values; the command line renders them in one place.
"""

from __future__ import annotations

import difflib
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from enum import Enum


class Severity(Enum):
    """How much a finding matters: an error stops a build, an advice may be accepted."""

    ERROR = "error"
    WARNING = "warning"
    ADVICE = "advice"


@dataclass(frozen=True, order=True)
class Position:
    """A place in a text file; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"

    def along(self, columns: int) -> Position:
        """Give the place so many columns further on in the same line."""
        return Position(self.file, self.line, self.column + columns)


@dataclass(frozen=True)
class Finding:
    """One problem: where it is, what is wrong in one sentence, and what to do about it.

    ``code`` is a short stable name such as ``unknown-key``.  ``numbers`` holds the lengths the
    sentence speaks of, as exact text, so that other programs need not read the sentence, and
    ``about`` the parts of the design.  ``accepted`` is the designer's reason to leave it.
    """

    severity: Severity
    code: str
    position: Position
    message: str
    remedy: str = ""
    edition: str = ""
    numbers: tuple[tuple[str, str], ...] = field(default=())
    about: tuple[str, ...] = ()
    accepted: str = ""

    def __str__(self) -> str:
        edition = f" [{self.edition}]" if self.edition else ""
        if self.accepted:
            place = f"{self.position}: accepted ({self.code}){edition}"
            return f"{place}: {self.message} – {self.accepted}"
        remedy = f"\n    {self.remedy}" if self.remedy else ""
        return (
            f"{self.position}: {self.severity.value} ({self.code}){edition}: {self.message}{remedy}"
        )


@dataclass(frozen=True)
class Tally:
    """How many findings there are of each kind; accepted advice counts as nothing else."""

    errors: int = 0
    warnings: int = 0
    advice: int = 0
    accepted: int = 0

    @classmethod
    def of(cls, findings: Iterable[Finding]) -> Tally:
        kinds = Counter(_rank(finding) for finding in findings)
        return cls(*(kinds[rank] for rank in range(len(Severity) + 1)))

    def parts(self) -> tuple[str, ...]:
        """``2 errors``, ``0 warnings``, ``1 advice``, ``1 accepted``."""
        return (
            f"{self.errors} error{'' if self.errors == 1 else 's'}",
            f"{self.warnings} warning{'' if self.warnings == 1 else 's'}",
            f"{self.advice} advice",
            f"{self.accepted} accepted",
        )

    def __str__(self) -> str:
        """What there is, such as ``2 errors, 1 accepted``; nothing at all when there is nothing."""
        return ", ".join(part for part in self.parts() if not part.startswith("0 "))


def _rank(finding: Finding) -> int:
    """0 for errors, then warnings, then advice, and last what is accepted."""
    return len(Severity) if finding.accepted else list(Severity).index(finding.severity)


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors, warnings, advice and what is accepted, each in file order.

    What several editions say in the same words is said once, of all of them.
    """
    alike: dict[Finding, dict[str, None]] = {}
    for finding in findings:
        alike.setdefault(replace(finding, edition=""), {})[finding.edition] = None
    once = [
        replace(finding, edition=" and ".join(name for name in editions if name))
        for finding, editions in alike.items()
    ]
    return tuple(sorted(once, key=lambda finding: (_rank(finding), finding.position)))


class DesignUnreadable(Exception):
    """The file cannot be read as a design; carries every problem found once, in file order."""

    def __init__(self, findings: Iterable[Finding]) -> None:
        once = dict.fromkeys(findings)
        self.findings = tuple(sorted(once, key=lambda finding: finding.position))
        super().__init__(f"{len(self.findings)} problem(s)")


#: After so many problems reading stops: nobody mends more at once.
MOST_FINDINGS = 200
_LONGEST_TEXT = 400


def error(code: str, position: Position, message: str, remedy: str = "") -> Finding:
    """Give a finding that stops a build."""
    return Finding(Severity.ERROR, code, position, _shortened(message), _shortened(remedy))


def _shortened(text: str) -> str:
    """A sentence that quotes a file of nonsense is cut in its middle."""
    half = _LONGEST_TEXT // 2
    return text if len(text) <= _LONGEST_TEXT else f"{text[:half]} … {text[-half:]}"


class Problems(list[Finding]):
    """Errors as they are found, each once; more than anyone would read end the search."""

    def report(self, code: str, position: Position, message: str, remedy: str = "") -> None:
        """Add an error; raises :class:`DesignUnreadable` once there are too many."""
        self.add(error(code, position, message, remedy))

    def add(self, finding: Finding) -> None:
        if finding not in self:
            self.append(finding)
        if len(self) >= MOST_FINDINGS:
            raise DesignUnreadable(self)

    def ended(
        self, code: str, position: Position, message: str, remedy: str = ""
    ) -> DesignUnreadable:
        """Give what to raise after an error beyond which nothing can be read."""
        return DesignUnreadable([*self, error(code, position, message, remedy)])


def nearest_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that looks most like ``name``, or None when nothing is close."""
    matches = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return matches[0] if matches else None


def suggestion(name: str, known: Iterable[str], what: str = "one of") -> str:
    """A remedy that names the nearest known name, or lists what is allowed."""
    names = sorted(set(known))
    near = nearest_name(name, names)
    if near is not None:
        return f"Did you mean '{near}'?"
    shown = ", ".join(names[:20]) + (", …" if len(names) > 20 else "")
    return f"Write {what}: {shown}." if names else "Nothing of that kind is defined."
