"""Fastenings: exact distances, layers in order, what is under the head; legible everywhere."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest

from gatherfold.documents.laid_out import halved
from gatherfold.documents.page import read_page
from gatherfold.drawings.fastening.drawing import fastening_scene
from gatherfold.drawings.fastening.setting import setting_of
from gatherfold.drawings.kernel.plane import bounding
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.scene_check import overlaps
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS, IMPERIAL
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.shipped import DESIGNS, LAYOUTS
from gatherfold.work import pierced
from tests.works import shipped

SHIPPED = sorted(DESIGNS.glob("*.yaml"))
ROOM = (170.0, 76.0)


def pinned(
    kind: str = "brad", layers: int = 2, holds: str = "", leg: str = "3/8", from_back: bool = False
) -> ResolvedDesign:
    """A 2 x 1 in tag on ``layers`` - 1 panels of 4 x 3 in, pinned ½ in from its left edge."""
    panels = [f"panel_{number}" for number in range(1, layers)]
    through = ", ".join(["tag", *panels])
    pieces = [f"{key}: {{from: card, size: 4 x 3{_behind(key)}}}" for key in panels]
    on = f"on_back: {panels[-1]}" if from_back and panels else "on: panel_1"
    at = f", {on}, left: 1, bottom: 1, glue: none" if panels else ""
    pieces.insert(0, f"tag: {{from: kraft, size: 2 x 1{at}}}")
    held = f", holds: {holds}" if holds else ""
    long = "" if kind == "magnet pair" else f", leg: {leg} in"
    pin = f"kind: {kind}, head: 1/4 in{long}, through: '{through}', left: 1/2, pivot: yes{held}"
    lines = [*(f"  {each}" for each in pieces), "fastenings:", f"  pin: {{name: Pin, {pin}}}"]
    tie = "kind: ribbon tie, ribbon: satin, length: 9, allowance: 1"
    lines.append(f"  tie: {{name: Reed tie, {tie}}}")
    lines += ["steps:", "  - {title: Pin, text: Pin., attach: all, fasten: pin}"]
    text = HEAD + "\n".join(lines)
    return pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))


HEAD = """\
title: Test
units: inch
stocks:
  kraft: {material: cardstock, sheet: 12 in x 12 in}
  card: {material: cardstock, sheet: 12 in x 12 in}
  satin: {material: ribbon, width: 1/4 in}
