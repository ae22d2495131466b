"""Pieces: sizes, outlines, faces, scores, tabs and openings against hand-computed figures."""

from __future__ import annotations

import math
from collections.abc import Callable
from fractions import Fraction

import pytest
from shapely.geometry import Polygon

from gatherfold.formulas import Pair, Quantity
from gatherfold.geometry.outline import Arc, Outline, area, bounds, flattened
from gatherfold.lengths import INCH
from gatherfold.resolve import ResolvedDesign
from gatherfold.resolve.edition import IMPERIAL, METRIC
from gatherfold.resolve.resolved import ResolvedPiece

Resolver = Callable[..., ResolvedDesign]
SQUARE_INCH = float(INCH) ** 2


def one(resolved: Resolver, piece: str) -> ResolvedPiece:
    return resolved(f"one: {{from: night, {piece}}}").pieces["one"]


def square_inches(outline: Outline) -> float:
    """The area by the program, which shapely must find too."""
    shape = Polygon(flattened(outline, 32))
    assert shape.is_valid
    assert shape.area == pytest.approx(area(outline))
    return shape.area / SQUARE_INCH


@pytest.mark.parametrize(
    ("piece", "expected"),
    [
        ("size: 4 x 6", 24),
        ("size: 4 x 6, corners: {all: notch 1 x 1/2}", 24 - 4 * 0.5),
        ("size: 4 x 6, corners: {top: mitre 1/2}", 24 - 2 * 0.125),
        ("size: 4 x 6, corners: {left: mitre 1 x 3}", 24 - 2 * 1.5),
        ("size: 4 x 6, corners: {all: round 1/2}", 24 - (4 - math.pi) * 0.25),
        ("size: 4 x 6, corners: {bottom right: round 1}", 24 - (1 - math.pi / 4)),
        ("size: 4 x 4, corners: {all: round 2}", math.pi * 4),
        ("size: 4 x 4, corners: {all: mitre 2}", 8),
        ("size: 4 x 6, thumb_notch: {top: 1/2}", 24 - math.pi / 8),
        ("size: 4 x 6, thumb_notch: {left: 1, right: 1}", 24 - math.pi),
        ("size: 4 x 6, corners: {top: round 1}, thumb_notch: {top: 1}", 24 - 2),
    ],
)  # fmt: skip
def test_areas(resolved: Resolver, piece: str, expected: float) -> None:
    outline = one(resolved, piece).outline
    assert square_inches(outline) == pytest.approx(expected, rel=1e-3)
    assert area(outline) > 0, "outlines run counter-clockwise"
    for before, after in zip(outline.edges, outline.edges[1:] + outline.edges[:1], strict=True):
        assert before.end == after.start
        assert before.start != before.end


def test_the_size_of_the_outline_is_that_of_the_piece(resolved: Resolver) -> None:
    piece = one(resolved, "size: 4 x 6, corners: {all: round 1/2}, thumb_notch: {bottom: 1/2}")
    box = bounds(piece.outline)
    assert (box.left, box.bottom, box.width, box.height) == (0, 0, 4 * INCH, 6 * INCH)
    assert not piece.is_plain
    assert one(resolved, "size: 4 x 6").is_plain


def test_a_thumb_notch_bites_inward_at_the_middle(resolved: Resolver) -> None:
    piece = one(resolved, "size: 4 x 6, thumb_notch: {top: 1/2}")
    (arc,) = [edge for edge in piece.outline.edges if isinstance(edge, Arc)]
    assert arc.clockwise
    assert (arc.centre.x, arc.centre.y) == (2 * INCH, 6 * INCH)
    lowest = min(y for _, y in flattened(Outline((arc,)), 16))
    assert lowest == pytest.approx(float(5.5 * float(INCH)))


def test_sections_make_faces_and_scores(resolved: Resolver) -> None:
    sections = "{tab: 3/4, gusset: {size: 1/4, fold: mountain}, far: 1}"
    piece = one(resolved, f"across: {sections}, height: 10")
    assert (piece.width, piece.height) == (2 * INCH, 10 * INCH)
    assert [(f.name, f.box.left / INCH, f.box.right / INCH) for f in piece.faces] == [
        ("tab", 0, Fraction(3, 4)),
        ("gusset", Fraction(3, 4), 1),
        ("far", 1, 2),
    ]
    assert [(s.axis, s.at / INCH, s.fold, s.closed, s.sides) for s in piece.scores] == [
        ("vertical", Fraction(3, 4), "mountain", 90, ("tab", "gusset")),
        ("vertical", 1, "valley", 90, ("gusset", "far")),
    ]
    assert all((score.start, score.end) == (0, 10 * INCH) for score in piece.scores)


