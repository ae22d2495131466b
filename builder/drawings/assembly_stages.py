"""In which stages the new pieces of a step go down, and the work that each stage is drawn on.

In: a resolved design, the new pieces in the order of their step, those already there.  Out:
stages in order: no piece of a stage lies on another of it, all go on the same side of the same
work and all are held in the same way.  A piece whose host is not there yet, or is not glued to
anything, is drawn on that host alone: what comes later, and what is only loose, is not in the
picture.  What is there only when the work is closed goes on the closed work, and what is slid into
a pocket that is closed for good is drawn before that.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from builder.drawings.assembly_view import Work
from builder.drawings.closed_work import closed_work
from builder.drawings.laying import is_laid_on_front, laying_order
from builder.drawings.placed_view import LaidPiece, laid_pieces
from builder.drawings.plane import ring_holds
from builder.drawings.slid_work import slid_work
from builder.geometry.pose import flipped
from builder.resolve.closed_for_good import slid_in
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
        # What goes on a piece of the same step is shown on that alone, as large as it can be.
        base = "" if is_last else _base(pieces, key, {*there, key})
        mark = (is_last, ranks[key], base, *sides, bool(piece.glue.edges))
        if sides:
            groups.setdefault(mark, []).append(key)
    for group in groups.values():
        for keys in _apart(resolved, group):
            found.append(Stage(tuple(keys), tuple(there)))
            there.extend(keys)
    return tuple(found)


def _apart(resolved: ResolvedDesign, keys: Sequence[str]) -> list[list[str]]:
    """Folded pieces that would hide where others of the step are glued go down in order: a divider
    that lies over the foot of the one before it."""
    if len(keys) < 2 or not any(resolved.pieces[key].scores for key in keys):
        return [list(keys)]
    laid = laid_pieces(resolved, keys)
    found: list[list[str]] = [[]]
    for key in keys:
        if key in laid and any(_hides(laid[key], laid[k]) for k in found[-1] if k in laid):
            found.append([])
        found[-1].append(key)
    return found


def _hides(later: LaidPiece, earlier: LaidPiece) -> bool:
    """Whether the middle of what glues a piece lies under another one."""
    middle = earlier.face_rect(earlier.piece.by).centre
    return later.extent.holds(middle) and ring_holds(later.rings[0], middle)


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
    slid = [key for key in dict.fromkeys(new) if key in slid_in(resolved)]
    if slid:
        others = [key for key in new if key not in slid]
        works = tuple(slid_work(resolved, key, present) for key in slid)
        return (*works, *(works_of(resolved, others, present) if others else ()))
    is_last = all(resolved.pieces[key].source.present == "closed" for key in new)
    if is_last and all(_host(resolved.pieces, key) in (*present, *new) for key in new):
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


def _turned_over(laid: LaidPiece) -> LaidPiece:
    pose = flipped().then(laid.pose)
    return LaidPiece(laid.piece, pose, -laid.order, not laid.faces_front)


def _joined_to(tree: Tree, base: str) -> Iterator[str]:
    """A piece and all that lies on it, without what is only slipped over it."""
    yield base
    for child in tree.children.get(base, ()):
        if not is_slipped_over(tree.pieces[child]):
            yield from _joined_to(tree, child)


def _work(resolved: ResolvedDesign, new: Sequence[str], present: Sequence[str]) -> Work:
    """Lay ``new`` on ``present``, its base first; seen from the side that most new pieces are laid
    on.  A base that is not in its place yet lies with its front up."""
    laid = laid_pieces(resolved, [*(key for key in present if key not in new), *new])
    if present and present[0] in laid and not laid[present[0]].faces_front:
        laid = {key: _turned_over(each) for key, each in laid.items()}
    drawn = tuple(key for key in new if key in laid)
    votes = [is_laid_on_front(resolved.pieces, laid, key) for key in drawn]
    from_front = 2 * sum(votes) >= len(votes)
    stack = [laid[key] for key in laying_order(resolved.pieces, laid)]
    if not from_front:
        stack.reverse()
    return Work(resolved.pieces, tuple(stack), drawn, from_front)
