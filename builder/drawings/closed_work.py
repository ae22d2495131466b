"""The closed work, for drawings of what goes on it last: a band, a seal.

In: a resolved design, the pieces that are there only when the work is closed, and those already
there.  Out: the faces that show on the side they go on, each lying where it lies when closed, and
the new pieces flat over them, before they are folded round.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from builder.choices import lies_before_host
from builder.drawings.assembly_view import Work
from builder.drawings.features import piece_rings, rect_of
from builder.drawings.placed_view import LaidPiece, Ring
from builder.drawings.plane import Rect, bounding, clipped_ring
from builder.drawings.wording import face_words
from builder.resolve.placement import tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, Score


@dataclass(frozen=True)
class LaidFace(LaidPiece):
    """One face of a folded piece, where it lies when the work is closed."""

    face: str = ""

    @cached_property
    def rings(self) -> tuple[Ring, ...]:
        box = rect_of(self.piece.face(self.face).box)
        clipped = (clipped_ring(ring, box) for ring in piece_rings(self.piece))
        return tuple(self.ring(ring) for ring in clipped if len(ring) > 2)

    @cached_property
    def extent(self) -> Rect:
        return bounding(self.rings[0])

    def has_face(self, name: str) -> bool:
        return name == self.face

    @property
    def titles(self) -> tuple[str, str]:
        if len(self.piece.faces) < 2:
            return super().titles
        full, short = super().titles
        face = face_words(self.face)
        return f"{full} ({face})", f"{short} ({face})"

    def meeting_rect(self, host_face: str) -> Rect:
        return self.extent

    def score_runs(self) -> tuple[tuple[Score, Ring], ...]:
        return ()


def closed_work(
    resolved: ResolvedDesign, new: Sequence[str], present: Collection[str]
) -> Work | None:
    """``new`` on the closed work, seen from the side that most of it goes on; None where a host
    does not lie flat when closed, or no new piece has one."""
    faces = {(face.piece, face.face): face for face in resolved.states["closed"].faces}
    votes, poses = [], {}
    for key in new:
        piece = resolved.pieces[key]
        own = faces.get((key, piece.by))
        placement = piece.source.placement
        host = faces.get((placement.host, piece.host_face)) if placement is not None else None
        if own is None or host is None or placement is None or not own.pose.normal[2]:
            return None
        is_outward = lies_before_host(placement.relation)
        votes.append((host.pose.normal[2] > 0) == is_outward)
        poses[key] = own
    if not votes:
        return None
    from_front = 2 * sum(votes) >= len(votes)
    tree = tree_of(resolved)
    # What is glued on a new piece already comes with it, over it.
    carried = [
        key
        for piece in new
        for key in tree.below(piece)
        if key in present and key not in new and (key, resolved.pieces[key].by) in faces
    ]
    there = [f for f in faces.values() if f.piece in present and f.piece not in (*new, *carried)]
    laid = [
        *laid_faces(resolved, there, from_front),
        *(_whole(resolved, poses[key]) for key in new),
        *(_whole(resolved, faces[key, resolved.pieces[key].by]) for key in carried),
    ]
    return Work(resolved.pieces, tuple(laid), tuple(new), from_front, is_closed=True)


def _whole(resolved: ResolvedDesign, face: PlacedFace) -> LaidPiece:
    piece = resolved.pieces[face.piece]
    return LaidPiece(piece, face.pose, face.order, face.pose.normal[2] > 0)


def laid_faces(
    resolved: ResolvedDesign, faces: Sequence[PlacedFace], from_front: bool
) -> Iterator[LaidFace]:
    """The faces that can be seen, the farthest first."""
    towards = 1 if from_front else -1
    lying = [face for face in faces if face.pose.normal[2]]
    lying.sort(key=lambda face: (towards * face.pose.shift[2], towards * face.order))
    found: list[LaidFace] = []
    covers: list[Rect] = []
    for face in reversed(lying):
        piece = resolved.pieces[face.piece]
        laid = LaidFace(piece, face.pose, face.order, face.pose.normal[2] > 0, face.face)
        if not laid.rings or any(cover.contains(laid.extent) for cover in covers):
            continue
        found.append(laid)
        if len(laid.rings) == 1 and len(laid.rings[0]) == 4:
            covers.append(laid.extent)
    yield from reversed(found)
