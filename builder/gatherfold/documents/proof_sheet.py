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

from gatherfold.checks.fits import Fit, fits
from gatherfold.checks.thickness import Gap, gaps
from gatherfold.documents.compose import compose
from gatherfold.documents.content import FactView
from gatherfold.documents.page import read_page
from gatherfold.documents.sheets_text import plan_status
from gatherfold.documents.typeset import typeset
from gatherfold.editions import EditionCheck, departure_of
from gatherfold.findings import Finding, Position, Tally, gravest_first
from gatherfold.lengths import INCH, METRIC_UNITS, NO_BREAK_SPACE, down_to_grid, is_on_grid
from gatherfold.model.checksum import printed_mark
from gatherfold.model.design import Design
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


@dataclass(frozen=True)
class FindingRow:
    """A finding with the line of the design that it is of, and its message as a sentence."""

    finding: Finding
    line: str
    sentence: str


@dataclass(frozen=True)
class FitRow:
    """A fit with its lengths as written; ``is_short`` when nothing remains in the worst case."""

    fit: Fit
    size: str
    room: str
    play: str
    margin: str
    is_short: bool


@dataclass(frozen=True)
class GapRow:
    piece: str
    gap: str
    pile: str
    left: str
    photographs: str
    is_short: bool


@dataclass(frozen=True)
class MoveRow:
    name: str
    line: str
    before: str
    after: str


@dataclass(frozen=True)
class StockRow:
    stock: str
    sheets: str
    status: str


@dataclass(frozen=True)
class EditionProofView:
    """One edition on the proof sheet; ``is_known`` unless it could not be worked out."""

    key: str
    name: str
    is_known: bool
    facts: tuple[FactView, ...]
    verdict: str
    has_errors: bool
    findings: tuple[FindingRow, ...]
    accepted: tuple[FindingRow, ...]
    fits: tuple[FitRow, ...]
    gaps: tuple[GapRow, ...]
    departure: str
    moves: tuple[MoveRow, ...]
    stocks: tuple[StockRow, ...]


@dataclass(frozen=True)
class ProofView:
    """The whole proof sheet."""

    design: Design
    language: str
    editions: tuple[EditionProofView, ...]
    text: Mapping[str, str]


def proof_pdf(design: Design, checks: Iterable[EditionCheck]) -> bytes:
    """The proof sheet, on the paper of the designer's own edition."""
    measured = [_measured(design, check) for check in checks]
    html = compose(proof_view(design, measured, load_wording()), PROOF_LAYOUT)
    page = read_page(PROOF_LAYOUT, EDITIONS[design.native])
    return typeset(html, PROOF_LAYOUT, {}, page.style, Path(design.file).parent)


def _measured(design: Design, check: EditionCheck) -> Measured:
    if check.checked is None:
        return Measured(check)
    resolved = check.checked.resolved
    return Measured(check, tuple(fits(resolved)), gaps(resolved), departure_of(design, check))


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
        findings=tuple(row for row in rows if not row.finding.accepted),
        accepted=tuple(row for row in rows if row.finding.accepted),
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


def _finding_row(finding: Finding, design: Design) -> FindingRow:
    return FindingRow(finding, _line(finding.position, design), _sentence(finding.message))


def _line(position: Position, design: Design) -> str:
    """The line of the design file; a value given on the command line has none."""
    return str(position.line) if position.file == design.file else position.file


def _sentence(message: str) -> str:
    """Findings are written to follow a colon; on the sheet each is a sentence of its own."""
    text = message[:1].upper() + message[1:]
    return text if text.endswith((".", "?", "!")) else f"{text}."


# Lengths: what a ruler shows in the reader's unit, what includes calipers in tenths of a mm


def _written(lengths: Iterable[Fraction], edition: Edition) -> list[str]:
    """Lengths to be compared with one another: all in the edition's unit, or all in mm."""
    given = list(lengths)
    units = edition.units
    if units.is_inch and all(is_on_grid(length, _FINEST_INCH) for length in given):
        return [units.text(length) for length in given]
    return [METRIC_UNITS.text(_to_tenth(length)) for length in given]


def _to_tenth(length: Fraction) -> Fraction:
    return (length / _TENTH + Fraction(1, 2)).__floor__() * _TENTH


def _thickness(length: Fraction) -> str:
    """Calipers are worth a tenth of a millimetre, in whatever edition."""
    return f"{float(length):.1f}{NO_BREAK_SPACE}mm".replace("-", "−")


def _fit_row(fit: Fit, edition: Edition) -> FitRow:
    size, room, play, margin = _written([fit.size, fit.room, fit.play, fit.margin], edition)
    if margin.endswith("mm"):
        # What remains is never made out to be more than it is.
        margin = METRIC_UNITS.text(down_to_grid(fit.margin, _TENTH))
    return FitRow(fit, size, room, play, margin, is_short=fit.margin < 0)


def _gap_row(gap: Gap, edition: Edition, wording: Wording) -> GapRow:
    """A single fold has no gap, and nothing that could be left of it."""
    left = gap.gap - gap.needed
    is_single = gap.gap == 0
    return GapRow(
        piece=gap.piece,
        gap=wording.phrase("proof_single_fold") if is_single else _written([gap.gap], edition)[0],
        pile=_thickness(gap.pile),
        left="–" if is_single else _thickness(down_to_grid(left, _TENTH)),
        photographs="–" if is_single else str(gap.photographs),
        is_short=not is_single and left < 0,
    )


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


def _move_row(move: MovedLength, design: Design, edition: Edition) -> MoveRow:
    before, after = _written([move.before, move.after], edition)
    return MoveRow(move.name, _line(move.position, design), before, after)


def _stock_row(stock_plan: StockPlan, currency: str, wording: Wording) -> StockRow:
    plan = stock_plan.plan
    status = (
        wording.counted("proof_unplaced", len(plan.unplaced))
        if plan.unplaced
        else plan_status(stock_plan, currency, wording)
    )
    return StockRow(stock_plan.stock.source.title, str(len(plan.sheets)), status)
