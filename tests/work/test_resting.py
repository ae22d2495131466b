"""How large the finished work is, how it lies, and how it lies open.

Sizes are worked out by hand from the design files.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache
from pathlib import Path

import pytest

from gatherfold.lengths import INCH
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.shipped import DESIGNS
from gatherfold.work import FaceKey, Work
from gatherfold.work.closing import Turn
from gatherfold.work.finished import finished_size, lying, lying_open, wrapped_round
from gatherfold.work.play import play

TEST_DESIGNS = Path(__file__).parents[1] / "designs"


@lru_cache
def work_of(name: str) -> Work:
    file = DESIGNS / f"{name}.yaml"
    path = file if file.exists() else TEST_DESIGNS / f"{name}.yaml"
    return play(resolve(read_design_file(path), IMPERIAL))


@pytest.mark.parametrize(
    ("name", "size"),
    [
        # The lid is 1/16 in wider on each side than the tray of 5 1/2 x 4 x 2 in.
        ("keepsake-box", ("5 5/8", "4 1/8", "2")),
        # The covers and the spine, without the band that slides off.
        ("observatory-folio", ("8", "11", "3/4")),
        # As the native edition, rounded to sixteenths: covers of 100 x 140 mm (3 15/16 x 5 1/2 in)
        # and a spine of 14 mm (9/16 in), lying on its back cover; the band slides off.
        ("belly-band", ("3 15/16", "5 1/2", "9/16")),
    ],
)
def test_the_finished_size_is_that_of_what_is_held_together_and_of_a_lid(
    name: str, size: tuple[str, str, str]
) -> None:
    wanted = tuple(sum(map(Fraction, part.split()), Fraction(0)) * INCH for part in size)
    assert finished_size(work_of(name)) == wanted


def test_only_what_is_wrapped_round_comes_off() -> None:
    """A band does, with its front and label; a lid, a tray in its sleeve and a letter do not."""
    for name, pieces in (
        ("observatory-folio", {"band_back", "band_front", "band_front_mat"}),
        ("belly-band", {"band", "band_label"}),
        ("keepsake-box", set()),
        ("sleeve-tray", set()),
        ("letter-envelope", set()),
    ):
        work = work_of(name)
        assert wrapped_round(work.moments, work.closed) == pieces, name


def test_a_book_that_was_closed_standing_on_its_spine_lies_on_its_back_cover() -> None:
    """Left and right of the open album are its front and its back cover (common practice)."""
    album = work_of("hinged-album")
    front, back = FaceKey("case", "front_cover"), FaceKey("case", "back_cover")
    assert album.closed.plates[front].axis != 2
    lain = lying(album.closed).plates
    assert lain[front].axis == lain[back].axis == 2
    assert lain[front].plane > lain[back].plane


@pytest.mark.parametrize("name", ["keepsake-box", "observatory-folio", "letter-envelope"])
def test_what_stands_or_lies_already_stays_as_it_is(name: str) -> None:
    closed = work_of(name).closed
    plates = lying(closed).plates
    assert all(plates[key].pose == plate.pose for key, plate in closed.plates.items())


@pytest.mark.parametrize(
    ("name", "there", "absent"),
    [
        ("keepsake-box", {"tray", "front_divider"}, {"lid", "name_plate"}),
        ("observatory-folio", {"page", "title_plate", "latch"}, {"band_back", "band_front"}),
        ("letter-envelope", {"letter_card", "lining"}, {"seal"}),
        ("belly-band", {"note_card", "pocket"}, {"band", "band_label"}),
        ("box-in-box", {"outer", "inner"}, {"lid"}),
    ],
)
def test_open_work_is_there_without_what_only_shuts_it(
    name: str, there: set[str], absent: set[str]
) -> None:
    opened = lying_open(work_of(name))
    assert there <= set(opened.pieces)
    assert absent.isdisjoint(opened.pieces)


@pytest.mark.parametrize("name", ["roll-up", "belly-band", "observatory-folio"])
def test_leaves_and_rolls_lie_flat_when_the_work_is_open(name: str) -> None:
    """Also those that a step closed by name, and that open again."""
    assert not any(lying_open(work_of(name)).angles.values())


def test_what_was_closed_and_opened_again_closes_once_at_last() -> None:
    """Step 7 tries both covers of the album, step 8 closes them."""
    closing = work_of("hinged-album").closing
    folds = [str(turn.fold) for turn in closing if isinstance(turn, Turn)]
    assert sorted(folds) == ["case.back_cover", "case.front_cover"]


def test_every_motion_of_the_closing_is_that_of_a_moment() -> None:
    """The ribbon of the folio is tied once, in step 21."""
    folio = work_of("observatory-folio")
    made = [id(moment.motion) for moment in folio.moments]
    assert all(id(motion) in made for motion in folio.closing)


def test_a_tag_lies_over_what_is_glued_above_its_pocket() -> None:
    """The tag looks 1 in out of its pocket, over the photo mat that begins ¾ in above that."""
    folio = work_of("observatory-folio").opened
    tag = FaceKey("left_tag", "face")
    for key, is_above in (
        ("left_flap", False),
        ("left_flap_mat", False),
        ("left_flap_photo_mat", False),
        ("left_pocket", True),
    ):
        assert folio.is_above(tag, FaceKey(key, "face")) is is_above, key
