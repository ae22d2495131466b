"""Piece drawings: exact numbers, right places, nothing on top of anything."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings, strategies as st

from gatherfold.documents.page import read_page
from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import bounding, segments_cross
from gatherfold.drawings.kernel.scene import Scene, Strokes
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.piece.drawing import is_cramped, piece_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.template.drawing import needs_template, template_pages
from gatherfold.drawings.views.features import needs_drawing
from gatherfold.geometry.outline import Box, Point, polygon, rectangle
from gatherfold.lengths import INCH, nearest_on_grid
from gatherfold.plans import plan_stocks
from gatherfold.resolve.edition import EDITIONS, IMPERIAL, METRIC
from gatherfold.resolve.resolved import Face, Hole, ResolvedDesign, ResolvedPiece, Score
from gatherfold.sheets.kits import name_of
from gatherfold.shipped import LAYOUTS
from tests.benchmarks.figure_check import DESIGNS, FOLIO, designs, resolved_of
from tests.drawings.samples import (
    crowded_piece,
    design,
    folded_piece,
    inches,
    piece,
    shaped_piece,
    source_piece,
    stock,
)
from tests.drawn import figures_in
from tests.works import faces_in


def drawn(made: ResolvedPiece, width: float = 165, height: float = 90) -> Scene:
    return piece_scene(design({made.key: made}), made.key, width, height)


def words(scene: Scene) -> list[str]:
    return [text.text for text in scene.texts]


def test_plain_piece_has_its_two_sizes_once() -> None:
    found = Counter(words(drawn(piece("tag", "3 1/2", "2 3/16"))))
    assert found["3½"] == found["2\N{NO-BREAK SPACE}3⁄16"] == 1
    assert found["inches · drawn at true size"] == 1


def test_scores_have_running_dimensions_and_letters() -> None:
    scene = drawn(folded_piece())
    found = words(scene)
    assert {"0", "¾", "1½", "2¼", "11", "V", "M"} <= set(found)
    assert {"front tab", "gusset", "back tab"} <= set(found)
    assert len(scene.strokes(Line.VALLEY)) == len(scene.strokes(Line.MOUNTAIN)) == 1


def test_scores_lie_where_the_model_says() -> None:
    scene = drawn(folded_piece())
    outline = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0]
    left, right = min(x for x, _ in outline), max(x for x, _ in outline)
    valley = scene.strokes(Line.VALLEY)[0].runs[0][0][0]
    assert (valley - left) / (right - left) == pytest.approx(1 / 3)


def test_shaped_piece_names_every_feature() -> None:
    found = words(drawn(shaped_piece()))
    for expected in (
        "mitre ¼",
        "R ½",
        "notch 1 × ½",
        "thumb notch R ½",
        "Ø ⅛",
        "window 2 × 1½",
    ):
        assert expected in found
    assert {"1", "5", "¾", "1½"} <= set(found), "offsets of window and hole"


@pytest.mark.parametrize("make", [folded_piece, shaped_piece, crowded_piece])
@pytest.mark.parametrize("size", [(165, 90), (120, 70), (180, 240)])
def test_nothing_overlaps(make: object, size: tuple[int, int]) -> None:
    assert callable(make)
    scene = drawn(make(), *size)
    assert overlaps(scene) == ()
    assert scene.width <= size[0] + 1.2
    assert scene.height <= size[1] + 1.2


def test_crowded_numbers_are_spread() -> None:
    numbers = [t for t in drawn(crowded_piece()).texts if t.rotation == 90 and t.text != "3"]
    xs = sorted(t.x for t in numbers)
    assert min(b - a for a, b in pairwise(xs)) > 1.8


def test_text_equivalent_has_the_same_numbers() -> None:
    made = folded_piece()
    text = drawn(made).text_equivalent
    assert "2¼ by 11 inches" in text
    assert "2 vertical scores from the left edge at ¾ (valley) and 1½ (mountain)" in text


def test_metric_edition_writes_millimetres() -> None:
    made = piece("tag", "3", "2")
    scene = piece_scene(design({"tag": made}, edition=METRIC), "tag", 165, 90)
    assert {"76.2", "50.8"} <= set(words(scene))
    assert any(word.startswith("millimetres") for word in words(scene))


sixteenths = st.integers(min_value=6, max_value=12 * 16).map(lambda n: n * INCH / 16)


@settings(max_examples=60, deadline=None)
@given(sixteenths, sixteenths, st.lists(st.integers(1, 99), max_size=5, unique=True), st.booleans())
def test_random_pieces_stay_legible(
    width: Fraction, height: Fraction, shares: list[int], is_upright: bool
) -> None:
    extent = width if is_upright else height
    length = height if is_upright else width
    places = sorted(
        {(extent * share / 100 * 16 / INCH).__round__() * INCH / 16 for share in shares}
    )
    axis = "vertical" if is_upright else "horizontal"
    scores = tuple(
        Score(axis, at, Fraction(0), length, "valley", 90, ("face", "face"))
        for at in places
        if 0 < at < extent
    )
    box = Box(Fraction(0), Fraction(0), width, height)
    made = replace(
        piece("random", "1", "1"),
        width=width,
        height=height,
        scores=scores,
        outline=rectangle(box),
        faces=(Face("face", box),),
    )
    scene = piece_scene(design({"random": made}, edition=IMPERIAL), "random", 165, 90)
    assert overlaps(scene) == ()
    numbers = Counter(words(scene))
    for at in places:
        if 0 < at < extent:
            assert numbers[IMPERIAL.units.number(at)] >= 1


def test_every_stroke_is_on_the_paper() -> None:
    scene = drawn(shaped_piece())
    for item in scene.items:
        if isinstance(item, Strokes):
            for run in item.runs:
                assert all(0 <= x <= scene.width and 0 <= y <= scene.height for x, y in run)


def test_no_continuous_thin_line_runs_through_the_piece() -> None:
    """It would be read as a cut; what leads from holes and windows is long-dashed and dotted."""
    scene = drawn(shaped_piece())
    outline = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0]
    inside = bounding(outline).grown(-0.3)
    thin = [run for strokes in scene.strokes(Line.DIMENSION) for run in strokes.runs]
    assert not [run for run in thin if inside.meets(bounding(run))]
    centre = [run for strokes in scene.strokes(Line.CENTRE) for run in strokes.runs]
    assert len(centre) == 4, "a hole and a window, across and upward"
    assert all(inside.meets(bounding(run).grown(0.01)) for run in centre)


def test_the_lines_of_a_hole_cross_on_it_and_go_on_outside_as_wide() -> None:
    made = shaped_piece()
    scene = drawn(made)
    hole = bounding(next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "hole").runs[0])
    runs = [run for strokes in scene.strokes(Line.CENTRE) for run in strokes.runs]
    through = [run for run in runs if hole.meets(bounding(run).grown(0.01))]
    assert len(through) == 2
    for axis, run in ((0, through[0]), (1, through[1])):
        assert run[0][axis] == pytest.approx(hole.centre[axis], abs=0.01)
        outside = [
            other
            for strokes in scene.strokes(Line.DIMENSION)
            for other in strokes.runs
            if other[0][axis] == pytest.approx(run[0][axis], abs=0.01)
        ]
        assert outside, "the same line, beyond the outline"


def caption(scene: Scene) -> str:
    return " ".join(text.text for text in scene.texts if "·" in text.text or "inch" in text.text)


def test_a_caption_says_whether_lengths_can_be_taken_off_the_paper() -> None:
    assert "not true size" in caption(drawn(piece("card", "10", "8")))
    small = caption(drawn(piece("tag", "3", "2")))
    assert "drawn at true size" in small
    assert "not true size" not in small


def test_the_side_that_is_seen_is_said_where_it_matters() -> None:
    """V and M, and the print of a paper with two sides, depend on it."""
    assert "front facing you" in caption(drawn(folded_piece()))
    assert "facing" not in caption(drawn(piece("tag", "3", "2")))
    paper = stock("reeds", two_sided=True)
    for side, name in (("front", "Reeds"), ("back", "Sand")):
        made = piece("mat", "3", "2", source=source_piece("mat", side=side), stock=paper)
        assert f"{name} facing you" in caption(drawn(made))
        assert side not in caption(drawn(made)), "the side that shows is the front of the piece"


def test_holes_on_one_side_make_the_side_matter_and_holes_on_both_do_not() -> None:
    """Turned over from side to side, a cover with its hole at the left has it at the right."""
    cover, hole = piece("cover", "4", "6"), Hole(Point(inches("1"), inches("3")), inches("1/8"), "")
    other = replace(hole, centre=Point(inches("3"), inches("3")))
    middle = replace(hole, centre=Point(inches("2"), inches("1")))
    assert "front facing you" in caption(drawn(replace(cover, holes=(hole,))))
    assert "facing" not in caption(drawn(replace(cover, holes=(hole, other))))
    assert "facing" not in caption(drawn(replace(cover, holes=(middle,))))
    cut = polygon(
        [Point(*map(inches, at)) for at in (("0", "0"), ("4", "0"), ("4", "5"), ("0", "6"))]
    )
    assert "front facing you" in caption(drawn(replace(cover, outline=cut)))


def test_a_piece_rounded_to_a_circle_is_drawn_and_said_to_be_one() -> None:
    """The letter's seal: 1¼ in square, all corners round by half of that."""
    for edition, across in (("imperial", "1¼"), ("metric", "32")):
        resolved = resolved_of(DESIGNS / "letter-envelope.yaml", edition, {})
        seal = resolved.pieces["seal"]
        assert needs_drawing(seal) and needs_template(seal)
        scene = piece_scene(resolved, "seal", 86, 72)
        assert f"a circle, {across} across" in caption(scene)
        assert f"It is a circle, {across} across." in scene.text_equivalent
        (page,) = template_pages(resolved, ["seal"], 178.0, 222.0)
        unit = "inches" if edition == "imperial" else "millimetres"
        assert any(f"a circle, {across} {unit} across" in text.text for text in page.texts)
        plate = piece_scene(resolved, "address_plate", 86, 72)
        assert "circle" not in caption(plate), "round corners alone make no circle"


