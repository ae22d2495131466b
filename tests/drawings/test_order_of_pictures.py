"""The pictures of a step come in the order of its words, for every shipped design."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest
from builder.drawings.assembly_stages import stages_of

from builder.design import Step
from builder.resolve.resolved import ResolvedDesign
from builder.resolve.step_parts import named_pieces
from builder.shipped import DESIGNS
from tests.resolve.test_turns import shipped

#: A sentence that tells the maker to mat what it names, up to its end or to what is done next.
_MAT = re.compile(r"(?:^|[.:]\s+)Mat\b([^.]*)", re.MULTILINE)
_NAME = re.compile(r"\[([a-z][a-z0-9_]*)\]")
_DESIGNS = sorted(path.stem for path in DESIGNS.glob("*.yaml"))


def matted_first(step: Step, resolved: ResolvedDesign) -> Iterator[tuple[str, str]]:
    """What the words tell to mat before it is glued on itself, with each mat of the same step."""
    attached = named_pieces(step, "attach", resolved)
    told = {name for found in _MAT.findall(step.text) for name in _NAME.findall(found)}
    for key in attached:
        placement = resolved.pieces[key].source.placement
        if placement is not None and placement.host in told & set(attached):
            yield key, placement.host


def order_of_pictures(step: Step, resolved: ResolvedDesign, present: list[str]) -> list[str]:
    new = [key for key in named_pieces(step, "attach", resolved) if key not in present]
    return [key for stage in stages_of(resolved, new, present) for key in stage.new]


@pytest.mark.parametrize("name", _DESIGNS)
def test_what_the_words_mat_first_is_matted_first_in_the_pictures(name: str) -> None:
    resolved = shipped(name)
    present = [key for key, p in resolved.pieces.items() if p.source.placement is None]
    found = 0
    for step in resolved.design.steps:
        order = order_of_pictures(step, resolved, present)
        for mat, matted in matted_first(step, resolved):
            assert order.index(mat) < order.index(matted), (step.title, mat, matted)
            found += 1
        present += order
    assert found > 0, "no step of the design is about this"


def test_the_order_is_that_in_which_a_step_lists_its_pieces() -> None:
    folio = shipped("observatory-folio")
    step = next(s for s in folio.design.steps if s.title == "Make the title plate")
    assert named_pieces(step, "attach", folio) == ("title_mat", "title_plate")
