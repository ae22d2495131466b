"""Sections that a step closes for good: where their glue is drawn, what is slid in after them."""

from __future__ import annotations

import pytest
from shapely import LineString, MultiLineString, Polygon, unary_union

from gatherfold.checks.making.order import check_order
from gatherfold.checks.troubles import check_troubles
from gatherfold.counts.supplies import adhesive_length
from gatherfold.counts.tools import step_hazards, step_tools
from gatherfold.drawings.kernel.scene import Area, Scene, Strokes, Text
from gatherfold.drawings.kernel.styles import Fill, Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.step.pictures import step_drawings
from gatherfold.findings import Finding
from gatherfold.lengths import INCH
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC, Edition
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS
from gatherfold.work import FaceKey, FoldKey, pierced, work_of
from gatherfold.work.moments import Placing
from gatherfold.work.putting import Way
from tests.drawings.step_pictures import ROOM as STEP_ROOM, closing_pictures, made, picture
from tests.works import shipped

LETTER = DESIGNS / "letter-envelope.yaml"
ROOM = (100.0, 80.0)
FLAPS = [FoldKey("envelope", name) for name in ("left_flap", "right_flap", "bottom_flap")]


def changed(*changes: tuple[str, str], edition: Edition = IMPERIAL) -> ResolvedDesign:
    """The letter with parts of its file written otherwise."""
    text = LETTER.read_text("utf-8")
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return pierced(resolve(read_design(text.encode(), "letter.yaml"), edition))


def findings_of(change: tuple[str, str]) -> list[Finding]:
    """What is said of the letter with a part of its file written otherwise."""
    resolved = changed(change)
    return [*check_order(resolved), *check_troubles(resolved)]


def closing_scene(resolved: ResolvedDesign) -> Scene:
    (scene,) = closing_pictures(resolved, 5, ROOM)
    return scene


def texts(scene: Scene) -> set[str]:
    return {item.text for item in scene.items if isinstance(item, Text)}


def card_of(resolved: ResolvedDesign) -> Placing:
    """How the card comes to its place."""
    motions = (moment.motion for moment in work_of(resolved).moments)
    return next(m for m in motions if isinstance(m, Placing) and m.piece == "letter_card")


def test_the_flaps_of_the_letter_are_closed_for_good_and_the_card_is_slid_in_at_the_top() -> None:
    """The design: tape holds the bottom flap, and it the side flaps; only the top is open then."""
    letter = shipped("letter-envelope")
    shut = [(shut.fold, shut.step) for shut in work_of(letter).shut]
    assert [fold for fold, step in shut if step == 5] == FLAPS
    card = card_of(letter)
    assert not card.is_glued
    assert card.put.way is Way.SLID
    across, up, away = card.put.out
    assert up > 0 and (across, away) == (0, 0)


def test_a_seam_follows_the_slant_of_its_flap_from_where_the_design_says() -> None:
    left, right = shipped("letter-envelope").pieces["envelope"].seams
    for seam in (left, right):
        ((start, end),) = seam.runs
        assert (start.y, end.y) == (3 * INCH, 0)
        assert seam.length == 3 * INCH
        assert seam.dry == INCH / 4
    # The flap is as wide as the body at its fold and a quarter of an inch narrower on each side
    # at its end, 3¼ in below; an eleventh and a thirteenth part of that lie before the glue.
    (start, end), ((other, far),) = left.runs[0], right.runs
    assert end.x == INCH + INCH / 4
    assert start.x == INCH + INCH / 52
    assert (start.x + other.x, end.x + far.x) == (INCH * 37 / 4, INCH * 37 / 4)


@pytest.mark.parametrize("edition", [IMPERIAL, METRIC], ids=lambda edition: edition.name)
def test_the_picture_hatches_two_strips_and_says_so(edition: Edition) -> None:
    letter = pierced(resolve(read_design(LETTER.read_bytes(), "letter.yaml"), edition))
    scene = closing_scene(letter)
    assert overlaps(scene) == ()
    hatched = [i for i in scene.items if isinstance(i, Strokes) and i.line is Line.GLUE]
    assert len(hatched) == 2
    assert any("nowhere else" in text for text in texts(scene))
    lengths = {"3 each side", "¼"} if edition is IMPERIAL else {"77 each side", "6"}
    assert lengths <= texts(scene)
    for words in ("left flap and right flap folded in already", "left edge", "right edge"):
        assert words in scene.text_equivalent


def test_a_longer_start_makes_the_strips_shorter() -> None:
    moved = changed(("bottom_flap: {left: flap_taper,", "bottom_flap: {left: 1,"))
    assert moved.pieces["envelope"].seams[0].length == INCH * 9 / 4
    assert "2¼" in texts(closing_scene(moved))


def test_a_seam_on_the_edge_across_from_the_fold_leaves_out_the_thumb_notch() -> None:
    letter = changed(
        ("bottom_flap: {left: flap_taper, right: flap_taper}", "bottom_flap: {bottom: 0}")
    )
    (seam,) = letter.pieces["envelope"].seams
    # The end of the flap is 6¾ in long, and the notch takes 1¼ in out of its middle.
    assert seam.length == INCH * 11 / 2
    assert len(seam.runs) == 2
    assert overlaps(closing_scene(letter)) == ()


