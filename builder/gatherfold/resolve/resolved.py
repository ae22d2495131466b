"""What resolving gives: the data every later stage works on.  All lengths are mm, exact.

Piece coordinates: x to the right and y up on the piece's front, origin at its lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property

from gatherfold.findings import Position
from gatherfold.formulas import Pair, Value
from gatherfold.geometry import EDGES, Axis, Box, EdgeName, Outline, Point, is_vertical, rectangle
from gatherfold.model import (
    Design,
    Fastening,
    Fold,
    GlueEdge,
    JoinRelation,
    Motif,
    Piece,
    Reserve,
    Side,
    SideName,
    Stock,
    StockSheet,
    Strip,
    is_across,
    is_in_pocket,
    other_fold,
)
from gatherfold.resolve.edition import Edition


@dataclass(frozen=True)
class Given:
    """A length the designer typed: as typed, and the value that the edition gives it.

    ``name`` is the measure or the extent of a piece that it belongs to, where there is one.
    """

    position: Position
    name: str
    typed: Fraction
    value: Fraction


@dataclass(frozen=True)
class Face:
    """A flat part of a piece between its folds."""

    name: str
    box: Box


@dataclass(frozen=True)
class Score:
    """A score line across the piece: ``vertical`` at x = ``at`` or ``horizontal`` at y = ``at``.

    It runs from ``start`` to ``end`` along itself.  ``fold`` is seen from the front: a valley
    folds towards the reader.  ``sides`` names the faces before and beyond it.
    """

    axis: Axis
    at: Fraction
    start: Fraction
    end: Fraction
    fold: Fold
    closed: int
    sides: tuple[str, str]

    @property
    def is_vertical(self) -> bool:
        return is_vertical(self.axis)

    def fold_seen(self, from_front: bool) -> Fold:
        """``valley`` or ``mountain``, as it is seen from a side of the piece."""
        return self.fold if from_front else other_fold(self.fold)


@dataclass(frozen=True)
class Hole:
    """A round hole; ``fastening`` names what goes through it, if anything does."""

    centre: Point
    diameter: Fraction
    fastening: str | None

    def is_on(self, score: Score) -> bool:
        """Whether it cuts through a score line."""
        across, along = self.centre.x, self.centre.y
        if not score.is_vertical:
            across, along = along, across
        return abs(across - score.at) < self.diameter / 2 and score.start <= along <= score.end


@dataclass(frozen=True)
class Gluing:
    """Where adhesive goes on the face that lies against the host: a strip along one edge, or
    the whole face; ``keep_off`` areas stay dry."""

    edges: tuple[GlueEdge, ...]
    keep_off: tuple[Box, ...]

    @property
    def is_all_over(self) -> bool:
        """Whether adhesive goes on the whole face."""
        return "all" in self.edges

    @property
    def strips(self) -> tuple[EdgeName, ...]:
        """The edges along which adhesive runs; none where it goes on the whole face."""
        return () if self.is_all_over else tuple(edge for edge in self.edges if edge != "all")


@dataclass(frozen=True)
class Offsets:
    """Distances from the host face's edges to the piece lying on it, seen as it is laid."""

    left: Fraction
    right: Fraction
    top: Fraction
    bottom: Fraction

    def at(self, edge: EdgeName) -> Fraction:
        """The distance from the host face's edge."""
        distance: Fraction = getattr(self, edge)
        return distance

    @property
    def is_even(self) -> bool:
        return self.left == self.right == self.top == self.bottom


@dataclass(frozen=True)
class ResolvedJoin:
    """A face of a piece that is glued to a face of ``host``, its own piece's or another's, once
    both meet; along ``edges`` of it, or all over (``("all",)``)."""

    face: str
    relation: JoinRelation
    host: str
    host_face: str
    edges: tuple[str, ...]
    position: Position


#: A stretch of an outline, from its start to its end.
Run = tuple[Point, Point]


def run_length(run: Run) -> Fraction:
    """How long a run is, measured square to the sheet's edges."""
    first, last = run
    return max(abs(first.x - last.x), abs(first.y - last.y))


@dataclass(frozen=True)
class ResolvedSeam:
    """Adhesive along an edge of a section that is closed for good, on the side that folds in:
    stretches of the piece's outline, begun ``dry`` from the section's fold."""

    section: str
    edge: EdgeName
    dry: Fraction
    runs: tuple[Run, ...]

    @property
    def length(self) -> Fraction:
        """How much adhesive it takes."""
        return sum(map(run_length, self.runs), Fraction(0))


