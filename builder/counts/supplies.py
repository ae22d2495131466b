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
class Amount:
    """How much of something: a number of pieces and a length."""

    count: int
    length: Fraction


@dataclass(frozen=True)
class SupplyLine:
    """One thing to buy.

    ``kind``: sheet, scrap, ribbon, brad, eyelet, magnet pair, tape, glue, ink, other, photo.
    ``count`` is in pieces (sheets, brads, rolls) and ``length`` the total length needed of ribbon
    or tape, both for all kits; ``of_one`` is what one kit alone needs.  ``size`` is the true size
    of one (sheet, ribbon width, brad head and leg), ``price`` what one sheet costs, if that is
    given.
    """

    key: str
    title: str
    kind: str
    count: int
    length: Fraction
    size: tuple[Fraction, ...]
    note: str
    price: Fraction | None = None
    of_one: Amount | None = None

    @property
    def cost(self) -> Fraction:
        """What all kits cost, as far as prices are given."""
        return self.count * (self.price or Fraction(0))

    @property
    def cost_of_one(self) -> Fraction:
        """What one kit alone costs, as far as prices are given."""
        count = self.count if self.of_one is None else self.of_one.count
        return count * (self.price or Fraction(0))


def supplies(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], kits: int = 1
) -> tuple[SupplyLine, ...]:
    """Everything to buy for so many finished pieces made together."""
    return (
        *(line for stock_plan in plans.values() for line in _sheets(stock_plan)),
        *_ribbons(resolved, kits),
        *_fastenings(resolved, kits),
        *_consumables(resolved, kits),
    )


def _sheets(stock_plan: StockPlan) -> list[SupplyLine]:
    """A line for each size of sheet that all kits, or one kit alone, are cut from."""
    stock = stock_plan.stock
    lines = []
    for sheet in stock.sheets:
        count, of_one = (
            sum(each.sheet.name == sheet.name for each in plan.sheets)
            for plan in (stock_plan.plan, stock_plan.of_one)
        )
        if count or of_one:
            lines.append(
                SupplyLine(
                    key=stock.key,
                    title=stock.source.title,
                    kind="scrap" if sheet.source.is_scrap else "sheet",
                    count=count,
                    length=Fraction(0),
                    size=(sheet.width, sheet.height),
                    note=stock.source.note,
                    price=sheet.source.price,
                    of_one=Amount(of_one, Fraction(0)),
                )
            )
    return lines


def _ribbons(resolved: ResolvedDesign, kits: int) -> list[SupplyLine]:
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
            count=kits * counts[key],
            length=kits * length,
            of_one=Amount(counts[key], length),
            size=(resolved.stocks[key].ribbon_width,),
            note=resolved.stocks[key].source.note,
        )
        for key, length in lengths.items()
    ]


def _fastenings(resolved: ResolvedDesign, kits: int) -> list[SupplyLine]:
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
            count=kits * sum(fastening.source.count for fastening in group),
            length=Fraction(0),
            of_one=Amount(sum(fastening.source.count for fastening in group), Fraction(0)),
            size=(head, leg) if leg else (head,),
            note="",
        )
        for (kind, head, leg), group in alike.items()
    ]


def _consumables(resolved: ResolvedDesign, kits: int) -> list[SupplyLine]:
    """Tape by rolls where a roll's length is known; of all else one is enough for all kits."""
    lines = []
    needed = adhesive_length(resolved)
    tapes = [s for s in resolved.design.supplies.values() if s.kind == "tape"]
    for supply in resolved.design.supplies.values():
        is_first_tape = bool(tapes) and supply is tapes[0]
        width, roll = resolved.supply_sizes.get(supply.key, (Fraction(0), Fraction(0)))
        length = needed if is_first_tape else Fraction(0)
        of_one, count = (
            int(-(-times * length // roll)) if roll and length else 1 for times in (1, kits)
        )
        lines.append(
            SupplyLine(
                key=supply.key,
                title=supply.title,
                kind=supply.kind,
                count=count,
                length=kits * length,
                size=(width,) if width else (),
                note="",
                of_one=Amount(of_one, length),
            )
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
