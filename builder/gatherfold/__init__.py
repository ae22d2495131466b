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
    from gatherfold import sheets
    from gatherfold.build import Options
    from gatherfold.documents import DocumentProblem
    from gatherfold.editions import Cause, causes_of
    from gatherfold.files import write_files
    from gatherfold.findings import DesignUnreadable, Finding, Severity
    from gatherfold.interface import (
        Built,
        DesignCheck,
        Drawing,
        NoSuchName,
        build_design,
        check_design,
        compare_designs,
        draw_design,
        json_text,
        plan_sheets,
        read_design,
        read_text,
        record_design,
        shipped_design,
        unreadable_as_data,
    )
    from gatherfold.model import EDITION_NAMES, PAPER_NAMES, Design, EditionName, PaperName
    from gatherfold.shipped import design_names, layout_names

__version__ = "0.1.0"
__all__ = [
    "EDITION_NAMES",
    "PAPER_NAMES",
    "Built",
    "Cause",
    "Design",
    "DesignCheck",
    "DesignUnreadable",
    "DocumentProblem",
    "Drawing",
    "EditionName",
    "Finding",
    "NoSuchName",
    "Options",
    "PaperName",
    "Severity",
    "build_design",
    "causes_of",
    "check_design",
    "compare_designs",
    "design_names",
    "draw_design",
    "json_text",
    "layout_names",
    "plan_sheets",
    "read_design",
    "read_text",
    "record_design",
    "sheets",
    "shipped_design",
    "unreadable_as_data",
    "write_files",
]

#: What is not the interface's own: where else it is, so that asking for it imports no more.
_HOMES = {
    **dict.fromkeys(
        ("Design", "EDITION_NAMES", "EditionName", "PAPER_NAMES", "PaperName"), "model"
    ),
    **dict.fromkeys(("DesignUnreadable", "Finding", "Severity"), "findings"),
    **dict.fromkeys(("design_names", "layout_names"), "shipped"),
    **dict.fromkeys(("Cause", "causes_of"), "editions"),
    "DocumentProblem": "documents",
    "Options": "build",
    "write_files": "files",
}


def __getattr__(name: str) -> object:
    if name not in __all__:
        raise AttributeError(f"module 'gatherfold' has no attribute '{name}'")
    if name == "sheets":
        return import_module("gatherfold.sheets")
    return getattr(import_module(f"gatherfold.{_HOMES.get(name, 'interface')}"), name)
