"""One entry under ``stocks:`` → :class:`Stock`: its sheets as they are, its print, its spares."""

import re

from gatherfold.findings import Position
from gatherfold.model import (
    BASIC_SIZES,
    GRAINS,
    MATERIALS,
    PRINT_DIRECTIONS,
    SINGLY,
    Material,
    Motif,
    Offer,
    PrintedPlace,
    Reserve,
    Side,
    SideName,
    Stock,
    StockSheet,
    Weight,
    is_sold_by_length,
    read_weight,
)
from gatherfold.reading.fields import Fields
from gatherfold.reading.nodes import Scalar
from gatherfold.reading.read_bought import OFFER_KEYS, read_offer

#: A colour in the hexadecimal notation of sRGB: CSS Color 4, section 5.2 (from memory).
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
_COLOUR_REMEDY = 'Write it in quotes, such as "#1c4b5e": two digits each for red, green and blue.'
#: More spares of one stock than anyone keeps.
MOST_RESERVES = 10
#: More sizes of one stock than this are not compared with one another.
MOST_SHEETS = 12


def read_stock(name: Scalar, fields: Fields) -> Stock:
    """The stock; a printed paper names its two sides, a plain one may leave them out."""
    material: Material = fields.choice("material", MATERIALS, "cardstock", required=True)
    title = fields.title(name)
    is_ribbon = is_sold_by_length(material)
    return Stock(
        key=name.text,
        title=title,
        material=material,
        position=name.position,
        weight=_weight(fields),
        sheet=fields.expression("sheet", required=not is_ribbon),
        width=fields.expression("width", required=is_ribbon),
        caliper=fields.expression("caliper"),
        grain=fields.choice("grain", GRAINS, "any"),
        front=_side(fields, "front", title),
        back=_side(fields, "back", title),
        two_sided=fields.has("front") or fields.has("back"),
        note=fields.text("note"),
        colour=_colour(fields),
        sheets=() if is_ribbon else _sheets(fields),
        reserves=() if is_ribbon else _reserves(fields),
        roll=fields.expression("roll") if is_ribbon else None,
        offer=_ribbon_offer(fields) if is_ribbon else SINGLY,
    )


def _ribbon_offer(fields: Fields) -> Offer:
    """Ribbon is sold by the roll: without one a price says nothing."""
    offer = read_offer(fields)
    if (offer.price is not None or offer.pack is not None) and not fields.has("roll"):
        key = next(key for key in OFFER_KEYS if fields.has(key))
        message = f"{fields.what} has a '{key}' and no 'roll'"
        remedy = "Add 'roll:', the length of ribbon on one."
        fields.report("missing-key", fields.key_position(key), message, remedy)
    return offer


def _sheets(fields: Fields) -> tuple[StockSheet, ...]:
    """Every size of a stock: its ``sheet``, then ``more_sheets``, then ``scraps``.

    A scrap is a size, or a size with how many of it there are.
    """
    others = fields.listed("more_sheets", f"sheet {{}} of {fields.what}", first=2)
    scraps = fields.listed("scraps", f"scrap {{}} of {fields.what}", alone="sheet")
    first = _sheet(fields, fields.key_position("sheet"))
    sheets = (
        *([first] if fields.has("sheet") else []),
        *(_sheet(other, other.position) for other in others),
        *(
            StockSheet(
                scrap.needed("sheet"), scrap.position, scrap.whole("count", 1), is_scrap=True
            )
            for scrap in scraps
        ),
    )
    if len(sheets) > MOST_SHEETS:
        message = f"{fields.what} comes in {len(sheets)} sizes"
        remedy = f"Keep to {MOST_SHEETS}: leave out the smallest scraps."
        key = "scraps" if fields.has("scraps") else "more_sheets"
        fields.report("too-many", fields.key_position(key), message, remedy)
    return sheets


def _sheet(fields: Fields, position: Position) -> StockSheet:
    limit, offer = fields.whole("limit", 0) or None, read_offer(fields)
    margin = fields.by_edge("margin", f"the margin of {fields.what}")
    return StockSheet(fields.needed("sheet"), position, limit, offer, margin)


def _weight(fields: Fields) -> Weight | None:
    scalar = fields.scalar("weight")
    weight = None if scalar is None else read_weight(scalar.text)
    if scalar is not None and weight is None:
        message = f"'{scalar.text}' is no paper weight"
        remedy = f"Write '216 g/m2' or '80 lb cover' (grades: {', '.join(BASIC_SIZES)})."
        fields.report("bad-weight", scalar.position, message, remedy)
    return weight


def _colour(fields: Fields) -> str:
    """``#rrggbb``; without quotes YAML takes it for a comment, and the key has no value."""
    scalar = fields.scalar("colour", if_empty=_COLOUR_REMEDY)
    if scalar is None:
        return ""
    if _COLOUR.fullmatch(scalar.text.strip()) is None:
        message = f"'{scalar.text}' of {fields.what} is no colour"
        fields.report("bad-colour", scalar.position, message, _COLOUR_REMEDY)
    return scalar.text.strip()


def _side(fields: Fields, key: SideName, title: str) -> Side:
    with fields.within(key, f"{key} of {fields.what}", alone="name") as side:
        return Side(
            side.text("name", title),
            side.choice("print", PRINT_DIRECTIONS, "any"),
            _places(side, "motif"),
            _places(side, "region"),
            _colour(side),
        )


def _places(side: Fields, what: PrintedPlace) -> dict[str, Motif]:
    """The printed pictures, or the regions, of one side by name."""
    return {
        name.text: Motif(
            title=place.text("name", name.text.replace("_", " ")),
            left=place.needed("left"),
            bottom=place.needed("bottom"),
            size=place.needed("size"),
            position=name.position,
        )
        for name, place in side.parts(f"{what}s", f"{what} '{{}}'")
    }


def _reserves(fields: Fields) -> tuple[Reserve, ...]:
    """Spares to keep back: each a size and what it is for."""
    reserves = tuple(
        Reserve(spare.needed("size"), spare.text("for", required=True), spare.position)
        for spare in fields.listed("keep", f"spare {{}} of {fields.what}")
    )
    if len(reserves) > MOST_RESERVES:
        message = f"{fields.what} keeps {len(reserves)} spares back"
        remedy = f"Keep at most {MOST_RESERVES} of them."
        fields.report("too-many", fields.key_position("keep"), message, remedy)
    return reserves
