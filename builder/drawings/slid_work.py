"""Something on its way into a pocket that is closed for good, for the drawing of its step.

In: a resolved design, what is slid in, the pieces already there.  Out: a work with the sections
that make the pocket folded in, and the insert, folded shut if it folds, part of the way in.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.drawings.assembly_view import Work
from builder.drawings.closed_work import laid_faces
from builder.drawings.placed_view import LaidPiece
from builder.drawings.put_on import taken_off, way_off
from builder.resolve.closed_for_good import slid_in
from builder.resolve.placement import FaceKey, tree_of
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.turns import folded_faces, in_layer_order, only, turn_of

#: How far the insert is still out, as a share of the whole way.
_OUT = Fraction(5, 8)


@dataclass(frozen=True)
class SlidWork(Work):
    """An insert before its pocket: it lies on nothing yet, and what it goes under is its host.

    ``way`` is how far it has to go still, in the work.
    """

    pocket: frozenset[FaceKey] = frozenset()
    way: tuple[float, float] = (0.0, 0.0)

    def host_of(self, key: str) -> LaidPiece | None:
        return None

    def hosts_of(self, key: str) -> tuple[LaidPiece, ...]:
        """The one that is nearest of what it goes under."""
        found = [laid for laid in self.stack if (laid.piece.key, _face(laid)) in self.pocket]
        return tuple(found[-1:])


def _face(laid: LaidPiece) -> str:
    return str(getattr(laid, "face", ""))


def slid_work(resolved: ResolvedDesign, key: str, present: Collection[str]) -> Work:
    """The insert and all that lies on it, part of the way in."""
    tree, closed = tree_of(resolved), slid_in(resolved)[key]
    motions = [turn_of(tree, *each).angles for each in (*closed, (key, ""))]
    root = tree.root_of(key)
    carried = [below for below in tree.below(key) if below == key or below in present]
    faces = folded_faces(resolved, root, in_layer_order(resolved, motions))
    there = only(faces, {root, *present, *carried})
    x, y, z = way_off(resolved, there, key, carried)
    way = (_OUT * x, _OUT * y, _OUT * z)
    ground = next(f for f in there if f.piece == closed[0][0])
    fold = next(s for s in resolved.pieces[ground.piece].scores if closed[0][1] in s.sides)
    from_front = (ground.pose.normal[2] > 0) == fold.is_valley
    stack = laid_faces(resolved, taken_off(there, carried, way), from_front)
    return SlidWork(
        resolved.pieces,
        _once(list(stack), key),
        (key,),
        from_front,
        pocket=frozenset(closed),
        way=(-float(way[0]), -float(way[1])),
    )


def _once(stack: Sequence[LaidPiece], key: str) -> tuple[LaidPiece, ...]:
    """The work with only the nearest face of the insert, which is folded shut."""
    own = [laid for laid in stack if laid.piece.key == key]
    return tuple(laid for laid in stack if laid not in own[:-1])
