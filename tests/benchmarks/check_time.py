"""How long checking takes, and how that grows with the number of pieces.

Run: ``python -m tests.benchmarks.check_time [N …]``.  Albums of 50, 200 and 800 pieces are made
up; resolving, settling the other edition and checking are timed one by one, the best of three
runs, each beside the time that n·log₂ n predicts from the smallest album.  Then the shipped folio
in both editions.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import count, islice

from gatherfold.checks import check_all
from gatherfold.model.design import Design
from gatherfold.native_edition import settle
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import Edition, resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC
from gatherfold.shipped import DESIGNS
from gatherfold.work import pierced

SIZES = (50, 200, 800)
_RUNS = 3
_IN_A_ROW = 6

_HEAD = """\
title: Album
units: inch
measures:
  page_size: {value: 8 x 8, metric: 203 mm x 203 mm}
  reveal: 1/8
  gusset: 3/4
  tab: 3/4
  deep: 8
  flap: {value: 5 x 5, metric: 127 mm x 127 mm}
  photo: {value: 3 x 2, metric: 77 mm x 51 mm}
  pocket: 2
  tape_width: {actual: 1/4}
  tape: grid_up(tape_width)
  ease: 1/8
  filler: (flap.width - 2 * reveal - photo.width) / 2
stocks:
  card: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  white: {material: cardstock, weight: 65 lb cover, sheet: 12 in x 12 in}
  print: {material: paper, weight: 190 g/m2, sheet: 12 in x 12 in}
supplies:
  tape_roll: {kind: tape, width: 1/4 in, roll: 1000 in}
