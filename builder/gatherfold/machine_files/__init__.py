"""Files for a cutting machine: one SVG and one DXF for each different sheet and for each piece.

In: a resolved design and its sheet plans.  Out: file names and bytes; nothing is written here.
"""

from collections.abc import Mapping

from gatherfold.machine_files.dxf import dxf_file
from gatherfold.machine_files.scenes import piece_scenes, sheet_scenes
from gatherfold.machine_files.svg import svg_file
from gatherfold.plans import StockPlan
from gatherfold.resolve import ResolvedDesign


def machine_files(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> dict[str, bytes]:
    """``sheet-STOCK-NUMBER`` and ``piece-KEY``, each as .svg and as .dxf."""
    files: dict[str, bytes] = {}
    for scene in (*sheet_scenes(resolved, plans), *piece_scenes(resolved)):
        files[f"{scene.stem}.svg"] = svg_file(scene)
        files[f"{scene.stem}.dxf"] = dxf_file(scene)
    return files
