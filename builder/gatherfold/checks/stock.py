"""Pieces must come out of their sheets, the plan must have placed all of them, and strips be even:
their pieces share the measure across, and what is scored on a strip runs across it all."""

from collections.abc import Iterator, Mapping
from functools import partial

from gatherfold.checks.regions import check_places_in_margin, room_beside
from gatherfold.checks.report import Condition, Rule, Told, as_typed, finding_kind
from gatherfold.checks.unplaced import check_unplaced
from gatherfold.findings import Finding
from gatherfold.geometry import room_within
from gatherfold.lengths import down_to_grid, up_to_grid
from gatherfold.model import is_sold_by_length
from gatherfold.plans import (
    CutOut,
    StockPlan,
    is_placed_by_print,
    motif_on_sheet,
    rooms,
    round_motif,
)
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, named_strips


def check_stock(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> Iterator[Finding]:
    for stock_plan in plans.values():
        yield from check_unplaced(resolved, stock_plan)
        yield from check_places_in_margin(resolved, stock_plan.stock)
        yield from _missed_spares(resolved, stock_plan)
        for piece in stock_plan.pieces:
            yield from _cut_motif(resolved, piece)
    used = {piece.stock.key for piece in resolved.pieces.values()}
    used |= {f.source.stock for f in resolved.fastenings.values() if f.source.stock}
    for key, stock in resolved.stocks.items():
        if key not in used:
            yield finding_kind("unused-stock").found(resolved, stock)


def sheet_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Each piece comes out of one sheet of its stock, laid as its print allows, and the trimmer
    can hold it."""
    for out in resolved.cut_outs.values():
        if not is_sold_by_length(out.stock.source.material):
            too_large = partial(_too_large, resolved, out)
            yield Condition(("larger-than-sheet", out.key), room_beside(out, rooms(out)), too_large)
    narrowest = resolved.trimmer.narrowest_strip
    enough = resolved.edition.units.text(up_to_grid(narrowest, resolved.edition.grid))
    for piece in resolved.pieces.values() if narrowest else ():
        if not is_sold_by_length(piece.stock.source.material):
            width = min(piece.width, piece.height)
            told: dict[str, Told] = {"width": width, "narrowest_strip": narrowest, "enough": enough}
            typed = as_typed(width, resolved)
            narrow = partial(
                finding_kind("strip-too-narrow").found, resolved, piece, typed=typed, **told
            )
            yield Condition(("strip-too-narrow", piece.key), width - narrowest, narrow)


def _too_large(resolved: ResolvedDesign, piece: CutOut) -> Finding:
    units, stock = resolved.edition.units, piece.stock
    true_sheet = units.size_text(stock.sheet_width, stock.sheet_height)
    first, *others = stock.sheets
    if any(first.margins):
        true_sheet += f", of which its margins leave {units.size_text(*first.usable)}"
    if others and not is_placed_by_print(piece):
        true_sheet += ", and no other size of it is large enough"
    is_piece = isinstance(piece, ResolvedPiece)
    return finding_kind("larger-than-sheet").found(
        resolved,
        piece,
        size=(piece.width, piece.height),
        stock=stock.key,
        sheet=true_sheet,
        remedy="Make the piece smaller, divide it" if is_piece else "Take a piece out of the strip",
        sheet_width=stock.sheet_width,
        sheet_height=stock.sheet_height,
    )


def _missed_spares(resolved: ResolvedDesign, stock_plan: StockPlan) -> Iterator[Finding]:
    """Spares are kept where they cost nothing: say what each other one would take."""
    units = resolved.edition.units
    for missed in stock_plan.missed:
        reserve = missed.reserve
        largest, remedy = "none of its offcuts is of use", "Leave the spare out"
        if missed.largest is not None:
            width, height = (down_to_grid(x, resolved.edition.grid) for x in missed.largest)
            size = units.size_text(width, height)
            largest = f"the largest offcut is {size}"
            remedy = f"Ask for {size} at most"
        yield finding_kind("no-spare").found(
            resolved,
            reserve.source.position,
            size=(reserve.width, reserve.height),
            stock=stock_plan.stock.key,
            purpose=reserve.source.purpose,
            largest=largest,
            sheets="one sheet" if missed.more_sheets == 1 else f"{missed.more_sheets} sheets",
            remedy=remedy,
        )


def _cut_motif(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """A motif must lie within its piece with room for the worst cut on every side."""
    motif, cut = motif_on_sheet(piece), round_motif(piece, resolved.edition.grid)
    if motif is None or cut is None:
        return
    room = min(room_within(motif, cut).values())
    if room < resolved.tolerance:
        short = up_to_grid(resolved.tolerance - room, resolved.edition.grid)
        larger, name = resolved.edition.units.text(2 * short), piece.source.motif or ""
        yield finding_kind("motif-cut").found(
            resolved, piece, motif=name, larger=larger, short=short
        )


# Strips


def strip_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """Every piece of a strip is as high as its first, or as wide where the strip goes up."""
    for strip in resolved.strips.values():
        first, *others = strip.pieces
        wanted = first.height if strip.is_across else first.width
        for piece in others:
            size = piece.height if strip.is_across else piece.width
            uneven = partial(
                finding_kind("strip-uneven").found,
                resolved,
                strip.source.places[piece.key],
                strip=strip.key,
                piece=piece.key,
                first=first.key,
                word="high" if strip.is_across else "wide",
                measure="height" if strip.is_across else "width",
                typed=as_typed(wanted, resolved),
                size=size,
                wanted=wanted,
            )
            key = ("strip-uneven", strip.key, piece.key)
            yield Condition(key, size - wanted, uneven, Rule.ZERO)


def check_scored_strips(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A strip that a step scores has a score line that runs right across all its pieces."""
    for number, step in enumerate(resolved.design.steps, start=1):
        for key in named_strips(step, "score", resolved):
            strip = resolved.strips[key]
            if not strip.scores:
                place = step.places.get(("score", key), step.position)
                pieces = ", ".join(piece.key for piece in strip.pieces)
                yield finding_kind("nothing-to-score").found(
                    resolved, place, (key,), step=number, strip=key, pieces=pieces
                )
