"""One edition, or two side by side, in one layout: page, figures, view, HTML, PDF.

In: everything computed for an edition, and a layout's folder.  Out: :class:`LaidOut`.  What is
drawn for one layout serves the next one where it has the same room.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from gatherfold.counts import CutRow
from gatherfold.documents.compose import compose
from gatherfold.documents.figure_set import Drawn, FigureSet, draw_figures
from gatherfold.documents.page import GUTTER, ROOMS, Page, read_page
from gatherfold.documents.photographs import Photograph, UnusablePicture, photograph
from gatherfold.documents.problems import at_their_places
from gatherfold.documents.typeset import no_collecting, typeset
from gatherfold.documents.view import document_view
from gatherfold.drawings import Figure
from gatherfold.editions import Computed
from gatherfold.findings import DesignUnreadable, Finding, Position, Severity, error
from gatherfold.model import Step
from gatherfold.wording import Wording, load_wording

Progress = Callable[[str], None]


@dataclass(frozen=True)
class LaidOut:
    """A finished document; ``findings`` are of its pictures."""

    html: str
    pdf: bytes
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Manuscript:
    """One edition, ready for any number of layouts; ``drawn`` fills as figures are drawn."""

    computed: Computed
    drawn: Drawn = field(default_factory=dict)

    @property
    def wording(self) -> Wording:
        return load_wording(self.computed.resolved.design.language)

    @property
    def name(self) -> str:
        return self.computed.resolved.edition.name

    @property
    def folder(self) -> Path:
        """Where the design lies, and its pictures beside it."""
        return Path(self.computed.resolved.design.file).parent


def lay_out(manuscripts: Sequence[Manuscript], layout: Path, progress: Progress) -> LaidOut:
    """One edition in a layout, or both side by side in one document, on the first one's paper.

    Raises :class:`DesignUnreadable` for its page, a picture or a character that no font has, and
    ``DocumentProblem`` for a template.
    """
    first = manuscripts[0]
    page = read_page(layout, first.computed.resolved.edition)
    pictures, findings = _photographs(first, page, layout)
    is_alone = len(manuscripts) == 1
    rows = [each.computed.rows for each in manuscripts]
    views = []
    figures: dict[str, Figure | Photograph] = {}
    for manuscript, joint in zip(manuscripts, rows if is_alone else joint_rows(*rows), strict=True):
        drawn = replace(
            _figures(manuscript, page if is_alone else halved(page), progress),
            photographs=pictures,
            prefix="" if is_alone else f"{manuscript.name}-",
        )
        computed = replace(manuscript.computed, rows=joint)
        views.append(document_view(computed, drawn, manuscript.wording, page.parts))
        figures |= drawn.by_address
    name = first.name if is_alone else "side by side"
    progress(f"{name}: setting the pages of {layout.name}")
    view = views[0]
    if not is_alone:
        both = first.wording.phrase("edition_side_by_side")
        view = replace(view, edition=both, beside=views[1])
    html = compose(view, layout, page)
    with at_their_places(first.computed.resolved.design.file):
        pdf = typeset(html, layout, figures, page.style, first.folder)
    return LaidOut(html, pdf, findings)


def _figures(manuscript: Manuscript, page: Page, progress: Progress) -> FigureSet:
    computed = manuscript.computed
    with no_collecting():
        return draw_figures(
            computed.resolved,
            computed.plans,
            computed.rows,
            lambda text: progress(f"{manuscript.name}: drawing {text}"),
            page,
            manuscript.drawn,
        )


# Side by side: inches in the left column, millimetres in the right.  Each column keeps to its own
# edition, with its own sizes, sheet plans and drawings; nothing is converted, and no instruction
# mixes the two.  Pieces that either edition tells apart stand in rows of their own in both.


def halved(page: Page) -> Page:
    """The page with figures that stand in columns no wider than one."""
    column = (float(page.width) - GUTTER) / 2
    narrowed = {
        name: (min(page.rooms[name][0], column), min(page.rooms[name][1], room.highest))
        for name, room in ROOMS.items()
        if room.in_columns
    }
    return replace(page, rooms={**page.rooms, **narrowed}, columns=2)


def joint_rows(
    left: Sequence[CutRow], right: Sequence[CutRow]
) -> tuple[tuple[CutRow, ...], tuple[CutRow, ...]]:
    """The rows of both cut lists, split so that row by row they name the same pieces."""
    place = {piece.key: index for index, row in enumerate(right) for piece in row.pieces}
    lefts, rights = [], []
    for row in left:
        for index in dict.fromkeys(place[piece.key] for piece in row.pieces):
            keys = {piece.key for piece in row.pieces if place[piece.key] == index}
            lefts.append(_part(row, keys))
            rights.append(_part(right[index], keys))
    return tuple(lefts), tuple(rights)


def _part(row: CutRow, keys: set[str]) -> CutRow:
    pieces = tuple(piece for piece in row.pieces if piece.key in keys)
    return replace(row, pieces=pieces, count=sum(piece.source.count for piece in pieces))


# Photographs


def _photographs(
    manuscript: Manuscript, page: Page, layout: Path
) -> tuple[dict[str, Photograph], tuple[Finding, ...]]:
    """The designer's pictures by step, and a warning for each that is coarse where it is placed."""
    pictures: dict[str, Photograph] = {}
    unusable, coarse = [], []
    for step in manuscript.computed.resolved.design.steps:
        if step.picture is None:
            continue
        try:
            placed = photograph(manuscript.folder / step.picture, *page.rooms["picture"])
        except UnusablePicture as problem:
            message = f"the picture '{step.picture}' cannot be placed: {problem}"
            remedy = "Save it again as JPEG or PNG."
            unusable.append(error("bad-picture", _place(step), message, remedy))
            continue
        pictures[step.key] = placed
        if placed.is_coarse:
            coarse.append(_coarse(step, placed, layout))
    if unusable:
        raise DesignUnreadable(unusable)
    return pictures, tuple(coarse)


def _coarse(step: Step, placed: Photograph, layout: Path) -> Finding:
    fine = placed.resolution or 0
    size = f"{placed.width_mm:.0f} x {placed.height_mm:.0f} mm"
    message = (
        f"the picture '{step.picture}' is coarse: {fine:.0f} dots per inch at {size} "
        f"in the layout '{layout.name}'"
    )
    remedy = "Use one with at least 150 dots per inch there; 300 are as fine as print shows."
    return Finding(Severity.WARNING, "coarse-picture", _place(step), message, remedy)


def _place(step: Step) -> Position:
    return step.places.get(("picture", step.picture or ""), step.position)
