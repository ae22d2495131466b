"""Placed geometry: the tree of pieces and folds → where every face lies, in each state.

In: resolved pieces.  Out: :class:`State` values with exact poses and the order of layers.

The tree: a piece lies on a face of its host; its other faces hang on that one by folds.  In a
state every fold has an angle; closing folds the pieces one after the other, each landing on top
of what is already there (a mountain fold goes below).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import assert_never

from builder.choices import faces_away, lies_before_host
from builder.geometry.outline import Box
from builder.geometry.pose import IDENTITY, Pose, flipped, folded, shifted, turned
from builder.resolve.resolved import (
    REMEMBERED,
    PlacedFace,
    ResolvedDesign,
    ResolvedPiece,
    Score,
    State,
)

FaceKey = tuple[str, str]


@dataclass(frozen=True)
class Tree:
    """Pieces with what lies on each; ``roots`` lie on nothing."""

    pieces: Mapping[str, ResolvedPiece]
    children: Mapping[str, tuple[str, ...]]
    roots: tuple[str, ...]

    @cached_property
    def lying(self) -> Mapping[str, Pose]:
        """Where each piece that lies on another lies in the plane of that."""
        return {
            key: _lying(self.pieces[key], self.pieces[host])
            for host, keys in self.children.items()
            for key in keys
        }

    def root_of(self, key: str) -> str:
        """What a piece lies on in the end: itself, if that is nothing."""
        placement = self.pieces[key].source.placement
        if placement is None or placement.host not in self.pieces:
            return key
        return self.root_of(placement.host)

    def below(self, key: str) -> Iterator[str]:
        """The piece and everything that lies on it, directly or not."""
        yield key
        for child in self.children.get(key, ()):
            yield from self.below(child)


def piece_tree(pieces: Mapping[str, ResolvedPiece]) -> Tree:
    children: dict[str, list[str]] = {}
    roots: list[str] = []
    for key, piece in pieces.items():
        host = piece.source.placement.host if piece.source.placement else None
        if host is None:
            roots.append(key)
        elif host in pieces:
            children.setdefault(host, []).append(key)
    return Tree(pieces, {key: tuple(keys) for key, keys in children.items()}, tuple(roots))


@lru_cache(maxsize=REMEMBERED)
def tree_of(resolved: ResolvedDesign) -> Tree:
    """The tree of a design's pieces."""
    return piece_tree(resolved.pieces)


def place(pieces: Mapping[str, ResolvedPiece], closing: Sequence[str]) -> dict[str, State]:
    """The states ``flat``, ``open`` and ``closed`` of the design's main body.

    The main body is the root with the most pieces on it; loose pieces are not placed.
    """
    tree = piece_tree(pieces)
    if not tree.roots:
        return {name: State(name, ()) for name in ("flat", "open", "closed")}
    main = main_body(tree)
    flat = poses_at(tree, main, {})
    order = stack(tree, main)
    folds = [
        (key, section)
        for key, _, section in (
            name.partition(".") for name in closing or default_closing(tree, main)
        )
        if key in flat_keys(flat)
    ]
    closed = poses_at(
        tree,
        main,
        {
            (key, face): angle
            for key, section in folds
            for face, angle in closed_angles(tree.pieces[key], section).items()
        },
    )
    closed_order = order
    for key, section in folds:
        closed_order = after_closing(tree, key, section, closed_order, flat)
    return {
        "flat": _state("flat", flat, order, tree, ("always", "open", "closed")),
        "open": _state("open", flat, order, tree, ("always", "open")),
        "closed": _state("closed", closed, closed_order, tree, ("always", "closed")),
    }


def main_body(tree: Tree) -> str:
    """The root that carries most pieces, the first of equals."""
    return max(tree.roots, key=lambda root: sum(1 for _ in tree.below(root)))


def flat_keys(poses: Mapping[FaceKey, Pose]) -> set[str]:
    return {piece for piece, _ in poses}


def default_closing(tree: Tree, main: str) -> list[str]:
    """Last attached, first closed."""
    return [key for key in reversed(list(tree.below(main))) if tree.pieces[key].scores]


def _state(
    name: str,
    poses: Mapping[FaceKey, Pose],
    order: Sequence[FaceKey],
    tree: Tree,
    present: tuple[str, ...],
) -> State:
    faces = tuple(
        PlacedFace(piece, face, poses[piece, face], index)
        for index, (piece, face) in enumerate(order)
        if tree.pieces[piece].source.present in present
    )
    return State(name, faces)


def poses_at(tree: Tree, main: str, angles: Mapping[FaceKey, int]) -> dict[FaceKey, Pose]:
    """The pose of every face of a body, its root at rest.

    ``angles`` gives the fold that a face hangs on its angle in degrees, a multiple of 90; folds
    that it does not name lie flat.
    """
    poses: dict[FaceKey, Pose] = {}

    def put(key: str, pose: Pose) -> None:
        piece = tree.pieces[key]
        for face, face_pose in _face_poses(piece, pose, angles):
            poses[key, face] = face_pose
        for child in tree.children.get(key, ()):
            put(child, poses[key, tree.pieces[child].host_face].then(tree.lying[child]))

    put(main, IDENTITY)
    return poses


