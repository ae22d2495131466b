"""A tab that turns on its fastening: free to swing, and able to hold shut what it is to hold.

The first piece that a pivot goes through is the tab.  Seen in the flat work, nothing may stick it
down or stand in the disc that it sweeps; in the closed state it must lap over the piece that its
pivot ``holds`` in one position and clear it in another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.checks.flat_work import End, FlatWork, ends_reaching, glue_reaching
from builder.checks.glue_zones import seen_by
from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.areas import common, crosses, distance_squared, inflated
from builder.geometry.outline import Arc, Box, Outline, Point
from builder.geometry.pose import shifted, turned
from builder.lengths import INCH, up_to_grid
from builder.resolve.placement import folds_outward, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedFastening, ResolvedPiece

#: How far a tab laps over what it holds (common practice, no source).
_LAP = INCH / 4


def check_moving(resolved: ResolvedDesign) -> Iterator[Finding]:
    pivots = [
        fastening
        for fastening in resolved.fastenings.values()
        if fastening.source.pivot and fastening.point is not None
    ]
    if not pivots:
        return
    work = FlatWork(resolved)
    for pivot in pivots:
        tab = resolved.pieces[pivot.source.through[0]]
        if tab.glue.edges:
            yield _glued(resolved, pivot, tab)
        yield from _in_the_sweep(work, pivot, tab)
        held = resolved.pieces.get(pivot.source.holds or "")
        if held is not None:
            yield from _closure(resolved, pivot, tab, held)


def _glued(resolved: ResolvedDesign, pivot: ResolvedFastening, tab: ResolvedPiece) -> Finding:
    return found(
        resolved,
        Severity.ERROR,
        "glued-moving-part",
        tab.source.position,
        f"'{tab.key}' turns on '{pivot.key}', and it is glued down",
        f"Write 'glue: none' for '{tab.key}'.",
    )


def _in_the_sweep(
    work: FlatWork, pivot: ResolvedFastening, tab: ResolvedPiece
) -> Iterator[Finding]:
    """What reaches the level of the tab within the disc that it sweeps."""
    assert pivot.point is not None
    if pivot.key not in work.pierced or work.layer_of(tab.key) is None:
        return
    centre, layers = work.pierced[pivot.key]
    loose = set(tree_of(work.resolved).below(tab.key))
    reach = reach_squared(tab.outline, pivot.point)
    around = _square_holding(centre, reach)
    radius = around.width / 2
    glue = glue_reaching(work, layers[0], around, loose)
    blocked = {key: radius for key, part in glue if distance_squared(centre, part) < reach}
    for end in ends_reaching(work, layers[0], around, loose):
        if end.fastening != pivot.key and _meets_disc(end, centre, reach):
            blocked[end.fastening] = radius + end.radius
    for key, clear in blocked.items():
        yield _sweep_blocked(work.resolved, pivot, tab, key, clear)


def _sweep_blocked(
    resolved: ResolvedDesign,
    pivot: ResolvedFastening,
    tab: ResolvedPiece,
    key: str,
    clear: Fraction,
) -> Finding:
    units = resolved.edition.units
    wanted = up_to_grid(clear, resolved.edition.grid)
    is_fastening = key in resolved.fastenings
    message = (
        f"'{key}' stands out where '{tab.key}' swings"
        if is_fastening
        else f"'{key}' is glued down over the place where '{tab.key}' swings"
    )
    away = f"Keep it {units.text(wanted)} away from '{pivot.key}'"
    return found(
        resolved,
        Severity.ERROR,
        "sweep-blocked",
        pivot.source.position,
        message,
        f"{away}, or {'cover it with a layer' if is_fastening else 'make the tab shorter'}.",
        wanted=wanted,
    )


def reach_squared(outline: Outline, pivot: Point) -> Fraction:
    """The square of the radius that the outline sweeps when it turns about a pivot.

    Arcs are followed by points that lie on them exactly.
    """
    points = [
        point
        for edge in outline.edges
        for point in (edge.start, *(_points_on(edge) if isinstance(edge, Arc) else ()))
    ]
    return max(_apart_squared(point, pivot) for point in points)


def _apart_squared(first: Point, second: Point) -> Fraction:
    across, upward = first.x - second.x, first.y - second.y
    return across * across + upward * upward


def _points_on(arc: Arc) -> Iterator[Point]:
    """Points on an arc of a quarter or half circle, by the rational form of the circle."""
    x, y = arc.start.x - arc.centre.x, arc.start.y - arc.centre.y
    side_x, side_y = (y, -x) if arc.clockwise else (-y, x)
    is_half = arc.end == arc.centre.moved(-x, -y)
    for step in range(1, 17 if is_half else 9):
        part = Fraction(step, 8) if step <= 8 else Fraction(8, 16 - step) if step < 16 else None
        cosine = Fraction(-1) if part is None else (1 - part**2) / (1 + part**2)
        sine = Fraction(0) if part is None else 2 * part / (1 + part**2)
        yield arc.centre.moved(x * cosine + side_x * sine, y * cosine + side_y * sine)


def _square_holding(centre: Point, reach: Fraction) -> Box:
    """A square round a disc, a sixty-fourth of an inch too large at most."""
    steps = 0
    while (steps * INCH / 64) ** 2 < reach:
        steps += 1
    return inflated(Box(centre.x, centre.y, centre.x, centre.y), steps * INCH / 64)


def _meets_disc(end: End, centre: Point, reach: Fraction) -> bool:
    """Whether what is bare of a fastening reaches into a disc about another centre."""
    apart = _apart_squared(end.centre, centre)
    spare = apart + end.radius**2 - reach
    is_near = spare < 0 or spare**2 < 4 * apart * end.radius**2
    return is_near and any(distance_squared(centre, part) < reach for part in end.parts)


@dataclass(frozen=True)
class _Closed:
    """The closed work as the tab sees it: its pivot, its own box, and flat boxes before it."""

    resolved: ResolvedDesign
    pivot: ResolvedFastening
    tab: ResolvedPiece
    own: PlacedFace

    @property
    def centre(self) -> Point:
        assert self.pivot.point is not None
        return self.pivot.point

    def turned_tab(self, degrees: int) -> Box:
        """The tab's box, turned about its pivot."""
        at, box = self.centre, self.tab.face(self.own.face).box
        turn = shifted(at.x, at.y).then(turned(degrees)).then(shifted(-at.x, -at.y))
        first, second = turn.apply(box.left, box.bottom), turn.apply(box.right, box.top)
        return Box(
            min(first[0], second[0]),
            min(first[1], second[1]),
            max(first[0], second[0]),
            max(first[1], second[1]),
        )

    def before(self, piece: str) -> list[Box]:
        """The parts of a piece that lie flat in front of the tab's own plane."""
        side = self.own.pose.normal
        boxes = []
        for face in self.resolved.states["closed"].faces:
            along = zip(face.pose.normal, side, strict=True)
            if face.piece != piece or not any(a * b for a, b in along):
                continue
            box = self.resolved.pieces[piece].face(face.face).box
            height = self.own.pose.undo(face.pose.apply(box.left, box.bottom))[2]
            is_over = (face.order > self.own.order) == (sum(side) > 0)
            if height > 0 or (height == 0 and is_over):
                boxes.append(seen_by(self.own, face, box))
        return boxes