def test_one_fold_alone_closes_flat(resolved: Resolver) -> None:
    piece = one(resolved, "up: {back: 5, front: 5}, width: 7")
    assert [(s.axis, s.at / INCH, s.closed) for s in piece.scores] == [("horizontal", 5, 180)]


def test_fold_and_angle_for_all_sections_at_once(resolved: Resolver) -> None:
    piece = one(
        resolved,
        "fold: mountain, closed: 180, height: 2, across: "
        "{a: 1, b: 1, c: {size: 1, fold: valley}, d: {size: 1, closed: 90}}",
    )
    assert [(s.fold, s.closed) for s in piece.scores] == [
        ("mountain", 180),
        ("valley", 180),
        ("mountain", 90),
    ]


TRAY = """
tray:
  from: night
  across: {left: 1, base: 4, right: 1}
  up: {low: 1, base: 3, high: 1}
  corners: {all: notch 1 x 1}
"""


def test_a_notched_grid_loses_its_corner_cells(resolved: Resolver) -> None:
    tray = resolved(TRAY).pieces["tray"]
    assert {face.name for face in tray.faces} == {"left", "base", "right", "low", "high"}
    assert (tray.width, tray.height) == (6 * INCH, 5 * INCH)
    assert square_inches(tray.outline) == pytest.approx(6 * 5 - 4)
    assert {(s.axis, s.at / INCH, s.start / INCH, s.end / INCH) for s in tray.scores} == {
        ("vertical", 1, 1, 4),
        ("vertical", 5, 1, 4),
        ("horizontal", 1, 1, 5),
        ("horizontal", 4, 1, 5),
    }


def test_the_base_that_both_directions_share_has_two_sizes(resolved: Resolver) -> None:
    found = resolved(
        TRAY + "strip: {from: night, width: tray.base.height, height: tray.low}",
        "measures: {base: tray.base, wide: tray.base.width}",
    )
    assert (found.pieces["strip"].width, found.pieces["strip"].height) == (3 * INCH, INCH)
    assert found.measures["base"] == Pair(4 * INCH, 3 * INCH)
    assert found.measures["wide"] == Quantity(4 * INCH, 1)


def test_tabs_stand_in_the_notches(resolved: Resolver) -> None:
    tabs = "  tabs: {left: {top: 1/2, bottom: 3/4, taper: 1/8}, right: {top: 1/2, taper: 1/4}}\n"
    tray = resolved(TRAY + tabs).pieces["tray"]
    trapezoids = 0.5 * (1 - 0.125) + 0.75 * (1 - 0.125) + 0.5 * (1 - 0.25)
    assert square_inches(tray.outline) == pytest.approx(6 * 5 - 4 + trapezoids)
    tab = tray.face("left_top_tab").box
    assert [side / INCH for side in (tab.left, tab.bottom, tab.right, tab.top)] == [0, 4, 1, 4.5]
    of_tabs = [s for s in tray.scores if any("tab" in side for side in s.sides)]
    assert {(s.at / INCH, s.start / INCH, s.end / INCH, s.sides) for s in of_tabs} == {
        (4, 0, 1, ("left", "left_top_tab")),
        (1, 0, 1, ("left_bottom_tab", "left")),
        (4, 5, 6, ("right", "right_top_tab")),
    }
    assert (tray.width, tray.height) == (6 * INCH, 5 * INCH)


def test_tabs_on_upright_edges(resolved: Resolver) -> None:
    tabs = "  tabs: {low: {left: 1/2, right: 1/2, taper: 1/8}}\n"
    tray = resolved(TRAY + tabs).pieces["tray"]
    assert square_inches(tray.outline) == pytest.approx(6 * 5 - 4 + 2 * 0.5 * (1 - 0.125))
    box = tray.face("low_right_tab").box
    assert [side / INCH for side in (box.left, box.bottom, box.right, box.top)] == [5, 0, 5.5, 1]


def test_a_piece_can_lie_on_a_tab(resolved: Resolver) -> None:
    tabs = "  tabs: {left: {top: 1/2, taper: 1/8}}\n"
    mat = "mat: {from: night, on: tray.left_top_tab, leaving: 1/8}"
    piece = resolved(TRAY + tabs + mat).pieces["mat"]
    assert (piece.width / INCH, piece.height / INCH) == (Fraction(3, 4), Fraction(1, 4))


def test_corners_of_single_sections(resolved: Resolver) -> None:
    shaped = TRAY.replace("{all: notch 1 x 1}", "{all: notch 1 x 1, high top: round 1/2, "
                          "left left: mitre 1 x 1/4, right top right: mitre 1/2}")  # fmt: skip
    tray = resolved(shaped).pieces["tray"]
    cut = 2 * (0.25 - math.pi / 16) + 2 * 0.125 + 0.125
    assert square_inches(tray.outline) == pytest.approx(6 * 5 - 4 - cut, rel=1e-4)


