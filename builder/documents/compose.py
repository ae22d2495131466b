"""A document's content and a layout → HTML.

A layout is a folder with ``document.html.j2`` and ``style.css``.  Templates run in Jinja's sandbox,
see only the document, may include only files of their own folder, and undefined names are errors.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Protocol

from jinja2 import FileSystemLoader, StrictUndefined, TemplateError, TemplateSyntaxError
from jinja2.sandbox import ImmutableSandboxedEnvironment

from builder.documents.problems import DocumentProblem
from builder.lengths import FRACTION_SLASH

MAIN_TEMPLATE = "document.html.j2"

_TAG_OR_TEXT = re.compile(r"(<[^>]*>)")
_WRITTEN_FRACTION = re.compile(rf"\d+{FRACTION_SLASH}\d+")


class Document(Protocol):
    """What a layout shows: a pattern or a proof sheet, each with its fixed wording."""

    @property
    def text(self) -> Mapping[str, str]: ...


def compose(document: Document, layout: Path) -> str:
    """The whole document as one HTML text; raises :class:`DocumentProblem`."""
    if not (layout / MAIN_TEMPLATE).is_file():
        raise DocumentProblem(f"{layout}: no {MAIN_TEMPLATE} in this layout")
    environment = ImmutableSandboxedEnvironment(
        loader=FileSystemLoader(layout),
        undefined=StrictUndefined,
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    try:
        html = environment.get_template(MAIN_TEMPLATE).render(document=document, t=document.text)
    except TemplateSyntaxError as problem:
        raise DocumentProblem(f"{problem.filename}:{problem.lineno}: {problem.message}") from None
    except TemplateError as problem:
        raise DocumentProblem(f"{_template_line(problem, layout)}: {problem}") from None
    return set_fractions(html)


def set_fractions(html: str) -> str:
    """Mark written fractions (5⁄16) so that the stylesheet sets them as true fractions.

    Only text is touched, never a tag with its attributes.
    """
    parts = _TAG_OR_TEXT.split(html)
    return "".join(
        part
        if part.startswith("<")
        else _WRITTEN_FRACTION.sub(r'<span class="fraction">\g<0></span>', part)
        for part in parts
    )


def _template_line(problem: TemplateError, layout: Path) -> str:
    """Where in the layout the problem arose: the innermost template frame of the traceback."""
    traceback = problem.__traceback__
    place = str(layout / MAIN_TEMPLATE)
    while traceback is not None:
        name = traceback.tb_frame.f_code.co_filename
        if name.startswith(str(layout)):
            place = f"{name}:{traceback.tb_lineno}"
        traceback = traceback.tb_next
    return place
