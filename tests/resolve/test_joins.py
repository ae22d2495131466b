"""Which faces are glued, and to what, once both are known to be there."""

from __future__ import annotations

from collections.abc import Callable

from gatherfold.resolve import ResolvedDesign
from tests.works import faces_in

Resolver = Callable[..., ResolvedDesign]

PIECES = """
    card: {from: night, size: 9 x 9}
    sleeve:
      from: night
      across: {lap: 1, front: 3, back: 3}
      height: 3
      closed: 180
      on: card
      by: back, lap
      left: 1
      joins: {lap: {on_back: sleeve.front, glue: left}, front: [{on: tag}, {facing: tag.face}]}
    tag: {from: night, size: 1 x 1, on: card, left: 1/4, top: 1/4}
    loose: {from: night, across: {a: 1, b: 1}, height: 1, on: card, by: "a, b", glue: none}
    apart: {from: night, size: 2 x 2}
"""


def test_all_named_faces_are_glued_and_the_first_gives_the_place(resolved: Resolver) -> None:
    found = resolved(PIECES)
    assert {key: (piece.by, piece.glued) for key, piece in found.pieces.items()} == {
        "card": ("face", ()),
        "sleeve": ("back", ("back", "lap")),
        "tag": ("face", ("face",)),
        "loose": ("a", ()),
        "apart": ("face", ()),
    }
    alone = resolved(PIECES.replace("by: back, lap", "by: back"))
    assert alone.pieces["sleeve"].offsets == found.pieces["sleeve"].offsets


def test_a_join_names_the_face_of_its_host_and_where_glue_runs(resolved: Resolver) -> None:
    joins = resolved(PIECES).pieces["sleeve"].joins
    assert [(j.face, j.relation, j.host, j.host_face, j.edges) for j in joins] == [
        ("lap", "on_back", "sleeve", "front", ("left",)),
        ("front", "on", "tag", "face", ("all",)),
        ("front", "facing", "tag", "face", ("all",)),
    ]
    assert joins[0].position.column < joins[1].position.column < joins[2].position.column


def test_a_join_only_closes_what_it_joins(resolved: Resolver) -> None:
    """A join says what meets; where a piece lies is said by the piece that it lies on."""
    without = "\n".join(line for line in PIECES.splitlines() if "joins:" not in line)
    joined, loose = (
        {str(face.key): face.pose for face in faces_in(resolved(pieces), "open")}
        for pieces in (PIECES, without)
    )
    moved = {key for key, pose in loose.items() if joined[key] != pose}
    assert moved <= {"sleeve.front", "sleeve.lap"}
    assert joined.keys() == loose.keys()