@dataclass(frozen=True)
class ResolvedPiece:
    """A piece with exact size, outline and features.  ``code`` is its short label (B3).

    ``offsets`` say where the part ``by`` of it lies on its host's face ``host_face``; None for a
    piece that lies on nothing.  ``raised`` is its distance from its host.  ``glued`` are all its
    faces that are glued where it lies, ``by`` first; none where it lies loose or on nothing.
    """

    key: str
    code: str
    source: Piece
    stock: ResolvedStock
    width: Fraction
    height: Fraction
    outline: Outline
    faces: tuple[Face, ...]
    scores: tuple[Score, ...]
    holes: tuple[Hole, ...]
    windows: tuple[Outline, ...]
    glue: Gluing
    by: str
    host_face: str
    offsets: Offsets | None
    #: Distances that the design gives and its size does not leave: (edge, wanted).
    unmet: tuple[tuple[EdgeName, Fraction], ...] = ()
    raised: Fraction = Fraction(0)
    #: Exact sizes of the shaped corners: of the piece (``top left``) and of single sections
    #: (``top_flap top left``).
    corner_sizes: Mapping[str, Pair] = field(default_factory=dict)
    seams: tuple[ResolvedSeam, ...] = ()
    glued: tuple[str, ...] = ()
    joins: tuple[ResolvedJoin, ...] = ()

    @property
    def title(self) -> str:
        return self.source.title

    @property
    def motif(self) -> Motif | None:
        """The printed picture that the piece is cut round."""
        name = self.source.motif
        return None if name is None else self.printed_side.motifs[name]

    @property
    def side(self) -> SideName:
        return self.source.side

    @property
    def host(self) -> str:
        """What the piece lies on; empty where it lies on nothing."""
        return "" if self.source.placement is None else self.source.placement.host

    @property
    def is_in_pocket(self) -> bool:
        """Whether the piece is slid into a pocket, and not laid on a host."""
        placement = self.source.placement
        return placement is not None and is_in_pocket(placement.relation)

    @property
    def reaches_beyond(self) -> bool:
        """Whether the piece reaches beyond an edge of what it is laid on."""
        return self.offsets is not None and any(self.offsets.at(edge) < 0 for edge in EDGES)

    @property
    def printed_side(self) -> Side:
        """The side of its stock that the piece is cut from."""
        return self.stock.source.side(self.source.side)

    @property
    def laid_size(self) -> tuple[Fraction, Fraction]:
        """Width and height of the face ``by`` as it lies on its host, turned or not."""
        box, placement = self.face(self.by).box, self.source.placement
        is_crosswise = placement is not None and placement.turned in (90, 270)
        return (box.height, box.width) if is_crosswise else (box.width, box.height)

    @cached_property
    def is_shaped(self) -> bool:
        """Whether the outline is any but a rectangle: a circle has four edges too, all round."""
        box = Box(Fraction(0), Fraction(0), self.width, self.height)
        return set(self.outline.edges) != set(rectangle(box).edges)

    @property
    def is_plain(self) -> bool:
        """A plain rectangle: nothing to do but cut it."""
        return not (self.scores or self.holes or self.windows or self.is_shaped)

    def face(self, name: str) -> Face:
        return next(face for face in self.faces if face.name == name)

    def folds_outward(self) -> Iterator[tuple[str, str, Score]]:
        """Each fold as (face that stays, face that hangs on it, score), outward from ``by``."""
        found = [self.by]
        for at in found:
            for score in self.scores:
                if at in score.sides:
                    (other,) = {*score.sides} - {at}
                    if other not in found:
                        found.append(other)
                        yield at, other, score


@dataclass(frozen=True)
class StripPart:
    """One copy of a piece in its strip, by its lower left corner."""

    key: str
    piece: ResolvedPiece
    x: Fraction
    y: Fraction


@dataclass(frozen=True)
class ResolvedStrip:
    """Pieces cut from the sheet in one: its size with the allowance, and its parts in order."""

    key: str
    code: str
    source: Strip
    width: Fraction
    height: Fraction
    allowance: Fraction
    parts: tuple[StripPart, ...]

    @property
    def title(self) -> str:
        return self.source.title

    @property
    def pieces(self) -> tuple[ResolvedPiece, ...]:
        """Its pieces in order, each once."""
        return tuple({part.piece.key: part.piece for part in self.parts}.values())

    @property
    def stock(self) -> ResolvedStock:
        return self.parts[0].piece.stock

    @property
    def side(self) -> SideName:
        return self.parts[0].piece.side

    @property
    def printed_side(self) -> Side:
        return self.parts[0].piece.printed_side

    @property
    def motif(self) -> None:
        """A strip is cut round nothing."""
        return None

    @property
    def is_across(self) -> bool:
        return is_across(self.source.direction)

    @property
    def scores(self) -> tuple[Score, ...]:
        """The score lines that run right across all its pieces, so that they can be scored on the
        strip before it is divided."""
        axis: Axis = "horizontal" if self.is_across else "vertical"
        first, *others = (
            {score.at: score for score in piece.scores if _runs_across(score, piece, axis)}
            for piece in self.pieces
        )
        return tuple(first[at] for at in first if all(at in other for other in others))


