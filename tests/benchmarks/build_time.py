"""How long a whole build takes, against WeasyPrint alone on the same HTML and figures.

Run: ``python -m tests.benchmarks.build_time [DESIGN.yaml]``.  Prints the wall time of the command
(both editions, a fresh process), the time WeasyPrint needs in one process for the two composed
documents with their figures ready, and the ratio.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path

from gatherfold.documents.compose import compose
from gatherfold.documents.figure_set import draw_figures
from gatherfold.documents.page import read_page
from gatherfold.documents.typeset import typeset
from gatherfold.documents.view import document_view
from gatherfold.editions import check_edition, computed_of
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.wording import load_wording


def whole_build(design: Path) -> float:
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "gatherfold", "build", str(design), "--out", folder]
        started = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        return time.perf_counter() - started


def weasyprint_alone(path: Path) -> float:
    design = read_design_file(path)
    layout = LAYOUTS / design.layout
    total = 0.0
    for edition in EDITIONS.values():
        checked = check_edition(design, edition)
        resolved, plans = checked.resolved, checked.plans
        computed, page = computed_of(checked), read_page(layout, edition)
        figures = draw_figures(resolved, plans, computed.rows, lambda text: None, page)
        html = compose(document_view(computed, figures, load_wording(), page.parts), layout, page)
        started = time.perf_counter()
        typeset(html, layout, figures.by_address, page.style, path.parent)
        total += time.perf_counter() - started
    return total


def main() -> None:
    design = Path(sys.argv[1]) if len(sys.argv) > 1 else DESIGNS / "observatory-folio.yaml"
    alone = weasyprint_alone(design)
    build = whole_build(design)
    print(f"WeasyPrint alone, both editions: {alone:.2f} s")
    print(f"whole build, both editions:      {build:.2f} s")
    print(f"ratio:                           {build / alone:.2f}")


if __name__ == "__main__":
    main()
