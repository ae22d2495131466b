"""Which pictures a step has: the moments of the work that are drawn together.

In: the work and the number of a step.  Out: stages in order.  Pieces that go on one side of one
assembly share a stage where none hides where another goes; what is slid in or lowered has one of
its own.  Of what is glued as it closes a stage shows it before, when the glue is put on.  What
moves in a step is shown there, each movement after the other, before what is put on it then.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from gatherfold.drawings.motion.movements import Movements, sequence_of, sequences
from gatherfold.geometry import crosses
from gatherfold.model import is_in_pocket
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import (
    Assembly,
    Bond,
    FaceKey,
    GlueArea,
    Look,
    Moment,
    Placing,
    Swing,
    Tie,
    Turn,
    Way,
    glue_areas,
    host_side,
    is_seen,
    look_at,
    visible_parts,
    work_of,
)

#: The axis that what lies flat looks along.
_UPWARD = 2
#: Of so many steps the stages are remembered: of all of a design's.
_REMEMBERED = 64


@dataclass(frozen=True, eq=False)
class PlacedStage:
    """Pieces that go down together on one assembly, with the glue of each and the look at them."""

    placings: tuple[Placing, ...]
    bonds: tuple[Bond, ...]
    look: Look

    @property
    def new(self) -> tuple[str, ...]:
        """The pieces that are placed."""
        return tuple(placing.piece for placing in self.placings)

    @property
    def after(self) -> Assembly:
        """The assembly when all of them are in their place."""
        return self.placings[-1].put.after

    @property
    def way(self) -> Way:
        """How they come to their place."""
        return self.placings[-1].put.way

    @property
    def came(self) -> frozenset[str]:
        """All that comes with them: what is on them already."""
        return frozenset(piece for placing in self.placings for piece in came_with(placing))

    @property
    def pieces(self) -> frozenset[str]:
        """All that is in the picture."""
        return self.came | frozenset(self.placings[0].before.pieces)

    @property
    def came_by(self) -> dict[str, frozenset[str]]:
        """What comes with each piece."""
        return {placing.piece: came_with(placing) for placing in self.placings}

    def part(self, shown: Sequence[str]) -> PlacedStage:
        """The stage when only some of its pieces are placed."""
        if set(self.new) <= set(shown):
            return self
        kept = tuple(placing for placing in self.placings if placing.piece in shown)
        there = kept[-1].put.after.plates
        bonds = (bond for bond in self.bonds if there.keys() >= {*bond.faces})
        return replace(self, placings=kept, bonds=tuple(bonds))


@dataclass(frozen=True, eq=False)
class GluedStage:
    """Sections that are glued as they close: the assembly when the glue is put on, and its areas.

    ``folded`` are the faces that the step has closed before, ``turns`` all that it closes.
    """

    before: Assembly
    areas: tuple[GlueArea, ...]
    look: Look
    folded: tuple[FaceKey, ...]
    turns: tuple[Turn, ...]

    @property
    def sections(self) -> tuple[FaceKey, ...]:
        """The faces that glue is put on."""
        return tuple(dict.fromkeys(area.face for area in self.areas))

    @property
    def came_by(self) -> dict[str, frozenset[str]]:
        """The pieces that they are sections of, each as it came: alone."""
        return {section.piece: frozenset([section.piece]) for section in self.sections}

    def part(self, shown: Sequence[str]) -> GluedStage:
        """The stage itself: its sections are shown together."""
        return self


Stage = PlacedStage | GluedStage | Movements


def came_with(placing: Placing) -> frozenset[str]:
    """A piece that is placed and all that is on it already."""
    return frozenset(placing.put.after.pieces) - frozenset(placing.before.pieces)


@lru_cache(maxsize=_REMEMBERED)
def stages_of(resolved: ResolvedDesign, number: int) -> tuple[Stage, ...]:
    """The stages of a step, in the order in which they begin; 0 is what no step places."""
    stages: list[Stage] = []
    turns: list[Turn] = []
    moved: int | None = None
    for moment in work_of(resolved).moments_of(number):
        if isinstance(moment.motion, Turn | Swing | Tie):
            moved = len(stages)
        if isinstance(moment.motion, Turn):
            turns.append(moment.motion)
            continue
        if isinstance(moment.motion, Placing):
            _place(stages, resolved, moment, moment.motion)
        elif turns and (own := _turns_for(turns, moment)):
            stages += _glued(resolved, moment, own)
            moved = len(stages)
        elif moment.bonds:
            _join_further(stages, moment)
        turns = []
    moving = sequence_of(resolved, number) if number else None
    if moving is not None:
        # What is put on what has moved comes after the movements.
        stages.insert(len(stages) if moved is None else moved, moving)
    return tuple(stages)


def movements_left(resolved: ResolvedDesign) -> tuple[Movements, ...]:
    """The movements that no picture of a step shows."""
    shown = {n for n, step in enumerate(resolved.design.steps, start=1) if step.figure}
    return tuple(each for each in sequences(resolved) if each.step not in shown)


def _place(stages: list[Stage], resolved: ResolvedDesign, moment: Moment, placing: Placing) -> None:
    """Put a placing in the latest stage that it can share, or in a new one."""
    piece = resolved.pieces[placing.piece]
    placed = PlacedStage((placing,), _glue(moment.bonds), look_of(piece, placing))
    own = came_with(placing)
    between: set[str] = set()
    for index in reversed(range(len(stages))):
        stage = stages[index]
        if not isinstance(stage, PlacedStage):
            break
        if _can_share(stage, placed) and not _are_joined(resolved, own, stage.came):
            stages[index] = PlacedStage(
                (*stage.placings, placing), (*stage.bonds, *placed.bonds), stage.look
            )
            return
        between |= stage.came
        joined = {placing.host.piece, *own, *(bond.second.piece for bond in placed.bonds)}
        if stage.look == placed.look and stage.after.base in placing.before.plates:
            # What hides it, or is held in another way, comes first.
            break
        if not between.isdisjoint(joined):
            break
    stages.append(placed)


def look_of(piece: ResolvedPiece, placing: Placing) -> Look:
    """The look at the place of work: straight at what a piece is laid on; at a pocket from its
    front; at what is lowered from the side."""
    after = placing.put.after
    relation = piece.source.placement.relation if piece.source.placement is not None else "on"
    side = 1 if is_in_pocket(relation) else host_side(relation)
    look = look_at(after, placing.host, side)
    if placing.put.way is not Way.LOWERED:
        return look
    return Look(0, 1) if look.axis == 1 else Look(1, -1)


def _can_share(stage: PlacedStage, placed: PlacedStage) -> bool:
    """Whether a piece goes down together with others: on the same side of what they go on, held in
    the same way, and clear of where they go."""
    (placing,) = placed.placings
    last = stage.placings[-1]
    if Way.LAID is not placing.put.way or Way.LAID is not last.put.way:
        return False
    if stage.look != placed.look or last.is_glued != placing.is_glued:
        return False
    after, before = last.put.after, placing.before
    if any(before.plates[k].pose != p.pose if k in before.plates else True
           for k, p in after.plates.items()):  # fmt: skip
        return False
    return not _hides(placing, stage)


def _are_joined(resolved: ResolvedDesign, own: frozenset[str], others: frozenset[str]) -> bool:
    """Whether further joins are made between what is placed and what a stage has placed."""
    return any(
        join.host in far
        for near, far in ((own, others), (others, own))
        for key in near
        for join in resolved.pieces[key].joins
    )


def _hides(placing: Placing, stage: PlacedStage) -> bool:
    """Whether something placed lies over what a stage has placed, or under it, as it is seen."""
    own = came_with(placing)
    flat = [p for p in placing.put.after.plates.values() if p.axis == stage.look.axis]
    return any(
        crosses(new.bounds, old.bounds) and new.region.overlaps(old.region)
        for new in flat
        if new.key.piece in own
        for old in flat
        if old.key.piece in stage.came
    )


def _glue(bonds: Sequence[Bond]) -> tuple[Bond, ...]:
    return tuple(bond for bond in bonds if bond.kind == "glue")


def _join_further(stages: list[Stage], moment: Moment) -> None:
    """Further joins that meet as a piece is laid down are glued with it."""
    for index in reversed(range(len(stages))):
        stage = stages[index]
        if isinstance(stage, PlacedStage) and any(
            b.first in stage.after.plates for b in moment.bonds
        ):
            bonds = [b for b in _glue(moment.bonds) if stage.after.plates.keys() >= {*b.faces}]
            stages[index] = replace(stage, bonds=(*stage.bonds, *bonds))
            return


def _turns_for(turns: Sequence[Turn], moment: Moment) -> tuple[Turn, ...]:
    """The turns that bring together what a moment joins."""
    pieces = set(moment.assembly.pieces)
    joined = _glue(moment.bonds)
    own = tuple(turn for turn in turns if turn.fold.piece in pieces)
    moved = {face for turn in own for face in turn.moved}
    return own if any({bond.first, bond.second} & moved for bond in joined) else ()


def _glued(
    resolved: ResolvedDesign, moment: Moment, turns: tuple[Turn, ...]
) -> Iterator[GluedStage]:
    """A stage for what is glued at one time and seen from one side."""
    areas = [(_begin(resolved, area, turns), area) for area in
             glue_areas(moment.assembly, _glue(moment.bonds))]  # fmt: skip
    areas.sort(key=lambda each: each[0])
    found: list[tuple[int, Look, list[GlueArea]]] = []
    for begin, area in areas:
        state = turns[begin].before
        look = look_at(state, area.face, area.adhesive.side)
        for start, other, own in found:
            moved = {face for turn in turns[start:begin] for face in turn.moved}
            if other == look and not moved & {area.face, *area.joined}:
                own.append(area)
                break
        else:
            found.append((begin, look, [area]))
    for begin, look, own in found:
        state = turns[begin].before
        parts = visible_parts(state, look)
        kept = tuple(area for area in own if area.face in parts and is_seen(parts[area.face]))
        shown = kept or tuple(own)
        sections = {area.face for area in shown}
        folded = dict.fromkeys(t.fold.face for t in turns[:begin] if t.fold.face not in sections)
        yield GluedStage(state, shown, look, tuple(folded), turns)


def _begin(resolved: ResolvedDesign, area: GlueArea, turns: Sequence[Turn]) -> int:
    """The turn before which glue is put on: a tab's before any, a section's before it moves."""
    piece = resolved.pieces[area.face.piece]
    if any(tab.name == area.face.face for tab in piece.source.tabs):
        return 0
    return next((number for number, turn in enumerate(turns) if area.face in turn.moved), 0)
