"""How much of the work one movement needs to be shown with: what moves and what it lands on.

In: the work before and after a movement.  Out: the part of the work to show, seen from the front,
in units, and the lines at which the rest is broken off, on the plane of projection.
"""

from collections.abc import Collection
from fractions import Fraction

from gatherfold.drawings.kernel.axonometric import Projection
from gatherfold.drawings.kernel.plane import Place
from gatherfold.geometry import Exact, around, common
from gatherfold.work import ACROSS, Assembly, Bounds, FaceKey, Plate, size

#: What is shown round what is needed, as a share of its longer side.
_AROUND = Fraction(1, 8)
_SHARES = tuple(Fraction(step, 8) for step in range(2, 17))
#: A side is broken off no nearer to a fold along it than this share of that.
_OFF_FOLDS = Fraction(1, 2)
#: A side is broken off where it goes on for so many times that.
_WORTH_IT = 2
#: And only if what is left is no more than this share of the whole, width and height together.
_MOST_LEFT = Fraction(17, 20)
#: What comes to lie on a face by no less than this share belongs there.
_ENOUGH = Fraction(1, 4)


def shown_part(
    before: Assembly, after: Assembly, moved: Collection[FaceKey], folded: Collection[str] = ()
) -> Bounds | None:
    """The part of the work to show with a movement; None for all of it, and where something of the
    pieces that are ``folded`` would be left out."""
    if not moved:
        return None
    was, now = ({key: _seen(p) for key, p in each.plates.items()} for each in (before, after))
    landed = [now[key] for key in moved]
    ground = [
        now[key]
        for key, plate in after.plates.items()
        if key not in moved and plate.axis == 2 and any(_lies_on(each, now[key]) for each in landed)
    ]
    needed = around([*landed, *ground, *(was[key] for key in moved)])
    whole = around([*was.values(), *now.values()])
    part = Bounds(*(_end(number, needed, whole, after, now.values()) for number in range(4)))
    is_worth_it = part.width + part.height <= _MOST_LEFT * (whole.width + whole.height)
    is_cut = any(common(part, box) != box for key, box in now.items() if key.piece in folded)
    return part if is_worth_it and not is_cut else None


def _end(
    number: int, needed: Bounds, whole: Bounds, after: Assembly, faces: Collection[Bounds]
) -> Exact:
    """Where to break off beyond an edge, if at all: off all folds, and where fewest layers are cut,
    none near its edge."""
    margin = _AROUND * max(needed.width, needed.height)
    edge, last, axis = needed[number], whole[number], number % 2
    if size(last - edge) <= margin * (1 + _WORTH_IT):
        return last
    way, far = (margin, axis) if last > edge else (-margin, axis + 2)
    folds = set(after.lines.values())
    along = [f.at[ACROSS[f.axis].index(axis)] for f in folds if f.axis == 1 - axis]

    def is_beside(at: Exact, line: Exact) -> bool:
        return size(at - line) < _OFF_FOLDS * margin

    def cut(at: Exact) -> tuple[int, int]:
        """Of how many faces little would be seen, and how many are cut."""
        found = [box for box in faces if box[axis] < at < box[axis + 2]]
        return sum(is_beside(at, box[far]) for box in found), len(found)

    places = (edge + way * share for share in _SHARES)
    clear = (at for at in places if not any(is_beside(at, fold) for fold in along))
    return min(clear, key=cut, default=last)


def _seen(plate: Plate) -> Bounds:
    """The rectangle round a face as it is seen from the front."""
    (left, right), (bottom, top) = plate.extent(0), plate.extent(1)
    return Bounds(left, bottom, right, top)


def _lies_on(box: Bounds, ground: Bounds) -> bool:
    """Whether enough of a box lies on another for it to be seen where."""
    shared = common(box, ground)
    return shared is not None and shared.area >= _ENOUGH * box.area


def broken_off(
    assembly: Assembly, part: Bounds, scale: int, projection: Projection
) -> tuple[tuple[Place, Place], ...]:
    """Where lying faces go on beyond the part that is shown, on the plane of projection: one line
    on each side, along the face that stands out farthest there."""
    found = []
    lying = [plate for plate in assembly.plates.values() if plate.axis == 2]
    for number, at in enumerate(part):
        axis, along = number % 2, 1 - number % 2
        cut = [
            (plate.plane, max(low, part[along]), min(high, part[along + 2]))
            for plate in lying
            for low, high in [plate.extent(along)]
            if plate.extent(axis)[0] < at < plate.extent(axis)[1]
            and low < part[along + 2]
            and part[along] < high
        ]
        if not cut:
            continue
        heights, lows, highs = zip(*cut, strict=True)
        # Towards the viewer the lowest face stands out, away from him the highest.
        z = (min if (number >= 2) == (projection.viewer[axis] > 0) else max)(heights)
        ends = ((at, each, z) if axis == 0 else (each, at, z) for each in (min(lows), max(highs)))
        start, end = (projection(float(length / scale) for length in place) for place in ends)
        found.append((start, end))
    return tuple(found)
