"""The record: everything computed, as plain data for JSON.

``edition`` writes one edition as a build computes it, and ``design`` the whole, built or checked.
"""

# fmt: off
# isort: off
from gatherfold.record.design import (check_record as check_record, design_record as design_record,
    unreadable_record as unreadable_record)
from gatherfold.record.edition import edition_record as edition_record
