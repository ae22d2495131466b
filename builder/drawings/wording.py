"""Words that drawings and their text equivalents share."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction

from builder.drawings.features import CornerFeature, TabFeature, ThumbNotchFeature, given_by_scores
from builder.lengths import INCH, UnitSystem
from builder.resolve.resolved import ResolvedPiece

UNIT_WORDS = {"in": "inches", "mm": "millimetres"}
FOLD_LETTERS = {"valley": "V", "mountain": "M"}


def unit_word(units: UnitSystem) -> str:
    return UNIT_WORDS.get(units.unit, units.unit)


def joined(words: Iterable[str]) -> str:
    """``a``, ``a and b``, ``a, b and c``."""
    listed = list(words)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"


def counted(count: int, singular: str) -> str:
    return f"{count} {singular}" if count == 1 else f"{count} {singular}s"


def spoken_size(units: UnitSystem, width: Fraction, height: Fraction) -> str:
    return f"{units.number(width)} by {units.number(height)} {unit_word(units)}"


def spoken_length(units: UnitSystem, length: Fraction) -> str:
    """``⅛ inch``, ``1¼ inches``, ``3 millimetres``."""
    word = unit_word(units)
    is_one = units.number(length) == "1" or (units.unit == "in" and length < INCH)
    if is_one:
        word = {"inches": "inch", "millimetres": "millimetre"}.get(word, word)
    return f"{units.number(length)} {word}"


def corner_label(units: UnitSystem, feature: CornerFeature) -> str:
    """``mitre ¾``, ``notch 1 × ½``, ``R ½``; a mitre takes the same from both edges."""
    if feature.shape == "notch":
        numbers = f"{units.number(feature.width)} × {units.number(feature.height)}"
        return f"notch {numbers}"
    if feature.shape == "mitre" and feature.width != feature.height:
        return f"mitre {units.number(feature.width)} × {units.number(feature.height)}"
    name = "R" if feature.shape == "round" else feature.shape
    return f"{name} {units.number(feature.width)}"


def corner_note(units: UnitSystem, piece: ResolvedPiece, feature: CornerFeature) -> str:
    """What a drawing has to say of a corner; empty where scores give all of a notch."""
    has_width, has_height = given_by_scores(piece, feature)
    if has_width and has_height:
        return ""
    if has_width:
        return f"notch {units.number(feature.height)} high"
    if has_height:
        return f"notch {units.number(feature.width)} wide"
    return corner_label(units, feature)


def tab_label(units: UnitSystem, feature: TabFeature) -> str:
    taper = f", taper {units.number(feature.taper)}" if feature.taper else ""
    return f"tab {units.number(feature.depth)} deep{taper}"


def thumb_notch_label(units: UnitSystem, feature: ThumbNotchFeature) -> str:
    return f"thumb notch R {units.number(feature.radius)}"


def side_name(piece: ResolvedPiece) -> str:
    """The name of the stock's side that is the piece's front, empty if it has none."""
    return piece.printed_side.title


def side_sentence(piece: ResolvedPiece) -> str:
    """``Reedbed paper, front side (Reeds) facing you``."""
    stock = piece.stock.source
    if not stock.two_sided:
        return stock.title
    name = side_name(piece)
    named = f" ({name})" if name else ""
    return f"{stock.title}, {piece.source.side} side{named} facing you"
