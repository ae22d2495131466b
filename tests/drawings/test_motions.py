"""Movements as a maker does them: one picture each, and what is there then.

Unless another source is named, what is expected is read off the design files: their sizes, and what
their steps tell the maker to do.
"""

from __future__ import annotations

import math

import pytest
from shapely.geometry import LineString, Polygon

from gatherfold.drawings.kernel.axonometric import ISOMETRIC
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.motion.drawing import motion_equivalent, motion_frames, motion_scene
from gatherfold.drawings.motion.frames import MotionFrame
from gatherfold.drawings.motion.movements import sequences
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.views.raised_view import RaisedFace, visible_faces
from gatherfold.resolve.edition import EDITIONS
from gatherfold.work import work_of
from tests.drawings.made_designs import SHIPPED, STRUCTURES, frames_of, made, moves_of

INCH = 25.4


@pytest.mark.parametrize(
    ("name", "steps"),
    [
        ("keepsake-box", [6, 7, 9]),
        ("observatory-folio", [19, 21, 22]),
        ("letter-envelope", [5, 7, 8]),
        ("covered-board", [4, 6, 8, 9]),
        ("sleeve-tray", [4, 5, 6, 7]),
    ],
)
def test_every_step_that_moves_something_has_its_pictures(name: str, steps: list[int]) -> None:
    """What only is laid in its place has none here; nothing is left to close by no step."""
    assert [each.step for each in sequences(made(name))] == steps


def folded(name: str, step: int) -> list[list[str]]:
    return [sorted(str(turn.fold) for turn in move.turns) for move in moves_of(name, step).moves]


def test_dividers_stand_up_first_then_tabs_then_the_walls_that_carry_them() -> None:
    """Step 6 of the box: the dividers, then the walls; a tab has to stand before the wall that it
    is glued to closes (common practice, no source)."""
    assert folded("keepsake-box", 6) == [
        ["back_divider.panel", "front_divider.panel", "middle_divider.panel"],
        [
            "tray.left_wall_bottom_tab",
            "tray.left_wall_top_tab",
            "tray.right_wall_bottom_tab",
            "tray.right_wall_top_tab",
        ],
        ["tray.left_wall", "tray.right_wall"],
        ["tray.back_wall", "tray.front_wall"],
    ]


def test_side_flaps_close_together_and_the_flap_over_them_after() -> None:
    assert folded("letter-envelope", 5) == [
        ["envelope.left_flap", "envelope.right_flap"],
        ["envelope.bottom_flap"],
    ]
    assert [len(each) for each in folded("four-flaps", 4)] == [1, 1, 1, 1]


@pytest.mark.parametrize(
    ("name", "step", "captions"),
    [
        # Both covers of the case turn, and the pages with them.
        ("hinged-album", 8, ["close A1 Case"]),
        # "Close both covers … Open them again."
        ("hinged-album", 7, ["close A1 Case", "open A1 Case"]),
        ("sleeve-tray", 7, ["slide A2 Tray into A1 Sleeve"]),
        ("concertina-boards", 8, ["fold A1 Length a and A2 Length b up, to and fro"]),
        ("box-in-box", 7, ["lower A2 Inner into A1 Outer", "lower A3 Lid onto A1 Outer"]),
        ("roll-up", 5, [f"close p{number} of A2 Strip" for number in range(1, 6)]),
        (
            "belly-band",
            6,
            [
                "close left lap and right side of A4 Band",
                "close right lap of A4 Band and glue it down",
            ],
        ),
        ("covered-board", 6, ["close C3 Picture paper and glue it down"]),
        ("observatory-folio", 22, ["close A17 Band back"]),
        (
            "letter-envelope",
            8,
            ["slide B2 Letter card into A1 Envelope", "close top flap of A1 Envelope"],
        ),
        # Its right panel lies on the table: only the left one is seen to move.
        ("covered-board", 8, [f"{move} left panel of B1 Case paper" for move in ("close", "open")]),
        # So many sections that a maker would not read their names.
        ("covered-board", 4, ["close 8 sections of B1 Case paper and glue them down"]),
        (
            "concertina-boards",
            6,
            [
                "close bottom turn and top turn of C1 Front paper and C2 Back paper"
                " and glue them down"
            ],
        ),
    ],
)
def test_what_moves_is_told(name: str, step: int, captions: list[str]) -> None:
    frames = frames_of(name, step)
    told = [frame.caption for frame in frames if frame.bold]
    assert told == captions
    assert len(frames) - len(told) <= 1, "how it was before, where that says more"


