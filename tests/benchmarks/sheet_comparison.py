"""The planner beside a general-purpose packing library, on the pieces of real designs.

In: designs, both editions, one kit or a class. Out: for each stock the sheets, cuts and guide
settings of the plan and of the library's best result. The library (rectpack, a test extra) only
places: its 324 offline guillotine settings (18 algorithms, 3 ways of choosing a sheet, 6 orders
of the pieces) are tried, and each placement is freed with this project's own cutter, so that
the cuts and settings are counted alike on both sides. Placements that edge-to-edge cuts cannot
free are counted and not used. The best is the one of the fewest sheets, then cuts and settings.
Settings are summed over the sheets; "side by side" counts them once for sheets of equal cuts.

The library knows no pins and turns all pieces or none, so it has an easier or a different task
where a stock has pinned pieces (marked p: it places them anywhere) or pieces of both kinds
(marked m: laid as the design writes them, and once more with those that turn on their side).

    python -m tests.benchmarks.sheet_comparison [DESIGN.yaml ...] [--kits N] [--few]
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import rectpack

from gatherfold.native_edition import settle
from gatherfold.plans import as_planned, trimmer_of
from gatherfold.plans.stocks import one_kit
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS, Edition
from gatherfold.sheets import Placed, Rectangle, Sheet, SheetPlan, Trimmer, plan_kits
from gatherfold.sheets.cutting import NotSeparable, sheet_plan
from gatherfold.sheets.model import scale_of, scaled

ROOT = Path(__file__).parents[2]
SHIPPED = sorted((ROOT / "designs").glob("*.yaml"))
HARDER = sorted((ROOT / "tests" / "designs").glob("*.yaml"))
ALGORITHMS = [
    getattr(rectpack, name) for name in sorted(dir(rectpack)) if name.startswith("Guillotine")
]
BINS = [rectpack.PackingBin.BNF, rectpack.PackingBin.BFF, rectpack.PackingBin.BBF]
SORTS = [
    rectpack.SORT_AREA,
    rectpack.SORT_PERI,
    rectpack.SORT_DIFF,
    rectpack.SORT_SSIDE,
    rectpack.SORT_LSIDE,
    rectpack.SORT_RATIO,
]


@dataclass(frozen=True)
class Task:
    """The pieces of one stock of a design in one edition, for all kits."""

    name: str
    pieces: tuple[Rectangle, ...]
    sheets: tuple[Sheet, ...]
    trimmer: Trimmer


@dataclass(frozen=True, order=True)
class Tally:
    """What a plan takes; smaller is better."""

    sheets: int
    cuts_and_settings: int
    cuts: int
    settings: int
    side_by_side: int


@dataclass(frozen=True)
class Library:
    """The library's best separable result (None: it has none), and how its tries came out."""

    best: Tally | None
    tries: int
    not_separable: int
    incomplete: int


def tasks(design: Path, edition: Edition) -> Iterator[Task]:
    """The planner's own input, one kit, for each stock."""
    resolved = settle(read_design_file(design), edition).resolved
    trimmer = trimmer_of(resolved)
    for key, stock in resolved.stocks.items():
        pieces = tuple(one_kit(resolved, key))
        if pieces and stock.source.material != "ribbon":
            pinned = any(piece.pin is not None for piece in pieces)
            sheets = tuple(as_planned(sheet, edition.grid, pinned) for sheet in stock.sheets)
            yield Task(key, pieces, sheets, trimmer)


def tally(plans: Sequence[SheetPlan]) -> Tally:
    """What the sheets take; those with equal cuts can be cut side by side, one guide for all."""
    cuts, settings = sum(len(each.cuts) for each in plans), sum(each.settings for each in plans)
    different = {tuple((c.part, c.axis, c.setting, c.edge) for c in p.cuts): p for p in plans}
    together = sum(each.settings for each in different.values())
    return Tally(len(plans), cuts + settings, cuts, settings, together)


