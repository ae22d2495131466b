"""Everything computed, as plain data for JSON: both editions of a design.

Lengths come as exact text with their unit (``7 3/4 in``, ``197 mm``) together with millimetres as
a number, as ``{"text": …, "mm": …}``.

Format 2 has ``joins``, the pairs of faces that glue joins, with their steps; ``closed_for_good``
has what the work finds to be shut, whoever shuts it, with the step.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from typing import Any

from builder.checks.fits import Fit, fits
from builder.checks.thickness import Gap, gaps
from builder.counts.cut_list import features
from builder.counts.supplies import SupplyLine, glued_edges
from builder.counts.tools import all_hazards, all_tools
from builder.documents.view import Computed
from builder.findings import Finding
from builder.formulas import Pair, Value
from builder.lengths import INCH, UnitSystem, millimetres
from builder.resolve.bought_sizes import printed_size
from builder.resolve.edition import Edition
from builder.resolve.resolved import (
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedStrip,
)
from builder.sheet_places import Size, motif_corner
from builder.sheets import SheetPlan
from builder.stock_plans import StockPlan, facing_side, part_sizes, recognised_size
from builder.strip_plans import strip_plan
from builder.work import work_of
from builder.work.finished import finished_size

#: The version of this format; another number means that something has another meaning or place.
FORMAT = 2


def exact_text(length: Fraction, units: UnitSystem) -> str:
    """``7 3/4 in`` or ``9 1/2 mm``: the exact value as a mixed number."""
    value = length / units.size
    sign = "-" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    number = str(whole) if not rest else f"{whole} {rest}" if whole else str(rest)
    return f"{sign}{number} {units.unit}"


def length_record(length: Fraction, edition: Edition) -> dict[str, Any]:
    """A length as exact text in the edition's unit, and in millimetres."""
    return {"text": exact_text(length, edition.units), "mm": millimetres(length)}


def edition_record(computed: Computed, findings: Iterable[Finding]) -> dict[str, Any]:
    """All data of one edition."""
    return _EditionRecord(computed).record(findings)


