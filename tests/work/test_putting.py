"""What is slid in lies in the gap that it is meant for."""

from __future__ import annotations

import pytest

from gatherfold.model.choices import EditionName
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS
from gatherfold.work import FaceKey, work_of


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_tag_lies_before_the_photograph_beside_the_pocket_and_behind_the_pocket(
    side: str, edition: EditionName
) -> None:
    """The design: the pocket stands on the mat of the flap, a photograph is glued on that above it,
    and the tag stands out of the pocket over a quarter of an inch of the photograph."""
    work = work_of(resolve(read_design_file(DESIGNS / "observatory-folio.yaml"), EDITIONS[edition]))
    keys = [f"{side}_{name}" for name in ("flap", "flap_mat", "flap_photo_mat", "tag", "pocket")]
    flap, mat, photo, tag, pocket = (FaceKey(key, "face") for key in keys)
    assert work.opened.side_of(tag, pocket) == 1
    for below in (photo, mat, flap):
        assert work.opened.side_of(tag, below) == -1
    # Folding in and closing leave it where it is.
    assert work.closed.side_of(tag, pocket) == 1
    assert work.closed.side_of(tag, photo) == -1
