"""At any size of the folio either a finding says what is wrong, or nothing is.

The folio is resolved at random sizes, in both editions.  What passes the checks must keep every
invariant of ``independent``, which recomputes places, areas and piles with code of its own and
with shapely, an engine from outside.
"""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable, Iterable
from fractions import Fraction

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st

from gatherfold.checks import check_all, conditions
from gatherfold.checks.report import broken
from gatherfold.findings import DesignUnreadable, Finding, Severity
from gatherfold.model.design import Design
from gatherfold.native_edition import settle
from gatherfold.reading import read_design
from gatherfold.resolve import Edition, resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.shipped import DESIGNS
from gatherfold.work import pierced
from tests.checks.independent import Part, broken_invariants

FOLIO = (DESIGNS / "observatory-folio.yaml").read_bytes()

#: What can be marked in each edition, mm (common practice, no source: a trimmer shows sixteenths
#: of an inch, or millimetres, of which the half can be judged).
FINEST = {"imperial": Fraction(254, 160), "metric": Fraction(1, 2)}
#: What the folio has, then the least and the most that is tried, in inches; a size has two.
RANGES: dict[str, tuple[tuple[float, float, float], ...]] = {
    "panel_width": ((8, 6, 9),),
    "panel_height": ((11, 9, 12.5),),
    "reveal": ((1 / 8, 1 / 16, 3 / 8),),
    "spine_depth": ((3 / 4, 1 / 4, 1.5),),
    "hinge_tab": ((3 / 4, 3 / 8, 1),),
    "end_gusset": ((1 / 8, 1 / 16, 3 / 4),),
    "side_gusset": ((1 / 4, 1 / 16, 3 / 4),),
    "end_photo": ((6, 4, 7), (4, 3, 6)),
    "side_photo": ((4, 3, 6), (5, 3, 7)),
    "end_flap": ((6.75, 4, 9), (4, 3, 6)),
    "side_flap": ((6, 4, 9), (10, 7, 12)),
    "tape_width": ((1 / 4, 1 / 8, 1 / 2),),
    "ease": ((1 / 8, 0, 3 / 8),),
    "band_height": ((2, 1, 4),),
    "band_lap": ((1, 1 / 4, 1.5),),
    "band_ease": ((3 / 16, 0, 3 / 8),),
    "band_depth": ((15 / 16, 5 / 8, 2),),
    "band_run": ((8.125, 7.5, 9),),
    "pocket_depth": ((3.5, 2, 6),),
    "tag_width": ((5, 4, 6),),
    "page_width": ((6.75, 5, 8),),
}
Sizes = dict[str, str]


def spelt(inches: float, how: str) -> str:
    """A length as a designer might type it, on a grid or off it."""
    if how == "thirty-seconds":
        return f"{round(inches * 32)}/32 in"
    if how == "millimetres":
        return f"{round(inches * 25.4)} mm"
    if how == "tenths":
        return f"{inches:.1f} in"
    return f"{round(inches * 16)}/16 in"


def drawn(choose: Callable[[list[str]], str], between: Callable[[float, float], float]) -> Sizes:
    """Up to four measures of new size, more often near what the folio has than far from it."""
    # Narrower laps: at the size of its own the band leaves nothing of its sheet.
    found: Sizes = {"band_lap": "3/4 in"}
    for _ in range(int(between(1, 4.99))):
        name = choose(list(RANGES))
        how = choose(["sixteenths"] * 12 + ["thirty-seconds", "millimetres", "tenths"])
        is_far = choose(["near", "near", "far"]) == "far"
        found[name] = " x ".join(
            spelt(between(low, high) if is_far else own * between(0.94, 1.06), how)
            for own, low, high in RANGES[name]
        )
    return found


@st.composite
def sizes(draw: st.DrawFn) -> Sizes:
    return drawn(
        lambda names: draw(st.sampled_from(names)), lambda low, high: draw(st.floats(low, high))
    )


def seeded_sizes(seed: int, count: int) -> list[Sizes]:
    dice = random.Random(seed)
    return [drawn(dice.choice, dice.uniform) for _ in range(count)]


