"""What a design says of its safety messages, and of its revisions.

In: the open fields of the design.  Out: :class:`Safety` and :class:`Change` values.

A message can be reworded and others added; its signal word stays.  One can be left out only under
its own key and with a reason, so that none is lost by a slip.
"""

from __future__ import annotations

from builder.design import Change
from builder.findings import suggestion
from builder.reading.fields import NAME_REMEDY, Fields, is_name
from builder.reading.nodes import Node, Scalar
from builder.safety import LEVELS, AddedHazard, HazardWording, LeftOutHazard, Safety
from builder.wording import load_wording


def read_safety(outer: Fields) -> Safety:
    node = outer.node("safety")
    if node is None:
        return Safety()
    fields = Fields(node, "the safety messages", outer.findings)
    added = [_added(name, entry, fields) for name, entry in fields.entries("add")]
    safety = Safety(
        age=fields.text("age"),
        replaced={
            name.text: _replaced(name, entry, fields)
            for name, entry in fields.entries("replace")
            if _is_known(name, fields)
        },
        added=tuple(hazard for hazard in added if hazard is not None),
        left_out=tuple(
            _left_out(entry, number, fields)
            for number, entry in enumerate(fields.items("leave_out"), start=1)
        ),
    )
    fields.finish()
    return safety


def _is_known(name: Scalar, fields: Fields) -> bool:
    hazards = load_wording().hazards
    if name.text not in hazards:
        message = f"there is no safety message '{name.text}'"
        fields.report("unknown-name", name.position, message, suggestion(name.text, hazards))
    return name.text in hazards


def _replaced(name: Scalar, node: Node, outer: Fields) -> HazardWording:
    fields = Fields(node, f"the safety message '{name.text}'", outer.findings)
    if fields.has("signal"):
        fields.node("signal")
        message = f"{fields.what} keeps its signal word"
        remedy = "Remove 'signal:'; what else is to be said goes under 'add:'."
        fields.report("signal-word-stays", fields.key_position("signal"), message, remedy)
    wording = HazardWording(
        title=_text(fields, "title"),
        danger=_text(fields, "danger"),
        avoid=_texts(fields, "avoid") or None,
        short=_text(fields, "short"),
    )
    fields.finish()
    return wording


def _added(name: Scalar, node: Node, outer: Fields) -> AddedHazard | None:
    if name.text in load_wording().hazards:
        message = f"the safety message '{name.text}' is there already"
        remedy = "Reword it under 'replace:', or choose another name."
        outer.report("name-clash", name.position, message, remedy)
        return None
    if not is_name(name.text):
        message = f"'{name.text}' cannot be a name"
        outer.report("bad-name", name.position, message, NAME_REMEDY)
        return None
    fields = Fields(node, f"the safety message '{name.text}'", outer.findings)
    avoid = _texts(fields, "avoid")
    fields.node("avoid", required=True)
    hazard = AddedHazard(
        key=name.text,
        level=fields.choice("signal", LEVELS, "caution", required=True),
        title=_text(fields, "title", required=True) or "",
        danger=_text(fields, "danger", required=True) or "",
        avoid=avoid,
        short=_text(fields, "short", required=True) or "",
        steps=tuple(step.text for step in fields.names("steps")),
        position=name.position,
    )
    fields.finish()
    return hazard


def _left_out(node: Node, number: int, outer: Fields) -> LeftOutHazard:
    fields = Fields(node, f"message {number} to leave out", outer.findings)
    hazard = fields.scalar("hazard", required=True)
    if hazard is not None:
        _is_known(hazard, fields)
    reason = _text(fields, "because", required=True) or ""
    fields.finish()
    return LeftOutHazard("" if hazard is None else hazard.text, reason, node.position)


def _text(fields: Fields, key: str, required: bool = False) -> str | None:
    """A text that is there; one that would print nothing is reported."""
    scalar = fields.scalar(key, required)
    if scalar is not None and not scalar.text.strip():
        message = f"'{key}' of {fields.what} has no value"
        fields.report("missing-value", scalar.position, message, f"Give '{key}' a value.")
    return None if scalar is None else scalar.text.strip()


def _texts(fields: Fields, key: str) -> tuple[str, ...]:
    texts = []
    for node in fields.items(key):
        if isinstance(node, Scalar) and node.text.strip():
            texts.append(node.text.strip())
        else:
            message = f"'{key}' of {fields.what} must be a list of sentences"
            fields.report("wrong-type", node.position, message, "Write '- a sentence' lines.")
    return tuple(texts)


def read_changes(fields: Fields) -> tuple[Change, ...]:
    """What each revision changed, in the order of the design."""
    changes = []
    for name, node in fields.entries("changes"):
        if isinstance(node, Scalar) and node.text.strip():
            changes.append(Change(name.text, node.text.strip()))
        else:
            message = f"the changes of revision '{name.text}' must be one text"
            fields.report("wrong-type", node.position, message, "Write 'revision: what changed'.")
    return tuple(changes)
