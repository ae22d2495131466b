"""Sound designs: what the language says comes out as the model means it."""

from __future__ import annotations

from gatherfold.lengths import INCH
from gatherfold.model.design import Design
from gatherfold.reading import read_design

HEAD = """title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 x 12}
  chart:
    material: paper
    sheet: 12 x 12
    front: {name: Stars, print: sideways}
    back: Dots
"""


def read(text: str) -> Design:
    return read_design((HEAD + text).encode(), "design.yaml")


def test_rows_of_each_write_out_keys_and_values() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
  strips:
    each:
      - {side: left, far: right, paper: chart back}
      - {side: right, far: left, paper: night}
    pieces:
      "{side}_strip": {from: "{paper}", size: 1 x 8, on: back, "{side}": 1}
      "{side}_mat": {from: night, on: "{side}_strip", leaving: 1/8, note: "far from {far}"}
"""
    )
    assert list(design.pieces) == ["back", "left_strip", "left_mat", "right_strip", "right_mat"]
    left, right = design.pieces["left_strip"], design.pieces["right_strip"]
    assert (left.stock, left.side, right.stock, right.side) == ("chart", "back", "night", "front")
    assert left.placement is not None and list(left.placement.distances) == ["left"]
    assert right.placement is not None and list(right.placement.distances) == ["right"]
    assert design.pieces["right_mat"].note == "far from left"
    assert left.position == right.position, "both stand where they were written"


def test_one_column_of_each_and_groups_within_groups() -> None:
    design = read(
        """pieces:
  "{size}_card": {each: {size: [small, large]}, from: night, size: 1 x 1}
  outer:
    each: {row: [low, high]}
    pieces:
      inner:
        each: {side: [left, right]}
        pieces:
          "{row}_{side}": {from: night, size: 1 x 1}
"""
    )
    assert list(design.pieces) == [
        "small_card", "large_card", "low_left", "low_right", "high_left", "high_right",
    ]  # fmt: skip


def test_other_maps_may_repeat_too() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
fastenings:
  "{end}_pin":
    each: {end: [top, bottom]}
    kind: brad
    head: 1/4
    leg: 1/2
    through: back
    "{end}": 1
"""
    )
    assert list(design.fastenings) == ["top_pin", "bottom_pin"]
    assert list(design.fastenings["bottom_pin"].distances) == ["bottom"]


def test_sides_of_a_paper() -> None:
    chart = read("pieces:\n  back: {from: chart back, size: 1 x 1}\n").stocks["chart"]
    assert (chart.front.title, chart.front.print) == ("Stars", "sideways")
    assert (chart.back.title, chart.back.print) == ("Dots", "any")
    assert chart.two_sided


def test_words_for_several_corners() -> None:
    design = read(
        """pieces:
  a: {from: night, size: 4 x 4, corners: {all: round 1/4, top left: mitre 1/2}}
  b:
    from: night
    across: {tab: 1, flap: 3}
    height: 4
    corners: {left: mitre 1/4, flap right: round 1/2}
"""
    )
    shapes = {name: corner.shape for name, corner in design.pieces["a"].corners.items()}
    assert shapes == {
        "top left": "mitre", "top right": "round", "bottom left": "round", "bottom right": "round",
    }  # fmt: skip
    assert set(design.pieces["b"].corners) == {"top left", "bottom left"}
    assert set(design.pieces["b"].section_corners) == {
        ("flap", "top right"),
        ("flap", "bottom right"),
    }


def test_a_piece_inside_another_is_not_glued_and_others_are() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
  mat: {from: night, on: back, leaving: 1/8}
  pocket: {from: night, size: 6 x 3, on: mat, glue: "left, bottom, right"}
  tag: {from: night, size: 4 x 4, inside: pocket}
  loose: {from: night, size: 4 x 4, on: back, glue: none}
"""
    )
    glue = {
        key: piece.placement.glue
        for key, piece in design.pieces.items()
        if piece.placement is not None
    }
    assert glue == {
        "mat": ("all",), "pocket": ("left", "bottom", "right"), "tag": (), "loose": (),
    }  # fmt: skip


def test_steps_keep_their_operations_and_places() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
  mat: {from: night, on: back, leaving: 1/8}
steps:
  - title: Cut
    text: Cut the [back] and the [mat].
    cut: [back, mat]
  - title: Glue
    key: gluing
    text: |
      Glue the [mat], see [gluing] and [a link](https://example.org) and \\\\[brackets].
    attach: mat
"""
    )
    first, second = design.steps
    assert first.operations == {"cut": ("back", "mat")}
    assert (first.key, second.key) == ("step_1", "gluing")
    assert first.places["cut", "mat"].column == len("    cut: [back, m")
    assert first.text_position.column == len("    text: C")
    assert second.text_position.line == first.text_position.line + 5
    assert second.text_position.column == len("      G")


def test_units_of_the_design() -> None:
    design = read("pieces:\n  back: {from: night, size: 8 x 11}\n")
    assert (design.unit, design.native) == (INCH, "imperial")
    metric = read_design(
        b"title: T\nunits: mm\nstocks: {a: {material: board, sheet: 500 x 700}}\n"
        b"pieces: {b: {from: a, size: 20 x 30}}\n",
        "m.yaml",
    )
    assert (metric.unit, metric.native) == (1, "metric")


