"""The work: the thing as it is made, moment by moment; the one place that knows where what lies.

In: a resolved design.  Out: its :class:`Work`.  Everything that is drawn, checked or said about
place, order, visibility and motion is asked of it:

- :func:`work_of` plays the steps of a design, once for each resolved design;
- :func:`pierced` gives the design with the holes and marks that its fastenings make when they are
  set, which is what later stages are handed;
- :func:`after_steps` gives it as it is when each step is done, with the holes made by then;
- :func:`placed` gives its pieces in their places, whatever the steps say of them;
- :func:`try_size` works out another size of a design that was played, by the same motions.
"""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Collection
from dataclasses import replace
from functools import lru_cache

from gatherfold.resolve import REMEMBERED, ResolvedDesign, named_fastenings
from gatherfold.work.piercing import with_holes, with_marks
from gatherfold.work.play import play
from gatherfold.work.replaying import replayed

# fmt: off
# isort: off
from gatherfold.work.adhesive import contact as contact, glued_down as glued_down
from gatherfold.work.assembly import (Adhesive as Adhesive, Assembly as Assembly, Bond as Bond,
    Crease as Crease, FoldKey as FoldKey, reached as reached)
from gatherfold.work.closing import Turn as Turn, open_folds as open_folds
from gatherfold.work.finished import (FLAT as FLAT, Swings as Swings,
    finished_size as finished_size, goes_inside as goes_inside, is_lowered_into as is_lowered_into,
    laying_down as laying_down, lowest_face as lowest_face, lying as lying,
    lying_open as lying_open, swings_of as swings_of, wrapped_round as wrapped_round,
    wraps as wraps)
from gatherfold.work.glue_areas import (GlueArea as GlueArea, glue_areas as glue_areas,
    in_own as in_own)
from gatherfold.work.layers import (InTheWay as InTheWay, Layers as Layers, layers_of as layers_of,
    seen_box as seen_box)
from gatherfold.work.moments import (Difficulty as Difficulty, Moment as Moment, Motion as Motion,
    Placing as Placing, Tie as Tie, Trouble as Trouble, Work as Work)
from gatherfold.work.parts import (Part as Part, Parts as Parts, closing_demands as closing_demands,
    glued_side as glued_side, host_side as host_side, section_folds as section_folds,
    tape_width as tape_width, under_of as under_of)
from gatherfold.work.piercing import (Stack as Stack, faces_of as faces_of, place_on as place_on,
    set_in as set_in, setting_of as setting_of, stack_in as stack_in, unfolded_at as unfolded_at)
from gatherfold.work.play import ALL as ALL
from gatherfold.work.putting import Stuck as Stuck, Way as Way, walls_met as walls_met
from gatherfold.work.regions import (Bounds as Bounds, FaceKey as FaceKey, Plate as Plate,
    extent as extent)
from gatherfold.work.space import (ACROSS as ACROSS, AT_REST as AT_REST, AXES as AXES,
    TURNED_OVER as TURNED_OVER, Place as Place, Rigid as Rigid, SpaceLine as SpaceLine,
    along as along, as_pose as as_pose, quarter_turn as quarter_turn, shifted_by as shifted_by,
    size as size)
from gatherfold.work.turning import Blocked as Blocked, Obstacle as Obstacle, Swing as Swing
from gatherfold.work.visible import (Look as Look, from_far_to_near as from_far_to_near,
    is_nearer as is_nearer, is_seen as is_seen, look_at as look_at, nearer_at as nearer_at,
    region_shape as region_shape, shape_of as shape_of, visible_parts as visible_parts)
# isort: on
# fmt: on

#: So many designs are in hand at once: both editions, and each of them as its steps pierce it.
_KEPT = 4 * REMEMBERED
#: The works asked for last, the latest at the end; each holds its design, so few are kept.
_PLAYED: OrderedDict[ResolvedDesign, Work] = OrderedDict()


def work_of(resolved: ResolvedDesign) -> Work:
    """Play the steps of a design; the same design is played once."""
    if resolved not in _PLAYED:
        _remember(resolved, play(resolved))
    _PLAYED.move_to_end(resolved)
    return _PLAYED[resolved]


def placed(resolved: ResolvedDesign) -> Work:
    """Place all pieces where the design has them, whatever its steps say; nothing is closed."""
    return play(replace(resolved, design=replace(resolved.design, steps=())), closes=False)


def _remember(resolved: ResolvedDesign, work: Work) -> None:
    _PLAYED[resolved] = work
    while len(_PLAYED) > _KEPT:
        _PLAYED.popitem(last=False)


def pierced(resolved: ResolvedDesign) -> ResolvedDesign:
    """Give the design with the points at which fastenings meet its pieces, and their holes."""
    work = work_of(resolved)
    fastenings = with_marks(work)
    pieces = with_holes(resolved, fastenings)
    strips = {
        key: replace(
            strip,
            parts=tuple(replace(part, piece=pieces[part.piece.key]) for part in strip.parts),
        )
        for key, strip in resolved.strips.items()
    }
    found = replace(resolved, pieces=pieces, fastenings=fastenings, strips=strips)
    _remember(found, work)
    return found


@lru_cache(maxsize=REMEMBERED)
def after_steps(resolved: ResolvedDesign) -> tuple[ResolvedDesign, ...]:
    """Give a pierced design as it is after each of its steps, with the holes made by then."""
    found: list[ResolvedDesign] = []
    fastened: set[str] = set()
    for step in resolved.design.steps:
        new = named_fastenings(step, resolved)
        fastened |= set(new)
        found.append(found[-1] if found and not new else _pierced_by(resolved, fastened))
    return tuple(found)


def _pierced_by(resolved: ResolvedDesign, fastenings: Collection[str]) -> ResolvedDesign:
    """The design when only some of its fastenings are set."""
    pieces = {}
    for key, piece in resolved.pieces.items():
        holes = [h for h in piece.holes if h.fastening is None or h.fastening in fastenings]
        if len(holes) < len(piece.holes):
            pieces[key] = replace(piece, holes=tuple(holes))
    if not pieces:
        return resolved
    found = replace(resolved, pieces={**resolved.pieces, **pieces})
    _remember(found, work_of(resolved))
    return found


def try_size(played: ResolvedDesign, resolved: ResolvedDesign) -> None:
    """Work out ``resolved``, another size of a design that was played, by the same motions."""
    _remember(resolved, replayed(work_of(played), resolved))
