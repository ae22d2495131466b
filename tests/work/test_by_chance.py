"""Nothing in the work comes from the order of a set, which differs from run to run."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

_ROOT = Path(__file__).parents[2]
_CODE = """
import hashlib
from tests.work.agreement import assemblies_of
from tests.work.designs import DESIGNS
from tests.work.played import work_of
from tests.work.ways_out import way_out
from gatherfold.work.turning import turned

told = []
for file in DESIGNS:
    if file.stem not in ("four-flaps", "hinged-album", "box-in-box", "sleeve-tray"):
        continue
    work = work_of(file)
    told += [str((m.step, m.operation, m.fresh, m.bonds)) for m in work.moments]
    told += [str(list(m.assembly.sides.items())) for m in work.moments]
    for assembly in list(assemblies_of(work))[::4]:
        for fold in assembly.creases:
            found = turned(assembly, fold, False)
            told.append(str(getattr(found, "by", "")) + str(getattr(found, "moving", "")))
        for piece in assembly.pieces[1:]:
            for way in ((0, 0, 1), (0, 1, 0)):
                told.append(str(way_out(assembly, piece, assembly.base, way, 0.0)))
print(hashlib.sha256(chr(10).join(told).encode()).hexdigest(), len(told))
"""


def test_two_runs_are_the_same() -> None:
    told = {
        subprocess.run(
            [sys.executable, "-c", _CODE],
            cwd=_ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("1", "2")
    }
    assert len(told) == 1, told
