"""A remedy that was tried: what it says to type is typed, and nothing is wrong any more.

The designs are sound ones with one slip of a maker each; what was typed before is what mends them.
"""

from pathlib import Path

import pytest

from gatherfold import check_design, read_text
from gatherfold.editions import Cause
from gatherfold.editions.mending import Mending
from gatherfold.editions.text_changes import DesignText, TextChange
from gatherfold.findings import Severity

ROOT = Path(__file__).parents[2]

#: The design, what it says, the slip, and what the remedy says.
SLIPS = [
    (
        "designs/letter-envelope.yaml",
        "mitre flap_taper x bottom_flap",
        "mitre bottom_flap x flap_taper",
        "write 'flap_taper x bottom_flap' instead of 'bottom_flap x flap_taper'",
    ),
    (
        "tests/designs/four-flaps.yaml",
        "  top: -seal_size / 2",
        "  bottom: -seal_size / 2",
        "write 'top:' instead of 'bottom:'",
    ),
    (
        "tests/designs/covered-board.yaml",
        "from: herbs front, on_back: left_board",
        "from: herbs front, on: left_board",
        "write 'on_back:' instead of 'on:'",
    ),
    (
        "tests/designs/class-keepsake.yaml",
        "from: reeds front, on: front,",
        "from: reeds front, on: back,",
        "write 'front' instead of 'back'",
    ),
    (
        "tests/designs/four-flaps.yaml",
        "    close: wrap.left_flap, wrap.bottom_flap, wrap.right_flap,",
        "    close: wrap.left_flap, wrap.right_flap, wrap.bottom_flap,",
        "write 'wrap.left_flap, wrap.bottom_flap, wrap.right_flap, wrap.top_flap'",
    ),
    (
        "designs/keepsake-box.yaml",
        "  lid_gap: 1/16",
        "  lid_gap: 0",
        "Type at least 1/16 instead of 0 for 'lid_gap'",
    ),
]


def causes_of(text: str, design: str) -> tuple[Cause, ...]:
    causes = check_design(read_text(text, file=str(ROOT / design))).causes
    return tuple(each for each in causes if each.finding.severity is not Severity.ADVICE)


@pytest.mark.parametrize(("design", "meant", "slip", "remedy"), SLIPS)
def test_what_was_meant_is_proposed_all_else_follows_and_it_cures(
    design: str, meant: str, slip: str, remedy: str
) -> None:
    text = (ROOT / design).read_text()
    assert text.count(meant) == 1
    (cause,) = causes_of(text.replace(meant, slip), design)
    assert remedy in str(cause)
    for mend in cause.mends:
        tally = check_design(mend.changed()).tally
        assert (tally.errors, tally.warnings) == (0, 0)


def test_nothing_is_tried_where_nothing_is_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    def tried(*_: object) -> None:
        raise AssertionError("a sound design needs no remedy")

    monkeypatch.setattr(Mending, "mends_of", tried)
    for design in ("designs/letter-envelope.yaml", "tests/designs/four-flaps.yaml"):
        assert causes_of((ROOT / design).read_text(), design) == ()


YAML = """\
pieces:
  lid: {on: tray, glue: none, left: 1}
  tray:
    left: 2
    note: lower left
"""


def changes(key: str) -> dict[str, TextChange]:
    source = DesignText(YAML, "d.yaml")
    found = {name.text: (name, value) for name, value in source.entries()}
    name, value = found[key]
    gone, more = source.without(name, value), source.with_entry(found["tray"][1], "glue: none")
    assert gone is not None and more is not None
    return {"without": gone, "with": more}


@pytest.mark.parametrize(
    ("key", "line"),
    [("glue", "  lid: {on: tray, left: 1}\n"), ("on", "  lid: {glue: none, left: 1}\n")],
)
def test_an_entry_is_taken_out_of_braces_with_its_comma(key: str, line: str) -> None:
    assert changes(key)["without"].applied(YAML).splitlines(keepends=True)[1] == line


def test_an_entry_is_taken_out_and_put_in_as_a_line() -> None:
    assert "note" not in changes("note")["without"].applied(YAML)
    assert "  tray:\n    glue: none\n    left: 2\n" in changes("note")["with"].applied(YAML)
