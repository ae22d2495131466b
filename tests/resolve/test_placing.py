"""Where faces lie in space in each state, by hand-computed places."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

import pytest

from gatherfold.geometry.pose import Vector
from gatherfold.lengths import INCH
from gatherfold.resolve import ResolvedDesign
from gatherfold.work import work_of
from tests.works import PlacedFace, faces_in

Resolver = Callable[..., ResolvedDesign]


def placed(found: ResolvedDesign, state: str, piece: str, face: str = "face") -> PlacedFace:
    return next(f for f in faces_in(found, state) if (f.piece, f.face) == (piece, face))


def corner(found: ResolvedDesign, state: str, piece: str, face: str = "face") -> tuple[float, ...]:
    """Where the lower left corner of a face lies, in inches."""
    box = found.pieces[piece].face(face).box
    return inches(placed(found, state, piece, face).pose.apply((box.left, box.bottom, 0)))


def inches(place: Vector) -> tuple[float, ...]:
    return tuple(float(side / INCH) for side in place)


def order(found: ResolvedDesign, state: str) -> list[str]:
    return [f"{f.piece}.{f.face}".removesuffix(".face") for f in faces_in(found, state)]


BACK = "back: {from: night, size: 8 x 11}\n"


@pytest.mark.parametrize(
    ("placement", "place"),
    [
        ("on: back", (3, 5, 0)),
        ("on: back, left: 1", (1, 5, 0)),
        ("on: back, right: 1, top: 1/2", (5, 9.5, 0)),
        ("on: back, bottom: -1", (3, -1, 0)),
        ("behind: back, left: 1", (1, 5, 0)),
        ("on: back, left: 1, raised: 1/4", (1, 5, 0.25)),
        ("behind: back, left: 1, raised: 1/4", (1, 5, -0.25)),
        ("on_back: back, left: 1", (7, 5, 0)),
        ("on_back: back, left: 1, raised: 1/4", (7, 5, -0.25)),
        ("on: back, left: 1, bottom: 2, turned: 90", (2, 2, 0)),
        ("on: back, left: 1, bottom: 2, turned: 180", (3, 3, 0)),
        ("on: back, left: 1, bottom: 2, turned: 270", (1, 4, 0)),
    ],
)
def test_a_label_of_two_by_one_on_a_panel(
    resolved: Resolver, placement: str, place: tuple[float, ...]
) -> None:
    found = resolved(f"{BACK}label: {{from: night, size: 2 x 1, {placement}}}")
    assert corner(found, "open", "label") == place


def test_what_lies_on_the_back_looks_away_and_stands_upright(resolved: Resolver) -> None:
    found = resolved(BACK + "label: {from: night, size: 2 x 1, on_back: back}")
    pose = placed(found, "open", "label").pose
    assert pose.normal == (0, 0, -1)
    assert [row[1] for row in pose.rotation] == [0, 1, 0]


def test_layers_in_order(resolved: Resolver) -> None:
    """What is laid down lies on what is there; what is slid into a pocket lies behind it."""
    found = resolved(
        """
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, leaving: 1/8}
        pocket: {from: night, size: 6 x 3, on: mat, bottom: 0, glue: "left, bottom, right"}
        tag: {from: night, size: 4 x 4, inside: pocket, bottom: 1/2}
        tag_mat: {from: night, on: tag, leaving: 1/8}
        pocket_mat: {from: night, on: pocket, leaving: 1/8}
        outer: {from: night, on_back: back, leaving: 1/8}
        plate: {from: night, size: 2 x 1, on: outer}
        band: {from: night, size: 8 x 2, behind: back}
        """,
        """
        steps:
          - title: Glue
            text: Glue it.
            cut: all
            attach: mat, tag_mat, pocket_mat, pocket, outer, plate, band
          - {title: Fill, text: Fill it., insert: tag}
        """,
    )
    assert work_of(found).problems == ()
    assert order(found, "open") == [
        "band", "plate", "outer", "back", "mat", "tag", "tag_mat", "pocket", "pocket_mat",
    ]  # fmt: skip


STRIP = """
strip:
  from: night
  across: {a: 1, b: 2, c: 1, d: 2}
  height: 3
