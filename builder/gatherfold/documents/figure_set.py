"""Which figures a document has: the finished thing, sheets, pieces, steps and templates.

In: a resolved design, its sheet plans and the page that says what room they have.  Out:
:class:`Figure` values by key, inked.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial

from gatherfold.counts.cut_list import CutRow
from gatherfold.documents.page import Page, Room
from gatherfold.documents.photographs import Photograph
from gatherfold.documents.rooms import SHEET_ROOMS, sheet_room
from gatherfold.documents.step_figures import (
    Scenes,
    first_steps,
    room_of_steps,
    scenes_on_page,
    steps_alone,
)
from gatherfold.drawings.conventions import calibration_scene, conventions_scene
from gatherfold.drawings.features import needs_drawing
from gatherfold.drawings.figures import Figure, figure, signs_of
from gatherfold.drawings.finished_view import OBLIQUE, finished_scene, scene_for_cover, stands
from gatherfold.drawings.motion_frames import motion_scene
from gatherfold.drawings.motions import Movements, sequences
from gatherfold.drawings.photo_plan import has_photo_plan, photo_scene
from gatherfold.drawings.piece_drawing import is_cramped, piece_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map import sheet_scene
from gatherfold.drawings.step_stages import movements_left
from gatherfold.drawings.stock_tints import sides_shown, swatch_key, swatch_scene
from gatherfold.drawings.template_tiles import TILE_KEY
from gatherfold.drawings.templates import needs_template, template_pages
from gatherfold.plans import StockPlan
from gatherfold.resolve.resolved import ResolvedDesign


@dataclass(frozen=True)
class FigureSet:
    """All figures by key; ``templates`` lists the keys of the template pages in order.

    ``prefix`` tells the figures of one edition from those of another in the same document.
    """

    figures: Mapping[str, Figure]
    templates: tuple[str, ...]
    #: The designer's own, by the key of their step.
    photographs: Mapping[str, Photograph] = field(default_factory=dict)
    prefix: str = ""
    #: How many steps stand on the first page of theirs; 0 where that is left to the layout.
    first_steps: int = 0
    #: The numbers of the steps that have a page to themselves.
    steps_alone: frozenset[int] = frozenset()

    @property
    def has_parts(self) -> bool:
        """Whether a template is so large that it comes in parts."""
        return any(key.endswith(_PART) for key in self.templates)

    @property
    def by_address(self) -> dict[str, Figure | Photograph]:
        """The figures and photographs as a document asks for them."""
        figures = {f"{self.prefix}{key}": figure for key, figure in self.figures.items()}
        return figures | {f"{PHOTOGRAPH}{key}": each for key, each in self.photographs.items()}


#: A sequence of no more pictures than the first gets a small room, of more than the second a
#: large one.
_FEW_MOVEMENTS, _MOST_MOVEMENTS = 3, 4
#: How the addresses of photographs begin.
PHOTOGRAPH = "photograph-"

Progress = Callable[[str], None]
#: Groups of figures that were drawn already, by what they show and the room they have.
Drawn = dict[tuple[object, ...], dict[str, Figure]]
#: Finds the movements that a page shows.
_Sequences = Callable[[ResolvedDesign], Iterable[Movements]]


@dataclass(frozen=True)
class _Group:
    """Figures that are drawn together: what they show, what of the page they depend on (their rooms
    for most), and what draws them from that."""

    title: str
    page: tuple[object, ...]
    draw: Callable[..., Scenes]

    def scenes(self) -> Scenes:
        return self.draw(*self.page)


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

    def inked(group: _Group) -> dict[str, Figure]:
        mark = (group.title, *group.page)
        if mark not in kept:
            progress(group.title)
            kept[mark] = {key: figure(scene) for key, scene in group.scenes()}
        return kept[mark]

    figures: dict[str, Figure] = {}
    for group in _groups(resolved, plans, rows, page):
        figures |= inked(group)
    used = frozenset(sign for each in figures.values() for sign in each.signs)
    figures |= inked(_legend(resolved, page, used))
    templates = tuple(key for key in figures if key.startswith(_TEMPLATE))

    def sizes(step: int) -> list[tuple[float, float]]:
        own = [each for key, each in figures.items() if key.startswith(f"step-{step}-")]
        return [(each.width_mm, each.height_mm) for each in own]

    return FigureSet(
        figures,
        templates,
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
    """The scene of every figure with its key; the legend comes last, with the signs of them all."""
    used: set[str] = set()
    for group in _groups(resolved, plans, rows, page):
        progress(group.title)
        for key, scene in group.scenes():
            used |= signs_of(scene)
            yield key, scene
    yield from _legend(resolved, page, frozenset(used)).scenes()


def _groups(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], rows: tuple[CutRow, ...], page: Page
) -> Iterator[_Group]:
    """What every page shows, then how the work is built up, folded, filled and closed, in the parts
    that this page has."""
    shaped = [row for row in rows if needs_drawing(row.first)]

    def in_rooms(title: str, draw: Callable[..., Scenes], *kinds: str) -> _Group:
        return _Group(title, tuple(page.rooms[kind] for kind in kinds), draw)

    yield in_rooms("the cover", partial(_cover, resolved), "cover")
    yield in_rooms("the finished piece, open", partial(_open, resolved), "open")
    yield in_rooms("and closed", partial(_closed, resolved), "closed")
    yield in_rooms("papers and cards", partial(_swatches, resolved))
    yield in_rooms("sheet maps", partial(_sheet_scenes, resolved, plans), *SHEET_ROOMS)
    yield in_rooms("pieces", partial(_pieces, resolved, shaped), "piece", "large_piece")
    yield _Group("steps", room_of_steps(page), lambda *_: scenes_on_page(resolved, page))
    if "moving" in page.parts:
        what = movements_left if "steps" in page.parts else sequences
        draw = partial(_movements, resolved)
        moves = (page.rooms[kind] for kind in ("flap", "folds", "many_folds"))
        yield _Group("movements", (what, *moves), draw)
    if "photos" in page.parts and has_photo_plan(resolved):
        yield in_rooms("photographs", partial(_photos, resolved), "photos")
    if "finished" in page.parts:
        yield in_rooms("the work raised", partial(_raised, resolved), "raised")
    yield in_rooms("templates", partial(_templates, resolved, shaped), "template")


def _legend(resolved: ResolvedDesign, page: Page, used: frozenset[str]) -> _Group:
    return _Group("conventions", (float(page.width), used), partial(_conventions, resolved))


def _movements(
    resolved: ResolvedDesign, what: _Sequences, few: Room, usual: Room, many: Room
) -> Scenes:
    """``motion-STEP`` for the movements of each step that its own pictures do not show, and
    ``motion-closing`` for what is left to close then; all where the page has no steps."""
    for sequence in what(resolved):
        count = len(sequence.moves) + len(sequence.runs)
        room = few if count <= _FEW_MOVEMENTS else usual if count <= _MOST_MOVEMENTS else many
        yield sequence.key, motion_scene(sequence, *room)


def _photos(resolved: ResolvedDesign, room: Room) -> Scenes:
    yield "photos", photo_scene(resolved, *room)


def _raised(resolved: ResolvedDesign, room: Room) -> Scenes:
    """The work from the right, before and above; ``open`` shows it open."""
    yield "raised-closed", finished_scene(resolved, "closed", *room, OBLIQUE)


def _cover(resolved: ResolvedDesign, room: Room) -> Scenes:
    yield "cover", scene_for_cover(resolved, *room)


def _open(resolved: ResolvedDesign, room: Room) -> Scenes:
    """As it lies on the table, or as it stands where it has walls."""
    view = OBLIQUE if stands(resolved, "open") else "front"
    yield "open", finished_scene(resolved, "open", *room, view)


def _closed(resolved: ResolvedDesign, room: Room) -> Scenes:
    yield "closed", finished_scene(resolved, "closed", *room)
    yield "closed-back", finished_scene(resolved, "closed", *room, view="back")


def _conventions(resolved: ResolvedDesign, width: float, used: Collection[str]) -> Scenes:
    yield "legend", conventions_scene(width, resolved.edition.units.language, used)
    yield "calibration", calibration_scene(resolved.edition)


def _swatches(resolved: ResolvedDesign) -> Scenes:
    used = {piece.stock.key for piece in resolved.pieces.values()}
    for key, stock in resolved.stocks.items():
        if key in used:
            for side in sides_shown(stock):
                yield swatch_key(key, side), swatch_scene(resolved, key, side, *_SWATCH)


def _pieces(resolved: ResolvedDesign, shaped: Sequence[CutRow], room: Room, large: Room) -> Scenes:
    """A piece that could not be read in its room has one half way to the large one, or that."""
    half_way = (room[0], (room[1] + large[1]) / 2)
    for row in shaped:
        key, *others = (piece.key for piece in row.pieces)
        for tried in (room, half_way, large):
            scene = piece_scene(resolved, key, *tried, others)
            if not (is_cramped(resolved, key, *tried) or overlaps(scene)):
                break
        yield f"piece-{key}", scene


def _templates(resolved: ResolvedDesign, shaped: Sequence[CutRow], room: Room) -> Scenes:
    groups = [[p.key for p in row.pieces] for row in shaped if needs_template(row.first)]
    others = {key: rest for key, *rest in groups}
    pages = template_pages(resolved, list(others), *room, others)
    for number, scene in enumerate(pages, start=1):
        part = _PART if scene.key.startswith(TILE_KEY) else ""
        yield f"{_TEMPLATE}{number}{part}", scene


#: A swatch of a paper, in mm.
_SWATCH = (16.0, 8.0)
#: How the keys of template pages begin.
_TEMPLATE = "template-"
#: And how those of parts of a piece end.
_PART = "-part"


def _sheet_scenes(resolved: ResolvedDesign, plans: Mapping[str, StockPlan], *rooms: Room) -> Scenes:
    by_kind = dict(zip(SHEET_ROOMS, rooms, strict=True))
    for key, stock_plan in plans.items():
        total = len(stock_plan.plan.sheets)
        for alike in stock_plan.alike:
            sheet = stock_plan.plan.sheets[alike[0] - 1]
            room = by_kind[sheet_room(sheet)]
            first, last = alike[0], alike[-1]
            kept = stock_plan.kept_on(first)
            scene = sheet_scene(resolved, key, sheet, first, total, *room, last=last, kept=kept)
            yield f"sheet-{key}-{alike[0]}", scene
