"""Gatherfold: one YAML paper-craft design becomes a checked, drawn and typeset pattern.

Read a design, ask what does not fit, and build its documents into a folder:

>>> import gatherfold
>>> design = gatherfold.read_text(gatherfold.shipped_design("letter-envelope"))
>>> gatherfold.check_design(design).fits
True
>>> gatherfold.build_design(design, gatherfold.Options(editions=["imperial"])).write("out")[0].name
'design-imperial.pdf'

``read_design`` reads a file and ``read_text`` text; ``check_design`` says what does not fit;
``plan_sheets``, ``draw_design`` and ``record_design`` give the sheets, the drawings and all data of
a design; ``build_design`` builds the documents; ``compare_designs`` says what changed.
:func:`gatherfold.sheets.plan` plans plain rectangles and needs no design.  Each is imported when
it is first asked for.  DEVELOPERS.md describes the stages beneath.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    # fmt: off
    # isort: off
    from gatherfold import sheets as sheets
    from gatherfold.build import Options as Options
    from gatherfold.documents import DocumentProblem as DocumentProblem
    from gatherfold.editions import Cause as Cause, causes_of as causes_of
    from gatherfold.files import write_files as write_files
    from gatherfold.findings import (DesignUnreadable as DesignUnreadable, Finding as Finding,
        Severity as Severity)
    from gatherfold.interface import (Built as Built, DesignCheck as DesignCheck,
        Drawing as Drawing, NoSuchName as NoSuchName, build_design as build_design,
        check_design as check_design, compare_designs as compare_designs,
        draw_design as draw_design, json_text as json_text, plan_sheets as plan_sheets,
        read_design as read_design, read_text as read_text, record_design as record_design,
        shipped_design as shipped_design, unreadable_as_data as unreadable_as_data)
    from gatherfold.model import (EDITION_NAMES as EDITION_NAMES, PAPER_NAMES as PAPER_NAMES,
        Design as Design, EditionName as EditionName, PaperName as PaperName)
    from gatherfold.shipped import design_names as design_names, layout_names as layout_names
    # isort: on
    # fmt: on

__version__ = "0.1.0"
#: What stands where, so that asking for it imports no more; the interface gives most of it.
_HOMES = {
    "build": "Options",
    "documents": "DocumentProblem",
    "editions": "Cause causes_of",
    "files": "write_files",
    "findings": "DesignUnreadable Finding Severity",
    "interface": "Built DesignCheck Drawing NoSuchName build_design check_design compare_designs "
    "draw_design json_text plan_sheets read_design read_text record_design shipped_design "
    "unreadable_as_data",
    "model": "Design EDITION_NAMES EditionName PAPER_NAMES PaperName",
    "shipped": "design_names layout_names",
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names.split()}
__all__ = sorted(["sheets", *_HOME_OF])


def __getattr__(name: str) -> object:
    if name == "sheets":
        return import_module("gatherfold.sheets")
    if name not in _HOME_OF:
        raise AttributeError(f"module 'gatherfold' has no attribute '{name}'")
    return getattr(import_module(f"gatherfold.{_HOME_OF[name]}"), name)