"""


def test_a_strip_folds_round_a_block(resolved: Resolver) -> None:
    """Kept flat at 'b' (1 to 3): the walls a and c stand on its left and right, d lies over it."""
    found = resolved(STRIP)
    assert found.pieces["strip"].by == "b"
    assert corner(found, "open", "strip", "d") == (4, 0, 0)
    assert corner(found, "closed", "strip", "b") == (1, 0, 0)
    pose = placed(found, "closed", "strip", "c").pose
    assert inches(pose.apply((4 * INCH, 3 * INCH, 0))) == (3, 3, 1)
    pose = placed(found, "closed", "strip", "a").pose
    assert inches(pose.apply((0 * INCH, 0 * INCH, 0))) == (1, 0, 1)
    pose = placed(found, "closed", "strip", "d").pose
    assert inches(pose.apply((6 * INCH, 3 * INCH, 0))) == (1, 3, 1)
    assert pose.normal == (0, 0, -1)


def test_mountains_fold_away(resolved: Resolver) -> None:
    found = resolved(STRIP + "  fold: mountain\n")
    pose = placed(found, "closed", "strip", "d").pose
    assert inches(pose.apply((6 * INCH, 3 * INCH, 0))) == (1, 3, -1)


def test_closing_one_section_after_another(resolved: Resolver) -> None:
    pieces = """
        cross:
          from: night
          closed: 180
          across: {left: 2, base: 4, right: 2}
          up: {low: 2, base: 4, high: 2}
          corners: {all: notch 2 x 2}
        """
    found = resolved(pieces, "closing: [cross.high, cross.left, cross.right, cross.low]")
    assert order(found, "closed") == [
        f"cross.{face}" for face in ("base", "high", "left", "right", "low")
    ]
    again = resolved(pieces, "closing: [cross.low, cross.left]")
    assert order(again, "closed")[-2:] == ["cross.low", "cross.left"], "what is named closes last"
    for face in ("high", "right", "low", "left"):
        assert placed(again, "closed", "cross", face).pose.normal == (0, 0, -1), "all closes"


def test_what_lies_on_a_moving_section_moves_with_it(resolved: Resolver) -> None:
    found = resolved(
        """
        card: {from: night, up: {back_half: 5, front_half: 5}, width: 7}
        plate: {from: night, size: 2 x 1, on_back: card.front_half}
        photo: {from: night, size: 6 x 4, on: card.front_half}
        """
    )
    # Without a word of the design, the first half stays, and the other closes over it.
    assert found.pieces["card"].by == "back_half"
    assert placed(found, "closed", "card", "back_half").pose.normal == (0, 0, 1)
    assert placed(found, "closed", "card", "front_half").pose.normal == (0, 0, -1)
    found = resolved(
        """
        base: {from: night, size: 9 x 9}
        card: {from: night, up: {back_half: 4, front_half: 4}, width: 7, on: base, by: back_half}
        plate: {from: night, size: 2 x 1, on_back: card.front_half}
        photo: {from: night, size: 6 x 3, on: card.front_half}
        """,
        """
        steps:
          - {title: Cover, text: Cover it., cut: all, score: card, attach: "plate, photo"}
          - {title: Close, text: Close it., attach: card, close: all}
        """,
    )
    # The plate lies behind the front half, beside the back half: only these are layers.
    in_order = ["base", "plate", "card.front_half", "photo"]
    assert [each for each in order(found, "open") if each in in_order] == in_order
    assert order(found, "closed")[-3:] == ["photo", "card.front_half", "plate"]
    assert placed(found, "closed", "plate").pose.normal == (0, 0, 1)
    assert placed(found, "closed", "photo").pose.normal == (0, 0, -1)


def test_the_main_body_is_placed_and_loose_pieces_are_not(resolved: Resolver) -> None:
    found = resolved(
        """
        loose: {from: night, size: 1 x 1}
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, leaving: 1/8}
        """
    )
    assert order(found, "open") == ["back", "mat"]


def brad(through: str, more: str = "") -> str:
    kind = "kind: brad, head: 1/4 in, leg: 3/8 in"
    return f"fastenings:\n  pin: {{{kind}, through: '{through}'{more}}}\n"


def test_holes_line_up_through_layers(resolved: Resolver) -> None:
    found = resolved(
        """
        back: {from: night, size: 8 x 11}
        mat: {from: night, on: back, left: 1, bottom: 2, top: 2, right: 1}
        outer: {from: night, size: 6 x 9, on_back: back, left: 1/2, bottom: 1}
        turned: {from: night, size: 4 x 4, on: mat, left: 1, bottom: 1, turned: 90}
        """,
        brad("turned, mat, back, outer", ", left: 1, bottom: 1/2"),
    )
    holes = {
        key: (piece.holes[0].centre.x / INCH, piece.holes[0].centre.y / INCH)
        for key, piece in found.pieces.items()
    }
    # turned by 90: its (1, ½) lies 4 − ½ from its left corner: mat (1 + 3½, 1 + 1), back + (1, 2),
    # and on the outside, seen from behind: 8 − 5½ − ½ from its left.
    assert holes == {
        "turned": (1, 0.5),
        "mat": (4.5, 2),
        "back": (5.5, 4),
        "outer": (2, 3),
    }
    poses = {f.piece: f.pose for f in faces_in(found, "open")}
    places = {
        poses[key].apply((p.holes[0].centre.x, p.holes[0].centre.y, 0))
        for key, p in found.pieces.items()
    }
    assert len(places) == 1


@pytest.mark.parametrize(
    ("where", "place"),
    [("", (4, 5.5)), (", left: 1", (1, 5.5)), (", right: 1, top: 1", (7, 10))],
)
def test_where_a_fastening_goes(resolved: Resolver, where: str, place: tuple[float, float]) -> None:
    found = resolved(BACK, brad("back", where))
    (hole,) = found.pieces["back"].holes
    assert (hole.centre.x / INCH, hole.centre.y / INCH) == place
    assert hole.fastening == "pin"
    assert hole.diameter < found.fastenings["pin"].head
    assert found.fastenings["pin"].leg == Fraction(3, 8) * INCH
