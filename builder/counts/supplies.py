"""What a maker must have: sheets, ribbon, fastenings, adhesive by running length, and the rest.

In: a resolved design and its sheet plans.  Out: :class:`SupplyLine` values as exact data.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from builder.resolve.resolved import ResolvedDesign, ResolvedFastening, ResolvedPiece
from builder.stock_plans import StockPlan


@dataclass(frozen=True)
class SupplyLine:
    """One thing to buy.

    ``kind``: sheet, ribbon, brad, eyelet, magnet pair, tape, glue, ink, other, photo.  ``count``
    is in pieces (sheets, brads, rolls); ``length`` is the total length needed of ribbon or tape;
    ``size`` is the true size of one (sheet, ribbon width, brad head and leg).
    """

    key: str
    title: str
    kind: str
    count: int
    length: Fraction
    size: tuple[Fraction, ...]
    note: str


def supplies(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> tuple[SupplyLine, ...]:
    """Everything to buy for one finished piece."""
    return (
        *_sheets(plans),
        *_ribbons(resolved),
        *_fastenings(resolved),
        *_consumables(resolved),
    )


def _sheets(plans: Mapping[str, StockPlan]) -> list[SupplyLine]:
    return [
        SupplyLine(
            key=key,
            title=stock_plan.stock.source.title,
            kind="sheet",
            count=len(stock_plan.plan.sheets),
            length=Fraction(0),
            size=(stock_plan.stock.sheet_width, stock_plan.stock.sheet_height),
            note=stock_plan.stock.source.note,
        )
        for key, stock_plan in plans.items()
    ]


def _ribbons(resolved: ResolvedDesign) -> list[SupplyLine]:
    """Ribbon by total length, each piece with its allowance."""
    lengths: dict[str, Fraction] = {}
    counts: dict[str, int] = {}
    for fastening in resolved.fastenings.values():
        key = fastening.source.stock
        if fastening.source.kind == "ribbon tie" and key is not None:
            each = fastening.length + fastening.allowance
            lengths[key] = lengths.get(key, Fraction(0)) + each * fastening.source.count
            counts[key] = counts.get(key, 0) + fastening.source.count
    return [
        SupplyLine(
            key=key,
            title=resolved.stocks[key].source.title,
            kind="ribbon",
            count=counts[key],
            length=length,
            size=(resolved.stocks[key].ribbon_width,),
            note=resolved.stocks[key].source.note,
        )
        for key, length in lengths.items()
    ]


def _fastenings(resolved: ResolvedDesign) -> list[SupplyLine]:
    """Brads, eyelets and magnets, those of one size together."""
    alike: dict[tuple[str, Fraction, Fraction], list[ResolvedFastening]] = {}
    for fastening in resolved.fastenings.values():
        if fastening.source.kind != "ribbon tie":
            key = (fastening.source.kind, fastening.head, fastening.leg)
            alike.setdefault(key, []).append(fastening)
    return [
        SupplyLine(
            key=group[0].key,
            title=kind,
            kind=kind,
            count=sum(fastening.source.count for fastening in group),
            length=Fraction(0),
            size=(head, leg) if leg else (head,),
            note="",
        )
        for (kind, head, leg), group in alike.items()
    ]


def _consumables(resolved: ResolvedDesign) -> list[SupplyLine]:
    lines = []
    needed = adhesive_length(resolved)
    tapes = [s for s in resolved.design.supplies.values() if s.kind == "tape"]
    for supply in resolved.design.supplies.values():
        is_first_tape = bool(tapes) and supply is tapes[0]
        width, roll = resolved.supply_sizes.get(supply.key, (Fraction(0), Fraction(0)))
        length = needed if is_first_tape else Fraction(0)
        count = -(-length // roll) if roll and length else 1
        size = (width,) if width else ()
        lines.append(
            SupplyLine(supply.key, supply.title, supply.kind, int(count), length, size, "")
        )
    return lines


def adhesive_length(resolved: ResolvedDesign) -> Fraction:
    """Running length of adhesive: once along each glued edge of every piece."""
    return sum(
        (glued_edges(piece) * piece.source.count for piece in resolved.pieces.values()),
        Fraction(0),
    )


def glued_edges(piece: ResolvedPiece) -> Fraction:
    """Adhesive for one piece: along its named edges, or, for ``all``, once round the area in
    which it meets its host (a cover meets a hinge tab only along the tab)."""
    box = piece.face(piece.by).box
    if "all" in piece.glue.edges:
        return 2 * (sum(_contact(piece), Fraction(0)))
    return sum(
        (box.height if edge in ("left", "right") else box.width for edge in piece.glue.edges),
        Fraction(0),
    )


def _contact(piece: ResolvedPiece) -> tuple[Fraction, Fraction]:
    """Width and height, in the host's frame, of the area in which a piece meets its host."""
    offsets = piece.offsets
    assert offsets is not None
    width, height = piece.laid_size
    beyond_x = max(-offsets.left, Fraction(0)) + max(-offsets.right, Fraction(0))
    beyond_y = max(-offsets.top, Fraction(0)) + max(-offsets.bottom, Fraction(0))
    return width - beyond_x, height - beyond_y