def _closure(
    resolved: ResolvedDesign, pivot: ResolvedFastening, tab: ResolvedPiece, held: ResolvedPiece
) -> Iterator[Finding]:
    assert pivot.point is not None
    faces = [face for face in resolved.states["closed"].faces if face.piece == tab.key]
    own = next((at for at in faces if tab.face(at.face).box.contains(pivot.point)), None)
    if own is None:
        return
    closed = _Closed(resolved, pivot, tab, own)
    for key in _closed_by_then(resolved, held.key):
        yield from _covered(closed, key)
    yield from _positions(closed, held)


def _closed_by_then(resolved: ResolvedDesign, held: str) -> list[str]:
    """The held piece, and every piece that folds before it or with it."""
    moved: list[str] = []
    for name in _closing(resolved):
        key, _, section = name.partition(".")
        moved += _moved_by(resolved, key, section)
        if held in moved:
            return list(dict.fromkeys([held, *moved]))
    return [held]


def _closing(resolved: ResolvedDesign) -> Sequence[str]:
    """The folds in the order they close: last attached, first closed, unless the design says."""
    return resolved.design.closing or [
        key for key, piece in reversed(list(resolved.pieces.items())) if piece.scores
    ]


def _moved_by(resolved: ResolvedDesign, key: str, section: str) -> list[str]:
    """What the closing of a piece, or of one section of it, takes along."""
    piece, tree = resolved.pieces[key], tree_of(resolved)
    moving = {section} if section else set()
    for staying, hanging, _ in folds_outward(piece):
        if not section or staying in moving:
            moving.add(hanging)
    children = [
        child for child in tree.children.get(key, ()) if resolved.pieces[child].host_face in moving
    ]
    return [key, *(below for child in children for below in tree.below(child))]


