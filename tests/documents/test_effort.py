"""Time and difficulty: counted from the design, counted again here by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.counts.effort import (
    all_minutes,
    difficulty,
    operation_counts,
    step_minutes,
)
from gatherfold.documents.steps_text import minutes_text
from gatherfold.editions import check_edition
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import DESIGNS
from gatherfold.wording import load_wording

TEXT = b"""\
title: Card
units: inch
stocks:
  card: {material: cardstock, sheet: 12 in x 12 in}
pieces:
  cover: {from: card, across: {left: 4, right: 4}, height: 6, corners: {all: round 1/4}}
  mat: {from: card, size: 3 x 5, on: cover.left, count: 1, corners: {all: round 1/8}}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Fold, text: Fold., score: cover, fold: cover}
  - {title: Glue, text: Glue., dry_fit: mat, attach: mat}
"""


def test_what_is_counted_in_each_step() -> None:
    """By hand: the cover takes two cuts of the sheet and the mat two more; one score, one fold.
    The mat is rounded when it is cut, the cover only when it is scored."""
    checked = check_edition(read_design(TEXT, "card.yaml"), IMPERIAL)
    counts = [
        operation_counts(step, checked.resolved, checked.plans)
        for step in checked.resolved.design.steps
    ]
    assert [counts[0][name] for name in ("cut", "shape")] == [4, 1]
    assert [counts[1][name] for name in ("cut", "score", "fold", "shape")] == [0, 1, 1, 1]
    assert [counts[2][name] for name in ("dry_fit", "attach", "score")] == [1, 1, 0]


def test_minutes_follow_from_the_rates() -> None:
    """2 + 4 x 0.75 + 1.5 = 6.5 is 10; 2 + 0.5 + 0.3 + 1.5 = 4.3 and 2 + 0.5 + 2.5 = 5 are 5."""
    checked = check_edition(read_design(TEXT, "card.yaml"), IMPERIAL)
    steps = checked.resolved.design.steps
    assert [step_minutes(step, checked.resolved, checked.plans) for step in steps] == [10, 5, 5]
    assert all_minutes(checked.resolved, checked.plans) == 20


def test_a_step_that_cuts_some_pieces_has_its_share_of_the_cuts() -> None:
    text = TEXT.replace(b"cut: all", b"cut: mat")
    checked = check_edition(read_design(text, "card.yaml"), IMPERIAL)
    first = checked.resolved.design.steps[0]
    assert operation_counts(first, checked.resolved, checked.plans)["cut"] == Fraction(4, 2)


@pytest.mark.parametrize(
    ("name", "level"), [("letter-envelope", "easy"), ("observatory-folio", "medium")]
)
def test_the_estimate_agrees_with_what_the_designer_says(name: str, level: str) -> None:
    """The envelope says Beginner and the folio Confident beginner, under ``skill``."""
    checked = check_edition(read_design_file(DESIGNS / f"{name}.yaml"), IMPERIAL)
    assert difficulty(checked.resolved, checked.plans) == level


def test_a_pierced_hole_is_made_with_its_fastening_and_is_no_shape() -> None:
    """Two brads through one piece: two fastenings of four minutes, nothing to shape."""
    text = TEXT.replace(
        b"steps:",
        b"fastenings:\n"
        b"  pin: {kind: brad, head: 1/4 in, leg: 1/2 in, through: mat, count: 2}\n"
        b"steps:",
    ).replace(b"attach: mat}", b"attach: mat, fasten: pin}")
    checked = check_edition(read_design(text, "card.yaml"), IMPERIAL)
    counts = [
        operation_counts(step, checked.resolved, checked.plans)
        for step in checked.resolved.design.steps
    ]
    assert [each["shape"] for each in counts] == [1, 1, 0]
    assert counts[2]["fasten"] == 2


def test_every_section_that_is_closed_for_good_takes_its_time() -> None:
    """The envelope's pocket: a step, three sections: 2 + 3 x 2 = 8 is 10 minutes.  The card and the
    top flap only close: what holds that shut is the seal, which counts as attached."""
    checked = check_edition(read_design_file(DESIGNS / "letter-envelope.yaml"), IMPERIAL)
    steps = [step for step in checked.resolved.design.steps if "close" in step.operations]
    counts = [operation_counts(step, checked.resolved, checked.plans)["close"] for step in steps]
    assert counts == [3, 0, 0]
    assert step_minutes(steps[0], checked.resolved, checked.plans) == 10


@pytest.mark.parametrize(
    ("minutes", "text"),
    [
        (5, "about 5 min"),
        (60, "about 1 h"),
        (95, "about 1 h 35 min"),
        (180, "about 3 h"),
        (200, "about 3 h 30 min"),
        (345, "about 6 h"),
    ],
)
def test_long_times_are_not_said_to_the_minute(minutes: int, text: str) -> None:
    assert minutes_text(minutes, load_wording()).replace("\u00a0", " ") == text
