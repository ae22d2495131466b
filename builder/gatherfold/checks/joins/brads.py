"""Fastenings that have to let something swing, and legs that have to open somewhere.

In: fastenings and the assembly that each is set in.  Out: a latch that its brad pins down, and legs
that would open between layers that are glued together already.
"""

from collections.abc import Iterator

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import Work, setting_of, stack_in, work_of


def check_brads(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every fastening that goes through something."""
    work = work_of(resolved)
    for fastening in resolved.fastenings.values():
        if fastening.point is None or not fastening.source.through:
            continue
        yield from _pinned(resolved, fastening)
        if fastening.source.fastener.spread is not None:
            yield from _no_room(resolved, work, fastening)


def _pinned(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    """A loose tab that holds another piece shut, on a fastening that is no pivot."""
    source = fastening.source
    tab = resolved.pieces[source.through[0]]
    is_loose = tab.source.placement is not None and not tab.glued
    holds_piece = source.holds in resolved.pieces
    if is_loose and holds_piece and not source.pivot and source.fastener.spread is not None:
        yield finding_kind("latch-pinned").found(
            resolved, fastening, held=source.holds or "", tab=tab.key
        )


def _no_room(
    resolved: ResolvedDesign, work: Work, fastening: ResolvedFastening
) -> Iterator[Finding]:
    """A layer glued behind the last one that a fastening goes through, at its place."""
    setting = setting_of(work, fastening.key)
    stack = stack_in(work, setting, fastening.key)
    if stack is None or len(stack.through) < len(fastening.source.through):
        return
    last, layers = stack.through[-1], stack.beyond_last
    if not layers or len(stack.through) < 2:
        return
    behind = layers[-1] if stack.head_is_high else layers[0]
    bonds = (bond for bond in setting.bonds if bond.kind == "glue")
    if any({last, behind} == set(bond.faces) for bond in bonds):
        told = {"last": last.piece, "behind": behind.piece}
        yield finding_kind("legs-between-layers").found(resolved, fastening, **told)
