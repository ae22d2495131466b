"""A tab that turns on its fastening: free to swing, and able to hold shut what it is to hold.

The first piece that a pivot goes through is the tab.  In the work at rest, nothing may stick it
down or stand in the disc that it sweeps; when what its pivot ``holds`` is closed, it must lap over
that in one position and clear it in another.
"""

from collections.abc import Iterator
from fractions import Fraction
from math import dist

from gatherfold.checks.report import finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import (
    Box,
    Outline,
    Point,
    Sense,
    common,
    crosses,
    distance_squared,
    flattened,
    room_within,
)
from gatherfold.lengths import INCH, up_to_grid
from gatherfold.resolve import ResolvedDesign, ResolvedFastening, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, Layers, Swings, faces_of, swings_of, work_of

#: Lengths in floats that differ by no more than this, in units, are equal.
_TOUCHES = 1e-3
#: Of so many chords is a quarter of a circle, where a tab is rounded.
_CHORDS = 32
#: How far a tab laps over what it holds (common practice, no source).
_LAP = INCH / 4


def check_moving(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every part that turns on a fastening."""
    for pivot in resolved.fastenings.values():
        if not pivot.source.pivot or pivot.point is None:
            continue
        tab = resolved.pieces[pivot.source.through[0]]
        if tab.glue.edges:
            yield finding_kind("glued-moving-part").found(resolved, tab, pivot=pivot.key)
        yield from _in_the_sweep(resolved, pivot, tab)
        held = pivot.source.holds or ""
        swings = swings_of(work_of(resolved), pivot.key) if held in resolved.pieces else None
        if swings is not None:
            yield from _covered(resolved, pivot, swings)
            yield from _positions(resolved, pivot, swings)


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
    own = {
        key for key in work.opened.plates if tab.key in (key.piece, *resolved.hosts_of(key.piece))
    }
    radius = swept_radius(tab.outline, pivot.point)
    told = up_to_grid(Fraction(radius).limit_denominator(10**6), INCH / 64)
    blocked: dict[str, Fraction] = {}
    for each in layers.in_the_way(layers.level_of(face), own):
        if each.name in (pivot.key, tab.key) or (each.is_glue and not each.holds):
            continue
        if each.shape.distance(centre) < radius * work.scale - _TOUCHES:
            beyond = Fraction(0) if each.is_glue else Fraction(round(each.reach)) / work.scale
            blocked[each.name] = told + beyond
    for key, clear in blocked.items():
        kind = (
            finding_kind("sweep-blocked")
            if key in resolved.fastenings
            else finding_kind("sweep-blocked, glue in sweep")
        )
        wanted = up_to_grid(clear, resolved.edition.grid)
        yield kind.found(resolved, pivot, other=key, tab=tab.key, wanted=wanted)


def _up(
    assembly: Assembly, resolved: ResolvedDesign, pivot: ResolvedFastening, face: FaceKey
) -> Sense:
    """Towards which end of its axis a tab lies on what it turns on."""
    faces = faces_of(work_of(resolved), assembly, pivot.key)
    ways = (assembly.is_above(other, face) for other in faces if other in assembly.plates)
    way = next((each for each in ways if each is not None), assembly.plates[face].facing > 0)
    return 1 if way else -1


def swept_radius(outline: Outline, pivot: Point) -> float:
    """How far an outline reaches when it turns about a pivot, in mm."""
    about = (float(pivot.x), float(pivot.y))
    return max(dist(about, point) for point in flattened(outline, _CHORDS))


def _covered(
    resolved: ResolvedDesign, pivot: ResolvedFastening, swings: Swings
) -> Iterator[Finding]:
    """A piece that closes over the pivot keeps the tab from turning."""
    centre, radius, held = swings.centre, pivot.head / 2, pivot.source.holds or ""
    for key in sorted(swings.before, key=lambda key: key != held):
        over = [box for box in swings.before[key] if distance_squared(centre, box) < radius**2]
        if over and key not in pivot.source.through:
            # The shortest way that brings its disc out of a box.
            spot = Box(centre.x, centre.y, centre.x, centre.y)
            rooms = [min(room_within(spot, box).values()) for box in over]
            wanted = up_to_grid(max(rooms) + radius, resolved.edition.grid)
            tab = pivot.source.through[0]
            yield finding_kind("closure-covered").found(
                resolved, pivot, other=key, tab=tab, held=held, wanted=wanted
            )


def _positions(
    resolved: ResolvedDesign, pivot: ResolvedFastening, swings: Swings
) -> Iterator[Finding]:
    """Turned by quarters, the tab must lap over the held piece once and clear it once."""
    grid, held, tab = resolved.edition.grid, pivot.source.holds or "", pivot.source.through[0]
    boxes = swings.before.get(held, [])
    laps = [any(crosses(turn, box) for box in boxes) for turn in swings.turns]
    pairs = [(turn, box) for turn in swings.turns for box in boxes]
    if not any(laps):
        gaps = [gap for turn, box in pairs for gap in _gap(turn, box)]
        missing = min(gaps, default=Fraction(0))
        kind, wanted = (
            finding_kind("closure-misses")
            if gaps
            else finding_kind("closure-misses, holds nothing beside"),
            up_to_grid(missing + _LAP, grid),
        )
        yield kind.found(resolved, pivot, tab=tab, held=held, missing=missing, wanted=wanted)
    elif all(laps):
        shared = [area for turn, box in pairs if (area := common(turn, box)) is not None]
        wanted = up_to_grid(min(min(area.width, area.height) for area in shared), grid)
        yield finding_kind("closure-always-holds").found(
            resolved, pivot, tab=tab, held=held, wanted=wanted
        )


def _gap(tab: Box, box: Box) -> Iterator[Fraction]:
    """How far a tab ends before a box that lies straight ahead of it."""
    across = max(box.left - tab.right, tab.left - box.right)
    upward = max(box.bottom - tab.top, tab.bottom - box.top)
    if upward < 0 <= across:
        yield across
    if across < 0 <= upward:
        yield upward
