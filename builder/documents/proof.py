"""What checking found and measured → :class:`ProofView`: the proof sheet, for the designer only.

In: each edition's findings and figures.  Out: plain text for the proof layout, wording final.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from builder.checks.fits import Fit
from builder.checks.thickness import Gap
from builder.checksum import printed_mark
from builder.design import Design
from builder.documents.content import FactView
from builder.documents.sheets_text import plan_status
from builder.findings import Finding, Position, Tally, gravest_first
from builder.lengths import INCH, METRIC_UNITS, NO_BREAK_SPACE, is_on_grid
from builder.native_edition import Move
from builder.resolve.departure import Departure
from builder.resolve.edition import Edition
from builder.resolve.resolved import ResolvedDesign
from builder.stock_plans import StockPlan
from builder.wording import Wording

_TENTH = Fraction(1, 10)
#: The finest inch fraction that anyone reads off a ruler.
_FINEST_INCH = INCH / 64


@dataclass(frozen=True)
class EditionFigures:
    """One edition, checked; ``resolved`` is None when it could not be worked out at all."""

    edition: Edition
    findings: tuple[Finding, ...]
    resolved: ResolvedDesign | None = None
    plans: Mapping[str, StockPlan] | None = None
    fits: tuple[Fit, ...] = ()
    gaps: tuple[Gap, ...] = ()
    departure: Departure | None = None
    moves: tuple[Move, ...] = ()


@dataclass(frozen=True)
class FindingRow:
    """``reason`` is why the designer accepts it."""

    severity: str
    code: str
    line: str
    sentence: str
    remedy: str
    reason: str


@dataclass(frozen=True)
class FitRow:
    """``is_short`` when nothing remains in the worst case."""

    inner: str
    kind: str
    outer: str
    direction: str
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

    language: str
    title: str
    author: str
    date: str
    editions: tuple[EditionProofView, ...]
    text: Mapping[str, str]


def proof_view(
    design: Design, editions: Iterable[EditionFigures], checksum: str, wording: Wording
) -> ProofView:
    """The proof sheet of a design in the editions that were checked."""
    return ProofView(
        language=wording.language,
        title=design.title,
        author=design.author,
        date=design.date,
        editions=tuple(_edition(design, each, checksum, wording) for each in editions),
        text=dict(wording.text),
    )


def _edition(
    design: Design, figures: EditionFigures, checksum: str, wording: Wording
) -> EditionProofView:
    edition = figures.edition if figures.resolved is None else figures.resolved.edition
    tally = Tally.of(figures.findings)
    rows = [_finding_row(finding, design) for finding in gravest_first(figures.findings)]
    tightest_first = sorted(figures.fits, key=lambda fit: fit.margin)
    return EditionProofView(
        key=edition.name,
        name=wording.phrase(f"edition_{edition.name}"),
        is_known=figures.resolved is not None,
        facts=_facts(design, edition, figures.resolved, checksum, wording),
        verdict=", ".join(tally.parts()),
        has_errors=tally.errors > 0,
        findings=tuple(row for row in rows if not row.reason),
        accepted=tuple(row for row in rows if row.reason),
        fits=tuple(_fit_row(fit, edition) for fit in tightest_first),
        gaps=tuple(_gap_row(gap, edition, wording) for gap in figures.gaps),
        departure=_departure(design, edition, figures.departure, wording),
        moves=tuple(_move_row(move, design, edition) for move in figures.moves),
        stocks=tuple(
            _stock_row(plan, design.currency, wording) for plan in (figures.plans or {}).values()
        ),
    )


def _facts(
    design: Design,
    edition: Edition,
    resolved: ResolvedDesign | None,
    checksum: str,
    wording: Wording,
) -> tuple[FactView, ...]:
    """What identifies the checked design, and how finely this edition is cut."""
    facts = [
        ("proof_revision", design.revision),
        ("proof_date", design.date),
        ("proof_checksum", printed_mark(checksum)),
        ("proof_grid", edition.units.text(edition.grid)),
    ]
    if resolved is not None:
        facts.append(("proof_tolerance", _written([resolved.tolerance], edition)[0]))
    return tuple(FactView(wording.phrase(name), value) for name, value in facts if value)


def _finding_row(finding: Finding, design: Design) -> FindingRow:
    return FindingRow(
        severity=finding.severity.value,
        code=finding.code,
        line=_line(finding.position, design),
        sentence=_sentence(finding.message),
        remedy=finding.remedy,
        reason=finding.accepted,
    )


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


def _down_to_tenth(length: Fraction) -> Fraction:
    """What remains is never made out to be more than it is."""
    return (length / _TENTH).__floor__() * _TENTH


def _thickness(length: Fraction) -> str:
    """Calipers are worth a tenth of a millimetre, in whatever edition."""
    return f"{float(length):.1f}{NO_BREAK_SPACE}mm".replace("-", "−")


def _fit_row(fit: Fit, edition: Edition) -> FitRow:
    size, room, play, margin = _written([fit.size, fit.room, fit.play, fit.margin], edition)
    if margin.endswith("mm"):
        margin = METRIC_UNITS.text(_down_to_tenth(fit.margin))
    return FitRow(
        inner=fit.inner,
        kind=fit.kind,
        outer=fit.outer,
        direction=fit.direction,
        size=size,
        room=room,
        play=play,
        margin=margin,
        is_short=fit.margin < 0,
    )


def _gap_row(gap: Gap, edition: Edition, wording: Wording) -> GapRow:
    """A single fold has no gap, and nothing that could be left of it."""
    left = gap.gap - gap.needed
    is_single = gap.gap == 0
    return GapRow(
        piece=gap.piece,
        gap=wording.phrase("proof_single_fold") if is_single else _written([gap.gap], edition)[0],
        pile=_thickness(gap.pile),
        left="–" if is_single else _thickness(_down_to_tenth(left)),
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


def _move_row(move: Move, design: Design, edition: Edition) -> MoveRow:
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
