"""Brads, eyelets and magnets: far enough from edges, long enough, through every layer between.

The limits are common practice, no source: a hole keeps its own diameter of paper between its rim
and an edge, and the legs of a brad need a quarter of an inch beyond the layers to spread.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.outline import Point
from builder.lengths import INCH, up_to_grid
from builder.resolve.resolved import (
    Hole,
    PlacedFace,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
)

_LEGS_SPREAD = INCH / 4


def check_fastenings(resolved: ResolvedDesign) -> Iterator[Finding]:
    for fastening in resolved.fastenings.values():
        if fastening.point is None:
            continue
        for key in fastening.source.through:
            yield from _near_edge(resolved, fastening, resolved.pieces[key])
        yield from _short_legs(resolved, fastening)
        yield from _missed_layers(resolved, fastening)


def _hole_of(piece: ResolvedPiece, fastening: ResolvedFastening) -> Hole | None:
    return next((hole for hole in piece.holes if hole.fastening == fastening.key), None)


def _near_edge(
    resolved: ResolvedDesign, fastening: ResolvedFastening, piece: ResolvedPiece
) -> Iterator[Finding]:
    hole = _hole_of(piece, fastening)
    if hole is None:
        return
    distance = min(
        hole.centre.x,
        hole.centre.y,
        piece.width - hole.centre.x,
        piece.height - hole.centre.y,
    )
    least = hole.diameter * 3 / 2
    if distance < least:
        units = resolved.edition.units
        wanted = up_to_grid(least, resolved.edition.grid)
        yield found(
            resolved,
            Severity.ERROR,
            "hole-near-edge",
            fastening.source.position,
            f"'{fastening.key}' pierces '{piece.key}' {units.text(distance)} from its edge; the "
            "paper may tear",
            f"Keep the centre at least {units.text(wanted)} from every edge.",
            distance=distance,
            wanted=wanted,
        )


def _short_legs(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    if fastening.source.kind != "brad":
        return
    stack = sum(
        (resolved.pieces[key].stock.caliper for key in fastening.source.through), Fraction(0)
    )
    if fastening.leg < stack + _LEGS_SPREAD:
        units = resolved.edition.units
        wanted = up_to_grid(stack + _LEGS_SPREAD, resolved.edition.grid)
        yield found(
            resolved,
            Severity.ERROR,
            "legs-too-short",
            fastening.source.position,
            f"the legs of '{fastening.key}' are too short to spread behind "
            f"{len(fastening.source.through)} layers",
            f"Use legs of at least {units.text(wanted)}.",
            wanted=wanted,
        )


def _missed_layers(resolved: ResolvedDesign, fastening: ResolvedFastening) -> Iterator[Finding]:
    """Layers that lie between those it goes through, at its place, and are not pierced."""
    faces = resolved.states["flat"].faces
    place = _place_in_space(resolved, fastening)
    if place is None:
        return
    through = [
        face
        for face in faces
        if face.piece in fastening.source.through and _covers(resolved, face, place)
    ]
    if len(through) < 2:
        return
    low = min(face.order for face in through)
    high = max(face.order for face in through)
    for face in faces:
        between = low < face.order < high and face.piece not in fastening.source.through
        if between and _covers(resolved, face, place):
            yield found(
                resolved,
                Severity.ERROR,
                "layer-not-pierced",
                fastening.source.position,
                f"'{face.piece}' lies between the layers that '{fastening.key}' goes through",
                f"Add '{face.piece}' to 'through', or move the fastening.",
            )


def _place_in_space(
    resolved: ResolvedDesign, fastening: ResolvedFastening
) -> tuple[Fraction, Fraction, Fraction] | None:
    first = resolved.pieces[fastening.source.through[0]]
    point = fastening.point
    for face in resolved.states["flat"].faces:
        if face.piece != first.key or point is None:
            continue
        if first.face(face.face).box.contains(point):
            return face.pose.apply(point.x, point.y)
    return None


def _covers(
    resolved: ResolvedDesign, face: PlacedFace, place: tuple[Fraction, Fraction, Fraction]
) -> bool:
    x, y, z = face.pose.undo(place)
    return z == 0 and resolved.pieces[face.piece].face(face.face).box.contains(Point(x, y))
