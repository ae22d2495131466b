"""Which form of a phrase a number takes: plural categories of the Unicode CLDR.

In: a language's code and a whole number.  Out: a category, which ends the name of the phrase.
Only whole numbers are counted in the documents, so the rules for decimals are left out.
"""

from __future__ import annotations

from collections.abc import Callable


def _one_if_single(count: int) -> str:
    """CLDR, cardinal rules of English and German: ``one`` is "i = 1 and v = 0"."""
    return "one" if count == 1 else "other"


#: The rule of each shipped language, and the categories that it gives.
PLURAL_RULES: dict[str, Callable[[int], str]] = {"en": _one_if_single, "de": _one_if_single}
PLURAL_CATEGORIES: dict[str, tuple[str, ...]] = {"en": ("one", "other"), "de": ("one", "other")}
