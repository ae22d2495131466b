"""How the size of a bought thing is written: it never snaps, and its maker names it in one unit.

In: a true size in mm and the resolved design.  Out: text such as ``¼ in (6.4 mm)``.
"""

from fractions import Fraction

from gatherfold.lengths import INCH, UnitSystem, nearest_on_grid
from gatherfold.model import is_metric
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign


def printed_size(length: Fraction, resolved: ResolvedDesign) -> Fraction:
    """The size as it is printed: exact in the designer's own edition, in the other to a tenth of
    a millimetre or a sixty-fourth of an inch."""
    if resolved.edition.name == resolved.design.native:
        return length
    step = Fraction(1, 10) if is_metric(resolved.edition.name) else INCH / 64
    return nearest_on_grid(length, step)


def size_text(length: Fraction, resolved: ResolvedDesign) -> str:
    """One length: as the designer's unit names it, and in the edition's where that differs."""
    units, own = resolved.edition.units, _own_units(resolved)
    text = units.text(printed_size(length, resolved))
    return text if own == units else f"{own.text(length)} ({text})"


def sheet_text(width: Fraction, height: Fraction, resolved: ResolvedDesign) -> str:
    """Width by height of a sheet, in the same way."""
    units, own = resolved.edition.units, _own_units(resolved)
    text = units.size_text(printed_size(width, resolved), printed_size(height, resolved))
    return text if own == units else f"{own.size_text(width, height)} ({text})"


def _own_units(resolved: ResolvedDesign) -> UnitSystem:
    """The units of the designer's own edition, as that edition or this one writes them."""
    units = resolved.edition.units
    own = EDITIONS[resolved.design.native].units
    return units if own.unit == units.unit else resolved.edition.other_units or own
