"""The words of the trade that a document uses, each explained once.

In: the view of a document, and the glossary of its language.  Out: the entries whose word, in any
of its forms, stands on the pages.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from markupsafe import Markup

from builder.documents.content import DocumentView, FactView
from builder.wording import Wording

#: Fields that are not printed as they are.
_UNSEEN = frozenset({"source", "key", "edition_key", "language", "glossary", "beside"})
_TAG = re.compile(r"<[^>]*>")


def glossary(view: DocumentView, wording: Wording) -> tuple[FactView, ...]:
    """Word and meaning, in the order of the language's glossary."""
    there = "\n".join(printed_words(view))
    return tuple(
        FactView(entry.forms[0], entry.meaning)
        for entry in wording.glossary
        if any(_stands_in(form, there) for form in entry.forms)
    )


def _stands_in(form: str, words: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(form)}(?!\w)", words, re.IGNORECASE) is not None


def printed_words(part: object) -> Iterator[str]:
    """Every text of a view; of a figure its text equivalent, which names what is lettered in it.

    The dictionary of all fixed wording is left out: nobody knows what of it a layout prints.
    """
    if isinstance(part, Markup):
        yield html.unescape(_TAG.sub(" ", part))
    elif isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from printed_words(each)
    elif is_dataclass(part):
        for each in fields(part):
            if each.name not in _UNSEEN:
                yield from printed_words(getattr(part, each.name))
