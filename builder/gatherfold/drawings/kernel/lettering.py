"""How wide and how high a line of lettering comes out, from the font's own metrics.

In: text, size in points, weight.  Out: mm.  Kerning is left out, so a width is never too small
by more than a hair.
"""

import math
import re
from dataclasses import dataclass, replace
from functools import cache
from io import BytesIO
from pathlib import Path

import font_source_sans_pro
from fontTools.ttLib import TTFont

from gatherfold.drawings.kernel.plane import Rect, turned_rect
from gatherfold.drawings.kernel.scene import Anchor, Text
from gatherfold.lengths import closed_up

FONT_FAMILY = "Source Sans Pro"
REGULAR_FILE = str(font_source_sans_pro.font_files_ttf["SourceSansPro"])
BOLD_FILE = str(font_source_sans_pro.font_files_ttf["SourceSansProSemibold"])
BOLD_WEIGHT = 600

POINT = 25.4 / 72
#: Height of capitals and digits, in ems.
CAPITAL_HEIGHT = 0.66
_EM = 1000
_THIN_SPACE_ADVANCE = 200


@dataclass(frozen=True)
class GlyphSize:
    """In thousandths of an em."""

    advance: int
    lowest: int
    highest: int


@cache
def _font(bold: bool) -> TTFont:
    file = Path(BOLD_FILE if bold else REGULAR_FILE)
    return TTFont(BytesIO(file.read_bytes()), lazy=True)


@cache
def _glyph(character: str, bold: bool) -> GlyphSize:
    font = _font(bold)
    name = font.getBestCmap().get(ord(character))
    if name is None:
        is_space = character.isspace()
        return GlyphSize(_THIN_SPACE_ADVANCE if is_space else _EM, 0, 0 if is_space else _EM)
    glyph = font["glyf"][name]
    lowest, highest = getattr(glyph, "yMin", 0) or 0, getattr(glyph, "yMax", 0) or 0
    if character == "\N{FRACTION SLASH}":
        lowest, highest = 0, int(CAPITAL_HEIGHT * _EM)
    return GlyphSize(font["hmtx"][name][0], lowest, highest)


_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")
_FRACTION = re.compile(r"(\d+)⁄(\d+)")

#: How much higher and lower than in a fraction of one character the font has them, in ems.
_RAISED_TOO_HIGH, _LOWERED_TOO_LOW = 0.129, 0.176
_RAISED_BY_LOWERED = re.compile("([⁰¹²³⁴⁵⁶⁷⁸⁹]+)⁄([₀₁₂₃₄₅₆₇₈₉]+)")
_LETTERED = re.compile(r'(<text style="[^">]*?font-size: ([0-9.]+)px[^>]*>)([^<]*)</text>')


@cache
def typeset(text: str) -> str:
    """The characters to draw: fractions with a slash in raised and lowered figures, since SVG
    lettering does not reach the font's own fraction feature; close to their whole number."""
    text = closed_up(text)
    return _FRACTION.sub(lambda m: f"{m[1].translate(_RAISED)}⁄{m[2].translate(_LOWERED)}", text)


def set_fractions(svg: str) -> str:
    """The SVG with the raised and lowered figures of written fractions brought to the height that
    they have in a fraction of one character (¾), so that all look alike.

    Only lettering that begins at its place can hold them: see :func:`from_start`.
    """
    return _LETTERED.sub(lambda m: f"{m[1]}{_in_place(m[3], float(m[2]))}</text>", svg)


def _in_place(words: str, size: float) -> str:
    """The words with a shift before each part of a fraction, and back before what follows it."""
    down, up = size * _RAISED_TOO_HIGH, size * _LOWERED_TOO_LOW
    first, *rest = _RAISED_BY_LOWERED.split(words)
    parts, back = [first], 0.0
    for raised, lowered, after in zip(rest[::3], rest[1::3], rest[2::3], strict=True):
        parts += [_shifted(back + down, raised), _shifted(-down, "⁄"), _shifted(-up, lowered)]
        back = up
        if after:
            parts.append(_shifted(back, after))
            back = 0.0
    return "".join(parts)


def _shifted(dy: float, words: str) -> str:
    return f'<tspan dy="{dy:.3f}">{words}</tspan>'


#: How much of a text lies before its place.
_BEFORE: dict[Anchor, float] = {"start": 0.0, "middle": 0.5, "end": 1.0}


def from_start(text: Text) -> Text:
    """Lettering with a written fraction, anchored where it begins; any other as it is."""
    if not _FRACTION.search(text.text):
        return text
    back = text_width(text.text, text.size_pt, text.bold) * _BEFORE[text.anchor]
    angle = math.radians(text.rotation)
    x, y = text.x - back * math.cos(angle), text.y - back * math.sin(angle)
    return replace(text, x=x, y=y, anchor="start")


@cache
def text_width(text: str, size_pt: float, bold: bool = False) -> float:
    """Width in mm."""
    return sum(_glyph(c, bold).advance for c in typeset(text)) * size_pt * POINT / _EM


@cache
def text_reach(text: str, size_pt: float, bold: bool = False) -> tuple[float, float]:
    """How far the lettering goes below (zero or negative) and above its baseline, in mm."""
    glyphs = [_glyph(c, bold) for c in typeset(text)]
    scale = size_pt * POINT / _EM
    lowest = min((g.lowest for g in glyphs), default=0)
    highest = max((g.highest for g in glyphs), default=0)
    return min(lowest, 0) * scale, highest * scale


def capital_height(size_pt: float) -> float:
    return CAPITAL_HEIGHT * size_pt * POINT


def text_rect(text: Text) -> Rect:
    """The upright rectangle that the lettering fills on paper."""
    width = text_width(text.text, text.size_pt, text.bold)
    low, high = text_reach(text.text, text.size_pt, text.bold)
    start, x, y = -width * _BEFORE[text.anchor], text.x, text.y
    if not text.rotation:
        return Rect(start + x, low + y, start + width + x, high + y)
    return turned_rect(Rect(start, low, start + width, high), text.rotation, x, y)


#: White that a boxed text clears on every side of its lettering, in mm.
BOX_MARGIN = 0.25


def inked_rect(text: Text) -> Rect:
    """The rectangle of the lettering, with the white box that it clears if it is boxed."""
    return text_rect(text).grown(BOX_MARGIN) if text.boxed else text_rect(text)


def level_text(
    text: str,
    x: float,
    y: float,
    size_pt: float,
    anchor: Anchor,
    *,
    bold: bool = False,
) -> Text:
    """Upright lettering that starts, or ends, at x with its capitals centred on y."""
    baseline = y - capital_height(size_pt) / 2
    return Text(text, x, baseline, size_pt, anchor, bold=bold)