def test_pieces_alike_are_folded_in_one_picture() -> None:
    """The papers of both boards are cut and turned in alike; of the hinges four."""
    (move,) = moves_of("concertina-boards", 6).moves
    assert {turn.fold.piece for turn in (*move.turns, *move.alike)} == {"front_paper", "back_paper"}
    captions = [frame.caption for frame in frames_of("hinged-album", 3) if frame.bold]
    assert captions[1] == "close B2 Hinge 2, B3 Hinge 3, B4 Hinge 4 and B5 Hinge 5"


@pytest.mark.parametrize(
    ("name", "step", "starts"),
    [
        # Single hinges lie flat one after the other, while the first of them stands already.
        ("hinged-album", 3, ["B1: flat", "B2, B3, B4 and B5: flat", "B6: flat"]),
        ("hinged-album", 7, ["before"]),
        # All of it is level, but the strip is rolled up.
        ("roll-up", 5, ["flat"]),
        ("roll-up", 6, ["before"]),
        # What is folded is glued down for good.
        ("covered-board", 8, ["flat"]),
    ],
)
def test_only_what_is_unfolded_is_called_flat(name: str, step: int, starts: list[str]) -> None:
    assert [frame.caption for frame in frames_of(name, step) if not frame.bold] == starts


def test_what_is_not_there_yet_is_not_drawn() -> None:
    """The band is laid behind the closed folio, the seal on the closed flap, the plate on the lid
    that is closed already."""
    for name, step, absent in (
        ("observatory-folio", 21, {"band_back", "band_front"}),
        ("letter-envelope", 5, {"letter_card", "seal"}),
        ("letter-envelope", 8, {"seal"}),
        ("keepsake-box", 7, {"name_plate", "plate_mat", "tray"}),
        ("keepsake-box", 6, {"lid"}),
    ):
        for frame in frames_of(name, step):
            assert absent.isdisjoint(face.piece.key for face in frame.faces), (name, step)
    assert {"name_plate", "lid_mat"} <= {f.piece.key for f in frames_of("keepsake-box", 9)[0].faces}
    for frame in frames_of("observatory-folio", 22):
        assert "band_back" in {face.piece.key for face in frame.faces}


def test_the_lining_is_drawn_on_both_sides_of_the_fold_that_it_covers() -> None:
    for frame in frames_of("letter-envelope", 5):
        assert {("lining", "flap"), ("envelope", "top_flap")} <= {face.key for face in frame.faces}


def test_what_folds_down_is_shown_turned_over() -> None:
    """The sides of the lid are mountain folds: seen from inside they are valleys and stand up."""
    first, *_, last = frames_of("keepsake-box", 7)
    assert first.caption == "flat, turned over"
    assert {line for face in first.faces for line, _ in face.folds} == {Line.VALLEY}
    panel = next(face for face in last.faces if face.key == ("lid", "panel"))
    assert not panel.shows_front
    assert {f.key.face for f in last.faces if f.axis != 2} >= {"front_side", "right_side"}


@pytest.mark.parametrize(
    ("name", "step", "slid"),
    [("envelope-liner", 5, "card_mat"), ("letter-envelope", 8, "letter_card")],
)
def test_what_is_slid_in_is_seen_from_the_side_on_which_it_shows(
    name: str, step: int, slid: str
) -> None:
    """The designs: a card slides under flaps on the inside of the body, and looks out there."""
    frame = frames_of(name, step)[0]
    assert slid in {key.piece for key in visible_faces(frame.faces)}


