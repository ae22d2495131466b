"""Fold sequences: chosen from facts, in an order in which no face passes through another.

The motion between frames is worked out here anew, in floats, at angles between the frames.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
from shapely.geometry import LineString, Polygon

from builder.drawings.axonometric import ISOMETRIC
from builder.drawings.features import outline_ring
from builder.drawings.fold_sequence import (
    fold_equivalent,
    fold_frames,
    fold_scene,
    glued_tabs,
)
from builder.drawings.frames import Frame
from builder.drawings.movements import CLOSING, fold_sequences, movements
from builder.drawings.styles import Line
from builder.resolve.placement import folds_outward, main_body, piece_tree
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.turns import folded_faces
from tests.resolve.test_turns import shipped

FaceKey = tuple[str, str]
#: How deep one face may dip into another before it counts: float noise and corner touching, mm.
TOUCH = 0.6


def test_which_designs_need_which_sequences() -> None:
    assert fold_sequences(shipped("keepsake-box")) == ("tray", "lid", CLOSING)
    assert fold_sequences(shipped("observatory-folio")) == (CLOSING,)
    assert fold_sequences(shipped("letter-envelope")) == (CLOSING,)


def test_tabs_bend_before_the_walls_that_carry_them_and_those_before_the_others() -> None:
    _dividers, *steps = movements(shipped("keepsake-box"), "tray")
    assert [sorted(face for _, face in step.motion) for step in steps] == [
        [
            "left_wall_bottom_tab",
            "left_wall_top_tab",
            "right_wall_bottom_tab",
            "right_wall_top_tab",
        ],
        ["left_wall", "right_wall"],
        ["back_wall", "front_wall"],
    ]


def test_every_fold_of_the_closing_moves_once_in_the_order_of_the_design() -> None:
    folio = shipped("observatory-folio")
    moved = [piece for step in movements(folio, CLOSING) for piece, _ in step.motion]
    assert list(dict.fromkeys(moved)) == list(folio.design.closing)
    faces = [face for step in movements(folio, CLOSING) for face in step.motion]
    assert len(faces) == len(set(faces))


def test_what_is_there_only_when_closed_comes_with_its_movement() -> None:
    steps = movements(shipped("observatory-folio"), CLOSING)
    assert ["band_back" in step.pieces for step in steps] == [False] * 6 + [True]
    seal = movements(shipped("letter-envelope"), CLOSING)
    assert ["seal" in step.pieces for step in seal] == [False] * 3 + [True]
    # What was not there before is named, so that nobody looks for it in the frames before.
    assert steps[-1].caption == "slide A17 Band back on"
    assert seal[-1].caption == "close A1 top flap and C1 flap, then add B3 Seal"


def test_the_latch_is_turned_aside_for_the_flap_that_it_holds_and_over_it_after() -> None:
    """The design: the brad is 1¼ in from the left edge of the back cover, the closed flap begins
    2 in from it, the far end of the latch is 2⅛ in from the brad."""
    folio = shipped("observatory-folio")
    steps = movements(folio, CLOSING)
    (held,) = (n for n, step in enumerate(steps) if "right_hinge" in {k for k, _ in step.motion})
    assert (steps[held].aside, steps[held + 1].over) == (("latch_brad",), ("latch_brad",))
    assert not steps[held + 1].motion
    frames = fold_frames(folio, CLOSING)
    reaches = [_reach(folio, frame, "latch") for frame in frames[: held + 3]]
    brad, far = 1.25 * 25.4, 2.125 * 25.4
    assert [round(high - brad, 3) for _, high in reaches] == [
        *[round(far, 3)] * (held + 1),
        round(0.375 * 25.4, 3),
        round(far, 3),
    ]
    over = frames[held + 2].faces
    drawn = [face.piece.key for face in over]
    assert max(i for i, k in enumerate(drawn) if k == "right_flap_cover_mat") < drawn.index("latch")
    # The arrow is that of the part that turns, to be shown larger; the flap has its own.
    assert [len(frame.arrows) for frame in frames[held + 1 : held + 3]] == [1, 0]
    assert all(frame.details[0].arrows for frame in frames[held + 1 : held + 3])


def _reach(resolved: ResolvedDesign, frame: Frame, key: str) -> tuple[float, float]:
    """From where to where a piece reaches across the work, in mm from the back cover's left."""
    face = next(face for face in frame.faces if face.piece.key == key)
    box = resolved.pieces[key].face(face.placed.face).box
    across = [
        float(face.placed.pose.apply(x, y)[0])
        for x in (box.left, box.right)
        for y in (box.bottom, box.top)
    ]
    return min(across), max(across)


