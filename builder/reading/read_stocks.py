"""One entry under ``stocks:`` → :class:`Stock`."""

from __future__ import annotations

import re

from builder.choices import (
    GRAINS,
    MATERIALS,
    PRINT_DIRECTIONS,
    Material,
    SideName,
    is_sold_by_length,
)
from builder.design import Motif, Reserve, Side, Stock, Weight
from builder.findings import Finding
from builder.offers import SINGLY, Offer
from builder.reading.fields import Fields
from builder.reading.nodes import Node, Scalar
from builder.reading.read_offers import read_offer
from builder.reading.read_sheets import read_sheets
from builder.reading.weights import BASIC_SIZES, read_weight

#: A colour in the hexadecimal notation of sRGB: CSS Color 4, section 5.2 (from memory).
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
_COLOUR_REMEDY = 'Write it in quotes, such as "#1c4b5e": two digits each for red, green and blue.'
#: More spares of one stock than anyone keeps.
MOST_RESERVES = 10


def read_stock(name: Scalar, node: Node, findings: list[Finding]) -> Stock:
    """The stock; a printed paper names its two sides, a plain one may leave them out."""
    fields = Fields(node, f"stock '{name.text}'", findings)
    material: Material = fields.choice("material", MATERIALS, "cardstock", required=True)
    title = fields.text("name", name.text.replace("_", " ").capitalize())
    is_ribbon = is_sold_by_length(material)
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
        grain=fields.choice("grain", GRAINS, "any"),
        front=_side(fields, "front", title),
        back=_side(fields, "back", title),
        two_sided=fields.has("front") or fields.has("back"),
        note=fields.text("note"),
        colour=_colour(fields),
        sheets=() if is_ribbon else read_sheets(fields, sheet),
        reserves=() if is_ribbon else _reserves(fields),
        roll=fields.expression("roll") if is_ribbon else None,
        offer=_ribbon_offer(fields) if is_ribbon else SINGLY,
    )
    fields.finish()
    return stock


def _ribbon_offer(fields: Fields) -> Offer:
    """Ribbon is sold by the roll: without one a price says nothing."""
    offer = read_offer(fields)
    if (offer.price is not None or offer.pack is not None) and not fields.has("roll"):
        key = next(key for key in ("price", "pack", "pack_price") if fields.has(key))
        message = f"{fields.what} has a '{key}' and no 'roll'"
        remedy = "Add 'roll:', the length of ribbon on one."
        fields.report("missing-key", fields.key_position(key), message, remedy)
    return offer


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


def _colour(fields: Fields) -> str:
    """``#rrggbb``; without quotes YAML takes it for a comment, and the key has no value."""
    scalar = fields.scalar("colour", if_empty=_COLOUR_REMEDY)
    if scalar is None:
        return ""
    if _COLOUR.fullmatch(scalar.text.strip()) is None:
        message = f"'{scalar.text}' of {fields.what} is no colour"
        fields.report("bad-colour", scalar.position, message, _COLOUR_REMEDY)
        return ""
    return scalar.text.strip()


def _side(fields: Fields, key: SideName, title: str) -> Side:
    node = fields.node(key)
    if node is None:
        return Side(title, "any")
    if isinstance(node, Scalar):
        return Side(node.text, "any")
    inner = Fields(node, f"{key} of {fields.what}", fields.findings)
    side = Side(
        inner.text("name", title),
        inner.choice("print", PRINT_DIRECTIONS, "any"),
        _places(inner, "motif"),
        _places(inner, "region"),
        _colour(inner),
    )
    inner.finish()
    return side


def _places(fields: Fields, what: str) -> dict[str, Motif]:
    """The printed pictures, or the regions, of one side by name."""
    places: dict[str, Motif] = {}
    for name, node in fields.entries(f"{what}s"):
        inner = Fields(node, f"{what} '{name.text}'", fields.findings)
        left = inner.expression("left", required=True)
        bottom = inner.expression("bottom", required=True)
        size = inner.expression("size", required=True)
        title = inner.text("name", name.text.replace("_", " "))
        inner.finish()
        if left is not None and bottom is not None and size is not None:
            places[name.text] = Motif(title, left, bottom, size, name.position)
    return places


def _reserves(fields: Fields) -> tuple[Reserve, ...]:
    """Spares to keep back: each a size and what it is for."""
    reserves = []
    for number, node in enumerate(fields.items("keep"), start=1):
        inner = Fields(node, f"spare {number} of {fields.what}", fields.findings)
        size, purpose = inner.expression("size", required=True), inner.text("for", required=True)
        inner.finish()
        if size is not None:
            reserves.append(Reserve(size, purpose, node.position))
    if len(reserves) > MOST_RESERVES:
        message = f"{fields.what} keeps {len(reserves)} spares back"
        remedy = f"Keep at most {MOST_RESERVES} of them."
        fields.report("too-many", fields.key_position("keep"), message, remedy)
    return tuple(reserves)
