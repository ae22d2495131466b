"""The pictures of a step come in the order of its words, for every shipped design."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from gatherfold.drawings.step.stages import PlacedStage, stages_of
from gatherfold.model.design import Step
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.resolve.step_parts import named_pieces
from gatherfold.shipped import DESIGNS
from tests.drawings.step_pictures import made

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


def order_of_pictures(resolved: ResolvedDesign, number: int) -> list[str]:
    stages = (stage for stage in stages_of(resolved, number) if isinstance(stage, PlacedStage))
    return [key for stage in stages for key in stage.new]


@pytest.mark.parametrize("name", _DESIGNS)
def test_what_the_words_mat_first_is_matted_first_in_the_pictures(name: str) -> None:
    resolved = made(name)
    found = 0
    for number, step in enumerate(resolved.design.steps, start=1):
        order = order_of_pictures(resolved, number)
        for mat, matted in matted_first(step, resolved):
            assert order.index(mat) < order.index(matted), (step.title, mat, matted)
            found += 1
    assert found > 0, "no step of the design is about this"


def test_the_order_is_that_in_which_a_step_lists_its_pieces() -> None:
    folio = made("observatory-folio")
    step = next(s for s in folio.design.steps if s.title == "Make the title plate")
    assert named_pieces(step, "attach", folio) == ("title_mat", "title_plate")
