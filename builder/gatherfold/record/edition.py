"""Everything computed, as plain data for JSON: both editions of a design.

Lengths come as exact text with their unit (``7 3/4 in``, ``197 mm``) together with millimetres as
a number, as ``{"text": …, "mm": …}``.

Format 2 has ``joins``, the pairs of faces that glue joins, with their steps; ``closed_for_good``
has what the work finds to be shut, whoever shuts it, with the step.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from fractions import Fraction
from typing import Any

from gatherfold.checks import fits, gaps
from gatherfold.counts import SupplyLine, all_hazards, all_tools, features, glued_edges
from gatherfold.editions import Computed
from gatherfold.findings import Finding
from gatherfold.formulas import Quantity
from gatherfold.geometry import Box
from gatherfold.lengths import INCH, UnitSystem, millimetres, mixed_number
from gatherfold.plans import (
    StockPlan,
    facing_side,
    motif_corner,
    part_sizes,
    recognised_size,
    strip_plan,
)
from gatherfold.resolve import (
    Edition,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    ResolvedStrip,
    printed_size,
)
from gatherfold.sheets import SheetPlan
from gatherfold.work import finished_size, work_of

#: The version of this format; another number means that something has another meaning or place.
FORMAT = 2


def exact_text(length: Fraction, units: UnitSystem) -> str:
    """``7 3/4 in`` or ``9 1/2 mm``: the exact value as a mixed number."""
    value = length / units.size
    return f"{'-' if value < 0 else ''}{mixed_number(abs(value))} {units.unit}"


def plain(data: Any, edition: Edition) -> Any:
    """Write anything computed as plain data: every fraction is a length, in the edition's unit."""
    match data:
        case Fraction():
            return {"text": exact_text(data, edition.units), "mm": millimetres(data)}
        case Quantity():
            return plain(data.value, edition)
        case Mapping():
            return {str(key): plain(each, edition) for key, each in data.items()}
        case tuple() | list():
            return [plain(each, edition) for each in data]
        case _ if is_dataclass(data):
            named = {field.name: getattr(data, field.name) for field in fields(data)}
            return plain(named, edition)
        case _:
            return data


def edition_record(computed: Computed, findings: Iterable[Finding]) -> dict[str, Any]:
    """All data of one edition."""
    resolved = computed.resolved
    data = {**_setting(computed), **_made(computed), **_bought_and_checked(computed)}
    data["findings"] = [finding_record(finding) for finding in findings]
    written: dict[str, Any] = plain(data, resolved.edition)
    return written


def _setting(computed: Computed) -> dict[str, Any]:
    """What the edition is made with: paper, grid, trimmer."""
    resolved, edition = computed.resolved, computed.resolved.edition
    return {
        "format": FORMAT,
        "edition": edition.name,
        "kits": computed.kits,
        "currency": resolved.design.currency,
        "trimmer": resolved.trimmer,
        "grid": edition.grid,
        "tolerance": resolved.tolerance,
        "paper": {"name": edition.paper.name, "size": _size(edition.paper)},
        "calibration": [Fraction(100), 4 * INCH],
    }


def _made(computed: Computed) -> dict[str, Any]:
    """The pieces and the whole: sizes, how they are cut, fastened and joined."""
    resolved = computed.resolved
    return {
        "finished": finished_size(work_of(resolved)) or (),
        "measures": resolved.measures,
        "pieces": {key: _piece(piece, resolved) for key, piece in resolved.pieces.items()},
        "cut_list": [
            {
                "codes": [piece.code for piece in row.pieces],
                "pieces": [piece.key for piece in row.pieces],
                "count": row.count,
                "size": _size(row.first),
                "scores_from_left": row.scores_from_left,
                "scores_from_bottom": row.scores_from_bottom,
            }
            for row in computed.rows
        ],
        "sheet_substitutes": [
            {
                "stock": each.stock.key,
                "sheet": each.name,
                "size": _size(each),
                "count": each.count,
                "too_small_for": each.too_small_for,
            }
            for each in computed.substitutes
        ],
        "strips": {key: _strip(strip, resolved) for key, strip in resolved.strips.items()},
        "sheets": {key: _stock_plan(plan, resolved) for key, plan in computed.plans.items()},
        "fastenings": {key: _fastening(each) for key, each in resolved.fastenings.items()},
        "closed_for_good": [
            {"piece": shut.fold.piece, "section": shut.fold.hanging, "step": shut.step}
            for shut in work_of(resolved).shut
        ],
        "joins": list(_joins(resolved)),
    }


