"""Formulas of measures: text → tree → exact value, with units checked and no Python ``eval``.

In: text such as ``panel_width - 2 * reveal``, ``7 3/4 in`` or ``photo.width x 4``.
Out: :class:`Formula`, a tree that :func:`length`, :func:`pair` and :func:`value` turn into
a length in mm or a pair of lengths.

A bare number takes the design's declared unit where a length is needed; multiplying and
dividing leave it a plain number, so ``2 * reveal`` needs no unit.
"""

# fmt: off
# isort: off
from gatherfold.formulas.evaluating import (Scope as Scope, length as length, pair as pair,
    value as value, value_text as value_text)
from gatherfold.formulas.parsing import parse as parse
from gatherfold.formulas.tree import (FUNCTIONS as FUNCTIONS, Formula as Formula,
    FormulaProblem as FormulaProblem, Literal as Literal, Pair as Pair, Quantity as Quantity,
    Value as Value, lengths_in as lengths_in, names_in as names_in, with_literal as with_literal)
