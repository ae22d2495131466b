"""What a design says of its safety messages.

In: the open fields of the design.  Out: :class:`Safety`.

A message can be reworded and others added; its signal word stays.  One can be left out only under
its own key and with a reason, so that none is lost by a slip.
"""

from __future__ import annotations

from functools import partial

from builder.findings import suggestion
from builder.reading.fields import NAME_REMEDY, Fields, is_name
from builder.reading.nodes import Scalar
from builder.safety import LEVELS, AddedHazard, HazardWording, LeftOutHazard, Safety
from builder.wording import load_wording

_MESSAGE = "the safety message '{}'"


def read_safety(outer: Fields) -> Safety:
    """What is said under ``safety:``; a message of a wrong name is reported and left out."""
    with outer.within("safety", "the safety messages") as fields:
        new = fields.parts("add", _MESSAGE, only=partial(_is_new, fields))
        added = [_added(name, message) for name, message in new]
        known = fields.parts("replace", _MESSAGE, only=partial(_is_known, fields))
        replaced = {name.text: _replaced(message) for name, message in known}
        left_out = [
            _left_out(entry) for entry in fields.listed("leave_out", "message {} to leave out")
        ]
        return Safety(fields.text("age"), replaced, tuple(added), tuple(left_out))


def _is_known(fields: Fields, name: Scalar) -> bool:
    hazards = load_wording().hazards
    if name.text not in hazards:
        message = f"there is no safety message '{name.text}'"
        fields.report("unknown-name", name.position, message, suggestion(name.text, hazards))
    return name.text in hazards


def _is_new(fields: Fields, name: Scalar) -> bool:
    is_there, can_be_name = name.text in load_wording().hazards, is_name(name.text)
    if is_there:
        message = f"the safety message '{name.text}' is there already"
        remedy = "Reword it under 'replace:', or choose another name."
        fields.report("name-clash", name.position, message, remedy)
    elif not can_be_name:
        message = f"'{name.text}' cannot be a name"
        fields.report("bad-name", name.position, message, NAME_REMEDY)
    return can_be_name and not is_there


def _replaced(fields: Fields) -> HazardWording:
    fields.node("signal")
    if fields.has("signal"):
        message = f"{fields.what} keeps its signal word"
        remedy = "Remove 'signal:'; what else is to be said goes under 'add:'."
        fields.report("signal-word-stays", fields.key_position("signal"), message, remedy)
    title, danger, short = (
        fields.text(key, required=fields.has(key)) or None for key in ("title", "danger", "short")
    )
    return HazardWording(title, danger, _sentences(fields, "avoid") or None, short)


def _added(name: Scalar, fields: Fields) -> AddedHazard:
    return AddedHazard(
        key=name.text,
        level=fields.choice("signal", LEVELS, "caution", required=True),
        title=fields.text("title", required=True),
        danger=fields.text("danger", required=True),
        avoid=_sentences(fields, "avoid", required=True),
        short=fields.text("short", required=True),
        steps=tuple(step.text for step in fields.names("steps")),
        position=name.position,
    )


def _left_out(fields: Fields) -> LeftOutHazard:
    hazard = fields.scalar("hazard", required=True)
    if hazard is not None:
        _is_known(fields, hazard)
    reason = fields.text("because", required=True)
    return LeftOutHazard("" if hazard is None else hazard.text, reason, fields.position)


def _sentences(fields: Fields, key: str, required: bool = False) -> tuple[str, ...]:
    fields.node(key, required)
    texts = []
    for node in fields.items(key):
        if isinstance(node, Scalar) and node.text.strip():
            texts.append(node.text.strip())
        else:
            message = f"'{key}' of {fields.what} must be a list of sentences"
            fields.report("wrong-type", node.position, message, "Write '- a sentence' lines.")
    return tuple(texts)
