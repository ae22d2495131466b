"""How much of the work one movement needs to be shown with: what moves and what it lands on.

In: the placed faces before and after a movement.  Out: the part of the work to show, seen from the
front, and the lines at which the rest is broken off.  Units: mm of the work.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from fractions import Fraction

from gatherfold.drawings.kernel.axonometric import Projection
from gatherfold.drawings.kernel.plane import Place
from gatherfold.drawings.views.raised_view import slab_of
from gatherfold.geometry import Box, around, common, holds
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import FaceKey, PlacedFace

#: What is shown round what is needed, as a share of its longer side.
_AROUND = Fraction(1, 8)
_SHARES = tuple(Fraction(step, 8) for step in (2, 3, 4, 5, 6, 7, 8))
#: A side is broken off where it goes on for so many times that.
_WORTH_IT = 2
#: And only if what is left is no more than this share of the whole, width and height together.
_MOST_LEFT = Fraction(17, 20)
#: What comes to lie on a face by no less than this share belongs there.
_ENOUGH = Fraction(1, 4)


def shown_part(
    resolved: ResolvedDesign,
    before: Sequence[PlacedFace],
    after: Sequence[PlacedFace],
    moved: Collection[FaceKey],
    folded: Collection[str] = (),
) -> Box | None:
    """The part of the work to show with a movement; None for all of it, and where something of the
    pieces that are ``folded`` would be left out."""
    if not moved:
        return None
    was, now = ({f.key: slab_of(resolved, f) for f in faces} for faces in (before, after))
    landed = [slab.seen for key, slab in now.items() if key in moved]
    ground = [
        slab.seen
        for key, slab in now.items()
        if key not in moved
        and slab.axis == 2
        and any(_lies_on(other, slab.seen) for other in landed)
    ]
    left_from = [slab.seen for key, slab in was.items() if key in moved]
    needed = around([*landed, *ground, *left_from])
    whole = around([slab.seen for slab in (*was.values(), *now.values())])
    margin = _AROUND * max(needed.width, needed.height)

    def end(axis: int, edge: Fraction, last: Fraction) -> Fraction:
        """Where to break off beyond an edge, if at all: where fewest layers are cut."""
        if abs(last - edge) <= margin * (1 + _WORTH_IT):
            return last
        way = margin if last > edge else -margin
        return min(
            (edge + way * share for share in _SHARES),
            key=lambda at: sum(slab.low[axis] < at < slab.high[axis] for slab in now.values()),
        )

    part = Box(
        end(0, needed.left, whole.left),
        end(1, needed.bottom, whole.bottom),
        end(0, needed.right, whole.right),
        end(1, needed.top, whole.top),
    )
    is_worth_it = part.width + part.height <= _MOST_LEFT * (whole.width + whole.height)
    is_cut = any(not holds(part, slab.seen) for key, slab in now.items() if key.piece in folded)
    return part if is_worth_it and not is_cut else None


def _lies_on(box: Box, ground: Box) -> bool:
    """Whether enough of a box lies on another for it to be seen where."""
    met = common(box, ground)
    return met is not None and met.width * met.height >= _ENOUGH * box.width * box.height


def broken_off(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], part: Box, projection: Projection
) -> tuple[tuple[Place, Place], ...]:
    """Where lying faces go on beyond the part that is shown, on the plane of projection: one line
    on each side, along the face that stands out farthest there."""
    found = []
    sides = ((0, -1, part.left), (0, 1, part.right), (1, -1, part.bottom), (1, 1, part.top))
    for axis, outwards, at in sides:
        cut = list(_stretches(resolved, faces, part, axis, at))
        if not cut:
            continue
        # Towards the viewer the lowest face stands out, away from him the highest.
        farthest = min if outwards * projection.viewer[axis] > 0 else max
        z = farthest(height for height, _, _ in cut)
        low, high = min(low for _, low, _ in cut), max(high for _, _, high in cut)
        ends = ((at, low, z), (at, high, z)) if axis == 0 else ((low, at, z), (high, at, z))
        start, end = (projection(float(length) for length in place) for place in ends)
        found.append((start, end))
    return tuple(found)


def _stretches(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], part: Box, axis: int, at: Fraction
) -> Iterator[tuple[Fraction, Fraction, Fraction]]:
    """The height of each lying face that a side cuts, and from where to where it does."""
    along = 1 - axis
    lowest, highest = (part.bottom, part.top) if axis == 0 else (part.left, part.right)
    for face in faces:
        slab = slab_of(resolved, face)
        if slab.axis == 2 and slab.low[axis] < at < slab.high[axis]:
            low, high = max(slab.low[along], lowest), min(slab.high[along], highest)
            if low < high:
                yield slab.plane, low, high
