"""Findings as a person reads them: what both editions say as one, and what follows under its cause.

In: the findings of the editions of a design.  Out: causes, gravest first, each with what follows
from it and the typed lengths that are most likely wrong.

A finding follows from another about the same parts that goes deeper: a fold that cannot close lets
tabs miss, and what should go round it does not.  How deep a kind of finding goes is a table; a kind
that is not in it follows from nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from gatherfold.editions.checked import EditionCheck
from gatherfold.editions.mends import MOST_TOLD, Helpful, Mend, Spoiling, mark_of
from gatherfold.findings import Finding, Severity, Tally, gravest_first
from gatherfold.model import Design

#: What explains what: the codes of each row explain those of all later ones.
_DEPTHS: tuple[tuple[str, ...], ...] = (
    ("never-cut", "never-scored", "never-placed", "never-fastened", "sums-do-not-close"),
    (
        "section-left-open",
        "never-closed",
        "folds-other-way",
        "hinge-turned-round",
        "corner-not-cut",
        "narrower-than-load",
        "roll-too-narrow",
        "wider-together",
        "lies-flat",
    ),
    (
        "overhang",
        "overlap",
        "glued-across-fold",
        "glued-moving-part",
        "over-the-score",
        "turn-in-too-short",
    ),
    ("used-before-cut", "folded-before-scored", "closed-before-scored", "layer-not-there"),
    ("closes-under", "glue-in-pocket", "pocket-unglued", "closed-before-placed"),
    ("collides", "cannot-turn", "folds-through"),
    ("glued-open", "cannot-go-in"),
    ("join-misses", "never-joined", "glued-to-nothing", "holds-nothing", "hole-misses"),
    (
        "does-not-close-round",
        "does-not-go-in",
        "sticks-out",
        "gap-too-small",
        "fold-gapes",
        "pocket-shut",
        "closure-misses",
    ),
    (
        "laid-over",
        "closing-in-other-order",
        "same-place",
        "tabs-overlap",
        "host-covered",
        "closed-over-place",
        "sealed-too-early",
        "joined-by-closing-all",
    ),
    ("mouth-covered", "never-seen", "sideways-elsewhere", "path-blocked", "lining-too-short"),
    ("larger-than-sheet", "no-room-found", "not-enough-sheets", "no-place-on-sheet"),
    ("sideways-print", "uneven-reveal", "photograph-hidden", "no-dry-fit", "score-across-grain"),
)
_DEPTH = {code: depth for depth, codes in enumerate(_DEPTHS) for code in codes}

#: A length or a size as findings write it.
_DIGIT = "[0-9½¼¾⅛⅜⅝⅞]"
_LENGTH = re.compile(rf"({_DIGIT}(?:[0-9½¼¾⅛⅜⅝⅞⁄.,×\s\u00a0]*{_DIGIT})?[\s\u00a0](?:in|mm)\b)")


@dataclass(frozen=True)
class Cause:
    """A finding that no other explains, those that follow from it, and what mends it; or a length
    that would, and what stands against it."""

    finding: Finding
    follow: tuple[Finding, ...] = ()
    mends: tuple[Mend, ...] = ()
    spoiling: Spoiling | None = None

    def __str__(self) -> str:
        finding = self.finding
        if self.follow:
            more = f" (and {len(self.follow)} more that follow)"
            finding = replace(finding, message=finding.message + more)
        if self.mends:
            said = [*map(str, self.mends), finding.remedy][:MOST_TOLD]
            finding = replace(finding, remedy=" Or: ".join(said))
        elif self.spoiling:
            finding = replace(finding, remedy=f"{finding.remedy} {self.spoiling}")
        return str(finding)


@dataclass
class _Growing:
    """A cause while others are found to follow from it, and all parts that these are about."""

    finding: Finding
    follow: list[Finding] = field(default_factory=list)
    parts: set[str] = field(default_factory=set)

    def explains(self, other: Finding) -> bool:
        """Whether another finding follows from it: it goes deeper, or says the same of the next."""
        own, its = _DEPTH.get(self.finding.code), _DEPTH.get(other.code)
        if self.finding.accepted or other.accepted:
            return False
        if other.code == self.finding.code:
            return other.position == self.finding.position or not self.parts.isdisjoint(other.about)
        if own is None or its is None or its <= own:
            return False
        if self.finding.severity is Severity.ADVICE and other.severity is not Severity.ADVICE:
            return False
        return not self.parts.isdisjoint(other.about)

    def take(self, other: _Growing) -> None:
        self.follow += [other.finding, *other.follow]
        self.parts |= other.parts


def causes_of(findings: Iterable[Finding]) -> tuple[Cause, ...]:
    """Find what explains the findings of all editions, and what follows from it.

    >>> import gatherfold
    >>> wrong = gatherfold.shipped_design("keepsake-box").replace(b"lid_gap: 1/16", b"lid_gap: 0")
    >>> found = gatherfold.check_design(gatherfold.read_text(wrong)).findings
    >>> len(found), [len(cause.follow) for cause in causes_of(found)]
    (4, [1])
    """
    told = together(findings)
    deepest = len(_DEPTHS)
    growing: list[_Growing] = []
    for finding in sorted(told, key=lambda each: _DEPTH.get(each.code, deepest)):
        new = _Growing(finding, parts=set(finding.about))
        cause = next((each for each in growing if each.explains(finding)), None)
        if cause is None:
            growing.append(new)
        else:
            cause.take(new)
            growing = _gathered(cause, growing)
    place = {id(finding): number for number, finding in enumerate(told)}
    growing.sort(key=lambda each: min(place[id(it)] for it in (each.finding, *each.follow)))
    return tuple(_as_grave(each.finding, each.follow) for each in growing)


def _as_grave(finding: Finding, follow: Sequence[Finding]) -> Cause:
    """A cause that is as grave as the gravest of what follows from it."""
    severity = max((each.severity for each in (finding, *follow)), key=_gravity)
    return Cause(replace(finding, severity=severity), tuple(follow))


def _gathered(cause: _Growing, growing: Iterable[_Growing]) -> list[_Growing]:
    """The causes without those that one of them, which has come to be about more, explains now."""
    left: list[_Growing] = []
    for each in growing:
        if each is not cause and cause.explains(each.finding):
            cause.take(each)
        else:
            left.append(each)
    return left


def with_mends(
    causes: Iterable[Cause], design: Design, checks: Iterable[EditionCheck]
) -> tuple[Cause, ...]:
    """Give the causes with what mends the first of them, where a small change of the design does.
    What goes with another by the same change follows from it."""
    told = list(causes)
    asked = [*filter(_is_grave, told)]
    if not asked:
        return tuple(told)
    # Most designs are sound: what looks for remedies is not read for them.
    from gatherfold.editions.mending import Mending

    own = next((each.checked for each in checks if each.is_own and each.checked is not None), None)
    mending = Mending(design, None if own is None else own.resolved)
    helps, spoiling = mending.mends_of([each.finding for each in asked])
    while helps:
        told = _with_help(told, asked[helps[0].cause], helps)
        helps = [each for each in helps[1:] if asked[each.cause] in told]
    against = {id(asked[cause]): each for cause, each in spoiling.items()}
    return tuple(replace(each, spoiling=against.get(id(each))) for each in told)


def _with_help(told: list[Cause], head: Cause, helps: Sequence[Helpful]) -> list[Cause]:
    """The causes, the one that the first help is for with what else goes by it, where nothing about
    the same parts stays."""
    first, rest = helps[0], [each for each in told if each is not head]
    gone = [each for each in rest if mark_of(each.finding) in first.gone and not each.mends]
    stays = {part for each in rest if each not in gone for part in _grave_parts(each)}
    followed = {*map(mark_of, head.follow)}
    is_apart = stays.isdisjoint(head.finding.about) and followed <= first.gone
    if not (is_apart and (first.is_whole or first.mend.is_number)):
        return told
    alike = {each.mend.place: each.mend for each in helps[::-1] if each.is_like(first)}
    others = [each for place, each in alike.items() if place != first.mend.place][::-1]
    mended = _mended(head, gone, (first.mend, *others)[:MOST_TOLD])
    return [mended if each is head else each for each in told if each not in gone]


def _mended(head: Cause, gone: Iterable[Cause], mends: tuple[Mend, ...]) -> Cause:
    """A cause with its remedies and all that goes with it."""
    follow = (*head.follow, *(one for each in gone for one in (each.finding, *each.follow)))
    return replace(_as_grave(head.finding, follow), mends=mends)


def _is_grave(cause: Cause) -> bool:
    return cause.finding.severity is not Severity.ADVICE


def _grave_parts(cause: Cause) -> tuple[str, ...]:
    return cause.finding.about if _is_grave(cause) else ()


def tally_of(causes: Iterable[Cause]) -> str:
    """Say how many causes there are of each kind, and how many findings follow from them."""
    listed = list(causes)
    following = sum(len(each.follow) for each in listed)
    counted = str(Tally.of(each.finding for each in listed))
    return f"{counted}; {following} more follow from these" if following else counted


# ---- both editions in one


def together(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, those that two editions make with other numbers as one with both."""
    alike: dict[tuple[object, ...], list[Finding]] = {}
    for finding in gravest_first(findings):
        told = _LENGTH.split(finding.message)[::2], _LENGTH.split(finding.remedy)[::2]
        key = (finding.code, finding.position, finding.about, finding.accepted, *map(tuple, told))
        alike.setdefault(key, []).append(finding)
    return gravest_first(one for group in alike.values() for one in _merged(group))


