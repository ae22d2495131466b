"""Formulas of measures: text → tree → exact value, with units checked and no Python ``eval``.

In: text such as ``panel_width - 2 * reveal``, ``7 3/4 in`` or ``photo.width x 4``.
Out: :class:`Formula`, a tree that :func:`length`, :func:`pair` and :func:`value` turn into
a length in mm or a pair of lengths.

A bare number takes the design's declared unit where a length is needed; multiplying and
dividing leave it a plain number, so ``2 * reveal`` needs no unit.
"""

from gatherfold.formulas.evaluating import Scope, length, pair, value, value_text
from gatherfold.formulas.parsing import parse
from gatherfold.formulas.tree import FUNCTIONS, Formula, FormulaProblem, Pair, Quantity, Value

__all__ = [
    "FUNCTIONS",
    "Formula",
    "FormulaProblem",
    "Pair",
    "Quantity",
    "Scope",
    "Value",
    "length",
    "pair",
    "parse",
    "value",
    "value_text",
]
