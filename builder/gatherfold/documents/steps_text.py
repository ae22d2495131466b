"""Steps in words: their text, what they need at hand, and what they warn of.

In: a step, its text with ``[piece]`` and ``{formula}`` references, or a hazard by its key; the
resolved design and the wording.  Out: safe HTML (raw HTML in the text is shown as text, never
passed on); pieces with their codes, supplies by their names and tools with sizes; safety messages,
those counted, in the catalogue's words or the designer's, and hers.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace
from fractions import Fraction

from markdown_it import MarkdownIt
from markupsafe import Markup

from gatherfold.counts import (
    FeatureKind,
    all_hazards,
    all_tools,
    features,
    shaped_pieces,
    step_hazards,
    step_supplies,
    step_tools,
)
from gatherfold.documents.content import CautionView
from gatherfold.formulas import value_text
from gatherfold.model import ADHESIVE_KINDS, Design, Operation, Step, SupplyKind, Tool
from gatherfold.plans import CutOut
from gatherfold.reading import FORMULA_IN_TEXT, NAME_IN_TEXT, names_in_text
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedPiece,
    named_fastenings,
    named_pieces,
    named_strips,
)
from gatherfold.wording import Hazard, Wording

_MARKDOWN = MarkdownIt("commonmark", {"html": False}).enable("table")
#: Operations whose pieces are laid out for them; what is cut is not there yet.
_LAID_OUT: tuple[Operation, ...] = ("score", "ink", "dry_fit", "attach", "insert")
_OF_STRIPS: tuple[Operation, ...] = ("divide", "score")
#: Of more pieces than this only the codes are listed.
_MOST_TITLES = 6
#: Tools that are a supply of the design, where it lists one of these kinds.
_SUPPLIED: dict[Tool, tuple[SupplyKind, ...]] = {"adhesive": ADHESIVE_KINDS, "ink_pad": ("ink",)}
#: Tools that are on the list of supplies and not among the tools.
_BOUGHT: Tool = "magnets"
#: What a tool with sizes makes, and how its sizes are worded.
_SIZED: dict[Tool, tuple[FeatureKind, str]] = {
    "corner_rounder": ("round", "tool_of_radius"),
    "circle_punch": ("thumb notch", "tool_of_width"),
    "hole_punch": ("hole", "tool_of_width"),
}
#: What a designer may word of a hazard.
_WORDED = ("title", "danger", "avoid", "short")
#: Hazards that the age advice names.
_SMALL = ("small_parts", "magnets")


def markdown(text: str) -> Markup:
    """Markdown of the designer's (summary, terms) as HTML."""
    return Markup(_MARKDOWN.render(text))


def step_html(
    step: Step, resolved: ResolvedDesign, wording: Wording, parts: Collection[str]
) -> Markup:
    """The step's text as HTML, every reference replaced by its name, code or length.

    A step that cuts says first how, which depends on the ``parts`` that the layout shows.
    """
    cutting = wording.phrase("cut_by_maps" if "sheet_maps" in parts else "cut_without_maps")
    how = markdown(cutting) if "cut" in step.operations else Markup("")
    names, units = _names(resolved, wording), resolved.edition.units
    filled = FORMULA_IN_TEXT.sub(
        lambda match: value_text(resolved.printed[match.group(1).strip()], units), step.text
    )
    return how + markdown(NAME_IN_TEXT.sub(lambda match: names[match.group(1)], filled))


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


# At hand


def things_at_hand(step: Step, resolved: ResolvedDesign, wording: Wording) -> tuple[str, ...]:
    """The pieces and strips that a step works on or names, and what it fastens with."""
    parts = _parts(step, resolved)
    if len(parts) > _MOST_TITLES:
        things = [", ".join(sorted((part.code for part in parts), key=_by_stock_and_number))]
    else:
        things = [f"{part.title} ({part.code})" for part in parts]
    fastened = named_fastenings(step, resolved)
    held = [resolved.fastenings[key].source.holds or "" for key in fastened]
    for key in dict.fromkeys([*fastened, *(key for key in held if key in resolved.fastenings)]):
        stock = resolved.fastenings[key].source.stock
        things.append(
            resolved.fastenings[key].source.title
            if stock is None
            else resolved.stocks[stock].source.title
        )
    return tuple(dict.fromkeys(things))


def _by_stock_and_number(code: str) -> tuple[str, int]:
    """B10 comes after B9."""
    letters = code.rstrip("0123456789")
    return letters, int(code.removeprefix(letters) or 0)


