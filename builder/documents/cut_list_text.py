"""The cut list in words: rows of pieces, and the strips that some of them are cut in.

In: the rows, the resolved design and the wording.  Out: views, wording and numbers final.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Literal, assert_never

from builder.counts.cut_list import CutRow, Feature, FeatureKind
from builder.counts.shaping import is_after_scoring, piercing_step, shaping_of
from builder.documents.content import CutRowView, StockCutsView
from builder.drawings.features import circle_across
from builder.drawings.wording import title_of
from builder.geometry.edges import EdgeName
from builder.lengths import NO_BREAK_SPACE
from builder.resolve.resolved import ResolvedDesign, ResolvedStrip
from builder.sheets.kits import name_of
from builder.stock_plans import StockPlan
from builder.wording import Wording


def cut_lists(
    resolved: ResolvedDesign,
    rows: Sequence[CutRow],
    kits: int,
    wording: Wording,
    plans: Mapping[str, StockPlan],
) -> tuple[StockCutsView, ...]:
    """For each stock its pieces, then its strips; of a piece that a sheet map shows turned by a
    quarter it is said."""
    turned = _turned(resolved, plans)
    lists = []
    for key, stock in resolved.stocks.items():
        views = [
            _cut_row(row, turned, resolved, kits, wording)
            for row in rows
            if row.first.stock.key == key
        ]
        strips = [strip for strip in resolved.strips.values() if strip.stock.key == key]
        views += [_strip_row(strip, resolved, kits, wording) for strip in strips]
        if views:
            lists.append(StockCutsView(stock.source.title, tuple(views)))
    return tuple(lists)


def row_title(row: CutRow, wording: Wording) -> str:
    """What a drawing shows: every piece that is made alike, by its code and title."""
    return title_of(row.pieces, wording)


def score_first(rows: Sequence[CutRow], wording: Wording) -> str:
    """Which pieces are scored before they are shaped; empty where none is."""
    codes = [piece.code for row in rows if row.cut_after_scoring for piece in row.pieces]
    return wording.phrase("score_first", codes=", ".join(codes)) if codes else ""


def _turned(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> set[str]:
    """The keys of pieces of which the maps show a copy turned: it has its height across there."""
    placed = (
        each for plan in plans.values() for sheet in plan.plan.sheets for each in sheet.placed
    )
    outs = ((resolved.cut_out(name_of(each.key)), each) for each in placed)
    return {out.key for out, each in outs if out.width != out.height and each.width == out.height}


def _lying(row: CutRow, turned: set[str], wording: Wording) -> list[str]:
    """That the maps show a piece turned; with the codes, where they show only some so."""
    codes = [piece.code for piece in row.pieces if piece.key in turned]
    if not codes:
        return []
    name = "map_turned" if len(codes) == len(row.pieces) else "map_turned_some"
    return [wording.phrase(name, codes=", ".join(codes))]


def _cut_row(
    row: CutRow, turned: set[str], resolved: ResolvedDesign, kits: int, wording: Wording
) -> CutRowView:
    units = resolved.edition.units
    shaping = [*_scored_first(row, resolved, wording)]
    steps = ((_step_of(feature, resolved), feature) for feature in row.features)
    for step, feature in sorted(steps, key=lambda each: each[0]):
        shaping.append(_work_text(feature, step, row, resolved, wording))
    strips = dict.fromkeys(
        strip.code for piece in row.pieces for strip in (resolved.strip_of(piece.key),) if strip
    )
    shaping += [wording.phrase("strip_from", code=code) for code in strips]
    shaping += _lying(row, turned, wording)
    return CutRowView(
        codes=", ".join(piece.code for piece in row.pieces),
        title="; ".join(piece.title for piece in row.pieces),
        count=row.count,
        size=units.size_text(row.first.width, row.first.height),
        side=_side(row.first.printed_side.title, row.first.stock.source.two_sided),
        scores=_scores(row.scores_from_left, row.scores_from_bottom, resolved, wording),
        shaping=tuple(shaping),
        all_kits=_in_all(row.count, kits, wording),
    )


def _scored_first(row: CutRow, resolved: ResolvedDesign, wording: Wording) -> list[str]:
    """That the scores come before the shapes, and in which step; nothing where there are none."""
    if not row.cut_after_scoring:
        return []
    shaped = shaping_of(row.first.key, resolved)
    keys = [step.key for step in resolved.design.steps]
    if shaped is None or not is_after_scoring(shaped[1]):
        return [wording.phrase("score_before")]
    return [wording.phrase("score_before_in_step", step=keys.index(shaped[0]) + 1)]


def _step_of(feature: Feature, resolved: ResolvedDesign) -> int:
    """The step that a hole is pierced in; 0 of all that is done before."""
    if not feature.is_pierced:
        return 0
    return piercing_step(feature.name, resolved) or 0


def _work_text(
    feature: Feature, step: int, row: CutRow, resolved: ResolvedDesign, wording: Wording
) -> str:
    """A feature as the cut list orders it done: corners round tabs, holes in their step."""
    across = circle_across(row.first)
    worded: FeatureKind | Literal["notch round tabs"] = feature.kind
    match feature.kind:
        case "round" if across is not None:
            return wording.phrase("feature_circle", resolved.edition.units.text(across))
        case "notch of two lengths" if row.first.source.tabs:
            worded = "notch round tabs"
        case "notch of two lengths" | "mitre of two lengths" | "round" | "mitre" | "tab":
            pass
        case "motif" | "region" | "edge" | "thumb notch" | "window" | "hole" | "pierced hole":
            pass
        case _:
            assert_never(feature.kind)
    text = _feature_phrase(worded, feature, resolved, wording)
    return wording.phrase("work_in_step", step=step, work=text) if step else text


def _strip_row(
    strip: ResolvedStrip, resolved: ResolvedDesign, kits: int, wording: Wording
) -> CutRowView:
    codes = ", ".join(part.piece.code for part in strip.parts)
    return CutRowView(
        codes=strip.code,
        title=strip.title,
        count=1,
        size=resolved.edition.units.size_text(strip.width, strip.height),
        side=_side(strip.printed_side.title, strip.stock.source.two_sided),
        scores=(),
        shaping=(wording.phrase("strip_gives", codes=codes),),
        all_kits=_in_all(1, kits, wording),
    )


def _side(title: str, is_two_sided: bool) -> str:
    return title if is_two_sided else ""


def _in_all(count: int, kits: int, wording: Wording) -> str:
    return "" if kits == 1 else wording.phrase("in_all", count=count * kits)


def _scores(
    from_left: Sequence[Fraction],
    from_bottom: Sequence[Fraction],
    resolved: ResolvedDesign,
    wording: Wording,
) -> tuple[str, ...]:
    from_edges: dict[EdgeName, Sequence[Fraction]] = {"left": from_left, "bottom": from_bottom}
    return tuple(
        scores_text(edge, places, resolved, wording)
        for edge, places in from_edges.items()
        if places
    )


def scores_text(
    edge: EdgeName, places: Sequence[Fraction], resolved: ResolvedDesign, wording: Wording
) -> str:
    """Where score lines run, by their distances from one edge."""
    units = resolved.edition.units
    # A decimal comma would run into a comma between the numbers.
    between = ", " if units.decimal == "." else "; "
    listed = between.join(units.number(place) for place in places)
    return wording.phrase(f"from_{edge}", places=f"{listed}{NO_BREAK_SPACE}{units.printed}")


def feature_text(feature: Feature, resolved: ResolvedDesign, wording: Wording) -> str:
    """One feature in words, its lengths filled in."""
    return _feature_phrase(feature.kind, feature, resolved, wording)


def _feature_phrase(name: str, feature: Feature, resolved: ResolvedDesign, wording: Wording) -> str:
    units = resolved.edition.units
    sizes = [units.text(length) for length in feature.lengths]
    spots = ", ".join(wording.place(spot.section, spot.place) for spot in feature.spots)
    return wording.phrase(f"feature_{name}", *sizes, where=feature.name or spots)
