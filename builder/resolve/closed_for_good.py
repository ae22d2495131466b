"""Sections that a step closes for good, the pockets that they make, and what is slid into these.

In: a resolved design.  Out: (piece, section) pairs in the order of the steps, and the pieces that
a later step slides in between such sections and the face that they are folded over.
"""

from __future__ import annotations

from functools import lru_cache

from builder.design import EDGES, Step
from builder.resolve.placement import FaceKey, folds_outward
from builder.resolve.resolved import REMEMBERED, ResolvedDesign, ResolvedPiece, Score
from builder.resolve.step_parts import named_pieces


def closed_sections(step: Step) -> tuple[FaceKey, ...]:
    """The sections that a step names one by one to close them for good, in its order."""
    split = (name.partition(".") for name in step.operations.get("close", ()))
    return tuple((key, section) for key, _, section in split if section)


def closed_for_good(resolved: ResolvedDesign) -> tuple[FaceKey, ...]:
    """All sections that steps close for good, in their order."""
    return tuple(each for step in resolved.design.steps for each in closed_sections(step))


@lru_cache(maxsize=REMEMBERED)
def slid_in(resolved: ResolvedDesign) -> dict[str, tuple[FaceKey, ...]]:
    """The pieces that are slid in, unglued, under sections that are closed already, with these."""
    closed: list[FaceKey] = []
    found: dict[str, tuple[FaceKey, ...]] = {}
    for step in resolved.design.steps:
        closed += closed_sections(step)
        for key in named_pieces(step, "insert", resolved) if closed else ():
            over = tuple(each for each in closed if _folds_over(resolved, each, key))
            if over:
                found[key] = over
    return found


def _folds_over(resolved: ResolvedDesign, closed: FaceKey, insert: str) -> bool:
    """Whether a section hangs on the very face that a piece lies on without glue."""
    piece, (key, section) = resolved.pieces[insert], closed
    placement = piece.source.placement
    if placement is None or placement.host != key or piece.glue.edges:
        return False
    fold = fold_of_section(resolved.pieces[key], section)
    return fold is not None and fold[0] == piece.host_face


def there_when_closed(resolved: ResolvedDesign, key: str) -> frozenset[str] | None:
    """The pieces that are there at the end of the step that closes sections of a piece for good,
    or else of the one that puts the piece in its place; None where no step does either."""
    steps = resolved.design.steps
    closing = [n for n, step in enumerate(steps) if key in {k for k, _ in closed_sections(step)}]
    placing = [n for n, step in enumerate(steps) if key in _placed(step, resolved)]
    last = next((numbers[-1] for numbers in (closing, placing) if numbers), None)
    if last is None:
        return None
    placed = {piece for step in steps[: last + 1] for piece in _placed(step, resolved)}
    loose = {k for k, piece in resolved.pieces.items() if piece.source.placement is None}
    return frozenset(placed | loose)


def _placed(step: Step, resolved: ResolvedDesign) -> tuple[str, ...]:
    return (*named_pieces(step, "attach", resolved), *named_pieces(step, "insert", resolved))


def fold_of_section(piece: ResolvedPiece, section: str) -> tuple[str, Score] | None:
    """The face that a section hangs on, and the fold; None for the one that all others hang on."""
    found = ((staying, score) for staying, name, score in folds_outward(piece) if name == section)
    return next(found, None)


def mouth(resolved: ResolvedDesign, insert: str) -> str:
    """The edge of the face that a piece lies on over which it is slid into its pocket: the first
    at which nothing is closed; "" if there is none."""
    piece = resolved.pieces[insert]
    placement = piece.source.placement
    assert placement is not None
    host = resolved.pieces[placement.host]
    box = host.face(piece.host_face).box
    shut = set()
    for key, section in slid_in(resolved)[insert]:
        fold = fold_of_section(resolved.pieces[key], section)
        assert fold is not None
        edges = ("left", "right") if fold[1].axis == "vertical" else ("bottom", "top")
        shut |= {edge for edge in edges if getattr(box, edge) == fold[1].at}
    free = [edge for edge in ("top", *EDGES) if edge not in shut]
    return next(iter(free), "")