def test_a_step_that_closes_takes_adhesive_whatever_it_says() -> None:
    letter = changed(("Run [tape_roll] along **both", "Run a strip along **both"))
    step = letter.design.steps[4]
    assert "adhesive" in step_tools(step, letter)
    assert "adhesive" in step_hazards(step, letter)
    dry = changed(
        ("Run [tape_roll] along **both", "Run a strip along **both"),
        ("bottom_flap: {left: flap_taper, right: flap_taper}", "bottom_flap: none"),
    )
    assert "adhesive" not in step_tools(dry.design.steps[4], dry)


def test_the_card_lies_under_the_flaps_that_were_closed_before_it() -> None:
    """And over the lining, which is glued to the body behind it."""
    closed = work_of(shipped("letter-envelope")).closed
    card = FaceKey("letter_card", "front_half")
    assert closed.is_above(FaceKey("lining", "body"), card)
    for flap in FLAPS:
        assert closed.is_above(card, flap.face)


def test_without_closing_for_good_the_flaps_close_over_the_card() -> None:
    """It lies on the lining, which nothing goes under: all of it is glued down."""
    close = "    close: envelope.left_flap, envelope.right_flap, envelope.bottom_flap\n"
    letter = changed((close, ""))
    assert work_of(letter).problems == ()
    closed = work_of(letter).closed
    for flap in FLAPS:
        assert closed.is_above(FaceKey("letter_card", "front_half"), flap.face)


def test_the_step_draws_the_card_on_its_way_into_the_pocket() -> None:
    letter = shipped("letter-envelope")
    card, seal = (picture(letter, key, room=ROOM) for key in ("letter_card", "seal"))
    assert overlaps(card) == ()
    strokes = [item for item in card.items if isinstance(item, Strokes)]
    assert sum(item.subject == "arrow" for item in strokes) == 1
    hidden = [i for i in strokes if i.line is Line.HIDDEN and i.subject == "letter_card"]
    assert hidden, "its lower end is in the pocket"
    assert "no glue" in card.text_equivalent
    assert "bottom flap" in card.text_equivalent
    assert seal.key == "assembly-seal"


@pytest.mark.parametrize(
    ("old", "new", "wanted"),
    [
        (
            "    dry_fit: address_plate\n    attach: address_mat, address_plate\n",
            "    close: envelope.left_flap\n    dry_fit: address_plate\n"
            "    attach: address_mat, address_plate\n",
            set(),
        ),
        (
            "    cut: all\n",
            "    cut: all\n    close: envelope.left_flap\n",
            {"closed-before-scored", "closed-too-early"},
        ),
        (
            "    fold: envelope, lining, letter_card\n",
            "    fold: envelope, lining, letter_card\n    close: envelope.left_flap\n",
            {"closed-too-early"},
        ),
    ],
)
def test_what_is_inside_is_glued_before_a_section_is_closed(
    old: str, new: str, wanted: set[str]
) -> None:
    codes = {finding.code for finding in findings_of((old, new))}
    assert codes & {"closed-before-scored", "closed-too-early"} == wanted


def test_what_is_closed_for_good_leaves_a_way_in() -> None:
    """With the top flap glued down too there is none for the card."""
    flaps = "envelope.right_flap, envelope.bottom_flap"
    shut = (f"{flaps}\n", f"{flaps}, envelope.top_flap\n")
    (finding,) = (each for each in findings_of(shut) if each.code == "cannot-go-in")
    assert "letter_card" in finding.message
    assert finding.remedy


def test_the_step_has_the_picture_and_the_tape_is_counted() -> None:
    letter = shipped("letter-envelope")
    drawn = {step.title: draw for step, draw in step_drawings(letter)}
    keys = [key for key, _ in drawn["Close the pocket"](ROOM, ROOM)]
    assert keys == ["step-5-close-envelope-bottom_flap", "step-5-motion-5"]
    without = changed(
        ("bottom_flap: {left: flap_taper, right: flap_taper}", "bottom_flap: none"),
    )
    assert adhesive_length(letter) - adhesive_length(without) == 2 * 3 * INCH


@pytest.mark.parametrize(("name", "step"), [("box-in-box", 6), ("sleeve-tray", 5)])
def test_the_hatching_of_small_tabs_leaves_out_their_arrows(name: str, step: int) -> None:
    """Every tab keeps some of its hatching, and its arrow reaches clearly beyond its fold."""
    (scene,) = closing_pictures(made(name), step, STEP_ROOM)
    assert overlaps(scene) == ()
    glue = [i for i, item in enumerate(scene.items) if _is(item, Line.GLUE)]
    hooks = [item for item in scene.strokes(Line.FAINT) if item.subject == "arrow"]
    hooks = [hook for hook in hooks if len(hook.runs[0]) > 5]
    behind = [item for item in scene.strokes(Line.HIDDEN) if item.subject == "arrow"]
    assert len(glue) == len(hooks) == len(behind) == 4
    white = [
        unary_union([Polygon(ring) for ring in item.rings])
        for item in scene.items[max(glue) :]
        if isinstance(item, Area) and item.fill is Fill.PAPER
    ]
    left_out = unary_union(white)
    for index, hook in zip(glue, hooks, strict=True):
        hatched = scene.items[index]
        assert isinstance(hatched, Strokes)
        lines = MultiLineString(list(hatched.runs)).difference(left_out)
        assert lines.length > 0.25 * MultiLineString(list(hatched.runs)).length
        assert lines.distance(LineString(hook.runs[0][:1] * 2)) > 0.3
    for arrow in behind:
        assert LineString(arrow.runs[0]).length > 5.0


def _is(item: object, line: Line) -> bool:
    return isinstance(item, Strokes) and item.line is line
