"""The kinds of pictures that a document has, a record each, in the order in which they are drawn.

A kind says once what it is called, what rooms it has on a page, which parts of the document show
it, when a design needs it, and how its scenes are drawn from what was computed; each scene carries
its title and its text equivalent.  Documents walk :data:`KINDS`: they draw what a page and a design
want, and hand templates the pictures by the names of their kinds.

Rooms are formulas of the page; ``page.width`` and ``page.height`` stand for the page within its
margins.  A layout may give a figure another room by its name.
"""

from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, field

from gatherfold.counts import CutRow
from gatherfold.drawings.finished.drawing import OBLIQUE, finished_scene, scene_for_cover, view_into
from gatherfold.drawings.kernel.stock_tints import sides_shown, swatch_key, swatch_scene
from gatherfold.drawings.legend.drawing import calibration_scene, conventions_scene
from gatherfold.drawings.motion.drawing import motion_scene
from gatherfold.drawings.motion.movements import sequences
from gatherfold.drawings.photograph.drawing import has_photo_plan, photo_scene
from gatherfold.drawings.piece.drawing import is_cramped, piece_scene
from gatherfold.drawings.scene_check import overlaps
from gatherfold.drawings.sheet_map.drawing import sheet_scene
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.drawings.step.pictures import Room, Scenes, step_drawings
from gatherfold.drawings.step.stages import movements_left
from gatherfold.drawings.template.drawing import needs_template, template_pages
from gatherfold.drawings.template.tiles import TILE_KEY
from gatherfold.drawings.views.features import needs_drawing
from gatherfold.plans import StockPlan
from gatherfold.resolve import ResolvedDesign
from gatherfold.sheets import SheetPlan

_UNLIMITED = float("inf")


@dataclass(frozen=True)
class PictureRoom:
    """A room of a page by its name, and its formula where a layout gives it no other.

    Without a room of its own it is ``like`` the one of that name that the layout gives.  Where two
    editions stand side by side, one ``in_columns`` is no wider than a column, and no higher than
    ``highest`` mm.
    """

    name: str
    standard: str
    like: str = ""
    in_columns: bool = False
    highest: float = _UNLIMITED


@dataclass(frozen=True)
class Pictured:
    """What pictures are drawn of, and for: an edition with its plans and its cut list, the parts
    and the width of the page, and the signs that the legend explains."""

    resolved: ResolvedDesign
    plans: Mapping[str, StockPlan]
    rows: tuple[CutRow, ...]
    parts: tuple[str, ...]
    width: float
    signs: frozenset[str] = frozenset()

    @property
    def shaped(self) -> list[CutRow]:
        """The rows of the cut list whose pieces are drawn."""
        return [row for row in self.rows if needs_drawing(row.first)]


@dataclass(frozen=True)
class PictureKind:
    """A kind of picture: what templates call it, and what it is called while it is drawn.

    It is drawn where the page has one of ``parts``, or on every page without any, and where the
    design needs it.  ``depends_on`` says what it takes of the page beside its rooms: pictures that
    were drawn for one layout serve the next one where that is the same.
    """

    name: str
    title: str
    rooms: tuple[PictureRoom, ...]
    draw: Callable[[Pictured, Mapping[str, Room]], Scenes]
    parts: tuple[str, ...] = ()
    is_needed: Callable[[Pictured], bool] = field(default=lambda pictured: True)
    depends_on: Callable[[Pictured], Hashable] = field(default=lambda pictured: None)

    def is_wanted(self, pictured: Pictured) -> bool:
        """Whether the page shows it and the design needs it."""
        is_shown = not self.parts or any(part in pictured.parts for part in self.parts)
        return is_shown and self.is_needed(pictured)


# The finished work


