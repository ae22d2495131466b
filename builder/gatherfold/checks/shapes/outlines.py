"""A piece within the true outline of what it lies on: corners, thumb notches, holes, edges.

In: pieces as they are laid.  Out: findings.  How far rectangles reach is a condition of ``layout``
for pieces that must keep within their host; here corners count as they are cut, for every piece.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely import Point

from gatherfold.checks.report import as_typed, finding_kind, with_all_on
from gatherfold.checks.shapes.laid import (
    Resting,
    corner_near,
    fits_within,
    is_broad,
    notches,
    parts_of_shape,
    reach_beyond,
    rounded,
)
from gatherfold.findings import Finding
from gatherfold.geometry import AXES, EDGES, ends_across, is_upright
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece

#: Of a notch or a hole so much may be covered before it is worth a word.
_COVERED = 0.1


def check_outlines(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """One piece against the outline of what it lies on."""
    if laid.piece.is_in_pocket or not laid.faces or not laid.is_glued:
        return
    yield from _misplaced(resolved, laid)
    yield from _too_narrow(resolved, laid.piece)
    yield from _over_notches(resolved, laid)
    yield from _over_holes(resolved, laid)
    if laid.host.is_shaped and fits_within(laid.shape, laid.ground, float(resolved.tolerance)):
        yield from _beyond_corners(resolved, laid)


def _beyond_corners(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """A corner that stands out where the host is cut away: the one that does so most."""
    tolerance = float(resolved.tolerance)
    bitten = [notch.shape for notch in notches(laid.host)]
    parts = [
        (reach_beyond(part, laid.ground), part)
        for part in parts_of_shape(laid.shape.difference(laid.ground))
        if is_broad(part, tolerance / 2) and not any(part.intersects(bite) for bite in bitten)
    ]
    beyond, part = max(parts, key=lambda each: each[0], default=(0.0, None))
    if part is not None and beyond > tolerance:
        face = min(laid.host_faces, key=lambda key: laid.seen(key).distance(part))
        where = f"'{face.piece}'" if len(laid.host.faces) == 1 else f"'{face}'"
        corner, told = corner_near(part, laid.seen(face)), rounded(beyond, resolved.edition.grid)
        yield finding_kind("corner-stands-out").found(
            resolved, laid.piece, where=where, corner=corner, beyond=told
        )


def _over_notches(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    for notch in notches(laid.host):
        if laid.shape.intersection(notch.shape).area > _COVERED * notch.shape.area:
            yield finding_kind("notch-covered").found(
                resolved, laid.piece, host=laid.host.key, edge=notch.edge, radius=notch.radius
            )


def _over_holes(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """A hole that nothing is set in is there for a ribbon or a string, or to be looked through."""
    free = [hole for hole in laid.host.holes if hole.fastening is None]
    if not free:
        return
    paper = laid.shape
    for opening in laid.own_holes():
        paper = paper.difference(opening)
    for hole in free:
        disc = Point(float(hole.centre.x), float(hole.centre.y)).buffer(float(hole.diameter) / 2)
        if paper.intersection(disc).area > _COVERED * disc.area:
            yield finding_kind("hole-covered").found(resolved, laid.piece, host=laid.host.key)
            return


def _too_narrow(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """What carries, loose, a piece that is wider than it, and has the room to be as wide."""
    for number, axis in enumerate(AXES):
        ends = ends_across(axis)
        if piece.offsets is None or not all(piece.offsets.at(edge) < 0 for edge in ends):
            continue
        extent = piece.laid_size[number]
        for bearer in map(resolved.pieces.__getitem__, resolved.hosts_of(piece.key)):
            placement, own = bearer.source.placement, bearer.laid_size[number]
            if placement is None or bearer.glued or own >= extent:
                continue
            room = resolved.pieces[placement.host].face(bearer.host_face).box.across(ends[0])
            if room >= extent:
                sizes, way = {"own": own, "extent": extent, "room": room}, ("wide", "high")[number]
                words, about = {"load": piece.key, "way": way}, with_all_on(resolved, bearer.key)
                yield finding_kind("narrower-than-load").found(
                    resolved, bearer, about, **sizes, **words, host=placement.host
                )


def _misplaced(resolved: ResolvedDesign, laid: Resting) -> Iterator[Finding]:
    """What would have room on its host and reaches beyond it all the same, at an edge from which
    the design gives no distance: a distance below nought is meant."""
    piece, placement = laid.piece, laid.piece.source.placement
    if piece.source.has(Trait.WITHIN_HOST) or piece.offsets is None or placement is None:
        return
    face = laid.host.face(piece.host_face).box
    for edge in EDGES:
        size = piece.laid_size[0 if is_upright(edge) else 1]
        room, beyond = face.across(edge) - size, -piece.offsets.at(edge)
        if beyond > resolved.tolerance and room >= 0 and edge not in placement.distances:
            typed = as_typed(beyond, resolved)
            told = {"host": laid.host.key, "edge": edge, "typed": typed}
            yield finding_kind("overhang, misplaced").found(resolved, piece, beyond=beyond, **told)
