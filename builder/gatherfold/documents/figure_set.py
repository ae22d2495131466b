"""The figures of a document: every kind of picture that its page shows and its design needs, inked.

In: a resolved design, its sheet plans and the page that says what room they have.  Out:
:class:`Figure` values by key, inked.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property

from gatherfold.counts import CutRow
from gatherfold.documents.page import Page
from gatherfold.documents.photographs import Photograph
from gatherfold.documents.step_figures import (
    first_steps,
    room_of_steps,
    scenes_on_page,
    steps_alone,
)
from gatherfold.drawings import (
    KINDS,
    STEPS,
    Figure,
    Pictured,
    PictureKind,
    Scenes,
    figure,
    signs_of,
)
from gatherfold.plans import StockPlan
from gatherfold.resolve import ResolvedDesign


@dataclass(frozen=True)
class FigureSet:
    """All figures by their kind and key.

    ``prefix`` tells the figures of one edition from those of another in the same document.
    """

    by_kind: Mapping[str, Mapping[str, Figure]]
    #: The designer's own, by the key of their step.
    photographs: Mapping[str, Photograph] = field(default_factory=dict)
    prefix: str = ""
    #: How many steps stand on the first page of theirs; 0 where that is left to the layout.
    first_steps: int = 0
    #: The numbers of the steps that have a page to themselves.
    steps_alone: frozenset[int] = frozenset()

    @cached_property
    def figures(self) -> dict[str, Figure]:
        return {key: each for kind in self.by_kind.values() for key, each in kind.items()}

    @property
    def by_address(self) -> dict[str, Figure | Photograph]:
        """The figures and photographs as a document asks for them."""
        figures = {f"{self.prefix}{key}": figure for key, figure in self.figures.items()}
        return figures | {f"{PHOTOGRAPH}{key}": each for key, each in self.photographs.items()}


#: How the addresses of photographs begin.
PHOTOGRAPH = "photograph-"

Progress = Callable[[str], None]
#: Kinds of figures that were drawn already, by what they show and the room they have.
Drawn = dict[tuple[object, ...], dict[str, Figure]]


def draw_figures(
    resolved: ResolvedDesign,
    plans: Mapping[str, StockPlan],
    rows: tuple[CutRow, ...],
    progress: Progress,
    page: Page,
    drawn: Drawn | None = None,
) -> FigureSet:
    """Every figure of the edition for a page, drawn and inked.

    ``drawn`` keeps what is drawn for one layout, for others that give it the same room.
    """
    kept: Drawn = {} if drawn is None else drawn
    pictured = Pictured(resolved, plans, rows, page.parts, float(page.width))
    by_kind: dict[str, dict[str, Figure]] = {kind.name: {} for kind in KINDS}
    for kind in KINDS:
        if not kind.is_wanted(pictured):
            continue
        mark = _mark(kind, pictured, page)
        if mark not in kept:
            progress(kind.title)
            kept[mark] = {key: figure(scene) for key, scene in _scenes(kind, pictured, page)}
        by_kind[kind.name] = kept[mark]
        used = (sign for each in kept[mark].values() for sign in each.signs)
        pictured = replace(pictured, signs=pictured.signs.union(used))

    def sizes(step: int) -> list[tuple[float, float]]:
        own = [each for key, each in by_kind[STEPS.name].items() if is_of_step(key, step)]
        return [(each.width_mm, each.height_mm) for each in own]

    return FigureSet(
        by_kind,
        first_steps=first_steps(resolved, page, sizes),
        steps_alone=steps_alone(resolved, page, sizes),
    )


def figure_scenes(
    resolved: ResolvedDesign,
    plans: Mapping[str, StockPlan],
    rows: tuple[CutRow, ...],
    progress: Progress,
    page: Page,
) -> Scenes:
    """The scene of every figure with its key."""
    pictured = Pictured(resolved, plans, rows, page.parts, float(page.width))
    for kind in KINDS:
        if not kind.is_wanted(pictured):
            continue
        progress(kind.title)
        used: set[str] = set()
        for key, scene in _scenes(kind, pictured, page):
            used |= signs_of(scene)
            yield key, scene
        pictured = replace(pictured, signs=pictured.signs | used)


def _scenes(kind: PictureKind, pictured: Pictured, page: Page) -> Scenes:
    if kind is STEPS:
        return scenes_on_page(pictured.resolved, page)
    return kind.draw(pictured, {room.name: page.rooms[room.name] for room in kind.rooms})


def _mark(kind: PictureKind, pictured: Pictured, page: Page) -> tuple[object, ...]:
    """What a kind of picture shows, and all of the page that it depends on."""
    if kind is STEPS:
        return (kind.name, *room_of_steps(page))
    rooms = (page.rooms[room.name] for room in kind.rooms)
    return (kind.name, *rooms, kind.depends_on(pictured))


def is_of_step(key: str, number: int) -> bool:
    """Whether a figure of this key is of the step of this number."""
    return key.startswith(f"step-{number}-")