def _cover(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    yield "cover", scene_for_cover(pictured.resolved, *rooms["cover"])


def _open(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """As it lies on the table, the side up that shows more of its inside, or as it stands."""
    view = view_into(pictured.resolved)
    yield "open", finished_scene(pictured.resolved, "open", *rooms["open"], view)


def _closed(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    yield "closed", finished_scene(pictured.resolved, "closed", *rooms["closed"])


def _raised(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """The work from the right, before and above; ``open`` shows it open."""
    scene = finished_scene(pictured.resolved, "closed", *rooms["raised"], OBLIQUE)
    yield "raised-closed", scene


# Papers, sheets and pieces

#: A swatch of a paper, in mm.
_SWATCH = (16.0, 8.0)


def _swatches(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    resolved = pictured.resolved
    used = {piece.stock.key for piece in resolved.pieces.values()}
    for key, stock in resolved.stocks.items():
        if key in used:
            for side in sides_shown(stock):
                yield swatch_key(key, side), swatch_scene(resolved, key, side, *_SWATCH)


#: The rooms of sheet maps: how many cuts, and how many narrow pieces, each is for at most.  The
#: last is for any number.
SHEET_ROOMS: Mapping[str, tuple[float, float]] = {
    "simple_sheet": (3, 0),
    "sheet": (10, 2),
    "busy_sheet": (16, 12),
    "crowded_sheet": (_UNLIMITED, _UNLIMITED),
}
#: A piece narrower than this share of its sheet has a note beside a small map.
_NARROW = 8


def sheet_room(plan: SheetPlan) -> str:
    """The first room that is for so many cuts and narrow pieces."""
    longest = max(plan.sheet.width, plan.sheet.height)
    narrow = sum(min(placed.width, placed.height) * _NARROW < longest for placed in plan.placed)
    return next(
        name
        for name, (most_cuts, most_narrow) in SHEET_ROOMS.items()
        if len(plan.cuts) <= most_cuts and narrow <= most_narrow
    )


def sheet_key(stock: str, number: int) -> str:
    """The key of the map of a stock's sheet of this number."""
    return f"sheet-{stock}-{number}"


def _sheets(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """A map for each stock's sheets that are cut alike."""
    resolved = pictured.resolved
    for key, stock_plan in pictured.plans.items():
        total = len(stock_plan.plan.sheets)
        for first, *others in stock_plan.alike:
            sheet = stock_plan.plan.sheets[first - 1]
            room, kept = rooms[sheet_room(sheet)], stock_plan.kept_on(first)
            last = others[-1] if others else first
            mapped = MappedSheet(resolved, key, sheet, first, total, last, kept)
            yield sheet_key(key, first), sheet_scene(mapped, *room)


def _pieces(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """A piece that could not be read in its room has one half way to the large one, or that."""
    room, large = rooms["piece"], rooms["large_piece"]
    half_way = (room[0], (room[1] + large[1]) / 2)
    for row in pictured.shaped:
        key, *others = (piece.key for piece in row.pieces)
        for tried in (room, half_way, large):
            scene = piece_scene(pictured.resolved, key, *tried, others)
            if not (is_cramped(pictured.resolved, key, *tried) or overlaps(scene)):
                break
        yield f"piece-{key}", scene


def _templates(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """``template-NUMBER`` for each page, with ``-part`` where it has a part of a large piece."""
    groups = [[p.key for p in row.pieces] for row in pictured.shaped if needs_template(row.first)]
    others = {key: rest for key, *rest in groups}
    pages = template_pages(pictured.resolved, list(others), *rooms["template"], others)
    for number, scene in enumerate(pages, start=1):
        part = "-part" if scene.key.startswith(TILE_KEY) else ""
        yield f"template-{number}{part}", scene


# How it is made, how it moves, and what it holds


def _steps(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    for _, draw in step_drawings(pictured.resolved):
        yield from draw(rooms["step"], rooms["fastening"])


#: A sequence of no more pictures than the first gets a small room, of more than the second a
#: large one.
_FEW_MOVEMENTS, _MOST_MOVEMENTS = 3, 4


def _motions(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    """``motion-STEP`` for the movements of each step that its own pictures do not show, and
    ``motion-closing`` for what is left to close then; all where the page has no steps."""
    find = movements_left if _shows_steps(pictured) else sequences
    for sequence in find(pictured.resolved):
        count = len(sequence.moves) + len(sequence.runs)
        few = "flap" if count <= _FEW_MOVEMENTS else ""
        name = few or ("folds" if count <= _MOST_MOVEMENTS else "many_folds")
        yield sequence.key, motion_scene(sequence, *rooms[name])


def _shows_steps(pictured: Pictured) -> bool:
    return "steps" in pictured.parts


def _photos(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    yield "photos", photo_scene(pictured.resolved, *rooms["photos"])


# What explains the others


def _legend(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    language = pictured.resolved.edition.units.language
    yield "legend", conventions_scene(pictured.width, language, pictured.signs)


def _calibration(pictured: Pictured, rooms: Mapping[str, Room]) -> Scenes:
    yield "calibration", calibration_scene(pictured.resolved.edition)


#: What maps in columns take at most, so that two of them with their cuts fill a page.
_LOW, _HIGH = 70.0, 98.0
_THREE_FIFTHS = "page.width * 3/5 x 98 mm"

#: Drawn as they are in their rooms; a document makes them fit beside their words.
STEPS = PictureKind(
    "steps",
    "steps",
    (
        PictureRoom("step", "page.width x 76 mm", in_columns=True),
        PictureRoom("fastening", "page.width x 70 mm", in_columns=True),
    ),
    _steps,
    parts=("steps",),
)

KINDS = (
    PictureKind("cover", "the cover", (PictureRoom("cover", "page.width x 150 mm"),), _cover),
    PictureKind(
        "open", "the finished piece, open", (PictureRoom("open", "page.width x 108 mm"),), _open
    ),
    PictureKind("closed", "and closed", (PictureRoom("closed", "page.width x 88 mm"),), _closed),
    PictureKind("swatches", "papers and cards", (), _swatches),
    PictureKind(
        "sheets",
        "sheet maps",
        (
            PictureRoom("simple_sheet", _THREE_FIFTHS, "sheet", in_columns=True, highest=_LOW),
            PictureRoom("sheet", _THREE_FIFTHS, in_columns=True, highest=_LOW),
            PictureRoom("busy_sheet", _THREE_FIFTHS, "sheet", in_columns=True, highest=_LOW),
            PictureRoom("crowded_sheet", "page.width x 136 mm", in_columns=True, highest=_HIGH),
        ),
        _sheets,
    ),
    PictureKind(
        "pieces",
        "pieces",
        (
            PictureRoom("piece", "page.width / 2 - 3 mm x 72 mm", in_columns=True),
            PictureRoom("large_piece", "page.width x 120 mm", in_columns=True),
        ),
        _pieces,
        parts=("pieces",),
    ),
    STEPS,
    PictureKind(
        "motions",
        "movements",
        (
            PictureRoom("flap", "page.width x 75 mm"),
            PictureRoom("folds", "page.width x 130 mm"),
            PictureRoom("many_folds", "page.width x 175 mm"),
        ),
        _motions,
        parts=("moving",),
        depends_on=_shows_steps,
    ),
    PictureKind(
        "photos",
        "photographs",
        (PictureRoom("photos", "page.width x 120 mm"),),
        _photos,
        parts=("photos",),
        is_needed=lambda pictured: has_photo_plan(pictured.resolved),
    ),
    PictureKind(
        "raised",
        "the work raised",
        (PictureRoom("raised", "page.width x 108 mm"),),
        _raised,
        parts=("finished",),
    ),
    PictureKind(
        "templates",
        "templates",
        (PictureRoom("template", "page.width x page.height - 22 mm"),),
        _templates,
        parts=("templates",),
    ),
    # It explains the signs of all before it.
    PictureKind(
        "legend",
        "conventions",
        (),
        _legend,
        depends_on=lambda pictured: (pictured.width, pictured.signs),
    ),
    PictureKind("calibration", "bars to measure", (), _calibration),
)
