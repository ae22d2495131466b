"""Broken designs as data: each file in ``bad_designs`` with what must be said about it.

The expectation stands in the file itself, in lines ``# expect: LINE:COLUMN [EDITION] CODE | message
fragment | remedy fragment``, or, where a comment would spoil the file, in a sibling
``.expected``.  A finding that no line expects fails, and so does a line that no finding meets.
"""

from __future__ import annotations

import time
from pathlib import Path

import pytest

from gatherfold.findings import MOST_FINDINGS, DesignUnreadable, Finding, Severity
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC

BAD_DESIGNS = sorted((Path(__file__).parent / "bad_designs").glob("*.yaml"))
MARK = "# expect: "

SOUND = """title: Sound
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 x 12}
pieces:
  back: {from: night, size: 8 x 11}
"""


def problems(content: bytes, name: str = "design.yaml") -> list[tuple[str, Finding]]:
    """Every finding with the edition it was found in (none for one made while reading)."""
    try:
        design = read_design(content, name)
    except DesignUnreadable as unreadable:
        return [("", finding) for finding in unreadable.findings]
    found = []
    for edition in (IMPERIAL, METRIC):
        try:
            resolve(design, edition)
        except DesignUnreadable as unreadable:
            found += [(edition.name, finding) for finding in unreadable.findings]
    return found


def expectations(path: Path) -> list[tuple[str, str, str]]:
    """(place and code, message fragment, remedy fragment) in file order."""
    aside = path.with_suffix(".expected")
    if aside.exists():
        lines = aside.read_text("utf-8").splitlines()
    else:
        text = path.read_text("utf-8")
        lines = [x.removeprefix(MARK) for x in text.splitlines() if x.startswith(MARK)]
    wanted = []
    for line in lines:
        head, message, remedy = line.split(" | ")
        wanted.append((head, message, remedy))
    return wanted


@pytest.mark.parametrize("path", BAD_DESIGNS, ids=lambda path: path.stem)
def test_every_problem_is_expected_and_every_expectation_met(path: Path) -> None:
    wanted = expectations(path)
    assert wanted, f"{path.name} says nothing about what is wrong with it"
    found = problems(path.read_bytes(), path.name)
    heads = [
        f"{f.position.line}:{f.position.column} {edition + ' ' if edition else ''}{f.code}"
        for edition, f in found
    ]
    assert heads == [head for head, _, _ in wanted]
    for (_, finding), (_, message, remedy) in zip(found, wanted, strict=True):
        assert message in finding.message
        assert remedy and remedy in finding.remedy
        assert finding.severity is Severity.ERROR
        assert finding.position.file == path.name


@pytest.mark.parametrize("path", BAD_DESIGNS, ids=lambda path: path.stem)
def test_positions_lie_within_the_file(path: Path) -> None:
    lines = path.read_bytes().split(b"\n")
    for _, finding in problems(path.read_bytes(), path.name):
        assert 1 <= finding.position.line <= len(lines)
        column = finding.position.column
        assert 1 <= column <= len(lines[finding.position.line - 1]) + 1


def test_problems_come_in_file_order() -> None:
    path = next(path for path in BAD_DESIGNS if path.stem == "several_at_once")
    positions = [finding.position for _, finding in problems(path.read_bytes(), path.name)]
    assert positions == sorted(positions)
    assert len(positions) > 4


def codes(content: str) -> set[str]:
    """The codes of all problems, found within the time a reader would wait."""
    started = time.perf_counter()
    found = {finding.code for _, finding in problems(content.encode())}
    assert time.perf_counter() - started < 10
    return found


def test_the_sound_design_that_bad_ones_are_made_from_is_sound() -> None:
    assert codes(SOUND) == set()


@pytest.mark.parametrize(
    ("formula", "code"),
    [
        ("(" * 10_000 + "1" + ")" * 10_000, "formula-too-long"),
        ("(" * 60 + "1" + ")" * 60, "formula-syntax"),
        ("min(" * 60 + "1" + ")" * 60, "formula-syntax"),
        ("1" + " + 1" * 10_000, "formula-too-long"),
        ("1" + " + 1" * 150, "formula-too-long"),
        ("9" * 100_000, "formula-too-long"),
        ("9" * 900, "number-too-long"),
        ("- " * 100 + "1", "formula-syntax"),
        ("a" * 900, "unknown-name"),
        (".".join(["a"] * 400), "cycle"),
        ("999999999999999 * " * 50 + "999999999999999", "too-large"),
    ],
    ids=lambda value: value[:12],
)
def test_formula_bombs(formula: str, code: str) -> None:
    assert codes(SOUND + f'measures:\n  a: "{formula}"\n') == {code}


def test_long_sums_within_reason_are_fine() -> None:
    assert codes(SOUND + "measures:\n  a: 1" + " + 1" * 60 + "\n") == set()


def chain(count: int, backwards: bool) -> str:
    numbers = range(count, 0, -1) if backwards else range(1, count + 1)
    return "".join(f"  m{n}: m{n - 1} + 1\n" for n in numbers)


def test_a_long_chain_of_measures_is_fine_in_order() -> None:
    assert codes(SOUND + "measures:\n  m0: 1\n" + chain(1000, backwards=False)) == set()


