"""Words that drawings and their text equivalents share, from the catalogue of the edition."""

from __future__ import annotations

from fractions import Fraction

from builder.drawings.features import CornerFeature, TabFeature, ThumbNotchFeature, given_by_scores
from builder.lengths import INCH, UnitSystem
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.wording import Wording, load_wording

FOLD_LETTERS = {"valley": "V", "mountain": "M"}


def words_in(units: UnitSystem) -> Wording:
    """The catalogue of the language that the units are written in."""
    return load_wording(units.language)


def words_of(resolved: ResolvedDesign) -> Wording:
    """The catalogue of a design's edition."""
    return words_in(resolved.edition.units)


def unit_word(units: UnitSystem) -> str:
    return words_in(units).phrase(f"spoken_{units.unit}_other")


def spoken_size(units: UnitSystem, width: Fraction, height: Fraction) -> str:
    numbers = {"width": units.number(width), "height": units.number(height)}
    return words_in(units).phrase("draw_by", unit=unit_word(units), **numbers)


def spoken_length(units: UnitSystem, length: Fraction) -> str:
    """``⅛ inch``, ``1¼ inches``, ``3 millimetres``."""
    is_one = units.number(length) == "1" or (units.unit == "in" and length < INCH)
    word = words_in(units).phrase(f"spoken_{units.unit}_{'one' if is_one else 'other'}")
    return f"{units.number(length)} {word}"


def named(piece: ResolvedPiece) -> str:
    """A piece by its code and title."""
    return f"{piece.code} {piece.title}".strip()


def corner_label(units: UnitSystem, feature: CornerFeature) -> str:
    """``mitre ¾``, ``notch 1 × ½``, ``R ½``; a mitre takes the same from both edges."""
    size = units.number(feature.width)
    is_uneven = feature.shape == "mitre" and feature.width != feature.height
    if feature.shape == "notch" or is_uneven:
        size = f"{size} × {units.number(feature.height)}"
    return words_in(units).phrase(f"draw_{feature.shape}", size=size)


def corner_note(units: UnitSystem, piece: ResolvedPiece, feature: CornerFeature) -> str:
    """What a drawing has to say of a corner; empty where scores give all of a notch."""
    has_width, has_height = given_by_scores(piece, feature)
    if has_width and has_height:
        return ""
    if has_width:
        return words_in(units).phrase("draw_notch_high", size=units.number(feature.height))
    if has_height:
        return words_in(units).phrase("draw_notch_wide", size=units.number(feature.width))
    return corner_label(units, feature)


def tab_size(units: UnitSystem, feature: TabFeature) -> str:
    """``½ deep``, ``½ deep, taper ¼``."""
    name = "draw_tab_taper" if feature.taper else "draw_tab_deep"
    depth, taper = units.number(feature.depth), units.number(feature.taper)
    return words_in(units).phrase(name, depth=depth, taper=taper)


def tab_label(units: UnitSystem, feature: TabFeature) -> str:
    return words_in(units).phrase("draw_tab", size=tab_size(units, feature))


def thumb_notch_label(units: UnitSystem, feature: ThumbNotchFeature) -> str:
    return words_in(units).phrase("draw_thumb", radius=units.number(feature.radius))


def side_words(piece: ResolvedPiece, wording: Wording) -> list[str]:
    """``Reedbed paper`` and ``front side (Reeds) facing you``; without a side, the stock alone."""
    stock, name = piece.stock.source, piece.printed_side.title
    if not stock.two_sided:
        return [stock.title]
    side = wording.phrase(f"side_{piece.source.side}")
    phrase = "draw_facing_you_named" if name else "draw_facing_you"
    return [stock.title, wording.phrase(phrase, side=side, name=name)]
