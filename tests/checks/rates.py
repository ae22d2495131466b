"""How many seeded mistakes the checks find, and how often they speak up without one.

Run: ``python -m tests.checks.rates``.  Mistakes are those of ``faults/``, by the finding that must
come; false alarms are counted over the shipped designs and the changes of ``harmless.yaml``, in
both editions, sheets planned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass

from gatherfold.editions import check_edition
from gatherfold.findings import Finding
from gatherfold.model.design import Design
from gatherfold.resolve import Edition
from gatherfold.shipped import design_names
from tests.checks.test_checks import FAULTS, Fault, findings_with
from tests.checks.test_false_alarms import HARMLESS, Change, alarms


@dataclass(frozen=True)
class Rates:
    """``seeded`` and ``found`` by kind of finding; designs and changes with an alarm by name."""

    seeded: Counter[str]
    found: Counter[str]
    shipped: int
    shipped_alarms: tuple[str, ...]
    harmless: int
    harmless_alarms: tuple[str, ...]


def rates() -> Rates:
    shipped = [Change(name, name, ()) for name in design_names()]
    return Rates(
        seeded=Counter(fault.code for fault in FAULTS),
        found=Counter(fault.code for fault in FAULTS if _is_found(fault)),
        shipped=len(shipped),
        shipped_alarms=_alarmed(shipped),
        harmless=len(HARMLESS),
        harmless_alarms=_alarmed(HARMLESS),
    )


def _is_found(fault: Fault) -> bool:
    return any(
        finding.code == fault.code and (not fault.names or f"'{fault.names}'" in finding.message)
        for finding in findings_with(fault)
    )


def _alarmed(changes: Iterable[Change]) -> tuple[str, ...]:
    return tuple(change.name for change in changes if alarms(change, _with_sheets))


def _with_sheets(design: Design, edition: Edition) -> Iterable[Finding]:
    return check_edition(design, edition).findings


def _line(what: str, count: int, of: int) -> str:
    share = f"{count / of:.0%}" if of else "-"
    return f"{what:24}  {count:5}  {of:5}  {share:>5}"


def main() -> None:
    result = rates()
    print(f"{'mistake':24}  {'found':>5}  {'of':>5}  {'rate':>5}")
    for code, seeded in sorted(result.seeded.items()):
        print(_line(code, result.found[code], seeded))
    print(_line("all mistakes", result.found.total(), result.seeded.total()))
    print()
    print(f"{'false alarms':24}  {'alarm':>5}  {'of':>5}  {'rate':>5}")
    print(_line("shipped designs", len(result.shipped_alarms), result.shipped))
    print(_line("harmless changes", len(result.harmless_alarms), result.harmless))
    for name in (*result.shipped_alarms, *result.harmless_alarms):
        print(f"  {name}")


if __name__ == "__main__":
    main()
