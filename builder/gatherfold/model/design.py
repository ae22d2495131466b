"""The typed model of a design file: what the designer wrote, checked for form, not yet computed.

Every value that is a formula stays an :class:`Expression` (tree and position); lengths become
numbers only when an edition is resolved.  Names refer to other parts by key.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from gatherfold.findings import Position
from gatherfold.formulas import Formula
from gatherfold.geometry import CornerName, EdgeName
from gatherfold.model.choices import (
    TRAITS,
    CornerShape,
    EditionName,
    FasteningKind,
    Fold,
    GlueEdge,
    Grain,
    JoinRelation,
    Material,
    OpeningShape,
    PieceKind,
    PrintDirection,
    PrintedPlace,
    Relation,
    SideName,
    StripDirection,
    SupplyKind,
    Trait,
    is_front,
)
from gatherfold.model.fastenings import FastenerKind, kind_of
from gatherfold.model.offers import SINGLY, Offer
from gatherfold.model.safety import Safety
from gatherfold.model.steps import Accepted as Accepted, Step as Step


@dataclass(frozen=True)
class Expression:
    """A formula and where it stands in the file."""

    formula: Formula
    position: Position


@dataclass(frozen=True)
class Measure:
    """A named length or size.

    ``actual`` marks something that exists physically (a photograph): it keeps its true size in
    every edition.  ``fixed`` holds values the designer set by hand for one edition.
    """

    name: str
    expression: Expression
    actual: bool
    fixed: Mapping[EditionName, Expression]
    note: str
    position: Position


@dataclass(frozen=True)
class Weight:
    """A paper weight as written (``80 lb cover``) and in grams per square metre."""

    written: str
    pounds: Fraction | None
    grade: str
    grams: Fraction


@dataclass(frozen=True)
class Motif:
    """A printed picture, or a region, at a known place: distances from the sheet's left and bottom
    edges as its side is looked at, and its size; all true sizes."""

    title: str
    left: Expression
    bottom: Expression
    size: Expression
    position: Position


@dataclass(frozen=True)
class Side:
    """One side of a sheet; ``print`` is ``upright``, ``sideways`` or ``any``.

    A motif is a printed picture to cut round, a region a part of the print to cut from.
    """

    title: str
    print: PrintDirection
    motifs: Mapping[str, Motif] = field(default_factory=dict)
    regions: Mapping[str, Motif] = field(default_factory=dict)
    #: ``#rrggbb``; empty where none is stated, or only that of the stock.
    colour: str = ""

    def printed(self, what: PrintedPlace) -> Mapping[str, Motif]:
        """Its pictures, or its regions, by name."""
        match what:
            case "motif":
                return self.motifs
            case "region":
                return self.regions


@dataclass(frozen=True)
class StockSheet:
    """One size that a stock is to be had in; all true sizes.

    ``limit`` says how many there are (None: as many as are needed), ``offer`` how they are sold.  A
    scrap is on hand and costs nothing.  ``margin`` holds the strips along the edges, seen from the
    front, that carry no print.
    """

    size: Expression
    position: Position
    limit: int | None = None
    offer: Offer = SINGLY
    margin: Mapping[EdgeName, Expression] = field(default_factory=dict)
    is_scrap: bool = False

    @property
    def price(self) -> Fraction | None:
        """What one costs."""
        return self.offer.price


@dataclass(frozen=True)
class Reserve:
    """A spare that each kit is to keep back from a stock, where no sheet more is needed for it."""

    size: Expression
    purpose: str
    position: Position


@dataclass(frozen=True)
class Stock:
    """What pieces are cut from. ``width`` is given for ribbon, ``sheet`` for everything else.

    ``sheets`` are all sizes it is to be had in: ``sheet`` first, then others, then scraps.
    """

    key: str
    title: str
    material: Material
    position: Position
    weight: Weight | None
    sheet: Expression | None
    width: Expression | None
    caliper: Expression | None
    grain: Grain
    front: Side
    back: Side
    two_sided: bool
    note: str
    sheets: tuple[StockSheet, ...] = ()
    reserves: tuple[Reserve, ...] = ()
    #: What it looks like, ``#rrggbb``; empty where it is not stated.
    colour: str = ""
    #: Of ribbon: how long a roll is, and how rolls are sold.
    roll: Expression | None = None
    offer: Offer = SINGLY

    def side(self, name: SideName) -> Side:
        """The ``front`` or the ``back``."""
        return self.front if is_front(name) else self.back


@dataclass(frozen=True)
class Section:
    """One section of a folded piece: its size and the fold that divides it from the one before."""

    name: str
    size: Expression
    fold: Fold
    closed: int
    position: Position


@dataclass(frozen=True)
class Tab:
    """A glue tab along a free edge of one section, within the piece's own rectangle.

    Both its ends are cut away by ``taper``; it is a face of its own, called ``SECTION_EDGE_tab``.
    """

    section: str
    edge: EdgeName
    depth: Expression
    taper: Expression
    fold: Fold
    closed: int
    position: Position

    @property
    def name(self) -> str:
        return f"{self.section}_{self.edge}_tab"


@dataclass(frozen=True)
class Seam:
    """An edge of a section along which adhesive runs when the section is closed for good; ``dry``
    is how far from the section's fold it begins."""

    section: str
    edge: EdgeName
    dry: Expression
    position: Position