def test_glue_is_hatched_on_the_side_of_each_tab_that_meets_a_wall() -> None:
    """The lid's tabs fold away from its front, so its front meets the wall; the tray's do not."""
    box = shipped("keepsake-box")
    for key, side in (("tray", False), ("lid", True)):
        names = {tab.name for tab in box.pieces[key].source.tabs}
        assert glued_tabs(box.pieces[key]) == {((key, name), side) for name in names}
    lid, tray = (fold_scene(box, key, 178, 175) for key in ("lid", "tray"))
    assert lid.strokes(Line.GLUE), "seen while it lies flat"
    assert tray.strokes(Line.GLUE), "seen when they stand up"
    assert "tabs glued inside" in lid.text_equivalent


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("keepsake-box", "tray"),
        ("keepsake-box", "lid"),
        ("observatory-folio", CLOSING),
        ("letter-envelope", CLOSING),
    ],
)
def test_no_face_passes_through_another_on_its_way(name: str, key: str) -> None:
    resolved = shipped(name)
    assert collisions(resolved, key, [step.motion for step in movements(resolved, key)]) == set()


def test_a_wrong_order_is_found_to_collide() -> None:
    """The covers closed first, the right flap cannot fold in any more."""
    folio = shipped("observatory-folio")
    motions = [step.motion for step in movements(folio, CLOSING) if step.motion]
    wrong = [motions[0], motions[2], motions[3], motions[1]]
    assert collisions(folio, CLOSING, wrong)


def collisions(
    resolved: ResolvedDesign, key: str, motions: Sequence[dict[FaceKey, int]]
) -> set[frozenset[str]]:
    """Pairs of faces that pass through one another between the frames."""
    root = main_body(piece_tree(resolved.pieces)) if key == CLOSING else key
    shown = set(movements(resolved, key)[-1].pieces)
    outlines = {
        (k, face.name): _outline(resolved, k, face.name)
        for k in shown
        for face in resolved.pieces[k].faces
    }
    angles: dict[FaceKey, float] = {}
    found = set()
    for motion in motions:
        moving = {piece for piece, _ in motion}
        there = shown - {k for k in shown if resolved.pieces[k].source.present == "closed"} | moving
        for step in range(1, 8):
            now = {**angles, **{face: angle * step / 8 for face, angle in motion.items()}}
            poses = _poses(resolved, root, now)
            found |= _crossing(outlines, {k: p for k, p in poses.items() if k[0] in there}, poses)
        angles.update(motion)
    return found


def _outline(resolved: ResolvedDesign, key: str, face: str) -> Polygon:
    box = resolved.pieces[key].face(face).box
    sides = [float(v) for v in (box.left, box.bottom, box.right, box.top)]
    window = Polygon(
        [(sides[0], sides[1]), (sides[2], sides[1]), (sides[2], sides[3]), (sides[0], sides[3])]
    )
    met = Polygon(outline_ring(resolved.pieces[key].outline)).intersection(window)
    # A face may touch its neighbour along a line: that part is not its own.
    return max(getattr(met, "geoms", [met]), key=lambda part: part.area)


def _poses(
    resolved: ResolvedDesign, root: str, angles: dict[FaceKey, float]
) -> dict[FaceKey, np.ndarray]:
    """4 x 4 matrices of every face of a body, turned about the folds by any angle."""
    tree = piece_tree(resolved.pieces)
    flat = {(f.piece, f.face): _matrix(f.pose) for f in folded_faces(resolved, root, ())}
    turned: dict[FaceKey, np.ndarray] = {}

    def put(key: str, motion: np.ndarray) -> None:
        piece = resolved.pieces[key]
        motions = {piece.by: motion}
        for staying, hanging, score in folds_outward(piece):
            angle = angles.get((key, hanging), 0.0) * (1 if score.fold == "valley" else -1)
            along = (0.0, 1.0, 0.0) if score.axis == "vertical" else (1.0, 0.0, 0.0)
            at = float(score.at)
            point = (at, 0.0, 0.0) if score.axis == "vertical" else (0.0, at, 0.0)
            beyond = score.sides[1] == hanging
            # A valley lifts the part beyond the fold towards +z of the piece.
            sign = (-1 if score.axis == "vertical" else 1) * (1 if beyond else -1)
            own = flat[key, piece.by]
            turn = own @ _about(point, along, sign * angle) @ np.linalg.inv(own)
            motions[hanging] = motions[staying] @ turn
        for face, moved in motions.items():
            turned[key, face] = moved @ flat[key, face]
        for child in tree.children.get(key, ()):
            put(child, motions[resolved.pieces[child].host_face])

    put(root, np.eye(4))
    return turned


def _matrix(pose: object) -> np.ndarray:
    matrix = np.eye(4)
    matrix[:3, :3] = pose.rotation  # type: ignore[attr-defined]
    matrix[:3, 3] = [float(s) for s in pose.shift]  # type: ignore[attr-defined]
    return matrix


