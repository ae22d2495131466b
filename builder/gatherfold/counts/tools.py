"""Tools from the operations that the design uses, and hazards from the tools and materials.

In: a resolved design.  Out: keys into the wording's tables of tools and hazards; which operation
needs which tool is here, what it is called and how to warn of it is in the wording.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, TypeVar

from gatherfold.counts.shaping import shaped_pieces
from gatherfold.model import (
    ADHESIVE_KINDS,
    OPERATIONS,
    CornerShape,
    FastenerKind,
    HazardName,
    Material,
    OpeningShape,
    Operation,
    Step,
    SupplyKind,
    Tool,
)
from gatherfold.reading import names_in_text
from gatherfold.resolve import REMEMBERED, ResolvedDesign, named_fastenings, named_pieces
from gatherfold.work import work_of

#: The name of a tool or of a hazard.
_Name = TypeVar("_Name", bound=str)
#: What is cut into or off a piece.
_Shape = Literal[CornerShape, OpeningShape, "thumb"]

#: Tools that an operation of a step calls for (common practice, no source).
_OPERATION_TOOLS: dict[Operation, tuple[Tool, ...]] = {
    "cut": ("trimmer", "ruler", "pencil"),
    "divide": ("trimmer",),
    "score": ("scoring_board", "bone_folder"),
    "fold": ("bone_folder",),
    "ink": ("ink_pad",),
    "dry_fit": (),
    "attach": ("adhesive",),
    "close": ("adhesive",),
    "open": (),
    "fasten": (),
    "insert": (),
}
_SHAPE_TOOLS: dict[_Shape, tuple[Tool, ...]] = {
    "mitre": ("scissors",),
    "notch": ("knife", "cutting_mat"),
    "round": ("corner_rounder",),
    "window": ("knife", "cutting_mat"),
    "thumb": ("circle_punch",),
    "hole": ("hole_punch",),
}
_CUTTING: frozenset[Operation] = frozenset({"cut"})
_GLUING: frozenset[Operation] = frozenset({"attach", "close"})


@dataclass(frozen=True)
class _Supplied:
    """A kind of supply: the operations that use one which no step names, what it is worked with
    beside what they call for, and its hazards beside those of these tools."""

    operations: frozenset[Operation] = frozenset()
    tools: tuple[Tool, ...] = ()
    hazards: tuple[HazardName, ...] = ()


_SUPPLIES: dict[SupplyKind, _Supplied] = {
    "tape": _Supplied(_GLUING, hazards=("adhesive",)),
    "glue": _Supplied(_GLUING, hazards=("adhesive",)),
    "hot glue": _Supplied(_GLUING, tools=("hot_glue_gun",)),
    "solvent glue": _Supplied(_GLUING, hazards=("solvent",)),
    "ink": _Supplied(frozenset({"ink"})),
    "embossing powder": _Supplied(tools=("heat_tool",)),
    "other": _Supplied(),
}
_MATERIAL_TOOLS: dict[Material, tuple[Tool, ...]] = {
    "cardstock": (),
    "paper": (),
    "board": ("knife", "cutting_mat"),
    "ribbon": (),
}

#: Hazards of a tool.
_TOOL_HAZARDS: dict[Tool, tuple[HazardName, ...]] = {
    "ruler": (),
    "pencil": (),
    "scoring_board": (),
    "bone_folder": (),
    "piercing_mat": (),
    "cutting_mat": (),
    "trimmer": ("blade",),
    "knife": ("blade",),
    "scissors": ("scissors",),
    "awl": ("piercing",),
    "hole_punch": ("punch",),
    "eyelet_setter": ("punch",),
    # Or a coin and scissors, as their names say.
    "corner_rounder": ("punch", "scissors"),
    "circle_punch": ("punch", "scissors"),
    "adhesive": ("adhesive",),
    "ink_pad": ("ink",),
    "hot_glue_gun": ("heat",),
    "heat_tool": ("heat",),
    "magnets": ("magnets",),
}


def step_tools(step: Step, resolved: ResolvedDesign) -> tuple[Tool, ...]:
    """The tools one step needs, in the usual order of its operations; then those of what it sets
    and of its supplies."""
    operations = _operations(step, resolved)
    fastening = [tool for kind in _fastened(step, resolved) for tool in kind.tools]
    supplied = [tool for kind in _supplied(step, resolved) for tool in _SUPPLIES[kind].tools]
    return _once([*_operation_tools(step, operations, resolved), *fastening, *supplied])


def _operations(step: Step, resolved: ResolvedDesign) -> tuple[Operation, ...]:
    """What a step does, without an attaching or closing that glues nothing."""
    keys, work = [each.key for each in resolved.design.steps], work_of(resolved)
    number = keys.index(step.key) + 1
    done = (each for each in OPERATIONS if each in step.operations)
    return tuple(each for each in done if each not in _GLUING or work.glues(number, each))


def _operation_tools(
    step: Step, operations: Iterable[Operation], resolved: ResolvedDesign
) -> Iterator[Tool]:
    for operation in operations:
        yield from _OPERATION_TOOLS[operation]
        yield from _shaping_tools(shaped_pieces(step, operation, resolved), resolved)
        if operation in _CUTTING:
            yield from _material_tools(step, resolved)


def all_tools(resolved: ResolvedDesign) -> tuple[Tool, ...]:
    """Every tool the design needs, each once, in the order of first use."""
    return _once(tool for step in resolved.design.steps for tool in step_tools(step, resolved))


def step_hazards(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The hazards that one step meets and the designer does not leave out, with those she adds."""
    safety = resolved.design.safety
    added = [hazard.key for hazard in safety.added if step.key in hazard.steps]
    return (*_without_left_out(_counted_in(step, resolved), resolved), *added)


