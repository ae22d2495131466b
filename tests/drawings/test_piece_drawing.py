"""Piece drawings: exact numbers, right places, nothing on top of anything."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene, Strokes
from builder.drawings.scene_check import overlaps
from builder.drawings.styles import Line
from builder.geometry.outline import Box, rectangle
from builder.lengths import INCH
from builder.resolve.edition import IMPERIAL, METRIC
from builder.resolve.resolved import Face, ResolvedPiece, Score
from tests.drawings.samples import (
    crowded_piece,
    design,
    folded_piece,
    piece,
    shaped_piece,
)


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