def _about(
    point: tuple[float, float, float], along: tuple[float, float, float], degrees: float
) -> np.ndarray:
    """A turn about a line, by Rodrigues' formula."""
    angle = math.radians(degrees)
    x, y, z = along
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]])
    turn = np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross
    matrix = np.eye(4)
    matrix[:3, :3] = turn
    matrix[:3, 3] = np.array(point) - turn @ np.array(point)
    return matrix


def _crossing(
    outlines: dict[FaceKey, Polygon],
    there: dict[FaceKey, np.ndarray],
    poses: dict[FaceKey, np.ndarray],
) -> set[frozenset[str]]:
    found = set()
    rings = {
        key: (poses[key] @ np.array([[x, y, 0.0, 1.0] for x, y in outlines[key].exterior.coords]).T)
        for key in there
    }
    for key in there:
        back = np.linalg.inv(poses[key])
        for other in there:
            if other == key:
                continue
            local = (back @ rings[other])[:3]
            heights = local[2]
            if heights.max() < TOUCH or heights.min() > -TOUCH:
                continue
            marks = [
                _at_zero(local[:, i], local[:, i + 1])
                for i in range(local.shape[1] - 1)
                if heights[i] * heights[i + 1] < 0
            ]
            if len(marks) >= 2:
                inner = LineString(marks[:2]).intersection(outlines[key].buffer(-TOUCH))
                if inner.length > TOUCH:
                    found.add(frozenset((".".join(key), ".".join(other))))
    return found


def _at_zero(start: np.ndarray, end: np.ndarray) -> tuple[float, float]:
    share = start[2] / (start[2] - end[2])
    place = start + share * (end - start)
    return float(place[0]), float(place[1])


def test_each_frame_after_the_first_shows_what_moved_and_where_it_was() -> None:
    first, *rest = fold_frames(shipped("letter-envelope"), CLOSING)
    assert first.bold == frozenset()
    assert first.arrows == ()
    bold = [{face for _, face in frame.bold} for frame in rest]
    halves = {"back_half", "front_half"}
    assert bold == [{"left_flap", "right_flap"}, {"bottom_flap"}, halves, {"top_flap"}]
    # What is slid in has an arrow on either side of it, and only its nearest half a ghost.
    assert [len(frame.arrows) for frame in rest] == [2, 1, 2, 1]
    assert [len(frame.ghosts) for frame in rest] == [0, 0, 1, 0]
    # Of what folds the outline is seen from the fold round the far edge and back to it.
    assert [len(frame.over) for frame in rest] == [2, 1, 0, 1]


def test_an_arrow_ends_where_the_moved_edge_lies() -> None:
    """The bottom flap is folded up by its fold: the middle of its edge comes to lie over the body,
    on a line at right angles to the fold."""
    frame = fold_frames(shipped("letter-envelope"), CLOSING)[2]
    (start, *_, end) = frame.arrows[0]
    # In the isometric projection, y runs at 30 degrees to the level.
    assert math.degrees(math.atan2(end[1] - start[1], end[0] - start[0])) == pytest.approx(30)
    flap = 3.25 * 25.4
    assert math.dist(start, end) == pytest.approx(2 * flap)


def test_the_words_name_every_fold() -> None:
    words = fold_equivalent(shipped("keepsake-box"), "lid")
    bent = "Frame b: A2: bend the 4 tabs; glue on the outer face of each (hatched); "
    assert f"{bent}4 mountain folds to 90 degrees." in words
    assert words.count("Frame") == 4


def test_ribbons_are_tied_when_the_covers_lie_still_and_before_the_band_goes_on() -> None:
    """The design: a brad in either cover holds the ribbon; closing the spine moves a cover last."""
    folio = shipped("observatory-folio")
    steps = movements(folio, CLOSING)
    tied = [step.tied for step in steps]
    assert tied == [(), (), (), (), (), ("ribbon_tie",), ()]
    assert [piece for piece, _ in steps[4].motion] == ["spine", "spine"]
    assert steps[5].caption == "Ribbon tie: tie the ends"
    assert "Frame g: Ribbon tie: tie the ends." in fold_equivalent(folio, CLOSING)
    strips = [bool(frame.strips) for frame in fold_frames(folio, CLOSING)]
    assert strips == [False] * 6 + [True, True]


