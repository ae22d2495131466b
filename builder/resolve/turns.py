"""Part-folded work: where every face lies while the folds close, one turn after another.

In: a resolved design.  Out: its :class:`Turn` values in closing order, and placed faces for any
choice of fold angles (0, 90 or 180).  A turn is what a maker does in one movement: folds that lie
on one line turn together, and so do folds of one piece that end up clear of each other.

Of coincident faces a larger ``order`` lies towards the positive axis: towards the front (+z) for
faces that lie flat, towards +x or +y for faces that stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from builder.geometry.areas import crosses, placed
from builder.geometry.pose import Pose, Vector
from builder.resolve.placement import (
    FaceKey,
    Tree,
    after_closing,
    closed_angles,
    default_closing,
    folding_faces,
    folds_outward,
    main_body,
    poses_at,
    stack,
    tree_of,
)
from builder.resolve.resolved import (
    REMEMBERED,
    PlacedFace,
    ResolvedDesign,
    ResolvedPiece,
    Score,
)

Angles = Mapping[FaceKey, int]
_Direction = tuple[int, int, int]


@dataclass(frozen=True)
class Turn:
    """Folds that close in one movement.

    ``entries`` are (piece, section) of the closing order, an empty section for all folds of the
    piece; ``angles`` the closed angle of the fold that each face hangs on; ``moved`` every face
    that moves, with what lies on it.
    """

    entries: tuple[tuple[str, str], ...]
    angles: Angles
    moved: frozenset[FaceKey]

    def half(self, tree: Tree) -> Angles:
        """Half way: the folds beside what stays are at 90 degrees, those beyond them at 0."""
        found = {}
        for key, _ in self.entries:
            for staying, hanging, _ in folds_outward(tree.pieces[key]):
                if (key, hanging) in self.angles:
                    found[key, hanging] = 0 if (key, staying) in self.moved else 90
        return found


def closing_entries(resolved: ResolvedDesign) -> tuple[tuple[str, str], ...]:
    """(piece, section) in the order in which the main body closes."""
    tree = tree_of(resolved)
    if not tree.roots:
        return ()
    main = main_body(tree)
    below = set(tree.below(main))
    names = resolved.design.closing or default_closing(tree, main)
    split = (name.partition(".") for name in names)
    return tuple((key, section) for key, _, section in split if key in below)


@lru_cache(maxsize=REMEMBERED)
def turns(resolved: ResolvedDesign) -> tuple[Turn, ...]:
    """The movements that close the main body, in order."""
    tree = tree_of(resolved)
    found: list[Turn] = []
    flat = poses_at(tree, main_body(tree), {}) if tree.roots else {}
    for entry in closing_entries(resolved):
        turn = turn_of(tree, *entry)
        if found and turn.angles and _one_movement(tree, flat, found[-1], turn):
            turn = _together(found.pop(), turn)
        if turn.angles:
            found.append(turn)
    return tuple(found)


def in_layer_order(resolved: ResolvedDesign, motions: Sequence[Angles]) -> list[Angles]:
    """Motions in the order of the design's closing, which gives their layers."""
    places = [face for turn in turns(resolved) for face in turn.angles]

    def place(motion: Angles) -> int:
        return min((places.index(face) for face in motion if face in places), default=-1)

    return sorted(motions, key=place)


def turn_of(tree: Tree, key: str, section: str = "") -> Turn:
    """The closing of one piece, or of one section of it."""
    piece = tree.pieces[key]
    angles = {(key, face): angle for face, angle in closed_angles(piece, section).items()}
    return Turn(((key, section),), angles, moved_faces(tree, piece, section))


def moved_faces(tree: Tree, piece: ResolvedPiece, section: str = "") -> frozenset[FaceKey]:
    """What moves when the piece, or its section, folds: its faces and all that lies on them."""
    faces = folding_faces(piece, section)
    moved = {(piece.key, face) for face in faces}
    for child in tree.children.get(piece.key, ()):
        if tree.pieces[child].host_face in faces:
            moved |= {(k, f.name) for k in tree.below(child) for f in tree.pieces[k].faces}
    return frozenset(moved)


