"""One entry under ``fastenings:`` → :class:`Fastening`."""

from __future__ import annotations

from builder.choices import FASTENING_KINDS, FasteningKind
from builder.design import EDGES, Fastening
from builder.findings import Finding
from builder.offers import SINGLY
from builder.reading.fields import Fields
from builder.reading.nodes import Node, Scalar
from builder.reading.read_offers import read_offer


def read_fastening(name: Scalar, node: Node, findings: list[Finding]) -> Fastening:
    fields = Fields(node, f"fastening '{name.text}'", findings)
    kind: FasteningKind = fields.choice("kind", FASTENING_KINDS, "brad", required=True)
    is_tie = kind == "ribbon tie"
    fastening = Fastening(
        key=name.text,
        title=fields.text("name", name.text.replace("_", " ").capitalize()),
        kind=kind,
        position=name.position,
        head=fields.expression("head", required=not is_tie),
        leg=fields.expression("leg", required=kind == "brad"),
        through=tuple(piece.text for piece in fields.names("through")),
        distances=fields.expressions(EDGES),
        stock=fields.text("ribbon", required=is_tie) or None,
        length=fields.expression("length", required=is_tie),
        allowance=fields.expression("allowance"),
        count=fields.whole("count", 1),
        pivot=fields.flag("pivot"),
        holds=fields.text("holds") or None,
        round=(fields.text("round") or None) if is_tie else None,
        offer=SINGLY if is_tie else read_offer(fields),
    )
    fields.finish()
    return fastening
