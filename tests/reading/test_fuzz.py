"""Whatever is in the file, reading and resolving give a design or say why not, and soon."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from gatherfold.findings import DesignUnreadable
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC

FOLDERS = (Path(__file__).parents[2] / "designs", Path(__file__).parents[1] / "designs")
DESIGNS = {path.name: path for folder in FOLDERS for path in sorted(folder.glob("*.yaml"))}

_FRAGMENTS = (
    "0", "-1", "1/0", "7 3/4", "x", "4 x", "((((", "{end}", "[", "]", "{", "}", "&a", "*a",
    "!!int 3",
    "\t", "---\n", "~", "''", '"\\0"', '"\\ud800"', '"\\UFFFFFFFF"', "9" * 40, "1e9",
    "spine.gusset", "panel_width * panel_width", "panel_width / 0", "mat", "on: spine",
    "by: nothing", "- ", "? ",
    ": ", "#", "|", ">", "%YAML 9.9", "all: notch 9 x 9", "turned: 90", "count: 0", "½", "⁄",
    "\x00",
    "\ufeff", "\u2028", "closed: 90", "fold: mountain", "raised: 1", "inside: spine", "*",
    "joins: {face: {on: spine}}", "open: all", "by: [mat, spine]", "seams: {gusset: none}",
    "limit: 0", "price: 1.2.3", "price: ٣", "scraps: [", "margin: 99", "more_sheets: {}", "1e-9",
)  # fmt: skip

_unhurried = settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow], derandomize=True
)
#: So many of each design: they have most in common.
_of_each = settings(_unhurried, max_examples=20)


def outcome(content: bytes) -> int:
    """The number of problems; any exception but DesignUnreadable fails the test."""
    problems = 0
    started = time.perf_counter()
    try:
        design = read_design(content, "fuzz.yaml")
    except DesignUnreadable as unreadable:
        assert unreadable.findings
        problems += len(unreadable.findings)
    else:
        for edition in (IMPERIAL, METRIC):
            try:
                resolve(design, edition)
            except DesignUnreadable as unreadable:
                assert unreadable.findings
                problems += len(unreadable.findings)
    assert time.perf_counter() - started < 8
    return problems


@_unhurried
@given(st.text(max_size=300))
def test_any_text(text: str) -> None:
    outcome(text.encode("utf-8", "surrogatepass"))


@_unhurried
@given(st.binary(max_size=200))
def test_any_bytes(content: bytes) -> None:
    outcome(content)


@pytest.mark.parametrize("name", DESIGNS)
@_of_each
@given(data=st.data())
def test_any_mutation_of_a_sound_design(name: str, data: st.DataObject) -> None:
    text = DESIGNS[name].read_text("utf-8")
    for _ in range(data.draw(st.integers(1, 3))):
        start = data.draw(st.integers(0, len(text)))
        length = data.draw(st.sampled_from((0, 1, 2, 5, 20, 200)))
        inserted = data.draw(st.sampled_from(_FRAGMENTS) | st.text(max_size=5))
        text = text[:start] + inserted + text[start + length :]
    outcome(text.encode("utf-8", "surrogatepass"))


@pytest.mark.parametrize("name", DESIGNS)
@_of_each
@given(data=st.data())
def test_any_value_replaced(name: str, data: st.DataObject) -> None:
    """Keeps the YAML sound, so that the mistakes reach the later stages."""
    lines = DESIGNS[name].read_text("utf-8").split("\n")
    numbers = [number for number, line in enumerate(lines) if ": " in line and "{" not in line]
    for _ in range(data.draw(st.integers(1, 3))):
        number = data.draw(st.sampled_from(numbers))
        value = data.draw(st.sampled_from(_VALUES))
        lines[number] = f"{lines[number].partition(': ')[0]}: {value}"
    outcome("\n".join(lines).encode())


_VALUES = (
    "0", "-1", "1/7", "4 x 6", "0 x 0", "-1 x 3", "999999999", "1/999999999", "yes", "all", "none",
    "left", "spine", "spine.gusset", "back_cover", "back_cover.face", "night", "comets back",
    "panel_width", "panel_width - 20", "spine.gusset + spine.width", "night.thickness", "[a, b]",
    "{a: 1}", "180", "90", "mat", "brad", "lid", "tray", "tray.base", "1000000 in", "8 in * 8 in",
)  # fmt: skip


@pytest.mark.parametrize("name", DESIGNS)
def test_sound_designs_have_no_problem(name: str) -> None:
    assert outcome(DESIGNS[name].read_bytes()) == 0
