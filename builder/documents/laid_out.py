"""One edition, or two side by side, in one layout: page, figures, view, HTML, PDF.

In: everything computed for an edition, and a layout's folder.  Out: :class:`LaidOut`.  What is
drawn for one layout serves the next one where it has the same room.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path

from builder.design import Step
from builder.documents.compose import compose
from builder.documents.figure_set import Drawn, FigureSet, draw_figures
from builder.documents.page import Page, read_page
from builder.documents.photographs import Photograph, UnusablePicture, photograph
from builder.documents.problems import at_their_places
from builder.documents.side_by_side import beside, halved, with_joint_rows
from builder.documents.typeset import no_collecting, typeset
from builder.documents.view import Computed, document_view
from builder.drawings.figures import Figure
from builder.findings import DesignUnreadable, Finding, Position, Severity, error
from builder.wording import Wording

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
    wording: Wording
    drawn: Drawn = field(default_factory=dict)


def lay_out(manuscript: Manuscript, layout: Path, progress: Progress) -> LaidOut:
    """The edition in one layout.

    Raises :class:`DesignUnreadable` for its page, a picture or a character that no font has, and
    ``DocumentProblem`` for a template.
    """
    page = read_page(layout, manuscript.computed.resolved.edition)
    pictures, findings = _photographs(manuscript, page, layout)
    figures = replace(_figures(manuscript, page, progress), photographs=pictures)
    progress(f"{_name(manuscript)}: setting the pages of {layout.name}")
    view = document_view(manuscript.computed, figures, manuscript.wording, page.parts)
    html = compose(view, layout, page)
    with at_their_places(manuscript.computed.resolved.design.file):
        pdf = typeset(html, layout, figures.by_address, page.style, _folder(manuscript))
    return LaidOut(html, pdf, findings)


def lay_out_side_by_side(
    left: Manuscript, right: Manuscript, layout: Path, progress: Progress
) -> LaidOut:
    """Both editions in one document, on the paper of the left one."""
    page = read_page(layout, left.computed.resolved.edition)
    narrow = halved(page)
    pictures, findings = _photographs(left, page, layout)
    rows = with_joint_rows(left.computed.rows, right.computed.rows)
    views = []
    figures: dict[str, Figure | Photograph] = {}
    for manuscript, joint in zip((left, right), rows, strict=True):
        edition_figures = replace(
            _figures(manuscript, narrow, progress),
            photographs=pictures,
            prefix=f"{_name(manuscript)}-",
        )
        computed = replace(manuscript.computed, rows=joint)
        views.append(document_view(computed, edition_figures, manuscript.wording, page.parts))
        figures |= edition_figures.by_address
    progress(f"side by side: setting the pages of {layout.name}")
    html = compose(beside(views[0], views[1], left.wording), layout, page)
    with at_their_places(left.computed.resolved.design.file):
        pdf = typeset(html, layout, figures, page.style, _folder(left))
    return LaidOut(html, pdf, findings)


def _figures(manuscript: Manuscript, page: Page, progress: Progress) -> FigureSet:
    computed = manuscript.computed
    with no_collecting():
        return draw_figures(
            computed.resolved,
            computed.plans,
            computed.rows,
            lambda text: progress(f"{_name(manuscript)}: drawing {text}"),
            page,
            manuscript.drawn,
        )


def _name(manuscript: Manuscript) -> str:
    return manuscript.computed.resolved.edition.name


def _folder(manuscript: Manuscript) -> Path:
    return Path(manuscript.computed.resolved.design.file).parent


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
            placed = photograph(_folder(manuscript) / step.picture, *page.rooms["picture"])
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
