"""A document's content and a layout → HTML.

A layout is a folder with ``document.html.j2`` and ``style.css``.  Templates run in Jinja's sandbox,
see only the document and nothing private of it, may include only files of their own folder, and
undefined names are errors.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import is_dataclass
from pathlib import Path
from traceback import walk_tb
from types import CodeType
from typing import Protocol

from jinja2 import (
    BytecodeCache,
    Environment,
    FileSystemLoader,
    StrictUndefined,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
)
from jinja2.bccache import Bucket
from jinja2.sandbox import ImmutableSandboxedEnvironment
from jinja2.utils import missing

from gatherfold.documents.page import Page
from gatherfold.documents.problems import DocumentProblem
from gatherfold.findings import nearest_name
from gatherfold.lengths import FRACTION_SLASH, closed_up
from gatherfold.shipped import COMMON, COMMON_FOLDER, MAIN_TEMPLATE

#: What an expression of a template raises that uses a value as what it is not.
_MISUSES = (ArithmeticError, AttributeError, LookupError, RecursionError, TypeError, ValueError)

_TAG_OR_TEXT = re.compile(r"(<[^>]*>)")
_WRITTEN_FRACTION = re.compile(rf"\d+{FRACTION_SLASH}\d+")


class Document(Protocol):
    """What a layout shows: a pattern or a proof sheet, each with its fixed wording."""

    @property
    def text(self) -> Mapping[str, str]: ...


class _OwnThenCommon(FileSystemLoader):
    """A layout's own files, and what all layouts share under ``common/``; links that lead out of
    these folders are not followed."""

    def __init__(self, layout: Path) -> None:
        self._layout = layout.resolve()
        self._folders = (self._layout, COMMON.resolve())
        super().__init__([self._layout, COMMON.parent])

    def get_source(
        self, environment: Environment, template: str
    ) -> tuple[str, str, Callable[[], bool]]:
        is_shared = template.startswith(f"{COMMON_FOLDER}/")
        if not is_shared and not (self._layout / template).is_file():
            raise TemplateNotFound(template)
        source, name, is_current = super().get_source(environment, template)
        if not any(Path(name).resolve().is_relative_to(folder) for folder in self._folders):
            raise TemplateNotFound(template, f"'{template}' leads out of the layout's folder")
        return source, name, is_current


class _Compiled(BytecodeCache):
    """What templates were compiled to, as long as they read the same: layouts share most of it."""

    def __init__(self) -> None:
        self._kept: dict[tuple[str, str], CodeType] = {}

    def load_bytecode(self, bucket: Bucket) -> None:
        """Give what was kept for a file of this content."""
        bucket.code = self._kept.get((bucket.key, bucket.checksum))

    def dump_bytecode(self, bucket: Bucket) -> None:
        """Keep what a file was compiled to."""
        if bucket.code is not None:
            self._kept[bucket.key, bucket.checksum] = bucket.code


_COMPILED = _Compiled()


def compose(document: Document, layout: Path, page: Page | None = None) -> str:
    """The whole document as one HTML text; raises :class:`DocumentProblem`."""
    if not (layout / MAIN_TEMPLATE).is_file():
        raise DocumentProblem(f"{layout}: no {MAIN_TEMPLATE} in this layout")
    environment = ImmutableSandboxedEnvironment(
        loader=_OwnThenCommon(layout),
        undefined=UnknownName,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        bytecode_cache=_COMPILED,
    )
    try:
        html = environment.get_template(MAIN_TEMPLATE).render(
            document=document, t=document.text, page=page
        )
    except TemplateNotFound as problem:
        known = ", ".join(sorted(path.name for path in layout.glob("*.j2")))
        what = f"there is no '{problem.name}' to include here; this layout has: {known}"
        raise DocumentProblem(f"{_template_line(problem, layout)}: {what}") from None
    except TemplateSyntaxError as problem:
        raise DocumentProblem(f"{problem.filename}:{problem.lineno}: {problem.message}") from None
    except TemplateError as problem:
        raise DocumentProblem(f"{_template_line(problem, layout)}: {problem}") from None
    except _MISUSES as problem:
        what = f"this cannot be worked out: {problem}"
        raise DocumentProblem(f"{_template_line(problem, layout)}: {what}") from None
    return set_fractions(html)


def set_fractions(html: str) -> str:
    """Mark written fractions (5⁄16) so that the stylesheet sets them as true fractions.

    Only text is touched, never a tag with its attributes.
    """
    parts = _TAG_OR_TEXT.split(html)
    return "".join(
        part
        if part.startswith("<")
        else _WRITTEN_FRACTION.sub(r'<span class="fraction">\g<0></span>', closed_up(part))
        for part in parts
    )


def _template_line(problem: Exception, layout: Path) -> str:
    """Where in the layout the problem arose: the innermost template frame of the traceback."""
    frames = walk_tb(problem.__traceback__)
    named = ((frame.f_code.co_filename, line) for frame, line in frames)
    places = [f"{name}:{line}" for name, line in named if name.startswith(str(layout))]
    return places[-1] if places else str(layout / MAIN_TEMPLATE)


# Names that are not there

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