def _together(first: Turn, second: Turn) -> Turn:
    return Turn(
        (*first.entries, *second.entries),
        {**first.angles, **second.angles},
        first.moved | second.moved,
    )


def _one_movement(tree: Tree, flat: Mapping[FaceKey, Pose], first: Turn, second: Turn) -> bool:
    """Whether two turns that follow one another are one movement of the hands; ``flat`` is where
    the faces of the flat work lie."""
    lines = [
        {fold_line(fold_of(tree.pieces[face[0]], face[1]), flat[face]) for face in turn.angles}
        for turn in (first, second)
    ]
    if lines[0] & lines[1]:
        return True
    hosts = [{_fixed_on(tree, entry) for entry in turn.entries} for turn in (first, second)]
    if hosts[0] != hosts[1] or len(hosts[0]) != 1 or "" in hosts[0]:
        return False
    closed = poses_at(tree, main_body(tree), {**first.angles, **second.angles})
    boxes = [
        [placed(closed[at], tree.pieces[at[0]].face(at[1]).box) for at in turn.moved]
        for turn in (first, second)
    ]
    return not any(crosses(a.seen, b.seen) for a in boxes[0] for b in boxes[1])


def fold_line(score: Score, pose: Pose) -> frozenset[tuple[int, Fraction]]:
    """The line of a fold in space, by what both its ends share, as (axis, place)."""
    first, second = fold_ends(score, pose)
    return frozenset((axis, first[axis]) for axis in range(3) if first[axis] == second[axis])


def fold_of(piece: ResolvedPiece, hanging: str) -> Score:
    """The fold that a face hangs on."""
    return next(score for _, face, score in folds_outward(piece) if face == hanging)


def fold_ends(score: Score, pose: Pose) -> tuple[Vector, Vector]:
    """Both ends of a fold in space, by the pose of a face beside it."""
    if score.is_vertical:
        return pose.apply(score.at, score.start), pose.apply(score.at, score.end)
    return pose.apply(score.start, score.at), pose.apply(score.end, score.at)


def _fixed_on(tree: Tree, entry: tuple[str, str]) -> str:
    """The piece that stays while an entry of the closing order moves, "" if it is the root."""
    key, section = entry
    placement = tree.pieces[key].source.placement
    if section:
        return key
    return "" if placement is None else placement.host


def folded_faces(
    resolved: ResolvedDesign, root: str, motions: Sequence[Angles]
) -> tuple[PlacedFace, ...]:
    """The faces of a body after ``motions``, one after the other from the flat work.

    Each motion gives new angles to some folds, by the face that hangs on them.  All pieces of
    the body are placed, whatever state they belong to.
    """
    return _folding(resolved, root, _as_key(motions)).faces


@lru_cache(maxsize=REMEMBERED)
def flat_faces(resolved: ResolvedDesign, root: str) -> tuple[PlacedFace, ...]:
    """The faces of a body before anything is folded, from the back to the front."""
    return folded_faces(resolved, root, ())


def folded_stages(
    resolved: ResolvedDesign, root: str, motions: Sequence[Angles]
) -> tuple[tuple[PlacedFace, ...], ...]:
    """The faces of a body lying flat, and after each motion."""
    key = _as_key(motions)
    return tuple(_folding(resolved, root, key[:count]).faces for count in range(len(key) + 1))


#: Motions as something to remember a stage by, each with its folds in their order.
_Motions = tuple[tuple[tuple[FaceKey, int], ...], ...]


def _as_key(motions: Sequence[Angles]) -> _Motions:
    return tuple(tuple(motion.items()) for motion in motions)


@lru_cache(maxsize=8 * REMEMBERED)
def _folding(resolved: ResolvedDesign, root: str, motions: _Motions) -> _Folding:
    """A body after some motions: many pictures show the same stages of one design."""
    if motions:
        return _folding(resolved, root, motions[:-1]).moved(dict(motions[-1]))
    tree = tree_of(resolved)
    flat = poses_at(tree, root, {})
    return _Folding(tree, root, flat, flat, stack(tree, root), {}, {})


