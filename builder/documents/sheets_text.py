"""Sheets and strips in words: each map with its header, its cuts in order and what to look out for.

In: the sheet plans with their figures and the wording.  Out: views, wording and numbers final.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.counts.cut_list import features
from builder.currencies import money_text
from builder.design import Step
from builder.documents.content import (
    DivisionView,
    FigureView,
    SheetView,
    StockSheetsView,
)
from builder.documents.cut_list_text import feature_text, scores_text
from builder.documents.cutting_text import Uncut, cut_views
from builder.documents.figure_set import FigureSet
from builder.documents.rooms import sheet_room
from builder.documents.typeset import FIGURE_SCHEME
from builder.drawings.sheet_words import side_name
from builder.geometry.edges import EdgeName
from builder.resolve.bought_sizes import sheet_text
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStrip
from builder.resolve.step_parts import named_strips
from builder.sheet_places import is_placed_by_print, motif_corner
from builder.sheets import SheetPlan, name_of
from builder.stock_plans import StockPlan, facing_side
from builder.strip_plans import strip_plan
from builder.wording import Wording


def figure_view(key: str, figures: FigureSet) -> FigureView:
    figure = figures.figures[key]
    address = f"{figures.prefix}{key}"
    return FigureView(
        address,
        f"{FIGURE_SCHEME}{address}",
        figure.title,
        figure.alternative,
        figure.width_mm,
        figure.height_mm,
    )


def plan_status(stock_plan: StockPlan, currency: str, wording: Wording) -> str:
    """Whether so many sheets are proven to be the fewest, or the cheapest of several sizes."""
    plan = stock_plan.plan
    bought = [sheet.source for sheet in stock_plan.stock.sheets if not sheet.source.is_scrap]
    price = bought[0].price or Fraction(1)
    if bought[0].price is not None and len(bought) > 1:
        cost, bound = (
            money_text(Fraction(each), currency, wording) for each in (plan.cost, plan.bound)
        )
        name = "plan_cheapest" if plan.proven else "plan_cheapest_open"
        return wording.phrase(name, cost=cost, bound=bound)
    count, least = (int(each / price) for each in (plan.cost, plan.bound))
    if not count:
        return wording.phrase("plan_scraps")
    if not plan.proven:
        return wording.phrase("plan_open", count=count, bound=least)
    has_scraps = len(plan.sheets) > count
    return wording.counted("plan_proven_beside" if has_scraps else "plan_proven", count)


@dataclass(frozen=True)
class SheetsText:
    """Writes the sheet maps and the dividing of strips of one edition."""

    resolved: ResolvedDesign
    wording: Wording

    def plans(
        self, plans: Mapping[str, StockPlan], figures: FigureSet
    ) -> tuple[StockSheetsView, ...]:
        """The sheets of every stock in order; those that are cut alike once."""
        views = []
        for stock_plan in plans.values():
            sheets = tuple(self._sheet(stock_plan, group, figures) for group in stock_plan.alike)
            status = plan_status(stock_plan, self.resolved.design.currency, self.wording)
            views.append(StockSheetsView(stock_plan.stock.source.title, status, sheets))
        return tuple(views)

    def _sheet(
        self, stock_plan: StockPlan, numbers: tuple[int, ...], figures: FigureSet
    ) -> SheetView:
        """The sheets of these numbers, which are cut alike."""
        wording, resolved, stock = self.wording, self.resolved, stock_plan.stock
        first, total = numbers[0], len(stock_plan.plan.sheets)
        sheet = stock_plan.plan.sheets[first - 1]
        places = {"stock": stock.source.title, "index": first, "total": total}
        keys = dict.fromkeys(name_of(placed.key) for placed in sheet.placed)
        strips = [resolved.strips[key] for key in keys if key in resolved.strips]
        size = sheet_text(Fraction(sheet.sheet.width), Fraction(sheet.sheet.height), resolved)
        is_scrap = stock_plan.sheet(sheet).source.is_scrap
        uncut = Uncut(wording.phrase("cut_sheet"), stock_plan.kept_on(first))
        return SheetView(
            title=wording.counted("sheet_title", len(numbers), last=numbers[-1], **places),
            size=wording.phrase("scrap_size" if is_scrap else "sheet_size", size=size),
            facing=self._facing(stock_plan, sheet),
            notes=tuple(self._notes(sheet, len(numbers), strips)),
            figure=figure_view(f"sheet-{stock.key}-{first}", figures),
            cuts=cut_views(sheet, resolved, wording, uncut),
            divisions=tuple(
                self.division(strip) for strip in strips if self._dividing_step(strip) is None
            ),
            room=sheet_room(sheet),
        )

    def _facing(self, stock_plan: StockPlan, sheet: SheetPlan) -> str:
        """Which side of the sheet faces the maker."""
        stock = stock_plan.stock.source
        if not stock.two_sided:
            return self.wording.phrase("facing_any")
        title = side_name(stock, facing_side(self.resolved, sheet), self.wording)
        return self.wording.phrase("facing_up", title=title)

    def _notes(
        self, sheet: SheetPlan, count: int, strips: Sequence[ResolvedStrip]
    ) -> Iterator[str]:
        """What to look out for on so many sheets that are cut alike."""
        if count > 1:
            yield self.wording.phrase("sheets_alike", count=count)
        yield from self._down_notes(sheet)
        yield from self._place_notes(sheet)
        for strip in strips:
            step = self._dividing_step(strip)
            if step is not None:
                yield self.wording.phrase("divide_in_step", code=strip.code, step=step)

    def _down_notes(self, sheet: SheetPlan) -> Iterator[str]:
        """Which pieces lie with their good side down, as the map marks them; both by the name of
        the print, as the cut list gives it."""
        facing = facing_side(self.resolved, sheet)
        keys = {name_of(placed.key) for placed in sheet.placed}
        outs = [
            out for key, out in self.resolved.cut_outs.items() if key in keys and out.side != facing
        ]
        if outs:
            codes = self.wording.listed(out.code for out in outs)
            title = side_name(outs[0].stock.source, outs[0].side, self.wording)
            yield self.wording.counted("facing_down", len(outs), codes=codes, title=title)

    def _place_notes(self, sheet: SheetPlan) -> Iterator[str]:
        """Where the print says that pieces lie, each piece once."""
        phrase, edition = self.wording.phrase, self.resolved.edition
        for key in dict.fromkeys(name_of(placed.key) for placed in sheet.placed):
            piece = self.resolved.cut_out(key)
            if not isinstance(piece, ResolvedPiece):
                continue
            code, corner = piece.code, motif_corner(piece, edition.grid)
            if corner is not None and piece.motif is not None:
                left, bottom = map(edition.units.text, corner)
                motif = piece.motif.title
                yield phrase("motif_note", code=code, motif=motif, left=left, bottom=bottom)
            elif is_placed_by_print(piece):
                places = [
                    feature_text(feature, self.resolved, self.wording)
                    for feature in features(piece)
                    if feature.is_place_on_sheet
                ]
                yield phrase("place_note", code=code, places=", ".join(places))

    def _dividing_step(self, strip: ResolvedStrip) -> int | None:
        """The number of the step that divides a strip; None where it is divided as soon as cut."""
        for number, step in enumerate(self.resolved.design.steps, start=1):
            if strip.key in named_strips(step, "divide", self.resolved):
                return number
        return None

    def division(self, strip: ResolvedStrip, step: Step | None = None) -> DivisionView:
        """How a strip is divided; a step that scores it as well does so first."""
        phrase, resolved = self.wording.phrase, self.resolved
        size = resolved.edition.units.size_text(strip.width, strip.height)
        notes: tuple[str, ...] = ()
        if strip.stock.source.two_sided:
            notes = (phrase("divide_side_up", side=strip.printed_side.title),)
        is_scored = step is not None and strip.key in named_strips(step, "score", resolved)
        if is_scored and strip.scores:
            edge: EdgeName = "bottom" if strip.is_across else "left"
            at = [score.at for score in strip.scores]
            places = scores_text(edge, at, resolved, self.wording)
            notes += (phrase("divide_scores", places=places),)
        uncut = Uncut(phrase("cut_strip", code=strip.code), {})
        return DivisionView(
            phrase("divide_strip", code=strip.code, size=size, title=strip.title),
            notes,
            cut_views(strip_plan(strip), resolved, self.wording, uncut),
        )
