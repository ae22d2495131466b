"""The edition that is not the designer's own, made native: lengths on its grid, every fit kept.

``settle(design, edition)`` gives the resolved edition and what had to move on the grid.
"""

from gatherfold.native_edition.settle import Departure as Departure
from gatherfold.native_edition.settle import MovedLength as MovedLength
from gatherfold.native_edition.settle import Settled as Settled
from gatherfold.native_edition.settle import settle as settle
