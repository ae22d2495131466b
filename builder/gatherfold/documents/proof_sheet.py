"""The proof sheet: what checking a design gives besides findings, for the designer only.

In: a design and its checked editions.  Out: PDF bytes; the sheet is a :class:`ProofView` first,
its wording final.
Typesetting comes with this module and takes a second: import it only when it is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from gatherfold.checks import Fit, Gap, fits, gaps
from gatherfold.documents.compose import compose
from gatherfold.documents.content import FactView
from gatherfold.documents.page import read_page
from gatherfold.documents.sheets_text import plan_status
from gatherfold.documents.typeset import typeset
from gatherfold.editions import EditionCheck, departure_of
from gatherfold.findings import Finding, Position, Tally, gravest_first
from gatherfold.lengths import INCH, METRIC_UNITS, NO_BREAK_SPACE, down_to_grid, is_on_grid
from gatherfold.model import Design, printed_mark
from gatherfold.native_edition import Departure, MovedLength
from gatherfold.plans import StockPlan
from gatherfold.resolve import EDITIONS, Edition, ResolvedDesign
from gatherfold.shipped import PROOF_LAYOUT
from gatherfold.wording import Wording, load_wording

_TENTH = Fraction(1, 10)
#: The finest inch fraction that anyone reads off a ruler.
_FINEST_INCH = INCH / 64


@dataclass(frozen=True)
class Measured:
    """A checked edition with what fits in it, what it closes over and how far it departs."""

    check: EditionCheck
    fits: tuple[Fit, ...] = ()
    gaps: tuple[Gap, ...] = ()
    departure: Departure | None = None

    @classmethod
    def of(cls, design: Design, check: EditionCheck) -> Measured:
        if check.checked is None:
            return cls(check)
        resolved = check.checked.resolved
        return cls(check, tuple(fits(resolved)), gaps(resolved), departure_of(design, check))


#: A row of a table by what its cells are called; lengths are as written, and ``is_short`` is true
#: where nothing remains in the worst case.
Row = Mapping[str, Any]


@dataclass(frozen=True)
class EditionProofView:
    """One edition on the proof sheet; ``is_known`` unless it could not be worked out."""

    key: str
    name: str
    is_known: bool
    facts: tuple[FactView, ...]
    verdict: str
    has_errors: bool
    findings: tuple[Row, ...]
    accepted: tuple[Row, ...]
    fits: tuple[Row, ...]
    gaps: tuple[Row, ...]
    departure: str
    moves: tuple[Row, ...]
    stocks: tuple[Row, ...]


@dataclass(frozen=True)
class ProofView:
    """The whole proof sheet."""

    design: Design
    language: str
    editions: tuple[EditionProofView, ...]
    text: Mapping[str, str]


def proof_pdf(design: Design, checks: Iterable[EditionCheck]) -> bytes:
    """The proof sheet, on the paper of the designer's own edition."""
    measured = [Measured.of(design, check) for check in checks]
    html = compose(proof_view(design, measured, load_wording()), PROOF_LAYOUT)
    page = read_page(PROOF_LAYOUT, EDITIONS[design.native])
    return typeset(html, PROOF_LAYOUT, {}, page.style, Path(design.file).parent)


def proof_view(design: Design, editions: Iterable[Measured], wording: Wording) -> ProofView:
    """The proof sheet of a design in the editions that were checked."""
    views = tuple(_edition(design, each, wording) for each in editions)
    return ProofView(design, wording.language, views, dict(wording.text))


def _edition(design: Design, measured: Measured, wording: Wording) -> EditionProofView:
    check, checked = measured.check, measured.check.checked
    resolved = None if checked is None else checked.resolved
    edition = check.edition if resolved is None else resolved.edition
    rows = [_finding_row(finding, design) for finding in gravest_first(check.findings)]
    tightest_first = sorted(measured.fits, key=lambda fit: fit.margin)
    moves, plans = ((), {}) if checked is None else (checked.moves, checked.plans)
    return EditionProofView(
        key=edition.name,
        name=wording.phrase(f"edition_{edition.name}"),
        is_known=resolved is not None,
        facts=_facts(design, edition, resolved, wording),
        verdict=", ".join(Tally.of(check.findings).parts()),
        has_errors=check.has_errors,
        findings=tuple(row for row in rows if not row["finding"].accepted),
        accepted=tuple(row for row in rows if row["finding"].accepted),
        fits=tuple(_fit_row(fit, edition) for fit in tightest_first),
        gaps=tuple(_gap_row(gap, edition, wording) for gap in measured.gaps),
        departure=_departure(design, edition, measured.departure, wording),
        moves=tuple(_move_row(move, design, edition) for move in moves),
        stocks=tuple(_stock_row(plan, design.currency, wording) for plan in plans.values()),
    )