def _covered(closed: _Closed, key: str) -> Iterator[Finding]:
    """A piece that closes over the pivot keeps the tab from turning."""
    if key == closed.tab.key or key in closed.pivot.source.through:
        return
    centre, radius = closed.centre, closed.pivot.head / 2
    boxes = [box for box in closed.before(key) if distance_squared(centre, box) < radius**2]
    if not boxes:
        return
    units, grid = closed.resolved.edition.units, closed.resolved.edition.grid
    deepest = max(_way_out(box, centre, radius) for box in boxes)
    wanted = up_to_grid(deepest, grid)
    yield found(
        closed.resolved,
        Severity.ERROR,
        "closure-covered",
        closed.pivot.source.position,
        f"closed, '{key}' lies over '{closed.pivot.key}', so '{closed.tab.key}' cannot swing over "
        f"'{closed.pivot.source.holds}'",
        f"Move the pivot {units.text(wanted)} out from under it, or make '{key}' as much smaller.",
        wanted=wanted,
    )


def _way_out(box: Box, centre: Point, radius: Fraction) -> Fraction:
    """The shortest way that brings a disc out of a box."""
    sides = (centre.x - box.left, box.right - centre.x, centre.y - box.bottom, box.top - centre.y)
    return min(sides) + radius


def _positions(closed: _Closed, held: ResolvedPiece) -> Iterator[Finding]:
    """Turned by quarters, the tab must lap over the held piece once and clear it once."""
    boxes = closed.before(held.key)
    tabs = [closed.turned_tab(degrees) for degrees in (0, 90, 180, 270)]
    laps = [any(crosses(tab, box) for box in boxes) for tab in tabs]
    if not any(laps):
        yield _misses(closed, held, tabs, boxes)
    elif all(laps):
        shared = [area for tab in tabs for box in boxes if (area := common(tab, box)) is not None]
        least = min(min(area.width, area.height) for area in shared)
        wanted = up_to_grid(least, closed.resolved.edition.grid)
        yield found(
            closed.resolved,
            Severity.ERROR,
            "closure-always-holds",
            closed.pivot.source.position,
            f"'{closed.tab.key}' laps over '{held.key}' whichever way it is turned, so it never "
            "lets go",
            f"Move '{closed.pivot.key}' {closed.resolved.edition.units.text(wanted)} away from "
            f"'{held.key}', or make the tab narrower.",
            wanted=wanted,
        )


def _misses(
    closed: _Closed, held: ResolvedPiece, tabs: Sequence[Box], boxes: Sequence[Box]
) -> Finding:
    gaps = [gap for tab in tabs for box in boxes for gap in _gap(tab, box)]
    missing = min(gaps, default=Fraction(0))
    wanted = up_to_grid(missing + _LAP, closed.resolved.edition.grid)
    units = closed.resolved.edition.units
    remedy = (
        f"Make '{closed.tab.key}' {units.text(wanted)} longer, or move its pivot as far that way."
        if gaps
        else f"Let '{closed.pivot.key}' hold a piece that lies beside it when it is closed."
    )
    return found(
        closed.resolved,
        Severity.ERROR,
        "closure-misses",
        closed.pivot.source.position,
        f"'{closed.tab.key}' does not reach over '{held.key}' whichever way it is turned"
        + (f"; {units.text(missing)} is missing" if gaps else ""),
        remedy,
        missing=missing,
        wanted=wanted,
    )


def _gap(tab: Box, box: Box) -> Iterator[Fraction]:
    """How far a tab ends before a box that lies straight ahead of it."""
    across = max(box.left - tab.right, tab.left - box.right)
    upward = max(box.bottom - tab.top, tab.bottom - box.top)
    if upward < 0 <= across:
        yield across
    if across < 0 <= upward:
        yield upward
