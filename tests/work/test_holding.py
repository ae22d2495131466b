"""What is closed for good, by which step, and what holds closed work shut."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.reading import read_design_file
from builder.resolve import resolve
from builder.resolve.edition import METRIC
from builder.shipped import DESIGNS
from builder.work import FaceKey, Work, work_of
from builder.work.finished import holds
from builder.work.piercing import set_in

STRUCTURES = Path(__file__).parent.parent / "designs"


def work(path: Path) -> Work:
    return work_of(resolve(read_design_file(path), METRIC))


@pytest.mark.parametrize(
    ("path", "pieces"),
    [
        (DESIGNS / "observatory-folio.yaml", ["band_back"]),
        (DESIGNS / "letter-envelope.yaml", ["seal"]),
        (DESIGNS / "keepsake-box.yaml", []),
        (STRUCTURES / "belly-band.yaml", ["band"]),
        (STRUCTURES / "four-flaps.yaml", ["seal"]),
        # Nothing holds these but themselves.
        (STRUCTURES / "sleeve-tray.yaml", []),
        (STRUCTURES / "box-in-box.yaml", []),
        (STRUCTURES / "covered-board.yaml", []),
        (STRUCTURES / "hinged-album.yaml", []),
    ],
    ids=lambda each: each.stem if isinstance(each, Path) else "",
)
def test_what_holds_the_closed_work_shut(path: Path, pieces: list[str]) -> None:
    """By the designs: a band that is glued to itself goes round, a seal is glued over a flap; the
    walls of a box and what is turned in stay by their own glue."""
    assert [hold.piece for hold in holds(work(path))] == pieces


def test_what_is_closed_for_good_by_which_step() -> None:
    """By hand: the glued bottom flap shuts the side flaps under it; the seal shuts the top flap and
    with it the lining that is glued to that."""
    shut = work(DESIGNS / "letter-envelope.yaml").shut
    assert [(str(each.fold), each.step, each.operation) for each in shut] == [
        ("envelope.left_flap", 5, "close"),
        ("envelope.right_flap", 5, "close"),
        ("envelope.bottom_flap", 5, "close"),
        ("envelope.top_flap", 8, "attach"),
        ("lining.flap", 8, "attach"),
    ]


def test_a_fastening_is_set_in_the_work_as_it_is_then() -> None:
    """By the design: when the front ribbon is fastened, no mat hides its hole yet; the latch is
    pierced through the inner mat."""
    folio = work(DESIGNS / "observatory-folio.yaml")
    assembly, faces = set_in(folio, "front_tie_brad")
    assert faces == (FaceKey("front_cover", "face"), FaceKey("left_hinge", "cover_tab"))
    assert "front_inner_mat" not in assembly.pieces
    assembly, faces = set_in(folio, "latch_brad")
    assert [face.piece for face in faces] == ["latch", "back_inner_mat", "back_cover"]
    assert "back_outer_mat" not in assembly.pieces
