"""Exact lengths: how they are kept, rounded to a cutting grid, and written for a reader.

In: exact rationals of a millimetre.  Out: the same, or text such as ``7¾ in`` and ``197 mm``.

A length is a :class:`fractions.Fraction` of a millimetre everywhere in Gatherfold; the inch is
exactly 25.4 mm (NIST SP 811, Appendix B.8).  Nothing here makes a float except
:func:`millimetres`, which is meant for ink and for JSON.
"""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

#: The systems of units, and the unit that each writes lengths in.
SystemName = Literal["imperial", "metric"]
UnitName = Literal["in", "mm"]

NOTHING = Fraction(0)
INCH = Fraction(254, 10)
MILLIMETRE = Fraction(1)
CENTIMETRE = Fraction(10)

#: Every spelling of a unit that a design may use, and its size in millimetres.
UNIT_SIZES: dict[str, Fraction] = {
    **dict.fromkeys(("in", "inch", "inches", '"', "″", "”"), INCH),
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), MILLIMETRE),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), CENTIMETRE),
}

#: Single-character fractions (Unicode "Number Forms") that text fonts carry.
VULGAR_FRACTIONS: dict[str, Fraction] = {
    sign: Fraction(unicodedata.numeric(sign)).limit_denominator(8) for sign in "½¼¾⅛⅜⅝⅞⅓⅔"
}
_WRITTEN_AS_ONE_CHARACTER = {
    value: text for text, value in VULGAR_FRACTIONS.items() if value.denominator != 3
}

FRACTION_SLASH = "\N{FRACTION SLASH}"
NO_BREAK_SPACE = "\N{NO-BREAK SPACE}"
_BEFORE_FRACTION = re.compile(rf"(?<=\d){NO_BREAK_SPACE}(?=\d+{FRACTION_SLASH}\d)")
TIMES = "\N{MULTIPLICATION SIGN}"


def millimetres(length: Fraction) -> float:
    """The length as a float of millimetres, for ink and JSON only."""
    return float(length)


def nearest_on_grid(length: Fraction, step: Fraction) -> Fraction:
    """The multiple of ``step`` nearest to ``length``; a tie goes to the larger one.

    A positive length never becomes zero: it keeps at least one step, so that a narrow reveal
    does not vanish from the other edition.
    """
    steps = (length / step + Fraction(1, 2)).__floor__()
    if length > 0:
        steps = max(steps, 1)
    return steps * step


def down_to_grid(length: Fraction, step: Fraction) -> Fraction:
    """The largest multiple of ``step`` that is not larger than ``length``."""
    return (length / step).__floor__() * step


def up_to_grid(length: Fraction, step: Fraction) -> Fraction:
    """The smallest multiple of ``step`` that is not smaller than ``length``."""
    return (length / step).__ceil__() * step


def is_on_grid(length: Fraction, step: Fraction) -> bool:
    return (length / step).denominator == 1


def mixed_number(value: Fraction) -> str:
    """Write a number as it is typed: ``7``, ``3/4``, ``7 3/4``."""
    whole, rest = divmod(value, 1)
    return f"{whole} {rest}" if whole and rest else str(rest or whole)


def decimal_number(value: Fraction, places: int, is_padded: bool = False) -> str:
    """Write a number to so many decimals, a half going up: ``9.5``, and padded ``9.50``."""
    rounded = (value * 10**places + Fraction(1, 2)).__floor__()
    whole, rest = divmod(abs(rounded), 10**places)
    decimals = f"{rest:0{places}d}" if places else ""
    tail = decimals if is_padded else decimals.rstrip("0")
    return f"{'-' if rounded < 0 else ''}{whole}{'.' if tail else ''}{tail}"


@dataclass(frozen=True)
class UnitSystem:
    """How one unit system writes a length: ``inch`` in reduced fractions, ``mm`` in decimals.

    ``unit`` is what the program calls it; ``symbol``, where a language writes it otherwise, what is
    printed.  ``decimal`` is the decimal sign of the ``language``.
    """

    name: SystemName
    unit: UnitName
    size: Fraction
    language: str = "en"
    decimal: str = "."
    symbol: str = ""

    @property
    def is_inch(self) -> bool:
        """Whether it writes fractions of an inch, and not decimals of a millimetre."""
        match self.unit:
            case "in":
                return True
            case "mm":
                return False

    @property
    def printed(self) -> str:
        """The unit as it is printed."""
        return self.symbol or self.unit

    def number(self, length: Fraction) -> str:
        """The number alone: ``7¾``, ``6 5⁄16``, ``197``, ``9.5``.

        A millimetre number keeps as many decimals as it needs to be exact, three at the most;
        an inch number is always an exact reduced fraction.
        """
        value = length / self.size
        if self.is_inch:
            return _inch_number(value)
        return decimal_number(value, 3).replace("-", "−").replace(".", self.decimal)

    def text(self, length: Fraction) -> str:
        """The number and its unit, kept together: ``7¾ in``, ``197 mm``."""
        return f"{self.number(length)}{NO_BREAK_SPACE}{self.printed}"

    def size_text(self, width: Fraction, height: Fraction) -> str:
        """Width before height: ``7¾ × 10¾ in``."""
        numbers = f"{self.number(width)}{NO_BREAK_SPACE}{TIMES} {self.number(height)}"
        return f"{numbers}{NO_BREAK_SPACE}{self.printed}"


IMPERIAL_UNITS = UnitSystem("imperial", "in", INCH)
METRIC_UNITS = UnitSystem("metric", "mm", MILLIMETRE)


def closed_up(text: str) -> str:
    """The text as it is set: between a whole number and its fraction no more than a narrow space,
    so that ``1 15⁄16`` looks like ``1¾``."""
    return _BEFORE_FRACTION.sub("\N{NARROW NO-BREAK SPACE}", text)


def _inch_number(value: Fraction) -> str:
    sign = "−" if value < 0 else ""
    whole, rest = divmod(abs(value), 1)
    if rest == 0:
        return f"{sign}{whole}"
    single = _WRITTEN_AS_ONE_CHARACTER.get(rest)
    if single is not None:
        return f"{sign}{whole or ''}{single}"
    written = f"{rest.numerator}{FRACTION_SLASH}{rest.denominator}"
    return f"{sign}{whole}{NO_BREAK_SPACE}{written}" if whole else f"{sign}{written}"
