"""The lines of pieces where they lie: what is marked, scored, pierced and cut.

In: pieces with the motion that lays each of them down.  Out: strokes and holes of a scene.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from builder.choices import Fold, other_fold
from builder.geometry.edges import Axis
from builder.geometry.outline import Box, Line, Outline, Point, circle
from builder.machine_files.once import each_line_once, merged
from builder.machine_files.scene import Pierced, Stroke
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


def outlines(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """The edges of all pieces; what neighbours share is there once."""
    named = [(f"outline-{each.name}", each.outline(each.piece.outline)) for each in laid]
    return _strokes(named, ())


def openings(laid: Sequence[Laid]) -> tuple[Stroke, ...]:
    """Windows and wide holes; where one lies on the edge of a piece, the outline has that line."""
    named = [
        (f"opening-{each.name}-{number}", each.outline(opening))
        for each in laid
        for number, opening in enumerate(_openings(each.piece), start=1)
    ]
    return _strokes(named, [each.outline(each.piece.outline) for each in laid])


def _strokes(
    named: Sequence[tuple[str, Outline]], apart_from: Sequence[Outline]
) -> tuple[Stroke, ...]:
    strokes: list[Stroke] = []
    parts: Counter[int] = Counter()
    for run in each_line_once([outline for _, outline in named], apart_from):
        name, _ = named[run.of]
        if not run.is_closed:
            parts[run.of] += 1
            name = f"{name}-part-{parts[run.of]}"
        strokes.append(Stroke(name, run.edges, run.is_closed))
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


def scores(laid: Sequence[Laid], fold: Fold) -> tuple[Stroke, ...]:
    """The scores that are such folds on the face that lies up: a valley is a mountain from
    behind."""
    strokes: list[Stroke] = []
    for each in laid:
        for number, (own, start, end) in enumerate(_score_lines(each.piece), start=1):
            if fold == (other_fold(own) if each.mirrored else own):
                name = f"score-{each.name}-{number}"
                strokes.append(Stroke(name, (each.line(start, end),), False))
    return tuple(strokes)


def _score_lines(piece: ResolvedPiece) -> Iterator[tuple[Fold, Point, Point]]:
    """(fold, start, end) of each score; those that continue one another are one line."""
    groups: dict[tuple[Fold, Axis, Fraction], list[tuple[Fraction, Fraction]]] = {}
    for score in piece.scores:
        groups.setdefault((score.fold, score.axis, score.at), []).append((score.start, score.end))
    for (fold, axis, at), stretches in groups.items():
        for start, end in merged(stretches):
            if axis == "vertical":
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
                name = f"mark-{each.name}-{upper.key}-{number}"
                strokes.append(Stroke(name, edges, False))
    return tuple(strokes)


def _hidden_box(upper: ResolvedPiece, host: ResolvedPiece, inset: Fraction) -> Box | None:
    """What a plain rectangle glued flat on the front of its host is sure to hide of it."""
    placement, offsets = upper.source.placement, upper.offsets
    if placement is None or offsets is None or placement.relation != "on" or not placement.glue:
        return None
    distances = (offsets.left, offsets.right, offsets.top, offsets.bottom)
    if upper.raised or min(distances) < 0:
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


def _corner_marks(box: Box | None) -> Iterator[tuple[Point, Point, Point]]:
    if box is None:
        return
    for x, inward in ((box.left, _LEG), (box.right, -_LEG)):
        for y, upward in ((box.bottom, _LEG), (box.top, -_LEG)):
            corner = Point(x, y)
            yield corner.moved(inward, Fraction(0)), corner, corner.moved(Fraction(0), upward)
