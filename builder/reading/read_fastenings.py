"""One entry under ``fastenings:`` → :class:`Fastening`; its kind says which fields it takes."""

from __future__ import annotations

from builder.choices import FASTENING_KINDS, FasteningKind
from builder.design import Expression, Fastening
from builder.fastenings import FastenerKind, FieldName, kind_of
from builder.findings import Finding
from builder.geometry.edges import EDGES
from builder.offers import SINGLY
from builder.reading.fields import Fields
from builder.reading.nodes import Node, Scalar
from builder.reading.read_offers import read_offer


def read_fastening(name: Scalar, node: Node, findings: list[Finding]) -> Fastening:
    fields = Fields(node, f"fastening '{name.text}'", findings)
    kind: FasteningKind = fields.choice("kind", FASTENING_KINDS, FASTENING_KINDS[0], required=True)
    asked = _Asked(fields, kind_of(kind))
    fastening = Fastening(
        key=name.text,
        title=fields.text("name", name.text.replace("_", " ").capitalize()),
        kind=kind,
        position=name.position,
        head=asked.expression("head"),
        leg=asked.expression("leg"),
        through=tuple(each.text for each in fields.names("through")) if asked("through") else (),
        distances=fields.expressions(EDGES),
        stock=asked.text("ribbon"),
        length=asked.expression("length"),
        allowance=asked.expression("allowance"),
        count=fields.whole("count", 1) if asked("count") else 1,
        pivot=fields.flag("pivot") if asked("pivot") else False,
        holds=asked.text("holds"),
        round=asked.text("round"),
        offer=read_offer(fields) if asked("offer") else SINGLY,
    )
    fields.finish()
    return fastening


class _Asked:
    """The fields of a fastening that its kind takes; what it refuses is never asked for, and so
    reported as unknown."""

    def __init__(self, fields: Fields, kind: FastenerKind) -> None:
        self._fields, self._kind = fields, kind

    def __call__(self, key: FieldName) -> bool:
        return key not in self._kind.refused

    def expression(self, key: FieldName) -> Expression | None:
        required = key in self._kind.required
        return self._fields.expression(key, required=required) if self(key) else None

    def text(self, key: FieldName) -> str | None:
        required = key in self._kind.required
        return (self._fields.text(key, required=required) or None) if self(key) else None
