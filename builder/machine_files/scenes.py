"""The scenes of a design: one for each different sheet as it is planned, and one for each piece.

In: a resolved design and its sheet plans.  Out: :class:`MachineScene` values.  A piece that is cut
from the side that lies down is mirrored: its own side is printed on the other face.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

from builder.choices import SideName, is_sold_by_length
from builder.geometry.outline import Point
from builder.geometry.pose import IDENTITY, Pose, flipped, shifted, turned
from builder.machine_files.laid import (
    Laid,
    openings,
    outlines,
    pierced,
    position_marks,
    scores,
)
from builder.machine_files.scene import Group, MachineScene, Pierced, Stroke
from builder.machine_files.words import (
    SheetFacts,
    piece_notes,
    piece_title,
    sheet_notes,
    sheet_title,
)
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.sheet_places import is_quarter_turned, way_round
from builder.sheets import Placed, SheetPlan, pattern_of
from builder.stock_plans import StockPlan, facing_side, piece_of
from builder.strip_plans import placed_pieces
from builder.wording import load_wording


def sheet_scenes(
    resolved: ResolvedDesign, plans: Mapping[str, StockPlan], mark: str
) -> list[MachineScene]:
    """The different sheets of every stock, in the order of the plan; ``mark`` is the design's."""
    scenes = []
    for plan in plans.values():
        alike: dict[object, list[int]] = {}
        for number, sheet in enumerate(plan.plan.sheets, start=1):
            alike.setdefault(pattern_of(sheet), []).append(number)
        for numbers in alike.values():
            scenes.append(_sheet_scene(resolved, plan, numbers, mark))
    return scenes


def piece_scenes(resolved: ResolvedDesign, mark: str) -> list[MachineScene]:
    """Every piece but those of ribbon, which is cut to length by hand."""
    pieces = (p for p in resolved.pieces.values() if not is_sold_by_length(p.stock.source.material))
    return [_piece_scene(resolved, piece, mark) for piece in pieces]


def _sheet_scene(
    resolved: ResolvedDesign, plan: StockPlan, numbers: Sequence[int], mark: str
) -> MachineScene:
    sheet = plan.plan.sheets[numbers[0] - 1]
    facing = facing_side(resolved, sheet)
    laid = _laid_on(resolved, sheet, facing)
    size = Fraction(sheet.sheet.width), Fraction(sheet.sheet.height)
    facts = SheetFacts(plan.stock, tuple(numbers), size, facing, laid)
    wording = load_wording(resolved.edition.units.language)
    return MachineScene(
        f"sheet-{plan.stock.key}-{numbers[0]}",
        sheet_title(resolved, wording, facts),
        sheet_notes(resolved, wording, facts, mark),
        *size,
        _work_on(resolved, laid),
    )


def _piece_scene(resolved: ResolvedDesign, piece: ResolvedPiece, mark: str) -> MachineScene:
    wording = load_wording(resolved.edition.units.language)
    return MachineScene(
        f"piece-{piece.key}",
        piece_title(resolved, wording, piece),
        piece_notes(resolved, wording, piece, mark),
        piece.width,
        piece.height,
        _work_on(resolved, (_laid(piece.key, piece, IDENTITY, False),)),
    )


def _work_on(
    resolved: ResolvedDesign, laid: tuple[Laid, ...]
) -> dict[Group, tuple[Stroke | Pierced, ...]]:
    """What is done on pieces as they lie."""
    upper = tuple(resolved.pieces.values())
    return {
        Group.MARK: position_marks(laid, upper, resolved.tolerance),
        Group.SCORE_VALLEY: scores(laid, "valley"),
        Group.SCORE_MOUNTAIN: scores(laid, "mountain"),
        Group.PIERCE: pierced(laid),
        Group.OPENING: openings(laid),
        Group.OUTLINE: outlines(laid),
    }


def _laid_on(resolved: ResolvedDesign, sheet: SheetPlan, facing: SideName) -> tuple[Laid, ...]:
    """The pieces of a sheet; a strip lies on it as the pieces that it is divided into."""
    laid = []
    for placed in sheet.placed:
        cut_out = resolved.cut_out(piece_of(placed.key))
        is_turned = placed.turned or is_quarter_turned(way_round(cut_out))
        mirrored = cut_out.side != facing
        for each in placed_pieces(resolved, replace(sheet, placed=(placed,)), facing):
            piece = resolved.pieces[piece_of(each.key)]
            laid.append(_laid(each.key, piece, _pose(piece, each, is_turned, mirrored), mirrored))
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


def _laid(key: str, piece: ResolvedPiece, pose: Pose, mirrored: bool) -> Laid:
    def move(point: Point) -> Point:
        x, y, _ = pose.apply(point.x, point.y)
        return Point(x, y)

    return Laid(key.replace("#", "-"), piece, move, mirrored)
