"""What is bought ready-made, and how things are sold: fastenings, supplies, prices, the currency.

In: the open fields of one entry.  Out: :class:`Fastening`, :class:`Supply`, :class:`Offer`.
"""

import re
from fractions import Fraction

from gatherfold.findings import suggestion
from gatherfold.geometry import EDGES
from gatherfold.model import (
    CODES,
    FASTENING_KINDS,
    SUPPLY_KINDS,
    Expression,
    Fastening,
    FasteningKind,
    FieldName,
    Offer,
    Supply,
    kind_of,
    looks_like_code,
)
from gatherfold.reading.fields import Fields
from gatherfold.reading.nodes import Scalar

#: The keys that say how something is sold.
OFFER_KEYS = ("price", "pack", "pack_price")
_PRICE = re.compile(r"\d{1,7}(\.\d{1,4})?", re.ASCII)
_CURRENCY = re.compile(r"[^\W\d_]{1,5}\.?|[^\w\s.,;:]{1,3}")


def read_fastening(name: Scalar, fields: Fields) -> Fastening:
    """One entry under ``fastenings:``; its kind says which keys it takes, and which it needs."""
    kind: FasteningKind = fields.choice("kind", FASTENING_KINDS, FASTENING_KINDS[0], required=True)
    required, refused = kind_of(kind).required, kind_of(kind).refused
    fields.refused = {*refused, *(OFFER_KEYS if "offer" in refused else ())}

    def length(key: FieldName) -> Expression | None:
        return fields.expression(key, required=key in required)

    def named(key: FieldName) -> str | None:
        return fields.text(key, required=key in required) or None

    return Fastening(
        key=name.text,
        title=fields.title(name),
        kind=kind,
        position=name.position,
        head=length("head"),
        leg=length("leg"),
        through=tuple(each.text for each in fields.names("through")),
        distances=fields.expressions(EDGES),
        stock=named("ribbon"),
        length=length("length"),
        allowance=length("allowance"),
        count=fields.whole("count", 1),
        pivot=fields.flag("pivot"),
        holds=named("holds"),
        round=named("round"),
        offer=read_offer(fields),
    )


def read_supply(name: Scalar, fields: Fields) -> Supply:
    """One entry under ``supplies:``."""
    return Supply(
        key=name.text,
        title=fields.title(name),
        kind=fields.choice("kind", SUPPLY_KINDS, "other", required=True),
        width=fields.expression("width"),
        roll=fields.expression("roll"),
        position=name.position,
        offer=read_offer(fields),
    )


def read_offer(fields: Fields) -> Offer:
    """``price`` of one, or ``pack`` and ``pack_price``; what is sold singly has no ``pack``."""
    pack = fields.whole("pack", 0) or None
    price, pack_price = _amount(fields, "price"), _amount(fields, "pack_price")
    if pack_price is None:
        return Offer(pack, price)
    position = fields.key_position("pack_price")
    if price is not None:
        message = f"{fields.what} has both a 'price' and a 'pack_price'"
        fields.report("two-prices", position, message, "Keep one of them.")
    if pack is None:
        message = f"{fields.what} has a 'pack_price' and no 'pack'"
        fields.report("missing-key", position, message, "Add 'pack:', how many are in a pack.")
    return Offer(pack, pack_price / (pack or 1))


def _amount(fields: Fields, key: str) -> Fraction | None:
    """An exact decimal amount above nothing."""
    scalar = fields.scalar(key)
    if scalar is None:
        return None
    text = scalar.text.strip()
    amount = Fraction(text) if _PRICE.fullmatch(text) else Fraction(0)
    if amount > 0:
        return amount
    message = f"'{scalar.text}' is no price in {fields.what}"
    remedy = "Write a decimal number above 0, such as 1.20; what costs nothing is a scrap."
    fields.report("wrong-type", scalar.position, message, remedy)
    return None


def read_currency(fields: Fields) -> str:
    """A currency's code or sign, as the designer writes it; a code is one of ISO 4217."""
    scalar = fields.scalar("currency")
    if scalar is None:
        return ""
    text = scalar.text.strip()
    if _CURRENCY.fullmatch(text) and (not looks_like_code(text) or text in CODES):
        return text
    message = f"'{scalar.text}' is no code or sign of a currency"
    remedy = "Write a code such as EUR, or a sign."
    if looks_like_code(text):
        message = f"'{text}' is no currency of ISO 4217"
        remedy = suggestion(text, CODES)
    fields.report("unknown-value", scalar.position, message, remedy)
    return text