class _EditionRecord:
    """Writes lengths in the edition's unit; one method for each kind of data."""

    def __init__(self, computed: Computed) -> None:
        self._computed = computed
        self._resolved: ResolvedDesign = computed.resolved

    def record(self, findings: Iterable[Finding]) -> dict[str, Any]:
        resolved = self._resolved
        edition = resolved.edition
        return {
            "format": FORMAT,
            "edition": edition.name,
            "kits": self._computed.kits,
            "currency": resolved.design.currency,
            "trimmer": {
                "longest_cut": None
                if resolved.trimmer.longest_cut is None
                else self._length(resolved.trimmer.longest_cut),
                "narrowest_strip": self._length(resolved.trimmer.narrowest_strip),
            },
            "grid": self._length(edition.grid),
            "tolerance": self._length(resolved.tolerance),
            "paper": {"name": edition.paper.name, "size": self._size(edition.paper)},
            "calibration": [self._length(Fraction(100)), self._length(4 * INCH)],
            "finished": self._lengths(finished_size(work_of(resolved)) or ()),
            "measures": {name: self._value(value) for name, value in resolved.measures.items()},
            "pieces": {key: self._piece(piece) for key, piece in resolved.pieces.items()},
            "cut_list": [
                {
                    "codes": [piece.code for piece in row.pieces],
                    "pieces": [piece.key for piece in row.pieces],
                    "count": row.count,
                    "size": self._size(row.first),
                    "scores_from_left": self._lengths(row.scores_from_left),
                    "scores_from_bottom": self._lengths(row.scores_from_bottom),
                }
                for row in self._computed.rows
            ],
            "sheet_substitutes": [
                {
                    "stock": each.stock.key,
                    "sheet": each.name,
                    "size": self._size(each),
                    "count": each.count,
                    "too_small_for": list(each.too_small_for),
                }
                for each in self._computed.substitutes
            ],
            "strips": {key: self._strip(strip) for key, strip in resolved.strips.items()},
            "sheets": {key: self._stock_plan(plan) for key, plan in self._computed.plans.items()},
            "fastenings": {key: self._fastening(f) for key, f in resolved.fastenings.items()},
            "closed_for_good": [
                {"piece": shut.fold.piece, "section": shut.fold.hanging, "step": shut.step}
                for shut in work_of(resolved).shut
            ],
            "joins": list(self._joins()),
            "supplies": [
                {
                    "key": line.key,
                    "title": line.title,
                    "kind": line.kind,
                    "count": line.count,
                    "length": self._length(line.length),
                    "count_of_one_kit": line.of_one.count,
                    "length_of_one_kit": self._length(line.of_one.length),
                    **self._bought(line),
                    "size": self._lengths(line.size),
                    "size_printed": self._lengths(
                        printed_size(size, resolved) for size in line.size
                    ),
                }
                for line in self._computed.supplies
            ],
            "tools": list(all_tools(resolved)),
            "hazards": list(all_hazards(resolved)),
            "printed": {text: self._value(value) for text, value in resolved.printed.items()},
            "fits": [self._fit(fit) for fit in fits(resolved)],
            "gaps": [self._gap(gap) for gap in gaps(resolved)],
            "findings": [finding_record(finding) for finding in findings],
        }

    def _bought(self, line: SupplyLine) -> dict[str, Any]:
        """How a supply is sold, how many are bought in whole rolls and packs, and their cost.

        ``price`` is a number, as it always was; sums are exact text.
        """
        costs = {
            "cost": line.cost(line.for_all),
            "cost_of_one_kit": line.cost(line.of_one),
            "used_by_one_kit": line.used_by_one,
        }
        return {
            "price": None if line.price is None else float(line.price),
            "pack": line.offer.pack,
            "roll": self._length(line.roll) if line.roll else None,
            "bought": line.bought(line.for_all),
            "bought_for_one_kit": line.bought(line.of_one),
            **{name: None if cost is None else str(cost) for name, cost in costs.items()},
        }

    def _length(self, length: Fraction) -> dict[str, Any]:
        return length_record(length, self._resolved.edition)

    def _lengths(self, lengths: Iterable[Fraction]) -> list[dict[str, Any]]:
        return [self._length(length) for length in lengths]

    def _size(self, sized: Any) -> dict[str, Any]:
        return {"width": self._length(sized.width), "height": self._length(sized.height)}

    def _value(self, value: Value) -> dict[str, Any]:
        return self._size(value) if isinstance(value, Pair) else self._length(value.value)

    def _piece(self, piece: ResolvedPiece) -> dict[str, Any]:
        offsets = piece.offsets
        strip = self._resolved.strip_of(piece.key)
        return {
            "code": piece.code,
            "title": piece.title,
            "kind": piece.source.kind,
            "stock": piece.stock.key,
            "side": piece.source.side,
            "count": piece.source.count,
            "strip": None if strip is None else strip.key,
            "motif": piece.source.motif,
            "motif_on_sheet": self._lengths(motif_corner(piece, self._resolved.edition.grid) or ()),
            "region": piece.source.region,
            "edge": piece.source.edge or None,
            **self._size(piece),
            "faces": {
                face.name: {
                    "left": self._length(face.box.left),
                    "bottom": self._length(face.box.bottom),
                    **self._size(face.box),
                }
                for face in piece.faces
            },
            "scores": [
                {
                    "axis": score.axis,
                    "at": self._length(score.at),
                    "fold": score.fold,
                    "between": list(score.sides),
                }
                for score in piece.scores
            ],
            "features": [
                {"kind": f.kind, "where": f.where, "lengths": self._lengths(f.lengths)}
                for f in features(piece)
            ],
            "seams": [
                {
                    "section": seam.section,
                    "edge": seam.edge,
                    "dry": self._length(seam.dry),
                    "length": self._length(seam.length),
                    "runs": [
                        [{"x": self._length(end.x), "y": self._length(end.y)} for end in run]
                        for run in seam.runs
                    ],
                }
                for seam in piece.seams
            ],
            "lies": None
            if offsets is None or piece.source.placement is None
            else {
                "relation": piece.source.placement.relation,
                "host": piece.source.placement.host,
                "host_face": piece.host_face,
                "by": piece.by,
                "turned": piece.source.placement.turned,
                "left": self._length(offsets.left),
                "right": self._length(offsets.right),
                "top": self._length(offsets.top),
                "bottom": self._length(offsets.bottom),
                "glue": list(piece.glue.edges),
                "glue_length": self._length(glued_edges(piece)),
                "keep_off": [
                    {"left": self._length(box.left), "bottom": self._length(box.bottom)}
                    | self._size(box)
                    for box in piece.glue.keep_off
                ],
            },
        }

    def _strip(self, strip: ResolvedStrip) -> dict[str, Any]:
        """A strip as it is cut from its sheet, and how it is divided."""
        plan = strip_plan(strip)
        return {
            "code": strip.code,
            "title": strip.title,
            "direction": strip.source.direction,
            "pieces": [part.key for part in strip.parts],
            **self._size(strip),
            "allowance": self._length(strip.allowance),
            "scores": [
                {"axis": score.axis, "at": self._length(score.at)} for score in strip.scores
            ],
            **self._cut_up(plan),
        }

    def _cut_up(self, sheet: SheetPlan) -> dict[str, Any]:
        """What lies where, the cuts in order, and every part that they make."""
        return {
            "placed": [
                {
                    "piece": placed.key,
                    "x": self._length(Fraction(placed.x)),
                    "y": self._length(Fraction(placed.y)),
                    "width": self._length(Fraction(placed.width)),
                    "height": self._length(Fraction(placed.height)),
                    "turned": placed.turned,
                }
                for placed in sheet.placed
            ],
            "cuts": [
                {
                    "number": cut.number,
                    "part": cut.part,
                    "axis": cut.axis,
                    "edge": cut.edge,
                    "setting": self._length(Fraction(cut.setting)),
                    "parts": list(cut.parts),
                }
                for cut in sheet.cuts
            ],
            "final": {str(part): key for part, key in sheet.final.items()},
            "parts": self._parts(part_sizes(sheet)),
            "offcuts": [offcut.part for offcut in sheet.offcuts],
        }

    def _stock_plan(self, stock_plan: StockPlan) -> dict[str, Any]:
        plan = stock_plan.plan
        return {
            "sheet": {
                "width": self._length(stock_plan.stock.sheet_width),
                "height": self._length(stock_plan.stock.sheet_height),
            },
            "caliper_mm": millimetres(stock_plan.stock.caliper),
            "count": len(plan.sheets),
            "count_of_one_kit": len(stock_plan.of_one.sheets),
            "kinds": {
                sheet.name: {
                    "width": self._length(sheet.width),
                    "height": self._length(sheet.height),
                    "margins": self._lengths(sheet.margins),
                    "limit": sheet.source.limit,
                    "price": None if sheet.source.price is None else float(sheet.source.price),
                    "scrap": sheet.source.is_scrap,
                }
                for sheet in stock_plan.stock.sheets
            },
            "cost": str(plan.cost),
            "bound": str(plan.bound),
            "proven": plan.proven,
            "status": plan.status,
            "plans": [
                {
                    "kind": sheet.sheet.name,
                    "facing": facing_side(self._resolved, sheet),
                    **self._cut_up(sheet),
                    "kept": {
                        str(part): purpose for part, purpose in stock_plan.kept_on(number).items()
                    },
                }
                for number, sheet in enumerate(plan.sheets, start=1)
            ],
            "spares_missed": [
                {
                    "for": missed.reserve.purpose,
                    **self._size(missed.reserve),
                    "more_sheets": missed.more_sheets,
                }
                for missed in stock_plan.missed
            ],
        }

    def _parts(self, sizes: Mapping[int, Size]) -> dict[str, Any]:
        """Every part a sheet falls into: its true size and the size printed to recognise it."""
        return {
            str(part): {
                "width": self._length(size[0]),
                "height": self._length(size[1]),
                "printed": self._lengths(recognised_size(size, self._resolved.edition.grid)),
            }
            for part, size in sizes.items()
        }

    def _fit(self, fit: Fit) -> dict[str, Any]:
        return {
            "kind": fit.kind,
            "inner": fit.inner,
            "outer": fit.outer,
            "direction": fit.direction,
            "size": self._length(fit.size),
            "room": self._length(fit.room),
            "play": self._length(fit.play),
            "margin": self._length(fit.margin),
        }

    def _gap(self, gap: Gap) -> dict[str, Any]:
        return {
            "piece": gap.piece,
            "gap": self._length(gap.gap),
            "pile_mm": millimetres(gap.pile),
            "needed_mm": millimetres(gap.needed),
            "photographs": gap.photographs,
        }

    def _joins(self) -> Iterator[dict[str, Any]]:
        """The pairs of faces that glue joins, in the order in which they are joined; ``step`` is
        none for what no step joins."""
        for moment in work_of(self._resolved).moments:
            for bond in moment.bonds:
                if bond.kind == "glue":
                    yield {
                        "step": moment.step or None,
                        "first": bond.first._asdict(),
                        "second": bond.second._asdict(),
                        "joins": bond.joins,
                    }

    def _fastening(self, fastening: ResolvedFastening) -> dict[str, Any]:
        point = fastening.point
        return {
            "kind": fastening.source.kind,
            "count": fastening.source.count,
            "head": self._length(fastening.head),
            "leg": self._length(fastening.leg),
            "length": self._length(fastening.length),
            "allowance": self._length(fastening.allowance),
            "with_allowance": self._length(fastening.length + fastening.allowance),
            "through": list(fastening.source.through),
            "point": None if point is None else self._lengths((point.x, point.y)),
        }


def finding_record(finding: Finding) -> dict[str, Any]:
    """One finding; ``accepted`` is the designer's reason to leave it, empty for all others."""
    position = finding.position
    return {
        "severity": finding.severity.value,
        "code": finding.code,
        "about": list(finding.about),
        "file": position.file,
        "line": position.line,
        "column": position.column,
        "message": finding.message,
        "remedy": finding.remedy,
        "numbers": dict(finding.numbers),
        "accepted": finding.accepted,
    }