def section_hazards(operations: frozenset[Operation], resolved: ResolvedDesign) -> tuple[str, ...]:
    """The hazards of these operations, for the part of the document that they are done from."""
    tools = [
        tool
        for step in resolved.design.steps
        for tool in _operation_tools(
            step,
            [each for each in OPERATIONS if each in operations and each in step.operations],
            resolved,
        )
    ]
    return _without_left_out(_tool_hazards(tools), resolved)


def all_hazards(resolved: ResolvedDesign) -> tuple[str, ...]:
    """The hazards of all steps, then those that the designer adds for the whole."""
    hazards = [h for step in resolved.design.steps for h in step_hazards(step, resolved)]
    return _once([*hazards, *(hazard.key for hazard in resolved.design.safety.added)])


def counted_hazards(resolved: ResolvedDesign) -> tuple[str, ...]:
    """Every hazard that follows from tools, fastenings and supplies, left out or not."""
    return _once(h for step in resolved.design.steps for h in _counted_in(step, resolved))


def _counted_in(step: Step, resolved: ResolvedDesign) -> Iterator[HazardName]:
    """The hazards of a step's tools, and of the small parts and supplies it handles."""
    yield from _tool_hazards(step_tools(step, resolved))
    for kind in _fastened(step, resolved):
        yield from kind.hazards
    for supplied in _supplied(step, resolved):
        yield from _SUPPLIES[supplied].hazards


def _tool_hazards(tools: Iterable[Tool]) -> list[HazardName]:
    return [hazard for tool in tools for hazard in _TOOL_HAZARDS[tool]]


def _without_left_out(hazards: Iterable[str], resolved: ResolvedDesign) -> tuple[str, ...]:
    left_out = {entry.hazard for entry in resolved.design.safety.left_out}
    return _once(hazard for hazard in hazards if hazard not in left_out)


def _once(names: Iterable[_Name]) -> tuple[_Name, ...]:
    return tuple(dict.fromkeys(names))


def _supplied(step: Step, resolved: ResolvedDesign) -> list[SupplyKind]:
    """The kinds of the supplies that a step uses."""
    return [resolved.design.supplies[key].kind for key in step_supplies(step, resolved)]


def step_supplies(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The supplies that a step uses: those it names, and those of its operations that no step
    names.  One that glues and would have no adhesive then may use any on the list."""
    supplies = resolved.design.supplies
    named = set(names_in_text(step.text))
    elsewhere = _named_in_texts(resolved) - named
    by_operation = {
        key
        for key, supply in supplies.items()
        if not _SUPPLIES[supply.kind].operations.isdisjoint(_operations(step, resolved))
    }
    used = {key for key in supplies if key in named or key in by_operation - elsewhere}
    adhesives = {key for key, supply in supplies.items() if supply.kind in ADHESIVE_KINDS}
    if not used & adhesives:
        used |= by_operation & adhesives
    return tuple(key for key in supplies if key in used)


@lru_cache(maxsize=REMEMBERED)
def _named_in_texts(resolved: ResolvedDesign) -> frozenset[str]:
    """What the texts of all steps name."""
    return frozenset(name for step in resolved.design.steps for name in names_in_text(step.text))


def _shaping_tools(pieces: Iterable[str], resolved: ResolvedDesign) -> Iterator[Tool]:
    for name in pieces:
        source = resolved.pieces[name].source
        shapes: list[_Shape] = [corner.shape for corner in source.corners.values()]
        shapes += [corner.shape for corner in source.section_corners.values()]
        shapes += ["notch" for _ in source.tabs]
        shapes += ["thumb" for _ in source.thumb_notches]
        shapes += [opening.shape for opening in source.openings]
        for shape in shapes:
            yield from _SHAPE_TOOLS[shape]


def _material_tools(step: Step, resolved: ResolvedDesign) -> list[Tool]:
    pieces = (resolved.pieces[name] for name in named_pieces(step, "cut", resolved))
    return [tool for each in pieces for tool in _MATERIAL_TOOLS[each.stock.source.material]]


def _fastened(step: Step, resolved: ResolvedDesign) -> list[FastenerKind]:
    """The kinds of the fastenings that the step sets."""
    return [resolved.fastenings[name].source.fastener for name in named_fastenings(step, resolved)]
