"""Step Markdown → HTML, with piece names and measures filled in.

In: the step's text with ``[piece]`` and ``{formula}`` references.  Out: safe HTML; raw HTML in the
text is shown as text, never passed on.
"""

from __future__ import annotations

from collections.abc import Mapping

from markdown_it import MarkdownIt
from markupsafe import Markup

from builder.formulas import Pair, Value
from builder.lengths import UnitSystem
from builder.reading.references import FORMULA_IN_TEXT, NAME_IN_TEXT
from builder.resolve.resolved import ResolvedDesign

_MARKDOWN = MarkdownIt("commonmark", {"html": False}).enable("table")


def markdown(text: str) -> Markup:
    """Markdown of the designer's (summary, terms) as HTML."""
    return Markup(_MARKDOWN.render(text))


def step_html(text: str, resolved: ResolvedDesign) -> Markup:
    """The step's text as HTML, every reference replaced by its name, code or length."""
    names = _names(resolved)
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


def _names(resolved: ResolvedDesign) -> Mapping[str, str]:
    """What ``[name]`` prints: a piece with its code in bold, anything else by its title."""
    design = resolved.design
    names = {step.key: f"step {n} ({step.title})" for n, step in enumerate(design.steps, 1)}
    names |= {key: supply.title.lower() for key, supply in design.supplies.items()}
    names |= {key: stock.title.lower() for key, stock in design.stocks.items()}
    names |= {key: fastening.title.lower() for key, fastening in design.fastenings.items()}
    names |= {
        key: f"{_lower_first(piece.title)} (**{piece.code}**)"
        for key, piece in resolved.pieces.items()
    }
    return names


def _lower_first(title: str) -> str:
    return title[:1].lower() + title[1:]
