"""Everything computed for one edition → :class:`DocumentView`, its wording final.

In: resolved design, sheet plans, cut list, figures, wording.  Out: what a layout shows.
"""

from __future__ import annotations

import html
import re
from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, is_dataclass, replace
from fractions import Fraction

from markupsafe import Markup

from gatherfold import __version__
from gatherfold.counts.photographs import photo_places
from gatherfold.counts.tools import all_hazards, section_hazards, step_hazards
from gatherfold.documents.content import (
    CautionView,
    DocumentView,
    FactView,
    FigureView,
    PaperSideView,
    PaperView,
    PhotoView,
    StepView,
)
from gatherfold.documents.cut_list_text import CutListText, score_first
from gatherfold.documents.effort import all_minutes, difficulty, minutes_text, step_minutes
from gatherfold.documents.figure_set import PHOTOGRAPH, FigureSet, is_of_step
from gatherfold.documents.page import PARTS
from gatherfold.documents.sheets_text import SheetsText, figure_view
from gatherfold.documents.steps_text import (
    age_advice,
    caution_view,
    markdown,
    step_html,
    things_at_hand,
    tools_at_hand,
    tools_to_have,
)
from gatherfold.documents.supplies_text import SuppliesText
from gatherfold.documents.typeset import FIGURE_SCHEME
from gatherfold.drawings.stock_tints import pattern_words, sides_shown, swatch_key
from gatherfold.editions import Computed
from gatherfold.model.checksum import printed_mark
from gatherfold.model.design import Step
from gatherfold.model.steps import Operation
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.resolve.step_parts import named_strips
from gatherfold.wording import Wording
from gatherfold.work import work_of
from gatherfold.work.finished import finished_size

#: Operations that are done from the sheet maps: their hazards head that part.
_ON_SHEETS: frozenset[Operation] = frozenset({"cut", "divide"})


def document_view(
    computed: Computed, figures: FigureSet, wording: Wording, parts: Collection[str] = PARTS
) -> DocumentView:
    """``parts`` are those that the layout shows."""
    design, edition = computed.resolved.design, computed.resolved.edition
    unit = edition.units.unit
    supplies = SuppliesText(computed.resolved, computed.kits, wording)
    lines = [(line, supplies.view(line)) for line in computed.supplies]
    cautions = {
        key: caution_view(key, computed.resolved, wording) for key in all_hazards(computed.resolved)
    }
    view = DocumentView(
        language=wording.language,
        title=design.title,
        subtitle=design.subtitle,
        author=design.author,
        edition=wording.phrase(f"edition_{edition.name}"),
        edition_key=edition.name,
        unit=wording.phrase(f"unit_{unit}"),
        paper=edition.paper.name,
        is_draft=computed.is_draft,
        summary=markdown(design.summary),
        terms=markdown(design.terms),
        revision=wording.phrase(
            "revision_of" if design.date else "revision_alone",
            revision=design.revision,
            date=design.date,
        ),
        revision_note=wording.phrase("revision_note", checksum=printed_mark(computed.checksum)),
        made_with=wording.phrase("made_with", version=__version__),
        changes=tuple(
            FactView(wording.phrase("revision_alone", revision=each.revision), each.text)
            for each in design.changes
        ),
        date=design.date,
        facts=_facts(computed, wording),
        stock_supplies=tuple(view for line, view in lines if line.is_sheet),
        other_supplies=tuple(view for line, view in lines if not line.is_sheet),
        cost=supplies.cost(computed.supplies),
        substitutes=supplies.substitutes(computed.substitutes),
        kits="" if computed.kits == 1 else wording.phrase("kits_together", kits=computed.kits),
        papers=_papers(computed.resolved, figures),
        tools=tools_to_have(computed.resolved, wording),
        cautions=tuple(cautions.values()),
        cutting_cautions=tuple(
            caution_view(key, computed.resolved, wording)
            for key in section_hazards(_ON_SHEETS, computed.resolved)
        ),
        age=age_advice(computed.resolved, wording),
        conventions=tuple(
            wording.phrase(f"convention_{name}")
            for name in (f"units_{unit}", "size", "scores", "reveal", "codes", "dry_fit")
        ),
        figures={
            name: tuple(figure_view(key, figures) for key in kind)
            for name, kind in figures.by_kind.items()
        },
        cut_lists=CutListText(computed.resolved, computed.kits, wording).views(
            computed.rows, computed.plans
        ),
        score_first=score_first(computed.rows, wording),
        sheet_plans=SheetsText(computed.resolved, wording).plans(computed.plans, figures),
        steps=tuple(
            _step(number, step, computed, figures, wording, cautions, parts)
            for number, step in enumerate(design.steps, start=1)
        ),
        first_steps=figures.first_steps,
        photos=_photos(computed.resolved),
        text=dict(wording.text),
    )
    return replace(view, glossary=glossary(view, wording))


def _papers(resolved: ResolvedDesign, figures: FigureSet) -> tuple[PaperView, ...]:
    """The stocks that pieces are cut from, in the order of their letters."""
    letters = {
        piece.stock.key: piece.code.rstrip("0123456789") for piece in resolved.pieces.values()
    }
    return tuple(
        PaperView(
            letters[key],
            stock.source.title,
            tuple(
                PaperSideView(
                    stock.source.side(side).title,
                    figure_view(swatch_key(key, side), figures),
                    pattern_words(resolved, key, side),
                )
                for side in sides_shown(stock)
            ),
        )
        for key, stock in resolved.stocks.items()
        if letters.get(key)
    )


