"""Where glue goes, as shapes."""

from __future__ import annotations

import pytest

from gatherfold.work import FaceKey
from gatherfold.work.glue_areas import glue_areas
from gatherfold.work.moments import Placing
from tests.work.designs import DESIGNS
from tests.work.played import work_of

INCH = 25.4


def placed(design: str, piece: str) -> tuple[Placing, float, tuple[object, ...]]:
    """The moment at which a piece is placed: its placing, the units to an inch, its glue."""
    work = work_of(next(file for file in DESIGNS if file.stem == design))
    moment = next(m for m in work.moments if piece in m.fresh)
    assert isinstance(moment.motion, Placing)
    return moment.motion, work.scale * INCH, moment.bonds


def test_a_pocket_is_glued_along_three_edges_as_wide_as_the_tape() -> None:
    """The folio: a pocket of 5¾ in by 3½ in, tape of ¼ in on its left, bottom and right edges; of
    its notch, at the top, the tape takes nothing."""
    placing, inch, bonds = placed("observatory-folio", "left_pocket")
    (area,) = glue_areas(placing.put.after, bonds)  # type: ignore[arg-type]
    expected = 2 * 3.5 / 4 + (5.75 - 0.5) / 4
    assert area.face == FaceKey("left_pocket", "face")
    assert sorted(area.edges) == ["bottom", "left", "right"]
    assert area.glue.area / inch**2 == pytest.approx(expected, rel=1e-6)


def test_a_seal_is_glued_half_on_each_flap() -> None:
    """The letter: its tip is ⅝ in over the seal of 1¼ in: half of it."""
    placing, _, bonds = placed("letter-envelope", "seal")
    (area,) = glue_areas(placing.put.after, bonds)  # type: ignore[arg-type]
    shares = {key.face: share for key, share in area.shares.items()}
    assert shares == {
        "top_flap": pytest.approx(0.5, abs=0.01),
        "bottom_flap": pytest.approx(0.5, abs=0.01),
    }


def test_a_mat_is_glued_all_over() -> None:
    """The folio: 5¾ in by 9¾ in, on the flap of 6 in by 10 in, which hangs over its hinge."""
    placing, inch, bonds = placed("observatory-folio", "left_flap_mat")
    areas = glue_areas(placing.put.after, bonds)  # type: ignore[arg-type]
    (area,) = areas
    assert area.edges == ()
    assert area.glue.area / inch**2 == pytest.approx(5.75 * 9.75, rel=1e-6)
    assert area.whole.area == pytest.approx(area.meeting.area)
    assert sum(area.shares.values()) == pytest.approx(1)
    assert set(area.joined) == set(area.parts) <= {
        FaceKey("left_flap", "face"), FaceKey("left_hinge", "flap_tab")
    }  # fmt: skip