def test_openings_are_placed_from_the_edges(resolved: Resolver) -> None:
    piece = one(
        resolved,
        "size: 4 x 6, hole: {diameter: 1/4, top: 3/8}, "
        "window: [{size: 2 x 1, bottom: 1}, {size: 1 x 1, right: 1/2, top: 1/2}]",
    )
    (hole,) = piece.holes
    assert (hole.centre.x / INCH, hole.centre.y / INCH) == (2, 6 - Fraction(3, 8))
    first, second = (bounds(window) for window in piece.windows)
    assert [s / INCH for s in (first.left, first.bottom, first.right, first.top)] == [1, 1, 3, 2]
    assert [s / INCH for s in (second.left, second.bottom)] == [2.5, 4.5]


def test_keep_off_areas(resolved: Resolver) -> None:
    found = resolved(
        """
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, leaving: 1, glue: left, keep_off: {top: 2, bottom left: 1 x 3}}
        """
    )
    glue = found.pieces["mat"].glue
    assert glue.edges == ("left",)
    boxes = [[side / INCH for side in (b.left, b.bottom, b.right, b.top)] for b in glue.keep_off]
    assert boxes == [[0, 7, 6, 9], [0, 0, 1, 3]]


def test_codes_are_a_letter_for_the_stock_and_a_number(resolved: Resolver) -> None:
    found = resolved(
        """
        a: {from: night, size: 1 x 1}
        b: {from: cloud, size: 1 x 1}
        c: {from: night, size: 1 x 1}
        """
    )
    assert [piece.code for piece in found.pieces.values()] == ["A1", "B1", "A2"]


# Fits that every paper crafter knows; common practice, no source.


def test_a_panel_and_its_mat(resolved: Resolver) -> None:
    """Common practice, no source: 8 × 11 in with a reveal of ⅛ in takes a mat of 7¾ × 10¾ in."""
    pieces = """
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, leaving: 1/8}
        """
    mat = resolved(pieces).pieces["mat"]
    written = IMPERIAL.units.size_text(mat.width, mat.height)
    assert written.replace("\N{NO-BREAK SPACE}", " ") == "7¾ × 10¾ in"
    assert mat.offsets is not None
    assert mat.offsets.is_even
    metric = resolved(pieces, edition=METRIC).pieces["mat"]
    assert (metric.width, metric.height) == (203 - 6, 279 - 6)


def test_a_flap_its_photo_mat_and_two_strips(resolved: Resolver) -> None:
    """Common practice, no source: 6¾ × 4 in less a mat of 6 × 4 leaves two strips of ⅜ in."""
    pieces = resolved(
        """
        flap: {from: night, size: 6 3/4 x 4}
        mat: {from: night, size: 6 x 4, on: flap}
        strip: {from: night, width: (flap.width - mat.width) / 2, height: 4, on: flap, left: 0}
        """
    ).pieces
    assert pieces["strip"].width == Fraction(3, 8) * INCH
    offsets = pieces["mat"].offsets
    assert offsets is not None
    assert offsets.left == offsets.right == pieces["strip"].width


def test_two_photo_mats_fill_a_place(resolved: Resolver) -> None:
    """Common practice, no source: two photo mats of 3 × 4 in fill a place of 6 × 4 in."""
    for edition in (IMPERIAL, METRIC):
        pieces = resolved(
            """
            place: {from: night, size: 6 x 4}
            first: {from: cloud, width: place.width / 2, height: place.height, on: place, left: 0}
            second: {from: cloud, width: place.width / 2, height: place.height, on: place, right: 0}
            """,
            edition=edition,
        ).pieces
        assert pieces["first"].width + pieces["second"].width == pieces["place"].width
        first, second = pieces["first"].offsets, pieces["second"].offsets
        assert first is not None and second is not None
        assert first.right == pieces["second"].width == pieces["first"].width
        assert second.left == pieces["first"].width


def test_a_sheet_of_twelve_inches_is_304_8_mm_in_both_editions(resolved: Resolver) -> None:
    """Common practice, no source: 2¾ off the bottom and 3¼ off the top of 12 leaves 6."""
    for edition in (IMPERIAL, METRIC):
        found = resolved("a: {from: night, size: 12 - 2 3/4 - 3 1/4 x 1}", edition=edition)
        assert found.stocks["night"].sheet_width == Fraction("304.8")
    assert resolved("a: {from: night, size: 12 - 2 3/4 - 3 1/4 x 1}").pieces["a"].width == 6 * INCH
