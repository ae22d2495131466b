"""The edition that is not the designer's own, made native: lengths on its grid, every fit kept.

``settle(design, edition)`` gives the resolved edition and what had to move on the grid.
"""

from gatherfold.native_edition.settle import Departure, MovedLength, Settled, settle

__all__ = [
    "Departure",
    "MovedLength",
    "Settled",
    "settle",
]
