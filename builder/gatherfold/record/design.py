"""The record of a whole design: what names it, and what a build or a check has of each edition.

In: a design with the records of its editions, or with its checked editions.  Out: data, as it is
written as JSON; of a design that cannot be read, its findings.
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from gatherfold import __version__
from gatherfold.editions import EditionCheck, computed_of, departure_of
from gatherfold.findings import Finding, Tally
from gatherfold.model import Design
from gatherfold.record.edition import edition_record, fields_of, finding_record, plain


def design_record(design: Design, editions: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    """All data of a design."""
    return {
        **_named(design),
        **fields_of(design, "author", "language"),
        "version": __version__,
        "changes": dict(design.changes),
        "editions": dict(editions),
    }


def check_record(design: Design, checks: Iterable[EditionCheck]) -> dict[str, Any]:
    """Findings and figures: of each edition what a build records, its tally and its departure."""
    editions = {check.edition.name: _checked(design, check) for check in checks}
    return {**_named(design), "findings": [], "editions": editions}


def unreadable_record(file: str, findings: Iterable[Finding]) -> dict[str, Any]:
    """A design file that cannot be read has findings and nothing else."""
    return {"file": file, "findings": [finding_record(each) for each in findings], "editions": {}}


def _named(design: Design) -> dict[str, Any]:
    return fields_of(design, "title", "revision", "date", "native", "checksum")


def _checked(design: Design, check: EditionCheck) -> dict[str, Any]:
    counted = {"tally": asdict(Tally.of(check.findings))}
    checked = check.checked
    if checked is None:
        found = [finding_record(finding) for finding in check.findings]
        return {"edition": check.edition.name, **counted, "findings": found}
    record = edition_record(computed_of(checked, is_draft=check.has_errors), check.findings)
    far = departure_of(design, check)
    moved = {
        "departure": far
        and {
            **fields_of(far, "piece", "axis", "size"),
            "difference_mm": float(far.difference),
        },
        "moves": [
            {**fields_of(move, "name", "before", "after"), "line": move.position.line}
            for move in checked.moves
        ],
    }
    return {**record, **counted, **plain(moved, check.edition)}
