"""Design + edition → the resolved edition in which everything that fits in the designer's fits.

Typed lengths go to the nearest step of the grid and all else follows.  Where that breaks a fit or
opens a sum, the typed lengths are moved by whole steps, as little as possible in all; where no
assignment within reach keeps everything, the conditions that exclude each other are named.

Alignments are what is exactly so in the designer's own edition and must be so in the other: strips
and mats that fill a panel side by side still meet, an edge that lies flush stays flush, a centred
piece stays centred, and two alike pieces on one face stay alike.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property, partial
from itertools import pairwise
from operator import itemgetter
from typing import Literal
from weakref import WeakValueDictionary

from gatherfold.checks import (
    Condition,
    ConditionKey,
    Rule,
    conditions,
    finding_kind,
    lying_box,
    sharing_a_face,
)
from gatherfold.findings import DesignUnreadable, Finding, Position
from gatherfold.geometry import EDGES, Axis, EdgeName, axis_of, is_upright, opposite
from gatherfold.model import Design, Trait
from gatherfold.native_edition.search import MOST_STEPS, Movable, Row, conflict, least_shift
from gatherfold.resolve import EDITIONS, Edition, Given, ResolvedDesign, ResolvedPiece, resolve
from gatherfold.work import pierced, try_size

AlignmentKind = Literal["flush", "centred", "meeting", "alike"]
#: What an extent is called that lies between two edges which run this way.
_DIRECTIONS: dict[Axis, str] = {"vertical": "across", "horizontal": "upward"}


@dataclass(frozen=True)
class Alignment:
    """A piece ``flush`` with an edge of its host, or ``centred`` between two of them; two pieces
    that are ``meeting``, or ``alike``.  ``edge`` is that edge, or the near one of the two."""

    kind: AlignmentKind
    pieces: tuple[str, ...]
    edge: EdgeName

    @property
    def names(self) -> tuple[str, ...]:
        """The pieces, and the edge or the direction."""
        match self.kind:
            case "flush":
                return *self.pieces, self.edge
            case "centred" | "meeting" | "alike":
                return *self.pieces, _DIRECTIONS[axis_of(self.edge)]

    def difference(self, pieces: Mapping[str, ResolvedPiece]) -> Fraction:
        """How far from exact, in mm."""
        first, last = pieces[self.pieces[0]], pieces[self.pieces[-1]]
        far = opposite(self.edge)
        match self.kind:
            case "flush":
                return _offset(first, self.edge)
            case "centred":
                return _offset(first, self.edge) - _offset(first, far)
            case "meeting":
                return lying_box(last).edge(self.edge) - lying_box(first).edge(far)
            case "alike":
                upright = is_upright(self.edge)
                return first.width - last.width if upright else first.height - last.height


def _offset(piece: ResolvedPiece, edge: EdgeName) -> Fraction:
    assert piece.offsets is not None
    return piece.offsets.at(edge)


#: The first of two edges across from each other, in each direction.
_NEAR_EDGES: tuple[EdgeName, ...] = ("left", "bottom")


def alignments(own: ResolvedDesign) -> Iterator[Alignment]:
    """Every alignment that the designer's own edition keeps."""
    candidates = [*_of_single_pieces(own), *_of_neighbours(own)]
    return (alignment for alignment in candidates if alignment.difference(own.pieces) == 0)


def _of_single_pieces(own: ResolvedDesign) -> Iterator[Alignment]:
    for key, piece in own.pieces.items():
        if piece.offsets is not None:
            yield from (Alignment("flush", (key,), edge) for edge in EDGES)
            yield from (Alignment("centred", (key,), edge) for edge in _NEAR_EDGES)


def _of_neighbours(own: ResolvedDesign) -> Iterator[Alignment]:
    """Of pieces that share a face: those that meet, and those of one kind that are alike."""
    for pieces in sharing_a_face(own, Trait.SIDE_BY_SIDE):
        for edge in _NEAR_EDGES:
            ends = [(lying_box(piece).edge(edge), piece) for piece in pieces]
            for (_, first), (_, second) in pairwise(sorted(ends, key=itemgetter(0))):
                yield Alignment("meeting", (first.key, second.key), edge)
            for first, second in pairwise(sorted(pieces, key=lambda piece: piece.source.kind)):
                if first.source.kind == second.source.kind:
                    yield Alignment("alike", (first.key, second.key), edge)


def alignment_condition(alignment: Alignment, resolved: ResolvedDesign) -> Condition:
    """The alignment in the other edition."""
    key = ("sum-opens", alignment.kind, *alignment.names)
    finding = partial(_opened, alignment, resolved)
    return Condition(key, alignment.difference(resolved.pieces), finding, Rule.ZERO)


