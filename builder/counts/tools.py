"""Tools from the operations that the design uses, and hazards from the tools and materials.

In: a resolved design.  Out: keys into the wording's tables of tools and hazards; which operation
needs which tool is here, what it is called and how to warn of it is in the wording.
"""

from __future__ import annotations

from builder.design import Step
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_fastenings, named_pieces

#: Tools that an operation of a step calls for (common practice, no source).
_OPERATION_TOOLS: dict[str, tuple[str, ...]] = {
    "cut": ("trimmer", "ruler", "pencil"),
    "score": ("scoring_board", "bone_folder"),
    "fold": ("bone_folder",),
    "ink": ("ink_pad",),
    "dry_fit": (),
    "attach": ("adhesive",),
    "fasten": (),
    "insert": (),
}
_FASTENING_TOOLS: dict[str, tuple[str, ...]] = {
    "brad": ("awl", "piercing_mat"),
    "eyelet": ("hole_punch", "eyelet_setter"),
    "magnet pair": ("adhesive", "magnets"),
    "ribbon tie": ("scissors",),
}
_FEATURE_TOOLS: dict[str, tuple[str, ...]] = {
    "mitre": ("scissors",),
    "notch": ("knife", "cutting_mat"),
    "round": ("corner_rounder",),
    "window": ("knife", "cutting_mat"),
    "thumb": ("circle_punch",),
    "hole": ("hole_punch",),
}
_MATERIAL_TOOLS = {"board": ("knife", "cutting_mat")}

#: Hazards of a tool or material.
TOOL_HAZARDS: dict[str, tuple[str, ...]] = {
    "trimmer": ("blade",),
    "knife": ("blade",),
    "scissors": ("scissors",),
    "awl": ("piercing",),
    "hole_punch": ("punch",),
    "eyelet_setter": ("punch",),
    "corner_rounder": ("punch",),
    "circle_punch": ("punch",),
    "adhesive": ("adhesive",),
    "magnets": ("magnets",),
    "brad": ("small_parts",),
    "eyelet": ("small_parts",),
}


def step_tools(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The tools one step needs, in the order of its operations."""
    tools: list[str] = []
    for operation in step.operations:
        tools.extend(_OPERATION_TOOLS[operation])
        if operation == "cut":
            tools.extend(_shaping_tools(step, resolved))
        if operation == "fasten":
            tools.extend(
                tool for kind in _fastened(step, resolved) for tool in _FASTENING_TOOLS[kind]
            )
    return tuple(dict.fromkeys(tools))


def all_tools(resolved: ResolvedDesign) -> tuple[str, ...]:
    """Every tool the design needs, each once, in the order of first use."""
    tools = [tool for step in resolved.design.steps for tool in step_tools(step, resolved)]
    return tuple(dict.fromkeys(tools))


def step_hazards(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The hazards one step meets: of its tools, and of the small parts it handles."""
    things = [*step_tools(step, resolved), *_fastened(step, resolved)]
    return tuple(dict.fromkeys(h for thing in things for h in TOOL_HAZARDS.get(thing, ())))


def all_hazards(resolved: ResolvedDesign) -> tuple[str, ...]:
    hazards = [h for step in resolved.design.steps for h in step_hazards(step, resolved)]
    return tuple(dict.fromkeys(hazards))


def _shaping_tools(step: Step, resolved: ResolvedDesign) -> list[str]:
    tools: list[str] = []
    for name in named_pieces(step, "cut", resolved):
        source = resolved.pieces[name].source
        shapes = [corner.shape for corner in source.corners.values()]
        shapes += ["thumb" for _ in source.thumb_notches]
        shapes += [opening.shape for opening in source.openings]
        for shape in shapes:
            tools.extend(_FEATURE_TOOLS[shape])
        tools.extend(_MATERIAL_TOOLS.get(resolved.pieces[name].stock.source.material, ()))
    return tools


def _fastened(step: Step, resolved: ResolvedDesign) -> list[str]:
    """The kinds of the fastenings that the step sets."""
    return [resolved.fastenings[name].source.kind for name in named_fastenings(step, resolved)]
