"""What cannot be done as the steps say is a finding with what stops it; facts of paper, by hand."""

from __future__ import annotations

from gatherfold.checks.troubles import check_troubles
from gatherfold.findings import Finding, Severity
from tests.checks.small_designs import resolved_design


def troubles(pieces: str, rest: str = "") -> list[Finding]:
    found = list(check_troubles(resolved_design(pieces, rest)))
    assert all(f.severity is Severity.ERROR and f.remedy and f.position.line for f in found)
    return found


BACK = "back: {as: panel, from: night, size: 8 x 8}\n"


def test_a_brad_that_misses_a_layer() -> None:
    """The label ends at x 2; the brad stands at x 4."""
    pieces = BACK + "label: {from: night, size: 2 x 1, on: back, left: 0, bottom: 0}"
    brad = (
        "brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: [back, label], left: %s, "
        "bottom: 1/2}"
    )
    steps = "steps:\n  - {title: All, text: It., attach: label, fasten: brad}\n"
    (finding,) = troubles(pieces, f"fastenings:\n  {brad % 4}\n{steps}")
    assert (finding.code, finding.about) == ("hole-misses", ("brad", "back", "label"))
    assert troubles(pieces, f"fastenings:\n  {brad % 1}\n{steps}") == []


def test_a_strip_glued_beside_everything() -> None:
    """Its right edge is glued, which reaches beyond the panel by more than the tape is wide."""
    strip = "strip: {{from: night, size: 4 x 1, on: back, right: {}, glue: right}}"
    (finding,) = troubles(BACK + strip.format(-1))
    assert (finding.code, finding.about) == ("glued-to-nothing", ("strip",))
    assert troubles(BACK + strip.format(0)) == []


FOLDER = """
card: {as: card, from: night, across: {front: 3, back: 3}, height: 4, closed: 180}
label: {from: night, size: 1 x 1, on: card.back, right: 0, joins: {face: {facing: card.front}}}
"""


def test_a_join_that_its_steps_never_make() -> None:
    """The label meets the other half of the card when that is closed, and not while it is open."""
    steps = "steps:\n  - {title: Glue, text: It., attach: label}\n"
    (finding,) = troubles(FOLDER, steps)
    assert (finding.code, finding.about) == ("never-joined", ("label", "card"))
    assert troubles(FOLDER, steps + "  - {title: Close, text: It., close: card}\n") == []


def test_a_card_too_wide_for_the_tray_that_it_is_laid_in() -> None:
    """Walls of 1 stand 4 apart, and the card is to lie between them, half way up."""
    tray = "tray: {as: tray, from: night, across: {left: 1, base: 4, right: 1}, height: 4}\n"
    card = "card: {as: card, from: night, size: %s x 2, on: tray.base, raised: 1/2, glue: none}"
    steps = "steps:\n  - {title: Fold, text: It., cut: all, close: tray, attach: card}\n"
    assert troubles(tray + card % "3 3/4", steps) == []
    (finding,) = troubles(tray + card % 5, steps)
    assert (finding.code, finding.about) == ("cannot-go-in", ("card", "tray"))


def test_the_glue_that_closes_a_pocket_is_named() -> None:
    """Glued at three edges and folded at the fourth, a folder is shut; along its bottom, open."""
    pieces = """
    folder: {from: night, across: {front: 4, back: 4}, height: 4, closed: 180, %s}
    slip: {as: card, from: night, size: 2 x 3, on: folder.front, glue: none}
    """
    steps = "steps:\n  - {title: It, text: It., cut: all, close: folder, insert: slip}\n"
    (finding,) = troubles(pieces % "seams: {back: {right: 0, top: 0, bottom: 0}}", steps)
    assert finding.code == "cannot-go-in"
    assert "the glue of the back of 'folder' is in the way" in finding.message
    assert troubles(pieces % "seams: {back: {bottom: 0}}", steps) == []


def test_a_join_that_misses_before_something_else_stops_is_told() -> None:
    """The tab comes to lie on the front, and the tray that is put in then keeps the tube open."""
    sleeve = """
    sleeve:
      from: night
      closed: 90
      across: {front: 4, right: 1, back: 4, left: 1, tab: 1/2}
      height: 5
      joins: {tab: {on: sleeve.%s}}
    """
    steps = "steps:\n  - {title: It, text: It., cut: all, close: sleeve}\n"
    assert troubles(sleeve % "front", steps) == []
    assert troubles(sleeve % "back", steps)[0].code == "join-misses"