def _facts(
    design: Design,
    edition: Edition,
    resolved: ResolvedDesign | None,
    wording: Wording,
) -> tuple[FactView, ...]:
    """What identifies the checked design, and how finely this edition is cut."""
    facts = [
        ("proof_revision", design.revision),
        ("proof_date", design.date),
        ("proof_checksum", printed_mark(design.checksum)),
        ("proof_grid", edition.units.text(edition.grid)),
    ]
    if resolved is not None:
        facts.append(("proof_tolerance", _written([resolved.tolerance], edition)[0]))
    return tuple(FactView(wording.phrase(name), value) for name, value in facts if value)


def _finding_row(finding: Finding, design: Design) -> Row:
    """A finding with its line; it is written to follow a colon, and on the sheet a sentence."""
    text = finding.message[:1].upper() + finding.message[1:]
    sentence = text if text.endswith((".", "?", "!")) else f"{text}."
    return {"finding": finding, "line": _line(finding.position, design), "sentence": sentence}


def _line(position: Position, design: Design) -> str:
    """The line of the design file; a value given on the command line has none."""
    return str(position.line) if position.file == design.file else position.file


# Lengths: what a ruler shows in the reader's unit, what includes calipers in tenths of a mm


def _written(lengths: Iterable[Fraction], edition: Edition) -> list[str]:
    """Lengths to be compared with one another: all in the edition's unit, or all in mm."""
    given = list(lengths)
    units = edition.units
    if units.is_inch and all(is_on_grid(length, _FINEST_INCH) for length in given):
        return [units.text(length) for length in given]
    return [METRIC_UNITS.text(down_to_grid(length + _TENTH / 2, _TENTH)) for length in given]


def _thickness(length: Fraction) -> str:
    """Calipers are worth a tenth of a millimetre, in whatever edition."""
    return f"{float(length):.1f}{NO_BREAK_SPACE}mm".replace("-", "−")


def _fit_row(fit: Fit, edition: Edition) -> Row:
    size, room, play, margin = _written([fit.size, fit.room, fit.play, fit.margin], edition)
    if margin.endswith("mm"):
        # What remains is never made out to be more than it is.
        margin = METRIC_UNITS.text(down_to_grid(fit.margin, _TENTH))
    lengths = {"size": size, "room": room, "play": play, "margin": margin}
    return {"fit": fit, **lengths, "is_short": fit.margin < 0}


def _gap_row(gap: Gap, edition: Edition, wording: Wording) -> Row:
    """A single fold has no gap, and nothing that could be left of it."""
    left, is_single = gap.gap - gap.needed, gap.gap == 0
    (written,) = _written([gap.gap], edition)
    return {
        "piece": gap.piece,
        "gap": wording.phrase("proof_single_fold") if is_single else written,
        "pile": _thickness(gap.pile),
        "left": "–" if is_single else _thickness(down_to_grid(left, _TENTH)),
        "photographs": "–" if is_single else str(gap.photographs),
        "is_short": not is_single and left < 0,
    }


# Conversion and sheets


def _departure(
    design: Design, edition: Edition, departure: Departure | None, wording: Wording
) -> str:
    if edition.name == design.native:
        return wording.phrase("proof_own_edition")
    if departure is None:
        return ""
    return wording.phrase(
        "proof_departure",
        axis=departure.axis,
        piece=departure.piece,
        size=edition.units.text(departure.size),
        difference=f"{float(departure.difference):+.2f}".replace("-", "−"),
    )


def _move_row(move: MovedLength, design: Design, edition: Edition) -> Row:
    before, after = _written([move.before, move.after], edition)
    line = _line(move.position, design)
    return {"name": move.name, "line": line, "before": before, "after": after}


def _stock_row(stock_plan: StockPlan, currency: str, wording: Wording) -> Row:
    plan = stock_plan.plan
    status = (
        wording.counted("proof_unplaced", len(plan.unplaced))
        if plan.unplaced
        else plan_status(stock_plan, currency, wording)
    )
    title, count = stock_plan.stock.source.title, str(len(plan.sheets))
    return {"stock": title, "sheets": count, "status": status}
