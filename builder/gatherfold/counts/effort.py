"""How long each step takes and how hard the whole is, estimated from what is counted in it.

In: a resolved design and its sheet plans.  Out: minutes by step, and a level.  The rates are in
``rates.yaml``; nothing here claims more than an estimate.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from importlib import resources

import yaml

from gatherfold.counts.cut_list import FeatureKind, features
from gatherfold.counts.shaping import shaped_pieces
from gatherfold.model import Operation, Step
from gatherfold.plans import StockPlan, strip_plan
from gatherfold.resolve import (
    ResolvedDesign,
    ResolvedPiece,
    named_fastenings,
    named_pieces,
    named_strips,
)
from gatherfold.work import work_of

#: Features that say where a piece lies on its sheet, or are done with its fastening.
_NOT_SHAPED: tuple[FeatureKind, ...] = ("motif", "region", "edge", "pierced hole")
_ROUNDED_TO = 5
#: Work that is counted by pieces, and by their score lines.
_BY_PIECE: tuple[Operation, ...] = ("ink", "dry_fit", "attach", "insert")
_BY_SCORE: tuple[Operation, ...] = ("score", "fold")
_OF_STRIPS: tuple[Operation, ...] = ("divide", "score")


@dataclass(frozen=True)
class _Threshold:
    """A level of difficulty and what a design must have, one of them, to be so hard."""

    level: str
    pieces: int
    gluings: int
    fastenings: int


@dataclass(frozen=True)
class _Rates:
    minutes: Mapping[str, Fraction]
    difficulty: tuple[_Threshold, ...]


@cache
def _rates() -> _Rates:
    data = yaml.safe_load((resources.files(__package__) / "rates.yaml").read_text("utf-8"))
    minutes = {name: Fraction(str(each)) for name, each in data["minutes"].items()}
    return _Rates(minutes, tuple(_Threshold(**entry) for entry in data["difficulty"]))


def operation_counts(
    step: Step, resolved: ResolvedDesign, plans: Mapping[str, StockPlan]
) -> dict[str, Fraction]:
    """How often each kind of work is done in a step, for one kit.

    Cuts of a sheet serve all its pieces; a step that cuts some of them has its share of the cuts.
    """
    number, pieces = resolved.design.steps.index(step) + 1, resolved.pieces
    named = {
        operation: [pieces[key] for key in named_pieces(step, operation, resolved)]
        for operation in ("cut", *_BY_PIECE, *_BY_SCORE)
    }
    shaped = [key for each in step.operations for key in shaped_pieces(step, each, resolved)]
    divided, scored = (
        [resolved.strips[key] for key in named_strips(step, operation, resolved)]
        for operation in _OF_STRIPS
    )
    fastened = [resolved.fastenings[key] for key in named_fastenings(step, resolved)]
    closed = [
        pieces[shut.fold.piece]
        for shut in work_of(resolved).shut
        if (shut.step, shut.operation) == (number, "close")
    ]
    counts: dict[str, int | Fraction] = {
        "step": 1,
        "cut": _cuts(named["cut"], resolved, plans),
        "shape": sum(_shapes(pieces[key]) for key in shaped),
        "divide": sum(len(strip_plan(strip).cuts) for strip in divided),
        "fasten": sum(fastening.source.count for fastening in fastened),
        "close": sum(piece.source.count for piece in closed),
    }
    for name in _BY_PIECE:
        counts[name] = sum(piece.source.count for piece in named[name])
    for name in _BY_SCORE:
        counts[name] = sum(len(piece.scores) * piece.source.count for piece in named[name])
    counts["score"] += sum(len(strip.scores) for strip in scored)
    return {name: Fraction(count) for name, count in counts.items()}


def _cuts(
    pieces: list[ResolvedPiece], resolved: ResolvedDesign, plans: Mapping[str, StockPlan]
) -> Fraction:
    total = Fraction(0)
    for key, plan in plans.items():
        of_stock = sum(p.source.count for p in resolved.pieces.values() if p.stock.key == key)
        named = sum(piece.source.count for piece in pieces if piece.stock.key == key)
        cuts = sum(len(sheet.cuts) for sheet in plan.of_one.sheets)
        total += Fraction(cuts * named, of_stock or 1)
    return total


def _shapes(piece: ResolvedPiece) -> int:
    """Corners, tabs, notches, windows and punched holes of one piece, and of its copies."""
    done = [feature for feature in features(piece) if feature.kind not in _NOT_SHAPED]
    return len(done) * piece.source.count


def step_minutes(step: Step, resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> int:
    """The estimate for one kit, to the next five minutes."""
    rates = _rates().minutes
    counts = operation_counts(step, resolved, plans)
    minutes = sum((rates[name] * count for name, count in counts.items()), Fraction(0))
    return (minutes / _ROUNDED_TO).__ceil__() * _ROUNDED_TO


def all_minutes(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> int:
    return sum(step_minutes(step, resolved, plans) for step in resolved.design.steps)


def difficulty(resolved: ResolvedDesign, plans: Mapping[str, StockPlan]) -> str:
    """``easy``, ``medium`` or ``hard``: the highest level that any count reaches."""
    counts = [operation_counts(step, resolved, plans) for step in resolved.design.steps]
    pieces = sum(piece.source.count for piece in resolved.pieces.values())
    gluings = sum(each["attach"] for each in counts)
    fastenings = sum(each["fasten"] for each in counts)
    reached = [
        each.level
        for each in _rates().difficulty
        if pieces >= each.pieces > 0
        or gluings >= each.gluings > 0
        or fastenings >= each.fastenings > 0
        or each.pieces == 0
    ]
    return reached[-1]
