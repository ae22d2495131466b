"""Strips whose sections fold right over one after the other: to and fro, or all one way as a roll.

In: pieces with their folds.  Out: a fold that goes neither way, and a section of a roll that is no
wider than what it goes round.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import islice, pairwise

from gatherfold.checks.report import finding_kind, in_words
from gatherfold.findings import Finding
from gatherfold.geometry import ends_across
from gatherfold.lengths import up_to_grid
from gatherfold.model import other_fold
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, Score

#: So many folds in a row show which way they are meant to go.
_ROW = 4
#: A section, and one that hangs on it and closes over it.
_Closing = tuple[str, str]


def check_rolls(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every strip."""
    for piece in resolved.pieces.values():
        yield from _odd_fold(resolved, piece)
        for roll in _rolls(piece):
            yield from _growth(resolved, piece, roll)


def _odd_fold(resolved: ResolvedDesign, piece: ResolvedPiece) -> Iterator[Finding]:
    """The fold of a row that is neither all one way nor to and fro, and would be if it went the
    other way."""
    row = sorted(piece.folds_outward(), key=lambda fold: fold[2].at)
    scores = [score for _, _, score in row]
    is_row = len({score.axis for score in scores}) == 1 and {s.closed for s in scores} == {180}
    if len(row) < _ROW or not is_row:
        return
    alike = [first.fold == second.fold for first, second in pairwise(scores)]
    is_odd = any(alike) and not all(alike)
    sizes = [_across(piece, hanging) for _, hanging, _ in row]
    is_roll = len({*sizes}) == len(sizes)
    for number in islice(_turned_round(scores, is_roll), 1) if is_odd else ():
        # A fold is typed with the section beyond it.
        section, sense = in_words(scores[number].sides[1]), scores[number].fold
        yield finding_kind("folds-other-way, in a row").found(
            resolved, piece, section=section, sense=sense, other=other_fold(sense)
        )


def _turned_round(scores: Sequence[Score], is_roll: bool) -> Iterator[int]:
    """The folds of a row each of which alone keeps it from going to and fro, then those that keep
    it from going all one way; where each section has another size, these first."""
    senses = [score.fold == scores[0].fold for score in scores]
    to_and_fro = [is_first == (number % 2 == 0) for number, is_first in enumerate(senses)]
    for fits in (senses, to_and_fro) if is_roll else (to_and_fro, senses):
        for value in (False, True):
            if fits.count(value) == 1:
                yield fits.index(value)


def _rolls(piece: ResolvedPiece) -> Iterator[list[_Closing]]:
    """The sections that close one over the next, all in one sense, from the free end on."""
    folds = {hanging: (staying, score) for staying, hanging, score in piece.folds_outward()}
    carrying = {staying for staying, _ in folds.values()}
    for end in (each for each in folds if each not in carrying):
        way, found, at = folds[end][1], list[_Closing](), end
        while at in folds and _go_on(way, folds[at][1]):
            found.append((folds[at][0], at))
            at = folds[at][0]
        yield found


def _go_on(one: Score, two: Score) -> bool:
    return (one.axis, one.fold) == (two.axis, two.fold) and two.closed == 180


def _growth(
    resolved: ResolvedDesign, piece: ResolvedPiece, roll: Sequence[_Closing]
) -> Iterator[Finding]:
    """The first section that is too narrow for those rolled up before it; the last one only bears
    them."""
    for layers, (outer, inner) in enumerate(roll[:-1], start=1):
        size, inner_size = _across(piece, outer), _across(piece, inner)
        needed = inner_size + layers * piece.stock.caliper
        if size < needed:
            told = {"size": size, "inner_size": inner_size}
            told["needed"] = up_to_grid(needed, resolved.edition.grid)
            yield finding_kind("roll-too-narrow").found(
                resolved, piece, outer=in_words(outer), inner=in_words(inner), **told
            )
            return


def _across(piece: ResolvedPiece, section: str) -> Fraction:
    """How wide a section is across the folds."""
    score = next(score for score in piece.scores if section in score.sides)
    return piece.face(section).box.across(ends_across(score.axis)[0])
