"""What a build leaves as plain data."""

from __future__ import annotations

from builder.build import check_edition
from builder.counts.cut_list import cut_list
from builder.documents.view import Computed
from builder.reading import read_design_file
from builder.record import edition_record
from builder.resolve.edition import IMPERIAL
from builder.shipped import DESIGNS


def test_seams_and_what_is_closed_for_good_are_in_the_record() -> None:
    """The envelope by hand: the bottom flap reaches 3 1/4 in over the side flaps, so that is where
    its slanting edges end; adhesive begins 1/4 in from the fold and runs for 3 in."""
    checked = check_edition(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL)
    resolved, plans = checked.resolved, checked.plans
    record = edition_record(Computed(resolved, plans, cut_list(resolved), (), "", False), ())
    assert [(each["piece"], each["section"]) for each in record["closed_for_good"]] == [
        ("envelope", "left_flap"),
        ("envelope", "right_flap"),
        ("envelope", "bottom_flap"),
    ]
    seams = record["pieces"]["envelope"]["seams"]
    assert [(each["section"], each["edge"]) for each in seams] == [
        ("bottom_flap", "left"),
        ("bottom_flap", "right"),
    ]
    for seam in seams:
        assert (seam["dry"]["text"], seam["length"]["text"]) == ("1/4 in", "3 in")
        ((start, end),) = seam["runs"]
        assert {start["y"]["text"], end["y"]["text"]} == {"3 in", "0 in"}
    assert record["pieces"]["lining"]["seams"] == []
