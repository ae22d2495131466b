"""What changed between two designs, revisions or sizes: piece by piece.

In: two resolved designs of one edition.  Out: sentences, in the order of the new design.
"""

from collections.abc import Iterator

from gatherfold.formulas import value_text
from gatherfold.lengths import UnitSystem
from gatherfold.resolve import ResolvedDesign, ResolvedPiece


def compare(old: ResolvedDesign, new: ResolvedDesign) -> list[str]:
    """One sentence for each measure or piece that is new, gone or different."""
    return [*_measures(old, new), *_pieces(old, new)]


def _measures(old: ResolvedDesign, new: ResolvedDesign) -> Iterator[str]:
    units = new.edition.units
    for name, value in new.measures.items():
        before = old.measures.get(name)
        if before is None:
            yield f"measure {name}: new, {value_text(value, units)}"
        elif before != value:
            yield f"measure {name}: {value_text(before, units)} → {value_text(value, units)}"
    for name in old.measures:
        if name not in new.measures:
            yield f"measure {name}: gone"


def _pieces(old: ResolvedDesign, new: ResolvedDesign) -> Iterator[str]:
    units = new.edition.units
    for key, piece in new.pieces.items():
        before = old.pieces.get(key)
        if before is None:
            size = units.size_text(piece.width, piece.height)
            yield f"{piece.code} {key}: new, {size} from {piece.stock.key} {piece.source.side}"
            continue
        changes = list(_piece_changes(before, piece, units))
        if changes:
            yield f"{piece.code} {key}: {'; '.join(changes)}"
    for key, piece in old.pieces.items():
        if key not in new.pieces:
            yield f"{piece.code} {key}: gone"


def _piece_changes(before: ResolvedPiece, after: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    old_size = units.size_text(before.width, before.height)
    new_size = units.size_text(after.width, after.height)
    if old_size != new_size:
        yield f"{old_size} → {new_size}"
    if (before.stock.key, before.source.side) != (after.stock.key, after.source.side):
        yield (f"{before.stock.key} {before.source.side} → {after.stock.key} {after.source.side}")
    if before.source.count != after.source.count:
        yield f"count {before.source.count} → {after.source.count}"
    if before.scores != after.scores:
        yield f"scores {_scores(before, units)} → {_scores(after, units)}"
    if before.outline != after.outline and old_size == new_size:
        yield "outline changed"
    if before.holes != after.holes:
        yield "holes moved"
    if before.offsets != after.offsets:
        yield "lies elsewhere on its host"


def _scores(piece: ResolvedPiece, units: UnitSystem) -> str:
    places = ", ".join(units.number(score.at) for score in piece.scores)
    return f"at {places}" if places else "none"
