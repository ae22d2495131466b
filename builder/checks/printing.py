"""Prints with a direction must stand upright where the finished thing is seen."""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.choices import has_direction
from builder.findings import Finding, Severity
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.sheet_places import print_of

_UP = (0, 1, 0)


def check_printing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A printed face is read when it looks at the reader: its up must then be the page's up.

    A mat on the back of a flap is read when the flap is closed, one on its front when it is open.
    """
    seen: set[str] = set()
    for state in (resolved.states["closed"], resolved.states["open"]):
        for face in state.faces:
            piece = resolved.pieces[face.piece]
            if face.piece in seen or not has_direction(print_of(piece)) or not _is_read(face):
                continue
            seen.add(face.piece)
            if face.pose.upward != _UP:
                yield found(
                    resolved,
                    Severity.ERROR,
                    "sideways-print",
                    piece.source.position,
                    f"the print of '{face.piece}' does not stand upright when the piece is "
                    f"{state.name}",
                    "Turn the piece ('turned: 180' and so on), or choose a side without direction.",
                )


def _is_read(face: PlacedFace) -> bool:
    """Whether the face looks at the reader of the front."""
    return face.pose.normal == (0, 0, 1)
