"""Sheets and strips in words: each map with its header, its cuts in order and what to look out for.

In: the sheet plans with their figures and the wording.  Out: views, wording and numbers final.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from gatherfold.counts import features
from gatherfold.documents.content import (
    CutView,
    DivisionView,
    FigureView,
    SheetView,
    StockSheetsView,
)
from gatherfold.documents.cut_list_text import feature_text, scores_text
from gatherfold.documents.figure_set import FigureSet
from gatherfold.documents.typeset import FIGURE_SCHEME
from gatherfold.drawings import sheet_key, sheet_room, side_name
from gatherfold.geometry import Axis, EdgeName, is_far
from gatherfold.model import Step
from gatherfold.plans import (
    StockPlan,
    facing_side,
    is_placed_by_print,
    motif_corner,
    part_sizes,
    recognised_size,
    strip_plan,
)
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedPiece,
    ResolvedStrip,
    named_strips,
    sheet_text,
)
from gatherfold.sheets import Cut, SheetPlan, name_of
from gatherfold.wording import Wording


@dataclass(frozen=True)
class Uncut:
    """What the first cut is made in: its name in a sentence, and the parts kept for later by
    what they are kept for."""

    name: str
    reserved: Mapping[int, str]


@dataclass(frozen=True)
class _Part:
    """A part by its name, what a line says of it when it arises, and its size."""

    name: str
    given: str
    size: str


@dataclass(frozen=True)
class _Run:
    """Cuts made one after another in what the one before left, at one setting from one edge; each
    gives a finished piece.  Most runs are of a single cut.

    ``near`` are the parts that lie against the guide, in the order in which they are cut off, and
    ``rest`` is what is left after the cut of the number ``last``.
    """

    first: Cut
    last: int
    near: tuple[int, ...]
    rest: int

    @property
    def is_near_first(self) -> bool:
        """Whether the near parts lie at the left, or below."""
        return not is_far(self.first.edge)


def _runs(sheet: SheetPlan) -> list[_Run]:
    """The cuts in order, those of a run together."""
    runs: list[_Run] = []
    for cut in sheet.cuts:
        near, rest = cut.parts[::-1] if is_far(cut.edge) else cut.parts
        before = runs[-1] if runs else None
        if before is not None and _goes_on(before, cut, near, sheet):
            runs[-1] = _Run(before.first, cut.number, (*before.near, near), rest)
        else:
            runs.append(_Run(cut, cut.number, (near,), rest))
    return runs


def _goes_on(run: _Run, cut: Cut, near: int, sheet: SheetPlan) -> bool:
    first = run.first
    is_alike = (cut.axis, cut.edge, cut.setting) == (first.axis, first.edge, first.setting)
    return is_alike and cut.part == run.rest and {run.near[0], near} <= sheet.final.keys()


#: How the names of phrases begin, in sentences and in few words.
_MANNERS = ("", "brief_")
_BRIEF_ARROW = " → "


def cut_views(
    sheet: SheetPlan, resolved: ResolvedDesign, wording: Wording, uncut: Uncut
) -> tuple[CutView, ...]:
    """One line for each run of cuts: what to lay, where the guide stands and what comes off."""
    runs = _runs(sheet)
    full, brief = (_Lines(sheet, runs, resolved, wording, uncut, how).all() for how in _MANNERS)
    return tuple(
        CutView(run.first.number, run.last, *line, brief=_BRIEF_ARROW.join(short))
        for run, line, short in zip(runs, full, brief, strict=True)
    )


@dataclass(frozen=True)
class _Lines:
    """Writes the runs of cuts of a sheet in one manner."""

    sheet: SheetPlan
    runs: Sequence[_Run]
    resolved: ResolvedDesign
    wording: Wording
    uncut: Uncut
    how: str

    def all(self) -> Iterator[tuple[str, str]]:
        """For each run what is done, and what it gives."""
        parts, phrase = self._parts(), self.wording.phrase
        made: dict[int, Axis] = {part: cut.axis for cut in self.sheet.cuts for part in cut.parts}
        before: _Run | None = None
        for run in self.runs:
            cut = run.first
            laid = self.uncut.name
            if before is not None:
                # What the cut before gave is in the maker's hand; anything else is taken up again,
                # and turned where it was cut free the other way.
                taken = "next" if cut.part in (before.rest, *before.near) else "again"
                turned = "_turned" if made[cut.part] != cut.axis else ""
                part = parts[cut.part]
                laid = phrase(f"{self.how}lay_{taken}{turned}", part=part.name, size=part.size)
            if len(run.near) > 1:
                laid = phrase(f"{self.how}lay_often", laid=laid, times=len(run.near))
            is_same = before is not None and before.first.setting == cut.setting
            action = phrase(
                f"{self.how}cut_line_same" if is_same else f"{self.how}cut_line",
                part=laid,
                setting=self.resolved.edition.units.text(Fraction(cut.setting)),
                edge=phrase(f"edge_{cut.edge}"),
            )
            yield action, self._gives(run, parts)
            before = run

    def _gives(self, run: _Run, parts: Mapping[int, _Part]) -> str:
        """What lies left and right of the cuts, or below and above them."""
        near, rest = parts[run.near[0]].given, parts[run.rest].given
        if len(run.near) > 1:
            done = ", ".join(parts[part].name for part in run.near)
            near = self.wording.phrase("cut_done", part=done)
        first, second = (near, rest) if run.is_near_first else (rest, near)
        return self.wording.phrase("cut_gives", first=first, second=second)

    def _parts(self) -> dict[int, _Part]:
        """Every part that a line speaks of; what is cut on within a run needs no name."""
        sizes, units = part_sizes(self.sheet), self.resolved.edition.units
        parts: dict[int, _Part] = {}
        letters = map(_small_letter, count())
        for run in self.runs:
            for number in (*run.near, run.rest) if run.is_near_first else (run.rest, *run.near):
                rounded = recognised_size(sizes[number], self.resolved.edition.grid)
                size = units.size_text(*rounded)
                if self.how:
                    size = f"{units.number(rounded[0])}\xa0×\xa0{units.number(rounded[1])}"
                parts[number] = self._part(number, size, min(rounded) == 0, letters)
        return parts

    def _part(self, number: int, size: str, is_sliver: bool, letters: Iterator[str]) -> _Part:
        """A part by what becomes of it: it is done, kept for later, left over or cut on."""
        phrase, name = self.wording.phrase, ""
        if number in self.sheet.final:
            name = self.resolved.cut_out(name_of(self.sheet.final[number])).code
            given = phrase("cut_done", part=name)
        elif number in self.uncut.reserved:
            purpose = self.uncut.reserved[number]
            given = phrase(f"{self.how}cut_reserved", size=size, purpose=purpose)
        elif any(offcut.part == number for offcut in self.sheet.offcuts):
            given = phrase("sliver" if is_sliver else f"{self.how}cut_left_over", size=size)
        else:
            name = next(letters)
            given = phrase(f"{self.how}cut_kept", part=name, size=size)
        return _Part(name, given, size)


def _small_letter(index: int) -> str:
    first, last = divmod(index, 26)
    return (chr(96 + first) if first else "") + chr(97 + last)


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
        cost, bound = (wording.money(Fraction(each), currency) for each in (plan.cost, plan.bound))
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
            figure=figure_view(sheet_key(stock.key, first), figures),
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
