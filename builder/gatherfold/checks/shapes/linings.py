"""Linings: they end within every section that they line, and only under what is closed over them.

In: pieces as they are laid, and the closed work.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import unary_union

from gatherfold.checks.making.stages import relation_of, without_seals
from gatherfold.checks.report import finding_kind, in_words
from gatherfold.checks.shapes.laid import Resting, in_mm, is_broad, parts_of_shape, rounded
from gatherfold.findings import Finding
from gatherfold.geometry import EdgeName, ends_across, is_vertical
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import Assembly, Crease, FaceKey, host_side, shape_of, work_of

#: What covers so much of what is seen beside a pocket lines it.
_LINES = 1 / 3
_EDGES: tuple[EdgeName, ...] = ("left", "bottom", "right", "top")


def check_linings(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """One piece that may line what it is glued on."""
    source = laid.piece.source
    if laid.is_glued and laid.faces and source.has(Trait.WITHIN_HOST) and source.has(Trait.SHOWS):
        yield from _beyond_section(resolved, laid)
        yield from _short_of_pocket(resolved, laid)


def _beyond_section(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """A section besides the one that is placed, which is larger than what it lines."""
    for key in (key for key in laid.faces if key.face != laid.piece.by):
        own = laid.seen(key)
        shared = {face: laid.seen(face).intersection(own).area for face in laid.host_faces}
        under = max(shared, key=lambda face: shared[face])
        rooms = sorted(_rooms(laid, key, under), key=lambda each: each[1])
        for edge, room in rooms[:1] if 2 * shared[under] > own.area else ():
            told = {"section": in_words(key.face), "edge": edge, "host": in_words(under.face)}
            grid, tolerance = resolved.edition.grid, resolved.tolerance
            if -room > tolerance:
                yield finding_kind("overhang, section").found(
                    resolved, laid.piece, **told, other=under.piece, beyond=rounded(-room, grid)
                )
            elif room < tolerance and rooms[-1][1] - rooms[1][1] < tolerance < rooms[1][1]:
                left = rounded(rooms[1][1], grid)
                yield finding_kind("uneven-reveal, section").found(
                    resolved, laid.piece, **told, left=left
                )


def _rooms(laid: Resting, key: FaceKey, under: FaceKey) -> Iterator[tuple[EdgeName, float]]:
    """How far a section ends within what it lines, at each edge that is one of the whole piece."""
    own, ground, whole = (each.bounds for each in (laid.seen(key), laid.seen(under), laid.shape))
    for number, edge in enumerate(_EDGES):
        if own[number] == whole[number]:
            inward = own[number] - ground[number]
            yield edge, inward if number < 2 else -inward


def _short_of_pocket(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """Where a section is closed for good over one end of what is lined, it hides the end of the
    lining: nothing lies bare between the two, nor in a notch of that."""
    closed = without_seals(resolved, work_of(resolved).closed)
    pockets = list(_closed_over(closed, laid))
    shapes = [shape_of(closed.plates[crease.hanging]) for crease in pockets]
    if not pockets or laid.piece.offsets is None:
        return
    seen = shape_of(closed.plates[laid.on]).difference(unary_union(shapes))
    lining = shape_of(closed.plates[FaceKey(laid.piece.key, laid.piece.by)])
    if lining.intersection(seen).area < _LINES * seen.area:
        return
    for crease, pocket in zip(pockets, shapes, strict=True):
        sides = ends_across("horizontal" if is_vertical(crease.axis) else "vertical")
        slack = max(2 * resolved.tolerance, *(laid.piece.offsets.at(edge) for edge in sides))
        bare = seen.difference(lining.buffer(float(slack * laid.scale), join_style="mitre"))
        beside = [each for each in parts_of_shape(bare) if each.distance(pocket) < 1]
        least = float(2 * resolved.tolerance)
        if any(is_broad(in_mm(each, laid.scale), least) for each in beside):
            told = {"section": in_words(crease.hanging.face), "host": laid.host.key}
            yield finding_kind("lining-too-short").found(resolved, laid.piece, **told)


def _closed_over(closed: Assembly, laid: Resting) -> Iterator[Crease]:
    """The sections of the host that lie over the lined face for good, on the side of the lining."""
    side = host_side(relation_of(laid.piece))
    if laid.on not in closed.plates:
        return
    for fold, crease in closed.creases.items():
        is_over = crease.staying == laid.on and closed.side_of(laid.on, crease.hanging) == side
        if is_over and closed.is_locked(fold):
            yield crease
