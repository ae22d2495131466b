"""Measure the planner on published instances and on growing sets of pieces.

In: the path of a file with one instance a line, each a JSON object with ``sheet`` [width,
height] and ``pieces`` [[width, height], ...]; where it also has ``cls``, ``library_fixed``,
``library_rotated``, ``bound_fixed`` and ``bound_rotated``, they are printed beside. Out: a
table by class for each orientation.

    python -m tests.benchmarks.sheet_instances FILE.jsonl [--every N] [--from K] [--seconds S]

Times are processor seconds on one core. The planner counts its work and stops at the clock only
on a machine too slow for that count; ``--patience`` lets a busy machine take so many times longer.
"""

import argparse
import json
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from gatherfold.sheets import Rectangle, Sheet, plan
from tests.sheets.checker import verify


@dataclass(frozen=True)
class Outcome:
    """One instance planned: sheets, bound, what others have, and the time taken."""

    group: str
    sheets: int
    bound: int
    library: int
    outside_bound: int
    seconds: float
    wrong: int


def measure(
    instance: dict[str, Any], turns: bool, seconds: float, patience: float, seed: int
) -> Outcome:
    """Plan one instance and check the plan."""
    width, height = instance["sheet"]
    pieces = [Rectangle(str(i), w, h, turns) for i, (w, h) in enumerate(instance["pieces"])]
    kind = "rotated" if turns else "fixed"
    start = time.process_time()
    found = plan(
        pieces,
        Sheet("sheet", width, height),
        time_limit=seconds,
        patience=patience,
        seed=seed,
    )
    taken = time.process_time() - start
    return Outcome(
        str(instance.get("cls", "-")),
        len(found.sheets),
        int(found.bound),
        int(instance.get(f"library_{kind}", 0)),
        int(instance.get(f"bound_{kind}", 0)),
        taken,
        len(verify(found, pieces)) + len(found.unplaced),
    )


def table(outcomes: Sequence[Outcome]) -> str:
    """Totals by class and over all."""
    lines = [
        f"{'class':>6}{'count':>7}{'sheets':>8}{'bound':>7}{'gap':>5}{'proven':>8}"
        f"{'library':>9}{'their bound':>13}{'mean s':>8}{'most s':>8}{'wrong':>7}"
    ]
    groups = sorted({o.group for o in outcomes}, key=lambda group: (len(group), group))
    for group in [*groups, "all"]:
        chosen = [o for o in outcomes if group in (o.group, "all")]
        sheets, bound = sum(o.sheets for o in chosen), sum(o.bound for o in chosen)
        proven = sum(o.sheets == o.bound for o in chosen) / len(chosen)
        seconds = [o.seconds for o in chosen]
        lines.append(
            f"{group:>6}{len(chosen):>7}{sheets:>8}{bound:>7}{sheets - bound:>5}{proven:>8.0%}"
            f"{sum(o.library for o in chosen):>9}{sum(o.outside_bound for o in chosen):>13}"
            f"{sum(seconds) / len(seconds):>8.2f}{max(seconds):>8.2f}"
            f"{sum(o.wrong for o in chosen):>7}"
        )
    return "\n".join(lines)


def main(arguments: Sequence[str] | None = None) -> int:
    """Print the tables asked for."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.sheet_instances")
    parser.add_argument("file", type=Path, help="instances, one JSON object a line")
    parser.add_argument("--every", type=int, default=1, help="measure every Nth instance")
    parser.add_argument("--from", dest="first", type=int, default=0, help="start at this line")
    parser.add_argument("--seconds", type=float, default=10.0, help="time limit an instance")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--only", choices=["fixed", "rotated"], help="one orientation alone")
    parser.add_argument("--patience", type=float, default=1.0, help="times the limit on the clock")
    options = parser.parse_args(arguments)
    lines = options.file.read_text(encoding="utf-8").splitlines()
    chosen = [json.loads(line) for line in lines if line.strip()][options.first :: options.every]
    for name, turns in (("fixed", False), ("rotated", True)):
        if options.only in (None, name):
            outcomes = [
                measure(each, turns, options.seconds, options.patience, options.seed)
                for each in chosen
            ]
            print(f"{name} orientation\n{table(outcomes)}\n", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
