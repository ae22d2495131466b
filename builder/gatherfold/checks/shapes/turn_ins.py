"""Margins that are turned over and glued down: they meet at a corner, and do not make a lump.

In: the closed work.  Out: findings.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from itertools import combinations

from gatherfold.checks.report import finding_kind, in_words, tenth
from gatherfold.checks.shapes.laid import in_mm, is_broad, rounded
from gatherfold.findings import Finding
from gatherfold.geometry import Axis, common, crosses, ends_across
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, glued_down, shape_of, work_of

#: A board is so thick, and so much of a margin is glued behind it, in mm (common practice, no
#: source).
_BOARD, _GLUED = 1, 5
#: A corner of a cover laps by one and a half thicknesses of its board, so that this stays covered:
#: no more than this, in mm (common practice, no source).
_LAP = 4


def check_turn_ins(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Margins from opposite sides that reach over one another; and the corners at which two come
    together, those unlike the others."""
    work = work_of(resolved)
    for piece in resolved.pieces.values():
        yield from _from_both_sides(resolved, work.closed, piece)
        yield from _round_board(resolved, piece)
        corners = list(_corners(work.closed, piece))
        lumps = []
        for first, second in corners:
            one, two = (shape_of(work.closed.plates[face]) for face in (first, second))
            shared = in_mm(one.intersection(two), work.scale)
            if is_broad(shared, _LAP):
                lumps.append((first.face, second.face, shared))
        if 2 * len(lumps) < len(corners):
            for first_name, second_name, shared in lumps:
                left, bottom, right, top = shared.bounds
                grid = resolved.edition.grid
                size = rounded(right - left, grid), rounded(top - bottom, grid)
                told = {"first": first_name, "second": second_name}
                yield finding_kind("turn-ins-overlap").found(resolved, piece, size=size, **told)


def _from_both_sides(
    resolved: ResolvedDesign, closed: Assembly, piece: ResolvedPiece
) -> Iterator[Finding]:
    """Margins along parallel folds that together are wider than what they are turned over."""
    down = glued_down(closed)
    keys = ((FaceKey(piece.key, name), axis) for name, axis in _margins(piece))
    margins = [(closed.plates[key], axis) for key, axis in keys if key in down]
    for (one, axis), (two, other) in combinations(margins, 2):
        shared = common(one.bounds, two.bounds)
        if axis == other and one.shares_plane(two) and shared is not None:
            across = Fraction(min(shared.width, shared.height)) / work_of(resolved).scale
            told = {"first": one.key.face, "second": two.key.face}
            yield finding_kind("margins-overlap").found(resolved, piece, across=across, **told)


def _round_board(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """Margins of which too little is left to glue when they have gone round a board."""
    boards = [each.stock.caliper for each in resolved.pieces.values() if each.host == piece.key]
    if piece.host:
        boards.append(resolved.pieces[piece.host].stock.caliper)
    thickness = max(boards, default=Fraction(0))
    depths = ((name, ends_across(axis)[0]) for name, axis in _margins(piece))
    margins = {name: piece.face(name).box.across(edge) for name, edge in depths}
    if thickness < _BOARD or not margins:
        return
    name = min(margins, key=lambda each: margins[each])
    if margins[name] - thickness < _GLUED:
        told = {"margin": in_words(name), "board": tenth(thickness)}
        yield finding_kind("turn-in-too-short").found(resolved, piece, depth=margins[name], **told)


def _corners(closed: Assembly, piece: ResolvedPiece) -> Iterator[tuple[FaceKey, FaceKey]]:
    """Margins that fold along two sides which meet, and come to lie over the same corner but for
    what is cut off them."""
    margins = [(FaceKey(piece.key, name), axis) for name, axis in _margins(piece)]
    margins = [(face, axis) for face, axis in margins if face in closed.plates]
    for (first, axis), (second, other) in combinations(margins, 2):
        one, two = closed.plates[first], closed.plates[second]
        if axis != other and one.shares_plane(two) and crosses(one.bounds, two.bounds):
            yield first, second


def _margins(piece: ResolvedPiece) -> Iterator[tuple[str, Axis]]:
    """The sections that are turned right over and glued down all over, and how their folds run."""
    plain = {join.face for join in piece.joins} | {tab.name for tab in piece.source.tabs}
    dry = piece.source.dry_sections
    other = {*plain, *dry, *(seam.section for seam in piece.seams)}
    for staying, hanging, score in piece.folds_outward():
        if score.closed == 180 and hanging not in other and staying not in dry:
            yield hanging, score.axis
