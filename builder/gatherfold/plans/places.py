"""How pieces and strips lie on their sheets, and where the print says that they lie.

A piece keeps its direction where the side it is cut from has one: an upright print is cut
upright, a sideways print turned by a quarter; only a print without direction may be laid either
way, and then folded pieces lie with their scores along the grain.  A piece cut round a motif has
its place; one that touches an edge or lies in a region is free within that.
"""

from fractions import Fraction
from typing import Literal, assert_never

from gatherfold.geometry import Axis, Box, EdgeName, mirrored, other_axis
from gatherfold.lengths import down_to_grid, nearest_on_grid, up_to_grid
from gatherfold.model import Piece, PrintDirection, is_front
from gatherfold.resolve import ResolvedPiece, ResolvedReserve, ResolvedStock, ResolvedStrip
from gatherfold.sheets import Pin

Size = tuple[Fraction, Fraction]
#: What a sheet is cut into.
CutOut = ResolvedPiece | ResolvedStrip

#: How a piece is laid on its sheet: as drawn, or turned by a quarter.
WayRound = Literal["upright", "turned"]
_QUARTER_TURNED: dict[WayRound | None, bool] = {"turned": True, "upright": False, None: False}
_WAYS_OF_PRINT: dict[PrintDirection, WayRound | None] = {
    "sideways": "turned",
    "upright": "upright",
    "any": None,
}


def is_placed_by_print(out: CutOut) -> bool:
    """Whether a motif, a region or an edge says where on its sheet a piece lies."""
    source = out.source
    return isinstance(source, Piece) and bool(source.motif or source.region or source.edge)


def pin_of(out: CutOut, grid: Fraction) -> Pin | None:
    """Where on its sheet a piece lies, as the front shows the sheet; None where it is free."""
    if not isinstance(out, ResolvedPiece) or not is_placed_by_print(out):
        return None
    cut = round_motif(out, grid)
    if cut is not None:
        return Pin(x=cut.left, y=cut.bottom)
    box = region_on_grid(out, grid)
    region = None if box is None else (box.left, box.bottom, box.right, box.top)
    edge = edge_of(out)
    return Pin(edge=edge, region=region)


def edge_of(piece: ResolvedPiece) -> EdgeName | None:
    """The edge of its sheet that a piece touches, as the front shows the sheet, if it is any."""
    edge = piece.source.edge
    return edge if edge is None or is_front(piece.side) else mirrored(edge)


def region_box(piece: ResolvedPiece) -> Box | None:
    """The region that a piece lies in, as the front shows the sheet."""
    if piece.source.region is None:
        return None
    return _on_front(piece, piece.stock.regions[piece.side, piece.source.region])


def motif_on_sheet(piece: ResolvedPiece) -> Box | None:
    """The printed picture that a piece is cut round, as the front shows the sheet."""
    if piece.source.motif is None:
        return None
    return _on_front(piece, piece.stock.motifs[piece.side, piece.source.motif])


def _on_front(piece: ResolvedPiece, box: Box) -> Box:
    """A place on the side of the sheet that a piece is cut from, as the front shows the sheet."""
    return box if is_front(piece.side) else as_front_shows(box, piece.stock.sheet_width)


def motif_corner(piece: ResolvedPiece, grid: Fraction) -> tuple[Fraction, Fraction] | None:
    """How far from the left and the bottom edge of the sheet the picture begins that a piece is cut
    round, to the step of the grid: enough to recognise it by."""
    motif = motif_on_sheet(piece)
    if motif is None:
        return None
    return nearest_on_grid(motif.left, grid), nearest_on_grid(motif.bottom, grid)


def region_on_grid(piece: ResolvedPiece, grid: Fraction) -> Box | None:
    """The region as far as whole steps of the grid reach, and to the edge where it ends there."""
    box = region_box(piece)
    if box is None:
        return None
    width, height = piece.stock.sheet_width, piece.stock.sheet_height
    return Box(
        up_to_grid(box.left, grid),
        up_to_grid(box.bottom, grid),
        box.right if box.right == width else down_to_grid(box.right, grid),
        box.top if box.top == height else down_to_grid(box.top, grid),
    )


def as_front_shows(box: Box, sheet_width: Fraction) -> Box:
    """A place on the back of a sheet, as it lies when the front faces the maker."""
    return Box(sheet_width - box.right, box.bottom, sheet_width - box.left, box.top)


def print_of(piece: CutOut) -> PrintDirection:
    """The print direction of the side that the piece is cut from."""
    return piece.printed_side.print


def way_round(piece: CutOut) -> WayRound | None:
    """How a piece is laid on its sheet: ``upright`` as drawn or ``turned`` by a quarter; None where
    the plan of the sheets may turn it.

    A print with a direction decides; without one, score lines that all run one way are laid along
    the grain, where the stock states it and the sheet has room.
    """
    way = way_of_print(print_of(piece))
    if way is not None:
        return way
    if piece.motif is not None:
        return "upright"
    wanted = along_grain(piece)
    return wanted if wanted and fits_on_sheet(piece, wanted) else None


def way_of_print(direction: PrintDirection) -> WayRound | None:
    """How a print lies that keeps its direction; None where it has none."""
    return _WAYS_OF_PRINT[direction]


def along_grain(piece: CutOut) -> WayRound | None:
    """Which way round lays all score lines along the grain; None where neither or both would."""
    axes = {score.axis for score in piece.scores}
    grain = grain_axis(piece.stock)
    if len(axes) != 1 or grain is None:
        return None
    return "upright" if axes == {grain} else "turned"


def grain_axis(stock: ResolvedStock) -> Axis | None:
    """``vertical`` or ``horizontal`` on the sheet as it is drawn; None where it is not stated.

    On a square sheet the long way is taken to be upright.
    """
    upright: Axis = "vertical" if stock.sheet_height >= stock.sheet_width else "horizontal"
    match stock.source.grain:
        case "long":
            return upright
        case "short":
            return other_axis(upright)
        case "any":
            return None
        case other:
            assert_never(other)


def fits_on_sheet(piece: CutOut, way: WayRound) -> bool:
    width, height = laid(piece, way)
    return any(width <= room[0] and height <= room[1] for room in rooms(piece))


def is_quarter_turned(way: WayRound | None) -> bool:
    """Whether a piece must be turned to be laid so; where either way will do it need not."""
    return _QUARTER_TURNED[way]


def laid(piece: CutOut | ResolvedReserve, way: WayRound | None) -> Size:
    """Width and height of a piece that is laid so; where either way will do, upright."""
    size = (piece.width, piece.height)
    return (size[1], size[0]) if is_quarter_turned(way) else size


def rooms(piece: CutOut) -> list[Size]:
    """What the sheets that a piece may come from offer without their margins."""
    sheets = piece.stock.sheets[: 1 if is_placed_by_print(piece) else None]
    return [sheet.usable for sheet in sheets]


def round_motif(piece: ResolvedPiece, grid: Fraction) -> Box | None:
    """Where a piece must be cut so that its motif lies in its middle, to the step of the grid.

    A motif on the back is seen in the mirror when the front faces the maker.
    """
    motif = motif_on_sheet(piece)
    if motif is None:
        return None
    left = nearest_on_grid(motif.centre.x - piece.width / 2, grid)
    bottom = nearest_on_grid(motif.centre.y - piece.height / 2, grid)
    return Box(left, bottom, left + piece.width, bottom + piece.height)
