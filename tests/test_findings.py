"""Findings: order, repeats, near names and length."""

from __future__ import annotations

import pytest

from gatherfold.findings import (
    MOST_FINDINGS,
    DesignUnreadable,
    Finding,
    Position,
    Problems,
    Severity,
    Tally,
    error,
    gravest_first,
    nearest_name,
    suggestion,
)


def at(line: int, column: int) -> Position:
    return Position("a.yaml", line, column)


def test_problems_are_sorted_by_place_and_said_once() -> None:
    later, sooner = error("b", at(10, 1), "later"), error("a", at(9, 5), "sooner")
    beside = error("c", at(9, 11), "beside")
    assert DesignUnreadable([later, beside, sooner, later]).findings == (sooner, beside, later)


def test_a_finding_reads_as_place_severity_code_message_and_remedy() -> None:
    finding = error("unknown-key", at(3, 7), "unknown key 'colour'", "Did you mean 'color'?")
    assert str(finding) == (
        "a.yaml:3:7: error (unknown-key): unknown key 'colour'\n    Did you mean 'color'?"
    )
    assert str(error("x", at(1, 1), "message")) == "a.yaml:1:1: error (x): message"


def test_near_names() -> None:
    known = ["reveal", "panel_width", "panel_height"]
    assert nearest_name("revael", known) == "reveal"
    assert nearest_name("zzz", known) is None
    assert suggestion("panel_widht", known) == "Did you mean 'panel_width'?"
    assert suggestion("zzz", known) == "Write one of: panel_height, panel_width, reveal."
    assert suggestion("zzz", []) == "Nothing of that kind is defined."
    many = suggestion("zzz", [f"name{n:03}" for n in range(100)])
    assert many.count(",") == 20
    assert many.endswith(", ….")


def test_long_quotations_are_cut_in_the_middle() -> None:
    finding = error("x", at(1, 1), "'" + "a" * 5000 + "' is no name")
    assert len(finding.message) < 420
    assert finding.message.startswith("'aaa")
    assert finding.message.endswith("' is no name")


def test_reading_stops_after_enough_problems() -> None:
    problems = Problems()
    for n in range(1, MOST_FINDINGS):
        problems.report("x", at(n, 1), "m")
        problems.report("x", at(n, 1), "m")
    with pytest.raises(DesignUnreadable) as caught:
        problems.report("x", at(MOST_FINDINGS, 1), "m")
    assert len(caught.value.findings) == MOST_FINDINGS


def test_a_tally_counts_accepted_advice_as_nothing_else() -> None:
    advice = Finding(Severity.ADVICE, "a", at(1, 1), "m")
    accepted = Finding(Severity.ADVICE, "a", at(2, 1), "m", accepted="because")
    tally = Tally.of([advice, accepted, error("e", at(3, 1), "m"), error("e", at(4, 1), "m")])
    assert tally == Tally(errors=2, warnings=0, advice=1, accepted=1)
    assert str(tally) == "2 errors, 1 advice, 1 accepted"
    assert str(Tally()) == ""
    assert Tally(warnings=1).parts() == ("0 errors", "1 warning", "0 advice", "0 accepted")
    assert str(Tally(errors=10, advice=20)) == "10 errors, 20 advice"


def test_gravest_first_and_said_once_of_both_editions() -> None:
    accepted = Finding(Severity.ADVICE, "a", at(1, 1), "m", accepted="because")
    advice = Finding(Severity.ADVICE, "a", at(2, 1), "m")
    first = Finding(Severity.WARNING, "w", at(3, 1), "m", edition="imperial")
    second = Finding(Severity.WARNING, "w", at(3, 1), "m", edition="metric")
    other = Finding(Severity.WARNING, "w", at(4, 1), "197 mm", edition="metric")
    worst = error("e", at(9, 1), "m")
    ordered = gravest_first([accepted, advice, first, second, other, worst])
    assert [finding.code for finding in ordered] == ["e", "w", "w", "a", "a"]
    assert ordered[1].edition == "imperial and metric"
    assert ordered[2] == other
    assert ordered[-1] == accepted


def test_an_accepted_finding_is_one_line() -> None:
    finding = Finding(
        Severity.ADVICE, "no-dry-fit", at(3, 7), "glued at once", "Dry-fit it.", accepted="a jig"
    )
    assert str(finding) == "a.yaml:3:7: accepted (no-dry-fit): glued at once – a jig"
