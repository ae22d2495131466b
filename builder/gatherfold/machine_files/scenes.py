"""The scenes of a design: one for each different sheet as it is planned, and one for each piece.

In: a resolved design and its sheet plans.  Out: :class:`MachineScene` values, with the title and
the sentences for the person who opens the file, from the fixed wording.  A piece that is cut
from the side that lies down is mirrored: its own side is printed on the other face.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from gatherfold.geometry import IDENTITY, Pose, flipped, shifted, turned
from gatherfold.lengths import METRIC_UNITS
from gatherfold.machine_files.laid import (
    WIDEST_PIERCED,
    Laid,
    openings,
    outlines,
    pierced,
    position_marks,
    scores,
)
from gatherfold.machine_files.scene import Group, MachineScene, Pierced, Stroke
from gatherfold.model import SideName, is_sold_by_length, printed_mark
from gatherfold.plans import (
    Size,
    StockPlan,
    facing_side,
    is_quarter_turned,
    placed_pieces,
    way_round,
)
from gatherfold.resolve import ResolvedDesign, ResolvedPiece, ResolvedStock
from gatherfold.sheets import Placed, SheetPlan, name_of, pattern_of
from gatherfold.wording import Wording, load_wording


def sheet_scenes(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> list[MachineScene]:
    """The different sheets of every stock, in the order of the plan."""
    scenes = []
    for plan in plans.values():
        alike: dict[object, list[int]] = {}
        for number, sheet in enumerate(plan.plan.sheets, start=1):
            alike.setdefault(pattern_of(sheet), []).append(number)
        scenes += [_sheet_scene(resolved, plan, numbers) for numbers in alike.values()]
    return scenes


def piece_scenes(resolved: ResolvedDesign) -> list[MachineScene]:
    """Every piece but those of ribbon, which is cut to length by hand."""
    pieces = (p for p in resolved.pieces.values() if not is_sold_by_length(p.stock.source.material))
    return [_piece_scene(resolved, piece) for piece in pieces]


def _sheet_scene(resolved: ResolvedDesign, plan: StockPlan, numbers: Sequence[int]) -> MachineScene:
    sheet, count = plan.plan.sheets[numbers[0] - 1], len(numbers)
    facing = facing_side(resolved, sheet)
    laid = _laid_on(resolved, sheet, facing)
    size = Fraction(sheet.sheet.width), Fraction(sheet.sheet.height)
    wording = load_wording(resolved.edition.units.language)
    listed = ", ".join(map(str, numbers))
    what = wording.counted("machine_sheet", count, stock=plan.stock.source.title, numbers=listed)
    notes = [wording.phrase("machine_sheet", size=wording.units(METRIC_UNITS).size_text(*size))]
    if count > 1:
        notes.append(wording.phrase("machine_alike", count=count))
    notes += _facing_notes(wording, plan.stock, facing, laid)
    return _scene(resolved, f"sheet-{plan.stock.key}-{numbers[0]}", what, notes, size, laid)


def _piece_scene(resolved: ResolvedDesign, piece: ResolvedPiece) -> MachineScene:
    wording, stock = load_wording(resolved.edition.units.language), piece.stock.source
    size = piece.width, piece.height
    written = wording.units(METRIC_UNITS).size_text(*size)
    notes = [
        wording.phrase("machine_piece", size=written, count=piece.source.count, stock=stock.title)
    ]
    if stock.two_sided:
        pattern, side = piece.printed_side.title, wording.phrase(f"side_{piece.side}")
        notes.append(wording.phrase("machine_piece_facing", side=side, print=pattern))
    laid = (Laid(piece.key, piece, IDENTITY),)
    return _scene(resolved, f"piece-{piece.key}", _named(piece), notes, size, laid)


def _scene(
    resolved: ResolvedDesign,
    stem: str,
    what: str,
    notes: Sequence[str],
    size: Size,
    laid: tuple[Laid, ...],
) -> MachineScene:
    """What is done on pieces as they lie, with the title and what every file says last."""
    design, wording = resolved.design, load_wording(resolved.edition.units.language)
    edition = wording.phrase(f"edition_{resolved.edition.name}")
    widest = wording.units(METRIC_UNITS).text(WIDEST_PIERCED)
    mark = printed_mark(design.checksum)
    common = (
        wording.phrase("machine_folds"),
        wording.phrase("machine_order"),
        wording.phrase("machine_kinds", widest=widest),
        wording.phrase("machine_mark", revision=design.revision, mark=mark),
        wording.phrase("machine_caution"),
    )
    work: dict[Group, tuple[Stroke | Pierced, ...]] = {
        Group.MARK: position_marks(laid, tuple(resolved.pieces.values()), resolved.tolerance),
        Group.SCORE_VALLEY: scores(laid, "valley"),
        Group.SCORE_MOUNTAIN: scores(laid, "mountain"),
        Group.PIERCE: pierced(laid),
        Group.OPENING: openings(laid),
        Group.OUTLINE: outlines(laid),
    }
    title = wording.phrase("machine_title", design=design.title, edition=edition, what=what)
    return MachineScene(stem, title, (*notes, *common), *size, work)


def _laid_on(resolved: ResolvedDesign, sheet: SheetPlan, facing: SideName) -> tuple[Laid, ...]:
    """The pieces of a sheet; a strip lies on it as the pieces that it is divided into."""
    laid = []
    for placed in sheet.placed:
        cut_out = resolved.cut_out(name_of(placed.key))
        is_turned = placed.turned or is_quarter_turned(way_round(cut_out))
        mirrored = cut_out.side != facing
        for each in placed_pieces(resolved, replace(sheet, placed=(placed,)), facing):
            piece = resolved.pieces[name_of(each.key)]
            pose = _pose(piece, each, is_turned, mirrored)
            laid.append(Laid(each.key.replace("#", "-"), piece, pose))
    return tuple(laid)


def _pose(piece: ResolvedPiece, placed: Placed, is_turned: bool, mirrored: bool) -> Pose:
    """Where a piece lies, as the face that lies up is looked at.

    A sideways print has its top at the sheet's right, so a turned piece is turned clockwise; from
    behind all of that is seen in the mirror.
    """
    pose = shifted(Fraction(placed.x), Fraction(placed.y))
    if mirrored:
        pose = pose.then(shifted(Fraction(placed.width), Fraction(0))).then(flipped())
    if is_turned:
        pose = pose.then(shifted(Fraction(0), piece.width)).then(turned(270))
    return pose


def _facing_notes(
    wording: Wording, stock: ResolvedStock, facing: SideName, laid: Sequence[Laid]
) -> Iterator[str]:
    """Which side of a sheet lies up, and which pieces are mirrored by that."""
    mirrored = dict.fromkeys(_named(each.piece) for each in laid if each.is_mirrored)
    if stock.source.two_sided or mirrored:
        pattern, side = stock.source.side(facing).title, wording.phrase(f"side_{facing}")
        yield wording.phrase("machine_facing", side=side, print=pattern)
    if mirrored:
        yield wording.phrase("machine_mirrored", pieces=", ".join(mirrored))


def _named(piece: ResolvedPiece) -> str:
    return f"{piece.code} {piece.title}"