@pytest.mark.parametrize("key", ["heron_card", "newt_card", "frog_card"])
@pytest.mark.parametrize("edition", ["imperial", "metric"])
def test_a_piece_cut_round_a_picture_shows_it_where_the_sheet_has_it(
    key: str, edition: str
) -> None:
    """Its distances on the piece follow from the map: the picture's place on the sheet less the
    piece's; the frog is printed on the back."""
    path = next(path for path in designs() if path.stem == "pond-paper")
    resolved = resolved_of(path, edition, {})
    made, units = resolved.pieces[key], resolved.edition.units
    placed = next(
        each
        for plan in plan_stocks(resolved).values()
        for sheet in plan.plan.sheets
        for each in sheet.placed
        if name_of(each.key) == key
    )
    assert made.source.motif is not None
    picture = made.stock.motifs[made.side, made.source.motif]
    left = Fraction(placed.x)
    if made.side == "back":
        left = made.stock.sheet_width - left - Fraction(placed.width)
    x, y = float(picture.left - left), float(picture.bottom - Fraction(placed.y))
    scene = piece_scene(resolved, key, 178, 250)
    outline = bounding(next(s for s in scene.strokes(Line.VISIBLE)).runs[0])
    box = bounding(next(s for s in scene.strokes(Line.FAINT)).runs[0])
    scale = outline.width / float(made.width)
    half_step = float(resolved.edition.grid) / 2 + 0.01
    assert abs((box.left - outline.left) / scale - x) <= half_step
    assert abs((box.bottom - outline.bottom) / scale - y) <= half_step
    near = {units.number(nearest_on_grid(Fraction(at), resolved.edition.grid)) for at in (x, y)}
    assert near <= set(words(scene))
    assert made.motif is not None
    assert made.motif.title in scene.text_equivalent
    (page,) = template_pages(resolved, [key], 178.0, 222.0)
    on_page = bounding(next(s for s in page.strokes(Line.FAINT)).runs[0])
    assert on_page.width == pytest.approx(float(picture.width), abs=2 * half_step)
    assert any(f"{made.motif.title}: " in text.text for text in page.texts)


