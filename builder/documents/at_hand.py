"""What a step needs at hand: pieces with their codes, supplies by their names, tools with sizes.

In: a step, the resolved design and the wording.  Out: words, in the order they are laid out.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from builder.choices import ADHESIVE_KINDS, SupplyKind
from builder.counts.cut_list import FeatureKind, features
from builder.counts.shaping import shaped_pieces
from builder.counts.tools import all_tools, step_supplies, step_tools
from builder.reading.references import names_in_text
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStrip
from builder.resolve.step_parts import named_fastenings, named_pieces, named_strips
from builder.steps import Operation, Step
from builder.tool_names import Tool
from builder.wording import Wording

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


def _parts(step: Step, resolved: ResolvedDesign) -> list[ResolvedPiece | ResolvedStrip]:
    """First those that the text names, in its order."""
    if "cut" in step.operations:
        return []
    pieces = [key for each in _LAID_OUT for key in named_pieces(step, each, resolved)]
    strips = [key for each in _OF_STRIPS for key in named_strips(step, each, resolved)]
    known: dict[str, ResolvedPiece | ResolvedStrip] = {**resolved.pieces, **resolved.strips}
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