def _runs_across(score: Score, piece: ResolvedPiece, axis: Axis) -> bool:
    along = piece.height if is_vertical(axis) else piece.width
    return score.axis == axis and score.start == 0 and score.end == along


@dataclass(frozen=True)
class ResolvedReserve:
    """A spare to keep back from a stock, for each kit."""

    source: Reserve
    width: Fraction
    height: Fraction


@dataclass(frozen=True)
class ResolvedSheet:
    """One size of a stock; ``margins`` are its strips without print (left, right, bottom, top).

    The first sheet of a stock has the stock's own key for its ``name``.
    """

    name: str
    source: StockSheet
    width: Fraction
    height: Fraction
    margins: tuple[Fraction, Fraction, Fraction, Fraction]

    @property
    def usable(self) -> tuple[Fraction, Fraction]:
        """Width and height without the margins."""
        left, right, bottom, top = self.margins
        return self.width - left - right, self.height - bottom - top


@dataclass(frozen=True)
class ResolvedTrimmer:
    """The longest cut of the maker's trimmer (None: long enough), and its narrowest strip."""

    longest_cut: Fraction | None = None
    narrowest_strip: Fraction = Fraction(0)


@dataclass(frozen=True)
class ResolvedStock:
    """A stock with its true sizes (never snapped); ``caliper`` is the thickness of one layer."""

    key: str
    source: Stock
    sheet_width: Fraction
    sheet_height: Fraction
    ribbon_width: Fraction
    caliper: Fraction
    #: Where printed pictures lie on the sheet, looked at from their own side: (side, name).
    motifs: Mapping[tuple[SideName, str], Box] = field(default_factory=dict)
    #: Every size it is to be had in, that of ``sheet_width`` and ``sheet_height`` first.
    sheets: tuple[ResolvedSheet, ...] = ()
    #: Where regions of the print lie, as ``motifs``.
    regions: Mapping[tuple[SideName, str], Box] = field(default_factory=dict)
    reserves: tuple[ResolvedReserve, ...] = ()
    #: How much ribbon is on a roll, 0 where not given.
    ribbon_roll: Fraction = Fraction(0)


@dataclass(frozen=True)
class ResolvedFastening:
    """A fastening; its point on the first piece it goes through, true sizes.

    ``marks`` are its points on every piece that it meets, by piece: the centres of the holes of a
    brad or eyelet, and where the two magnets of a pair lie when the work is closed.
    """

    key: str
    source: Fastening
    head: Fraction
    leg: Fraction
    length: Fraction
    allowance: Fraction
    point: Point | None
    marks: Mapping[str, Point] = field(default_factory=dict)


#: Of so many designs at once is remembered what was worked out from them: both editions, and those
#: before the holes of their later steps.
REMEMBERED = 8


@dataclass(frozen=True, eq=False)
class ResolvedDesign:
    """A design in one edition.  It is itself alone, never equal to another, so that what is worked
    out from it can be remembered."""

    design: Design
    edition: Edition
    measures: Mapping[str, Value]
    stocks: Mapping[str, ResolvedStock]
    pieces: Mapping[str, ResolvedPiece]
    fastenings: Mapping[str, ResolvedFastening]
    #: True width and roll length of a supply, 0 where not given.
    supply_sizes: Mapping[str, tuple[Fraction, Fraction]]
    #: Every length that step text prints, by its formula.
    printed: Mapping[str, Value]
    #: How far a hand-cut edge may lie from where it should.
    tolerance: Fraction
    trimmer: ResolvedTrimmer = field(default_factory=ResolvedTrimmer)
    #: Typed lengths that snapped to this edition's grid, by where they are typed.
    given: Mapping[Position, Given] = field(default_factory=dict)
    strips: Mapping[str, ResolvedStrip] = field(default_factory=dict)

    def cut_out(self, key: str) -> ResolvedPiece | ResolvedStrip:
        """What a sheet is cut into, by its key: a piece, or a strip of several."""
        return self.strips[key] if key in self.strips else self.pieces[key]

    @property
    def cut_outs(self) -> dict[str, ResolvedPiece | ResolvedStrip]:
        """Everything that sheets are cut into, in design order; a strip where its first piece
        stands."""
        return {
            out.key: out
            for piece in self.pieces.values()
            for out in (self.strip_of(piece.key) or piece,)
        }

    def hosts_of(self, piece: str) -> tuple[str, ...]:
        """What a piece lies on, what that lies on, and so on."""
        return self.design.hosts_of(piece)

    def strip_of(self, piece: str) -> ResolvedStrip | None:
        """The strip that a piece is cut from, if it is cut from one."""
        holds = (strip for strip in self.strips.values() if piece in strip.source.pieces)
        return next(holds, None)
