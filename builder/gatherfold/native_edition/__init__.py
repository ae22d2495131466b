"""The edition that is not the designer's own, made native: lengths on its grid, every fit kept.

``settle(design, edition)`` gives the resolved edition and what had to move on the grid.
"""

# fmt: off
# isort: off
from gatherfold.native_edition.settle import (Departure as Departure, MovedLength as MovedLength,
    largest_departure as largest_departure, settle as settle)