def _photos(resolved: ResolvedDesign) -> tuple[PhotoView, ...]:
    """The places for photographs, with the largest size that fits in each."""
    units = resolved.edition.units
    return tuple(
        PhotoView(
            place.number,
            f"{place.piece.title} ({place.piece.code})",
            place.count,
            units.size_text(place.width, place.height),
        )
        for place in photo_places(resolved)
    )


def _facts(computed: Computed, wording: Wording) -> tuple[FactView, ...]:
    """The few figures a buyer asks for first."""
    resolved = computed.resolved
    facts = []
    finished = finished_size(work_of(resolved))
    if finished is not None:
        facts.append(("fact_finished", _finished_text(finished, resolved, wording)))
    pieces = sum(piece.source.count for piece in resolved.pieces.values())
    sheets = sum(len(stock.of_one.sheets) for stock in computed.plans.values())
    all_sheets = sum(len(stock.plan.sheets) for stock in computed.plans.values())
    facts += [("fact_pieces", str(pieces))]
    facts += [("fact_sheets", _with_all(str(sheets), str(all_sheets), computed, wording))]
    facts += _effort_facts(computed, wording)
    return tuple(FactView(wording.phrase(name), value) for name, value in facts)


def _effort_facts(computed: Computed, wording: Wording) -> list[tuple[str, str]]:
    """What the designer says of skill, else how hard it is; and the time of all steps."""
    resolved, plans = computed.resolved, computed.plans
    time = ("fact_time", minutes_text(all_minutes(resolved, plans), wording))
    if resolved.design.skill:
        return [("fact_skill", resolved.design.skill), time]
    level = wording.phrase(f"difficulty_{difficulty(resolved, plans)}")
    return [("fact_difficulty", level), time]


def _with_all(one: str, together: str, computed: Computed, wording: Wording) -> str:
    """What one kit needs, and, of several, what all need together."""
    if computed.kits == 1:
        return one
    return f"{one}; {wording.phrase('for_kits', amount=together, kits=computed.kits)}"


def _finished_text(
    size: tuple[Fraction, Fraction, Fraction], resolved: ResolvedDesign, wording: Wording
) -> str:
    units = resolved.edition.units
    text = units.size_text(size[0], size[1])
    if size[2] == 0:
        return text
    return wording.phrase("finished_depth", size=text, depth=units.text(size[2]))


# Steps


def _step(
    number: int,
    step: Step,
    computed: Computed,
    figures: FigureSet,
    wording: Wording,
    cautions: Mapping[str, CautionView],
    parts: Collection[str],
) -> StepView:
    resolved = computed.resolved
    keys = [key for key in figures.figures if is_of_step(key, number)]
    return StepView(
        number=number,
        key=step.key,
        title=step.title,
        text=step_html(step, resolved, wording, parts),
        pieces=things_at_hand(step, resolved, wording),
        tools=tools_at_hand(step, resolved, wording),
        cautions=tuple(cautions[hazard] for hazard in step_hazards(step, resolved)),
        figures=tuple(figure_view(key, figures) for key in keys),
        picture=_photograph(step, figures, wording),
        divisions=tuple(
            SheetsText(resolved, wording).division(resolved.strips[key], step)
            for key in named_strips(step, "divide", resolved)
        ),
        time=minutes_text(step_minutes(step, resolved, computed.plans), wording),
        is_alone=number in figures.steps_alone,
    )


def _photograph(step: Step, figures: FigureSet, wording: Wording) -> FigureView | None:
    """The designer's own picture of a step."""
    placed = figures.photographs.get(step.key)
    if placed is None:
        return None
    key = f"{PHOTOGRAPH}{step.key}"
    words = wording.phrase("photograph_of", title=step.title)
    address = f"{FIGURE_SCHEME}{key}"
    return FigureView(key, address, step.title, words, placed.width_mm, placed.height_mm)


# The glossary: the words of the trade that stand on the pages, each explained once

#: Fields that are not printed as they are.
_UNSEEN = frozenset({"source", "key", "edition_key", "language", "glossary", "beside"})
_TAG = re.compile(r"<[^>]*>")


def glossary(view: DocumentView, wording: Wording) -> tuple[FactView, ...]:
    """Word and meaning, in the order of the language's glossary."""
    there = "\n".join(printed_words(view))
    return tuple(
        FactView(entry.forms[0], entry.meaning)
        for entry in wording.glossary
        if any(_stands_in(form, there) for form in entry.forms)
    )


def _stands_in(form: str, words: str) -> bool:
    return re.search(rf"(?<!\w){re.escape(form)}(?!\w)", words, re.IGNORECASE) is not None


def printed_words(part: object) -> Iterator[str]:
    """Every text of a view; of a figure its text equivalent, which names what is lettered in it.

    The dictionary of all fixed wording is left out: nobody knows what of it a layout prints.
    """
    if isinstance(part, Markup):
        yield html.unescape(_TAG.sub(" ", part))
    elif isinstance(part, str):
        yield part
    elif isinstance(part, tuple):
        for each in part:
            yield from printed_words(each)
    elif isinstance(part, Mapping):
        pictures = tuple(each for each in part.values() if not isinstance(each, str))
        yield from printed_words(pictures)
    elif is_dataclass(part):
        for each in fields(part):
            if each.name not in _UNSEEN:
                yield from printed_words(getattr(part, each.name))
