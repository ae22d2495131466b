"""What is joined so far: faces in space, the folds between them, and what holds them together.

An assembly never changes: every motion and every join gives another one.  Of two faces that lie
over one another in one plane it knows on which side of each the other lies; there is no number of a
layer, for a motion of both leaves the relation as it is, and four interleaved flaps have none.
"""

from __future__ import annotations

from collections.abc import (
    Callable,
    Collection,
    Hashable,
    Iterable,
    Iterator,
    Mapping,
    Sequence,
)
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Any, Literal, NamedTuple, TypeVar

from gatherfold.geometry import Axis, crosses, is_vertical
from gatherfold.model import Fold
from gatherfold.work.regions import FaceKey, Plate, Region
from gatherfold.work.space import (
    ACROSS,
    AXES,
    Exact,
    Place,
    Rigid,
    Sense,
    SpaceAxis,
    SpaceLine,
    Spot,
)

#: ``glue`` joins for good, ``rest`` only lies there, ``pin`` is pierced and fastened, ``pivot``
#: lets the first face turn on what it is fastened to.
BondKind = Literal["glue", "rest", "pin", "pivot"]
Pair = tuple[FaceKey, FaceKey]
#: Faces held together by bonds alone.
Block = frozenset[FaceKey]
_Node = TypeVar("_Node", bound=Hashable)
#: Whether the second of two faces lies above the first; None where that is not known.
Order = Callable[[FaceKey, FaceKey], bool | None]


class FoldKey(NamedTuple):
    """A fold by its piece and the face that hangs on it."""

    piece: str
    hanging: str

    @property
    def face(self) -> FaceKey:
        return FaceKey(self.piece, self.hanging)

    def __str__(self) -> str:
        return f"{self.piece}.{self.hanging}"


@dataclass(frozen=True)
class Crease:
    """A fold of a piece: its line in the piece's own plane, and the faces beside it.

    ``closed`` is the angle that it is made for, in degrees.  ``is_beyond`` says that the hanging
    face lies to the right of the line, or above it.
    """

    key: FoldKey
    staying: FaceKey
    axis: Axis
    at: Exact
    sense: Fold
    closed: int
    is_beyond: bool
    ends: tuple[Exact, Exact]

    @cached_property
    def hanging(self) -> FaceKey:
        return self.key.face

    @property
    def inner(self) -> Sense:
        """The side of the hanging face that closes against the other one (1: its front)."""
        return 1 if self.sense == "valley" else -1

    @cached_property
    def faces(self) -> Pair:
        """The faces beside it."""
        return self.hanging, self.staying

    def line(self, pose: Rigid) -> SpaceLine:
        """Its line in space, by the pose of a face beside it."""
        own: Place = (self.at, 0, 0) if is_vertical(self.axis) else (0, self.at, 0)
        axis = next(k for k in AXES if pose.direction(self._along)[k])
        place = pose.apply(own)
        first, second = ACROSS[axis]
        return SpaceLine(axis, (place[first], place[second]))

    def closing_sense(self, pose: Rigid, moves_hanging: bool) -> Sense:
        """The sense, about the axis of its line in space, in which it closes.

        ``pose`` is that of the face beside it that stays; ``moves_hanging`` says which that is not.
        """
        is_beyond = self.is_beyond if moves_hanging else not self.is_beyond
        is_negative = (is_beyond == is_vertical(self.axis)) != (self.sense == "mountain")
        return 1 if (sum(pose.direction(self._along)) > 0) != is_negative else -1

    @property
    def _along(self) -> tuple[int, int, int]:
        return (0, 1, 0) if is_vertical(self.axis) else (1, 0, 0)


@dataclass(frozen=True)
class Adhesive:
    """Adhesive on one side of a face (1: its front), in the face's own coordinates.

    It is spread on ``spread``, except where that is ``dry`` or beyond the face.
    """

    face: FaceKey
    side: Sense
    spread: tuple[Region, ...]
    dry: tuple[Region, ...] = ()


@dataclass(frozen=True)
class Bond:
    """Two faces held together.

    ``adhesive`` is what holds them, where it is glue, on the first face; ``joins`` names the piece
    or fastening that joins them.
    """

    first: FaceKey
    second: FaceKey
    kind: BondKind
    joins: str
    adhesive: Adhesive | None = None

    @cached_property
    def faces(self) -> Pair:
        """Both faces."""
        return self.first, self.second

    def other(self, face: FaceKey) -> FaceKey:
        """What a face of it is held to."""
        return self.second if face == self.first else self.first


