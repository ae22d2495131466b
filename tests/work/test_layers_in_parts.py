"""The order of layers in which a plane is painted, where layers go round too.

Four flaps, each over one neighbour and under the other, have no order as wholes (common practice:
so a box is closed by its four flaps); at every one place there is one.
"""

from __future__ import annotations

from itertools import combinations

from gatherfold.work import Assembly, FaceKey
from gatherfold.work.assembly import both_ways
from gatherfold.work.layers import layers_of
from gatherfold.work.regions import Bounds, Plate, rectangle_region
from gatherfold.work.space import AT_REST
from gatherfold.work.visible import Look

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
            key.face for key, box in layers if box.low0 < x < box.high0 and box.low1 < y < box.high1
        ]
        assert painted[-1] == top
        assert len(painted) == 2


def test_the_parts_of_a_divided_face_are_the_whole_of_it_and_do_not_overlap() -> None:
    layers = layers_of(interleaved(), Look(2, 1), 0)
    for name, whole in FLAPS.items():
        parts = [box for key, box in layers if key.face == name]
        area = sum((b.high0 - b.low0) * (b.high1 - b.low1) for b in parts)
        assert area == (whole.high0 - whole.low0) * (whole.high1 - whole.low1)
        assert not any(a.crosses(b) for a, b in combinations(parts, 2))


def test_what_has_an_order_is_not_divided() -> None:
    assembly = interleaved()
    top = FaceKey("wrap", "top")
    plates = {key: plate for key, plate in assembly.plates.items() if key != top}
    sides = {pair: side for pair, side in assembly.sides.items() if top not in pair}
    layers = layers_of(Assembly(assembly.base, plates, {}, sides=sides), Look(2, 1), 0)
    assert [key.face for key, _ in layers] == ["left", "bottom", "right"]