def _parts(step: Step, resolved: ResolvedDesign) -> list[CutOut]:
    """First those that the text names, in its order."""
    if "cut" in step.operations:
        return []
    pieces = [key for each in _LAID_OUT for key in named_pieces(step, each, resolved)]
    strips = [key for each in _OF_STRIPS for key in named_strips(step, each, resolved)]
    known: dict[str, CutOut] = {**resolved.pieces, **resolved.strips}
    keys = dict.fromkeys([*names_in_text(step.text), *pieces, *strips])
    return [known[key] for key in keys if key in known]


def tools_at_hand(step: Step, resolved: ResolvedDesign, wording: Wording) -> tuple[str, ...]:
    """The tools of a step, and the very supplies that it uses."""
    shaped = [
        resolved.pieces[key]
        for operation in step.operations
        for key in shaped_pieces(step, operation, resolved)
    ]
    supplies = [resolved.design.supplies[key] for key in step_supplies(step, resolved)]
    kinds = {supply.kind for supply in supplies}
    tools = [
        _tool(key, shaped, resolved, wording)
        for key in step_tools(step, resolved)
        if kinds.isdisjoint(_SUPPLIED.get(key, ()))
    ]
    return (*(supply.title for supply in supplies), *tools)


def tools_to_have(resolved: ResolvedDesign, wording: Wording) -> tuple[str, ...]:
    """Every tool of the design, without what its list of supplies names."""
    kinds = {supply.kind for supply in resolved.design.supplies.values()}
    pieces = list(resolved.pieces.values())
    return tuple(
        _tool(key, pieces, resolved, wording)
        for key in all_tools(resolved)
        if key != _BOUGHT and kinds.isdisjoint(_SUPPLIED.get(key, ()))
    )


def _tool(
    key: Tool, shaped: Iterable[ResolvedPiece], resolved: ResolvedDesign, wording: Wording
) -> str:
    """A tool, with the sizes that it must make of these pieces."""
    title = wording.tools[key]
    if key not in _SIZED:
        return title
    shape, phrase = _SIZED[key]
    lengths: set[Fraction] = {
        feature.lengths[0]
        for piece in shaped
        for feature in features(piece)
        if feature.kind == shape
    }
    if not lengths:
        return title
    sizes = wording.listed(resolved.edition.units.text(length) for length in sorted(lengths))
    return wording.phrase(phrase, tool=title, sizes=sizes)


def minutes_text(minutes: int, wording: Wording) -> str:
    """``about 25 min``, ``about 1 h 30 min``; from three hours on to the half hour."""
    if minutes < 60:
        return wording.phrase("time_minutes", minutes=minutes)
    if minutes >= 180:
        minutes = (minutes + 15) // 30 * 30
    hours, rest = divmod(minutes, 60)
    return wording.phrase("time_hours" if rest == 0 else "time_both", hours=hours, minutes=rest)


# Safety messages


def caution_view(key: str, resolved: ResolvedDesign, wording: Wording) -> CautionView:
    entry = hazard_of(key, resolved.design, wording)
    numbers = [
        str(number)
        for number, step in enumerate(resolved.design.steps, start=1)
        if key in step_hazards(step, resolved)
    ]
    where = ""
    if numbers:
        where = wording.counted("safety_steps", len(numbers), steps=wording.listed(numbers))
    return CautionView(**vars(entry), where=where)


def hazard_of(key: str, design: Design, wording: Wording) -> Hazard:
    """A hazard's wording; a reworded one keeps its signal word, and so what it is worth."""
    for added in design.safety.added:
        if added.key == key:
            signal = wording.signals[added.level]
            written = {name: getattr(added, name) for name in _WORDED}
            return Hazard(key, added.level, signal, **written)
    own = design.safety.replaced.get(key)
    reworded = {name: getattr(own, name) for name in _WORDED if getattr(own, name, None)}
    return replace(wording.hazards[key], **reworded)


def age_advice(resolved: ResolvedDesign, wording: Wording) -> str:
    """For whom the project is: the designer's words, or the catalogue's; what can be swallowed is
    named whoever words it."""
    words = resolved.design.safety.age or wording.phrase("safety_age")
    if any(hazard in _SMALL for hazard in all_hazards(resolved)):
        words = f"{words} {wording.phrase('safety_age_small')}"
    return words
