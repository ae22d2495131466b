"""Photographs: places, sizes and totals, and that the check of thickness counts the same."""

from __future__ import annotations

from fractions import Fraction

import pytest

from gatherfold.checks.thickness import PHOTOGRAPH, ClosedLayers
from gatherfold.counts.photographs import photo_places, photo_sizes, photo_views
from gatherfold.lengths import INCH
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import work_of
from gatherfold.work.visible import Look, from_far_to_near, shape_of
from tests.checks.test_fastenings import made
from tests.works import SHIPPED, shipped, structure


def test_the_folio_takes_six_pictures_of_three_sizes() -> None:
    """The design says so: mats of 6 x 4, 4 x 5, and halves of 6 x 4, two of each."""
    sizes = photo_sizes(photo_places(shipped("observatory-folio")))
    found = {(size.width / INCH, size.height / INCH): size.count for size in sizes}
    assert found == {(4, 6): 2, (4, 5): 2, (3, 4): 2}
    assert sorted(number for size in sizes for number in size.numbers) == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize("edition", EDITIONS)
def test_numbers_run_from_the_top_and_from_the_left(edition: str) -> None:
    places = photo_places(shipped("observatory-folio", edition))
    assert [(place.number, place.piece.key) for place in places] == [
        (1, "top_flap_photo_mat"),
        (2, "left_flap_photo_mat"),
        (3, "back_left_photo_mat"),
        (4, "back_right_photo_mat"),
        (5, "right_flap_photo_mat"),
        (6, "bottom_flap_photo_mat"),
    ]


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_a_picture_is_the_largest_on_the_grid_that_fits(path: object, edition: str) -> None:
    resolved = shipped(path.stem, edition)  # type: ignore[attr-defined]
    grid = resolved.edition.grid
    for place in photo_places(resolved):
        for size, room in zip(
            sorted((place.width, place.height)),
            sorted((place.piece.width, place.piece.height)),
            strict=True,
        ):
            assert size <= room < size + grid
            assert (size / grid).denominator == 1


def counted_by_thickness(resolved: ResolvedDesign) -> Fraction:
    """The thickness of all closed layers beyond that of their paper, in photographs."""
    closed = work_of(resolved).closed
    lying = from_far_to_near(closed, Look(2, 1))
    areas = {key: shape_of(closed.plates[key]).area for key in lying}
    # Between the outermost that are no small part of it, neither of which is a photo mat.
    wide = [key for key in lying if areas[key] > 0.5 * max(areas.values())]
    layers = ClosedLayers(resolved).between(wide[0], wide[-1])
    paper = sum(
        resolved.pieces[face.piece].stock.caliper * resolved.pieces[face.piece].source.count
        for face in layers
    )
    return (sum(layer.thickness for layer in layers.values()) - paper) / PHOTOGRAPH


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_the_check_of_thickness_counts_the_same_pictures(path: object) -> None:
    resolved = shipped(path.stem)  # type: ignore[attr-defined]
    assert counted_by_thickness(resolved) == sum(p.count for p in photo_places(resolved))


LOOSE = """\
card: {from: night, size: 6 x 4}
front_photo: {as: photo mat, from: night, size: 3 x 2, on: card, left: 0, top: 0}
back_photo: {as: photo mat, from: night, size: 2 x 3, on_back: card}
page: {from: night, size: 5 x 5, count: 3}
page_photo: {as: photo mat, from: night, size: 4 1/3 x 3, on: page}
"""


def test_backs_and_loose_pages_come_after_the_front_and_copies_count() -> None:
    design = made(LOOSE)
    places = photo_places(design)
    rows = [
        (p.number, p.piece.key, view.body, p.side, p.count)
        for view in photo_views(design)
        for p in view.places
    ]
    assert rows == [
        (1, "front_photo", "card", "front", 1),
        (2, "back_photo", "card", "back", 1),
        (3, "page_photo", "page", "front", 3),
    ]
    sizes = photo_sizes(places)
    assert [(size.count, size.numbers) for size in sizes] == [(3, (3,)), (2, (1, 2))]


def test_leaves_that_stand_behind_one_another_are_each_looked_at_alone() -> None:
    """The design: five pages stand on their hinges; the third has a mat on its front, the fourth on
    its back, and the pages were hung before the mats."""
    views = photo_views(structure("hinged-album"))
    found = [(place.piece.key, view.body, view.side) for view in views for place in view.places]
    assert found == [("page_3_mat", "page_3", "front"), ("page_4_mat", "page_4", "back")]


def test_a_place_inside_of_a_closed_card_is_seen_when_the_card_is_still_open() -> None:
    """The design: the card is closed and slid into the envelope; its photo mat was glued before."""
    (view,) = photo_views(shipped("letter-envelope"))
    assert (view.body, view.side, view.is_open_work) == ("letter_card", "front", False)
    assert "envelope" not in view.assembly.pieces
    assert not view.assembly.angles, "the card lies open"
