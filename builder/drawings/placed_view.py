"""Placed faces as seen from the front or from behind: rings in the plane, in painter's order.

In: resolved pieces and the faces of a state.  Out: what a viewer before (+z) or behind (−z) the
work sees, in model mm; a view from behind is mirrored when it is mapped to paper.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from builder.choices import Fold
from builder.drawings.features import hole_ring, outline_ring, piece_rings, rect_of, score_run
from builder.drawings.plane import Place, Rect, around, bounding, clipped_ring, clipped_run
from builder.drawings.wording import named
from builder.geometry.pose import Pose
from builder.resolve.placement import FaceKey, place, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece, Score

Ring = tuple[Place, ...]


class Cover(Protocol):
    """Something flat that may lie over something else: its outline first, then its openings."""

    @property
    def rings(self) -> tuple[Ring, ...]: ...

    @property
    def extent(self) -> Rect: ...


def flat_map(pose: Pose) -> Callable[[Place], Place]:
    """A face's own place → where it lies in x and y."""
    (a, b, _), (c, d, _), _ = pose.rotation
    e, f = float(pose.shift[0]), float(pose.shift[1])
    return lambda p: (a * p[0] + b * p[1] + e, c * p[0] + d * p[1] + f)


@dataclass(frozen=True)
class LaidPiece:
    """A whole piece lying flat; ``order`` grows towards the front, ``faces_front`` says which
    side of it a viewer before the work sees."""

    piece: ResolvedPiece
    pose: Pose
    order: int
    faces_front: bool

    @cached_property
    def rings(self) -> tuple[Ring, ...]:
        return tuple(self.ring(ring) for ring in piece_rings(self.piece))

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])

    def ring(self, places: Iterable[Place]) -> Ring:
        move = flat_map(self.pose)
        return tuple(move(p) for p in places)

    def rect(self, rect: Rect) -> Rect:
        return bounding(self.ring(rect.ring))

    def score_runs(self) -> tuple[tuple[Score, Ring], ...]:
        return tuple((score, self.ring(score_run(score))) for score in self.piece.scores)

    def has_face(self, name: str) -> bool:
        """Whether the face is part of this: all are, of a whole piece."""
        return any(face.name == name for face in self.piece.faces)

    @property
    def titles(self) -> tuple[str, str]:
        """What it is called on a drawing, the fullest first."""
        return named(self.piece), self.piece.code

    def meeting_rect(self, host_face: str) -> Rect:
        """Where something laid on ``host_face`` can meet it."""
        return self.face_rect(host_face)

    def face_rect(self, name: str) -> Rect:
        return self.rect(rect_of(self.piece.face(name).box))


def laid_pieces(resolved: ResolvedDesign, keys: Sequence[str]) -> dict[str, LaidPiece]:
    """The pieces as they lie with all folds flat, in the order of ``keys``.

    Only those are laid out that belong to the same body as the last of ``keys``.
    """
    if not keys:
        return {}
    placed = {face.piece: face for face in _flat_faces(resolved, keys[-1])}
    found: dict[str, LaidPiece] = {}
    for key in dict.fromkeys(keys):
        face = placed.get(key)
        if face is not None:
            piece = resolved.pieces[face.piece]
            front = face.pose.normal[2] > 0
            found[face.piece] = LaidPiece(piece, face.pose, face.order, front)
    return found


def _flat_faces(resolved: ResolvedDesign, key: str) -> Sequence[PlacedFace]:
    """The flat state of the body that ``key`` belongs to; loose bodies are laid out here."""
    flat = resolved.states["flat"].faces
    if any(face.piece == key for face in flat):
        return flat
    tree = tree_of(resolved)
    body = {name: resolved.pieces[name] for name in tree.below(tree.root_of(key))}
    return place(body, ())["flat"].faces


@dataclass(frozen=True)
class SeenFace:
    """One face of a folded piece in a picture: its outline and the openings through it.

    ``edges`` are the runs where paper ends or turns over, ``folds`` the folds along it that lie
    flat, each with its kind as the viewer sees it: from behind, a valley is a mountain.
    """

    piece: ResolvedPiece
    rings: tuple[Ring, ...]
    shows_front: bool
    edges: tuple[Ring, ...]
    folds: tuple[tuple[Fold, Ring], ...]

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])


def seen_faces(
    pieces: Mapping[str, ResolvedPiece], faces: Iterable[PlacedFace], from_front: bool
) -> tuple[SeenFace, ...]:
    """Faces not seen edge-on, the farthest first."""
    towards = 1 if from_front else -1
    flat = [face for face in faces if face.pose.normal[2] != 0]
    flat.sort(key=lambda face: (towards * face.pose.shift[2], towards * face.order))
    sides = {(face.piece, face.face): face.pose.normal for face in flat}
    seen = (_seen(pieces[face.piece], face, towards, sides) for face in flat)
    return tuple(face for face in seen if face is not None)


def _seen(
    piece: ResolvedPiece,
    face: PlacedFace,
    towards: int,
    sides: Mapping[FaceKey, tuple[int, int, int]],
) -> SeenFace | None:
    box = rect_of(piece.face(face.face).box)
    move = flat_map(face.pose)
    openings = [*(outline_ring(w) for w in piece.windows), *(hole_ring(h) for h in piece.holes)]
    rings_of_piece = [outline_ring(piece.outline), *openings]
    is_folded = len(piece.faces) > 1
    clipped = [clipped_ring(r, box) for r in rings_of_piece] if is_folded else rings_of_piece
    if len(clipped[0]) < 3:
        return None
    closed = [(*ring, ring[0]) for ring in rings_of_piece]
    edges = [run for r in closed for run in clipped_run(r, box)] if is_folded else closed
    shows_front = face.pose.normal[2] * towards > 0
    folds = []
    for score in (score for score in piece.scores if face.face in score.sides):
        beside = [sides.get((piece.key, side)) for side in score.sides]
        for run in clipped_run(score_run(score), box):
            if beside[0] == beside[1]:
                folds.append((score.fold_seen(shows_front), run))
            else:
                edges.append(run)

    def moved(ring: Iterable[Place]) -> Ring:
        return tuple(move(p) for p in ring)

    return SeenFace(
        piece,
        tuple(moved(ring) for ring in clipped if len(ring) > 2),
        shows_front,
        tuple(moved(run) for run in edges),
        tuple((kind, moved(run)) for kind, run in folds),
    )


def uncovered(faces: Sequence[SeenFace]) -> tuple[SeenFace, ...]:
    """The faces without those that lie wholly under one plain rectangle in front of them."""
    kept: list[SeenFace] = []
    covers: list[Rect] = []
    for face in reversed(faces):
        extent = bounding(face.rings[0])
        if any(cover.contains(extent) for cover in covers):
            continue
        kept.append(face)
        if len(face.rings) == 1 and len(face.rings[0]) == 4:
            covers.append(extent)
    return tuple(reversed(kept))


def extent_of(faces: Sequence[SeenFace]) -> Rect:
    return around(bounding(face.rings[0]) for face in faces)