@dataclass(frozen=True)
class Corner:
    """A shaped corner: ``notch`` has width x height, ``round`` one size, ``mitre`` either."""

    shape: CornerShape
    size: Expression


@dataclass(frozen=True)
class Opening:
    """A window or a hole, placed by distances from the piece's edges (centred where none)."""

    shape: OpeningShape
    size: Expression
    distances: Mapping[EdgeName, Expression]
    position: Position


@dataclass(frozen=True)
class Placement:
    """Where a piece lies on its host.

    ``relation``: ``on`` the host's front, ``behind`` it facing the same way, ``on_back`` facing
    outward, or ``inside`` a pocket.  ``distances`` run from the host face's edges to the piece's.
    A piece that is ``raised`` lies that far before its host (behind it: that far behind).  ``by``
    names its faces that are glued, the first of which gives the place; empty where none is named.
    No adhesive goes to the corners and along the edges that it is to ``keep_off``, by their sizes.
    """

    relation: Relation
    host: str
    host_face: str | None
    by: tuple[str, ...]
    distances: Mapping[EdgeName, Expression]
    leaving: Expression | None
    turned: int
    glue: tuple[GlueEdge, ...]
    keep_off: Mapping[EdgeName | CornerName, Expression]
    position: Position
    raised: Expression | None = None


@dataclass(frozen=True)
class Tuck:
    """A section that is tucked under a face, its own piece's or another's, when it closes."""

    section: str
    host: str
    host_face: str
    position: Position


@dataclass(frozen=True)
class Join:
    """A face of a piece that is glued to one of its own or another piece's faces, when both meet.

    ``on``: its back against the other's front; ``behind``: its front against the other's back;
    ``on_back``: back against back; ``facing``: front against front.  ``glue`` names the edges of
    ``face`` along which adhesive runs, or is ``("all",)``.
    """

    face: str
    relation: JoinRelation
    host: str
    host_face: str | None
    glue: tuple[str, ...]
    position: Position


@dataclass(frozen=True)
class Piece:
    """A flat part cut from one stock.

    ``corners`` are those of the whole piece, ``section_corners`` outer corners of its sections.
    ``dry_sections`` close without glue.
    """

    key: str
    title: str
    kind: PieceKind
    position: Position
    stock: str
    side: SideName
    size: Expression | None
    width: Expression | None
    height: Expression | None
    across: tuple[Section, ...]
    up: tuple[Section, ...]
    placement: Placement | None
    corners: Mapping[CornerName, Corner]
    #: The radius of the half circle cut into the middle of an edge.
    thumb_notches: Mapping[EdgeName, Expression]
    openings: tuple[Opening, ...]
    count: int
    note: str
    motif: str | None = None
    #: The edge of its sheet that a piece touches, and the region of the print that it lies in.
    edge: EdgeName | None = None
    region: str | None = None
    section_corners: Mapping[tuple[str, CornerName], Corner] = field(default_factory=dict)
    tabs: tuple[Tab, ...] = ()
    seams: tuple[Seam, ...] = ()
    dry_sections: tuple[str, ...] = ()
    joins: tuple[Join, ...] = ()
    tucks: tuple[Tuck, ...] = ()

    def has(self, trait: Trait) -> bool:
        """Whether something holds of it because of its kind."""
        return trait in TRAITS[self.kind]

    def has_any(self, traits: Trait) -> bool:
        """Whether one of several things holds of it because of its kind."""
        return bool(traits & TRAITS[self.kind])


