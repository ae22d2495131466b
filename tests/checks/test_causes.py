"""One cause, one finding: what both editions say is said once, what follows stands under it, and a
remedy with a number is tried before it is printed.

The designs are the shipped ones with one mistake each; what follows from what is common practice,
no source.
"""

from functools import cache
from pathlib import Path

import pytest

from gatherfold import DesignUnreadable, check_design, read_text, shipped_design
from gatherfold.editions import Cause, causes_of
from gatherfold.findings import Finding, Position, Severity


@cache
def found(design: str, old: str, new: str) -> tuple[Cause, ...]:
    text = shipped_design(design).decode()
    assert text.count(old) == 1
    causes = check_design(read_text(text.replace(old, new))).causes
    return tuple(cause for cause in causes if cause.finding.severity is Severity.ERROR)


def test_one_wrong_length_is_said_once_with_what_to_type() -> None:
    (cause,) = found("keepsake-box", "lid_gap: 1/16", "lid_gap: 0")
    assert cause.finding.edition == "imperial and metric"
    assert "does-not-close-round" in {each.code for each in cause.follow}
    (mend,) = cause.mends
    assert str(mend) == "Type at least 1/16 instead of 0 for 'lid_gap' in line 24."
    assert f"{mend} Or: Make it" in str(cause)


def test_what_is_typed_as_told_is_sound() -> None:
    (cause,) = found("keepsake-box", "lid_gap: 1/16", "lid_gap: 0")
    (mend,) = cause.mends
    assert check_design(mend.changed()).fits


def test_steps_that_lack_one_operation_have_one_cause() -> None:
    causes = found("keepsake-box", 'score: "tray, lid, *_divider"', "score: tray, lid")
    assert [cause.finding.code for cause in causes] == ["closed-before-scored"]
    assert "Add '*_divider' to 'score:' (line 180)" in str(causes[0])


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


ROOT = Path(__file__).parents[2]
SHIPPED, OTHER = "designs", "tests/designs"


@pytest.mark.parametrize(
    ("folder", "design", "old", "new", "code", "names"),
    [
        (SHIPPED, "keepsake-box", "up: {front_side: lid_wall", "up: {front_side: tray_wall",
         "notch-misfits", "front_side"),
        (SHIPPED, "observatory-folio",
         "across: {cover_tab: hinge_tab, gusset: side_gusset, flap_tab: hinge_tab}",
         "across: {flap_tab: hinge_tab, gusset: side_gusset, cover_tab: hinge_tab}",
         "hinge-turned-round", "right_hinge"),
        (SHIPPED, "observatory-folio", "across: {flap_tab: hinge_tab, gusset: side_gusset",
         "fold: mountain\n    across: {flap_tab: hinge_tab, gusset: side_gusset",
         "folds-other-way", "left_hinge"),
        (SHIPPED, "observatory-folio", "back_tab: hinge_tab}\n    height: panel_height",
         "back_tab: hinge_tab}\n    height: panel_height - 2", "shorter-than-covers", "spine"),
        (SHIPPED, "observatory-folio", "    pivot: yes\n", "", "does-not-pivot", "latch_brad"),
        (SHIPPED, "letter-envelope", "left_flap: none, right_flap: none",
         "left_flap: none, right_flap: {right: 0}", "glue-in-pocket", "right_flap"),
        (SHIPPED, "letter-envelope", "{left: flap_taper, right: flap_taper}", "none",
         "pocket-unglued", "envelope"),
        (SHIPPED, "letter-envelope", "    insert: letter_card\n    close: all\n    attach: seal",
         "    close: all\n    attach: seal\n    insert: letter_card", "cannot-go-in", "seal"),
        (SHIPPED, "letter-envelope", "width: card.width\n    on: envelope",
         "width: card.width - 2\n    on: envelope", "narrower-than-load", "letter_card"),
        (SHIPPED, "letter-envelope", "from: chalk\n    up:", "from: tides front\n    up:",
         "weak-stock", "letter_card"),
        (SHIPPED, "letter-envelope", "on_back: letter_card.front_half",
         "on_back: letter_card.back_half", "sideways-elsewhere", "card_front_mat"),
        (SHIPPED, "keepsake-box", "round: lid_mat", "round: middle_divider", "ribbon-inside",
         "middle_divider"),
        (SHIPPED, "keepsake-box", "corners: {top: notch 2 x divider_tab}",
         "corners: {bottom: notch 1 1/2 x divider_foot}", "foot-cut-away", "back_divider"),
        (SHIPPED, "keepsake-box", "- reveal - divider_foot\"", "- reveal - 1/4\"",
         "row-off-middle", "back_divider"),
        (SHIPPED, "keepsake-box", "[front_divider, middle_divider, back_divider, tray",
         "[middle_divider, front_divider, back_divider, tray", "closes-under", "front_divider"),
        (SHIPPED, "keepsake-box", "    attach: \"*_divider\"\n",
         "    close: \"*_divider, tray.left_wall\"\n    attach: \"*_divider\"\n",
         "closed-before-placed", "back_divider"),
        (OTHER, "roll-up", "p3: first + 2 * growth",
         "p3: {size: first + 2 * growth, fold: mountain}", "folds-other-way", "p3"),
        (OTHER, "four-flaps", "corners: {all: notch flap", "corners: {top: notch flap",
         "corner-not-cut", "bottom left"),
        (OTHER, "four-flaps", "    attach: leaf_card\n    close: wrap.left_flap, wrap.bottom_flap, "
         "wrap.right_flap, wrap.top_flap", "    close: wrap.left_flap, wrap.bottom_flap, "
         "wrap.right_flap, wrap.top_flap\n    attach: leaf_card", "closed-over-place", "leaf_card"),
        (OTHER, "angled-pocket-card", "    attach: tag_mat\n    insert: tag",
         "    insert: tag\n    attach: tag_mat", "host-covered", "tag_mat"),
        (OTHER, "hinged-album", "{as: photo mat, from: shells back, on: page_3,",
         "{as: photo mat, from: shells back, on_back: page_3,", "mat-on-tabs", "page_3_mat"),
    ],
)  # fmt: skip
def test_the_first_finding_names_what_was_typed_wrong(
    folder: str, design: str, old: str, new: str, code: str, names: str
) -> None:
    """Each with the piece, the section or the key that is to be corrected in its sentence."""
    text = (ROOT / folder / f"{design}.yaml").read_text()
    assert text.count(old) == 1
    try:
        read = read_text(text.replace(old, new), file=f"{design}.yaml")
    except DesignUnreadable as problem:
        told = list(problem.findings)
    else:
        found = check_design(read, editions=[read.native]).findings
        told = [each.finding for each in causes_of(found)]
    first = next(each for each in told if not each.accepted)
    assert (first.code, names in f"{first.message} {first.remedy}") == (code, True), str(first)