def test_work_is_turned_round_where_what_folds_down_inside_is_hidden() -> None:
    """The design: the inner half of the front wall goes down inside it, before the tray's base:
    seen from the front the wall hides it, so the wall stands at the back of the picture."""
    _, last = frames_of("sleeve-tray", 6)
    shown = [face.key for face in last.faces]
    assert shown.index(("tray", "front_doubling")) > shown.index(("tray", "front_wall"))
    assert ("tray", "front_doubling") in last.bold
    (way,) = last.arrows
    # The arrow ends inside, on what has been folded down, and not outside beside it.
    inner = next(face for face in last.faces if face.key == ("tray", "front_doubling"))
    assert inner.extent.left < way[-1][0] < inner.extent.right


def test_a_book_lies_on_its_back_cover_when_it_is_closed() -> None:
    """An album is closed on the table, not standing on its spine (common practice, no source)."""
    last = frames_of("hinged-album", 8)[-1]
    covers = {f.key.face: f for f in last.faces if f.piece.key == "case"}
    assert covers["front_cover"].axis == 2
    heights = [float(f.pose.shift[2]) for f in last.faces if f.axis == 2]
    assert float(covers["front_cover"].pose.shift[2]) == max(heights)


def test_the_latch_is_turned_aside_for_the_flap_that_it_holds_and_over_it_after() -> None:
    """The design: the brad is 1¼ in from the left edge of the back cover, the closed flap begins
    2 in from it, the far end of the latch is 2⅛ in from the brad."""
    frames = frames_of("observatory-folio", 21)
    held = next(n for n, f in enumerate(frames) if f.caption.startswith("turn A16 Latch aside"))
    assert [frame.caption for frame in frames[held : held + 3]] == [
        "turn A16 Latch aside",
        "close A13 Right flap",
        "turn A16 Latch over A13 Right flap",
    ]
    reaches = [_reach(frame, "latch")[1] / INCH - 1.25 for frame in frames[: held + 3]]
    assert [round(reach, 3) for reach in reaches] == [*[2.125] * held, 0.375, 0.375, 2.125]
    drawn = [face.piece.key for face in frames[held + 2].faces]
    assert max(i for i, k in enumerate(drawn) if k == "right_flap_cover_mat") < drawn.index("latch")
    # The arrow is that of the part that turns, to be shown larger; the flap has its own.
    assert [len(frame.arrows) for frame in frames[held : held + 3]] == [0, 1, 0]
    assert [len(frame.details) for frame in frames[held : held + 3]] == [1, 0, 1]


def _reach(frame: MotionFrame, key: str) -> tuple[float, float]:
    """From where to where a piece reaches across the work, in mm from the back cover's left."""
    face = next(face for face in frame.faces if face.piece.key == key)
    box = face.piece.face(face.key.face).box
    across = [
        float(face.pose.apply((x, y, 0))[0])
        for x in (box.left, box.right)
        for y in (box.bottom, box.top)
    ]
    return min(across), max(across)


def test_glue_is_hatched_on_the_side_of_each_tab_that_meets_a_wall() -> None:
    """The lid's tabs fold away from its front, so its front meets the wall; the tray's do not."""
    for step, key, side in ((6, "tray", False), (7, "lid", True)):
        names = {tab.name for tab in made("keepsake-box").pieces[key].source.tabs}
        frame = frames_of("keepsake-box", step)[0]
        assert frame.glued == {((key, name), side) for name in names}
        scene = motion_scene(moves_of("keepsake-box", step), 178, 175)
        assert scene.strokes(Line.GLUE)
        assert "tabs glued inside" in scene.text_equivalent


