"""How long figures take to draw and ink, how that grows, and their share of a build.

Run: ``python -m tests.benchmarks.drawing_time [DESIGN.yaml]``.  Processor time: the
median over all figures of the pattern in both editions, the slowest; drawing as a share of building
one edition, of which it may take a third; and the time for a piece with more and more scores, with
the exponent of its growth.  The share is that of the build itself, by what it says it is doing: it
counts the drawings of steps that are made again larger until their page is full.
"""

from __future__ import annotations

import math
import statistics
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from multiprocessing import get_context
from pathlib import Path

from gatherfold.build import Options, build_result
from gatherfold.counts.cut_list import cut_list
from gatherfold.documents.figure_set import figure_scenes
from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.figures import figure
from gatherfold.drawings.piece.drawing import piece_scene
from gatherfold.editions import check_edition
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import Score
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.benchmarks.stages import Stages
from tests.drawings.samples import design, piece

SCORES = (4, 8, 16, 32, 64)
LARGEST_SHARE = 1 / 3


def figure_times(path: Path, edition: str) -> dict[str, float]:
    """Seconds for the scene and the ink of each figure of the pattern, by key; those that fill a
    page together share what it takes."""
    made = read_design_file(path)
    resolved, plans = (checked := check_edition(made, EDITIONS[edition])).resolved, checked.plans
    page = read_page(LAYOUTS / made.layout, EDITIONS[edition])
    times: dict[str, float] = {}
    started = time.process_time()
    for key, scene in figure_scenes(resolved, plans, cut_list(resolved), lambda text: None, page):
        figure(scene)
        times[key] = time.process_time() - started
        started = time.process_time()
    return times


def scored_piece_time(count: int) -> float:
    """Seconds to draw and ink a strip with so many scores."""
    made = piece("strip", "12", "2")
    places = [made.width * number / (count + 1) for number in range(1, count + 1)]
    scores = tuple(
        Score("vertical", at, Fraction(0), made.height, "valley", 90, ("face", "face"))
        for at in places
    )
    resolved = design({"strip": replace(made, scores=scores)})
    started = time.process_time()
    figure(piece_scene(resolved, "strip", 400, 120))
    return time.process_time() - started


def drawing_share(path: Path, edition: str) -> tuple[float, float]:
    """Seconds of drawing, and of all of the build of an edition, in a process of its own as a
    build of both editions has it: what another edition left in memory slows drawing down."""
    with ProcessPoolExecutor(max_workers=1, mp_context=get_context("spawn")) as pool:
        return pool.submit(_drawing_share, path, edition).result()


def _drawing_share(path: Path, edition: str) -> tuple[float, float]:
    made = read_design_file(path)
    stages = Stages()
    build_result(made, [EDITIONS[edition]], [LAYOUTS / made.layout], Options(), stages.hear)
    stages.enter("sizes")
    return stages.seconds["drawing"], sum(stages.seconds.values())


def main() -> int:
    path = Path(sys.argv[1]) if len(sys.argv) > 1 else DESIGNS / "observatory-folio.yaml"
    share = 0.0
    for edition in EDITIONS:
        times = figure_times(path, edition)
        slowest = max(times, key=lambda key: times[key])
        drawing, whole = drawing_share(path, edition)
        share = max(share, drawing / whole)
        print(
            f"{edition}: {len(times)} figures, median {statistics.median(times.values()):.3f} s, "
            f"slowest {slowest} {times[slowest]:.3f} s; drawing {drawing:.2f} s of a build of "
            f"{whole:.2f} s: {drawing / whole:.0%}"
        )
    grown = [
        (count, statistics.median(scored_piece_time(count) for _ in range(5))) for count in SCORES
    ]
    for count, seconds in grown:
        print(f"{count:3d} scores: {seconds:.4f} s")
    exponents = [math.log2(later / earlier) for (_, earlier), (_, later) in pairwise(grown)]
    print(f"growth with scores: n^{statistics.mean(exponents):.2f} (steepest {max(exponents):.2f})")
    return 0 if share <= LARGEST_SHARE else 1


if __name__ == "__main__":
    sys.exit(main())
