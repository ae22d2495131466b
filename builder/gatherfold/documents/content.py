"""What a layout may show: plain strings and lists, wording and numbers final.

Layouts see these names and nothing else; each field is documented in ``layouts/README.md``.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from markupsafe import Markup

from gatherfold.wording import Hazard


@dataclass(frozen=True)
class FigureView:
    """A figure: its ``key`` (an anchor), ``source`` for an ``img``, its size on paper in mm and
    its text equivalent."""

    key: str
    source: str
    title: str
    alternative: str
    width: float
    height: float


@dataclass(frozen=True)
class SupplyView:
    """Something to buy for one kit; ``all_kits`` says how much of it all kits need together, and
    is empty where there is only one."""

    title: str
    quantity: str
    detail: str
    all_kits: str = ""


@dataclass(frozen=True)
class CautionView(Hazard):
    """A safety message: ``level`` is danger, warning, caution or notice, ``signal`` the word for it
    in the language of the document, and ``where`` says which steps it is of."""

    where: str = ""


@dataclass(frozen=True)
class CutRowView:
    """Pieces of one kit that are made alike; ``all_kits`` is as in :class:`SupplyView`."""

    codes: str
    title: str
    count: int
    size: str
    side: str
    scores: tuple[str, ...]
    shaping: tuple[str, ...]
    all_kits: str = ""


@dataclass(frozen=True)
class StockCutsView:
    """The cut list of one stock."""

    stock: str
    rows: tuple[CutRowView, ...]


@dataclass(frozen=True)
class CutView:
    """One cut, or a run of equal ones up to the ``last``: which part to lay, the guide's setting
    and edge; what comes off on the two sides; and all that in ``brief``."""

    number: int
    last: int
    action: str
    gives: str
    brief: str


@dataclass(frozen=True)
class DivisionView:
    """How a strip is divided into pieces: its ``title`` with its code and size, the cuts in order;
    ``notes`` say what is done before."""

    title: str
    notes: tuple[str, ...]
    cuts: tuple[CutView, ...]


@dataclass(frozen=True)
class SheetView:
    """One sheet to cut, or several to cut alike: the map, which side faces up, what to look out
    for, the cuts in order, and the strips divided at once.  ``room`` is the name of the map's room:
    ``simple_sheet``, ``sheet``, ``busy_sheet`` or ``crowded_sheet``, by the number of cuts."""

    title: str
    size: str
    facing: str
    notes: tuple[str, ...]
    figure: FigureView
    cuts: tuple[CutView, ...]
    divisions: tuple[DivisionView, ...]
    room: str


@dataclass(frozen=True)
class StockSheetsView:
    stock: str
    status: str
    sheets: tuple[SheetView, ...]


@dataclass(frozen=True)
class StepView:
    number: int
    key: str
    title: str
    text: Markup
    pieces: tuple[str, ...]
    tools: tuple[str, ...]
    cautions: tuple[CautionView, ...]
    figures: tuple[FigureView, ...]
    #: The designer's own photograph of the step.
    picture: FigureView | None
    divisions: tuple[DivisionView, ...] = ()
    #: How long the step takes, an estimate, such as ``about 10 min``.
    time: str = ""
    #: Whether the step has a page to itself, where two others share one.
    is_alone: bool = False


@dataclass(frozen=True)
class PhotoView:
    """A place for photographs: its number in the figure, its piece, how many of which size."""

    number: int
    piece: str
    count: int
    size: str


@dataclass(frozen=True)
class PaperSideView:
    """A side of a paper or card as the pictures show it: its ``name``, a swatch, and what its
    pattern looks like in words."""

    name: str
    swatch: FigureView
    pattern: str


@dataclass(frozen=True)
class PaperView:
    """A paper or card: the letter that its pieces' codes begin with, its name, and its sides, of
    which plain stock has one."""

    letter: str
    name: str
    sides: tuple[PaperSideView, ...]


@dataclass(frozen=True)
class FactView:
    name: str
    value: str


@dataclass(frozen=True)
class ImprintView:
    """What a document is of: the design with its author, its edition and its revision."""

    language: str
    title: str
    subtitle: str
    author: str
    edition: str
    edition_key: str
    unit: str
    paper: str
    is_draft: bool
    summary: Markup
    terms: Markup
    revision: str
    revision_note: str
    #: Which version of the program made the pages, and what each revision changed.
    made_with: str
    changes: tuple[FactView, ...]
    date: str


@dataclass(frozen=True)
class DocumentView(ImprintView):
    """One edition of a design, ready to be laid out."""

    facts: tuple[FactView, ...]
    stock_supplies: tuple[SupplyView, ...]
    other_supplies: tuple[SupplyView, ...]
    #: How the pictures show the papers and cards.
    papers: tuple[PaperView, ...]
    tools: tuple[str, ...]
    cautions: tuple[CautionView, ...]
    #: The messages that head the part with the sheet maps.
    cutting_cautions: tuple[CautionView, ...]
    #: For whom the project is.
    age: str
    conventions: tuple[str, ...]
    #: The pictures by the names of their kinds in ``drawings/registry.py``; a kind that the layout
    #: does not show or the design does not need has none.
    figures: Mapping[str, tuple[FigureView, ...]]
    cut_lists: tuple[StockCutsView, ...]
    #: Which pieces are scored before they are shaped; empty where none is.
    score_first: str
    sheet_plans: tuple[StockSheetsView, ...]
    steps: tuple[StepView, ...]
    #: How many of them are laid out to stand on one page with the heading; 0 where none are.
    first_steps: int
    photos: tuple[PhotoView, ...]
    #: What the sheets cost, and for how many kits they are planned; empty where not given, or one.
    cost: str
    #: What one kit takes of other sheet sizes, a sentence each.
    substitutes: tuple[str, ...]
    kits: str
    text: dict[str, str]
    #: The words of the trade that the pages use, with their meanings.
    glossary: tuple[FactView, ...] = ()
    #: The other unit system's edition of the same design, where both stand side by side; of this
    #: one ``edition_key`` says which it is.
    beside: DocumentView | None = None
