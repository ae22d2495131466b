"""A document's content and a layout → HTML.

A layout is a folder with ``document.html.j2`` and ``style.css``.  Templates run in Jinja's sandbox,
see only the document, may include only files of their own folder, and undefined names are errors.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Protocol

from jinja2 import (
    Environment,
    FileSystemLoader,
    TemplateError,
    TemplateNotFound,
    TemplateSyntaxError,
)
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.documents.layout_parts import MAIN_TEMPLATE
from builder.documents.page import Page
from builder.documents.problems import DocumentProblem
from builder.documents.unknown_names import UnknownName
from builder.lengths import FRACTION_SLASH, closed_up
from builder.shipped import COMMON, COMMON_FOLDER

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


class _Sandbox(ImmutableSandboxedEnvironment):
    """Templates call macros, filters and text methods: nothing of the program, and no filter that
    could fill the memory."""

    def is_safe_attribute(self, obj: object, attr: str, value: object) -> bool:
        return not attr.startswith("_") and super().is_safe_attribute(obj, attr, value)


def compose(document: Document, layout: Path, page: Page | None = None) -> str:
    """The whole document as one HTML text; raises :class:`DocumentProblem`."""
    if not (layout / MAIN_TEMPLATE).is_file():
        raise DocumentProblem(f"{layout}: no {MAIN_TEMPLATE} in this layout")
    environment = _Sandbox(
        loader=_OwnThenCommon(layout),
        undefined=UnknownName,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
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
    traceback = problem.__traceback__
    place = str(layout / MAIN_TEMPLATE)
    while traceback is not None:
        name = traceback.tb_frame.f_code.co_filename
        if name.startswith(str(layout)):
            place = f"{name}:{traceback.tb_lineno}"
        traceback = traceback.tb_next
    return place