def test_words_say_on_which_face_tabs_are_glued_and_on_which_side_of_the_wall_they_end() -> None:
    """The design of the boxes: the outer tray's tabs go inside its walls, the inner tray's are
    joined behind them, so that its inside is smooth."""
    for step, face, side in (
        (4, "outer", "inside"),
        (5, "inner", "outside"),
        (6, "outer", "inside"),
    ):
        bent, _, last = [frame.caption for frame in frames_of("box-in-box", step)][1:]
        assert f"glue on the {face} face of each (hatched)" in bent
        assert last.endswith(f", tabs glued {side}")
    (_, _, last) = [frame.caption for frame in frames_of("sleeve-tray", 4)]
    assert last == "close right side of A1 Sleeve, tab glued inside"


def test_each_frame_after_the_first_shows_what_moved_and_where_it_was() -> None:
    first, *rest = frames_of("letter-envelope", 5)
    assert first.bold == frozenset() and first.arrows == ()
    rest += frames_of("letter-envelope", 8)
    bold = [{face for _, face in frame.bold} for frame in rest]
    halves = {"back_half", "front_half"}
    assert bold == [{"left_flap", "right_flap"}, {"bottom_flap"}, halves, {"top_flap"}]
    assert [len(frame.arrows) for frame in rest] == [2, 1, 1, 1]
    # Of what folds the outline is seen from the fold round the far edge and back to it.
    assert [len(frame.ghosts) for frame in rest] == [2, 1, 1, 1]


def test_an_arrow_ends_where_the_moved_edge_lies() -> None:
    """The bottom flap is folded up by its fold: the middle of its edge comes to lie over the body,
    on a line at right angles to the fold."""
    frame = frames_of("letter-envelope", 5)[2]
    (start, *_, end) = frame.arrows[0]
    # In the isometric projection, y runs at 30 degrees to the level.
    assert math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) == pytest.approx(30)
    assert math.dist(start, end) == pytest.approx(2 * 3.25 * INCH)


def test_the_arrow_of_what_opens_goes_back_the_way_it_came() -> None:
    closing, opening = frames_of("hinged-album", 7)[1:]
    ways = [frame.arrows[0] for frame in (closing, opening)]
    whole = [math.dist(way[0], way[-1]) for way in ways]
    assert whole[1] > 0.5 * whole[0]
    assert ways[0][0][0] < ways[0][-1][0] and ways[1][0][0] > ways[1][-1][0]


def test_the_words_name_every_fold() -> None:
    words = motion_equivalent(moves_of("keepsake-box", 7))
    bent = "Frame b: A2: bend the 4 tabs; glue on the outer face of each (hatched); "
    assert f"{bent}4 mountain folds to 90 degrees." in words
    assert words.count("Frame") == 4


def test_the_words_name_what_a_closed_flap_hides() -> None:
    """The right flap covers the right photo mat of the back cover, and its own inside."""
    words = motion_equivalent(moves_of("observatory-folio", 21))
    (told,) = (each for each in words.split("Frame ") if "close A13 Right flap" in each)
    hidden = told.split("It hides")[1]
    assert "B8 Back right photo mat" in hidden and "B5 Right flap photo mat" in hidden
    assert "B7" not in hidden


def test_ribbons_are_tied_when_the_covers_lie_still_and_before_the_band_goes_on() -> None:
    """The design: a brad in either cover holds the ribbon; closing the spine moves a cover last."""
    frames = frames_of("observatory-folio", 21)
    assert frames[-2].caption == "close A3 Front cover"
    assert frames[-1].caption == "Ribbon tie: tie the ends"
    strips = [bool(f.strips) for f in (*frames, *frames_of("observatory-folio", 22))]
    assert strips == [False] * (len(frames) - 1) + [True] * 3