_SENTENCES: dict[AlignmentKind, str] = {
    "flush": "'{0}' lies flush with the {1} edge of its host in your own edition, and here {2} off",
    "centred": "'{0}' lies in the middle {1} in your own edition, and here its two borders differ "
    "by {2}",
    "meeting": "'{0}' and '{1}' meet {2} in your own edition, and here they are {3} apart or over "
    "one another",
    "alike": "'{0}' and '{1}' are equal {2} in your own edition, and here they differ by {3}",
}


def _opened(alignment: Alignment, resolved: ResolvedDesign) -> Finding:
    difference = abs(alignment.difference(resolved.pieces))
    text = resolved.edition.units.text(difference)
    return finding_kind("sum-opens").found(
        resolved,
        resolved.pieces[alignment.pieces[0]],
        what=_SENTENCES[alignment.kind].format(*alignment.names, text),
        edition=resolved.edition.name,
        difference=difference,
    )


#: How many answers are tried where sizes do not change in proportion (min, max, grid_up).
_MOST_ANSWERS = 12


@dataclass(frozen=True)
class MovedLength:
    """A typed length that does not lie at its nearest step: its name (or how it is written), what
    the nearest step would be and what it is, in mm; and why."""

    name: str
    position: Position
    before: Fraction
    after: Fraction
    reason: str


@dataclass(frozen=True)
class Settled:
    """The resolved edition, what moved in it, and the findings of settling."""

    resolved: ResolvedDesign
    moves: tuple[MovedLength, ...] = ()
    findings: tuple[Finding, ...] = ()


Shifts = Mapping[Position, int]
_Keeping = Callable[[ResolvedDesign], Iterator[Condition]]


def settle(design: Design, edition: Edition) -> Settled:
    """The native edition; raises :class:`DesignUnreadable` where nothing can be computed."""
    plain = pierced(resolve(design, edition))
    if edition.name == design.native:
        _OWN[id(design)] = plain
        return Settled(plain)
    own = _own_edition(design)
    if own is None:
        return Settled(plain)
    keep = _kept(own)
    broken = [condition for condition in keep(plain) if not condition.holds]
    if not broken:
        return Settled(plain)
    return _Search(plain, keep, broken).settled()


#: Designers' own editions that are still in use, each by its design's identity: while it is, that
#: design is in use too, so that no other one has it.
_OWN: WeakValueDictionary[int, ResolvedDesign] = WeakValueDictionary()


def _own_edition(design: Design) -> ResolvedDesign | None:
    known = _OWN.get(id(design))
    if known is not None and known.design is design:
        return known
    try:
        return pierced(resolve(design, EDITIONS[design.native]))
    except DesignUnreadable:
        return None


def _kept(own: ResolvedDesign) -> _Keeping:
    """What holds in the designer's own edition, as it is asked of another one."""
    aligned = tuple(alignments(own))
    not_held = {each.key for each in conditions(own) if not each.holds}

    def kept(resolved: ResolvedDesign) -> Iterator[Condition]:
        yield from (each for each in conditions(resolved) if each.key not in not_held)
        yield from (alignment_condition(each, resolved) for each in aligned)

    return kept


