"""What a build leaves as plain data."""

from __future__ import annotations

from gatherfold.counts.cut_list import cut_list
from gatherfold.editions import Computed, check_edition
from gatherfold.reading.read_design import read_design_file
from gatherfold.record import edition_record
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import DESIGNS


def test_seams_and_what_is_closed_for_good_are_in_the_record() -> None:
    """The envelope by hand: the bottom flap reaches 3 1/4 in over the side flaps, so that is where
    its slanting edges end; adhesive begins 1/4 in from the fold and runs for 3 in.  The seal, the
    last step, shuts the top flap and with it the lining on that."""
    checked = check_edition(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL)
    resolved, plans = checked.resolved, checked.plans
    record = edition_record(Computed(resolved, plans, (), rows=cut_list(resolved), supplies=()), ())
    shut = record["closed_for_good"]
    assert {(each["piece"], each["section"], each["step"]) for each in shut} == {
        ("envelope", "left_flap", 5),
        ("envelope", "right_flap", 5),
        ("envelope", "bottom_flap", 5),
        ("envelope", "top_flap", 8),
        ("lining", "flap", 8),
    }
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


def test_every_pair_of_faces_that_glue_joins_is_in_the_record() -> None:
    """The envelope by its steps: the lining on the body and on the top flap, the bottom flap on
    both side flaps, the seal on both flaps that meet under it; the card is loose."""
    checked = check_edition(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL)
    resolved, plans = checked.resolved, checked.plans
    record = edition_record(Computed(resolved, plans, (), rows=cut_list(resolved), supplies=()), ())
    ends = ("first", "second")
    found = {
        (join["step"], *(f"{join[end]['piece']}.{join[end]['face']}" for end in ends))
        for join in record["joins"]
    }
    assert found >= {
        (3, "lining.body", "envelope.body"),
        (3, "lining.flap", "envelope.top_flap"),
        (5, "envelope.bottom_flap", "envelope.left_flap"),
        (5, "envelope.bottom_flap", "envelope.right_flap"),
        (8, "seal.face", "envelope.top_flap"),
        (8, "seal.face", "envelope.bottom_flap"),
    }
    pieces = [{join[end]["piece"] for end in ends} for join in record["joins"]]
    for other in ("envelope", "lining"):
        assert {"letter_card", other} not in pieces
