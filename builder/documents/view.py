"""Everything computed for one edition → :class:`DocumentView`, its wording final.

In: resolved design, sheet plans, cut list, figures, wording.  Out: what a layout shows.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from builder.counts.cut_list import CutRow, Feature
from builder.counts.supplies import SupplyLine
from builder.counts.tools import all_hazards, all_tools, step_hazards, step_tools
from builder.design import Step
from builder.documents.content import (
    CautionView,
    CutRowView,
    DocumentView,
    FactView,
    FigureView,
    SheetView,
    StepView,
    StockCutsView,
    StockSheetsView,
    SupplyView,
)
from builder.documents.cutting_text import cut_views
from builder.documents.figure_set import FigureSet, is_crowded
from builder.documents.money import money_text
from builder.documents.steps_text import markdown, step_html
from builder.documents.typeset import FIGURE_SCHEME
from builder.resolve.bought_sizes import sheet_text, size_text
from builder.resolve.placement import finished_size
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings, named_pieces
from builder.sheets import SheetPlan
from builder.stock_plans import StockPlan, piece_of
from builder.wording import Wording

#: Tools that are bought as supplies: a step names them, the list of tools does not.
_LISTED_WITH_SUPPLIES = ("adhesive", "ink_pad", "magnets")


@dataclass(frozen=True)
class Computed:
    """One edition, computed: what the document is made of."""

    resolved: ResolvedDesign
    plans: Mapping[str, StockPlan]
    rows: tuple[CutRow, ...]
    supplies: tuple[SupplyLine, ...]
    checksum: str
    is_draft: bool
    kits: int = 1


def document_view(computed: Computed, figures: FigureSet, wording: Wording) -> DocumentView:
    design, edition = computed.resolved.design, computed.resolved.edition
    unit = edition.units.unit
    lines = [(line, _supply_view(line, computed, wording)) for line in computed.supplies]
    return DocumentView(
        language=wording.language,
        title=design.title,
        subtitle=design.subtitle,
        author=design.author,
        edition=wording.phrase(f"edition_{edition.name}"),
        edition_key=edition.name,
        unit=wording.phrase(f"unit_{unit}"),
        paper=edition.paper.name,
        is_draft=computed.is_draft,
        summary=markdown(design.summary),
        terms=markdown(design.terms),
        revision=wording.phrase("revision_of", revision=design.revision, date=design.date),
        revision_note=wording.phrase("revision_note", checksum=computed.checksum),
        date=design.date,
        facts=_facts(computed, wording),
        stock_supplies=tuple(view for line, view in lines if line.kind in SHEET_KINDS),
        other_supplies=tuple(view for line, view in lines if line.kind not in SHEET_KINDS),
        cost=_cost(computed, wording),
        kits="" if computed.kits == 1 else wording.phrase("kits_together", kits=computed.kits),
        tools=tuple(
            wording.tools[key]
            for key in all_tools(computed.resolved)
            if key not in _LISTED_WITH_SUPPLIES
        ),
        cautions=tuple(
            _caution(key, computed.resolved, wording) for key in all_hazards(computed.resolved)
        ),
        conventions=tuple(
            wording.phrase(f"convention_{name}")
            for name in (f"units_{unit}", "size", "scores", "reveal", "codes", "dry_fit")
        ),
        convention_figure=_figure("legend", figures),
        calibration_figure=_figure("calibration", figures),
        cover_figure=_figure("cover", figures),
        open_figure=_figure("open", figures),
        closed_figure=_figure("closed", figures),
        cut_lists=_cut_lists(computed, wording),
        piece_figures=tuple(
            replace(_figure(f"piece-{row.first.key}", figures), title=_row_title(row))
            for row in computed.rows
            if f"piece-{row.first.key}" in figures.figures
        ),
        sheet_plans=_sheet_plans(computed, figures, wording),
        steps=tuple(
            _step(number, step, computed, figures, wording)
            for number, step in enumerate(design.steps, start=1)
        ),
        templates=tuple(_figure(key, figures) for key in figures.templates),
        text=dict(wording.text),
    )


def _figure(key: str, figures: FigureSet) -> FigureView:
    figure = figures.figures[key]
    return FigureView(
        key,
        f"{FIGURE_SCHEME}{key}",
        figure.title,
        figure.alternative,
        figure.width_mm,
        figure.height_mm,
    )


def _facts(computed: Computed, wording: Wording) -> tuple[FactView, ...]:
    """The few figures a buyer asks for first."""
    resolved = computed.resolved
    facts = []
    finished = finished_size(resolved)
    if finished is not None:
        facts.append(("fact_finished", _finished_text(finished, resolved, wording)))
    pieces = sum(piece.source.count for piece in resolved.pieces.values())
    sheets = sum(len(stock.of_one.sheets) for stock in computed.plans.values())
    all_sheets = sum(len(stock.plan.sheets) for stock in computed.plans.values())
    facts += [("fact_pieces", str(pieces))]
    facts += [("fact_sheets", _with_all(str(sheets), str(all_sheets), computed, wording))]
    if resolved.design.skill:
        facts.append(("fact_skill", resolved.design.skill))
    return tuple(FactView(wording.phrase(name), value) for name, value in facts)


def _with_all(one: str, together: str, computed: Computed, wording: Wording) -> str:
    """What one kit needs, and, of several, what all need together."""
    if computed.kits == 1:
        return one
    return f"{one}; {wording.phrase('for_kits', amount=together, kits=computed.kits)}"


def _finished_text(
    size: tuple[Fraction, Fraction, Fraction], resolved: ResolvedDesign, wording: Wording
) -> str:
    units = resolved.edition.units
    text = units.size_text(size[0], size[1])
    if size[2] == 0:
        return text
    return wording.phrase("finished_depth", size=text, depth=units.text(size[2]))


# Supplies


#: Kinds of supplies that pieces are cut from.
SHEET_KINDS = ("sheet", "scrap")


def _cost(computed: Computed, wording: Wording) -> str:
    """What the sheets cost, for one kit and for all together; empty without prices."""
    priced = [line for line in computed.supplies if line.price is not None]
    if not priced:
        return ""
    currency, kits = computed.resolved.design.currency, computed.kits
    one = sum((line.cost_of_one for line in priced), Fraction(0))
    together = sum((line.cost for line in priced), Fraction(0))
    words = wording.phrase(
        "cost_of_one" if kits == 1 else "cost_of_kits",
        one=money_text(one, currency),
        together=money_text(together, currency),
        each=money_text(together / kits, currency),
        kits=kits,
    )
    without = any(line.kind == "sheet" and line.price is None for line in computed.supplies)
    return f"{words} {wording.phrase('cost_in_part')}" if without else words


def _supply_view(line: SupplyLine, computed: Computed, wording: Wording) -> SupplyView:
    """One kit's need, as if it were alone, with what all kits need beside it."""
    if computed.kits == 1 or line.of_one is None:
        return _one_supply(line, computed, wording)
    together = _one_supply(line, computed, wording)
    alone = replace(line, count=line.of_one.count, length=line.of_one.length)
    view = _one_supply(alone, computed, wording)
    words = wording.phrase("for_kits", amount=together.quantity, kits=computed.kits)
    if line.kind == "tape" and line.length:
        length = computed.resolved.edition.units.text(line.length)
        words = wording.phrase(
            "for_kits_length", amount=together.quantity, kits=computed.kits, length=length
        )
    return replace(view, all_kits=words)