def library(task: Task, kits: int, few: bool) -> Library:
    """The best of the library's placements of all kits."""
    pieces = [replace(p, key=f"{p.key}/{k}") for k in range(kits) for p in task.pieces]
    factor = scale_of([*pieces, *task.sheets, task.trimmer])
    whole = [scaled(piece, factor) for piece in pieces]
    sheets = [scaled(sheet, factor) for sheet in task.sheets]
    trimmer = scaled(task.trimmer, factor)
    best: Tally | None = None
    tries = not_separable = incomplete = 0
    for laid, turn in _ways_of_laying(whole):
        for algorithm in ALGORITHMS[:: 6 if few else 1]:
            for bins in BINS[1:2] if few else BINS:
                for order in SORTS:
                    tries += 1
                    packed = _packed(laid, sheets, turn, algorithm, bins, order)
                    if packed is None:
                        incomplete += 1
                        continue
                    try:
                        plans = [sheet_plan(sheet, placed, trimmer) for sheet, placed in packed]
                    except NotSeparable:
                        not_separable += 1
                        continue
                    found = tally(plans)
                    best = found if best is None else min(best, found)
    return Library(best, tries, not_separable, incomplete)


def _ways_of_laying(pieces: Sequence[Rectangle]) -> list[tuple[list[Rectangle], bool]]:
    """Pieces as they lie, and whether the library may turn them."""
    if all(piece.turns or piece.width == piece.height for piece in pieces):
        return [(list(pieces), True)]
    if not any(piece.turns for piece in pieces):
        return [(list(pieces), False)]
    on_side = [
        replace(p, width=p.height, height=p.width) if p.turns and p.height > p.width else p
        for p in pieces
    ]
    return [(list(pieces), False), (on_side, False)]


def _packed(
    pieces: Sequence[Rectangle], sheets: Sequence[Sheet], turn: bool, *how: Any
) -> list[tuple[Sheet, list[Placed]]] | None:
    """The library's placement, sheet by sheet; None when it leaves a piece out."""
    algorithm, bins, order = how
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline,
        bin_algo=bins,
        pack_algo=algorithm,
        sort_algo=order,
        rotation=turn,
    )
    for number, sheet in enumerate(sorted(sheets, key=lambda sheet: sheet.cost)):
        left, right, bottom, top = sheet.margins
        count = len(pieces) if sheet.count is None else sheet.count
        size = int(sheet.width - left - right), int(sheet.height - bottom - top)
        packer.add_bin(*size, count=count, bid=number)
    for piece in pieces:
        packer.add_rect(int(piece.width), int(piece.height), piece.key)
    packer.pack()
    if len(packer.rect_list()) < len(pieces):
        return None
    ordered = sorted(sheets, key=lambda sheet: sheet.cost)
    packed = []
    for used in packer:
        sheet = ordered[used.bid]
        x, y = sheet.margins[0], sheet.margins[2]
        placed = [Placed(r.rid, x + r.x, y + r.y, r.width, r.height) for r in used]
        packed.append((sheet, placed))
    return packed


def marks(task: Task) -> str:
    """What makes the library's task another one."""
    turning = {piece.turns for piece in task.pieces if piece.width != piece.height}
    pinned = any(piece.pin is not None for piece in task.pieces)
    return ("p" if pinned else "") + ("m" if len(turning) > 1 else "")


def compare(design: Path, kits: int, few: bool) -> None:
    """Print the rows of one design."""
    for edition in EDITIONS.values():
        for task in tasks(design, edition):
            started = time.perf_counter()
            found = plan_kits(task.pieces, kits, task.sheets, trimmer=task.trimmer).all
            taken = time.perf_counter() - started
            own, other = tally(found.sheets), library(task, kits, few)
            theirs = "   none" if other.best is None else _row(other.best)
            print(
                f"{design.stem:<18}{edition.name:<9}{task.name:<14}{marks(task):<3}{kits:>4}"
                f"{_row(own)}  {found.status:<34.34}{taken:>6.2f}{theirs}"
                f"{other.not_separable:>6} of {other.tries}, {other.incomplete} incomplete",
                flush=True,
            )


def _row(found: Tally) -> str:
    return f"{found.sheets:>5}{found.cuts:>5}{found.settings:>5}{found.side_by_side:>5}"


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.sheet_comparison")
    parser.add_argument(
        "designs", nargs="*", type=Path, help="the shipped and test designs if none"
    )
    parser.add_argument("--kits", type=int, default=1)
    parser.add_argument("--few", action="store_true", help="18 of the library's settings alone")
    options = parser.parse_args(arguments)
    print("design, edition, stock, marks, kits; plan: sheets, cuts, settings, side by side,")
    print("proof, seconds; library: sheets, cuts, settings, side by side, placements not separable")
    for design in options.designs or [*SHIPPED, *HARDER]:
        compare(design, options.kits, options.few)
    return 0


if __name__ == "__main__":
    sys.exit(main())