def folds_outward(piece: ResolvedPiece) -> Iterator[tuple[str, str, Score]]:
    """Each fold as (face that stays, face that hangs on it, score), outward from ``by``."""
    found = {piece.by}
    waiting = [piece.by]
    while waiting:
        at = waiting.pop(0)
        for score in piece.scores:
            if at not in score.sides:
                continue
            other = score.sides[1] if score.sides[0] == at else score.sides[0]
            if other not in found:
                found.add(other)
                waiting.append(other)
                yield at, other, score


def closed_angles(piece: ResolvedPiece, section: str = "") -> dict[str, int]:
    """The closed angle of the fold that each face hangs on: of one section, or of them all."""
    return {
        hanging: score.closed
        for _, hanging, score in folds_outward(piece)
        if hanging == section or not section
    }


def folding_faces(piece: ResolvedPiece, section: str = "") -> set[str]:
    """The faces that move when the section folds: it and what hangs on it; without one, all."""
    moving = {section} if section else {piece.by}
    for staying, hanging, _ in folds_outward(piece):
        if staying in moving:
            moving.add(hanging)
    return moving - {piece.by}


def _face_poses(
    piece: ResolvedPiece, pose: Pose, angles: Mapping[FaceKey, int]
) -> list[tuple[str, Pose]]:
    """Poses of the piece's faces, spreading over its folds from the face it lies with."""
    found = {piece.by: pose}
    for staying, hanging, score in folds_outward(piece):
        angle = angles.get((piece.key, hanging), 0)
        found[hanging] = found[staying].then(_fold(score, hanging, angle))
    return list(found.items())


def _fold(score: Score, moving: str, angle: int) -> Pose:
    signed = angle if score.is_valley else -angle
    return folded(score.axis, score.at, signed, beyond=score.sides[1] == moving)


def _lying(child: ResolvedPiece, host: ResolvedPiece) -> Pose:
    """The pose of a piece within its host's plane, by its offsets from the host face's edges."""
    placement = child.source.placement
    assert child.offsets is not None and placement is not None
    face = child.face(child.by).box
    host_box = host.face(child.host_face).box
    in_place = _turned_to_origin(face, placement.turned)
    up = child.raised if lies_before_host(placement.relation) else -child.raised
    if faces_away(placement.relation):
        # Seen from the back, the host's right edge is on the left.
        corner = shifted(
            host_box.right - child.offsets.left, host_box.bottom + child.offsets.bottom, up
        )
        return corner.then(flipped()).then(in_place)
    corner = shifted(host_box.left + child.offsets.left, host_box.bottom + child.offsets.bottom, up)
    return corner.then(in_place)


def _turned_to_origin(box: Box, degrees: int) -> Pose:
    """Turn about the origin, then move so that the box's lower left corner is the origin."""
    if degrees == 0:
        return shifted(-box.left, -box.bottom)
    turn = turned(degrees)
    corners = [turn.apply(x, y) for x in (box.left, box.right) for y in (box.bottom, box.top)]
    return shifted(-min(c[0] for c in corners), -min(c[1] for c in corners)).then(turn)


def stack(tree: Tree, key: str) -> list[FaceKey]:
    """Faces from the back to the front, all folds flat."""
    below, above = _layers(tree, key)
    return [*below, *above]


def _layers(tree: Tree, key: str) -> tuple[list[FaceKey], list[FaceKey]]:
    """The layers of a piece and all that lies on it: up to its own faces, and what lies on them.

    What lies on a piece's front comes after it, in the order of the design, except that a piece
    inside a pocket comes before the pocket; what lies behind it or on its back comes before.
    What lies on the front of a piece behind its host is laid over the host as well.
    """
    below: list[FaceKey] = []
    above: list[FaceKey] = []
    inserts: list[FaceKey] = []
    for child in tree.children.get(key, ()):
        child_below, child_above = _layers(tree, child)
        placement = tree.pieces[child].source.placement
        assert placement is not None
        match placement.relation:
            case "on_back":
                below = [*reversed([*child_below, *child_above]), *below]
            case "behind":
                below = [*child_below, *below]
                above = [*above, *child_above]
            case "inside":
                inserts = [*inserts, *child_below, *child_above]
            case "on":
                above = [*above, *child_below, *child_above]
            case _:
                assert_never(placement.relation)
    own = [(key, face.name) for face in tree.pieces[key].faces]
    return [*below, *inserts, *own], above


def after_closing(
    tree: Tree, key: str, section: str, order: Sequence[FaceKey], flat: Mapping[FaceKey, Pose]
) -> list[FaceKey]:
    """The order of layers after a piece's folds close: what moved lies on top, turned over."""
    piece = tree.pieces[key]
    moved_faces = folding_faces(piece, section)
    moved = {(key, face) for face in moved_faces}
    for child in tree.children.get(key, ()):
        if tree.pieces[child].host_face in moved_faces:
            moved |= {face for below in tree.below(child) for face in _face_keys(tree, below)}
    towards_front = any(
        score.is_valley
        for _, hanging, score in folds_outward(piece)
        if hanging == section or not section
    )
    if flat[key, piece.by].normal[2] < 0:
        towards_front = not towards_front
    staying = [face for face in order if face not in moved]
    turned_over = [face for face in reversed(order) if face in moved]
    return [*staying, *turned_over] if towards_front else [*turned_over, *staying]


def _face_keys(tree: Tree, key: str) -> list[FaceKey]:
    return [(key, face.name) for face in tree.pieces[key].faces]