def test_a_ribbon_runs_from_its_brad_off_the_nearer_edge_in_its_true_width() -> None:
    """The design: the brads are 3/8 in from the outer edges, half way up covers of 8 x 11 in, the
    ribbon is 3/8 in wide; the closed covers lie on one another, their outer edges on the right."""
    frame = frames_of("observatory-folio", 21)[-1]
    flat = [strip.rings[0] for strip in frame.strips[:2]]
    heights = [_height(frame, key) for key in ("back_cover", "front_cover")]
    assert heights[0] != heights[1]
    for z in heights:
        rim = [ISOMETRIC((8 * INCH, side * INCH, z)) for side in (5.3125, 5.6875)]
        assert any(
            all(any(math.dist(end, place) < 0.01 for place in ring) for end in rim) for ring in flat
        )
    # The one on the front lies under the mat that is glued on later, the other under the cover.
    drawn = [face.piece.key for face in frame.faces]
    after = sorted(strip.after for strip in frame.strips[:2])
    assert after == [drawn.index("back_cover"), drawn.index("front_cover") + 1]


def _height(frame: MotionFrame, key: str) -> float:
    return float(next(f for f in frame.faces if f.piece.key == key).pose.shift[2])


def test_the_lid_goes_straight_down_onto_the_folded_tray_and_the_ribbon_is_tied_last() -> None:
    """The design: the lid's walls are 1¼ in high and its panel lies 2 in above the base, on which
    walls of 2 in stand up: only when it is lifted by its walls is it clear of them."""
    closed, tied = frames_of("keepsake-box", 9)
    assert closed.caption == "lower A2 Lid onto A1 Tray"
    assert closed.bold >= {("lid", "panel"), ("lid", "front_side")}
    ups = [(start[0] - end[0], start[1] - end[1]) for start, end in closed.arrows]
    assert [across for across, _ in ups] == [pytest.approx(0)] * 2
    assert ups[0][1] == pytest.approx(ups[1][1])
    assert ups[0][1] >= 1.25 * INCH
    lid = next(face for face in closed.faces if face.key == ("lid", "panel"))
    raised = Polygon([(x, y + ups[0][1]) for x, y in lid.rings[0]])
    off = [Polygon(ghost).symmetric_difference(raised).area for ghost in closed.ghosts]
    assert min(off) < 1.0
    assert "1⅛\u00a0in from the right edge of D1" in tied.caption
    assert tied.strips and not closed.strips


@pytest.mark.parametrize(
    ("name", "step", "number", "words"),
    [
        # The tag is ¾ in higher than its pocket and rests on ¼ in of tape: 1 in looks out.
        ("observatory-folio", 19, 1, "it looks 1\N{NO-BREAK SPACE}in out of it"),
        ("observatory-folio", 19, 0, "slides in over the top edge of A15 Front pocket"),
        ("letter-envelope", 8, 0, "slides in over the top edge of A1 Envelope"),
        ("sleeve-tray", 7, 0, "slides in over the top edge of A1 Sleeve"),
    ],
)
def test_what_is_slid_in_comes_from_clear_of_its_pocket(
    name: str, step: int, number: int, words: str
) -> None:
    """Its arrow goes along the plane of the pocket, at least as far as it lies in it."""
    sequence = moves_of(name, step)
    frame = frames_of(name, step)[number]
    placing = sequence.moves[number].placing
    assert placing is not None
    (way,) = frame.arrows
    # In the isometric projection, y runs at 30 degrees to the level.
    assert math.degrees(math.atan2(way[0][1] - way[-1][1], way[0][0] - way[-1][0])) == (
        pytest.approx(30)
    )
    plates = placing.put.after.plates
    own = [p.extent(1)[0] for k, p in plates.items() if k.piece == placing.piece]
    inside = plates[placing.host].extent(1)[1] - min(own)
    assert math.dist(way[0], way[-1]) >= float(inside) / work_of(made(name)).scale
    assert words in motion_equivalent(sequence)


def test_the_card_lies_under_the_flaps_that_were_closed_before_it() -> None:
    order = {face.key: place for place, face in enumerate(frames_of("letter-envelope", 8)[0].faces)}
    card = order["letter_card", "front_half"]
    assert order["lining", "body"] < card
    for flap in ("left_flap", "right_flap", "bottom_flap"):
        assert card < order["envelope", flap]


