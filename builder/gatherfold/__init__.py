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
    from gatherfold import sheets as sheets
    from gatherfold.documents.problems import DocumentProblem as DocumentProblem
    from gatherfold.files import write_files as write_files
    from gatherfold.findings import DesignUnreadable as DesignUnreadable
    from gatherfold.findings import Finding as Finding
    from gatherfold.findings import Severity as Severity
    from gatherfold.interface import Built as Built
    from gatherfold.interface import DesignCheck as DesignCheck
    from gatherfold.interface import Drawing as Drawing
    from gatherfold.interface import Options as Options
    from gatherfold.interface import UnknownName as UnknownName
    from gatherfold.interface import build_design as build_design
    from gatherfold.interface import check_design as check_design
    from gatherfold.interface import compare_designs as compare_designs
    from gatherfold.interface import draw_design as draw_design
    from gatherfold.interface import json_text as json_text
    from gatherfold.interface import plan_sheets as plan_sheets
    from gatherfold.interface import read_design as read_design
    from gatherfold.interface import read_text as read_text
    from gatherfold.interface import record_design as record_design
    from gatherfold.interface import shipped_design as shipped_design
    from gatherfold.interface import unreadable_as_data as unreadable_as_data
    from gatherfold.model.choices import EDITION_NAMES as EDITION_NAMES
    from gatherfold.model.choices import PAPER_NAMES as PAPER_NAMES
    from gatherfold.model.choices import EditionName as EditionName
    from gatherfold.model.choices import PaperName as PaperName
    from gatherfold.model.design import Design as Design
    from gatherfold.shipped import design_names as design_names
    from gatherfold.shipped import layout_names as layout_names

__version__ = "0.1.0"

#: The modules that hold what is exported.
_HOMES = {
    "documents.problems": ("DocumentProblem",),
    "files": ("write_files",),
    "findings": ("DesignUnreadable", "Finding", "Severity"),
    "interface": (
        "Built",
        "DesignCheck",
        "Drawing",
        "Options",
        "UnknownName",
        "build_design",
        "check_design",
        "compare_designs",
        "draw_design",
        "json_text",
        "plan_sheets",
        "read_design",
        "read_text",
        "record_design",
        "shipped_design",
        "unreadable_as_data",
    ),
    "model.choices": ("EDITION_NAMES", "PAPER_NAMES", "EditionName", "PaperName"),
    "model.design": ("Design",),
    "shipped": ("design_names", "layout_names"),
}
_HOME_OF = {name: home for home, names in _HOMES.items() for name in names}

__all__ = ["sheets", *_HOME_OF]


def __getattr__(name: str) -> object:
    if name == "sheets":
        return import_module("gatherfold.sheets")
    if name not in _HOME_OF:
        raise AttributeError(f"module 'gatherfold' has no attribute '{name}'")
    return getattr(import_module(f"gatherfold.{_HOME_OF[name]}"), name)
