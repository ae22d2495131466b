"""In which stages the new pieces of a step go down, and the work that each stage is drawn on.

In: a resolved design, the new pieces in the order of their step, those already there.  Out:
stages in order: no piece of a stage lies on another of it, all go on the same side of the work and
all are held in the same way.  A piece whose host is not there yet, or is not glued to anything, is
drawn on that host alone: what comes later, and what is only loose, is not in the picture.  What is
there only when the work is closed goes on the closed work.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from builder.drawings.assembly_view import Work
from builder.drawings.closed_work import closed_work
from builder.drawings.laying import is_laid_on_front, laying_order
from builder.drawings.placed_view import laid_pieces
from builder.resolve.placement import Tree, tree_of
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece

Pieces = Mapping[str, ResolvedPiece]


@dataclass(frozen=True)
class Stage:
    """Pieces that go down together, and those that are there before."""

    new: tuple[str, ...]
    present: tuple[str, ...]


def stages_of(
    resolved: ResolvedDesign, new: Sequence[str], present: Sequence[str]
) -> tuple[Stage, ...]:
    """The stages of a step; what is there only when the work is closed comes last."""
    pieces = resolved.pieces
    order = [key for key in dict.fromkeys(new) if not is_slipped_over(pieces[key])]
    ranks = _ranks(pieces, order)
    there = list(present)
    found = []
    groups: dict[tuple[object, ...], list[str]] = {}
    for key in sorted(order, key=lambda k: (pieces[k].source.present == "closed", ranks[k])):
        piece = pieces[key]
        is_last = piece.source.present == "closed"
        sides = [(work.from_front) for work in works_of(resolved, [key], [*there, *order])]
        mark = (is_last, ranks[key], *sides, bool(piece.glue.edges))
        if sides:
            groups.setdefault(mark, []).append(key)
    for keys in groups.values():
        found.append(Stage(tuple(keys), tuple(there)))
        there.extend(keys)
    return tuple(found)


def is_slipped_over(piece: ResolvedPiece) -> bool:
    """Whether a piece, a lid say, stands before its host without glue: nothing joins the two."""
    return bool(piece.raised) and not piece.glue.edges


def _ranks(pieces: Pieces, order: Sequence[str]) -> dict[str, int]:
    """How many pieces of the step must be in place before each: its host, if that is named
    before it, or what lies on it, if that is."""
    places = {key: number for number, key in enumerate(order)}
    befores: dict[str, list[str]] = {key: [] for key in order}
    for key in order:
        host = _host(pieces, key)
        if host in places:
            first, second = sorted((key, host), key=lambda k: places[k])
            befores[second].append(first)
    ranks: dict[str, int] = {}
    for key in order:
        ranks[key] = max((ranks[before] + 1 for before in befores[key]), default=0)
    return ranks


def _host(pieces: Pieces, key: str) -> str:
    placement = pieces[key].source.placement
    return "" if placement is None else placement.host


def works_of(
    resolved: ResolvedDesign, new: Sequence[str], present: Sequence[str]
) -> tuple[Work, ...]:
    """What ``new`` is laid on: a work for each base, in the order of ``new``."""
    if all(resolved.pieces[key].source.present == "closed" for key in new):
        work = closed_work(resolved, list(dict.fromkeys(new)), present)
        if work is not None:
            return (work,)
    there = {*present, *new}
    by_base: dict[str, list[str]] = {}
    for key in dict.fromkeys(new):
        by_base.setdefault(_base(resolved.pieces, key, there), []).append(key)
    tree = tree_of(resolved)
    found = []
    for base, keys in by_base.items():
        own = set(_joined_to(tree, base))
        work = _work(resolved, keys, [base, *(k for k in present if k in own)])
        if work.new:
            found.append(work)
    return tuple(found)


def _base(pieces: Pieces, key: str, there: Collection[str]) -> str:
    """What the picture of a piece is built on: down from its host as long as that is there and is
    glued to the next."""
    base = _host(pieces, key) or key
    while base in there and pieces[base].glue.edges and _host(pieces, base):
        base = _host(pieces, base)
    return base


def _joined_to(tree: Tree, base: str) -> Iterator[str]:
    """A piece and all that lies on it, without what is only slipped over it."""
    yield base
    for child in tree.children.get(base, ()):
        if not is_slipped_over(tree.pieces[child]):
            yield from _joined_to(tree, child)


def _work(resolved: ResolvedDesign, new: Sequence[str], present: Sequence[str]) -> Work:
    """Lay ``new`` on ``present``; seen from the side that most new pieces are laid on."""
    laid = laid_pieces(resolved, [*(key for key in present if key not in new), *new])
    drawn = tuple(key for key in new if key in laid)
    votes = [is_laid_on_front(resolved.pieces, laid, key) for key in drawn]
    from_front = 2 * sum(votes) >= len(votes)
    stack = [laid[key] for key in laying_order(resolved.pieces, laid)]
    if not from_front:
        stack.reverse()
    return Work(resolved.pieces, tuple(stack), drawn, from_front)
