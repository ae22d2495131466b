"""Remedies that work: small changes of a design, each tried before it is proposed.

In: a design, and what is wrong with it.  Out: what to type where, after which it is gone in both
editions and nothing new is wrong; or nothing.

Of words it is tried what else may have been meant, and of lengths what the finding measures; the
checks of the changed design judge.  Changes of several kinds, for several findings, are tried in
turn; some that leave nothing wrong end the search.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import repeat

from gatherfold.checks import checks_of
from gatherfold.editions.meant_numbers import Number, numbers_meant
from gatherfold.editions.mends import MOST_TOLD, Helpful, Mark, Mend, Spoiling, mark_of
from gatherfold.editions.piece_changes import changes_of_formulas, changes_of_parts
from gatherfold.editions.step_changes import (
    changes_of_closing,
    changes_of_steps,
    names_told,
)
from gatherfold.editions.text_changes import DesignText, TextChange, in_turn
from gatherfold.editions.typed_lengths import retyped
from gatherfold.findings import DesignUnreadable, Finding, Severity
from gatherfold.model import Design
from gatherfold.native_edition import settle
from gatherfold.reading import read_design
from gatherfold.resolve import EDITIONS, Edition, ResolvedDesign

#: How many changes are tried: in all, where closing fails and every order of it is tried, and once
#: one leaves nothing.
_MOST_TRIES, _MOST_WHILE_OPEN, _MOST_AFTER = 18, 8, 8
_OPEN = {"join-misses", "never-joined", "collides", "cannot-turn"}
#: Each try is a whole check, whose time grows with the square of the pieces: so many in all.
_MOST_PAIRS = 22_000
#: For so many causes a remedy is looked for.
_MOST_MENDED = 4

#: No change is proposed where the sheets that were bought may be what is wrong, or a text; width
#: and height are exchanged where something is too large one way.
_NOT_TRIED = {
    *("larger-than-sheet", "no-room-found", "not-enough-sheets", "no-place-on-sheet"),
    *("size-of-another", "length-of-nothing", "operation-without-text"),
}
_OF_SIZES = {"overhang", "no-such-corner", "notch-misfits"}


@dataclass
class _Wrong:
    """What is wrong with a design in one edition, and by which check each mark was found.

    ``comes`` stops or warns and is new: nothing more was asked then.
    """

    grave: Counter[Mark] = field(default_factory=Counter)
    advice: Counter[Mark] = field(default_factory=Counter)
    checks: dict[Mark, int] = field(default_factory=dict)
    comes: Finding | None = None

    def add(self, finding: Finding, check: int = 0) -> None:
        kind = self.advice if finding.severity is Severity.ADVICE else self.grave
        kind[mark_of(finding)] += 1
        self.checks.setdefault(mark_of(finding), check)

    def marks(self) -> Counter[Mark]:
        return self.grave + self.advice


@dataclass(frozen=True)
class Mending:
    """A design that something is wrong with, and its own edition where it could be worked out."""

    design: Design
    own: ResolvedDesign | None

    @cached_property
    def _before(self) -> dict[str, _Wrong]:
        wrong = {name: _wrong_with(self.design, each) for name, each in EDITIONS.items()}
        return {name: each or _Wrong() for name, each in wrong.items()}

    def mends_of(self, findings: Sequence[Finding]) -> tuple[list[Helpful], dict[int, Spoiling]]:
        """What helps against findings, the gravest of which come first; what leaves nothing new
        first, then what leaves least.  And for each finding by its number what does not."""
        found: list[Helpful] = []
        spoiling: dict[int, Spoiling] = {}
        pairs = max(len(self.design.pieces), 1) ** 2
        is_open = any(each.code in _OPEN for each in findings)
        last = min(_MOST_WHILE_OPEN if is_open else _MOST_TRIES, _MOST_PAIRS // pairs)
        for number, (cause, mend) in enumerate(self._tries(findings)):
            if number >= last:
                break
            match self._tried(cause, findings[cause], mend):
                case Helpful() as helpful:
                    found.append(helpful)
                case Finding() as comes if mend.is_number:
                    spoiling.setdefault(cause, Spoiling(mend, comes))
                case _:
                    pass
            whole = {each.mend.place for each in found if each.is_whole}
            if whole:
                last = min(last, number + _MOST_AFTER) if len(whole) < MOST_TOLD else 0
        found.sort(key=lambda each: self._rank(findings[each.cause], each))
        return found, spoiling

    def _rank(self, finding: Finding, helpful: Helpful) -> tuple[int, ...]:
        """What leaves nothing comes first, then what leaves least and changes the part that a
        finding speaks of first."""
        pieces, fastenings = self.design.pieces.items(), self.design.fastenings.items()
        starts = [(each.position.line, key) for key, each in pieces]
        starts += [(each.position.line, key) for key, each in fastenings]
        _, owner = max((each for each in starts if each[0] <= helpful.mend.place), default=(0, ""))
        far = finding.about.index(owner) if owner in finding.about else 0
        return (not helpful.is_whole, *helpful.left, far)

    def _tries(self, findings: Sequence[Finding]) -> Iterator[tuple[int, Mend]]:
        """What may be meant, in turn for each finding, each change once."""
        waiting = [
            zip(repeat(number), in_turn(*self._changes(each)), strict=False)
            for number, each in enumerate(findings[:_MOST_MENDED])
        ]
        seen: set[str] = set()
        for number, mend in in_turn(*waiting):
            if (mend.text or mend.said) not in seen:
                seen.add(mend.text or mend.said)
                yield number, mend

    def _changes(self, finding: Finding) -> Iterator[Iterator[Mend]]:
        """The kinds of changes, the likeliest first."""
        if finding.code in _NOT_TRIED or finding.code.endswith("-in-text"):
            return
        design, parts = self.design, finding.about or names_told(self.design, finding)
        parts = (*parts, *design.hosts_of(parts[0])[:1]) if len(parts) == 1 else parts
        if design.text:
            told = f"{finding.message} {finding.remedy}"
            source = DesignText(design.text, design.file)
            for changes in (
                changes_of_closing(source, design, finding),
                changes_of_steps(source, design, finding),
                changes_of_formulas(source, design, parts, finding.code in _OF_SIZES),
                changes_of_parts(source, design, parts, told),
            ):
                yield (_written(each, design) for each in changes)
        if self.own is not None:
            yield (_typed(each, design) for each in numbers_meant(self.own, finding))

    def _tried(self, cause: int, finding: Finding, mend: Mend) -> Helpful | Finding | None:
        """What a change does: it helps, or something comes that stops or warns; None where the
        finding stays."""
        try:
            design = mend.changed()
        except DesignUnreadable:
            return None
        wanted, parts = mark_of(finding), set(finding.about)
        before, after = Counter[Mark](), Counter[Mark]()
        left, new = [0, 0], 0
        for name in sorted(EDITIONS, key=lambda name: name != design.native):
            was = self._before[name]
            now = _wrong_with(design, EDITIONS[name], was, wanted)
            if now is None:
                return None
            if now.comes is not None:
                return now.comes
            before, after = before + was.marks(), after + now.marks()
            near = [n for mark, n in now.advice.items() if not parts.isdisjoint(mark[1])]
            left = [left[0] + now.grave.total(), left[1] + sum(near)]
            new += (now.advice - was.advice).total()
        gone = frozenset(mark for mark in before if not after[mark])
        return Helpful(mend, cause, gone, (left[0], left[1]), not left[0] and not new)


def _written(change: TextChange, design: Design) -> Mend:
    text = change.applied(design.text)
    return Mend(change.said, change.line, lambda: read_design(text.encode(), design.file), text)


def _typed(number: Number, design: Design) -> Mend:
    changed = partial(retyped, design, number.position, number.value)
    return Mend(str(number), number.position.line, changed)


def _wrong_with(
    design: Design, edition: Edition, was: _Wrong | None = None, gone: Mark = ("", ())
) -> _Wrong | None:
    """What is wrong with a design in an edition, its sheets left out; None as soon as something
    that is to be gone is there as often as it was; no more once something new stops or warns."""
    wrong = _Wrong()
    for check, finding in _found(design, edition, was.checks.get(gone, 0) if was else 0):
        wrong.add(finding, check)
        mark = mark_of(finding)
        if was is None:
            continue
        if mark == gone and wrong.marks()[mark] >= max(was.marks()[mark], 1):
            return None
        if wrong.grave[mark] > was.grave[mark]:
            return replace(wrong, comes=finding)
    return wrong


def _found(design: Design, edition: Edition, first: int) -> Iterator[tuple[int, Finding]]:
    """The findings about a design with the number of the check that finds them, which begin with
    those of the ``first``."""
    try:
        settled = settle(design, edition)
        checks = checks_of(settled.resolved, {})
        yield from ((0, finding) for finding in settled.findings)
        for number in sorted(range(len(checks)), key=lambda number: number != first):
            yield from ((number, finding) for finding in checks[number]())
    except DesignUnreadable as problem:
        yield from ((0, finding) for finding in problem.findings)
