"""How many of the mistakes that others wrote blindly the checks find, and how often they speak up
about what is harmless.

Run: ``python -m tests.checks.blind_sets [SET ...]``.  A set is a folder of ``blind/``: mistakes
written by someone who had read the README and the designs and nothing else, each with what it
spoils.  ``finding`` of a mistake names the codes of those findings that are about it, as another
reader judged them.  A mistake counts as found when one of its findings comes that does not come
without it; the set ``harmless`` holds changes that spoil nothing.

The other edition is checked where the designer's own says nothing.
"""

from __future__ import annotations

import argparse
import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import Any

from gatherfold import EDITION_NAMES, Cause, DesignUnreadable, causes_of, check_design, read_text
from tests.tables import table

ROOT = Path(__file__).parents[2]
SETS = Path(__file__).parent / "blind"


@dataclass(frozen=True)
class Mistake:
    """One mistake: the design, each text of it that is replaced, old and new, and what it spoils.

    ``finding`` holds the codes of the findings that are about it.
    """

    id: str
    design: str
    edits: tuple[tuple[str, str], ...]
    spoils: str
    about: tuple[str, ...]
    finding: tuple[str, ...] = ()

    @classmethod
    def of(cls, row: Mapping[str, Any]) -> Mistake:
        edits = tuple((each["find"], each["replace"]) for each in row["edits"])
        given = {**row, "edits": edits}
        return cls(**{k: tuple(v) if isinstance(v, list) else v for k, v in given.items()})

    def applied(self) -> str:
        text = (ROOT / self.design).read_text()
        for old, new in self.edits:
            assert text.count(old) == 1, f"'{self.id}' no longer applies to {self.design}: {old!r}"
            text = text.replace(old, new)
        return text


def mistakes(name: str) -> list[Mistake]:
    """The mistakes of a set, in the order of its files."""
    files = sorted((SETS / name).glob("*.yaml"))
    return [Mistake.of(row) for file in files for row in table(file)]


def causes_found(text: str, design: str, is_own: bool) -> tuple[Cause, ...]:
    """All that a check of the designer's own edition, or of the other, says."""
    try:
        read = read_text(text, file=str(ROOT / design))
    except DesignUnreadable as problem:
        return tuple(map(Cause, problem.findings))
    asked = [name for name in EDITION_NAMES if (name == read.native) == is_own]
    return causes_of(check_design(read, editions=asked).findings)


@cache
def _without(design: str, is_own: bool) -> frozenset[tuple[str, str]]:
    """What the sound design says already."""
    found = causes_found((ROOT / design).read_text(), design, is_own)
    return frozenset(_said(cause) for cause in found)


def _said(cause: Cause) -> tuple[str, str]:
    return cause.finding.code, cause.finding.message


@dataclass(frozen=True)
class Answer:
    """What the checks say to a mistake that they do not say without it, cause by cause, and how
    grave the first of it is; ``lines`` are printed."""

    mistake: str
    found: bool
    said: tuple[tuple[str, str], ...] = ()
    lines: int = 0
    gravest: str = ""
    crash: str = ""


def answer(mistake: Mistake) -> Answer:
    """Check her own edition with the mistake in it, and the other one if that says nothing."""
    try:
        new = _new(mistake, True) or _new(mistake, False)
    except Exception as problem:
        return Answer(mistake.id, False, crash=f"{type(problem).__name__}: {problem}")
    codes = [each.code for cause in new for each in (cause.finding, *cause.follow)]
    lines = sum(len(str(each).splitlines()) for each in new)
    said = tuple((each.finding.code, str(each)) for each in new)
    is_found = not set(mistake.finding).isdisjoint(codes)
    gravest = new[0].finding.severity.value if new else ""
    return Answer(mistake.id, is_found, said, lines, gravest)


def _new(mistake: Mistake, is_own: bool) -> list[Cause]:
    """What is said of the mistake and not without it."""
    known = _without(mistake.design, is_own)
    found = causes_found(mistake.applied(), mistake.design, is_own)
    return [each for each in found if _said(each) not in known]


def answers(chosen: Sequence[Mistake], workers: int = 2) -> Iterator[Answer]:
    """The answers to mistakes, in their order."""
    with ProcessPoolExecutor(workers) as pool:
        yield from pool.map(answer, chosen, chunksize=4)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("sets", nargs="*", default=sorted(path.name for path in SETS.iterdir()))
    parser.add_argument("--json", type=Path, help="write every mistake with what was said to it")
    asked = parser.parse_args()
    told: list[dict[str, Any]] = []
    for name in asked.sets:
        chosen = mistakes(name)
        given = list(answers(chosen))
        told += [asdict(one) | asdict(other) for one, other in zip(chosen, given, strict=True)]
        _report(name, chosen, given)
    if asked.json:
        asked.json.write_text(json.dumps(told, indent=1))


def _report(name: str, chosen: Sequence[Mistake], given: Sequence[Answer]) -> None:
    total, found = Counter[str](), Counter[str]()
    for mistake, each in zip(chosen, given, strict=True):
        total[Path(mistake.design).stem] += 1
        found[Path(mistake.design).stem] += each.found
    for design, count in total.items():
        print(f"{name:8} {design:24} {found[design]:4} of {count:4}")
    share = found.total() / max(total.total(), 1)
    print(f"{name:8} {'all':24} {found.total():4} of {total.total():4}  {share:.0%}")
    lines = sorted(each.lines for each in given if each.lines)
    if lines:
        print(f"lines printed: median {lines[len(lines) // 2]}, greatest {lines[-1]}")
    print(f"nothing is said of {sum(not each.said for each in given)}")
    kinds = Counter(each.gravest for each in given if each.said)
    print(", ".join(f"{kind} of {count}" for kind, count in kinds.items()))
    for each in given:
        if each.crash:
            print(f"CRASH {each.mistake}: {each.crash}")


if __name__ == "__main__":
    main()