@dataclass(frozen=True)
class _Search:
    """Moves typed lengths until everything kept holds."""

    plain: ResolvedDesign
    keep: _Keeping
    broken: Sequence[Condition]

    @cached_property
    def given(self) -> tuple[Given, ...]:
        return tuple(self.plain.given.values())

    def settled(self) -> Settled:
        rows = self._rows()
        lengths = [
            Movable(given.value - given.typed, self.plain.edition.grid) for given in self.given
        ]
        keys, rows_only = list(rows), list(rows.values())
        excluded: list[dict[int, int]] = []
        while len(excluded) < _MOST_ANSWERS:
            answer = least_shift(lengths, rows_only, excluded)
            if answer is None:
                break
            settled = self._if_it_does(answer)
            if settled is not None:
                return settled
            excluded.append(answer)
        against = [] if excluded else [keys[k] for k in conflict(lengths, rows_only)]
        return Settled(self.plain, (), self._not_settled(against))

    def _rows(self) -> dict[ConditionKey, Row]:
        """Each condition with its exact change per step of each typed length."""
        plain = {condition.key: condition for condition in self.keep(self.plain)}
        changes: dict[ConditionKey, dict[int, Fraction]] = {key: {} for key in plain}
        for place, given in enumerate(self.given):
            for key, amount in self._amounts({given.position: 1}).items():
                if key in plain and amount != plain[key].amount:
                    changes[key][place] = amount - plain[key].amount
        return {
            key: Row(condition.amount, changes[key], condition.rule, condition.step)
            for key, condition in plain.items()
            if changes[key] or not condition.holds
        }

    def _amounts(self, shifts: Shifts) -> dict[ConditionKey, Fraction]:
        try:
            moved = resolve(self.plain.design, self.plain.edition, shifts)
        except DesignUnreadable:
            return {}
        try_size(self.plain, moved)
        return {condition.key: condition.amount for condition in self.keep(moved)}

    def _if_it_does(self, answer: Mapping[int, int]) -> Settled | None:
        """The edition with the lengths moved, if every condition then holds exactly."""
        shifts = {self.given[place].position: steps for place, steps in answer.items()}
        try:
            resolved = pierced(resolve(self.plain.design, self.plain.edition, shifts))
        except DesignUnreadable:
            return None
        if not all(condition.holds for condition in self.keep(resolved)):
            return None
        moves = tuple(self._move(self.given[place], steps) for place, steps in answer.items())
        findings = tuple(self._moved(move) for move in moves)
        return Settled(resolved, moves, findings)

    def _move(self, given: Given, steps: int) -> MovedLength:
        units = self.plain.edition.units
        name = given.name or f"{units.text(given.value)} (line {given.position.line})"
        reason = self.broken[0].finding().message
        after = given.value + steps * self.plain.edition.grid
        return MovedLength(name, given.position, given.value, after, reason)

    def _moved(self, move: MovedLength) -> Finding:
        return finding_kind("moved-on-grid").found(
            self.plain,
            move.position,
            (move.name,),
            name=move.name,
            reason=move.reason,
            edition=self.plain.edition.name,
            before=move.before,
            after=move.after,
        )

    def _not_settled(self, against: Sequence[ConditionKey]) -> tuple[Finding, ...]:
        """What stays broken, and which conditions exclude each other."""
        opened = [c.finding() for c in self.broken if c.key[0] == "sum-opens"]
        first = self.broken[0].finding()
        reach = self.plain.edition.units.text(MOST_STEPS * self.plain.edition.grid)
        names = "; ".join(_in_words(key) for key in against) or "sizes that round"
        edition = self.plain.edition.name
        summary = finding_kind("no-native-size").found(
            self.plain, first.position, reach=reach, names=names, edition=edition
        )
        return (*opened, summary)


_IN_WORDS = {
    "off-grid": "'{0}' has {1} on the grid",
    "overhang": "'{0}' keeps within the {1} edge of its host",
    "sums-do-not-close": "'{0}' keeps its distance to the {1} edge",
    "insert-too-wide": "'{0}' slides into '{1}'",
    "over-the-score": "'{0}' lies between two scores of '{1}'",
    "does-not-close-round": "'{1}' closes round '{0}'",
    "does-not-go-in": "'{0}' goes into '{1}'",
    "overlap": "'{0}' and '{1}' lie apart",
    "uneven-reveal": "'{0}' leaves even reveals",
    "sticks-out": "'{0}' keeps within the covers",
    "gap-too-small": "the gap of '{0}' holds its layers",
    "larger-than-sheet": "'{0}' comes out of its sheet",
    "strip-too-narrow": "the trimmer holds '{0}'",
    "flush": "'{0}' lies flush with the {1} edge",
    "centred": "'{0}' lies in the middle {1}",
    "meeting": "'{0}' and '{1}' meet {2}",
    "alike": "'{0}' and '{1}' are equal {2}",
}


def _in_words(key: ConditionKey) -> str:
    kind, *names = key[1:] if key[0] == "sum-opens" else key
    return _IN_WORDS[kind].format(*names)


# How far it departs from the designer's own


@dataclass(frozen=True)
class Departure:
    """``difference`` is the size in the edition less the size in the designer's own."""

    piece: str
    axis: str
    size: Fraction
    difference: Fraction


def largest_departure(own: ResolvedDesign, other: ResolvedDesign) -> Departure | None:
    """The largest difference of any piece's width or height; None when there are no pieces."""
    departures = [
        Departure(key, axis, getattr(piece, axis), getattr(piece, axis) - getattr(own_piece, axis))
        for key, piece in other.pieces.items()
        for own_piece in [own.pieces[key]]
        for axis in ("width", "height")
    ]
    return max(departures, key=lambda found: abs(found.difference), default=None)