def test_measures_with_notes_and_values_of_an_edition() -> None:
    design = read(
        """measures:
  plain: 8
  photo: {actual: 4 x 6, note: as sold}
  flap: {value: 6 3/4, metric: 172 mm}
pieces:
  back: {from: night, size: 8 x 11}
"""
    )
    assert not design.measures["plain"].actual
    assert design.measures["photo"].actual
    assert design.measures["photo"].note == "as sold"
    assert set(design.measures["flap"].fixed) == {"metric"}


def test_overrides_replace_the_formula_and_the_values_by_hand() -> None:
    content = (HEAD + "measures:\n  flap: {value: 6 3/4, metric: 172 mm}\n"
               "pieces:\n  back: {from: night, size: 8 x 11}\n").encode()  # fmt: skip
    design = read_design(content, "design.yaml", {"flap": "7 in"})
    assert design.measures["flap"].expression.formula.text == "7 in"
    assert design.measures["flap"].fixed == {}


def test_a_byte_order_mark_and_windows_lines_are_fine() -> None:
    text = (HEAD + "pieces:\n  back: {from: night, size: 8 x 11}\n").replace("\n", "\r\n")
    assert read_design(b"\xef\xbb\xbf" + text.encode(), "design.yaml").title == "Test"


def test_faces_that_a_piece_is_glued_by() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
  one: {from: night, across: {tab: 1, flap: 2}, height: 3, on: back, by: flap}
  two: {from: night, across: {tab: 1, flap: 2}, height: 3, on: back, by: [flap, tab]}
  three:
    from: night
    across: {tab: 1, flap: 2}
    height: 3
    on: back
    by: tab, flap
"""
    )
    by = {key: piece.placement.by for key, piece in design.pieces.items() if piece.placement}
    assert by == {"one": ("flap",), "two": ("flap", "tab"), "three": ("tab", "flap")}
    mat = read("pieces:\n  a: {from: night, size: 2 x 2}\n  b: {from: night, on: a, leaving: 1}\n")
    assert mat.pieces["b"].placement is not None and mat.pieces["b"].placement.by == ()


def test_joins_of_faces_and_of_glue_tabs_with_rows_written_out() -> None:
    design = read(
        """pieces:
  back: {from: night, size: 8 x 11}
  hinges:
    each: [{n: 1, next: 2}, {n: 2, next: 1}]
    pieces:
      "hinge_{n}":
        from: night
        across: {left_tab: 1, gusset: 1, right_tab: 1}
        height: 5
        tabs: {gusset: {top: 1/2, taper: 1/8}}
        joins:
          gusset_top_tab: {behind: back, glue: "top, left"}
          right_tab: [{on: "hinge_{next}.left_tab"}, {on_back: "hinge_{n}.left_tab", glue: all}]
  mat: {from: night, size: 1 x 1, joins: {face: {facing: back.face}}}
"""
    )
    joins = [
        (j.face, j.relation, j.host, j.host_face, j.glue) for j in design.pieces["hinge_1"].joins
    ]
    assert joins == [
        ("gusset_top_tab", "behind", "back", None, ("top", "left")),
        ("right_tab", "on", "hinge_2", "left_tab", ("all",)),
        ("right_tab", "on_back", "hinge_1", "left_tab", ("all",)),
    ]
    assert [j.host for j in design.pieces["hinge_2"].joins] == ["back", "hinge_1", "hinge_2"]
    (join,) = design.pieces["mat"].joins
    assert (join.face, join.relation, join.host_face) == ("face", "facing", "face")
    assert join.position.column == len("  mat: {from: night, size: 1 x 1, joins: {face: {facing: b")
    assert design.pieces["back"].joins == ()


def test_sections_that_close_without_glue() -> None:
    design = read(
        """pieces:
  wallet:
    from: night
    across: {left: 1, body: 4, right: 1}
    height: 3
    seams: {left: none, right: {top: 1/4}}
"""
    )
    wallet = design.pieces["wallet"]
    assert wallet.dry_sections == ("left",)
    assert [(seam.section, seam.edge) for seam in wallet.seams] == [("right", "top")]


def test_operations_stand_in_the_order_in_which_a_step_writes_them() -> None:
    design = read(
        """pieces:
  card: {from: night, up: {body: 4, flap: 2}, width: 3}
  tag: {from: night, size: 1 x 1, on: card.body}
steps:
  - title: Put in and close
    open: all
    insert: tag
    close: card.flap, card, all
    text: Close it.
    attach: tag
    score: card
    cut: all
"""
    )
    (step,) = design.steps
    assert list(step.operations.items()) == [
        ("open", ("all",)),
        ("insert", ("tag",)),
        ("close", ("card.flap", "card", "all")),
        ("attach", ("tag",)),
        ("score", ("card",)),
        ("cut", ("all",)),
    ]
    assert step.places["close", "card"].column == len("    close: card.flap, c")