pieces:
"""


def _behind(key: str) -> str:
    """Each panel but the first lies behind the one before it."""
    number = int(key.removeprefix("panel_"))
    return f", behind: panel_{number - 1}" if number > 1 else ""


def test_words_name_layers_distances_and_true_sizes() -> None:
    words = fastening_scene(pinned(layers=3, holds="tie"), "pin", *ROOM).text_equivalent
    assert "set from the front through 3 layers" in words
    assert "A1 Tag, B1 Panel 1 and B2 Panel 2" in words
    assert "½ in from the left edge and ½ in from the bottom edge of A1 Tag" in words.replace(
        "\N{NO-BREAK SPACE}", " "
    )
    assert "head is ¼ in across; the legs, ⅜ in long" in words.replace("\N{NO-BREAK SPACE}", " ")
    assert "Reed tie lies under the head" in words
    assert "A1 Tag turns on it." in words


def test_layers_are_named_from_the_head_down() -> None:
    scene = fastening_scene(pinned(layers=4, holds="tie"), "pin", *ROOM)
    named = [*("Reed tie", "A1 Tag", "B1 Panel 1", "B2 Panel 2", "B3 Panel 3")]
    in_section = {t.text: t.y for t in scene.texts if t.x > scene.width / 2}
    heights = [in_section[name] for name in named]
    assert heights == sorted(heights, reverse=True)


@pytest.mark.parametrize("kind", ["brad", "eyelet", "magnet pair"])
@pytest.mark.parametrize("layers", [1, 2, 7])
@pytest.mark.parametrize("from_back", [False, True])
def test_every_kind_is_legible(kind: str, layers: int, from_back: bool) -> None:
    resolved = pinned(kind, layers, "tie", from_back=from_back)
    for room in (ROOM, (140.0, 64.0)):
        scene = fastening_scene(resolved, "pin", *room)
        assert overlaps(scene) == ()
        assert scene.width <= room[0] + 1.3
        assert scene.height <= room[1] + 1.3


def test_seen_from_the_side_of_the_first_layer() -> None:
    front, back = setting_of(pinned(), "pin"), setting_of(pinned(from_back=True), "pin")
    assert (front.from_front, back.from_front) == (True, False)
    assert front.shows_front
    assert back.shows_front
    assert (
        "set from the back" in fastening_scene(pinned(from_back=True), "pin", *ROOM).text_equivalent
    )


def test_pivot_and_centre_are_drawn() -> None:
    scene = fastening_scene(pinned(), "pin", *ROOM)
    subjects = {strokes.subject for strokes in scene.strokes(Line.DIMENSION)}
    assert {"pivot", "centre"} <= subjects


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_shipped_fastenings_are_legible(path: Path, edition: str) -> None:
    resolved = shipped(path.stem, edition)
    number = resolved.edition.units.number
    for key, fastening in resolved.fastenings.items():
        if fastening.point is None or not fastening.source.through:
            continue
        scene = fastening_scene(resolved, key, float(resolved.edition.paper.width) - 38.0, 76.0)
        assert overlaps(scene) == ()
        setting = setting_of(resolved, key)
        shown = [text.text for text in scene.texts]
        assert all(number(distance) in shown for distance in setting.distances)


def test_demo_numbers_are_exact() -> None:
    resolved = shipped("observatory-folio")
    latch, tie = setting_of(resolved, "latch_brad"), setting_of(resolved, "back_tie_brad")
    inch = Fraction(127, 5)
    assert latch.distances == (inch * 3 / 8, inch * 3 / 8)
    assert tie.distances == (inch * 3 / 8, inch * 11 / 2)
    assert [laid.piece.key for laid in latch.layers] == ["latch", "back_inner_mat", "back_cover"]
    assert latch.from_front
    assert not tie.from_front
    assert not tie.shows_front
    assert tie.edges == ("right", "bottom")


def _beside_the_stack(key: str, name: str = "observatory-folio") -> tuple[str, str]:
    """The words over and under the section of a fastening."""
    scene = fastening_scene(shipped(name), key, *ROOM)
    inner = [t for t in scene.texts if t.x > scene.width / 2 and t.anchor == "middle"]
    over, under, note = sorted(inner, key=lambda text: -text.y)
    assert note.text == "section, not to scale"
    words = f"on this side of the work: {over.text}; the far end on this: {under.text}."
    assert words in scene.text_equivalent
    return over.text, under.text


def test_the_section_says_which_side_is_outside() -> None:
    """The design: ribbons are held from the outside of the covers, the latch turns inside."""
    assert _beside_the_stack("front_tie_brad") == ("front, outside", "inside")
    assert _beside_the_stack("back_tie_brad") == ("back, outside", "inside")
    assert _beside_the_stack("latch_brad") == ("inside", "back, outside")


def test_what_nothing_folds_over_has_a_front_and_a_back() -> None:
    for from_back, wanted in ((False, {"front", "back"}), (True, {"back", "front"})):
        scene = fastening_scene(pinned(from_back=from_back), "pin", *ROOM)
        heights = {t.text: t.y for t in scene.texts if t.text in wanted}
        assert (heights["front"] > heights["back"]) != from_back


def test_magnets_lie_between_layers_and_name_no_side() -> None:
    scene = fastening_scene(pinned("magnet pair"), "pin", *ROOM)
    assert not {"front", "back", "inside"} & {text.text for text in scene.texts}


@pytest.mark.parametrize(("key", "hinge"), [("front_tie_brad", 1), ("back_tie_brad", 1)])
def test_the_hinge_tab_behind_a_cover_is_dashed_where_it_ends(key: str, hinge: int) -> None:
    """The design: the tab lies on the cover, ¾ in wide along its edge, half an inch short of its
    ends; the drawing is at the scale of its dimension of ⅜ in from the edge to the centre."""
    resolved = shipped("observatory-folio")
    name = setting_of(resolved, key).layers[hinge].piece.key
    scene = fastening_scene(resolved, key, *ROOM)
    cover = setting_of(resolved, key).top.key
    (dashes,) = (s for s in scene.strokes(Line.HIDDEN) if s.subject == name)
    edges = [run for s in scene.strokes(Line.VISIBLE) if s.subject == cover for run in s.runs]
    # The hole's ring is the shortest run; its middle is the centre.
    xs = [x for run in edges for x, _ in run]
    edge = max(xs) if key == "front_tie_brad" else min(xs)
    (arms,) = (s for s in scene.strokes(Line.DIMENSION) if s.subject == "centre")
    centre = sum(x for x, _ in arms.runs[0]) / 2
    upright = [run for run in dashes.runs if abs(run[0][0] - run[-1][0]) < 0.01]
    assert len(upright) == 1
    assert abs(upright[0][0][0] - edge) == pytest.approx(2 * abs(centre - edge), abs=0.02)


def test_nothing_is_dashed_where_no_layer_is_hidden() -> None:
    scene = fastening_scene(shipped("observatory-folio"), "latch_brad", *ROOM)
    assert scene.strokes(Line.HIDDEN) == ()


def test_a_tie_has_no_point_to_draw() -> None:
    with pytest.raises(ValueError, match="goes through nothing"):
        fastening_scene(pinned(), "tie", *ROOM)


@pytest.mark.parametrize("edition", EDITIONS)
def test_in_a_narrow_column_the_section_stands_below(edition: str) -> None:
    """Columns of the handout, side by side, are narrower than 100 mm."""
    resolved = pierced(
        resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), EDITIONS[edition])
    )
    room = halved(read_page(LAYOUTS / "handout", EDITIONS[edition])).rooms["fastening"]
    keys = [key for key, each in resolved.fastenings.items() if each.point is not None]
    assert keys
    for key in keys:
        scene = fastening_scene(resolved, key, *room)
        assert scene.width <= room[0]
        assert scene.height > room[1]
        assert overlaps(scene) == ()


STANDING = """\
title: Test
units: inch
stocks: {kraft: {material: cardstock, sheet: 12 in x 12 in}}
pieces:
  stand: {from: kraft, across: {foot: 4, wall: {size: 3, closed: 90}}, height: 5}
  tag: {from: kraft, size: 2 x 1, SIDE: stand.wall, left: 1/2, bottom: 2, glue: none}