def test_a_ribbon_runs_from_its_brad_off_the_nearer_edge_in_its_true_width() -> None:
    """The design: the brads are 3/8 in from the outer edges, half way up covers of 8 x 11 in, the
    ribbon is 3/8 in wide; the closed covers lie on one another, their outer edges on the right."""
    folio = shipped("observatory-folio")
    frame = fold_frames(folio, CLOSING)[6]
    inch, layers = 25.4, ("back_cover", "front_cover")
    flat = [strip.rings[0] for strip in frame.strips[:2]]
    heights = [_height(frame, key) for key in layers]
    assert heights[0] != heights[1]
    for z in heights:
        rim = [ISOMETRIC((8 * inch, side * inch, z)) for side in (5.3125, 5.6875)]
        assert any(
            all(any(math.dist(end, place) < 0.01 for place in ring) for end in rim) for ring in flat
        )
    # The one on the front lies under the mat that is glued on later, the other under the cover.
    drawn = [face.piece.key for face in frame.faces]
    after = sorted(strip.after for strip in frame.strips[:2])
    assert after == [drawn.index("back_cover"), drawn.index("front_cover") + 1]


def _height(frame: Frame, key: str) -> float:
    return float(next(f for f in frame.faces if f.piece.key == key).placed.pose.shift[2])


def test_the_lid_goes_straight_down_onto_the_folded_tray() -> None:
    """The design: the lid's walls are 1¼ in high and its panel lies 2 in above the base, on which
    walls of 2 in stand up: only when it is lifted by its walls is it clear of them."""
    box = shipped("keepsake-box")
    step, _ribbon = movements(box, CLOSING)
    assert step.caption == "lower A2 Lid onto A1 Tray"
    folded, closed, _tied = fold_frames(box, CLOSING)
    assert folded.caption == "A1 Tray folded"
    assert not {face.piece.key for face in folded.faces} & {"lid", "lid_mat"}
    walls = [face for face in folded.faces if face.placed.face.endswith("_wall")]
    assert all(face.axis != 2 for face in walls), "they stand up"
    assert closed.bold >= {("lid", "panel"), ("lid", "front_side")}
    ups = [(start[0] - end[0], start[1] - end[1]) for start, end in closed.arrows]
    assert [across for across, _ in ups] == [pytest.approx(0)] * 2
    assert ups[0][1] == pytest.approx(ups[1][1])
    assert ups[0][1] >= 1.25 * 25.4
    lid = next(face for face in closed.faces if face.key == ("lid", "panel"))
    raised = tuple((x, y + ups[0][1]) for x, y in (*lid.rings[0], lid.rings[0][0]))
    assert any(
        len(ghost) == len(raised)
        and all(math.dist(a, b) < 0.01 for a, b in zip(ghost, raised, strict=True))
        for ghost in closed.ghosts
    )
    words = fold_equivalent(box, CLOSING)
    assert words.startswith("Frame a: A1 Tray folded. Frame b: lower A2 Lid onto A1 Tray. Frame c:")


def test_a_band_is_slid_on_along_its_folds_from_the_nearer_side() -> None:
    """The design: it lies nearer to the lower edge of the covers, and its folds run upwards."""
    frame = fold_frames(shipped("observatory-folio"), CLOSING)[-1]
    for start, end in frame.arrows:
        # In the isometric projection, y runs at 30 degrees to the level.
        angle = math.degrees(math.atan2(end[1] - start[1], end[0] - start[0]))
        assert angle == pytest.approx(30)
    assert len(frame.arrows) == 2


@pytest.mark.parametrize("name", ["observatory-folio", "letter-envelope"])
def test_no_arrow_of_a_fold_lies_over_what_it_explains(name: str) -> None:
    resolved = shipped(name)
    for frame, step in zip(
        fold_frames(resolved, CLOSING)[1:], movements(resolved, CLOSING), strict=True
    ):
        moved = [Polygon(face.rings[0]) for face in frame.faces if face.key in frame.bold]
        for way in frame.arrows if not step.put_on else ():
            line = LineString(way)
            covered = max(line.intersection(shape).length for shape in moved)
            assert covered < 0.02 * line.length, step.caption


def test_a_frame_shows_what_moves_and_what_it_lands_on() -> None:
    """The right flap closes over the back cover: the front cover is left out, broken off at the
    spine; of frames that move the whole nothing is left out."""
    frames = fold_frames(shipped("observatory-folio"), CLOSING)
    third = {face.piece.key for face in frames[2].faces}
    assert {"right_flap", "back_cover", "top_flap", "latch"} <= third
    assert not {"left_flap", "title_plate", "title_mat"} & third
    assert [len(frame.breaks) for frame in frames] == [0, 1, 1, 1, 1, 0, 0, 0]
    # The break is a line along y on the plane of projection, as long as the cover.
    ((start, end),) = frames[2].breaks
    assert math.dist(start, end) == pytest.approx(11 * 25.4)
    assert frames[2].extent.width < 0.75 * frames[0].extent.width
    for frame in fold_frames(shipped("keepsake-box"), "lid"):
        assert frame.breaks == ()