def test_a_piece_with_many_parts_has_the_large_room_and_can_be_read_there() -> None:
    """The envelope's blank is 9¼ × 11½ in with a taper of ¼ in, hardly a line at 1 : 11."""
    resolved = resolved_of(DESIGNS / "letter-envelope.yaml", "imperial", {})
    page = read_page(LAYOUTS / "pattern", EDITIONS["imperial"])
    scenes = figures_in("pattern", DESIGNS / "letter-envelope.yaml", "imperial")
    envelope, plate = scenes["piece-envelope"], scenes["piece-address_plate"]
    assert page.rooms["piece"][1] < envelope.height <= page.rooms["large_piece"][1] + 1.2
    assert plate.height <= page.rooms["piece"][1] + 1.2, "a plain panel needs no more"
    assert overlaps(envelope) == ()
    outline = bounding(envelope.strokes(Line.VISIBLE)[0].runs[0])
    assert outline.width / float(resolved.pieces["envelope"].width) > 0.25


@pytest.mark.parametrize("path", designs(), ids=lambda path: path.stem)
def test_no_leader_runs_over_the_dimension_of_the_whole_piece(path: Path) -> None:
    for edition in EDITIONS:
        resolved = resolved_of(path, edition, {})
        for key in resolved.pieces:
            scene = piece_scene(resolved, key, 178, 112)
            sizes = [
                run
                for s in scene.strokes(Line.DIMENSION)
                if s.subject == "dimension"
                for run in s.runs
            ]
            leaders = [run for s in scene.strokes(Line.LEADER) for run in s.runs]
            crossed = [1 for a, b in leaders for c, d in sizes if segments_cross(a, b, c, d)]
            assert not crossed, f"{key} {edition}"


