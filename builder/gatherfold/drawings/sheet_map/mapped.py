"""A sheet to map: all that its picture and its words tell of it.

In: a resolved design and one sheet plan.  Out: :class:`MappedSheet`, lengths exact, places on the
sheet as it faces the maker.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from gatherfold.drawings.kernel.wording import words_of
from gatherfold.geometry import Axis, Box
from gatherfold.lengths import INCH, UnitSystem
from gatherfold.model import Side, SideName, Stock
from gatherfold.plans import (
    CutOut,
    along_grain,
    facing_side,
    grain_axis,
    motif_on_sheet,
    recognised_size,
    region_box,
    way_round,
)
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.sheets import Offcut, Placed, SheetPlan, name_of
from gatherfold.wording import Wording

#: An offcut is worth keeping from this size on, both ways (common practice, no source).
_USEFUL = INCH


@dataclass(frozen=True)
class PrintedPlace:
    """A printed picture that a piece is cut round, or the region that it lies in, as the front
    shows the sheet: with its name and the first copy of the piece."""

    box: Box
    title: str
    placed: Placed
    piece: ResolvedPiece


@dataclass(frozen=True)
class MappedSheet:
    """One sheet of a stock, the ``first`` of ``total`` from 1; those up to the ``last`` are cut
    alike, and ``kept`` says what its offcuts are kept for, by part."""

    resolved: ResolvedDesign
    stock_key: str
    plan: SheetPlan
    first: int
    total: int
    last: int | None = None
    kept: Mapping[int, str] = field(default_factory=dict)

    @property
    def units(self) -> UnitSystem:
        return self.resolved.edition.units

    @cached_property
    def wording(self) -> Wording:
        return words_of(self.resolved)

    @property
    def which(self) -> str:
        """``sheet 1 of 3``, ``sheets 1 to 2 of 3``."""
        last = self.last or self.first
        return self.wording.counted(
            "draw_sheet", last - self.first + 1, first=self.first, last=last, total=self.total
        )

    @property
    def stock(self) -> Stock:
        return self.resolved.stocks[self.stock_key].source

    @cached_property
    def facing(self) -> SideName:
        """The side that faces the maker."""
        return facing_side(self.resolved, self.plan)

    @property
    def side(self) -> Side:
        return self.stock.side(self.facing)

    @cached_property
    def pieces(self) -> list[tuple[Placed, CutOut]]:
        """What lies on the sheet, and the piece or strip of each; copies are keyed ``piece#2``."""
        return [(each, self.resolved.cut_out(name_of(each.key))) for each in self.plan.placed]

    @cached_property
    def grain(self) -> Axis | None:
        """Which way the grain runs on the map, where it matters how a piece lies to that; None
        where it matters to none."""
        folded = (each for _, each in self.pieces if along_grain(each) and way_round(each))
        return next((grain_axis(each.stock) for each in folded), None)

    @cached_property
    def margins(self) -> list[tuple[Box, Fraction]]:
        """The strips without print and their widths, as the front of the sheet shows them."""
        width, height = Fraction(self.plan.sheet.width), Fraction(self.plan.sheet.height)
        planned = tuple(Fraction(margin) for margin in self.plan.sheet.margins)
        sheets = self.resolved.stocks[self.stock_key].sheets
        named = (sheet.margins for sheet in sheets if sheet.name == self.plan.sheet.name)
        left, right, bottom, top = next(named, planned)
        zero = Fraction(0)
        strips = [
            (Box(zero, zero, left, height), left),
            (Box(width - right, zero, width, height), right),
            (Box(left, zero, width - right, bottom), bottom),
            (Box(left, height - top, width - right, height), top),
        ]
        return [(box, margin) for box, margin in strips if margin]

    @cached_property
    def printed_places(self) -> list[PrintedPlace]:
        """The printed places of all pieces, one of each piece."""
        found: dict[str, PrintedPlace] = {}
        for placed, piece in self.pieces:
            if not isinstance(piece, ResolvedPiece):
                continue
            region, motif = region_box(piece), motif_on_sheet(piece)
            if region is not None and piece.source.region is not None:
                title = piece.printed_side.regions[piece.source.region].title
                found.setdefault(piece.key, PrintedPlace(region, title, placed, piece))
            elif motif is not None and piece.motif is not None:
                found.setdefault(piece.key, PrintedPlace(motif, piece.motif.title, placed, piece))
        return list(found.values())

    @property
    def outlined(self) -> list[PrintedPlace]:
        """The printed places, each once."""
        found: dict[Box, PrintedPlace] = {}
        for place in self.printed_places:
            found.setdefault(place.box, place)
        return list(found.values())

    @property
    def to_keep(self) -> Offcut | None:
        """The largest offcut, where it is large enough for a later piece."""
        largest = self.plan.largest_offcut
        if largest is None or min(largest.width, largest.height) < _USEFUL:
            return None
        return largest

    def size_of(self, part: Placed) -> str:
        """The size of a piece as the sheet shows it."""
        return self._size(Fraction(part.width), Fraction(part.height))

    def offcut_size(self, offcut: Offcut) -> str:
        """The size of an offcut as the cuts beside the map give it: rounded down to the grid."""
        size = Fraction(offcut.width), Fraction(offcut.height)
        return self._size(*recognised_size(size, self.resolved.edition.grid))

    def _size(self, width: Fraction, height: Fraction) -> str:
        return f"{self.units.number(width)} × {self.units.number(height)}"
