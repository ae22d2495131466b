"""The title and the sentences that a machine file carries for the person who opens it.

In: a resolved design and what lies in one file.  Out: texts from the fixed wording.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from builder.checksum import printed_mark
from builder.choices import SideName
from builder.lengths import METRIC_UNITS
from builder.machine_files.laid import WIDEST_PIERCED, Laid
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.wording import Wording


@dataclass(frozen=True)
class SheetFacts:
    """What is to be said of sheets that are cut alike: their numbers from 1, their size, the side
    that lies up, and the pieces on each of them."""

    stock: ResolvedStock
    numbers: tuple[int, ...]
    size: tuple[Fraction, Fraction]
    facing: SideName
    laid: tuple[Laid, ...]


def sheet_title(resolved: ResolvedDesign, wording: Wording, sheet: SheetFacts) -> str:
    numbers = ", ".join(map(str, sheet.numbers))
    stock = sheet.stock.source.title
    what = wording.counted("machine_sheet", len(sheet.numbers), stock=stock, numbers=numbers)
    return _title(resolved, wording, what)


def piece_title(resolved: ResolvedDesign, wording: Wording, piece: ResolvedPiece) -> str:
    return _title(resolved, wording, _named(piece))


def sheet_notes(
    resolved: ResolvedDesign, wording: Wording, sheet: SheetFacts, mark: str
) -> tuple[str, ...]:
    size = wording.units(METRIC_UNITS).size_text(*sheet.size)
    notes = [wording.phrase("machine_sheet", size=size)]
    if len(sheet.numbers) > 1:
        notes.append(wording.phrase("machine_alike", count=len(sheet.numbers)))
    mirrored = dict.fromkeys(_named(each.piece) for each in sheet.laid if each.mirrored)
    stock = sheet.stock.source
    if stock.two_sided or mirrored:
        pattern = stock.side(sheet.facing).title
        side = wording.phrase(f"side_{sheet.facing}")
        notes.append(wording.phrase("machine_facing", side=side, print=pattern))
    if mirrored:
        notes.append(wording.phrase("machine_mirrored", pieces=", ".join(mirrored)))
    return (*notes, *_common(resolved, wording, mark))


def piece_notes(
    resolved: ResolvedDesign, wording: Wording, piece: ResolvedPiece, mark: str
) -> tuple[str, ...]:
    size = wording.units(METRIC_UNITS).size_text(piece.width, piece.height)
    stock = piece.stock.source
    notes = [
        wording.phrase("machine_piece", size=size, count=piece.source.count, stock=stock.title)
    ]
    if stock.two_sided:
        pattern = piece.printed_side.title
        side = wording.phrase(f"side_{piece.side}")
        notes.append(wording.phrase("machine_piece_facing", side=side, print=pattern))
    return (*notes, *_common(resolved, wording, mark))


def _common(resolved: ResolvedDesign, wording: Wording, mark: str) -> tuple[str, ...]:
    return (
        wording.phrase("machine_folds"),
        wording.phrase("machine_order"),
        wording.phrase("machine_kinds", widest=wording.units(METRIC_UNITS).text(WIDEST_PIERCED)),
        wording.phrase("machine_mark", revision=resolved.design.revision, mark=printed_mark(mark)),
        wording.phrase("machine_caution"),
    )


def _title(resolved: ResolvedDesign, wording: Wording, what: str) -> str:
    edition = wording.phrase(f"edition_{resolved.edition.name}")
    return wording.phrase("machine_title", design=resolved.design.title, edition=edition, what=what)


def _named(piece: ResolvedPiece) -> str:
    return f"{piece.code} {piece.title}"
