"""Which figures a document has: the finished thing, sheets, pieces, steps and templates.

In: a resolved design, its sheet plans and the page that says what room they have.  Out:
:class:`Figure` values by key, inked.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from builder.counts.cut_list import CutRow
from builder.design import Step
from builder.documents.page import Page, standard_page
from builder.documents.photographs import Photograph
from builder.drawings.assembly import assembly_scenes
from builder.drawings.conventions import calibration_scene, conventions_scene
from builder.drawings.fastening import fastening_scene
from builder.drawings.figures import Figure, figure
from builder.drawings.finished_view import cover_scene, finished_scene
from builder.drawings.piece_drawing import piece_scene
from builder.drawings.scene import Scene
from builder.drawings.sheet_map import sheet_scene
from builder.drawings.structure_scenes import (
    Room,
    closure_scenes,
    folding_scenes,
    layer_scenes,
    moving_scenes,
    photo_scenes,
    raised_scenes,
)
from builder.drawings.templates import needs_template, template_pages
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.resolve.step_parts import named_fastenings, named_pieces
from builder.sheets import SheetPlan
from builder.stock_plans import StockPlan


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

    @property
    def by_address(self) -> dict[str, Figure | Photograph]:
        """The figures and photographs as a document asks for them."""
        figures = {f"{self.prefix}{key}": figure for key, figure in self.figures.items()}
        return figures | {f"{PHOTOGRAPH}{key}": each for key, each in self.photographs.items()}


#: How the addresses of photographs begin.
PHOTOGRAPH = "photograph-"

Progress = Callable[[str], None]
_Scenes = Iterator[tuple[str, Scene]]
#: Groups of figures that were drawn already, by what they show and the room they have.
Drawn = dict[tuple[object, ...], dict[str, Figure]]

#: A sheet with more cuts than this has a large map, and its cuts below it.
MOST_CUTS_BESIDE = 16


def is_crowded(sheet: SheetPlan) -> bool:
    """Whether a sheet has too many cuts for a small map."""
    return len(sheet.cuts) > MOST_CUTS_BESIDE


@dataclass(frozen=True)
class _Group:
    """Figures that are drawn together: what they show, the room they have, and how to draw them."""

    title: str
    room: tuple[object, ...]
    scenes: Callable[[], _Scenes]


def draw_figures(
    resolved: ResolvedDesign,
    plans: Mapping[str, StockPlan],
    rows: tuple[CutRow, ...],
    progress: Progress,
    page: Page | None = None,
    drawn: Drawn | None = None,
) -> FigureSet:
    """Every figure of the edition for a page, drawn and inked.

    ``drawn`` keeps what is drawn for one layout, for others that give it the same room.
    """
    drawn = {} if drawn is None else drawn
    figures: dict[str, Figure] = {}
    for group in _groups(resolved, plans, rows, page or standard_page(resolved.edition)):
        mark = (group.title, *group.room)
        if mark not in drawn:
            progress(group.title)
            drawn[mark] = {key: figure(scene) for key, scene in group.scenes()}
        figures |= drawn[mark]
    return FigureSet(figures, tuple(key for key in figures if key.startswith(_TEMPLATE)))


def figure_scenes(
    resolved: ResolvedDesign,
    plans: Mapping[str, StockPlan],
    rows: tuple[CutRow, ...],
    progress: Progress,
    page: Page | None = None,
) -> _Scenes:
    """The scene of every figure with its key, in the order of the documents."""
    for group in _groups(resolved, plans, rows, page or standard_page(resolved.edition)):
        progress(group.title)
        yield from group.scenes()


def _groups(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], rows: tuple[CutRow, ...], page: Page
) -> tuple[_Group, ...]:
    rooms = page.rooms
    width = float(page.width)
    shaped = [row.first for row in rows if not row.first.is_plain]
    sheets = (rooms["sheet"], rooms["crowded_sheet"])
    steps = (rooms["step"], rooms["fastening"], page.room_of_a_step)
    return (
        _Group("the cover", rooms["cover"], lambda: _cover(resolved, rooms["cover"])),
        _Group("the finished piece, open", rooms["open"], lambda: _open(resolved, rooms["open"])),
        _Group("and closed", rooms["closed"], lambda: _closed(resolved, rooms["closed"])),
        _Group("conventions", (width,), lambda: _conventions(resolved, width)),
        _Group("sheet maps", sheets, lambda: _sheet_scenes(resolved, plans, *sheets)),
        _Group("pieces", rooms["piece"], lambda: _pieces(resolved, shaped, rooms["piece"])),
        _Group("steps", steps, lambda: step_scenes(resolved, *steps)),
        *(group for part, group in _structure_groups(resolved, rooms) if part in page.parts),
        _Group(
            "templates",
            rooms["template"],
            lambda: _templates(resolved, shaped, rooms["template"]),
        ),
    )


def _structure_groups(
    resolved: ResolvedDesign, rooms: Mapping[str, Room]
) -> tuple[tuple[str, _Group], ...]:
    """How the work is built up, folded, filled and closed, each with the part it is shown in."""
    folds = rooms["folds"], rooms["many_folds"]
    raised, layers, flap = rooms["raised"], rooms["layers"], rooms["flap"]
    closure, photos = rooms["closure"], rooms["photos"]
    return (
        ("moving", _Group("folding", folds, lambda: folding_scenes(resolved, *folds))),
        ("moving", _Group("flaps and pockets", flap, lambda: moving_scenes(resolved, flap))),
        ("moving", _Group("closures", closure, lambda: closure_scenes(resolved, closure))),
        ("layers", _Group("layers", layers, lambda: layer_scenes(resolved, layers))),
        ("photos", _Group("photographs", photos, lambda: photo_scenes(resolved, photos))),
        ("finished", _Group("the work raised", raised, lambda: raised_scenes(resolved, raised))),
    )


def _cover(resolved: ResolvedDesign, room: Room) -> _Scenes:
    yield "cover", cover_scene(resolved, *room)


def _open(resolved: ResolvedDesign, room: Room) -> _Scenes:
    yield "open", finished_scene(resolved, "open", *room)


def _closed(resolved: ResolvedDesign, room: Room) -> _Scenes:
    yield "closed", finished_scene(resolved, "closed", *room)
    yield "closed-back", finished_scene(resolved, "closed", *room, view="back")


def _conventions(resolved: ResolvedDesign, width: float) -> _Scenes:
    yield "legend", conventions_scene(width, resolved.edition.units.language)
    yield "calibration", calibration_scene(resolved.edition)


def _pieces(resolved: ResolvedDesign, shaped: Sequence[ResolvedPiece], room: Room) -> _Scenes:
    for piece in shaped:
        yield f"piece-{piece.key}", piece_scene(resolved, piece.key, *room)


def _templates(resolved: ResolvedDesign, shaped: Sequence[ResolvedPiece], room: Room) -> _Scenes:
    keys = [piece.key for piece in shaped if needs_template(piece)]
    for number, scene in enumerate(template_pages(resolved, keys, *room), start=1):
        yield f"{_TEMPLATE}{number}", scene


#: How the keys of template pages begin.
_TEMPLATE = "template-"


def _sheet_scenes(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], usual: Room, crowded: Room
) -> _Scenes:
    for key, stock_plan in plans.items():
        total = len(stock_plan.plan.sheets)
        for alike in stock_plan.alike:
            sheet = stock_plan.plan.sheets[alike[0] - 1]
            room = crowded if is_crowded(sheet) else usual
            first, last = alike[0], alike[-1]
            kept = stock_plan.kept_on(first)
            scene = sheet_scene(resolved, key, sheet, first, total, *room, last=last, kept=kept)
            yield f"sheet-{key}-{alike[0]}", scene


def step_scenes(resolved: ResolvedDesign, joining: Room, fastening: Room, sheet: Room) -> _Scenes:
    """Assembly drawings for every step that joins something, with what is there already.

    What is laid on different sides, or far apart, gets a drawing each, and so does each fastening.
    Those of one step are drawn smaller where they would not all fit in ``sheet``.
    """
    present: list[str] = [key for key, p in resolved.pieces.items() if p.source.placement is None]
    pierced: set[str] = set()
    for number, step in enumerate(resolved.design.steps, start=1):
        pierced |= set(named_fastenings(step, resolved))
        so_far = _pierced(resolved, pierced)
        new = [
            key
            for key in (
                *named_pieces(step, "attach", resolved),
                *named_pieces(step, "insert", resolved),
            )
            if key not in present
        ]
        if step.figure:
            for scale in _SMALLER:
                rooms = [(width * scale, height * scale) for width, height in (joining, fastening)]
                scenes = list(_scenes_of(number, step, new, present, so_far, *rooms))
                if _height_of_rows([scene for _, scene in scenes], sheet[0]) <= sheet[1]:
                    break
            yield from scenes
        present.extend(new)


def _pierced(resolved: ResolvedDesign, fastenings: Collection[str]) -> ResolvedDesign:
    """The design before the holes of other fastenings are pierced."""
    pieces = {}
    for key, piece in resolved.pieces.items():
        holes = [h for h in piece.holes if h.fastening is None or h.fastening in fastenings]
        pieces[key] = replace(piece, holes=tuple(holes))
    return replace(resolved, pieces=pieces)


#: How far drawings of a crowded step are reduced, one after the other.
_SMALLER = (1.0, 0.85, 0.7, 0.6)
#: Between drawings that lie side by side or below one another, in mm.
_BETWEEN = 4.0


def _scenes_of(
    number: int,
    step: Step,
    new: Sequence[str],
    present: Sequence[str],
    resolved: ResolvedDesign,
    joining: Room,
    fastening: Room,
) -> _Scenes:
    if new:
        scenes = assembly_scenes(resolved, new, tuple(present), *joining)
        yield from ((f"step-{number}-{index}", scene) for index, scene in enumerate(scenes, 1))
    for key in named_fastenings(step, resolved):
        if resolved.fastenings[key].point is not None:
            yield f"step-{number}-{key}", fastening_scene(resolved, key, *fastening)


def _height_of_rows(scenes: Sequence[Scene], width: float) -> float:
    """How high drawings are that follow one another in rows of this width, in mm."""
    total, row_width, row_height = 0.0, 0.0, 0.0
    for scene in scenes:
        if row_width and row_width + scene.width > width:
            total += row_height + _BETWEEN
            row_width, row_height = 0.0, 0.0
        row_width += scene.width + _BETWEEN
        row_height = max(row_height, scene.height)
    return total + row_height