def _one_supply(line: SupplyLine, computed: Computed, wording: Wording) -> SupplyView:
    build = {
        "sheet": _sheet_supply,
        "scrap": _sheet_supply,
        "ribbon": _ribbon_supply,
        "tape": _tape_supply,
    }.get(line.kind)
    if build is not None:
        return build(line, computed, wording)
    detail = ""
    if line.size:
        sizes = [size_text(size, computed.resolved) for size in line.size]
        detail = wording.phrase(f"supply_{line.kind}", *sizes) if line.kind in wording.kinds else ""
    title = wording.kinds.get(line.kind, line.title)
    return SupplyView(title, str(line.count), detail)


def _sheet_supply(line: SupplyLine, computed: Computed, wording: Wording) -> SupplyView:
    stock = computed.resolved.stocks[line.key].source
    size = sheet_text(line.size[0], line.size[1], computed.resolved)
    details = [size]
    if line.kind == "scrap":
        details = [wording.phrase("supply_scrap", size=size)]
    elif line.price is not None:
        money = money_text(line.price, computed.resolved.design.currency)
        details = [wording.phrase("supply_price", size=size, price=money)]
    if stock.weight is not None:
        details.append(_weight_text(stock.weight.written, stock.weight.grams, wording))
    if stock.two_sided:
        details.append(f"{stock.front.title} / {stock.back.title}")
    return SupplyView(stock.title, str(line.count), ", ".join(details))


