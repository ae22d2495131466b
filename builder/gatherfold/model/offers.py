"""How a thing that is bought is sold."""

from dataclasses import dataclass
from fractions import Fraction


@dataclass(frozen=True)
class Offer:
    """How something is sold: in packs of so many, and what one of them costs.

    The price of a pack is kept as that of one, exactly.  None: singly, or no price given.
    """

    pack: int | None = None
    price: Fraction | None = None


#: What is sold one by one at no known price.
SINGLY = Offer()