def test_which_size_of_a_corner_is_its_width_is_said() -> None:
    scene = drawn(shaped_piece())
    assert "corners: width × height" in caption(scene)
    assert "Notch 1 wide × ½ high" in scene.text_equivalent
    assert "corners" not in caption(drawn(piece("tag", "3", "2")))


def sections_and_notes(resolved: ResolvedDesign) -> list[tuple[str, str, float]]:
    """How far the names of sections and the notes of the same drawing are apart, in mm."""
    found = []
    for key, made in resolved.pieces.items():
        room = (178.0, 112.0) if is_cramped(resolved, key, 86, 72) else (86.0, 72.0)
        scene = piece_scene(resolved, key, *room)
        tabs = {tab.name for tab in made.source.tabs}
        names = {f.name.replace("_", " ") for f in made.faces if f.name not in tabs}
        own = [text for text in scene.texts if text.text in names and len(made.faces) > 1]
        notes = [
            text
            for text in scene.texts
            if any(word in text.text for word in ("mitre ", "tab ", "notch ", "R ", "Ø "))
            and "·" not in text.text
            and text.text not in names
        ]
        for first in own:
            for second in notes:
                a, b = text_rect(first), text_rect(second)
                across = max(a.left - b.right, b.left - a.right, 0.0)
                up = max(a.bottom - b.top, b.bottom - a.top, 0.0)
                found.append((first.text, second.text, max(across, up)))
    return found


@pytest.mark.parametrize("path", designs(), ids=lambda path: path.stem)
def test_a_note_does_not_read_as_a_part_of_a_sections_name(path: object) -> None:
    for edition in ("imperial", "metric"):
        found = sections_and_notes(resolved_of(path, edition, {}))  # type: ignore[arg-type]
        assert not [each for each in found if each[2] < 1.9], edition


def test_a_hole_is_never_as_small_as_a_leaders_dot() -> None:
    made = replace(shaped_piece(), width=inches("60"), height=inches("50"))
    hole = next(s for s in drawn(made).strokes(Line.VISIBLE) if s.subject == "hole").runs[0]
    assert bounding(hole).width >= 1.79


def test_no_leader_of_a_section_ends_in_a_hole() -> None:
    """The hole of the folio's hinge lies in the middle of a narrow tab."""
    resolved = resolved_of(FOLIO, "imperial", {})
    scene = piece_scene(resolved, "left_hinge", 86, 72)
    hole = bounding(next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "hole").runs[0])
    ends = [run[1] for strokes in scene.strokes(Line.LEADER) for run in strokes.runs]
    assert ends
    assert not [end for end in ends if hole.holds(end)]


@pytest.mark.parametrize("edition", ["imperial", "metric"])
def test_the_dividers_of_the_box_end_below_its_lid(edition: str) -> None:
    """They stand on the base by their feet; the lid's panel lies as high as the closed work has
    it."""
    resolved = resolved_of(DESIGNS / "keepsake-box.yaml", edition, {})
    low, high = (
        next(f for f in faces_in(resolved, "closed") if (f.piece, f.face) == key).pose.shift[2]
        for key in (("tray", "base"), ("lid", "panel"))
    )
    dividers = [piece for key, piece in resolved.pieces.items() if key.endswith("_divider")]
    assert len(dividers) == 3
    for divider in dividers:
        assert 0 < divider.face("panel").box.height < abs(high - low)
