"""Findings: order, repeats, near names and length."""

from __future__ import annotations

import pytest

from builder.findings import (
    MOST_FINDINGS,
    DesignUnreadable,
    Position,
    error,
    nearest_name,
    stop_if_too_many,
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
    findings = [error("x", at(n, 1), "m") for n in range(1, MOST_FINDINGS)]
    stop_if_too_many(findings)
    with pytest.raises(DesignUnreadable) as caught:
        stop_if_too_many([*findings, error("x", at(MOST_FINDINGS, 1), "m")])
    assert len(caught.value.findings) == MOST_FINDINGS