def _weight_text(written: str, grams: Fraction, wording: Wording) -> str:
    whole = round(grams)
    if "lb" in written:
        return wording.phrase("weight_both", written=written, grams=whole)
    return f"{whole} g/m²"


def _ribbon_supply(line: SupplyLine, computed: Computed, wording: Wording) -> SupplyView:
    units = computed.resolved.edition.units
    ties = [f for f in computed.resolved.fastenings.values() if f.source.stock == line.key]
    detail = "; ".join(
        wording.counted(
            "with_allowance",
            tie.source.count,
            length=units.text(tie.length + tie.allowance),
            allowance=units.text(tie.allowance),
        )
        for tie in ties
    )
    quantity = units.text(line.length)
    width = wording.phrase("supply_ribbon", width=size_text(line.size[0], computed.resolved))
    return SupplyView(line.title, quantity, f"{width}; {detail}")


def _tape_supply(line: SupplyLine, computed: Computed, wording: Wording) -> SupplyView:
    units = computed.resolved.edition.units
    width = size_text(line.size[0], computed.resolved) if line.size else ""
    detail = wording.phrase("supply_tape", length=units.text(line.length), width=width)
    return SupplyView(line.title, str(line.count), detail)


# Safety


def _caution(hazard: str, resolved: ResolvedDesign, wording: Wording) -> CautionView:
    entry = wording.hazards[hazard]
    numbers = [
        str(number)
        for number, step in enumerate(resolved.design.steps, start=1)
        if hazard in step_hazards(step, resolved)
    ]
    where = wording.counted("safety_steps", len(numbers), steps=", ".join(numbers))
    return CautionView(entry.signal, entry.title, entry.danger, entry.avoid, entry.short, where)


# Cut list


def _cut_lists(computed: Computed, wording: Wording) -> tuple[StockCutsView, ...]:
    lists = []
    for key, stock in computed.resolved.stocks.items():
        rows = [row for row in computed.rows if row.first.stock.key == key]
        if rows:
            views = tuple(_cut_row(row, computed, wording) for row in rows)
            lists.append(StockCutsView(stock.source.title, views))
    return tuple(lists)


def _row_title(row: CutRow) -> str:
    """What a drawing shows: every piece that is made alike, by its code."""
    codes = ", ".join(piece.code for piece in row.pieces)
    return f"{codes} {row.first.title}"


def _cut_row(row: CutRow, computed: Computed, wording: Wording) -> CutRowView:
    resolved, kits = computed.resolved, computed.kits
    units = resolved.edition.units
    source = row.first.stock.source
    scores = []
    for name, places in (("left", row.scores_from_left), ("bottom", row.scores_from_bottom)):
        if places:
            listed = ", ".join(units.number(place) for place in places)
            scores.append(wording.phrase(f"from_{name}", places=f"{listed} {units.unit}"))
    return CutRowView(
        codes=", ".join(piece.code for piece in row.pieces),
        title="; ".join(piece.title for piece in row.pieces),
        count=row.count,
        size=units.size_text(row.first.width, row.first.height),
        side=row.first.printed_side.title if source.two_sided else "",
        scores=tuple(scores),
        shaping=tuple(_feature_text(feature, resolved, wording) for feature in row.features),
        all_kits="" if kits == 1 else wording.phrase("in_all", count=row.count * kits),
    )


def _feature_text(feature: Feature, resolved: ResolvedDesign, wording: Wording) -> str:
    units = resolved.edition.units
    sizes = [units.text(length) for length in feature.lengths]
    template = wording.text[f"feature_{feature.kind}"]
    return template.format(*sizes, where=feature.where)


# Sheets and steps


