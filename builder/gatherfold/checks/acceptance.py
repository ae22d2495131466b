"""Advice that the designer accepts: kept with her reason, and no longer something to mend.

Only advice can be accepted.  An entry that meets a warning or an error changes nothing and is
itself warned about.  Whether an entry meets anything at all shows only when every edition has
been checked, since advice may come in one of them alone: see :func:`idle_entries`.
"""

from collections.abc import Iterable, Iterator
from dataclasses import replace

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding, Severity, nearest_name
from gatherfold.model import Accepted, Design
from gatherfold.resolve import ResolvedDesign


def accept(resolved: ResolvedDesign, findings: Iterable[Finding]) -> Iterator[Finding]:
    """The findings of one edition, accepted advice with its reason, and what cannot be accepted."""
    refused: dict[Accepted, Finding] = {}
    for finding in findings:
        meeting = [entry for entry in resolved.design.accepted if _meets(entry, finding)]
        # One that names the part goes before one that does not.
        entry = min(meeting, key=lambda entry: not entry.about, default=None)
        if entry is not None and finding.severity is Severity.ADVICE:
            yield replace(finding, accepted=entry.because)
            continue
        if entry is not None:
            refused.setdefault(entry, finding)
        yield finding
    for entry, finding in refused.items():
        kind, line = finding.severity.value, finding.position.line
        told = {"code": finding.code, "article": "an" if kind[0] in "aeiou" else "a", "kind": kind}
        yield finding_kind("cannot-accept").found(
            resolved, entry.position, finding.about, **told, line=line
        )


def idle_entries(design: Design, findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """A warning for each entry that meets none of the findings, which are those of all editions."""
    given = list(findings)
    return tuple(
        _nothing_to_accept(entry, given)
        for entry in design.accepted
        if not any(_meets(entry, finding) for finding in given)
    )


def _meets(entry: Accepted, finding: Finding) -> bool:
    return entry.advice == finding.code and (not entry.about or entry.about in finding.about)


def _nothing_to_accept(entry: Accepted, findings: Iterable[Finding]) -> Finding:
    where = f" about '{entry.about}'" if entry.about else ""
    message = f"no edition gives the advice '{entry.advice}'{where}"
    about = (entry.about,) if entry.about else ()
    remedy = _nearest_advice(entry, findings)
    return Finding(
        Severity.WARNING, "nothing-to-accept", entry.position, message, remedy, about=about
    )


def _nearest_advice(entry: Accepted, findings: Iterable[Finding]) -> str:
    """What the entry may have meant among advice that nobody accepts: the same about another part,
    or one spelt alike."""
    advice = [each for each in findings if each.severity is Severity.ADVICE and not each.accepted]
    parts = sorted({part for each in advice if each.code == entry.advice for part in each.about})
    if parts:
        return f"It is given about {', '.join(parts)}: name one of these, or remove the entry."
    near = nearest_name(entry.advice, {finding.code for finding in advice})
    return f"Did you mean '{near}'?" if near else "Remove the entry."
