"""What a check finds, as plain data for JSON: findings and figures of every edition.

In: a design and its checked editions.  Out: data; of a design that cannot be read, its findings.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from gatherfold.editions import EditionCheck, computed_of, departure_of
from gatherfold.findings import Finding, Tally
from gatherfold.model.design import Design
from gatherfold.native_edition.settle import Departure
from gatherfold.record.edition import edition_record, finding_record, plain


def check_record(design: Design, checks: Iterable[EditionCheck]) -> dict[str, Any]:
    """Findings and figures: of each edition what a build records, its tally and its departure."""
    return {
        "title": design.title,
        "revision": design.revision,
        "date": design.date,
        "native": design.native,
        "checksum": design.checksum,
        "findings": [],
        "editions": {check.edition.name: _record(design, check) for check in checks},
    }


def unreadable_record(file: str, findings: Iterable[Finding]) -> dict[str, Any]:
    """A design file that cannot be read has findings and nothing else."""
    return {"file": file, "findings": [finding_record(each) for each in findings], "editions": {}}


def _record(design: Design, check: EditionCheck) -> dict[str, Any]:
    counted = {"tally": asdict(Tally.of(check.findings))}
    checked = check.checked
    if checked is None:
        found = [finding_record(finding) for finding in check.findings]
        return {"edition": check.edition.name, **counted, "findings": found}
    computed = computed_of(checked, is_draft=check.has_errors)
    departure = departure_of(design, check)
    moved = {
        "departure": None if departure is None else _departure_record(departure),
        "moves": [
            {
                "name": move.name,
                "line": move.position.line,
                "before": move.before,
                "after": move.after,
            }
            for move in checked.moves
        ],
    }
    record = edition_record(computed, check.findings)
    return {**record, **counted, **plain(moved, check.edition)}


def _departure_record(departure: Departure) -> dict[str, Any]:
    return {
        "piece": departure.piece,
        "axis": departure.axis,
        "size": departure.size,
        "difference_mm": float(departure.difference),
    }