@dataclass(frozen=True)
class _Folding:
    """A body that is being folded: angles, poses and layers so far.

    ``stood`` has for each standing face its place among the layers when it stood up, and the
    direction in which the layers go on from there.
    """

    tree: Tree
    root: str
    flat: Mapping[FaceKey, Pose]
    poses: Mapping[FaceKey, Pose]
    order: Sequence[FaceKey]
    angles: Angles
    stood: Mapping[FaceKey, tuple[int, _Direction]]

    def moved(self, motion: Angles) -> _Folding:
        """The body after one more motion."""
        angles = {**self.angles, **motion}
        poses = poses_at(self.tree, self.root, angles)
        lands: dict[str, list[str]] = {}
        for (key, hanging), angle in motion.items():
            if angle and self._lands(key, hanging, poses):
                lands.setdefault(key, []).append(hanging)
        order = self.order
        for key, sections in lands.items():
            whole = len(sections) == len(folding_faces(self.tree.pieces[key]))
            for section in [""] if whole else sections:
                order = after_closing(self.tree, key, section, order, self.flat)
        stood = self._standing(poses)
        return replace(self, poses=poses, order=order, angles=angles, stood=stood)

    def _standing(self, poses: Mapping[FaceKey, Pose]) -> dict[FaceKey, tuple[int, _Direction]]:
        """The faces that stand in new poses."""
        stood = dict(self.stood)
        for face, after in poses.items():
            before = self.poses[face]
            if after.normal[2] != 0:
                stood.pop(face, None)
            elif before.rotation != after.rotation:
                rank, upward = stood.get(face, (self.order.index(face), (0, 0, 1)))
                stood[face] = rank, _turned(before, after, upward)
        return stood

    def _lands(self, key: str, hanging: str, poses: Mapping[FaceKey, Pose]) -> bool:
        """Whether what hangs on the fold lies turned over in new poses."""
        return any(
            self.poses[key, face].normal[2] * poses[key, face].normal[2] < 0
            for face in folding_faces(self.tree.pieces[key], hanging)
        )

    @cached_property
    def faces(self) -> tuple[PlacedFace, ...]:
        ranks = {face: rank for rank, face in enumerate(self.order)}
        carried = self._fold_depths()

        def key_of(face: FaceKey) -> tuple[int, int]:
            pose = self.poses[face]
            axis = next(i for i, along in enumerate(pose.normal) if along)
            if axis == 2 or face not in self.stood:
                return 0, ranks[face]
            rank, upward = self.stood[face]
            depth, inward = carried[face]
            return depth * inward[axis], rank * upward[axis]

        ordered = sorted(self.poses, key=key_of)
        return tuple(
            PlacedFace(piece, face, self.poses[piece, face], order)
            for order, (piece, face) in enumerate(ordered)
        )

    def _fold_depths(self) -> dict[FaceKey, tuple[int, _Direction]]:
        """How many folds carry each face, and the direction in space that the last of them
        folds its face towards: of coincident faces, the one folded later lies on that side."""
        found: dict[FaceKey, tuple[int, _Direction]] = {}

        def put(key: str, start: tuple[int, _Direction]) -> None:
            piece = self.tree.pieces[key]
            found[key, piece.by] = start
            for staying, hanging, score in folds_outward(piece):
                found[key, hanging] = found[key, staying]
                if self.angles.get((key, hanging)):
                    sign = 1 if score.is_valley else -1
                    x, y, z = self.poses[key, hanging].normal
                    depth = found[key, staying][0] + 1
                    found[key, hanging] = depth, (sign * x, sign * y, sign * z)
            for child in self.tree.children.get(key, ()):
                put(child, found[key, self.tree.pieces[child].host_face])

        put(self.root, (0, (0, 0, 0)))
        return found


def _turned(before: Pose, after: Pose, direction: _Direction) -> _Direction:
    """A direction carried along by the motion from one pose of a face to another."""
    own = [sum(before.rotation[k][i] * direction[k] for k in range(3)) for i in range(3)]
    x, y, z = (sum(row[i] * own[i] for i in range(3)) for row in after.rotation)
    return x, y, z


def only(faces: Iterable[PlacedFace], pieces: Iterable[str]) -> tuple[PlacedFace, ...]:
    """The faces that belong to some pieces."""
    kept = frozenset(pieces)
    return tuple(face for face in faces if face.piece in kept)
