"""Step Markdown → HTML, with piece names and measures filled in.

In: a step, its text with ``[piece]`` and ``{formula}`` references.  Out: safe HTML; raw HTML in the
text is shown as text, never passed on.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from markdown_it import MarkdownIt
from markupsafe import Markup

from builder.design import Step
from builder.formulas import Pair, Value
from builder.lengths import UnitSystem
from builder.reading.references import FORMULA_IN_TEXT, NAME_IN_TEXT
from builder.resolve.resolved import ResolvedDesign
from builder.sheet_places import CutOut
from builder.wording import Wording

_MARKDOWN = MarkdownIt("commonmark", {"html": False}).enable("table")


def markdown(text: str) -> Markup:
    """Markdown of the designer's (summary, terms) as HTML."""
    return Markup(_MARKDOWN.render(text))


def step_html(
    step: Step, resolved: ResolvedDesign, wording: Wording, parts: Collection[str]
) -> Markup:
    """The step's text as HTML, every reference replaced by its name, code or length.

    A step that cuts says first how, which depends on the ``parts`` that the layout shows.
    """
    return _cutting(step, wording, parts) + _step_text(step.text, resolved, wording)


def _cutting(step: Step, wording: Wording, parts: Collection[str]) -> Markup:
    if "cut" not in step.operations:
        return Markup("")
    return markdown(wording.phrase("cut_by_maps" if "sheet_maps" in parts else "cut_without_maps"))


def _step_text(text: str, resolved: ResolvedDesign, wording: Wording) -> Markup:
    names = _names(resolved, wording)
    filled = FORMULA_IN_TEXT.sub(
        lambda match: _length_text(
            resolved.printed[match.group(1).strip()], resolved.edition.units
        ),
        text,
    )
    filled = NAME_IN_TEXT.sub(lambda match: names[match.group(1)], filled)
    return markdown(filled)


def _length_text(value: Value, units: UnitSystem) -> str:
    if isinstance(value, Pair):
        return units.size_text(value.width, value.height)
    return units.text(value.value)


def _names(resolved: ResolvedDesign, wording: Wording) -> Mapping[str, str]:
    """What ``[name]`` prints: a piece or strip with its code in bold, else a title."""
    design = resolved.design
    names = {
        step.key: wording.phrase("step_named", number=number, title=step.title)
        for number, step in enumerate(design.steps, start=1)
    }
    for titled in (design.supplies, design.stocks, design.fastenings):
        names |= {key: wording.within_sentence(each.title) for key, each in titled.items()}
    names |= {key: _coded(piece, wording) for key, piece in resolved.pieces.items()}
    names |= {key: _coded(strip, wording) for key, strip in resolved.strips.items()}
    return names


def _coded(part: CutOut, wording: Wording) -> str:
    return f"{wording.within_sentence(part.title)} (**{part.code}**)"
