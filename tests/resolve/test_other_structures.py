"""A box with a lid and an envelope: the same language, checked by hand-computed places."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from gatherfold.formulas import Quantity
from gatherfold.geometry.outline import flattened
from gatherfold.geometry.pose import Vector
from gatherfold.lengths import INCH, is_on_grid
from gatherfold.model.design import Design
from gatherfold.reading import read_design
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import Edition, ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.work import pierced, work_of
from gatherfold.work.finished import lying_open
from tests.works import faces_in, shipped

DESIGNS = Path(__file__).parents[2] / "designs"
BOTH = pytest.mark.parametrize("edition", (IMPERIAL, METRIC), ids=lambda edition: edition.name)


def design(name: str) -> Design:
    return read_design_file(DESIGNS / f"{name}.yaml")


def box_of(edition: Edition) -> ResolvedDesign:
    return shipped("keepsake-box", edition.name)


def envelope_of(edition: Edition) -> ResolvedDesign:
    return shipped("letter-envelope", edition.name)


def corners(found: ResolvedDesign, piece: str, face: str, state: str = "closed") -> set[Vector]:
    box = found.pieces[piece].face(face).box
    pose = next(f.pose for f in faces_in(found, state) if (f.piece, f.face) == (piece, face))
    return {pose.apply((x, y, 0)) for x in (box.left, box.right) for y in (box.bottom, box.top)}


def normal(found: ResolvedDesign, piece: str, face: str = "face") -> tuple[int, int, int]:
    faces = faces_in(found, "closed")
    return next(f.pose.normal for f in faces if (f.piece, f.face) == (piece, face))


def measure(found: ResolvedDesign, name: str) -> Fraction:
    value = found.measures[name]
    assert isinstance(value, Quantity)
    return value.value


def spread(places: set[Vector], axis: int) -> tuple[Fraction, Fraction]:
    values = [place[axis] for place in places]
    return min(values), max(values)


@BOTH
@pytest.mark.parametrize("name", ["keepsake-box", "letter-envelope"])
def test_every_outline_is_sound(name: str, edition: Edition) -> None:
    found = shipped(name, edition.name)
    assert 8 <= len(found.pieces) <= 17
    for piece in found.pieces.values():
        shape = Polygon(flattened(piece.outline))
        assert shape.is_valid, piece.key
        left, bottom, right, top = shape.bounds
        assert (left, bottom) == pytest.approx((0, 0), abs=1e-9)
        assert (right, top) == pytest.approx((float(piece.width), float(piece.height)))
        assert is_on_grid(piece.width, edition.finest)
        assert is_on_grid(piece.height, edition.finest)


def test_the_blanks_worked_out_by_hand() -> None:
    """Base 5½ × 4 with walls of 2; the lid is 1/16 wider on each side with sides of 1¼."""
    pieces = box_of(IMPERIAL).pieces
    assert (pieces["tray"].width / INCH, pieces["tray"].height / INCH) == (9.5, 8)
    assert (pieces["lid"].width / INCH, pieces["lid"].height / INCH) == (8.125, 6.625)
    tabs = 4 * Fraction(3, 4) * (2 - Fraction(1, 8))
    area = Polygon(flattened(pieces["tray"].outline)).area / float(INCH) ** 2
    assert area == pytest.approx(float(Fraction(19, 2) * 8 - 4 * 4 + tabs))


def test_the_metric_blanks_worked_out_by_hand() -> None:
    """5½ in → 140, 4 in → 102, 2 in → 51, 1¼ in → 32; the lid's gap, 1/16 in → 2 mm."""
    pieces = box_of(METRIC).pieces
    assert (pieces["tray"].width, pieces["tray"].height) == (140 + 102, 102 + 102)
    assert (pieces["lid"].width, pieces["lid"].height) == (144 + 64, 106 + 64)


@BOTH
def test_the_tray_stands_upright(edition: Edition) -> None:
    found = box_of(edition)
    base = corners(found, "tray", "base")
    left, right = spread(base, 0)
    front, back = spread(base, 1)
    height = found.pieces["tray"].face("left_wall").box.width
    assert spread(base, 2) == (0, 0)
    for face, axis, at in (
        ("left_wall", 0, left),
        ("right_wall", 0, right),
        ("front_wall", 1, front),
        ("back_wall", 1, back),
    ):
        places = corners(found, "tray", face)
        assert spread(places, axis) == (at, at), f"{face} is upright"
        assert spread(places, 2) == (0, height)
        assert spread(places, 1 - axis) == spread(base, 1 - axis), (
            "it reaches from corner to corner"
        )
    assert normal(found, "tray", "left_wall") == (1, 0, 0), "its front looks into the tray"
    assert normal(found, "tray_left_mat") == (-1, 0, 0), "its mat looks out"


@BOTH
def test_the_tabs_lie_against_the_neighbouring_walls(edition: Edition) -> None:
    found = box_of(edition)
    for side in ("left", "right"):
        for edge, neighbour in (("top", "back"), ("bottom", "front")):
            tab = corners(found, "tray", f"{side}_wall_{edge}_tab")
            wall = corners(found, "tray", f"{neighbour}_wall")
            assert spread(tab, 1) == spread(wall, 1)
            assert spread(tab, 2) == spread(wall, 2)
            (low, high), (wall_low, wall_high) = spread(tab, 0), spread(wall, 0)
            assert wall_low <= low < high <= wall_high
            assert (low == wall_low) == (side == "left")


