"""Which parts a layout's template has: those it lists as ``{% set parts = {"cover": cover} %}``.

In: a layout's folder.  Out: their names in its order.
"""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, TemplateSyntaxError, nodes

MAIN_TEMPLATE = "document.html.j2"


def parts_of(layout: Path) -> tuple[str, ...] | None:
    """None where the template says nothing about them, is missing or cannot be read: filling it
    then says what is wrong."""
    try:
        tree = Environment(autoescape=True).parse((layout / MAIN_TEMPLATE).read_text("utf-8"))
    except (OSError, UnicodeDecodeError, TemplateSyntaxError):
        return None
    for assignment in tree.find_all(nodes.Assign):
        target, listed = assignment.target, assignment.node
        if isinstance(target, nodes.Name) and target.name == "parts":
            return _keys(listed) if isinstance(listed, nodes.Dict) else None
    return None


def _keys(listed: nodes.Dict) -> tuple[str, ...] | None:
    keys = [pair.key.value for pair in listed.items if isinstance(pair.key, nodes.Const)]
    return tuple(keys) if len(keys) == len(listed.items) else None