def _bought_and_checked(computed: Computed) -> dict[str, Any]:
    resolved = computed.resolved
    return {
        "supplies": [_supply(line, resolved) for line in computed.supplies],
        "tools": all_tools(resolved),
        "hazards": all_hazards(resolved),
        "printed": resolved.printed,
        "fits": [
            fields_of(fit, "kind", "inner", "outer", "direction", "size", "room", "play", "margin")
            for fit in fits(resolved)
        ],
        "gaps": [
            {
                **fields_of(gap, "piece", "gap"),
                "pile_mm": millimetres(gap.pile),
                "needed_mm": millimetres(gap.needed),
                "photographs": gap.photographs,
            }
            for gap in gaps(resolved)
        ],
    }


def _supply(line: SupplyLine, resolved: ResolvedDesign) -> dict[str, Any]:
    """What is needed of a supply, how it is sold, and what it costs in whole rolls and packs.

    ``price`` is a number, as it always was; sums are exact text.
    """
    costs = {
        "cost": line.cost(line.for_all),
        "cost_of_one_kit": line.cost(line.of_one),
        "used_by_one_kit": line.used_by_one,
    }
    return {
        **fields_of(line, "key", "title", "kind"),
        **fields_of(line.for_all, "count", "length"),
        "count_of_one_kit": line.of_one.count,
        "length_of_one_kit": line.of_one.length,
        "price": None if line.price is None else float(line.price),
        "pack": line.offer.pack,
        "roll": line.roll or None,
        "bought": line.bought(line.for_all),
        "bought_for_one_kit": line.bought(line.of_one),
        **{name: None if cost is None else str(cost) for name, cost in costs.items()},
        "size": line.size,
        "size_printed": [printed_size(size, resolved) for size in line.size],
    }


def fields_of(thing: object, *names: str) -> dict[str, Any]:
    """Give what a thing has by these names, which the record has it by as well."""
    return {name: getattr(thing, name) for name in names}


def _size(sized: object) -> dict[str, Any]:
    return fields_of(sized, "width", "height")


def _box(box: Box) -> dict[str, Any]:
    return fields_of(box, "left", "bottom", "width", "height")


def _piece(piece: ResolvedPiece, resolved: ResolvedDesign) -> dict[str, Any]:
    strip = resolved.strip_of(piece.key)
    return {
        **fields_of(piece, "code", "title"),
        "kind": piece.source.kind,
        "stock": piece.stock.key,
        **fields_of(piece.source, "side", "count"),
        "strip": None if strip is None else strip.key,
        "motif": piece.source.motif,
        "motif_on_sheet": motif_corner(piece, resolved.edition.grid) or (),
        "region": piece.source.region,
        "edge": piece.source.edge or None,
        **_size(piece),
        "faces": {face.name: _box(face.box) for face in piece.faces},
        "scores": [
            {"axis": score.axis, "at": score.at, "fold": score.fold, "between": score.sides}
            for score in piece.scores
        ],
        "features": [fields_of(each, "kind", "where", "lengths") for each in features(piece)],
        "seams": [
            fields_of(seam, "section", "edge", "dry", "length", "runs") for seam in piece.seams
        ],
        "lies": _lies(piece),
    }


def _lies(piece: ResolvedPiece) -> dict[str, Any] | None:
    """How a piece lies on its host and what is glued of it; none where it lies on nothing."""
    offsets, placement = piece.offsets, piece.source.placement
    if offsets is None or placement is None:
        return None
    return {
        **fields_of(placement, "relation", "host"),
        **fields_of(piece, "host_face", "by"),
        "turned": placement.turned,
        **fields_of(offsets, "left", "right", "top", "bottom"),
        "glue": piece.glue.edges,
        "glue_length": glued_edges(piece),
        "keep_off": [_box(box) for box in piece.glue.keep_off],
    }


