"""The lines of pieces where they lie: what is cut, scored, pierced and drawn.

In: pieces with the motion that lays each of them down.  Out: strokes and holes of a scene.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from builder.choices import Fold, Relation, is_valley, other_fold
from builder.geometry.edges import Axis, is_vertical
from builder.geometry.outline import Box, Line, Outline, Point, circle
from builder.machine_files.once import each_line_once, merged
from builder.machine_files.scene import CutKind, Pierced, Stroke
from builder.resolve.resolved import Hole, ResolvedPiece

#: Holes up to this diameter are pierced: an awl, a needle or a small punch makes them, and a
#: blade that trails behind its pivot tears so small a circle.  (Common practice, no source.)
WIDEST_PIERCED = Fraction(4)
#: The length of a position mark's legs, and the shortest edge that gets marks at both its ends.
_LEG = Fraction(4)
_SHORTEST_MARKED = 4 * _LEG


@dataclass(frozen=True)
class Laid:
    """A piece and how it lies: ``mirrored`` when the side it is cut from lies down."""

    name: str
    piece: ResolvedPiece
    move: Callable[[Point], Point]
    mirrored: bool

    def outline(self, own: Outline) -> Outline:
        """An outline of the piece where it lies."""
        return own.mapped(self.move, self.mirrored)

    def line(self, start: Point, end: Point) -> Line:
        return Line(self.move(start), self.move(end))


def cuts(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """All openings before any outline, so that every piece is held while it is worked on."""
    named: list[tuple[str, CutKind, Outline]] = []
    for each in laid:
        openings = _openings(each.piece)
        for number, opening in enumerate(openings, start=1):
            named.append((f"opening-{each.name}-{number}", "opening", each.outline(opening)))
    openings_end = len(named)
    named += [
        (f"outline-{each.name}", "outline", each.outline(each.piece.outline)) for each in laid
    ]
    runs = each_line_once([outline for _, _, outline in named])
    strokes: list[Stroke] = []
    parts: dict[int, int] = {}
    for run in sorted(runs, key=lambda run: run.of >= openings_end):
        name, kind, _ = named[run.of]
        if not run.is_closed:
            parts[run.of] = parts.get(run.of, 0) + 1
            name = f"{name}-part-{parts[run.of]}"
        strokes.append(Stroke(name, kind, run.edges, run.is_closed))
    return tuple(strokes)


def _openings(piece: ResolvedPiece) -> list[Outline]:
    wide = dict.fromkeys(
        (hole.centre, hole.diameter) for hole in piece.holes if not is_pierced(hole)
    )
    return [*piece.windows, *(circle(centre, diameter / 2) for centre, diameter in wide)]


def is_pierced(hole: Hole) -> bool:
    return hole.diameter <= WIDEST_PIERCED


def pierced(laid: Sequence[Laid]) -> tuple[Pierced, ...]:
    """The small holes, each once where several fastenings share it."""
    found: list[Pierced] = []
    for each in laid:
        small = dict.fromkeys(
            (hole.centre, hole.diameter) for hole in each.piece.holes if is_pierced(hole)
        )
        for number, (centre, diameter) in enumerate(small, start=1):
            found.append(Pierced(f"pierce-{each.name}-{number}", each.move(centre), diameter))
    return tuple(found)


def scores(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """Score lines as seen on the face that lies up: a valley is a mountain from behind."""
    strokes: list[tuple[Fold, Stroke]] = []
    for each in laid:
        for number, (own, start, end) in enumerate(_score_lines(each.piece), start=1):
            fold = other_fold(own) if each.mirrored else own
            name = f"score-{each.name}-{number}"
            strokes.append((fold, Stroke(name, fold, (each.line(start, end),), False)))
    return tuple(stroke for _, stroke in sorted(strokes, key=lambda each: not is_valley(each[0])))


def _score_lines(piece: ResolvedPiece) -> Iterator[tuple[Fold, Point, Point]]:
    """(fold, start, end) of each score; those that continue one another are one line."""
    groups: dict[tuple[Fold, Axis, Fraction], list[tuple[Fraction, Fraction]]] = {}
    for score in piece.scores:
        groups.setdefault((score.fold, score.axis, score.at), []).append((score.start, score.end))
    for (fold, axis, at), stretches in groups.items():
        for start, end in merged(stretches):
            if is_vertical(axis):
                yield fold, Point(at, start), Point(at, end)
            else:
                yield fold, Point(start, at), Point(end, at)


def position_marks(
    laid: Sequence[Laid], lying_on: Sequence[ResolvedPiece], inset: Fraction
) -> tuple[Stroke, ...]:
    """Corners that show where a piece is glued on, ``inset`` within its edges so that it hides
    them; only on fronts that lie up."""
    strokes: list[Stroke] = []
    for each in (each for each in laid if not each.mirrored):
        for upper in lying_on:
            placement = upper.source.placement
            if placement is None or placement.host != each.piece.key:
                continue
            box = _hidden_box(upper, each.piece, inset)
            for number, (start, corner, end) in enumerate(_corner_marks(box), start=1):
                edges = (each.line(start, corner), each.line(corner, end))
                name = f"draw-{each.name}-{upper.key}-{number}"
                strokes.append(Stroke(name, "position", edges, False))
    return tuple(strokes)


def _hidden_box(upper: ResolvedPiece, host: ResolvedPiece, inset: Fraction) -> Box | None:
    """What a plain rectangle glued flat on the front of its host is sure to hide of it."""
    placement, offsets = upper.source.placement, upper.offsets
    if (
        placement is None
        or offsets is None
        or not placement.glue
        or not _lies_on_front(placement.relation)
    ):
        return None
    distances = (offsets.left, offsets.right, offsets.top, offsets.bottom)
    if upper.raised or upper.source.present != "always" or min(distances) < 0:
        return None
    if not upper.is_plain:
        return None
    face = host.face(upper.host_face).box
    box = Box(
        face.left + offsets.left + inset,
        face.bottom + offsets.bottom + inset,
        face.right - offsets.right - inset,
        face.top - offsets.top - inset,
    )
    return box if min(box.width, box.height) >= _SHORTEST_MARKED else None


def _lies_on_front(relation: Relation) -> bool:
    """Whether a piece is laid on the front of its host, where marks for it can be seen."""
    match relation:
        case "on":
            return True
        case "behind" | "on_back" | "inside":
            return False
        case _:
            assert_never(relation)


def _corner_marks(box: Box | None) -> Iterator[tuple[Point, Point, Point]]:
    if box is None:
        return
    for x, inward in ((box.left, _LEG), (box.right, -_LEG)):
        for y, upward in ((box.bottom, _LEG), (box.top, -_LEG)):
            corner = Point(x, y)
            yield corner.moved(inward, Fraction(0)), corner, corner.moved(Fraction(0), upward)
