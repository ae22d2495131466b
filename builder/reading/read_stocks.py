"""One entry under ``stocks:`` → :class:`Stock`."""

from __future__ import annotations

from builder.design import MATERIALS, Motif, Side, Stock, Weight
from builder.findings import Finding
from builder.reading.fields import Fields
from builder.reading.nodes import Node, Scalar
from builder.reading.read_sheets import read_sheets
from builder.reading.weights import BASIC_SIZES, read_weight

PRINTS = ("upright", "sideways", "any")


def read_stock(name: Scalar, node: Node, findings: list[Finding]) -> Stock:
    """The stock; a printed paper names its two sides, a plain one may leave them out."""
    fields = Fields(node, f"stock '{name.text}'", findings)
    material = fields.choice("material", MATERIALS, "cardstock", required=True)
    title = fields.text("name", name.text.replace("_", " ").capitalize())
    is_ribbon = material == "ribbon"
    sheet = fields.expression("sheet", required=not is_ribbon)
    stock = Stock(
        key=name.text,
        title=title,
        material=material,
        position=name.position,
        weight=_weight(fields),
        sheet=sheet,
        width=fields.expression("width", required=is_ribbon),
        caliper=fields.expression("caliper"),
        grain=fields.choice("grain", ("long", "short", "any"), "any"),
        front=_side(fields, "front", title),
        back=_side(fields, "back", title),
        two_sided=fields.has("front") or fields.has("back"),
        note=fields.text("note"),
        sheets=() if is_ribbon else read_sheets(fields, sheet),
    )
    fields.finish()
    return stock


def _weight(fields: Fields) -> Weight | None:
    scalar = fields.scalar("weight")
    if scalar is None:
        return None
    weight = read_weight(scalar.text)
    if weight is None:
        grades = ", ".join(BASIC_SIZES)
        fields.report(
            "bad-weight",
            scalar.position,
            f"'{scalar.text}' is no paper weight",
            f"Write '216 g/m2' or '80 lb cover' (grades: {grades}).",
        )
    return weight


def _side(fields: Fields, key: str, title: str) -> Side:
    node = fields.node(key)
    if node is None:
        return Side(title, "any")
    if isinstance(node, Scalar):
        return Side(node.text, "any")
    inner = Fields(node, f"{key} of {fields.what}", fields.findings)
    side = Side(inner.text("name", title), inner.choice("print", PRINTS, "any"), _motifs(inner))
    inner.finish()
    return side


def _motifs(fields: Fields) -> dict[str, Motif]:
    """The printed pictures of one side, by name."""
    motifs: dict[str, Motif] = {}
    for name, node in fields.entries("motifs"):
        inner = Fields(node, f"motif '{name.text}'", fields.findings)
        left = inner.expression("left", required=True)
        bottom = inner.expression("bottom", required=True)
        size = inner.expression("size", required=True)
        title = inner.text("name", name.text.replace("_", " "))
        inner.finish()
        if left is not None and bottom is not None and size is not None:
            motifs[name.text] = Motif(title, left, bottom, size, name.position)
    return motifs
