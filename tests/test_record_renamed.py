"""Other names and another order of entries change nothing in the record but codes and titles.

Every shipped and test design is renamed and shuffled.  Twins may change places: what is of no
order is compared as a whole, and of a stock's plan what it comes to (which of two pieces of one
size lies where is nobody's concern).  Source: a name is a label.
"""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from gatherfold.editions import check_edition, computed_of
from gatherfold.editions.checked import Checked
from gatherfold.reading import read_design
from gatherfold.record import edition_record
from gatherfold.resolve.edition import EDITIONS
from tests.work.designs import DESIGNS
from tests.work.renaming import rewritten
from tests.works import checked

#: What is said of the order in which names are written, and they are shuffled; and of the words of
#: a text, which are held against names.
_OF_WRITING = frozenset({"closed-in-other-order", "place-in-text"})
#: What is made from names and from their order, or says the same in words.
_LABELS = frozenset({"code", "codes", "title"})
#: A part of a name; new ones are words that stand nowhere else.
_WORD = re.compile("[a-z]+")
#: What a plan comes to.
_OF_PLANS = ("count", "count_of_one_kit", "cost", "bound", "proven", "status", "caliper_mm")


def _record(checked: Checked) -> dict[str, Any]:
    record: dict[str, Any] = edition_record(computed_of(checked), checked.findings)
    record["sheets"] = {
        key: {name: plan[name] for name in _OF_PLANS} for key, plan in record["sheets"].items()
    }
    record["findings"] = [
        finding.code for finding in checked.findings if finding.code not in _OF_WRITING
    ]
    return record


def _compared(value: Any, name: Any) -> Any:
    """Plain data without labels, its names as ``name`` gives them and its lists sorted."""
    if isinstance(value, dict):
        return {name(k): _compared(v, name) for k, v in value.items() if k not in _LABELS}
    if isinstance(value, list):
        return sorted((_compared(each, name) for each in value), key=json.dumps)
    return name(value) if isinstance(value, str) else value


@pytest.mark.parametrize("file", DESIGNS, ids=lambda file: file.stem)
def test_other_names_in_another_order_give_the_same_record(file: Path) -> None:
    renamed = rewritten(file.read_text(), 5)
    old = {new: old for old, new in renamed.parts.items()}
    design = read_design(renamed.text.encode(), "design.yaml")
    was = _record(checked(file, design.native))
    found = _record(check_edition(design, EDITIONS[design.native]))
    assert _compared(found, lambda text: _WORD.sub(lambda m: old.get(m[0], m[0]), text)) == (
        _compared(was, str)
    )


def test_a_difference_would_be_seen() -> None:
    """The comparison itself: another length is a difference, another code is none."""
    one = {"pieces": {"a": {"code": "A1", "width": "4 in"}}, "codes": ["A1"]}
    other = {"pieces": {"a": {"code": "B2", "width": "4 in"}}, "codes": ["B2"]}
    assert _compared(one, str) == _compared(other, str)
    other["pieces"]["a"]["width"] = "5 in"  # type: ignore[index,call-overload]
    assert _compared(one, str) != _compared(other, str)
