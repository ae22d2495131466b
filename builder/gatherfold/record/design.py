"""The record of a whole design: what names it, and the record of each edition.

In: a design and its editions' records.  Out: data, as a build writes it as JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from gatherfold import __version__
from gatherfold.model.design import Design


def design_record(design: Design, editions: Mapping[str, dict[str, Any]]) -> dict[str, Any]:
    """All data of a design."""
    return {
        "title": design.title,
        "revision": design.revision,
        "date": design.date,
        "native": design.native,
        "author": design.author,
        "language": design.language,
        "checksum": design.checksum,
        "version": __version__,
        "changes": dict(design.changes),
        "editions": dict(editions),
    }
