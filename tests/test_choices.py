"""Every table that is keyed by the words of a closed set has an entry for each of them.

mypy proves that a ``match`` is complete, and nothing else proves it of a dictionary.  The sets are
read off the annotations of the tables themselves: a new word, or a new table, is asked for here
without this file being touched.
"""

from __future__ import annotations

import importlib
import pkgutil
import typing
from collections.abc import Iterator, Mapping

import pytest

import gatherfold
from gatherfold.geometry.edges import (
    AXES,
    EDGES,
    EDGES_BY_AXIS,
    axis_of,
    edge_towards,
    ends_across,
    is_far,
    mirrored,
    opposite,
    outward,
)
from gatherfold.model.choices import FOLDS, MATERIALS, RELATIONS, SIDES

#: Tables that speak of some of the words on purpose; each says itself what holds of the others.
PARTIAL = {
    # Only what is closed and opened has an order within its list.
    ("gatherfold.checks.making.written", "_IN_OTHER_ORDER"),
    ("gatherfold.checks.making.written", "_COVERING"),
    # Only these tools are bought with the supplies, and only these have sizes.
    ("gatherfold.documents.steps_text", "_SUPPLIED"),
    ("gatherfold.documents.steps_text", "_SIZED"),
}


def tables() -> Iterator[tuple[str, str, frozenset[object], frozenset[object]]]:
    """Each module's tables: its name, theirs, the words they should and do have."""
    for module_info in pkgutil.walk_packages(gatherfold.__path__, "gatherfold."):
        if module_info.name.endswith("__main__"):
            continue
        module = importlib.import_module(module_info.name)
        if "__annotations__" not in vars(module):
            continue
        for name, hint in typing.get_type_hints(module).items():
            arguments = typing.get_args(hint)
            if typing.get_origin(hint) not in (dict, Mapping) or not arguments:
                continue
            words = typing.get_args(arguments[0])
            if typing.get_origin(arguments[0]) is typing.Literal:
                yield module_info.name, name, frozenset(words), frozenset(vars(module)[name])


@pytest.mark.filterwarnings("ignore:HarfBuzz-Subset")
def test_tables_of_words_are_complete() -> None:
    found = {(module, name): (asked, there) for module, name, asked, there in tables()}
    assert len(found) > 25
    partial = {where for where, (asked, there) in found.items() if there != asked}
    assert partial == PARTIAL
    assert all(there <= asked for asked, there in found.values())


def test_edges_of_a_rectangle_are_told_apart_by_where_they_lie() -> None:
    # Plane geometry: on a page with x to the right and y up, left and bottom are the near edges.
    assert set(EDGES) == set(EDGES_BY_AXIS)
    places = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1)}
    for edge in EDGES:
        x, y = places[edge]
        assert outward(edge) == (x, y) and edge_towards(x, y) == edge
        assert outward(opposite(edge)) == (-x, -y)
        assert outward(mirrored(edge)) == (-x, y)
        assert is_far(edge) == (x + y > 0)
        assert edge in ends_across(axis_of(edge))
    assert all(is_far(far) and not is_far(near) for near, far in map(ends_across, AXES))


def test_the_words_of_a_design_file_stay_as_they_are() -> None:
    # What is written in design files: a renamed word would break every one of them.
    assert set(SIDES) == {"front", "back"} and set(FOLDS) == {"valley", "mountain"}
    assert set(RELATIONS) == {"on", "behind", "on_back", "inside"}
    assert set(MATERIALS) == {"cardstock", "paper", "board", "ribbon"}