def test_a_long_chain_of_measures_backwards_is_told_to_turn_round() -> None:
    assert codes(SOUND + "measures:\n  m0: 1\n" + chain(1000, backwards=True)) == {"too-deep"}
    assert codes(SOUND + "measures:\n  m0: 1\n" + chain(20, backwards=True)) == set()


def test_a_tower_of_pieces() -> None:
    pieces = "".join(
        f"  p{n}: {{from: night, size: 1 x 1, on: p{n - 1}}}\n" for n in range(1, 1000)
    )
    content = SOUND + "  p0: {from: night, size: 8 x 11}\n" + pieces
    assert codes(content) == {"too-deep"}


def test_mats_that_fill_one_another_backwards() -> None:
    pieces = "".join(
        f"  p{n}: {{from: night, on: p{n - 1}, leaving: 1/99}}\n" for n in range(35, 0, -1)
    )
    assert codes(SOUND + pieces + "  p0: {from: night, size: 8 x 11}\n") == set()


def test_repeats_within_repeats() -> None:
    group = "p: {from: night, size: 1 x 1}"
    for depth in range(7):
        rows = ", ".join(str(row) for row in range(12))
        group = f"g{depth}: {{each: {{c{depth}: [{rows}]}}, pieces: {{{group}}}}}"
    assert codes(SOUND + f"  {group}\n") == {"too-many"}


def test_repeats_that_make_no_pieces() -> None:
    group = "p: {pieces: {}}"
    for depth in range(12):
        rows = ", ".join(str(row) for row in range(20))
        group = f"g{depth}: {{each: {{c{depth}: [{rows}]}}, pieces: {{{group}}}}}"
    assert codes(SOUND + f"  {group}\n") == {"too-many"}


def test_repeats_that_double_a_text() -> None:
    group = 'p: {from: night, size: 1 x 1, note: "{c0}"}'
    for depth in range(10):
        text = f"{{c{depth + 1}}}" * 9
        group = f'g{depth}: {{each: {{c{depth}: ["{text}"]}}, pieces: {{{group}}}}}'
    assert "too-large" in codes(SOUND + f"  {group}\n")


def test_more_problems_than_anyone_would_read() -> None:
    content = SOUND + "".join(f"nonsense{n}: 1\n" for n in range(5_000))
    found = problems(content.encode())
    assert len(found) == MOST_FINDINGS
    assert {finding.code for _, finding in found} == {"unknown-key"}


def test_many_unknown_names_in_text() -> None:
    words = " ".join(f"[word{n}]" for n in range(20_000))
    content = SOUND + f"steps:\n  - title: T\n    text: |\n      {words}\n"
    assert codes(content) == {"unknown-name"}


def test_a_file_too_large() -> None:
    assert codes("# " + "x" * 600_000) == {"too-large"}


def test_a_long_sound_file_is_read_in_reasonable_time() -> None:
    pieces = "".join(f"  p{n}: {{from: night, size: 8 x 11}}\n" for n in range(1500))
    assert codes(SOUND + pieces) == set()


def test_a_finding_quotes_no_more_than_a_reader_can_use() -> None:
    for _, finding in problems((SOUND + "measures:\n  a: " + "$" * 900 + "\n").encode()):
        assert len(finding.message) < 500


def test_nothing_is_reported_twice() -> None:
    content = SOUND + "".join(
        [
            "  g:\n    each: {s: [a, b, c]}\n    pieces:\n",
            '      "{s}_m": {from: nigth, size: 1 x}\n',
        ]
    )
    found = [finding for _, finding in problems(content.encode())]
    assert len(found) == len(set(found)) == 2


def test_an_override_of_nothing() -> None:
    with pytest.raises(DesignUnreadable) as caught:
        read_design(SOUND.encode(), "design.yaml", {"width": "9 in"})
    (finding,) = caught.value.findings
    assert finding.code == "unknown-name"
    assert "--set width" in finding.position.file


def test_an_override_that_makes_no_sense() -> None:
    content = (SOUND + "measures:\n  wide: 8\n").encode()
    with pytest.raises(DesignUnreadable) as caught:
        read_design(content, "design.yaml", {"wide": "9 +"})
    assert [finding.code for finding in caught.value.findings] == ["formula-syntax"]


@pytest.mark.parametrize(
    ("content", "code"),
    [
        ("%YAML 1." + "9" * 5000 + "\n---\ntitle: T\n", "yaml-syntax"),
        ("%YAML 3.0\n---\ntitle: T\n", "yaml-syntax"),
        ("title: T\n" + "a: {" * 5000, "too-deep"),
        ("title: T\n" + "- " * 5000, "yaml-syntax"),
        ("? [a, b]\n: c\n", "wrong-type"),
        ("title: >\n\n\n", "missing-key"),
        ("\ufeff", "empty-file"),
        ("---\n...\n", "empty-file"),
        ("~", "empty-file"),
        ("just text", "wrong-type"),
        (SOUND + "  g: {each: [], from: night, size: 1 x 1}\n", "wrong-type"),
        (SOUND + "  g: {each: {a: []}, pieces: 3}\n", "wrong-type"),
        (SOUND + "  g: {each: [{a: [1]}], from: night}\n", "wrong-type"),
        (SOUND + "  front: {from: night, size: 1 x 1, note: 'a\nb', count: ½}\n", "wrong-type"),
    ],
)
def test_oddities(content: str, code: str) -> None:
    assert code in codes(content)
