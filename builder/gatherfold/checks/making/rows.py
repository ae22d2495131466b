"""What is done to some of a row and not to all: sections that close, folds, ink, dry fits, mats.

In: the stages of a design.  Out: findings about the one that was left out.  A row is what mirrors
one another on a piece, what is of one kind, or what one group of the design writes out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence

from gatherfold.checks.making.stages import Stage, closed_by_name
from gatherfold.checks.report import finding_kind, in_words, section_in_words
from gatherfold.findings import Finding, Position
from gatherfold.model import Fold, Operation
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, named_pieces
from gatherfold.work import Crease, FaceKey, FoldKey, Part, region_shape, work_of

#: A row is so many at least, of which one was forgotten (no source).
_ROW, _GROUP = 4, 3
_DONE: tuple[Operation, ...] = ("ink", "fold")
_OTHER_WAY: Mapping[Fold, Fold] = {"valley": "mountain", "mountain": "valley"}


def check_rows(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Rows of which one was left out."""
    closed = closed_by_name(resolved, stages)
    closes_all = any(stage.operation == "close" and stage.closes_all for stage in stages)
    for part in work_of(resolved).parts.pieces.values():
        yield from _left_open(resolved, part, closed, closes_all)
        yield from _folds_other_way(resolved, part)
        yield from _bare(resolved, part)
    for operation in _DONE:
        yield from _left_out(resolved, operation)


def _left_open(
    resolved: ResolvedDesign, part: Part, closed: Mapping[FoldKey, Stage], closes_all: bool
) -> Iterator[Finding]:
    """A section that no step closes by name, though one that mirrors it is; or any at all, where
    nothing closes it later."""
    is_begun = any(crease.key in closed for crease in part.creases)
    # What only lies there may stay open; what is glued down by a foot is meant to stand.
    is_missed = bool(closed) and not closes_all and bool(part.piece.glued)
    for crease in _open_sections(resolved, part, closed) if is_begun or is_missed else ():
        told = {"section": section_in_words(resolved, crease.hanging), "name": str(crease.key)}
        twin = next(_twins(resolved, part, crease, closed), None)
        if twin is not None:
            told |= {"where": closed[twin].where, "twin": section_in_words(resolved, twin)}
            yield finding_kind("section-left-open").found(resolved, part.piece, **told)
        elif not closes_all:
            yield finding_kind("never-closed").found(resolved, part.piece, **told)


def _open_sections(
    resolved: ResolvedDesign, part: Part, closed: Collection[FoldKey]
) -> Iterator[Crease]:
    """What is made to close, and is not closed by name; tabs, and what lies flat in the end, are
    left out."""
    tabs, final = _tabs(part), work_of(resolved).closed
    for crease in part.creases:
        is_left = crease.closed and crease.key not in closed and crease.hanging.face not in tabs
        if is_left and (crease.key not in final.creases or final.angle(crease.key)):
            yield crease


def _twins(
    resolved: ResolvedDesign, part: Part, crease: Crease, closed: Collection[FoldKey]
) -> Iterator[FoldKey]:
    """What steps close that mirrors a section, or else the same section of another piece of the
    kind and of the same make."""
    named = (each for each in part.creases if each.key in closed)
    yield from (each.key for each in named if _is_twin(part, crease, each))
    others = (each for each in resolved.pieces.values() if _is_of_make(each, part.piece))
    same = (FoldKey(other.key, crease.hanging.face) for other in others)
    yield from (fold for fold in same if fold in closed)


def _is_of_make(one: ResolvedPiece, two: ResolvedPiece) -> bool:
    """Whether two pieces are of one kind, with the same sections."""
    makes = [(each.source.kind, *(face.name for face in each.faces)) for each in (one, two)]
    return one.key != two.key and makes[0] == makes[1]


def _tabs(part: Part) -> set[str]:
    """The sections that are there to be glued to something: tabs, and what joins name."""
    source = part.piece.source
    return {*(tab.name for tab in source.tabs), *(join.face for join in part.piece.joins)}


def _is_twin(part: Part, one: Crease, two: Crease) -> bool:
    """Whether two sections mirror one another: on two sides of one face, of one size and shape,
    glued alike."""
    return one.is_beyond != two.is_beyond and _make(part, one) == _make(part, two)