pieces:
"""


def album(pieces: int) -> str:
    """A design of so many pieces: rows of pages, folded to and fro like a map; each page has mats
    on both sides, a brad, and a flap that carries a photo mat, strips and a pocket."""
    written = dict(islice(_pieces(), pieces))
    brads = [name.removeprefix("back_mat_") for name in written if name.startswith("back_mat_")]
    lines = [_HEAD, *(f"  {name}: {{{text}}}\n" for name, text in written.items())]
    lines.append("fastenings:\n" if brads else "")
    lines += [
        f"  brad_{number}: {{kind: brad, head: 1/4 in, leg: 3/8 in, "
        f"through: 'mat_{number}, page_{number}', left: 1 1/4, bottom: 1 1/4}}\n"
        for number in brads
    ]
    lines.append(f"closing: [{', '.join(_closing(written))}]\n")
    lines += _steps(written, brads)
    return "".join(lines)


def _pieces() -> Iterator[tuple[str, str]]:
    for number in count():
        yield from _page(number)


def _page(number: int) -> Iterator[tuple[str, str]]:
    """The pieces of one page and what joins it to the page before: name and fields."""
    page, flap, mat = f"page_{number}", f"flap_{number}", f"flap_mat_{number}"
    row, column = divmod(number, _IN_A_ROW)
    spine, fold = f"spine_{number}", "valley" if (column or row) % 2 else "mountain"
    if number == 0:
        yield page, "as: panel, from: card, size: page_size"
    elif column:
        yield (
            spine,
            f"as: spine, from: card, fold: {fold}, height: page_size.height, "
            "across: {near: tab, gusset: gusset, far: tab}, "
            f"behind: page_{number - 1}, by: far, left: 0",
        )
        yield page, f"as: panel, from: card, size: page_size, on: {spine}.near, right: 0"
    else:
        yield (
            spine,
            f"as: spine, from: card, fold: {fold}, width: page_size.width, "
            "up: {near: tab, gusset: deep, far: tab}, "
            f"behind: page_{number - _IN_A_ROW}, by: far, bottom: 0",
        )
        yield page, f"as: panel, from: card, size: page_size, on: {spine}.near, top: 0"
    yield f"mat_{number}", f"as: mat, from: print, on: {page}, leaving: reveal"
    yield (
        f"hinge_{number}",
        "as: hinge, from: card, width: flap.width, "
        "up: {cover_tab: tab, gusset: reveal, flap_tab: tab}, "
        f"on: mat_{number}, by: cover_tab, top: 1",
    )
    yield f"back_mat_{number}", f"as: mat, from: print, on_back: {page}, leaving: reveal"
    yield flap, f"as: flap, from: card, size: flap, behind: hinge_{number}.flap_tab, bottom: 0"
    yield mat, f"as: mat, from: print, on: {flap}, leaving: reveal"
    yield f"photo_{number}", f"as: photo mat, from: white, size: photo, on: {mat}, top: 1/4"
    for side in ("left", "right"):
        yield (
            f"{side}_strip_{number}",
            f"as: strip, from: print, width: filler, height: photo.height, on: {mat}, "
            f"{side}: 0, top: 1/4",
        )
    yield (
        f"pocket_{number}",
        f"as: pocket, from: card, width: {mat}.width, height: pocket, on: {mat}, bottom: 0, "
        "glue: 'left, bottom, right'",
    )
    yield (
        f"tag_{number}",
        f"as: tag, from: white, width: {mat}.width - 2 * tape - 2 * ease, height: pocket, "
        f"inside: pocket_{number}, bottom: tape",
    )


def _closing(names: Iterable[str]) -> list[str]:
    """Flaps first; then the pages of each row, from the last to the first; then the rows."""
    hinges = [name for name in names if name.startswith("hinge_")]
    spines = [name for name in reversed(list(names)) if name.startswith("spine_")]
    spines.sort(key=lambda name: int(name[6:]) % _IN_A_ROW == 0)
    return [*hinges, *spines]


def _steps(names: Iterable[str], brads: Sequence[str]) -> Iterator[str]:
    folded = ", ".join(_closing(names))
    yield "steps:\n  - {title: Cut, text: Cut all pieces., cut: all}\n"
    yield f"  - {{title: Score, text: Score and fold., score: '{folded}', fold: '{folded}'}}\n"
    pages: dict[str, list[str]] = {}
    for name in names:
        pages.setdefault(name.rpartition("_")[2], []).append(name)
    for number, own in pages.items():
        first = [name for name in own if name.startswith(("spine", "page_", "hinge", "mat"))]
        then = [name for name in own if name not in first and not name.startswith("tag")]
        first = [name for name in first if name != "page_0"]
        fasten = f"fasten: brad_{number}, " if number in brads else ""
        for title, glued, more in (("Join", first, fasten), ("Fill", then, "")):
            if glued:
                these = ", ".join(glued)
                yield (
                    f"  - {{title: {title} page {number}, text: Glue., {more}"
                    f"dry_fit: '{these}', attach: '{these}'}}\n"
                )
    tags = ", ".join(name for name in names if name.startswith("tag_"))
    if tags:
        yield f"  - {{title: Slide in, text: Slide the tags in., insert: '{tags}'}}\n"


def best(run: Callable[[], object]) -> float:
    """The shortest of a few runs, in seconds."""
    times = []
    for _ in range(_RUNS):
        started = time.perf_counter()
        run()
        times.append(time.perf_counter() - started)
    return min(times)


def times_of(design: Design, edition: Edition) -> dict[str, float]:
    settled = settle(design, edition)
    return {
        "resolve": best(lambda: pierced(resolve(design, edition))),
        "settle": best(lambda: settle(design, edition)),
        "check_all": best(lambda: check_all(settled.resolved, {}, settled.findings)),
    }


def main() -> None:
    sizes = [int(text) for text in sys.argv[1:]] or list(SIZES)
    smallest: dict[tuple[str, str], float] = {}
    print(f"{'pieces':>6}  {'edition':8}  {'stage':9}  {'ms':>8}  {'of n·log n':>10}")
    for pieces in sizes:
        design = read_design(album(pieces).encode(), "album.yaml")
        for edition in (IMPERIAL, METRIC):
            for stage, seconds in times_of(design, edition).items():
                first = smallest.setdefault((edition.name, stage), seconds)
                growth = pieces * math.log2(pieces) / (sizes[0] * math.log2(sizes[0]))
                print(
                    f"{pieces:6}  {edition.name:8}  {stage:9}  {1000 * seconds:8.1f}  "
                    f"{seconds / first / growth:10.2f}"
                )
    folio = read_design_file(DESIGNS / "observatory-folio.yaml")
    for edition in EDITIONS.values():
        taken = times_of(folio, edition)
        parts = ", ".join(f"{stage} {1000 * seconds:.0f} ms" for stage, seconds in taken.items())
        print(f"shipped folio, {edition.name}: {parts}")


if __name__ == "__main__":
    main()
