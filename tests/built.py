"""The shipped designs built, each edition once a run, with all that was made on the way.

In: the name of a shipped design and of an edition.  Out: :class:`Built`: what a build returns, and
the scenes and figures that its documents show, by layout and key.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field

import pytest

from gatherfold import build
from gatherfold.build import SIDE_BY_SIDE, EditionResult, Options, build_result
from gatherfold.documents import figure_set, laid_out
from gatherfold.documents.figure_set import FigureSet
from gatherfold.drawings.kernel.figures import Figure
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.reading.read_design import read_design_file
from gatherfold.resolve.edition import EDITIONS
from gatherfold.shipped import DESIGNS, LAYOUTS
from tests.conftest import silent
from tests.once import once
from tests.works import checked

#: The layouts that everything is built in, the pattern first.
BUILT_LAYOUTS = ("pattern", "handout", "bench")
#: The design that is built with both editions in one document as well.
BUILT_TOGETHER = "letter-envelope"


@dataclass(frozen=True)
class Built:
    """An edition of a design in every layout; both side by side have no pictures of their own."""

    result: EditionResult
    scenes: Mapping[str, Mapping[str, Scene]] = field(default_factory=dict)
    figures: Mapping[str, Mapping[str, Figure]] = field(default_factory=dict)


@once
def built(name: str, edition: str) -> Built:
    """A shipped design in every layout."""
    shown = list(EDITIONS.values()) if edition == SIDE_BY_SIDE else [EDITIONS[edition]]
    path = DESIGNS / f"{name}.yaml"
    layouts = [LAYOUTS / layout for layout in BUILT_LAYOUTS]
    with watched() as seen, pytest.MonkeyPatch.context() as patch:
        patch.setattr(build, "check_edition", lambda _, edition, kits: checked(path, edition.name))
        result = build_result(read_design_file(path), shown, layouts, Options(), silent)
    assert result.documents, result.findings
    if edition == SIDE_BY_SIDE:
        return Built(result)
    drawn = dict(zip(BUILT_LAYOUTS, seen.sets, strict=True))
    return Built(
        result,
        {layout: seen.scenes_of(each) for layout, each in drawn.items()},
        {layout: each.figures for layout, each in drawn.items()},
    )


def pdf_of(name: str, edition: str, layout: str) -> bytes:
    """A document of a shipped design."""
    return built(name, edition).result.documents[layout].pdf


@dataclass(frozen=True)
class Seen:
    """What a build draws: the figures of each document in turn, and every figure with its scene."""

    sets: list[FigureSet] = field(default_factory=list)
    inked: list[tuple[Figure, Scene]] = field(default_factory=list)

    def scenes_of(self, drawn: FigureSet) -> dict[str, Scene]:
        """The scenes that the figures of a document were inked from."""
        scenes = {id(figure): scene for figure, scene in self.inked}
        return {key: scenes[id(figure)] for key, figure in drawn.figures.items()}


@contextmanager
def watched() -> Iterator[Seen]:
    """Note what is drawn, and change nothing of it."""
    seen = Seen()
    ink, draw = figure_set.figure, laid_out.draw_figures

    def inked(scene: Scene) -> Figure:
        made = ink(scene)
        seen.inked.append((made, scene))
        return made

    def drawn(*given: object) -> FigureSet:
        seen.sets.append(draw(*given))  # type: ignore[arg-type]
        return seen.sets[-1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(figure_set, "figure", inked)
        patch.setattr(laid_out, "draw_figures", drawn)
        yield seen
