"""A piece laid on paper: its own places there, and its lines as far as the paper shows them.

In: a piece, and where it lies to which scale.  Out: places on paper; outline, windows, holes and
folds on a canvas.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding, clipped_rings, clipped_run
from gatherfold.drawings.kernel.styles import FOLD_LINES, Fill, Line
from gatherfold.drawings.views.features import (
    hole_ring,
    motif_box,
    outline_ring,
    rect_of,
    score_run,
)
from gatherfold.resolve import Hole, ResolvedPiece


@dataclass(frozen=True)
class LaidPiece:
    """A piece on paper, perhaps turned by a quarter turn: where its lower left corner lies, the
    window of the paper that shows it, and the border of that which another page shows too.

    Holes are drawn at least so large, in mm, so that none is taken for a leader's dot.
    """

    piece: ResolvedPiece
    corner: Place
    window: Rect
    scale: float = 1.0
    turned: bool = False
    border: float = 1.0
    smallest_hole: float = 0.0

    def place(self, x: float | Fraction, y: float | Fraction) -> Place:
        """A place of the piece on paper."""
        u, v = (float(self.piece.height - y), float(x)) if self.turned else (float(x), float(y))
        return self.corner[0] + u * self.scale, self.corner[1] + v * self.scale

    def ring(self, places: Iterable[Place]) -> list[Place]:
        """Places of the piece on paper."""
        return [self.place(x, y) for x, y in places]

    def rect(self, rect: Rect) -> Rect:
        """A rectangle of the piece on paper."""
        return bounding(self.ring(rect.ring))

    def shown(self, rect: Rect) -> Rect | None:
        """What the paper shows of a rectangle of the piece."""
        return self.rect(rect).common(self.window)

    @property
    def box(self) -> Rect:
        """The piece's width and height on paper."""
        return self.rect(Rect(0.0, 0.0, float(self.piece.width), float(self.piece.height)))

    def radius(self, hole: Hole) -> float:
        """That of a hole as it is drawn."""
        return max(float(hole.diameter) * self.scale, self.smallest_hole) / 2

    def hole(self, hole: Hole) -> list[Place]:
        """The ring of a hole as it is drawn."""
        ring, (x, y) = self.ring(hole_ring(hole)), self.place(hole.centre.x, hole.centre.y)
        share = self.radius(hole) / (float(hole.diameter) * self.scale / 2)
        return [(x + share * (u - x), y + share * (v - y)) for u, v in ring]


def trace_piece(canvas: Canvas, laid: LaidPiece, chords: int, grid: Fraction) -> None:
    """A piece's edges, folds and openings and the place of its printed picture, as far as they lie
    in the window; arcs in so many chords to a quarter of a circle."""
    piece, shown = laid.piece, laid.window.grown(0.001)

    def outline(ring: Iterable[Place], line: Line, subject: str) -> None:
        first, *rest = ring
        canvas.strokes(clipped_run((first, *rest, first), shown), line, subject)

    outline(laid.ring(outline_ring(piece.outline, chords)), Line.VISIBLE, "outline")
    for score in piece.scores:
        runs = clipped_run(laid.ring(score_run(score)), shown)
        canvas.strokes(runs, FOLD_LINES[score.fold], "score")
    for window in piece.windows:
        outline(laid.ring(outline_ring(window, chords)), Line.VISIBLE, "window")
    for hole in piece.holes:
        ring = laid.hole(hole)
        canvas.area(clipped_rings(ring, shown), Fill.PAPER)
        outline(ring, Line.VISIBLE, "hole")
    picture = motif_box(piece, grid)
    if picture is not None:
        outline(laid.ring(rect_of(picture).ring), Line.FAINT, "printed picture")
