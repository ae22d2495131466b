"""Which side of the work each end of a fastening lies on: outside or inside when it is closed.

In: a resolved design and a setting.  Out: the words for the side of the head and for the far side.
Inside is where something folds over the layers that it goes through; where nothing does, or on
both sides something does, the sides are the front and the back of the work as it lies flat.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from builder.drawings.closed_stack import closed_faces
from builder.drawings.fastening_setting import Setting
from builder.drawings.wording import words_of
from builder.geometry.areas import placed
from builder.geometry.outline import Point
from builder.resolve.placement import FaceKey, main_body, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.resolve.turns import flat_faces

_FLAT_SIDES = {1: "draw_side_front", -1: "draw_side_back"}
_OUTSIDES = {1: "draw_outside_front", -1: "draw_outside_back"}


def side_words(resolved: ResolvedDesign, setting: Setting) -> tuple[str, str] | None:
    """The side of the head and the far side; None for what lies between the layers that it draws
    together."""
    if setting.fastening.source.fastener.ends is None:
        return None
    wording = words_of(resolved)
    head, far = _sides(resolved, setting)
    return wording.phrase(head), wording.phrase(far)


def _sides(resolved: ResolvedDesign, setting: Setting) -> tuple[str, str]:
    head = 1 if setting.from_front else -1
    as_it_lies = _FLAT_SIDES[head], _FLAT_SIDES[-head]
    closed = closed_faces(resolved) if resolved.pieces else ()
    anchor = _anchor(resolved, setting, closed)
    if anchor is None:
        return as_it_lies
    tree = tree_of(resolved)
    flat = {(f.piece, f.face): f for f in flat_faces(resolved, main_body(tree))}
    folded_over = set(_folded_over(resolved, setting, closed, anchor, flat))
    if len(folded_over) != 1:
        return as_it_lies
    # A cover that is turned over when the work closes takes its head to the other side.
    turned = anchor.pose.normal[2] * flat[anchor.piece, anchor.face].pose.normal[2]
    (inner,) = folded_over
    outside = _OUTSIDES[-inner]
    return ("draw_inside", outside) if head * turned == inner else (outside, "draw_inside")


def _anchor(
    resolved: ResolvedDesign, setting: Setting, closed: Sequence[PlacedFace]
) -> PlacedFace | None:
    """The lying face that the fastening is fixed in: of the last layer, since the first may turn
    on it."""
    key = setting.layers[-1].piece.key
    mark = setting.fastening.marks.get(key)
    faces = (f for f in closed if f.piece == key and f.pose.normal[2] != 0)
    if mark is None:
        return None
    return next((f for f in faces if resolved.pieces[key].face(f.face).box.contains(mark)), None)


def _folded_over(
    resolved: ResolvedDesign,
    setting: Setting,
    closed: Sequence[PlacedFace],
    anchor: PlacedFace,
    flat: Mapping[FaceKey, PlacedFace],
) -> Iterator[int]:
    """For each layer of the closed work that meets the line of the fastening and has moved
    against it: 1 where it lies in front of it, else −1."""
    mark = setting.fastening.marks[anchor.piece]
    x, y, _ = anchor.pose.apply(mark.x, mark.y)
    through = {laid.piece.key for laid in setting.layers}
    before = flat[anchor.piece, anchor.face]
    for face in closed:
        piece = resolved.pieces[face.piece]
        if face.piece in through or piece.source.present == "closed" or not face.pose.normal[2]:
            continue
        box = piece.face(face.face).box
        if not placed(face.pose, box).seen.contains(Point(x, y)):
            continue
        was = flat[face.piece, face.face]
        if any(
            anchor.pose.undo(face.pose.apply(*corner)) != before.pose.undo(was.pose.apply(*corner))
            for corner in ((box.left, box.bottom), (box.right, box.bottom), (box.left, box.top))
        ):
            yield 1 if face.order > anchor.order else -1
