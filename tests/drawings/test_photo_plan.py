"""The photo plan: places outlined and numbered, the totals as they are counted."""

from __future__ import annotations

import pytest

from gatherfold.drawings.kernel.plane import bounding
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.photograph.drawing import has_photo_plan, photo_equivalent, photo_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.resolve.edition import EDITIONS
from tests.checks.test_fastenings import made
from tests.counts.test_photographs import LOOSE
from tests.works import shipped


def test_which_designs_have_a_plan() -> None:
    found = {n: has_photo_plan(shipped(n)) for n in ("keepsake-box", "letter-envelope")}
    assert found == {"keepsake-box": False, "letter-envelope": True}


def test_every_place_is_outlined_and_numbered() -> None:
    scene = photo_scene(shipped("observatory-folio"), 178, 120)
    outlined = [strokes.subject for strokes in scene.strokes(Line.VISIBLE)]
    assert sorted(outlined) == sorted(
        [
            "top_flap_photo_mat",
            "bottom_flap_photo_mat",
            "left_flap_photo_mat",
            "right_flap_photo_mat",
            "back_left_photo_mat",
            "back_right_photo_mat",
        ]
    )
    assert sorted(text.text for text in scene.texts if text.bold) == list("123456")
    lines = [text.text for text in scene.texts if "picture" in text.text]
    assert [line[:11] for line in lines] == ["2 pictures "] * 3
    assert overlaps(scene) == ()


def test_backs_and_loose_pages_have_views_of_their_own() -> None:
    scene = photo_scene(made(LOOSE), 178, 100)
    captions = [t.text for t in scene.texts if "front" in t.text or "back" in t.text]
    assert captions == ["open work, front", "open work, back", "A4 Page, front"]
    assert "3 (3 times)" in [text.text for text in scene.texts]
    assert overlaps(scene) == ()


def test_the_words_have_the_totals_and_every_place() -> None:
    words = photo_equivalent(shipped("letter-envelope"))
    assert words.startswith("1 picture of 4\N{NO-BREAK SPACE}× 6\N{NO-BREAK SPACE}in: place 1 (")
    assert "1: A2 Photo mat on D3 Card inside mat" in words
    # The place lies across: its size reads as in the list, and that it does is said.
    assert words.count("4\N{NO-BREAK SPACE}× 6") == 2
    written = [text.text for text in photo_scene(shipped("letter-envelope"), 178, 120).texts]
    assert "4\N{NO-BREAK SPACE}× 6\N{NO-BREAK SPACE}in, on its side" in written


@pytest.mark.parametrize("edition", EDITIONS)
def test_words_and_signs_lie_as_the_places_do(edition: str) -> None:
    """Of the folio, two places lie across and four stand; so do the pictures' signs."""
    scene = photo_scene(shipped("observatory-folio", edition), 178, 120)
    frames = [s for s in scene.strokes(Line.EXISTING) if s.subject == "picture"]
    signs = [bounding(s.runs[0]) for s in frames if len(s.runs[0]) == 5]
    signs = [box for box in signs if box.width > 5.0]
    assert len(signs) == 6
    places = [bounding(s.runs[0]) for s in scene.strokes(Line.VISIBLE)]
    for place in places:
        sign = next(box for box in signs if place.holds(box.centre))
        said = [t.text for t in scene.texts if place.holds((t.x, t.y)) and "×" in t.text]
        lies = place.width > place.height
        assert (sign.width > sign.height) == lies
        assert [("on its side" in words) for words in said] == [lies]
    numbers = [t.text for t in scene.texts if "pictures of" in t.text and "side" in t.text]
    assert [words.count("(on its side)") for words in numbers] == [2]


def test_a_covered_part_of_a_place_is_dashed_to_its_whole_size() -> None:
    """The tags lie a quarter of an inch over the photographs of the side flaps."""
    resolved = shipped("observatory-folio")
    scene = photo_scene(resolved, 178, 120)
    hidden = {s.subject: s for s in scene.strokes(Line.HIDDEN)}
    assert set(hidden) == {"left_flap_photo_mat", "right_flap_photo_mat"}
    for key, strokes in hidden.items():
        whole = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == key).runs[0]
        box, dashed = bounding(whole), bounding(p for run in strokes.runs for p in run)
        assert dashed.bottom == pytest.approx(box.bottom, abs=0.1)
        assert (dashed.left, dashed.right) == pytest.approx((box.left, box.right), abs=0.1)
        assert dashed.top < box.centre[1]
    words = photo_equivalent(resolved)
    assert words.count("partly behind") == 2