#: What is found once of the joins of an assembly alone, and of where its faces and folds lie.
_OF_JOINS, _OF_PLACES = (
    ("pieces", "links", "_blocks", "_hinges", "_connected"),
    ("lines", "_folds", "planes"),
)


@dataclass(frozen=True, eq=False)
class Assembly:
    """Faces joined so far.

    ``base`` is the face that stays at rest when others move.  ``sides`` says for two faces that lie
    over one another in one plane on which side of the first the second lies: 1 before its front.
    ``angles`` are those of folds that are not flat, in degrees towards closing.
    """

    base: FaceKey
    plates: Mapping[FaceKey, Plate]
    creases: Mapping[FoldKey, Crease]
    angles: Mapping[FoldKey, int] = field(default_factory=dict)
    bonds: tuple[Bond, ...] = ()
    sides: Mapping[Pair, Sense] = field(default_factory=dict)

    def angle(self, fold: FoldKey) -> int:
        """The angle of a fold now."""
        return self.angles.get(fold, 0)

    def closing_sense(self, fold: FoldKey, moves_hanging: bool) -> Sense:
        """The sense in which a fold closes, by the face beside it that stays."""
        crease = self.creases[fold]
        rest = crease.staying if moves_hanging else crease.hanging
        return crease.closing_sense(self.plates[rest].pose, moves_hanging)

    @cached_property
    def pieces(self) -> tuple[str, ...]:
        """The pieces in it, in the order in which they came."""
        return tuple(dict.fromkeys(key.piece for key in self.plates))

    @cached_property
    def lines(self) -> Mapping[FoldKey, SpaceLine]:
        """Where each fold lies in space."""
        return {
            key: crease.line(self.plates[crease.staying].pose)
            for key, crease in self.creases.items()
        }

    @cached_property
    def links(self) -> Mapping[FaceKey, tuple[tuple[FaceKey, FoldKey | Bond], ...]]:
        """What each face is connected to, and by what."""
        found: dict[FaceKey, list[tuple[FaceKey, FoldKey | Bond]]] = {
            key: [] for key in self.plates
        }
        for fold, crease in self.creases.items():
            found[crease.staying].append((crease.hanging, fold))
            found[crease.hanging].append((crease.staying, fold))
        for bond in self.bonds:
            found[bond.first].append((bond.second, bond))
            found[bond.second].append((bond.first, bond))
        return {key: tuple(links) for key, links in found.items()}

    @cached_property
    def _blocks(self) -> Mapping[FaceKey, Block]:
        """What bonds hold together with each face."""
        found: dict[FaceKey, set[FaceKey]] = {}
        for bond in self.bonds:
            fewer, more = sorted((found.setdefault(key, {key}) for key in bond.faces), key=len)
            if fewer is not more:
                more |= fewer
                found.update(dict.fromkeys(fewer, more))
        blocks = {id(block): frozenset(block) for block in found.values()}
        return {k: blocks[id(found[k])] if k in found else frozenset((k,)) for k in self.plates}

    @cached_property
    def _hinges(self) -> Mapping[Block, Sequence[tuple[Block, FoldKey]]]:
        """To what each block is folded, and by which folds."""
        found: dict[Block, list[tuple[Block, FoldKey]]] = {k: [] for k in self._blocks.values()}
        for fold, crease in self.creases.items():
            first, second = (self._blocks[face] for face in crease.faces)
            found[first].append((second, fold))
            found[second].append((first, fold))
        return found

    @cached_property
    def _connected(self) -> dict[frozenset[FoldKey], dict[FaceKey, frozenset[FaceKey]]]:
        """What each face is connected to when some folds are cut, as far as it was asked."""
        return {}

    def connected(
        self, start: FaceKey, cut: Collection[FoldKey] = (), loose: Sequence[Bond] = ()
    ) -> frozenset[FaceKey]:
        """The faces that are connected to one when some folds are cut and some bonds let go."""

        if loose:
            links, let_go = self.links, (*loose, *cut)
            return reached(
                [start], lambda face: (k for k, link in links[face] if link not in let_go)
            )
        known = self._connected.setdefault(frozenset(cut), {})
        if start not in known:
            blocks = reached(
                [self._blocks[start]],
                lambda block: (other for other, fold in self._hinges[block] if fold not in cut),
            )
            found = frozenset[FaceKey]().union(*blocks)
            known.update(dict.fromkeys(found, found))
        return known[start]

    def block_of(self, piece: str, loose: Sequence[Bond] = ()) -> frozenset[FaceKey]:
        """A piece with all that is glued, folded or fastened to it: what moves when it is drawn."""
        own = next((key for key in self.plates if key.piece == piece), None)
        resting = [bond for bond in self.bonds if bond.kind == "rest"]
        return frozenset() if own is None else self.connected(own, loose=(*resting, *loose))

    @cached_property
    def _folds(self) -> Mapping[SpaceLine, frozenset[FoldKey]]:
        found: dict[SpaceLine, list[FoldKey]] = {}
        for fold, line in self.lines.items():
            found.setdefault(line, []).append(fold)
        return {line: frozenset(folds) for line, folds in found.items()}

    def folds_on(self, line: SpaceLine) -> frozenset[FoldKey]:
        """All folds that lie on a line."""
        return self._folds.get(line, frozenset())

    def is_locked(self, fold: FoldKey) -> bool:
        """Whether both sides of a fold stay connected when its line is cut: closed for good.

        Both are followed in turn, so that no more is looked at than about twice the smaller one.
        """
        cut = self.folds_on(self.lines[fold])
        starts = [self._blocks[face] for face in self.creases[fold].faces]
        if starts[0] == starts[1]:
            return True
        sides = [({start}, [start]) for start in starts]
        while all(waiting for _, waiting in sides):
            (found, waiting), (others, _) = sides
            hinges = self._hinges[waiting.pop()]
            new = {block for block, each in hinges if each not in cut} - found
            if not new.isdisjoint(others):
                return True
            found |= new
            waiting += new
            sides.reverse()
        return False

    def side_of(self, first: FaceKey, second: FaceKey) -> Sense | None:
        """On which side of the first face the second lies; None where neither lies over the
        other."""
        return self.sides.get((first, second))

    def is_above(self, first: FaceKey, second: FaceKey) -> bool | None:
        """Whether the second face lies towards the positive end of the axis that both look along;
        None where they do not lie over one another in one plane."""
        side = self.sides.get((first, second))
        return None if side is None else side * self.plates[first].facing > 0

    @cached_property
    def _next(self) -> Mapping[bool, Mapping[FaceKey, tuple[FaceKey, ...]]]:
        """What lies over each face towards the positive end of its axis, and towards the other."""
        found: dict[bool, dict[FaceKey, list[FaceKey]]] = {True: {}, False: {}}
        for (first, second), side in self.sides.items():
            # Of a part of the work alone, more is known than is there.
            if first in self.plates and second in self.plates:
                is_above = side * self.plates[first].facing > 0
                found[is_above].setdefault(first, []).append(second)
        return {way: {k: tuple(v) for k, v in each.items()} for way, each in found.items()}

    def lying_over(self, face: FaceKey, is_up: bool) -> tuple[FaceKey, ...]:
        """What lies over a face in its plane towards one end of its axis."""
        return self._next[is_up].get(face, ())

    def beyond(self, faces: Iterable[FaceKey], is_up: bool) -> frozenset[FaceKey]:
        """Some faces and all that lies over them in their plane towards one end of its axis, and
        over that, and so on."""
        return reached(faces, lambda face: self.lying_over(face, is_up))

    def glued_flat(
        self, faces: Iterable[FaceKey], without: Collection[FaceKey] = ()
    ) -> frozenset[FaceKey]:
        """Some faces and all that is glued to them in their plane, and to that, and so on."""

        def near(face: FaceKey) -> Iterator[FaceKey]:
            for other, link in self.links[face]:
                is_glued = isinstance(link, Bond) and link.kind == "glue"
                is_flat = self.plates[other].shares_plane(self.plates[face])
                if is_glued and is_flat and other not in without:
                    yield other

        return reached([face for face in faces if face in self.plates], near)

    def in_plane(self, axis: SpaceAxis, plane: Exact) -> tuple[FaceKey, ...]:
        """The faces in one plane."""
        return self.planes.get((axis, plane), ())

    @cached_property
    def planes(self) -> Mapping[tuple[SpaceAxis, Exact], tuple[FaceKey, ...]]:
        """All planes that faces lie in, with these."""
        found: dict[tuple[SpaceAxis, Exact], list[FaceKey]] = {}
        for key, plate in self.plates.items():
            found.setdefault((plate.axis, plate.plane), []).append(key)
        return {plane: tuple(keys) for plane, keys in found.items()}

    def stack_at(self, axis: SpaceAxis, plane: Exact, spot: Spot) -> tuple[FaceKey, ...]:
        """The faces over one place of a plane, from its negative to its positive side."""
        return self.in_order(
            key for key in self.in_plane(axis, plane) if self.plates[key].region.holds(spot)
        )

    def in_order(self, faces: Iterable[FaceKey]) -> tuple[FaceKey, ...]:
        """Faces that all lie over one place, from the negative to the positive side.

        Faces between which nothing is known keep their order.
        """
        ordered: list[FaceKey] = []
        for face in faces:
            place = len(ordered)
            for index, other in enumerate(ordered):
                if self.is_above(face, other):
                    place = index
                    break
            ordered.insert(place, face)
        return tuple(ordered)

    def all_moved(self, motion: Rigid) -> Assembly:
        """The whole assembly somewhere else; what lies over what stays as it is."""
        plates = {key: plate.moved(motion) for key, plate in self.plates.items()}
        return self._changed(_OF_JOINS, plates=plates)

    def seen_from(self, face: FaceKey) -> Assembly:
        """The whole assembly turned so that a face lies as in its own piece, its front up."""
        return self.all_moved(self.plates[face].pose.undone())

    def moved(self, faces: Collection[FaceKey], motion: Rigid) -> Assembly:
        """The assembly after a motion of some faces; what lies over what is not known anew yet."""
        plates = {k: p.moved(motion) if k in faces else p for k, p in self.plates.items()}
        return self._changed(_OF_JOINS, plates=plates)

    def layered(self, faces: Collection[FaceKey], order: Order) -> Assembly:
        """The assembly with what lies over what between some faces and the others known anew.

        ``order`` says of each of these and each other that lies over it whether that is above it.
        """
        sides = {
            pair: side
            for pair, side in self.sides.items()
            if (pair[0] in faces) == (pair[1] in faces)
        }
        for own, other in self.overlaps_with(faces):
            is_above = order(own, other)
            if is_above is not None:
                sides.update(both_ways(self.plates, own, other, is_above))
        return self._changed((*_OF_JOINS, *_OF_PLACES), sides=sides)

    def _changed(self, kept: Iterable[str], **changes: Any) -> Assembly:
        """The assembly after a change of its fields; what was found of others need not be found
        again."""
        after = replace(self, **changes)
        after.__dict__.update((name, self.__dict__[name]) for name in kept if name in self.__dict__)
        return after

    def with_bonds(self, bonds: Iterable[Bond]) -> Assembly:
        """The assembly with more of its faces held together."""
        return replace(self, bonds=(*self.bonds, *bonds))

    def overlaps_with(self, faces: Collection[FaceKey]) -> Iterator[Pair]:
        """Pairs of one of these faces and one other, that lie over one another in one plane."""
        others: dict[tuple[SpaceAxis, Exact], list[tuple[FaceKey, Plate]]] = {}
        for key, plate in self.plates.items():
            if key not in faces:
                continue
            plane = plate.axis, plate.plane
            if plane not in others:
                there = self.planes.get(plane, ())
                others[plane] = [(k, self.plates[k]) for k in there if k not in faces]
            for k, other in others[plane]:
                if crosses(plate.bounds, other.bounds) and plate.region.overlaps(other.region):
                    yield key, k


def reached(start: Iterable[_Node], near: Callable[[_Node], Iterable[_Node]]) -> frozenset[_Node]:
    """Some faces or folds, and all that are near to one of them, and to one of those, and so on."""
    waiting = list(start)
    found = set(waiting)
    while waiting:
        new = [each for each in near(waiting.pop()) if each not in found]
        waiting += new
        found.update(new)
    return frozenset(found)


def both_ways(
    plates: Mapping[FaceKey, Plate], first: FaceKey, second: FaceKey, is_above: bool
) -> Iterator[tuple[Pair, Sense]]:
    """What is known of two faces when the second lies towards the positive end of their axis, or
    the negative one."""
    way = 1 if is_above else -1
    yield (first, second), (1 if plates[first].facing == way else -1)
    yield (second, first), (1 if plates[second].facing == -way else -1)
