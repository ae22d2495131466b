"""The order of layers in which a plane is painted, where layers go round too.

Four flaps, each over one neighbour and under the other, have no order as wholes (common practice:
so a box is closed by its four flaps); at every one place there is one.
"""

from __future__ import annotations

from itertools import combinations

from gatherfold.geometry import crosses
from gatherfold.work import Assembly, FaceKey, work_of
from gatherfold.work.assembly import both_ways
from gatherfold.work.layers import layers_of
from gatherfold.work.regions import Bounds, Plate, rectangle_region
from gatherfold.work.space import AT_REST
from gatherfold.work.visible import Look
from tests.works import structure

#: Round a square of 100: left, bottom, right, top, each over half of it.
FLAPS = {
    "left": Bounds(0, 0, 50, 100),
    "bottom": Bounds(0, 0, 100, 50),
    "right": Bounds(50, 0, 100, 100),
    "top": Bounds(0, 50, 100, 100),
}
#: The second lies over the first.
ROUND = (("left", "bottom"), ("bottom", "right"), ("right", "top"), ("top", "left"))


def interleaved() -> Assembly:
    plates = {
        FaceKey("wrap", name): Plate(FaceKey("wrap", name), rectangle_region(box), AT_REST)
        for name, box in FLAPS.items()
    }
    sides = {}
    for lower, upper in ROUND:
        sides.update(both_ways(plates, FaceKey("wrap", lower), FaceKey("wrap", upper), True))
    return Assembly(FaceKey("wrap", "left"), plates, {}, sides=sides)


def test_each_of_four_interleaved_flaps_is_seen_where_it_lies_on_top() -> None:
    layers = layers_of(interleaved(), Look(2, 1), 0)
    for x, y, top in ((25, 25, "bottom"), (75, 25, "right"), (75, 75, "top"), (25, 75, "left")):
        painted = [
            key.face for key, box in layers if box.left < x < box.right and box.bottom < y < box.top
        ]
        assert painted[-1] == top
        assert len(painted) == 2


def test_the_parts_of_a_divided_face_are_the_whole_of_it_and_do_not_overlap() -> None:
    layers = layers_of(interleaved(), Look(2, 1), 0)
    for name, whole in FLAPS.items():
        parts = [box for key, box in layers if key.face == name]
        area = sum((b.right - b.left) * (b.top - b.bottom) for b in parts)
        assert area == (whole.right - whole.left) * (whole.top - whole.bottom)
        assert not any(crosses(a, b) for a, b in combinations(parts, 2))


def test_what_has_an_order_is_not_divided() -> None:
    assembly = interleaved()
    top = FaceKey("wrap", "top")
    plates = {key: plate for key, plate in assembly.plates.items() if key != top}
    sides = {pair: side for pair, side in assembly.sides.items() if top not in pair}
    layers = layers_of(Assembly(assembly.base, plates, {}, sides=sides), Look(2, 1), 0)
    assert [key.face for key, _ in layers] == ["left", "bottom", "right"]


def test_no_line_beneath_divided_layers_shows() -> None:
    """On the under side of each flap is a mat, a little smaller.  Lines are wide: the rim of a mat
    would show if what lies over it on either side of the rim were painted before it."""
    closed = work_of(structure("four-flaps", "metric")).closed
    (axis, plane), _ = max(closed.planes.items(), key=lambda each: len(each[1]))
    layers = layers_of(closed, Look(axis, 1), plane)
    for number, (key, box) in enumerate(layers):
        if key.piece.removesuffix("_mat") not in FLAPS:
            continue
        whole = closed.plates[key].bounds
        x, y = (2 * box.left + box.right) / 3, (2 * box.bottom + box.top) / 3
        rims = [(x, end) for end in (whole.bottom, whole.top) if end in (box.bottom, box.top)]
        rims += [(end, y) for end in (whole.left, whole.right) if end in (box.left, box.right)]
        ends = [(a + across, b + up) for a, b in rims for across in (-1, 1) for up in (-1, 1)]
        for a, b in ends:
            last = max(n for n, (_, each) in enumerate(layers)
                       if each.left < a < each.right and each.bottom < b < each.top)  # fmt: skip
            assert last > number, (key, a, b)