@dataclass(frozen=True)
class Strip:
    """Pieces cut from the sheet in one, and divided later.

    They lie side by side from the left (``across``) or one above another from the bottom
    (``up``), every copy of each in turn; ``allowance`` is left over at the far end.
    """

    key: str
    title: str
    direction: StripDirection
    pieces: tuple[str, ...]
    places: Mapping[str, Position]
    allowance: Expression | None
    position: Position


@dataclass(frozen=True)
class Fastening:
    """What holds pieces together, or the work shut.

    It goes ``through`` pieces at a point measured on the first of them; sizes are those of the
    real thing and never snap.  A ribbon has a ``length``, allowance in.
    """

    key: str
    title: str
    kind: FasteningKind
    position: Position
    head: Expression | None
    leg: Expression | None
    through: tuple[str, ...]
    distances: Mapping[EdgeName, Expression]
    stock: str | None
    length: Expression | None
    allowance: Expression | None
    count: int
    pivot: bool
    holds: str | None
    #: The piece of the closed work that a ribbon goes over, on its way round all of it.
    round: str | None = None
    offer: Offer = SINGLY

    @property
    def fastener(self) -> FastenerKind:
        """What is true of it because of its kind."""
        return kind_of(self.kind)


@dataclass(frozen=True)
class Supply:
    """Something used that is not computed from pieces: an adhesive, an ink, a thread."""

    key: str
    title: str
    kind: SupplyKind
    width: Expression | None
    roll: Expression | None
    position: Position
    offer: Offer = SINGLY


@dataclass(frozen=True)
class WrittenTrimmer:
    """What the maker's trimmer can do: its longest cut and the narrowest strip that it holds."""

    longest_cut: Expression | None = None
    narrowest_strip: Expression | None = None


@dataclass(frozen=True)
class Design:
    """One design file, read."""

    file: str
    title: str
    subtitle: str
    author: str
    revision: str
    date: str
    summary: str
    terms: str
    skill: str
    unit: Fraction | None
    native: EditionName
    editions: Mapping[EditionName, Mapping[str, Expression]]
    measures: Mapping[str, Measure]
    stocks: Mapping[str, Stock]
    pieces: Mapping[str, Piece]
    fastenings: Mapping[str, Fastening]
    supplies: Mapping[str, Supply]
    closing: tuple[str, ...]
    steps: tuple[Step, ...]
    layout: str
    #: Of the documents: a code of ISO 639-1 that there is a catalogue for.
    language: str
    tolerance: Expression | None
    accepted: tuple[Accepted, ...] = ()
    currency: str = ""
    safety: Safety = field(default_factory=Safety)
    #: What each revision changed, for the revision page.
    changes: Mapping[str, str] = field(default_factory=dict)
    trimmer: WrittenTrimmer = field(default_factory=WrittenTrimmer)
    strips: Mapping[str, Strip] = field(default_factory=dict)
    positions: Mapping[str, Position] = field(default_factory=dict)
    #: The mark of all that was read, and the measures whose sizes stand in place of the file's.
    checksum: str = ""
    #: The file itself, to try in it what may have been meant; empty where sizes are set by hand.
    text: str = field(default="", repr=False)
    set_by_hand: frozenset[str] = frozenset()

    def hosts_of(self, piece: str) -> tuple[str, ...]:
        """What a piece lies on, what that lies on, and so on, each once."""
        hosts: list[str] = []
        at = self.pieces.get(piece)
        while at is not None and at.placement is not None and at.placement.host not in hosts:
            hosts.append(at.placement.host)
            at = self.pieces.get(hosts[-1])
        return tuple(hosts)
