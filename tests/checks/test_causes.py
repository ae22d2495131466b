"""One cause, one finding: what both editions say is said once, what follows stands under it, and a
remedy with a number is tried before it is printed.

The designs are the shipped ones with one mistake each; what follows from what is common practice,
no source.
"""

import pytest

from gatherfold import check_design, read_text, shipped_design
from gatherfold.editions import Cause, causes_of
from gatherfold.findings import Finding, Position, Severity


def found(design: str, old: str, new: str) -> tuple[Cause, ...]:
    text = shipped_design(design).decode()
    assert text.count(old) == 1
    causes = check_design(read_text(text.replace(old, new))).causes
    return tuple(cause for cause in causes if cause.finding.severity is Severity.ERROR)


def test_one_wrong_length_is_said_once_with_what_to_type() -> None:
    (cause,) = found("keepsake-box", "lid_gap: 1/16", "lid_gap: 0")
    assert cause.finding.edition == "imperial and metric"
    assert len(cause.follow) == 1
    assert cause.mend is not None
    assert str(cause.mend) == "Type 1/16 instead of 0 for 'lid_gap' in line 24."
    assert str(cause).endswith(str(cause.mend))


def test_what_is_typed_as_told_is_sound() -> None:
    (cause,) = found("keepsake-box", "lid_gap: 1/16", "lid_gap: 0")
    assert cause.mend is not None
    assert not found("keepsake-box", "lid_gap: 1/16", f"lid_gap: {cause.mend.number}")


def test_steps_that_lack_one_operation_have_one_cause_for_each_kind() -> None:
    causes = found("keepsake-box", 'score: "tray, lid, *_divider"', "score: tray, lid")
    assert [cause.finding.code for cause in causes] == ["never-scored", "closed-before-scored"]
    assert [len(cause.follow) for cause in causes] == [5, 2]


def finding(code: str, about: str, line: int = 1, edition: str = "", text: str = "") -> Finding:
    place = Position("d.yaml", line, 1)
    return Finding(Severity.ERROR, code, place, text or code, "", edition, (), (about,))


@pytest.mark.parametrize(
    ("deeper", "about", "causes"),
    [("join-misses", "tray", 1), ("join-misses", "lid", 2), ("hole-near-edge", "tray", 2)],
)
def test_what_goes_deeper_about_the_same_part_follows(deeper: str, about: str, causes: int) -> None:
    """Another part, and a kind of finding that nothing is known of, follow from nothing."""
    given = [finding(deeper, about, 1), finding("cannot-turn", "tray", 2)]
    assert len(causes_of(given)) == causes


def test_lengths_of_two_editions_stand_beside_one_another() -> None:
    given = [
        finding("overhang", "mat", edition="imperial", text="it reaches ⅝ in beyond 4 × 6 in"),
        finding("overhang", "mat", edition="metric", text="it reaches 15.5 mm beyond 102 × 152 mm"),
    ]
    (cause,) = causes_of(given)
    assert cause.finding.message == "it reaches ⅝ in (15.5 mm) beyond 4 × 6 in (102 × 152 mm)"
    assert cause.finding.edition == "imperial and metric"
