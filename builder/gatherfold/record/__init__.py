"""The record: everything computed, as plain data for JSON.

``edition`` writes one edition as a build computes it, and ``design`` the whole, built or checked.
"""

from gatherfold.record.design import check_record, design_record, unreadable_record
from gatherfold.record.edition import FORMAT, edition_record, exact_text, finding_record, plain

__all__ = [
    "FORMAT",
    "check_record",
    "design_record",
    "edition_record",
    "exact_text",
    "finding_record",
    "plain",
    "unreadable_record",
]
