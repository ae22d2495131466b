"""The cut list in words: rows of pieces, and the strips that some of them are cut in.

In: the rows, the resolved design and the wording.  Out: views, wording and numbers final.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.counts import CutRow, Feature, is_after_scoring, piercing_step, shaping_of
from gatherfold.documents.content import CutRowView, StockCutsView
from gatherfold.drawings import circle_across
from gatherfold.geometry import EdgeName
from gatherfold.lengths import NO_BREAK_SPACE
from gatherfold.plans import CutOut, StockPlan
from gatherfold.resolve import ResolvedDesign, ResolvedStrip
from gatherfold.sheets import name_of
from gatherfold.wording import Wording


def score_first(rows: Sequence[CutRow], wording: Wording) -> str:
    """Which pieces are scored before they are shaped; empty where none is."""
    codes = [piece.code for row in rows if row.cut_after_scoring for piece in row.pieces]
    return wording.phrase("score_first", codes=", ".join(codes)) if codes else ""


@dataclass(frozen=True)
class CutListText:
    """Writes the cut list of one edition."""

    resolved: ResolvedDesign
    kits: int
    wording: Wording

    def views(
        self, rows: Sequence[CutRow], plans: Mapping[str, StockPlan]
    ) -> tuple[StockCutsView, ...]:
        """For each stock its pieces, then its strips; of a piece that a sheet map shows turned by a
        quarter it is said."""
        turned = self._turned(plans)
        lists = []
        for key, stock in self.resolved.stocks.items():
            views = [self._row(row, turned) for row in rows if row.first.stock.key == key]
            strips = self.resolved.strips.values()
            views += [self._strip(strip) for strip in strips if strip.stock.key == key]
            if views:
                lists.append(StockCutsView(stock.source.title, tuple(views)))
        return tuple(lists)

    def _turned(self, plans: Mapping[str, StockPlan]) -> set[str]:
        """The keys of pieces of which the maps show a copy turned: it has its height across
        there."""
        placed = (
            each for plan in plans.values() for sheet in plan.plan.sheets for each in sheet.placed
        )
        outs = ((self.resolved.cut_out(name_of(each.key)), each) for each in placed)
        return {
            out.key for out, each in outs if out.width != out.height and each.width == out.height
        }

    def _row(self, row: CutRow, turned: set[str]) -> CutRowView:
        first = row.first
        return CutRowView(
            codes=", ".join(piece.code for piece in row.pieces),
            title="; ".join(piece.title for piece in row.pieces),
            count=row.count,
            size=self.resolved.edition.units.size_text(first.width, first.height),
            side=_side(first),
            scores=tuple(self._scores(row)),
            shaping=tuple(self._shaping(row, turned)),
            all_kits=self._in_all(row.count),
        )

    def _scores(self, row: CutRow) -> Iterator[str]:
        from_edges: dict[EdgeName, Sequence[Fraction]]
        from_edges = {"left": row.scores_from_left, "bottom": row.scores_from_bottom}
        for edge, places in from_edges.items():
            if places:
                yield scores_text(edge, places, self.resolved, self.wording)

    def _shaping(self, row: CutRow, turned: set[str]) -> Iterator[str]:
        """What is done to a piece beside cutting it, in the order of the steps; what it is cut in;
        and that the maps show it turned, with the codes where they show only some so."""
        phrase = self.wording.phrase
        if row.cut_after_scoring:
            yield self._scored_first(row)
        steps = ((self._step_of(feature), feature) for feature in row.features)
        for step, feature in sorted(steps, key=lambda each: each[0]):
            text = self._work_text(feature, row)
            yield phrase("work_in_step", step=step, work=text) if step else text
        strips = (self.resolved.strip_of(piece.key) for piece in row.pieces)
        for code in dict.fromkeys(strip.code for strip in strips if strip):
            yield phrase("strip_from", code=code)
        codes = [piece.code for piece in row.pieces if piece.key in turned]
        if codes:
            name = "map_turned" if len(codes) == len(row.pieces) else "map_turned_some"
            yield phrase(name, codes=", ".join(codes))

    def _scored_first(self, row: CutRow) -> str:
        """That the scores come before the shapes, and in which step."""
        shaped = shaping_of(row.first.key, self.resolved)
        keys = [step.key for step in self.resolved.design.steps]
        if shaped is None or not is_after_scoring(shaped[1]):
            return self.wording.phrase("score_before")
        return self.wording.phrase("score_before_in_step", step=keys.index(shaped[0]) + 1)

    def _step_of(self, feature: Feature) -> int:
        """The step that a hole is pierced in; 0 of all that is done before."""
        return (feature.is_pierced and piercing_step(feature.name, self.resolved)) or 0

    def _work_text(self, feature: Feature, row: CutRow) -> str:
        """A feature as the cut list orders it done: corners round tabs, a circle as one."""
        across = circle_across(row.first)
        if feature.is_rounding and across is not None:
            text = self.resolved.edition.units.text(across)
            return self.wording.phrase("feature_circle", text)
        worded = "notch round tabs" if feature.is_notch and row.first.source.tabs else ""
        return feature_text(feature, self.resolved, self.wording, worded)

    def _strip(self, strip: ResolvedStrip) -> CutRowView:
        codes = ", ".join(part.piece.code for part in strip.parts)
        return CutRowView(
            codes=strip.code,
            title=strip.title,
            count=1,
            size=self.resolved.edition.units.size_text(strip.width, strip.height),
            side=_side(strip),
            scores=(),
            shaping=(self.wording.phrase("strip_gives", codes=codes),),
            all_kits=self._in_all(1),
        )

    def _in_all(self, count: int) -> str:
        if self.kits == 1:
            return ""
        return self.wording.phrase("in_all", count=count * self.kits)


def _side(out: CutOut) -> str:
    return out.printed_side.title if out.stock.source.two_sided else ""


def scores_text(
    edge: EdgeName, places: Sequence[Fraction], resolved: ResolvedDesign, wording: Wording
) -> str:
    """Where score lines run, by their distances from one edge."""
    units = resolved.edition.units
    # A decimal comma would run into a comma between the numbers.
    between = ", " if units.decimal == "." else "; "
    listed = between.join(units.number(place) for place in places)
    return wording.phrase(f"from_{edge}", places=f"{listed}{NO_BREAK_SPACE}{units.printed}")


def feature_text(
    feature: Feature, resolved: ResolvedDesign, wording: Wording, worded: str = ""
) -> str:
    """One feature in words, its lengths filled in; ``worded`` where it is not by its own kind."""
    sizes = [resolved.edition.units.text(length) for length in feature.lengths]
    spots = ", ".join(wording.place(spot.section, spot.place) for spot in feature.spots)
    return wording.phrase(f"feature_{worded or feature.kind}", *sizes, where=feature.name or spots)
