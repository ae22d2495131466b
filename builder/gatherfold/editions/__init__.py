"""A design in its editions: checked, computed, and compared with another design.

``checked`` resolves, plans and checks; ``computed`` counts what documents and records are made of;
``comparison`` says what changed between two designs.
"""

from gatherfold.editions.checked import (
    Checked,
    EditionCheck,
    check_edition,
    check_editions,
    departure_of,
    with_idle_entries,
)
from gatherfold.editions.comparison import compare
from gatherfold.editions.computed import Computed, computed_in_language, computed_of

__all__ = [
    "Checked",
    "Computed",
    "EditionCheck",
    "check_edition",
    "check_editions",
    "compare",
    "computed_in_language",
    "computed_of",
    "departure_of",
    "with_idle_entries",
]
