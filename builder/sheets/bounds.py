"""What no plan can go below: dual-feasible functions on both sides of a rectangle.

In: the sizes pieces may be laid in and the usable sizes and prices of the sheets. Out: a set
of ``Need`` inequalities, each saying how much the sheets taken together must offer.

A dual-feasible function f turns lengths into lengths so that whatever fits side by side into
W still fits into f(W). Then the areas f(w) g(h) of the pieces on a sheet add up to at most
f(W) g(H). The functions here are superadditive, so that f(V) is the offer of a smaller V too.
They are those of Fekete and Schepers (2001) and of Carlier, Clautiaux and Moukrim (2007), as
surveyed by Clautiaux, Alves and Valerio de Carvalho (2010), all scaled to whole numbers.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Size = tuple[int, int]
Table = NDArray[np.int64]
MOST_FUNCTIONS = 240
# Longer sheets are measured in coarser units, so that products stay within 64 bits.
LONGEST = 1_000_000


@dataclass(frozen=True)
class Need:
    """The sheets chosen must offer at least ``total``, kind j offering ``offers[j]`` each."""

    total: int
    offers: tuple[int, ...]


def _thresholds(lengths: Sequence[int], whole: int) -> list[int]:
    """Where the functions can change: sizes of pieces and their complements, up to half."""
    values = sorted(
        {v for x in lengths for v in (x, whole - x, whole - x + 1) if 0 < v <= whole // 2}
    )
    most = MOST_FUNCTIONS // 2
    if len(values) > most:
        values = [values[i * (len(values) - 1) // (most - 1)] for i in range(most)]
    return values


def _functions(lengths: list[int], whole: int) -> Table:
    """Every function of the three families at the lengths: a row a function."""
    x = np.array(lengths, dtype=np.int64)
    rows: list[Table] = [x]
    for k in _thresholds(lengths, whole):
        rows.append(np.where(x > whole - k, whole, np.where(x < k, 0, x)))
        halves = np.where(2 * x == whole, whole // k, 2 * (x // k))
        rows.append(np.where(2 * x > whole, 2 * (whole // k - (whole - x) // k), halves))
    for k in range(1, min(30, whole)):
        exact = ((k + 1) * x) % whole == 0
        rows.append(np.where(exact, k * x, ((k + 1) * x) // whole * whole))
    return np.unique(np.stack(rows), axis=0)


def needs(laid: Sequence[Sequence[Size]], sheets: Sequence[Size], keep: int = 60) -> list[Need]:
    """The strongest inequalities found, those that bind some kind of sheet first.

    ``laid`` holds for each piece the sizes it may be laid in, ``sheets`` the usable sizes.
    """
    whole_area = sum(min(w * h for w, h in options) for options in laid)
    exact = Need(whole_area, tuple(w * h for w, h in sheets))
    # What fits side by side also fits when every length is rounded down to a coarser unit.
    unit_x = max(w for w, _ in sheets) // LONGEST + 1
    unit_y = max(h for _, h in sheets) // LONGEST + 1
    sheets = [(w // unit_x, h // unit_y) for w, h in sheets]
    width, height = max(w for w, _ in sheets), max(h for _, h in sheets)
    kinds: dict[tuple[Size, ...], int] = {}
    for options in laid:
        shape = tuple(sorted({(w // unit_x, h // unit_y) for w, h in options}))
        kinds[shape] = kinds.get(shape, 0) + 1
    shapes = list(kinds)
    counts = np.array([kinds[shape] for shape in shapes], dtype=np.int64)
    widths = sorted({s[0] for shape in shapes for s in shape} | {w for w, _ in sheets} | {width})
    heights = sorted({s[1] for shape in shapes for s in shape} | {h for _, h in sheets} | {height})
    across, up = _functions(widths, width), _functions(heights, height)
    column = {w: i for i, w in enumerate(widths)}
    row = {h: i for i, h in enumerate(heights)}
    totals = _totals(shapes, counts, across, up, column, row)
    offers = [np.outer(across[:, column[w]], up[:, row[h]]) for w, h in sheets]
    return [exact, *_strongest(totals, offers, keep)]


def _totals(
    shapes: Sequence[Sequence[Size]],
    counts: Table,
    across: Table,
    up: Table,
    column: dict[int, int],
    row: dict[int, int],
) -> Table:
    """The least total of every pair of functions, each piece laid where it counts least."""
    totals = np.zeros((len(across), len(up)), dtype=np.int64)
    plain = [i for i, shape in enumerate(shapes) if len(shape) == 1]
    if plain:
        a = across[:, [column[shapes[i][0][0]] for i in plain]] * counts[plain]
        b = up[:, [row[shapes[i][0][1]] for i in plain]]
        totals += a @ b.T
    for i, shape in enumerate(shapes):
        if len(shape) > 1:
            ways = [np.outer(across[:, column[w]], up[:, row[h]]) for w, h in shape]
            totals += counts[i] * np.minimum.reduce(ways)
    return totals


def _strongest(totals: Table, offers: Sequence[Table], keep: int) -> list[Need]:
    chosen: dict[Need, None] = {}
    for offer in offers:
        ratio = np.where(offer > 0, totals / np.maximum(offer, 1), 0.0).ravel()
        for flat in np.argsort(-ratio, kind="stable")[:keep]:
            i, j = divmod(int(flat), totals.shape[1])
            need = Need(int(totals[i, j]), tuple(int(o[i, j]) for o in offers))
            chosen[need] = None
    return list(chosen)
