"""What is done to some of a row and not to all: sections that close, folds, ink, dry fits, mats.

In: the stages of a design.  Out: findings about the one that was left out.  A row is what mirrors
one another on a piece, what is of one kind, or what one group of the design writes out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Sequence

from gatherfold.checks.making.stages import Stage, folds_of
from gatherfold.checks.report import finding_kind, section_in_words
from gatherfold.findings import Finding, Position
from gatherfold.model import Operation
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, named_pieces
from gatherfold.work import ALL, Crease, FoldKey, Part, region_shape, work_of

#: A row is so many at least, of which one was forgotten (no source).
_ROW, _GROUP = 4, 3
_DONE: tuple[tuple[Operation, str], ...] = (("ink", "ink"), ("fold", "fold"))


def check_rows(resolved: ResolvedDesign, stages: Sequence[Stage]) -> Iterator[Finding]:
    """Rows of which one was left out."""
    closed = _closed_by_name(resolved, stages)
    for part in work_of(resolved).parts.pieces.values():
        yield from _left_open(resolved, part, closed, any(s.closes_all for s in _closes(stages)))
        yield from _folds_other_way(resolved, part)
        yield from _bare(resolved, part)
    for operation, word in _DONE:
        yield from _left_out(resolved, operation, word)


def _closes(stages: Sequence[Stage]) -> Iterator[Stage]:
    return (stage for stage in stages if stage.operation == "close")


def _closed_by_name(resolved: ResolvedDesign, stages: Sequence[Stage]) -> dict[FoldKey, Stage]:
    """The folds that steps close by name, each with the first time."""
    parts, found = work_of(resolved).parts, dict[FoldKey, Stage]()
    for stage in _closes(stages):
        for name in (each for each in stage.names if each != ALL):
            for fold in folds_of(parts, name):
                found.setdefault(fold, stage)
    return found


def _left_open(
    resolved: ResolvedDesign, part: Part, closed: dict[FoldKey, Stage], closes_all: bool
) -> Iterator[Finding]:
    """A section that no step closes by name, though one that mirrors it is; or any at all, where
    nothing closes it later."""
    named = [crease for crease in part.creases if crease.key in closed]
    joined, final = _tabs(part), work_of(resolved).closed
    # What only lies there may stay open; what is glued down by a foot is meant to stand.
    is_all_open = not named and bool(closed) and not closes_all and bool(part.piece.glued)
    for crease in part.creases if named or is_all_open else ():
        is_left = crease.closed and crease.key not in closed
        is_flat = crease.key in final.creases and not final.angle(crease.key)
        if not is_left or crease.hanging.face in joined or is_flat:
            continue
        twins = [each.key for each in named if _is_twin(part, crease, each)]
        twin = next(iter(twins or _like(resolved, part, crease.hanging.face, closed)), None)
        if twin is None and closes_all:
            continue
        told = {"section": section_in_words(resolved, crease.hanging), "name": str(crease.key)}
        if twin is None:
            yield finding_kind("never-closed").found(resolved, part.piece, **told)
        else:
            told |= {"where": closed[twin].where, "twin": section_in_words(resolved, twin)}
            yield finding_kind("section-left-open").found(resolved, part.piece, **told)


def _like(
    resolved: ResolvedDesign, part: Part, section: str, closed: Collection[FoldKey]
) -> Iterator[FoldKey]:
    """The same section of another piece of the kind and of the same make, where that is closed."""
    own = part.piece
    for key, other in resolved.pieces.items():
        is_same = [face.name for face in other.faces] == [face.name for face in own.faces]
        fold = FoldKey(key, section)
        if key != own.key and other.source.kind == own.source.kind and is_same and fold in closed:
            yield fold


def _tabs(part: Part) -> set[str]:
    """The sections that are there to be glued to something: tabs, and what joins name."""
    source = part.piece.source
    return {*(tab.name for tab in source.tabs), *(join.face for join in part.piece.joins)}


def _is_twin(part: Part, one: Crease, two: Crease) -> bool:
    """Whether two sections mirror one another: on two sides of one face, of one size and shape,
    glued alike."""
    piece, first, second = part.piece, one.hanging.face, two.hanging.face
    if (one.staying, one.axis, one.closed) != (two.staying, two.axis, two.closed):
        return False
    boxes = [piece.face(name).box for name in (first, second)]
    sizes = {(box.width, box.height) for box in boxes}
    areas = {round(region_shape(part.regions[crease.hanging]).area) for crease in (one, two)}
    glue = {
        (name in piece.source.dry_sections, len([s for s in piece.seams if s.section == name]))
        for name in (first, second)
    }
    return one.is_beyond != two.is_beyond and len(sizes) == len(areas) == len(glue) == 1


def _folds_other_way(resolved: ResolvedDesign, part: Part) -> Iterator[Finding]:
    """One of several sections round a face that folds to its other side."""
    tabs = {tab.name for tab in part.piece.source.tabs}
    middles = dict.fromkeys(crease.staying for crease in part.creases)
    for middle in middles:
        round_it = [
            each
            for each in part.creases
            if each.staying == middle and each.closed and each.hanging.face not in tabs
        ]
        senses = Counter(each.sense for each in round_it)
        is_all_round = len({each.axis for each in round_it}) == 2
        for each in round_it if len(round_it) >= _ROW and is_all_round else ():
            if senses[each.sense] == 1 and len(senses) == 2:
                yield finding_kind("folds-other-way").found(
                    resolved,
                    part.piece,
                    section=section_in_words(resolved, each.hanging),
                    middle=section_in_words(resolved, middle),
                    sense=each.sense,
                    other=next(sense for sense in senses if sense != each.sense),
                )


def _left_out(resolved: ResolvedDesign, operation: Operation, word: str) -> Iterator[Finding]:
    """A piece of a group that the design writes out, to all others of which steps do something."""
    done = {
        key for step in resolved.design.steps for key in named_pieces(step, operation, resolved)
    }
    groups: dict[tuple[str, Position], list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        if piece.scores or operation != "fold":
            groups.setdefault((piece.source.kind, piece.source.position), []).append(piece)
    for pieces in groups.values():
        left = [piece for piece in pieces if piece.key not in done]
        if len(left) == 1 and len(pieces) >= _GROUP:
            told = " and ".join(f"'{piece.key}'" for piece in pieces if piece.key in done)
            yield finding_kind("left-out-of-row").found(
                resolved, left[0], (left[0].key,), do=word, others=told, operation=operation
            )


def _bare(resolved: ResolvedDesign, part: Part) -> Iterator[Finding]:
    """The only one of several sections alike that carries nothing where the others carry a piece
    of one kind."""
    tabs = _tabs(part)
    names = [face.name for face in part.piece.faces if face.name not in tabs]
    carried: dict[tuple[str, str], set[str]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is not None and placement.host == part.piece.key:
            key = (piece.source.kind, placement.relation)
            carried.setdefault(key, set()).add(piece.host_face)
    for (kind, relation), faces in carried.items():
        for row in _rows(part, names):
            bare = [name for name in row if name not in faces]
            if len(row) >= _ROW and len(bare) == 1:
                yield _bare_one(resolved, part, (kind, relation), row, bare[0])


def _rows(part: Part, names: Collection[str]) -> Iterator[list[str]]:
    """The sections round the middle of a piece that folds up on four sides, or all of a strip."""
    middle = part.by.face
    axes = {crease.axis for crease in part.creases if crease.hanging.face in names}
    if len(axes) == 1:
        yield list(names)
    elif axes:
        yield [c.hanging.face for c in part.creases if c.staying.face == middle and c.closed]


def _bare_one(
    resolved: ResolvedDesign, part: Part, what: tuple[str, str], row: list[str], bare: str
) -> Finding:
    told = [name.replace("_", " ") for name in row if name != bare]
    covered = f"the {', '.join(told[:-1])} and {told[-1]} of '{part.piece.key}'"
    section = f"its {bare.replace('_', ' ')}"
    return finding_kind("bare-section").found(
        resolved, part.piece, covered=covered, kind=what[0], section=section
    )
