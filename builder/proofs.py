"""What checking a design gives besides findings: the proof sheet, and all of it as plain data.

In: a design and its checked editions.  Out: PDF bytes, or data for JSON.  Nothing is written here.
Typesetting comes with this module and takes a second: import it only when it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path
from typing import Any

from builder.build import EditionCheck, departure_of, fix_clock
from builder.checks.fits import fits
from builder.checks.thickness import gaps
from builder.counts.cut_list import cut_list
from builder.counts.supplies import supplies
from builder.design import Design
from builder.documents.compose import compose
from builder.documents.page import read_page
from builder.documents.proof import EditionFigures, proof_view
from builder.documents.typeset import typeset
from builder.documents.view import Computed
from builder.findings import Finding, Tally
from builder.record import edition_record, finding_record, plain
from builder.resolve.departure import Departure
from builder.resolve.edition import EDITIONS
from builder.shipped import PROOF_LAYOUT
from builder.wording import load_wording


def proof_pdf(design: Design, checks: Iterable[EditionCheck], checksum: str) -> bytes:
    """The proof sheet, on the paper of the designer's own edition."""
    fix_clock(design.date)
    figures = [_figures(design, check) for check in checks]
    html = compose(proof_view(design, figures, checksum, load_wording()), PROOF_LAYOUT)
    page = read_page(PROOF_LAYOUT, EDITIONS[design.native])
    return typeset(html, PROOF_LAYOUT, {}, page.style, Path(design.file).parent)


def _figures(design: Design, check: EditionCheck) -> EditionFigures:
    checked = check.checked
    if checked is None:
        return EditionFigures(check.edition, check.findings)
    return EditionFigures(
        edition=check.edition,
        findings=check.findings,
        resolved=checked.resolved,
        plans=checked.plans,
        fits=tuple(fits(checked.resolved)),
        gaps=gaps(checked.resolved),
        departure=departure_of(design, check),
        moves=checked.moves,
    )


# As data


def check_record(design: Design, checks: Iterable[EditionCheck], checksum: str) -> dict[str, Any]:
    """Findings and figures: of each edition what a build records, its tally and its departure."""
    return {
        "title": design.title,
        "revision": design.revision,
        "date": design.date,
        "native": design.native,
        "checksum": checksum,
        "findings": [],
        "editions": {check.edition.name: _record(design, check, checksum) for check in checks},
    }


def unreadable_record(file: str, findings: Iterable[Finding]) -> dict[str, Any]:
    """A design file that cannot be read has findings and nothing else."""
    return {"file": file, "findings": [finding_record(each) for each in findings], "editions": {}}


def _record(design: Design, check: EditionCheck, checksum: str) -> dict[str, Any]:
    counted = {"tally": asdict(Tally.of(check.findings))}
    checked = check.checked
    if checked is None:
        found = [finding_record(finding) for finding in check.findings]
        return {"edition": check.edition.name, **counted, "findings": found}
    computed = Computed(
        resolved=checked.resolved,
        plans=checked.plans,
        rows=cut_list(checked.resolved),
        supplies=supplies(checked.resolved, checked.plans, checked.kits),
        kits=checked.kits,
        checksum=checksum,
        is_draft=check.has_errors,
    )
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
