"""What the planner could not place, each with the numbers and a remedy that works.

In: a resolved design and the plan of a stock.  Out: findings, at the line of the piece.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from gatherfold.checks.regions import room_beside
from gatherfold.checks.report import FindingKind, Told, as_typed, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import EDGES_BY_AXIS, Box, room_within
from gatherfold.lengths import down_to_grid
from gatherfold.model import is_front
from gatherfold.plans import (
    CutOut,
    StockPlan,
    as_planned,
    edge_of,
    region_box,
    region_on_grid,
    round_motif,
)
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, ResolvedSheet, sheet_text
from gatherfold.sheets import Problem, ProblemCode, name_of


def check_unplaced(resolved: ResolvedDesign, stock_plan: StockPlan) -> Iterator[Finding]:
    """One finding for each piece and reason, however many copies of it are meant."""
    return _Unplaced(resolved, stock_plan).findings()


@dataclass(frozen=True)
class _Unplaced:
    resolved: ResolvedDesign
    stock_plan: StockPlan

    def findings(self) -> Iterator[Finding]:
        alike: dict[tuple[ProblemCode, str], list[Problem]] = {}
        for problem in self.stock_plan.plan.unplaced:
            alike.setdefault((problem.code, name_of(problem.pieces[0])), []).append(problem)
        for (code, key), problems in alike.items():
            piece = self.resolved.cut_out(key)
            match code:
                case "pin-outside-sheet":
                    # A piece has no place round its motif, in its region or along its edge.
                    if isinstance(piece, ResolvedPiece) and piece.source.motif is not None:
                        yield self._round_motif(piece)
                    elif isinstance(piece, ResolvedPiece) and piece.source.region is not None:
                        yield from self._in_region(piece)
                case "pins-overlap":
                    yield self._overlap(piece, problems)
                case "cut-too-long":
                    longest = Fraction(problems[0].numbers["longest_cut"])
                    needed = Fraction(problems[0].remedy["longest_cut"])
                    told = {"longest_cut": longest, "needed": needed}
                    typed = as_typed(needed, self.resolved)
                    yield self._found(finding_kind("cut-too-long"), piece, **told, typed=typed)
                case "not-enough-sheets":
                    yield self._too_few(finding_kind("not-enough-sheets"), piece, problems[0])
                case "no-room-found":
                    yield self._too_few(finding_kind("no-room-found"), piece, problems[0])
                case "sheet-unknown" | "piece-larger-than-sheet" | "strip-too-narrow":
                    # Conditions of the stock speak of these, in every edition.
                    pass
                case _:
                    assert_never(code)

    def _found(self, kind: FindingKind, piece: CutOut, **told: Told) -> Finding:
        return kind.found(self.resolved, piece, (piece.key,), **told)

    # Places that the print gives

    def _in_region(self, piece: ResolvedPiece) -> Iterator[Finding]:
        """The region, on whole steps and without margins, is too small, or away from the edge."""
        sheet, grid = self.stock_plan.stock.sheets[0], self.resolved.edition.grid
        box, on_grid = region_box(piece), region_on_grid(piece, grid)
        assert box is not None and on_grid is not None
        offered = _offered(sheet, grid)
        width = min(on_grid.right, offered.right) - max(on_grid.left, offered.left)
        height = min(on_grid.top, offered.top) - max(on_grid.bottom, offered.bottom)
        room = max(width, Fraction(0)), max(height, Fraction(0))
        region = str(piece.source.region)
        if room_beside(piece, [room]) >= 0:
            edge = edge_of(piece)
            assert edge is not None
            away = max(room_within(on_grid, offered)[edge], Fraction(0))
            told = {"edge": str(piece.source.edge), "sheet": sheet.name, "region": region}
            yield self._found(finding_kind("region-off-edge"), piece, **told, away=away)
        elif room_beside(piece, [(box.width, box.height)]) >= 0:
            yield self._found(
                finding_kind("no-place-in-region"),
                piece,
                size=(piece.width, piece.height),
                region=region,
                room=room,
            )

    def _round_motif(self, piece: ResolvedPiece) -> Finding:
        """Round its motif the piece would reach over the sheet's edge or into a margin."""
        sheet = self.stock_plan.stock.sheets[0]
        cut = round_motif(piece, self.resolved.edition.grid)
        assert cut is not None
        room = room_within(cut, _offered(sheet, self.resolved.edition.grid))
        edge = min(room, key=lambda edge: room[edge])
        is_margin = sheet.margins[EDGES_BY_AXIS.index(edge)]
        return self._found(
            finding_kind("no-place-on-sheet"),
            piece,
            sheet=sheet.name,
            what="the margin" if is_margin else "the sheet's edge",
            edge=edge,
            remedy=self._largest_round_motif(piece, sheet),
            over=-room[edge],
        )

    def _largest_round_motif(self, piece: ResolvedPiece, sheet: ResolvedSheet) -> str:
        """The largest size that keeps to the sheet and round the motif, where there is one."""
        grid = self.resolved.edition.grid
        motif = piece.stock.motifs[piece.source.side, str(piece.source.motif)]
        own, offered = motif.centre, _offered(sheet, grid)
        left, right = offered.left, offered.right
        if not is_front(piece.source.side):
            left, right = sheet.width - right, sheet.width - left
        room_x = 2 * min(own.x - left, right - own.x)
        room_y = 2 * min(own.y - offered.bottom, offered.top - own.y)
        # A piece is laid to the nearest step, so half a step may be missing on one side.
        width = min(piece.width, down_to_grid(room_x - grid, grid))
        height = min(piece.height, down_to_grid(room_y - grid, grid))
        needed = 2 * self.resolved.tolerance + grid
        if width < motif.width + needed or height < motif.height + needed:
            return "Choose another motif: this one lies too near the edge to be cut round."
        size = self.resolved.edition.units.size_text(width, height)
        return f"Make the piece at most {size}, or choose another motif."

    def _overlap(self, piece: CutOut, problems: Sequence[Problem]) -> Finding:
        """Two pieces cut round motifs that lie over one another want a sheet each."""
        sheet = self.stock_plan.stock.sheets[0]
        numbers = problems[0].numbers
        size = Fraction(numbers["overlap_width"]), Fraction(numbers["overlap_height"])
        other = name_of(problems[0].against[0])
        both = f"'{piece.key}' and '{other}'"
        if other == piece.key:
            both = f"two copies of '{piece.key}'"
        count = sheet.source.limit or 0
        return self._found(
            finding_kind("motifs-overlap"),
            piece,
            both=both,
            size=size,
            sheet=sheet.name,
            count="is one sheet of it" if count == 1 else f"are {count} sheets of it",
            remedy=self._limit_remedy(sheet),
        )

    # Limited sheets

    def _too_few(self, kind: FindingKind, piece: CutOut, problem: Problem) -> Finding:
        """More pieces than the sheets can give."""
        stock = self.stock_plan.stock
        copies = Counter(name_of(key) for key in problem.pieces)
        sheets = (
            f"{sheet.source.limit or 'any number'} of "
            f"{sheet_text(sheet.width, sheet.height, self.resolved)}"
            for sheet in stock.sheets
        )
        name = str(problem.remedy["sheet"])
        wanted = next(sheet for sheet in stock.sheets if sheet.name == name)
        return self._found(
            kind,
            piece,
            number="one piece" if len(problem.pieces) == 1 else f"{len(problem.pieces)} pieces",
            named=", ".join(f"'{key}'" + f" × {n}" * (n > 1) for key, n in copies.items()),
            stock=stock.key,
            sheets=" and ".join(sheets),
            remedy=self._limit_remedy(wanted),
        )

    def _limit_remedy(self, sheet: ResolvedSheet) -> str:
        """How many more sheets of this size are enough for all that found no room on it."""
        more = sum(
            int(problem.remedy.get("more_sheets", 0))
            for problem in self.stock_plan.plan.unplaced
            if problem.remedy.get("sheet") == sheet.name
        )
        size = sheet_text(sheet.width, sheet.height, self.resolved)
        key = "count" if sheet.source.is_scrap else "limit"
        total = (sheet.source.limit or 0) + more
        again = "one more" if more == 1 else f"{more} more"
        return f"Get {again} of {size} ('{key}: {total}'), or make less from this stock."


def _offered(sheet: ResolvedSheet, grid: Fraction) -> Box:
    """What a sheet offers within its margins, as it is planned where the print places a piece."""
    left, right, bottom, top = map(Fraction, as_planned(sheet, grid, True).margins)
    return Box(left, bottom, sheet.width - right, sheet.height - top)
