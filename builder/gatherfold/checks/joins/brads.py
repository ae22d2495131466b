"""Legs of fastenings have to open somewhere.

In: fastenings and the assembly that each is set in.  Out: legs that would open between layers that
are glued together already.
"""

from collections.abc import Iterator

from gatherfold.checks.joins.folded import glue_among
from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import FaceKey, Stack, setting_of, stack_in, work_of


def check_brads(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every fastening with legs that goes through something."""
    for fastening in resolved.fastenings.values():
        source = fastening.source
        has_legs = source.fastener.spread is not None
        if has_legs and source.through and fastening.point is not None:
            yield from _no_room(resolved, fastening)


def _no_room(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    """A layer glued behind the last one that a fastening goes through, at its place."""
    work = work_of(resolved)
    setting = setting_of(work, fastening.key)
    stack = stack_in(work, setting, fastening.key)
    if stack is None or len(stack.through) < max(2, len(fastening.source.through)):
        return
    last = stack.through[-1]
    glued = {frozenset(bond.faces) for bond in glue_among(setting.bonds)}
    for behind in _next_behind(stack):
        if frozenset((last, behind)) in glued:
            told = {"last": last.piece, "behind": behind.piece}
            yield finding_kind("legs-between-layers").found(resolved, fastening, **told)


def _next_behind(stack: Stack) -> tuple[FaceKey, ...]:
    """The layer that lies next to the last one that a fastening goes through, if there is one."""
    layers = stack.beyond_last
    return layers[-1:] if stack.head_is_high else layers[:1]
