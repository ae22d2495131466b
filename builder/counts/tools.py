"""Tools from the operations that the design uses, and hazards from the tools and materials.

In: a resolved design.  Out: keys into the wording's tables of tools and hazards; which operation
needs which tool is here, what it is called and how to warn of it is in the wording.
"""

from __future__ import annotations

from collections.abc import Mapping

from builder.design import Step
from builder.reading.references import matching_names
from builder.resolve.resolved import ResolvedDesign

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
    for operation, patterns in step.operations.items():
        tools.extend(_OPERATION_TOOLS[operation])
        if operation == "cut":
            tools.extend(_shaping_tools(patterns, resolved))
        if operation == "fasten":
            tools.extend(_fastening_tools(patterns, resolved))
    return tuple(dict.fromkeys(tools))


def all_tools(resolved: ResolvedDesign) -> tuple[str, ...]:
    """Every tool the design needs, each once, in the order of first use."""
    tools = [tool for step in resolved.design.steps for tool in step_tools(step, resolved)]
    return tuple(dict.fromkeys(tools))


def step_hazards(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    """The hazards one step meets: of its tools, and of the small parts it handles."""
    things = [*step_tools(step, resolved)]
    for pattern in step.operations.get("fasten", ()):
        for name in matching_names(pattern, resolved.fastenings):
            things.append(resolved.fastenings[name].source.kind)
    return tuple(dict.fromkeys(h for thing in things for h in TOOL_HAZARDS.get(thing, ())))


def all_hazards(resolved: ResolvedDesign) -> tuple[str, ...]:
    hazards = [h for step in resolved.design.steps for h in step_hazards(step, resolved)]
    return tuple(dict.fromkeys(hazards))


def first_steps_with_hazard(resolved: ResolvedDesign) -> Mapping[str, int]:
    """The number of the first step that meets each hazard."""
    first: dict[str, int] = {}
    for number, step in enumerate(resolved.design.steps, start=1):
        for hazard in step_hazards(step, resolved):
            first.setdefault(hazard, number)
    return first


def _shaping_tools(patterns: tuple[str, ...], resolved: ResolvedDesign) -> list[str]:
    tools: list[str] = []
    for pattern in patterns:
        for name in matching_names(pattern, resolved.pieces):
            source = resolved.pieces[name].source
            shapes = [corner.shape for corner in source.corners.values()]
            shapes += ["thumb" for _ in source.thumb_notches]
            shapes += [opening.shape for opening in source.openings]
            for shape in shapes:
                tools.extend(_FEATURE_TOOLS[shape])
            tools.extend(_MATERIAL_TOOLS.get(resolved.pieces[name].stock.source.material, ()))
    return tools


def _fastening_tools(patterns: tuple[str, ...], resolved: ResolvedDesign) -> list[str]:
    kinds = [
        resolved.fastenings[name].source.kind
        for pattern in patterns
        for name in matching_names(pattern, resolved.fastenings)
    ]
    return [tool for kind in kinds for tool in _FASTENING_TOOLS[kind]]