def part_of(piece: ResolvedPiece) -> Part:
    """The plain numbers of a piece, as a cut list has them."""
    placement = piece.source.placement
    across = not piece.source.up
    scores = sorted(piece.scores, key=lambda score: score.at)
    return Part(
        key=piece.key,
        kind=piece.source.kind,
        width=piece.width,
        height=piece.height,
        sections=tuple(
            (face.name, face.box.width if across else face.box.height) for face in piece.faces
        ),
        across=across,
        angles=tuple(score.closed if score.fold == "valley" else -score.closed for score in scores),
        relation=placement.relation if placement else "",
        host=placement.host if placement else "",
        host_section=piece.host_face,
        by=piece.by,
        left=piece.offsets.left if piece.offsets else Fraction(0),
        bottom=piece.offsets.bottom if piece.offsets else Fraction(0),
        turned=placement.turned if placement else 0,
        glue=placement.glue if placement else (),
        corners=tuple(
            (where, corner.shape, *map(float, vars(piece.corner_sizes[where]).values()))
            for where, corner in piece.source.corners.items()
        ),
        caliper=float(piece.stock.caliper),
        count=piece.source.count,
        # What goes round the closed folio is there only then.
        is_closure=piece.key.startswith("band_"),
    )


def broken_in(resolved: ResolvedDesign) -> list[str]:
    """Broken invariants of a resolved folio; tape and tolerance are the true ones, in mm."""
    return broken_invariants(
        {key: part_of(piece) for key, piece in resolved.pieces.items()},
        resolved.design.closing,
        tape=6.35,
        tolerance=float(resolved.tolerance),
        step=FINEST[resolved.edition.name],
    )


def errors_and_broken(design: Design, edition: Edition) -> tuple[list[str], list[str]]:
    """Codes of errors; where there are none, the invariants that the folio breaks."""
    try:
        settled = settle(design, edition)
    except DesignUnreadable as problem:
        return [finding.code for finding in problem.findings], []
    # Lengths are asked first: all the other checks take longer, and one error will do.
    found = errors_of([*settled.findings, *broken(conditions(settled.resolved))])
    found = found or errors_of(check_all(settled.resolved, {}, settled.findings))
    wrong = [] if found else broken_in(settled.resolved)
    return found, wrong


def errors_of(findings: Iterable[Finding]) -> list[str]:
    return [finding.code for finding in findings if finding.severity is Severity.ERROR]


@settings(max_examples=10, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(sizes())
def test_what_the_checks_pass_keeps_every_invariant(changed: Sizes) -> None:
    try:
        design = read_design(FOLIO, "folio.yaml", changed)
    except DesignUnreadable:
        return
    for edition in EDITIONS.values():
        _, wrong = errors_and_broken(design, edition)
        assert not wrong, (changed, edition.name)


def test_a_fair_share_of_sizes_passes_and_a_fair_share_fails() -> None:
    """The property above says something about both."""
    tally: Counter[bool] = Counter()
    for changed in seeded_sizes(seed=2026, count=30)[14:]:
        design = read_design(FOLIO, "folio.yaml", changed)
        errors, wrong = errors_and_broken(design, IMPERIAL)
        assert not wrong, changed
        tally[not errors] += 1
    assert min(tally.values()) > 16 / 4


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"filler": "1/4 in"}, "strips and photo mat come to"),
        ({"side_photo": "7 in x 5 in"}, "reaches beyond its host's face"),
        ({"side_flap": "9 in x 10 in"}, "reaches beyond the cover"),
        ({"filler": "1/2 in"}, "overlap"),
        ({"side_flap": "8 1/2 in x 10 in"}, "passes through the gusset"),
        ({"side_gusset": "1/2 in"}, "stand in one place"),
        ({"end_gusset": "1/2 in"}, "right_flap is folded in later"),
        ({"tag_width": "5 1/2 in"}, "sweeps over the tape"),
        ({"tag_width": "5 7/32 in"}, "has too little play"),
        ({"end_gusset": "1/32 in"}, "mm lie in the"),
        ({"reveal": "3 mm"}, "needs a mark at"),
        ({"band_lap": "2 in"}, "is larger than its sheet"),
        ({"band_run": "8 in"}, "mm wide for"),
    ],
)
def test_every_invariant_can_break(changed: Sizes, sentence: str) -> None:
    resolved = pierced(resolve(read_design(FOLIO, "folio.yaml", changed), IMPERIAL))
    assert any(sentence in wrong for wrong in broken_in(resolved)), broken_in(resolved)


def test_uneven_borders_break_an_invariant() -> None:
    uneven = FOLIO.replace(b"left: reveal\n        right: reveal", b"left: 1/4\n        right: 1/8")
    resolved = pierced(resolve(read_design(uneven, "folio.yaml"), IMPERIAL))
    assert {wrong.partition(" ")[2] for wrong in broken_in(resolved)} == {"leaves uneven borders"}


def test_what_is_folded_in_later_but_lies_below_is_found() -> None:
    design = read_design(FOLIO, "folio.yaml", {"end_gusset": "1/2 in"})
    errors, _ = errors_and_broken(design, IMPERIAL)
    assert "folds-through" in errors
