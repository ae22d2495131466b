"""What a template is told that names what is not there: in plain words, with the nearest name."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import is_dataclass

from jinja2 import StrictUndefined
from jinja2.utils import missing

from builder.findings import nearest_name

#: What every template is given; macros of an imported file see only what they are handed.
NAMES = ("document", "t", "page")


class UnknownName(StrictUndefined):
    """Any use of it is an error, as with ``StrictUndefined``; only the words are ours."""

    __slots__ = ()

    @property
    def _undefined_message(self) -> str:
        if self._undefined_hint:
            return self._undefined_hint
        name, owner = str(self._undefined_name), self._undefined_obj
        if owner is missing:
            known = "Templates know document, t and page, and what they import or set themselves"
            hint = _nearest(name, NAMES) or f"{known}; an imported macro only what it is given."
            return f"there is nothing called '{name}' here. {hint}"
        if owner is None:
            return f"what '.{name}' is asked of is empty here. Ask for it with {{% if %}} first."
        return " ".join(filter(None, (_lack(owner, name), _nearest(name, _names_of(owner)))))


def _lack(owner: object, name: str) -> str:
    if is_dataclass(owner):
        return f"the {_called(owner)} has no field '{name}'."
    if isinstance(owner, Mapping):
        is_wording = bool(owner) and all(isinstance(value, str) for value in owner.values())
        return f"{'the fixed wording' if is_wording else 'this list'} has no '{name}'."
    if isinstance(owner, list | tuple):
        return f"this list has {len(owner)} entries, and no '{name}'."
    return f"this {'text' if isinstance(owner, str) else 'value'} has no field '{name}'."


def _called(owner: object) -> str:
    """``CutRowView`` is a cut row; the whole document is called what templates call it."""
    kind = type(owner).__name__
    words = re.findall(r"[A-Z][a-z]*", kind.removesuffix("View"))
    return "document" if kind in ("DocumentView", "ProofView") else " ".join(words).lower()


def _names_of(owner: object) -> tuple[str, ...]:
    if isinstance(owner, Mapping):
        return tuple(map(str, owner))
    return tuple(name for name in dir(owner) if not name.startswith("_"))


def _nearest(name: str, known: tuple[str, ...]) -> str:
    near = nearest_name(name, known)
    return "" if near is None else f"Did you mean '{near}'?"
