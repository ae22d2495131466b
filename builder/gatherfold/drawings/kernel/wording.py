"""Words that drawings and their text equivalents share, from the catalogue of the edition."""

from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import assert_never

from gatherfold.drawings.views.features import (
    CornerFeature,
    TabFeature,
    ThumbNotchFeature,
    given_by_scores,
    is_same_from_behind,
)
from gatherfold.lengths import INCH, UnitSystem
from gatherfold.model import Fold, takes_whole_box
from gatherfold.resolve import Hole, ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording, load_wording
from gatherfold.work import FaceKey

FOLD_LETTERS: dict[Fold, str] = {"valley": "V", "mountain": "M"}


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
    is_one = units.number(length) == "1" or (units.is_inch and length < INCH)
    word = words_in(units).phrase(f"spoken_{units.unit}_{'one' if is_one else 'other'}")
    return f"{units.number(length)} {word}"


def named(piece: ResolvedPiece) -> str:
    """A piece by its code and title."""
    return f"{piece.code} {piece.title}".strip()


def face_of(resolved: ResolvedDesign, key: FaceKey) -> str:
    """A face by the code of its piece and its own name, if it has one."""
    code = resolved.pieces[key.piece].code
    return code if key.face == "face" else f"{code} {face_words(key.face)}"


def has_two_sizes(feature: CornerFeature) -> bool:
    """Whether it has to be said which of a corner's sizes is its width."""
    match feature.shape:
        case "notch" | "mitre":
            return feature.width != feature.height
        case "round":
            return False
        case _:
            assert_never(feature.shape)


def corner_note(
    units: UnitSystem, piece: ResolvedPiece, feature: CornerFeature, spoken: bool = False
) -> str:
    """What a drawing has to say of a corner: ``mitre ¾``, ``notch 1 × ½``, ``R ½``; empty where
    scores give all of a notch.

    A drawing says once for all corners which size is the width; what is ``spoken``, each time.
    """
    has_width, has_height = given_by_scores(piece, feature)
    wording = words_in(units)
    width, height = units.number(feature.width), units.number(feature.height)
    if has_width and has_height:
        return ""
    if has_width:
        return wording.phrase("draw_notch_high", size=height)
    if has_height:
        return wording.phrase("draw_notch_wide", size=width)
    size, is_uneven = width, has_two_sizes(feature)
    if is_uneven and spoken:
        size = wording.phrase("draw_wide_by_high", width=width, height=height)
    elif is_uneven or takes_whole_box(feature.shape):
        size = f"{width} × {height}"
    return wording.phrase(f"draw_{feature.shape}", size=size)


def hole_label(units: UnitSystem, hole: Hole) -> str:
    return f"Ø {units.number(hole.diameter)}"


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
    """``Reedbed paper`` and ``front side (Reeds) facing you``; the stock alone where the side does
    not matter."""
    return [piece.stock.source.title, *facing_words(piece, wording)]


def facing_words(piece: ResolvedPiece, wording: Wording) -> list[str]:
    """Which side of the piece is seen, where that matters: the paper has two, or the piece is
    folded or would be another one seen from behind."""
    name = piece.printed_side.title
    if not piece.stock.source.two_sided:
        is_sided = bool(piece.scores) or not is_same_from_behind(piece)
        return [wording.phrase("draw_front_facing")] if is_sided else []
    side = wording.phrase(f"side_{piece.source.side}")
    phrase = "draw_facing_you_named" if name else "draw_facing_you"
    return [wording.phrase(phrase, side=side, name=name)]


def face_words(face: str) -> str:
    """The name of a section as it is read."""
    return face.replace("_", " ")


#: By the key of a piece that is drawn, the keys of the others that are made as it is.
Others = Mapping[str, Sequence[str]]


def pieces_alike(
    resolved: ResolvedDesign, key: str, others: Sequence[str]
) -> tuple[ResolvedPiece, ...]:
    return tuple(resolved.pieces[each] for each in (key, *others))


def title_of(pieces: Sequence[ResolvedPiece], wording: Wording) -> str:
    """``A12 Left pocket and A14 Right pocket``."""
    return wording.listed(named(piece) for piece in pieces)


def count_words(pieces: Sequence[ResolvedPiece], wording: Wording) -> str:
    """``cut 2``; of several pieces ``A12, A14: cut 1 of each``."""
    counts = {piece.source.count for piece in pieces}
    if len(pieces) == 1:
        return wording.phrase("draw_cut_count", count=pieces[0].source.count)
    if len(counts) == 1:
        codes = ", ".join(piece.code for piece in pieces)
        return wording.phrase("draw_cut_of_each", codes=codes, count=counts.pop())
    return ", ".join(
        wording.phrase("draw_cut_of_code", code=piece.code, count=piece.source.count)
        for piece in pieces
    )
