"""Fits by hand-computed figures: room, size, worst case and the margin that remains.

Common practice, no source: a cut edge lies within 1/32 in of its place, so two parts may come
1/16 in nearer to each other than drawn.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from gatherfold.checks import check_all
from gatherfold.checks.fits import Fit, fits
from gatherfold.checks.thickness import PHOTOGRAPH, gaps
from gatherfold.lengths import INCH
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.work import pierced

HEAD = """\
title: Fits
units: inch
tolerance: 1/32
stocks:
  card: {material: cardstock, sheet: 30 in x 30 in, caliper: 0.5 mm}
  thin: {material: paper, sheet: 30 in x 30 in, caliper: 0.2 mm}
supplies: {tape: {kind: tape, width: 1/4 in}}
pieces:
"""


def resolved(pieces: str, more: str = "") -> ResolvedDesign:
    return pierced(resolve(read_design((HEAD + pieces + more).encode(), "fits.yaml"), IMPERIAL))


def the_fit(pieces: str, kind: str, direction: str, more: str = "") -> Fit:
    found = [f for f in fits(resolved(pieces, more)) if (f.kind, f.direction) == (kind, direction)]
    assert len(found) == 1
    return found[0]


POCKET = """\
  back: {from: card, size: 8 x 8}
  pocket: {as: pocket, from: card, size: 5 x 3, on: back, bottom: 0, glue: "left, bottom, right"}
  tag: {as: tag, from: card, width: %s, height: 3, inside: pocket, bottom: 1/4}
"""


@pytest.mark.parametrize(
    ("width", "margin"), [("4 1/4", "3/16"), ("4 7/16", "0"), ("4 1/2", "-1/16")]
)
def test_a_tag_in_a_pocket_of_five_inches(width: str, margin: str) -> None:
    """5 in less a quarter of tape on both sides is 4½ in; 1/16 in is the worst case."""
    fit = the_fit(POCKET % width, "in pocket", "across")
    assert fit.room == Fraction(9, 2) * INCH and fit.play == INCH / 16
    assert fit.margin == Fraction(margin) * INCH
    codes = {finding.code for finding in check_all(resolved(POCKET % width), {})}
    assert ("insert-too-wide" in codes) == (fit.margin < 0)


def test_a_mat_between_the_scores_of_a_spine() -> None:
    pieces = """\
  spine: {as: spine, from: card, across: {a: 1, gusset: 3/4, b: 1}, height: 6}
  mat: {as: mat, from: thin, on: spine.gusset, leaving: 1/8}
"""
    fit = the_fit(pieces, "between scores", "across")
    assert (fit.room, fit.size) == (Fraction(3, 4) * INCH, INCH / 2)
    assert fit.margin == Fraction(3, 16) * INCH


BOX = """\
  tray:
    as: tray
    from: card
    across: {left: 2, base: 4, right: 2}
    up: {front: 2, base: 4, back: 2}
    corners: {all: notch 2 x 2}
  lid:
    as: lid
    from: card
    fold: mountain
    across: {left: 1, panel: 4 + 2 * gap, right: 1}
    up: {front: 1, panel: 4 + 2 * gap, back: 1}
    corners: {all: notch 1 x 1}
    on: tray.base
    by: panel
    raised: 2
    glue: none
  wall_mat: {as: mat, from: thin, on_back: tray.left, leaving: 1/8}
measures: {gap: 1/16}
steps:
  - {title: Mat the wall, text: It., attach: wall_mat}
  - {title: Fold the tray, text: It., close: tray}
  - {title: Put the lid on, text: It., close: lid, attach: lid}
"""


def test_a_lid_over_a_tray() -> None:
    """Across: 4⅛ in less half a card on both sides; the tray: 4 in, half a card on both sides, and
    the mat on its left wall."""
    fit = the_fit(BOX, "closing round", "across")
    assert fit.room == Fraction(33, 8) * INCH - Fraction(1, 2)
    assert fit.size == 4 * INCH + Fraction(1, 2) + Fraction(1, 5)
    assert the_fit(BOX, "closing round", "upward").size == 4 * INCH + Fraction(1, 2)
    assert fit.margin == INCH / 8 - Fraction(12, 10) - INCH / 16


@pytest.mark.parametrize(("ease", "goes_in"), [("2", True), ("1", False), ("0", False)])
def test_a_tray_in_a_tray(ease: str, goes_in: bool) -> None:
    """Card of 0.28 mm: between the walls of 100 mm stand half a card and a tab on either side, and
    half a card beyond each score of the inner tray; 1/16 in is the worst case."""
    text = (Path(__file__).parents[1] / "designs/box-in-box.yaml").read_text()
    design = read_design(text.replace("ease: 2\n", f"ease: {ease}\n").encode(), "trays.yaml")
    trays = pierced(resolve(design, METRIC))
    (fit,) = (
        each for each in fits(trays) if each.kind == "going in" and each.direction == "across"
    )
    card = Fraction(28, 100)
    assert fit.room == 100 - 3 * card
    assert fit.size == 100 - 2 * int(ease) + card
    codes = {finding.code for finding in check_all(trays, {})}
    assert ("does-not-go-in" in codes) != goes_in


@pytest.mark.parametrize(("width", "goes_in"), [("3 3/4", True), ("4", False)])
def test_a_tray_in_a_sleeve(width: str, goes_in: bool) -> None:
    """Slid between the sides of a tube that are 4 in apart."""
    pieces = f"""\
  sleeve:
    from: card
    closed: 90
    across: {{front: 4, right_side: 1, back: 4, left_side: 1, tab: 1/2}}
    height: 5
    joins: {{tab: {{on: sleeve.front}}}}
  tray:
    as: tray
    from: card
    across: {{left_wall: 3/4, base: {width}, right_wall: 3/4}}
    height: 4
    on: sleeve.front
    by: base
    glue: none
"""
    done = "steps:\n  - {title: It, text: It., cut: all, close: 'sleeve, tray', insert: tray}\n"
    assert (the_fit(pieces, "going in", "across", done).margin > 0) is goes_in


def test_how_many_photographs_a_gusset_still_holds() -> None:
    """½ in between the scores, less 0.785 of 0.5 mm of bend, less a mat and its photograph."""
    found = resolved(
        """\
  left: {as: panel, from: card, size: 6 x 6}
  spine:
    as: spine
    from: card
    across: {a: 1, gusset: 1/2, b: 1}
    height: 6
    on: left
    by: b
    left: 0
  right: {as: panel, from: card, size: 6 x 6, behind: spine.a, right: 0}
  photo: {as: photo mat, from: thin, size: 4 x 4, on: right}
""",
        "closing: [spine]\n",
    )
    (gap,) = gaps(found)
    assert gap.gap == INCH / 2
    # Between the tabs of the spine lie the photo mat and its photograph; where the photo lies
    # over no tab, 'left' and 'right' are outside the tabs.
    assert gap.pile == Fraction(1, 5) + PHOTOGRAPH
    room = 12.7 - 0.7854 * 0.5 - 0.45
    assert gap.photographs == int(room / 0.25)


def test_a_case_that_rests_on_its_spine_is_measured_between_its_covers() -> None:
    """Closed it stands on the spine: ½ in apart are its covers, a photo mat inside of one."""
    found = resolved(
        """\
  case: {as: panel, from: card, across: {front: 4, spine: 1/2, back: 4}, height: 6}
  photo: {as: photo mat, from: thin, size: 3 x 3, on: case.front}
"""
    )
    (gap,) = gaps(found)
    assert (gap.gap, gap.pile) == (INCH / 2, Fraction(1, 5) + PHOTOGRAPH)