def _merged(group: Sequence[Finding]) -> Iterator[Finding]:
    """The findings of a group edition by edition, the first of one with the first of the other."""
    by_edition: dict[str, list[Finding]] = {}
    for finding in group:
        by_edition.setdefault(finding.edition, []).append(finding)
    first, *others = by_edition.values()
    for number, finding in enumerate(first):
        twins = [each[number] for each in others if number < len(each)]
        yield _both(finding, twins[0]) if twins else finding
    for other in others:
        yield from other[len(first) :]


def _both(one: Finding, other: Finding) -> Finding:
    return replace(
        one,
        severity=max(one.severity, other.severity, key=_gravity),
        message=_with_both(one.message, other.message),
        remedy=_with_both(one.remedy, other.remedy),
        edition=f"{one.edition} and {other.edition}",
        numbers=(*one.numbers, *other.numbers),
    )


def _gravity(severity: Severity) -> int:
    return -list(Severity).index(severity)


def _with_both(one: str, other: str) -> str:
    """A sentence with the lengths of another that is the same but for them, in brackets."""
    parts, others = _LENGTH.split(one), _LENGTH.split(other)
    if len(parts) != len(others):
        return one
    pairs = zip(parts, others, strict=True)
    return "".join(a if a == b else f"{a} ({b})" for a, b in pairs)
