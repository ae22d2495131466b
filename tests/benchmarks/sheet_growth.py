"""How sheets, proof and time of a plan grow with the number of pieces.

Two kinds of job, both seeded: ``random`` pieces of all sizes from 1 to 8 in, and ``repeated``
ones, cut from 12 sizes as a design in many copies is; all in steps of 1/8 in on 12 x 12 in
sheets, four in five free to turn. For each size of job: sheets, the lower bound, the gap,
whether it is proven, how full the sheets are, cuts, settings, and seconds of processor time.

    python -m tests.benchmarks.sheet_growth [--seconds S] [--seed N]
"""

from __future__ import annotations

import argparse
import random
import sys
import time
from collections.abc import Sequence
from fractions import Fraction

from gatherfold.sheets import Plan, Rectangle, Sheet, Trimmer, plan
from tests.sheets.checker import verify

COUNTS = (20, 50, 100, 200, 500, 2000)
STEP = Fraction(1, 8)
SHEET = Sheet("sheet", 12, 12)
# Sides from 1 to 8 in, in steps.
LEAST, MOST = 8, 64
SIZES = 12
# The work allowed ends the search; a busy machine is waited for.
PATIENCE = 5.0


def random_pieces(count: int, seed: int) -> list[Rectangle]:
    """Pieces each of a size of its own."""
    chance = random.Random(seed * 10_000 + count)
    return [_piece(number, _sides(chance), chance) for number in range(count)]


def repeated_pieces(count: int, seed: int) -> list[Rectangle]:
    """Pieces of few sizes in many copies."""
    chance = random.Random(seed * 10_000 + count)
    sizes = [_piece(number, _sides(chance), chance) for number in range(SIZES)]
    chosen = [chance.choice(sizes) for _ in range(count)]
    return [
        Rectangle(str(number), size.width, size.height, size.turns)
        for number, size in enumerate(chosen)
    ]


def _sides(chance: random.Random) -> tuple[Fraction, Fraction]:
    return chance.randint(LEAST, MOST) * STEP, chance.randint(LEAST, MOST) * STEP


def _piece(number: int, sides: tuple[Fraction, Fraction], chance: random.Random) -> Rectangle:
    return Rectangle(str(number), *sides, turns=chance.random() < 0.8)


def row(kind: str, pieces: Sequence[Rectangle], found: Plan, seconds: float) -> str:
    """One line of the table."""
    sheets = len(found.sheets)
    area = sum(piece.width * piece.height for piece in pieces)
    full = float(area / (max(1, sheets) * SHEET.width * SHEET.height))
    wrong = len(verify(found, pieces, Trimmer(guide_step=STEP)))
    return (
        f"{kind:<9}{len(pieces):>7}{sheets:>8}{found.bound!s:>7}{sheets - found.bound!s:>5}"
        f"{'yes' if found.proven else 'no':>8}{full:>7.1%}{found.cuts:>7}{found.settings:>10}"
        f"{seconds:>8.2f}{wrong:>7}"
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the table."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.sheet_growth")
    parser.add_argument("--seconds", type=float, default=2.0, help="time limit of a plan")
    parser.add_argument("--seed", type=int, default=0)
    options = parser.parse_args(arguments)
    print(
        f"{'kind':<9}{'pieces':>7}{'sheets':>8}{'bound':>7}{'gap':>5}{'proven':>8}{'full':>7}"
        f"{'cuts':>7}{'settings':>10}{'s':>8}{'wrong':>7}"
    )
    for kind, make in (("random", random_pieces), ("repeated", repeated_pieces)):
        for count in COUNTS:
            pieces = make(count, options.seed)
            start = time.process_time()
            found = plan(
                pieces,
                SHEET,
                trimmer=Trimmer(guide_step=STEP),
                time_limit=options.seconds,
                patience=PATIENCE,
                seed=options.seed,
            )
            print(row(kind, pieces, found, time.process_time() - start), flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
