"""Prints with a direction must stand upright where the finished thing is seen."""

from __future__ import annotations

from collections.abc import Iterator

from builder.checks.report import found
from builder.choices import has_direction
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign
from builder.sheet_places import print_of
from builder.work import Assembly, Work, work_of
from builder.work.closing import Turn
from builder.work.visible import Look, is_seen, visible_parts

_FRONT = Look(2, 1)


def check_printing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A printed face is read when it looks at the reader: its up must then be the page's up.

    It is looked at first with everything closed, then as leaf after leaf is opened: the first time
    that it shows counts.
    """
    left = {key for key, piece in resolved.pieces.items() if has_direction(print_of(piece))}
    for state, assembly in _states(work_of(resolved)) if left else ():
        printed = {
            key for key, plate in assembly.plates.items() if key.piece in left and plate.facing > 0
        }
        parts = visible_parts(assembly, _FRONT, printed)
        shown = {key for key, part in parts.items() if is_seen(part)}
        for key in sorted(shown, key=lambda key: list(resolved.pieces).index(key.piece)):
            if key.piece not in left:
                continue
            left.discard(key.piece)
            if assembly.plates[key].pose.direction((0, 1, 0)) != (0, 1, 0):
                yield found(
                    resolved,
                    Severity.ERROR,
                    "sideways-print",
                    resolved.pieces[key.piece].source.position,
                    f"the print of '{key.piece}' does not stand upright when {state}",
                    "Turn the piece ('turned: 180' and so on), or choose a side without direction.",
                )


def _states(work: Work) -> Iterator[tuple[str, Assembly]]:
    """What is looked at from the front: all closed, then with what closes last open again, …"""
    yield "the piece is closed", work.closed
    for motion in reversed(work.closing):
        if isinstance(motion, Turn):
            yield f"'{motion.fold.piece}' is open", motion.before
    yield "the piece is open", work.opened