@BOTH
def test_the_lid_goes_over_the_tray(edition: Edition) -> None:
    found = box_of(edition)
    gap = measure(found, "lid_gap")
    thickness = found.stocks["umber"].caliper
    assert gap >= 2 * thickness, "it clears the wall and the tab inside it"
    panel, base = corners(found, "lid", "panel"), corners(found, "tray", "base")
    tray_top = spread(corners(found, "tray", "back_wall"), 2)[1]
    assert spread(panel, 2) == (tray_top, tray_top)
    for axis in (0, 1):
        (low, high), (base_low, base_high) = spread(panel, axis), spread(base, axis)
        assert base_low - low == high - base_high == gap
    side = found.pieces["lid"].face("left_side").box.width
    for face in ("left_side", "right_side", "front_side", "back_side"):
        assert spread(corners(found, "lid", face), 2) == (tray_top - side, tray_top)
    assert normal(found, "lid", "panel") == (0, 0, 1)
    assert normal(found, "lid_mat") == (0, 0, 1)
    assert normal(found, "lid", "left_side") == (-1, 0, 0), "its front looks out"
    assert normal(found, "lid_left_mat") == (-1, 0, 0)


def test_the_lid_is_there_only_when_the_box_is_closed() -> None:
    found = box_of(IMPERIAL)
    of_lid = {"lid", "lid_mat", "name_plate", "plate_mat"}
    assert of_lid <= {face.piece for face in faces_in(found, "closed")}
    assert not of_lid & set(lying_open(work_of(found)).pieces)


def test_thicker_card_makes_a_wider_lid() -> None:
    text = (DESIGNS / "keepsake-box.yaml").read_bytes()
    thick = text.replace(b"weight: 100 lb cover", b"weight: 100 lb cover\n    caliper: 0.9 mm")
    assert thick != text
    found = pierced(resolve(read_design(thick, "thick.yaml"), METRIC))
    assert found.pieces["lid"].face("panel").box.width == 140 + 2 * 2


@BOTH
def test_the_envelope_closes_over_its_card(edition: Edition) -> None:
    found = envelope_of(edition)
    order = [(f.piece, f.face) for f in faces_in(found, "closed")]
    inside_out = [
        ("address_mat", "face"),
        ("envelope", "body"),
        ("lining", "body"),
        ("letter_card", "back_half"),
        ("letter_card", "front_half"),
        ("envelope", "left_flap"),
        ("envelope", "right_flap"),
        ("envelope", "bottom_flap"),
        ("lining", "flap"),
        ("envelope", "top_flap"),
        ("seal", "face"),
    ]
    assert [face for face in order if face in inside_out] == inside_out
    body = corners(found, "envelope", "body")
    for face in ("left_flap", "right_flap", "bottom_flap", "top_flap"):
        places = corners(found, "envelope", face)
        assert normal(found, "envelope", face) == (0, 0, -1)
        for axis in (0, 1):
            low, high = spread(body, axis)
            assert low <= spread(places, axis)[0] <= spread(places, axis)[1] <= high
    for half in ("back_half", "front_half"):
        card = corners(found, "letter_card", half)
        for axis in (0, 1):
            assert spread(body, axis)[0] < spread(card, axis)[0]
            assert spread(card, axis)[1] < spread(body, axis)[1]


@BOTH
def test_the_lining_folds_where_the_flap_folds(edition: Edition) -> None:
    found = envelope_of(edition)
    pieces = found.pieces
    (fold,) = pieces["lining"].scores
    body = pieces["envelope"].face("body").box
    pose = next(f.pose for f in faces_in(found, "open") if f.piece == "lining")
    assert pose.apply((fold.start, fold.at, 0))[1] == body.top
    flap = spread(corners(found, "envelope", "top_flap"), 1)
    lining = spread(corners(found, "lining", "flap"), 1)
    assert lining[0] - flap[0] == measure(found, "reveal")
    assert lining[1] == flap[1] == body.top


def test_the_seal_looks_out_when_the_envelope_is_closed() -> None:
    assert normal(envelope_of(IMPERIAL), "seal") == (0, 0, 1)
    assert normal(envelope_of(IMPERIAL), "card_front_mat") == (0, 0, 1)


def test_corners_keep_their_own_sizes_beside_shaped_flaps() -> None:
    """Side flaps of 1, bottom flap of 3¼, top flap of 3: notches of 1 × 3¼ and 1 × 3."""
    sizes = envelope_of(IMPERIAL).pieces["envelope"].corner_sizes
    for where, width, height in (
        ("bottom left", "1", "13/4"),
        ("top right", "1", "3"),
        ("top_flap top left", "1", "1"),
        ("bottom_flap bottom right", "1/4", "13/4"),
    ):
        found = sizes[where].width / INCH, sizes[where].height / INCH
        assert found == (Fraction(width), Fraction(height)), where
