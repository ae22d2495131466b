"""A design in its editions: checked, computed, and compared with another design.

``checked`` resolves, plans and checks; ``computed`` counts what documents and records are made of;
``comparison`` says what changed between two designs.  ``causes`` says which finding follows from
which, and ``mending`` tries what may have been meant.
"""

# fmt: off
# isort: off
from gatherfold.editions.causes import (Cause as Cause, causes_of as causes_of,
    tally_of as tally_of, with_mends as with_mends)
from gatherfold.editions.checked import (EditionCheck as EditionCheck,
    check_edition as check_edition, check_editions as check_editions, departure_of as departure_of,
    with_idle_entries as with_idle_entries)
from gatherfold.editions.comparison import compare as compare
from gatherfold.editions.computed import (Computed as Computed,
    computed_in_language as computed_in_language, computed_of as computed_of)
