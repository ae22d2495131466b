"""Which side of the work each end of a fastening lies on: outside or inside when it is closed.

In: a resolved design and a setting.  Out: the words for the side of the head and for the far side.
Inside is where something folds over the layers that it goes through; where nothing does, or on
both sides something does, the sides are the front and the back of the work as it lies flat.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.drawings.fastening_setting import Setting
from builder.drawings.wording import words_of
from builder.geometry.outline import Point
from builder.resolve.resolved import ResolvedDesign
from builder.work import Work, work_of
from builder.work.regions import Plate
from builder.work.space import ACROSS

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
    # The first layer may turn on the fastening; it is fixed in the last.
    work, key = work_of(resolved), setting.faces[-1]
    anchor, mark = work.closed.plates.get(key), setting.fastening.marks.get(key.piece)
    head = 1 if setting.from_front else -1
    as_it_lies = _FLAT_SIDES[head], _FLAT_SIDES[-head]
    if anchor is None or mark is None:
        return as_it_lies
    folded_over = set(_folded_over(work, setting, anchor, mark))
    if len(folded_over) != 1:
        return as_it_lies
    # A cover that is turned over when the work closes takes its head to the other side.
    turned = anchor.facing if setting.layers[-1].faces_front else -anchor.facing
    (inner,) = folded_over
    outside = _OUTSIDES[-inner]
    return ("draw_inside", outside) if head * turned == inner else (outside, "draw_inside")


def _folded_over(work: Work, setting: Setting, anchor: Plate, mark: Point) -> Iterator[int]:
    """For each layer of the closed work that meets the line of the fastening and has moved
    against its anchor: 1 where it lies further along their axis, else −1."""
    through = {layer.piece.key for layer in setting.layers}
    place = anchor.pose.apply((mark.x * work.scale, mark.y * work.scale, 0))
    first, second = ACROSS[anchor.axis]
    before = work.opened.plates[anchor.key].pose.undone()
    for key, plate in work.closed.plates.items():
        was = work.opened.plates.get(key)
        if key.piece in through or was is None or plate.axis != anchor.axis:
            continue
        if not plate.region.holds((place[first], place[second])):
            continue
        if anchor.pose.undone().then(plate.pose) == before.then(was.pose):
            continue
        if plate.plane != anchor.plane:
            yield 1 if plate.plane > anchor.plane else -1
        else:
            yield 1 if work.closed.is_above(anchor.key, key) else -1