def _strip(strip: ResolvedStrip, resolved: ResolvedDesign) -> dict[str, Any]:
    """A strip as it is cut from its sheet, and how it is divided."""
    return {
        **fields_of(strip, "code", "title"),
        "direction": strip.source.direction,
        "pieces": [part.key for part in strip.parts],
        **_size(strip),
        "allowance": strip.allowance,
        "scores": [fields_of(score, "axis", "at") for score in strip.scores],
        **_cut_up(strip_plan(strip), resolved),
    }


def _cut_up(sheet: SheetPlan, resolved: ResolvedDesign) -> dict[str, Any]:
    """What lies where, the cuts in order, and every part that they make: its true size and the size
    printed to recognise it."""
    return {
        "placed": [
            {
                "piece": placed.key,
                **{name: Fraction(getattr(placed, name)) for name in ("x", "y", "width", "height")},
                "turned": placed.turned,
            }
            for placed in sheet.placed
        ],
        "cuts": [
            {
                **fields_of(cut, "number", "part", "axis", "edge"),
                "setting": Fraction(cut.setting),
                "parts": cut.parts,
            }
            for cut in sheet.cuts
        ],
        "final": sheet.final,
        "parts": {
            part: {
                "width": size[0],
                "height": size[1],
                "printed": recognised_size(size, resolved.edition.grid),
            }
            for part, size in part_sizes(sheet).items()
        },
        "offcuts": [offcut.part for offcut in sheet.offcuts],
    }


def _stock_plan(stock_plan: StockPlan, resolved: ResolvedDesign) -> dict[str, Any]:
    plan, stock = stock_plan.plan, stock_plan.stock
    return {
        "sheet": {"width": stock.sheet_width, "height": stock.sheet_height},
        "caliper_mm": millimetres(stock.caliper),
        "count": len(plan.sheets),
        "count_of_one_kit": len(stock_plan.of_one.sheets),
        "kinds": {
            sheet.name: {
                **_size(sheet),
                "margins": sheet.margins,
                "limit": sheet.source.limit,
                "price": None if sheet.source.price is None else float(sheet.source.price),
                "scrap": sheet.source.is_scrap,
            }
            for sheet in stock.sheets
        },
        "cost": str(plan.cost),
        "bound": str(plan.bound),
        **fields_of(plan, "proven", "status"),
        "plans": [
            {
                "kind": sheet.sheet.name,
                "facing": facing_side(resolved, sheet),
                **_cut_up(sheet, resolved),
                "kept": stock_plan.kept_on(number),
            }
            for number, sheet in enumerate(plan.sheets, start=1)
        ],
        "spares_missed": [
            {
                "for": missed.reserve.source.purpose,
                **_size(missed.reserve),
                "more_sheets": missed.more_sheets,
            }
            for missed in stock_plan.missed
        ],
    }


def _joins(resolved: ResolvedDesign) -> Iterator[dict[str, Any]]:
    """The pairs of faces that glue joins, in the order in which they are joined; ``step`` is none
    for what no step joins."""
    for moment in work_of(resolved).moments:
        for bond in moment.bonds:
            if bond.kind == "glue":
                yield {
                    "step": moment.step or None,
                    "first": bond.first._asdict(),
                    "second": bond.second._asdict(),
                    "joins": bond.joins,
                }


def _fastening(fastening: ResolvedFastening) -> dict[str, Any]:
    point = fastening.point
    return {
        **fields_of(fastening.source, "kind", "count"),
        **fields_of(fastening, "head", "leg", "length", "allowance"),
        "with_allowance": fastening.length + fastening.allowance,
        "through": fastening.source.through,
        "point": None if point is None else (point.x, point.y),
    }


def finding_record(finding: Finding) -> dict[str, Any]:
    """One finding; ``accepted`` is the designer's reason to leave it, empty for all others."""
    return {
        "severity": finding.severity.value,
        "code": finding.code,
        "about": list(finding.about),
        **fields_of(finding.position, "file", "line", "column"),
        **fields_of(finding, "message", "remedy"),
        "numbers": dict(finding.numbers),
        "accepted": finding.accepted,
    }
