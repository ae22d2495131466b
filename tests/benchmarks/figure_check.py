"""Every figure of every design, and of random sizes of the folio: what is wrong with them.

Run: ``python -m tests.benchmarks.figure_check [--sizes N] [--seed N] [--first N] [--workers N]
[--edition NAME]``.
Draws the figures of the shipped designs and of the tests' designs in both editions, then those of
N random sizes of the folio (in one edition if that is named), each as the pages of every shipped
layout have them, and prints every fault with the layout and the figure it is in, and the counts.
Status 1 if there is any.  ``--first`` leaves out the sizes before that one (from 0) and the
designs, so that a long run can be made in parts.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from pathlib import Path

from gatherfold.counts.cut_list import cut_list
from gatherfold.documents.figure_set import figure_scenes
from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.findings import DesignUnreadable
from gatherfold.native_edition import settle
from gatherfold.plans import plan_stocks
from gatherfold.reading import read_design
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.checks.test_random_sizes import Sizes, seeded_sizes
from tests.conftest import NO_LAYOUT
from tests.works import checked

TESTED = Path(__file__).parents[1] / "designs"
FOLIO = DESIGNS / "observatory-folio.yaml"
SHIPPED = ("pattern", "handout", "bench")
#: The kinds of figure by how their keys begin.


def designs() -> list[Path]:
    return [*sorted(DESIGNS.glob("*.yaml")), *sorted(TESTED.glob("*.yaml"))]


def resolved_of(path: Path, edition: str, changed: Mapping[str, str]) -> ResolvedDesign:
    """The design settled in an edition, each once; raises :class:`DesignUnreadable`."""
    if not changed:
        return checked(path, edition).resolved
    return _settled(path, edition, tuple(changed.items()))


@cache
def _settled(path: Path, edition: str, changed: tuple[tuple[str, str], ...]) -> ResolvedDesign:
    design = read_design(path.read_bytes(), str(path), dict(changed))
    return settle(design, EDITIONS[edition]).resolved


def scenes_of(resolved: ResolvedDesign) -> dict[str, Scene]:
    """The figures of a document by key, for a layout that says nothing of its page."""
    plans, rows = plan_stocks(resolved), cut_list(resolved)
    page = read_page(NO_LAYOUT, resolved.edition)
    return dict(figure_scenes(resolved, plans, rows, lambda text: None, page))


def layout_scenes(resolved: ResolvedDesign, layouts: Sequence[str] = SHIPPED) -> dict[str, Scene]:
    """The figures of shipped layouts by layout and key: ``handout step-3-1``."""
    plans, rows = plan_stocks(resolved), cut_list(resolved)
    found: dict[str, Scene] = {}
    for layout in layouts:
        page = read_page(LAYOUTS / layout, resolved.edition)
        scenes = figure_scenes(resolved, plans, rows, lambda text: None, page)
        found |= {f"{layout} {key}": scene for key, scene in scenes}
    return found


def faults_of(scenes: Mapping[str, Scene]) -> list[str]:
    return [f"{key}: {fault}" for key, scene in scenes.items() for fault in overlaps(scene)]


def job(work: tuple[Path, str, Sizes]) -> tuple[str, Counter[str], list[str]] | None:
    """The figures of one design in one edition by kind, and their faults; None if the design
    cannot be read at this size."""
    path, edition, changed = work
    try:
        resolved = resolved_of(path, edition, changed)
    except DesignUnreadable:
        return None
    scenes = layout_scenes(resolved)
    kinds = Counter(key.partition(" ")[2].partition("-")[0] for key in scenes)
    name = " ".join([path.stem, edition, *(f"{k}={v}" for k, v in changed.items())])
    return name, kinds, faults_of(scenes)


def sized(seed: int, count: int) -> list[Sizes]:
    """``count`` sizes of the folio that can be read, the first ones of this seed."""
    found: list[Sizes] = []
    for changed in seeded_sizes(seed, 4 * count):
        if len(found) == count:
            break
        try:
            resolved_of(FOLIO, "imperial", changed)
        except DesignUnreadable:
            continue
        found.append(changed)
    return found


def report(works: Iterable[tuple[Path, str, Sizes]], title: str, workers: int) -> int:
    """Draw and print; returns the number of faults."""
    kinds: Counter[str] = Counter()
    drawn = faults = 0
    with ProcessPoolExecutor(max_workers=workers) as pool:
        for result in pool.map(job, works):
            if result is None:
                continue
            name, counted, found = result
            drawn += 1
            kinds += counted
            faults += len(found)
            for fault in found:
                print(f"{name} | {fault}", flush=True)
    print(f"{title}: {drawn} editions, {kinds.total()} figures, {faults} faults; {dict(kinds)}")
    return faults


def both(path: Path, changed: Sizes) -> Iterator[tuple[Path, str, Sizes]]:
    for edition in EDITIONS:
        yield path, edition, changed


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, default=0)
    parser.add_argument("--seed", type=int, default=2026)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--edition", choices=tuple(EDITIONS))
    parser.add_argument("--workers", type=int, default=2)
    wanted = parser.parse_args()
    faults = 0
    if not wanted.first:
        works = [work for path in designs() for work in both(path, {})]
        faults += report(works, "designs", wanted.workers)
    sizes = sized(wanted.seed, wanted.sizes)[wanted.first :]
    works = [
        work for each in sizes for work in both(FOLIO, each) if wanted.edition in (None, work[1])
    ]
    faults += report(works, f"{len(sizes)} sizes", wanted.workers)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
