"""Writing results: all files of a build, or none of them."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write the files into the folder, whole; earlier files stay until every new one is there.

    Everything is first written beside its place; only then is it moved there, file by file.
    """
    folder.mkdir(parents=True, exist_ok=True)
    waiting: list[tuple[Path, Path]] = []
    try:
        for name, content in files.items():
            handle, temporary = tempfile.mkstemp(prefix=f".{name}.", dir=folder)
            waiting.append((Path(temporary), folder / name))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(temporary).chmod(0o644)
        for temporary_path, place in waiting:
            temporary_path.replace(place)
    finally:
        for temporary_path, _ in waiting:
            temporary_path.unlink(missing_ok=True)
    return [place for _, place in waiting]