fastenings:
  pin: {name: Pin, kind: brad, head: 1/4 in, leg: 3/8 in, through: 'tag, stand', left: 1/2}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Stand, text: Stand., close: stand}
  - {title: Pin, text: Pin., attach: tag, fasten: pin}
"""


@pytest.mark.parametrize(("side", "is_front"), [("on", True), ("on_back", False)])
def test_a_wall_is_pierced_as_it_stands(side: str, is_front: bool) -> None:
    """The tag is pinned on a wall that stands already: the picture looks straight at that wall, and
    shows of the stand the wall alone, 3 in wide and 5 in high."""
    text = STANDING.replace("SIDE", side)
    resolved = pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
    setting = setting_of(resolved, "pin")
    assert [layer.piece.key for layer in setting.layers] == ["tag", "stand"]
    assert setting.shows_front
    assert setting.layers[1].faces == ("wall",)
    extent = setting.layers[1].extent
    assert (extent.width, extent.height) == (pytest.approx(3 * 25.4), pytest.approx(5 * 25.4))
    assert setting.layers[1].faces_front == (setting.from_front == is_front)
    assert overlaps(fastening_scene(resolved, "pin", *ROOM)) == ()


def test_a_ribbon_whose_end_is_turned_under_lies_in_two_layers() -> None:
    """The folio's design: 1 in is folded under and pierced with the rest, so its outline is
    crossed by an upright line as often as that of two strips."""
    scene = fastening_scene(shipped("observatory-folio"), "front_tie_brad", 178.0, 66.0)
    (held,) = [s for s in scene.strokes(Line.FAINT) if s.subject == "held"]
    places = [place for run in held.runs for place in run]
    box = bounding(places)
    middle = box.centre[0]
    # Crossed upright through the middle, its outline is met four times: twice for each layer.
    crossings = [
        (a, b)
        for run in held.runs
        for a, b in pairwise([*run, run[0]])
        if (a[0] < middle) != (b[0] < middle)
    ]
    assert len(crossings) == 4


@pytest.mark.parametrize(("key", "is_left"), [("front_tie_brad", True), ("back_tie_brad", False)])
def test_the_section_has_the_fold_of_a_ribbon_where_the_picture_beside_it_has_it(
    key: str, is_left: bool
) -> None:
    """Seen from outside, the spine is left of the front cover's outer edge and right of the back
    cover's; the folds of both ribbons lie on the side of the spine."""
    scene = fastening_scene(shipped("observatory-folio"), key, 178.0, 66.0)
    (held,) = [s for s in scene.strokes(Line.FAINT) if s.subject == "held"]
    box = bounding(place for run in held.runs for place in run)
    bends = [x for run in held.runs for x, y in run if abs(y - box.centre[1]) < 0.01]
    at = box.left if is_left else box.right
    assert min(abs(x - at) for x in bends) < 0.01
