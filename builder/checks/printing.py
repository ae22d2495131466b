"""Prints with a direction must stand upright where the finished thing is seen."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from builder.checks.report import found
from builder.choices import has_direction
from builder.findings import Finding, Severity
from builder.resolve.resolved import ResolvedDesign
from builder.sheet_places import print_of
from builder.work import Assembly, FaceKey, Work, work_of
from builder.work.closing import Turn
from builder.work.visible import Look, is_seen, visible_parts

_FRONT = Look(2, 1)


def check_printing(resolved: ResolvedDesign) -> Iterator[Finding]:
    """A printed face is read when it looks at the reader: its up must then be the page's up.

    It is looked at first with everything closed, then as leaf after leaf is opened: the first time
    that it shows counts.
    """
    left = {key for key, piece in resolved.pieces.items() if has_direction(print_of(piece))}
    states = list(_states(work_of(resolved))) if left else []
    # Whether it shows takes long to find out, and what is upright whenever it could needs no more.
    left &= {key.piece for _, assembly in states for key in _looking_up(assembly, left, False)}
    for state, assembly in states:
        looking = list(_looking_up(assembly, left))
        parts = visible_parts(assembly, _FRONT, looking)
        shown = [key for key in looking if is_seen(parts[key])]
        turned = set(_looking_up(assembly, left, False))
        left -= {key.piece for key in shown}
        for key in (key for key in shown if key in turned):
            yield found(
                resolved,
                Severity.ERROR,
                "sideways-print",
                resolved.pieces[key.piece].source.position,
                f"the print of '{key.piece}' does not stand upright when {state}",
                "Turn the piece ('turned: 180' and so on), or choose a side without direction.",
            )


def _looking_up(
    assembly: Assembly, pieces: Collection[str], is_upright: bool | None = None
) -> Iterator[FaceKey]:
    """The faces of some pieces that look at the reader, all or those that are upright, or not."""
    for key, plate in assembly.plates.items():
        if key.piece in pieces and plate.axis == _FRONT.axis and plate.facing > 0:
            way = plate.pose.direction((0, 1, 0)) == (0, 1, 0)
            if is_upright in (None, way):
                yield key


def _states(work: Work) -> Iterator[tuple[str, Assembly]]:
    """What is looked at from the front: all closed, then with what closes last open again, …"""
    yield "the piece is closed", work.closed
    for motion in reversed(work.closing):
        if isinstance(motion, Turn):
            yield f"'{motion.fold.piece}' is open", motion.before
    yield "the piece is open", work.opened
