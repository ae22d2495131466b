"""Writing: a folder of files, whole or not at all; the one place that writes to the disk."""

import os
import tempfile
from collections.abc import Mapping
from pathlib import Path


def write_files(folder: str | Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write the files into the folder, whole; earlier files stay until every new one is there.

    Everything is first written beside its place; only then is it moved there, file by file.  A
    name may hold a folder within the folder: ``sheets/night.svg``.

    >>> [path.name for path in write_files("out", {"a.txt": b"A", "notes/b.txt": b"B"})]
    ['a.txt', 'b.txt']
    """
    folder = Path(folder)
    folder.mkdir(parents=True, exist_ok=True)
    waiting: list[tuple[Path, Path]] = []
    try:
        for name, content in files.items():
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
            waiting.append((Path(temporary), place))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(temporary).chmod(0o644)
        for temporary_path, place in waiting:
            temporary_path.replace(place)
    finally:
        for temporary_path, _ in waiting:
            temporary_path.unlink(missing_ok=True)
    return [place for _, place in waiting]