def _make(part: Part, crease: Crease) -> tuple[object, ...]:
    """All that is the same of two sections that mirror one another."""
    piece, name = part.piece, crease.hanging.face
    box, area = piece.face(name).box, region_shape(part.regions[crease.hanging]).area
    seams = [seam for seam in piece.seams if seam.section == name]
    glue = (name in piece.source.dry_sections, len(seams))
    fold = (crease.staying, crease.axis, crease.closed)
    return (*fold, box.width, box.height, round(area), *glue)


def _folds_other_way(resolved: ResolvedDesign, part: Part) -> Iterator[Finding]:
    """One of several sections round a face that folds to its other side."""
    for middle in dict.fromkeys(crease.staying for crease in part.creases):
        for crease in _odd_ones(_sections_round(part, middle)):
            yield finding_kind("folds-other-way").found(
                resolved,
                part.piece,
                section=section_in_words(resolved, crease.hanging),
                middle=section_in_words(resolved, middle),
                sense=crease.sense,
                other=_OTHER_WAY[crease.sense],
            )


def _sections_round(part: Part, middle: FaceKey) -> list[Crease]:
    """The sections that close round a face, tabs left out."""
    tabs = {tab.name for tab in part.piece.source.tabs}
    hanging = (crease for crease in part.creases if crease.staying == middle and crease.closed)
    return [crease for crease in hanging if crease.hanging.face not in tabs]


def _odd_ones(round_it: Sequence[Crease]) -> list[Crease]:
    """The one of a row on all sides that folds otherwise than all others."""
    senses = Counter(crease.sense for crease in round_it)
    is_all_round = len({crease.axis for crease in round_it}) == 2
    if len(round_it) < _ROW or not is_all_round or len(senses) == 1:
        return []
    return [crease for crease in round_it if senses[crease.sense] == 1]


def _left_out(resolved: ResolvedDesign, operation: Operation) -> Iterator[Finding]:
    """A piece of a group that the design writes out, to all others of which steps do something."""
    steps = resolved.design.steps
    done = {key for step in steps for key in named_pieces(step, operation, resolved)}
    for keys in _written_out(resolved, operation):
        left = [key for key in keys if key not in done]
        if len(left) == 1 and len(keys) >= _GROUP:
            told = " and ".join(f"'{key}'" for key in keys if key in done)
            yield finding_kind("left-out-of-row").found(
                resolved,
                resolved.pieces[left[0]],
                (left[0],),
                do=operation,
                others=told,
                operation=operation,
            )


def _written_out(resolved: ResolvedDesign, operation: Operation) -> Iterator[list[str]]:
    """The pieces of one kind that stand at one place of the file, of those that it can be done
    to."""
    groups: dict[tuple[str, Position], list[str]] = {}
    for piece in resolved.pieces.values():
        if piece.scores or operation != "fold":
            groups.setdefault((piece.source.kind, piece.source.position), []).append(piece.key)
    return iter(groups.values())


def _bare(resolved: ResolvedDesign, part: Part) -> Iterator[Finding]:
    """The only one of several sections alike that carries nothing where the others carry a piece
    of one kind."""
    row = _row(part)
    carried = _carried(resolved, part.piece.key) if len(row) >= _ROW else {}
    for (kind, _), faces in carried.items():
        bare = [name for name in row if name not in faces]
        if len(bare) == 1:
            told = [in_words(name) for name in row if name not in bare]
            covered = f"the {', '.join(told[:-1])} and {told[-1]} of '{part.piece.key}'"
            section = f"its {in_words(bare[0])}"
            yield finding_kind("bare-section").found(
                resolved, part.piece, covered=covered, kind=kind, section=section
            )


def _carried(resolved: ResolvedDesign, host: str) -> dict[tuple[str, str], set[str]]:
    """The faces of a piece that carry others, by the kind of those and how they lie there."""
    found: dict[tuple[str, str], set[str]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and placement.host == host:
            found.setdefault((piece.source.kind, placement.relation), set()).add(piece.host_face)
    return found


def _row(part: Part) -> list[str]:
    """The sections round the middle of a piece that folds up on four sides, or all of a strip."""
    tabs = _tabs(part)
    names = [face.name for face in part.piece.faces if face.name not in tabs]
    axes = {crease.axis for crease in part.creases if crease.hanging.face in names}
    if len(axes) < 2:
        return names
    round_it = (each for each in part.creases if each.staying.face == part.by.face and each.closed)
    return [crease.hanging.face for crease in round_it]
