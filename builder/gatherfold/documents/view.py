"""Everything computed for one edition → :class:`DocumentView`, its wording final.

In: resolved design, sheet plans, cut list, figures, wording.  Out: what a layout shows.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from fractions import Fraction

from markupsafe import Markup

from gatherfold import __version__
from gatherfold.counts import (
    all_hazards,
    all_minutes,
    difficulty,
    photo_places,
    section_hazards,
    step_hazards,
    step_minutes,
)
from gatherfold.documents.content import (
    CautionView,
    DocumentView,
    FactView,
    FigureView,
    ImprintView,
    PaperSideView,
    PaperView,
    PhotoView,
    StepView,
)
from gatherfold.documents.cut_list_text import CutListText, score_first
from gatherfold.documents.figure_set import PHOTOGRAPH, FigureSet, is_of_step
from gatherfold.documents.sheets_text import SheetsText, figure_view
from gatherfold.documents.steps_text import (
    age_advice,
    caution_view,
    markdown,
    minutes_text,
    step_html,
    things_at_hand,
    tools_at_hand,
    tools_to_have,
)
from gatherfold.documents.supplies_text import SuppliesText
from gatherfold.documents.typeset import FIGURE_SCHEME
from gatherfold.drawings import pattern_words, sides_shown, swatch_key
from gatherfold.editions import Computed
from gatherfold.model import Operation, Step, printed_mark
from gatherfold.resolve import ResolvedDesign, named_strips
from gatherfold.wording import Wording
from gatherfold.work import finished_size, work_of

#: Operations that are done from the sheet maps: their hazards head that part.
_ON_SHEETS: frozenset[Operation] = frozenset({"cut", "divide"})
#: What is said of how to read the document, after its units.
_CONVENTIONS = ("size", "scores", "reveal", "codes", "dry_fit")


def document_view(
    computed: Computed, figures: FigureSet, wording: Wording, parts: Collection[str]
) -> DocumentView:
    """Write the document of one edition; ``parts`` are those that the layout shows."""
    view = _EditionText(computed, figures, wording, parts).view()
    return replace(view, glossary=glossary(view, wording))


@dataclass(frozen=True)
class _EditionText:
    """Writes the document of one edition."""

    computed: Computed
    figures: FigureSet
    wording: Wording
    parts: Collection[str]

    @property
    def resolved(self) -> ResolvedDesign:
        return self.computed.resolved

    def view(self) -> DocumentView:
        """Everything but the glossary, which is of the words that stand here."""
        computed, resolved, wording = self.computed, self.resolved, self.wording
        kits, phrase, steps = computed.kits, wording.phrase, resolved.design.steps
        supplies = SuppliesText(resolved, kits, wording)
        lines = [(line, supplies.view(line)) for line in computed.supplies]
        cuts = CutListText(resolved, kits, wording)
        conventions = (f"units_{resolved.edition.units.unit}", *_CONVENTIONS)
        return DocumentView(
            **vars(self._imprint()),
            facts=tuple(FactView(phrase(name), value) for name, value in self._facts()),
            stock_supplies=tuple(view for line, view in lines if line.is_sheet),
            other_supplies=tuple(view for line, view in lines if not line.is_sheet),
            cost=supplies.cost(computed.supplies),
            substitutes=supplies.substitutes(computed.substitutes),
            kits="" if kits == 1 else phrase("kits_together", kits=kits),
            papers=tuple(self._papers()),
            tools=tools_to_have(resolved, wording),
            cautions=self._cautions(all_hazards(resolved)),
            cutting_cautions=self._cautions(section_hazards(_ON_SHEETS, resolved)),
            age=age_advice(resolved, wording),
            conventions=tuple(phrase(f"convention_{name}") for name in conventions),
            figures={kind: self._figures(drawn) for kind, drawn in self.figures.by_kind.items()},
            cut_lists=cuts.views(computed.rows, computed.plans),
            score_first=score_first(computed.rows, wording),
            sheet_plans=SheetsText(resolved, wording).plans(computed.plans, self.figures),
            steps=tuple(self._step(number, step) for number, step in enumerate(steps, start=1)),
            first_steps=self.figures.first_steps,
            photos=tuple(self._photos()),
            text=dict(wording.text),
        )

    def _imprint(self) -> ImprintView:
        design, edition, phrase = self.resolved.design, self.resolved.edition, self.wording.phrase
        revision = "revision_of" if design.date else "revision_alone"
        return ImprintView(
            language=self.wording.language,
            title=design.title,
            subtitle=design.subtitle,
            author=design.author,
            edition=phrase(f"edition_{edition.name}"),
            edition_key=edition.name,
            unit=phrase(f"unit_{edition.units.unit}"),
            paper=edition.paper.name,
            is_draft=self.computed.is_draft,
            summary=markdown(design.summary),
            terms=markdown(design.terms),
            revision=phrase(revision, revision=design.revision, date=design.date),
            revision_note=phrase("revision_note", checksum=printed_mark(design.checksum)),
            made_with=phrase("made_with", version=__version__),
            changes=tuple(
                FactView(phrase("revision_alone", revision=revision), text)
                for revision, text in design.changes.items()
            ),
            date=design.date,
        )

    def _figures(self, keys: Iterable[str]) -> tuple[FigureView, ...]:
        return tuple(figure_view(key, self.figures) for key in keys)

    def _cautions(self, hazards: Iterable[str]) -> tuple[CautionView, ...]:
        return tuple(caution_view(key, self.resolved, self.wording) for key in hazards)

    def _papers(self) -> Iterator[PaperView]:
        """The stocks that pieces are cut from, in the order of their letters."""
        pieces = self.resolved.pieces.values()
        letters = {piece.stock.key: piece.code.rstrip("0123456789") for piece in pieces}
        for key, stock in self.resolved.stocks.items():
            if letters.get(key):
                sides = tuple(
                    PaperSideView(
                        stock.source.side(side).title,
                        figure_view(swatch_key(key, side), self.figures),
                        pattern_words(self.resolved, key, side),
                    )
                    for side in sides_shown(stock)
                )
                yield PaperView(letters[key], stock.source.title, sides)

    def _photos(self) -> Iterator[PhotoView]:
        """The places for photographs, with the largest size that fits in each."""
        for place in photo_places(self.resolved):
            size = self.resolved.edition.units.size_text(place.width, place.height)
            piece = f"{place.piece.title} ({place.piece.code})"
            yield PhotoView(place.number, piece, place.count, size)

    # The few figures a buyer asks for first

    def _facts(self) -> Iterator[tuple[str, str]]:
        """The phrases that name them, with what they come to; what the designer says of skill, else
        how hard it is."""
        resolved, plans = self.resolved, self.computed.plans
        finished = finished_size(work_of(resolved))
        if finished is not None:
            yield "fact_finished", self._finished(*finished)
        yield "fact_pieces", str(sum(piece.source.count for piece in resolved.pieces.values()))
        yield "fact_sheets", self._sheets()
        if resolved.design.skill:
            yield "fact_skill", resolved.design.skill
        else:
            level = difficulty(resolved, plans)
            yield "fact_difficulty", self.wording.phrase(f"difficulty_{level}")
        yield "fact_time", minutes_text(all_minutes(resolved, plans), self.wording)

    def _sheets(self) -> str:
        """How many sheets one kit needs, and, of several, how many all need together."""
        plans, kits = self.computed.plans.values(), self.computed.kits
        one = str(sum(len(stock.of_one.sheets) for stock in plans))
        if kits == 1:
            return one
        together = str(sum(len(stock.plan.sheets) for stock in plans))
        return f"{one}; {self.wording.phrase('for_kits', amount=together, kits=kits)}"

    def _finished(self, width: Fraction, height: Fraction, depth: Fraction) -> str:
        units = self.resolved.edition.units
        size = units.size_text(width, height)
        if depth == 0:
            return size
        return self.wording.phrase("finished_depth", size=size, depth=units.text(depth))

    # Steps

    def _step(self, number: int, step: Step) -> StepView:
        resolved, wording = self.resolved, self.wording
        sheets = SheetsText(resolved, wording)
        return StepView(
            number=number,
            key=step.key,
            title=step.title,
            text=step_html(step, resolved, wording, self.parts),
            pieces=things_at_hand(step, resolved, wording),
            tools=tools_at_hand(step, resolved, wording),
            cautions=self._cautions(step_hazards(step, resolved)),
            figures=self._figures(key for key in self.figures.figures if is_of_step(key, number)),
            picture=self._photograph(step),
            divisions=tuple(
                sheets.division(resolved.strips[key], step)
                for key in named_strips(step, "divide", resolved)
            ),
            time=minutes_text(step_minutes(step, resolved, self.computed.plans), wording),
            is_alone=number in self.figures.steps_alone,
        )

    def _photograph(self, step: Step) -> FigureView | None:
        """The designer's own picture of a step."""
        placed = self.figures.photographs.get(step.key)
        if placed is None:
            return None
        key = f"{PHOTOGRAPH}{step.key}"
        words = self.wording.phrase("photograph_of", title=step.title)
        address = f"{FIGURE_SCHEME}{key}"
        return FigureView(key, address, step.title, words, placed.width_mm, placed.height_mm)


# The glossary: the words of the trade that stand on the pages, each explained once

#: Fields that are not printed as they are.
_UNSEEN = frozenset({"source", "key", "edition_key", "language", "glossary", "beside"})


def glossary(view: DocumentView, wording: Wording) -> tuple[FactView, ...]:
    """Word and meaning, in the order of the language's glossary."""
    there = "\n".join(printed_words(view))
    return tuple(
        FactView(entry.forms[0], entry.meaning)
        for entry in wording.glossary
        if any(
            re.search(rf"(?<!\w){re.escape(form)}(?!\w)", there, re.IGNORECASE)
            for form in entry.forms
        )
    )


def printed_words(part: object) -> Iterator[str]:
    """Every text of a view; of a figure its text equivalent, which names what is lettered in it.

    The dictionary of all fixed wording is left out: nobody knows what of it a layout prints.
    """
    if isinstance(part, Markup):
        yield part.striptags()
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
