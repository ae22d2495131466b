"""One entry under ``strips:`` → :class:`Strip`, and what its pieces must have in common.

A strip is written ``{across: [left, right]}`` or ``{up: [lower, upper]}``: pieces that are cut from
the sheet in one and divided later.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.choices import STRIP_DIRECTIONS
from builder.design import Design, Piece, Strip
from builder.findings import Finding, error, suggestion
from builder.reading.fields import Fields
from builder.reading.nodes import Node, Scalar

_ALL_ALIKE = "All copies of a piece lie in the strip in turn: name it once."


def read_strip(name: Scalar, node: Node, findings: list[Finding]) -> Strip:
    fields = Fields(node, f"strip '{name.text}'", findings)
    listed = {direction: fields.names(direction) for direction in STRIP_DIRECTIONS}
    given = [direction for direction in STRIP_DIRECTIONS if fields.has(direction)]
    if not given:
        message = f"{fields.what} names no pieces"
        remedy = "List them: 'across:' from the left, or 'up:' from the bottom."
        fields.report("missing-key", fields.position, message, remedy)
    if len(given) > 1:
        message = f"{fields.what} is laid both 'across' and 'up'"
        fields.report("two-directions", fields.key_position("up"), message, "Keep one of them.")
    direction = max(given, key=lambda each: len(listed[each]), default=STRIP_DIRECTIONS[0])
    names = listed[direction]
    strip = Strip(
        key=name.text,
        title=fields.text("name", name.text.replace("_", " ").capitalize()),
        direction=direction,
        pieces=tuple(dict.fromkeys(each.text for each in names)),
        places={each.text: each.position for each in reversed(names)},
        allowance=fields.expression("allowance"),
        position=name.position,
    )
    for index, each in enumerate(names):
        if each.text in [earlier.text for earlier in names[:index]]:
            message = f"{fields.what} names '{each.text}' twice"
            fields.report("named-twice", each.position, message, _ALL_ALIKE)
    fields.finish()
    return strip


def check_strips(design: Design) -> Iterator[Finding]:
    """Pieces of a strip exist, belong to no other, and come from one side of one stock."""
    first_in: dict[str, str] = {}
    for strip in design.strips.values():
        known = [design.pieces[name] for name in strip.pieces if name in design.pieces]
        for name in strip.pieces:
            if name not in design.pieces:
                message = f"there is no piece '{name}'"
                remedy = suggestion(name, design.pieces)
                yield error("unknown-name", strip.places[name], message, remedy)
            elif name in first_in:
                message = f"'{name}' is in strip '{first_in[name]}' already"
                remedy = "Take it out of one of them."
                yield error("two-strips", strip.places[name], message, remedy)
            first_in.setdefault(name, strip.key)
        for piece in known:
            yield from _placed_by_print(strip, piece)
            yield from _other_paper(strip, known[0], piece)
        if known and len(known) == len(strip.pieces) and sum(p.count for p in known) < 2:
            message = f"strip '{strip.key}' holds one piece, and there is nothing to divide"
            remedy = "Add another piece to it, or remove it."
            yield error("one-piece", strip.position, message, remedy)


def _placed_by_print(strip: Strip, piece: Piece) -> Iterator[Finding]:
    """The place of a strip is free: no piece of it is cut round, or from, a part of the print."""
    for key in ("motif", "edge", "region"):
        if getattr(piece, key):
            message = (
                f"'{piece.key}' has '{key}', and in strip '{strip.key}' it has no place of its own"
            )
            remedy = f"Take it out of the strip, or remove '{key}'."
            yield error("placed-by-print", strip.places[piece.key], message, remedy)


def _other_paper(strip: Strip, first: Piece, piece: Piece) -> Iterator[Finding]:
    if (piece.stock, piece.side) != (first.stock, first.side):
        message = (
            f"strip '{strip.key}' is cut from '{first.stock} {first.side}', and '{piece.key}' "
            f"comes from '{piece.stock} {piece.side}'"
        )
        remedy = "Cut all pieces of a strip from one side of one stock."
        yield error("two-papers", strip.places[piece.key], message, remedy)