def test_a_tag_is_seen_over_its_flap_where_it_looks_out_of_its_pocket() -> None:
    """1 in of it lies before the photo mat above the pocket, not behind the flap."""
    frame = frames_of("observatory-folio", 19)[1]
    drawn = [face.piece.key for face in frame.faces]
    last = {key: len(drawn) - 1 - drawn[::-1].index(key) for key in set(drawn)}
    assert last["left_flap_photo_mat"] < last["left_tag"] < last["left_pocket"]


@pytest.mark.parametrize("name", [*SHIPPED, "hinged-album", "covered-board", "four-flaps"])
def test_no_arrow_of_a_flap_lies_over_what_it_explains(name: str) -> None:
    for sequence in sequences(made(name)):
        moves = [move for run in sequence.runs for move in run]
        frames = [frame for frame in motion_frames(sequence) if frame.bold]
        for frame, move in zip(frames, [m for m in moves if not m.tie], strict=True):
            if not move.turns or len(move.turns) > 2:
                continue
            shapes = [Polygon(face.rings[0]) for face in frame.faces if face.key in frame.bold]
            lying = [s for s, f in zip(shapes, _bold(frame), strict=True) if f.axis == 2]
            for way in frame.arrows:
                covered = max((LineString(way).intersection(s).length for s in lying), default=0)
                assert covered < 0.02 * LineString(way).length, frame.caption


def _bold(frame: MotionFrame) -> list[RaisedFace]:
    return [face for face in frame.faces if face.key in frame.bold]


def test_a_frame_shows_what_moves_and_what_it_lands_on() -> None:
    """The right flap closes over the back cover: the front cover is left out, broken off at the
    spine; of frames that move the whole nothing is left out."""
    frames = frames_of("observatory-folio", 21)
    fourth = {face.piece.key for face in frames[4].faces}
    assert {"right_flap", "back_cover", "top_flap", "latch"} <= fourth
    assert not {"left_flap", "title_plate", "title_mat"} & fourth
    breaks = [len(frame.breaks) for frame in frames]
    assert breaks[0] == 0 and breaks[4] == 1 and breaks[-2:] == [0, 0]
    # The break is a line along y on the plane of projection, as long as the cover.
    ((start, end),) = frames[4].breaks
    assert math.dist(start, end) == pytest.approx(11 * INCH)
    assert frames[4].extent.width < 0.75 * frames[0].extent.width
    for frame in frames_of("keepsake-box", 7):
        assert frame.breaks == ()


def test_a_strip_that_is_rolled_up_is_never_broken_off_itself() -> None:
    for frame in frames_of("roll-up", 5):
        drawn = {face.key.face for face in frame.faces if face.piece.key == "strip"}
        assert drawn == {f"p{number}" for number in range(1, 7)}


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("name", [*SHIPPED, *STRUCTURES])
def test_every_sequence_is_legible_and_fits(name: str, edition: str) -> None:
    resolved = made(name, edition)
    for sequence in sequences(resolved):
        scene = motion_scene(sequence, 170, 130)
        assert overlaps(scene) == (), scene.key
        assert scene.width <= 170.01 and scene.height <= 130.01
        assert scene.key == sequence.key
        assert scene.text_equivalent == motion_equivalent(sequence)


@pytest.mark.parametrize(
    ("name", "step", "caption"),
    [
        # The text of the step: "tuck its left half under the left flap".
        ("four-flaps", 4, "close top flap of A1 Wrap and tuck it under left flap"),
        # "Fold the left half over the right: the first wall sticks to the tab."
        ("glued-flat-sleeve", 4, "close panel b of A1 Sleeve and glue panel a down"),
        ("sleeve-tray", 6, "close front doubling of A2 Tray and glue it down"),
    ],
)
def test_a_caption_says_what_is_tucked_and_which_face_is_glued(
    name: str, step: int, caption: str
) -> None:
    assert frames_of(name, step)[-1].caption == caption
    assert not any("tuck" in frame.caption for frame in frames_of(name, step)[:-1])