def _sheet_plans(
    computed: Computed, figures: FigureSet, wording: Wording
) -> tuple[StockSheetsView, ...]:
    views = []
    for key, stock_plan in computed.plans.items():
        sheets = tuple(
            _sheet_view(key, stock_plan, group, computed.resolved, figures, wording)
            for group in stock_plan.alike
        )
        status = plan_status(stock_plan, computed.resolved.design.currency, wording)
        views.append(StockSheetsView(stock_plan.stock.source.title, status, sheets))
    return tuple(views)


def _sheet_view(
    key: str,
    stock_plan: StockPlan,
    numbers: tuple[int, ...],
    resolved: ResolvedDesign,
    figures: FigureSet,
    wording: Wording,
) -> SheetView:
    """The sheets of these numbers, which are cut alike."""
    first, total = numbers[0], len(stock_plan.plan.sheets)
    sheet = stock_plan.plan.sheets[first - 1]
    places = {"stock": stock_plan.stock.source.title, "index": first, "total": total}
    notes = _motif_notes(sheet, resolved, wording)
    if len(numbers) > 1:
        notes = (wording.phrase("sheets_alike", count=len(numbers)), *notes)
    title = wording.counted("sheet_title", len(numbers), last=numbers[-1], **places)
    size = sheet_text(Fraction(sheet.sheet.width), Fraction(sheet.sheet.height), resolved)
    is_scrap = stock_plan.sheet(sheet).source.is_scrap
    return SheetView(
        title=title,
        size=wording.phrase("scrap_size" if is_scrap else "sheet_size", size=size),
        notes=notes,
        figure=_figure(f"sheet-{key}-{first}", figures),
        cuts=cut_views(sheet, resolved, wording),
        is_crowded=is_crowded(sheet),
    )


def plan_status(stock_plan: StockPlan, currency: str, wording: Wording) -> str:
    """Whether so many sheets are proven to be the fewest, or the cheapest of several sizes."""
    plan = stock_plan.plan
    bought = [sheet.source for sheet in stock_plan.stock.sheets if not sheet.source.is_scrap]
    price = bought[0].price or Fraction(1)
    if bought[0].price is not None and len(bought) > 1:
        cost, bound = (money_text(Fraction(each), currency) for each in (plan.cost, plan.bound))
        name = "plan_cheapest" if plan.proven else "plan_cheapest_open"
        return wording.phrase(name, cost=cost, bound=bound)
    count, least = (int(each / price) for each in (plan.cost, plan.bound))
    if not count:
        return wording.phrase("plan_scraps")
    if not plan.proven:
        return wording.phrase("plan_open", count=count, bound=least)
    has_scraps = len(plan.sheets) > count
    return wording.counted("plan_proven_beside" if has_scraps else "plan_proven", count)


def _motif_notes(sheet: SheetPlan, resolved: ResolvedDesign, wording: Wording) -> tuple[str, ...]:
    pieces = [resolved.pieces[piece_of(placed.key)] for placed in sheet.placed]
    return tuple(
        wording.phrase("motif_note", code=piece.code, motif=piece.motif.title)
        for piece in pieces
        if piece.motif is not None
    )


def _step(
    number: int, step: Step, computed: Computed, figures: FigureSet, wording: Wording
) -> StepView:
    resolved = computed.resolved
    pieces = [
        key
        for operation in ("attach", "insert", "score")
        for key in named_pieces(step, operation, resolved)
    ]
    things = [
        f"{resolved.pieces[key].title} ({resolved.pieces[key].code})"
        for key in dict.fromkeys(pieces)
    ]
    things += [resolved.fastenings[key].source.title for key in named_fastenings(step, resolved)]
    keys = [key for key in figures.figures if key.startswith(f"step-{number}-")]
    return StepView(
        number=number,
        key=step.key,
        title=step.title,
        text=step_html(step.text, resolved),
        pieces=tuple(things),
        tools=tuple(wording.tools[tool] for tool in step_tools(step, resolved)),
        cautions=tuple(
            _caution(hazard, resolved, wording) for hazard in step_hazards(step, resolved)
        ),
        figures=tuple(_figure(key, figures) for key in keys),
        picture=_picture_address(step, resolved),
    )


def _picture_address(step: Step, resolved: ResolvedDesign) -> str | None:
    """The address of the designer's own picture, which lies beside the design."""
    if step.picture is None:
        return None
    return (Path(resolved.design.file).parent / step.picture).resolve().as_uri()
