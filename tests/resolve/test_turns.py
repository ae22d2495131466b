"""Part-folded work: turns end in the closed state, half way stands, layers keep their sides."""

from __future__ import annotations

from pathlib import Path

import pytest

from builder.reading import read_design_file
from builder.resolve import resolve
from builder.resolve.edition import EDITIONS
from builder.resolve.placement import main_body, piece_tree
from builder.resolve.resolved import PlacedFace, ResolvedDesign
from builder.resolve.turns import folded_faces, turns
from builder.shipped import DESIGNS

SHIPPED = sorted(DESIGNS.glob("*.yaml"))


def shipped(name: str, edition: str = "imperial") -> ResolvedDesign:
    return resolve(read_design_file(DESIGNS / f"{name}.yaml"), EDITIONS[edition])


def after(resolved: ResolvedDesign, count: int) -> dict[tuple[str, str], PlacedFace]:
    """The main body after so many turns."""
    motions = [turn.angles for turn in turns(resolved)[:count]]
    faces = folded_faces(resolved, main_body(piece_tree(resolved.pieces)), motions)
    return {(face.piece, face.face): face for face in faces}


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.stem)
def test_turns_lead_from_the_flat_state_to_the_closed_one(path: Path, edition: str) -> None:
    """Poses, and the order of all layers that lie, are those that resolving gives a state."""
    resolved = shipped(path.stem, edition)
    for state, count in (("flat", 0), ("closed", 99)):
        found, wanted = after(resolved, count), resolved.states[state].faces
        assert all(found[f.piece, f.face].pose == f.pose for f in wanted)
        lying = [(f.piece, f.face) for f in wanted if f.pose.normal[2] != 0]
        assert sorted(lying, key=lambda key: found[key].order) == lying


def test_what_moves_in_one_movement_is_one_turn() -> None:
    folio, letter, box = (shipped(path.stem) for path in reversed(SHIPPED))
    assert [turn.entries for turn in turns(folio)] == [
        (("top_hinge", ""), ("bottom_hinge", "")),
        (("right_hinge", ""),),
        (("left_hinge", ""),),
        (("spine", ""),),
        (("band_back", ""),),
    ]
    # The lining is glued to the top flap: both fold on one line.
    assert turns(letter)[-1].entries == (("lining", "flap"), ("envelope", "top_flap"))
    dividers = tuple((f"{place}_divider", "") for place in ("back", "middle", "front"))
    assert [turn.entries for turn in turns(box)] == [dividers, (("tray", ""),), (("lid", ""),)]


@pytest.mark.parametrize("number", range(5))
def test_half_way_the_part_stands_upright(number: int) -> None:
    folio = shipped("observatory-folio")
    sequence = turns(folio)
    tree = piece_tree(folio.pieces)
    motions = [*(turn.angles for turn in sequence[:number]), sequence[number].half(tree)]
    faces = folded_faces(folio, main_body(tree), motions)
    moved = [f for f in faces if (f.piece, f.face) in sequence[number].moved]
    assert moved
    assert any(face.pose.normal[2] == 0 for face in moved)
    still = [f for f in faces if (f.piece, f.face) not in sequence[number].moved]
    before = after(folio, number)
    assert all(before[f.piece, f.face].pose == f.pose for f in still)


def test_half_way_layers_stay_on_their_side_of_what_carries_them() -> None:
    """The right flap stands at the right edge, its inside to the left: there its mat lies, and
    the mat of its outside on the other side.  Larger orders lie towards +x."""
    folio = shipped("observatory-folio")
    sequence, tree = turns(folio), piece_tree(folio.pieces)
    motions = [sequence[0].angles, sequence[1].half(tree)]
    faces = {f.piece: f for f in folded_faces(folio, main_body(tree), motions)}
    assert faces["right_flap"].pose.normal == (-1, 0, 0)
    order = ["right_flap_photo_mat", "right_flap_mat", "right_flap", "right_flap_cover_mat"]
    assert sorted(order, key=lambda key: faces[key].order) == order


def test_box_tabs_stand_inside_the_walls_and_mats_outside() -> None:
    """The front wall's outside looks to −y, the back wall's to +y; larger orders lie towards +y."""
    box = shipped("keepsake-box")
    tray = after(box, 2)
    inward = ["tray_front_mat", "tray.front_wall", "tray.left_wall_bottom_tab"]
    outward = ["tray.right_wall_top_tab", "tray.back_wall", "tray_back_mat"]
    for names in (inward, outward):
        keys = [(n.partition(".")[0], n.partition(".")[2] or "face") for n in names]
        assert len({tray[key].pose.shift[1] for key in keys}) == 1, "all in one plane"
        assert sorted(keys, key=lambda key: tray[key].order) == keys
