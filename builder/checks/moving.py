"""A tab that turns on its fastening: free to swing, and able to hold shut what it is to hold.

The first piece that a pivot goes through is the tab.  In the work at rest, nothing may stick it
down or stand in the disc that it sweeps; when what its pivot ``holds`` is closed, it must lap over
that in one position and clear it in another.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt

from builder.checks.report import found
from builder.findings import Finding, Severity
from builder.geometry.areas import common, crosses, distance_squared
from builder.geometry.outline import Arc, Box, Outline, Point
from builder.geometry.pose import shifted, turned
from builder.lengths import INCH, up_to_grid
from builder.resolve.resolved import ResolvedDesign, ResolvedFastening, ResolvedPiece
from builder.work import Assembly, FaceKey, Work, work_of
from builder.work.closing import Turn
from builder.work.lanes import Layers
from builder.work.setting import faces_of, setting_of
from builder.work.space import Rigid, Sense

#: Lengths in floats that differ by no more than this, in units, are equal.
_TOUCHES = 1e-3
#: How far a tab laps over what it holds (common practice, no source).
_LAP = INCH / 4


def check_moving(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every part that turns on a fastening."""
    for pivot in resolved.fastenings.values():
        if not pivot.source.pivot or pivot.point is None:
            continue
        tab = resolved.pieces[pivot.source.through[0]]
        if tab.glue.edges:
            yield _glued(resolved, pivot, tab)
        yield from _in_the_sweep(resolved, pivot, tab)
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
    resolved: ResolvedDesign, pivot: ResolvedFastening, tab: ResolvedPiece
) -> Iterator[Finding]:
    """What holds the tab down or stands out within the disc that it sweeps, in the work at rest.

    It swings over what is only glued beside it.
    """
    assert pivot.point is not None
    work = work_of(resolved)
    face = FaceKey(tab.key, tab.by)
    if face not in work.opened.plates:
        return
    layers = Layers(resolved, work, work.opened, face, _up(work.opened, resolved, pivot, face))
    centre = layers.centre(pivot)
    if centre is None:
        return
    own = {key for key in work.opened.plates if tab.key in _hosts(resolved, key.piece)}
    reach_in_mm = root_up(reach_squared(tab.outline, pivot.point))
    reach = sqrt(reach_squared(tab.outline, pivot.point)) * work.scale
    blocked: dict[str, Fraction] = {}
    for each in layers.in_the_way(layers.level_of(face), own):
        if each.name in (pivot.key, tab.key) or (each.is_glue and not each.holds):
            continue
        if each.shape.distance(centre) < reach - _TOUCHES:
            beyond = Fraction(0) if each.is_glue else Fraction(round(each.reach)) / work.scale
            blocked[each.name] = reach_in_mm + beyond
    for key, clear in blocked.items():
        yield _sweep_blocked(resolved, pivot, tab, key, clear)


def _up(
    assembly: Assembly, resolved: ResolvedDesign, pivot: ResolvedFastening, face: FaceKey
) -> Sense:
    """Towards which end of its axis a tab lies on what it turns on."""
    faces = faces_of(work_of(resolved), assembly, pivot.key)
    ways = (assembly.is_above(other, face) for other in faces if other in assembly.plates)
    way = next((each for each in ways if each is not None), assembly.plates[face].facing > 0)
    return 1 if way else -1


def _hosts(resolved: ResolvedDesign, key: str) -> list[str]:
    """A piece, what it lies on, what that lies on, and so on."""
    found = [key]
    while (placement := resolved.pieces[found[-1]].source.placement) is not None:
        found.append(placement.host)
    return found


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


def root_up(square: Fraction) -> Fraction:
    """A root, a sixty-fourth of an inch too large at most."""
    steps = 0
    while (steps * INCH / 64) ** 2 < square:
        steps += 1
    return steps * INCH / 64


@dataclass(frozen=True)
class _Closed:
    """The work when the tab is to be swung over, as the tab sees it: ``pose`` is that of the tab
    as it was set, carried along by what it turns on; ``up`` is the side that it lies on."""

    resolved: ResolvedDesign
    pivot: ResolvedFastening
    tab: ResolvedPiece
    face: FaceKey
    anchor: FaceKey
    pose: Rigid
    up: Sense
    then: Assembly

    @property
    def centre(self) -> Point:
        assert self.pivot.point is not None
        return self.pivot.point

    def turned_tab(self, degrees: int) -> Box:
        """The tab's box, turned about its pivot."""
        at, box = self.centre, self.tab.face(self.face.face).box
        turn = shifted(at.x, at.y).then(turned(degrees)).then(shifted(-at.x, -at.y))
        first, second = turn.apply(box.left, box.bottom), turn.apply(box.right, box.top)
        return Box(
            min(first[0], second[0]),
            min(first[1], second[1]),
            max(first[0], second[0]),
            max(first[1], second[1]),
        )

    def before(self, piece: str) -> list[Box]:
        """The parts of a piece that lie flat over the tab's own level, as the tab has them."""
        anchor, scale = self.then.plates[self.anchor], work_of(self.resolved).scale
        boxes = []
        for key, plate in self.then.plates.items():
            height = (plate.plane - anchor.plane) * self.up
            if key.piece != piece or plate.axis != anchor.axis or height < 0:
                continue
            if height == 0 and self.then.is_above(self.anchor, key) is not (self.up > 0):
                continue
            corners = [
                self.pose.undone().apply(plate.pose.apply((x, y, 0)))
                for x, y in plate.own.bounds.ring
            ]
            xs = [Fraction(corner[0]) / scale for corner in corners]
            ys = [Fraction(corner[1]) / scale for corner in corners]
            boxes.append(Box(min(xs), min(ys), max(xs), max(ys)))
        return boxes


def _closure(
    resolved: ResolvedDesign, pivot: ResolvedFastening, tab: ResolvedPiece, held: ResolvedPiece
) -> Iterator[Finding]:
    work = work_of(resolved)
    setting = setting_of(work, pivot.key)
    faces = faces_of(work, setting, pivot.key)
    if len(faces) < 2:
        return
    face, anchor = faces[:2]
    then = _when_held(work, held.key, anchor)
    if not {face, anchor} <= setting.plates.keys() & then.plates.keys():
        return
    carried = then.plates[anchor].pose.then(setting.plates[anchor].pose.undone())
    # Seen from what it turns on: on its front, unless it is known to lie on its back.
    on_front = setting.side_of(anchor, face) != -1
    up: Sense = 1 if on_front == (then.plates[anchor].facing > 0) else -1
    pose = carried.then(setting.plates[face].pose)
    closed = _Closed(resolved, pivot, tab, face, anchor, pose, up, then)
    for key in [held.key, *(key for key in then.pieces if key != held.key)]:
        yield from _covered(closed, key)
    yield from _positions(closed, held)


def _when_held(work: Work, held: str, anchor: FaceKey) -> Assembly:
    """The work just after what is held has closed over what the tab turns on."""
    for motion in reversed(work.closing):
        if not isinstance(motion, Turn) or anchor in motion.moved:
            continue
        if any(key.piece == held for key in motion.moved):
            return motion.after
    return work.closed


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
