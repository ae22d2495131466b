"""The model: what a design file says, as types, and the words that it chooses between.

``design`` is the whole, made of ``steps``, ``safety`` and ``offers``; ``choices`` are its words,
each a ``Literal`` declared once; ``weights`` and ``currencies`` are what papers weigh and money is
counted in; ``checksum`` marks a design.
"""

# fmt: off
# isort: off
from gatherfold.model.checksum import checksum as checksum, printed_mark as printed_mark
from gatherfold.model.choices import (ADHESIVE_KINDS as ADHESIVE_KINDS,
    CORNER_SHAPES as CORNER_SHAPES, EDITION_NAMES as EDITION_NAMES,
    FASTENING_KINDS as FASTENING_KINDS, FOLDS as FOLDS, GLUE_EDGES as GLUE_EDGES, GRAINS as GRAINS,
    JOIN_RELATIONS as JOIN_RELATIONS, MATERIALS as MATERIALS, PAPER_NAMES as PAPER_NAMES,
    PIECE_KINDS as PIECE_KINDS, PRINT_DIRECTIONS as PRINT_DIRECTIONS, RELATIONS as RELATIONS,
    SIDES as SIDES, STRIP_DIRECTIONS as STRIP_DIRECTIONS, SUPPLY_KINDS as SUPPLY_KINDS,
    CornerShape as CornerShape, EditionName as EditionName, FasteningKind as FasteningKind,
    Fold as Fold, GlueEdge as GlueEdge, HazardName as HazardName, JoinRelation as JoinRelation,
    Material as Material, OpeningShape as OpeningShape, PaperName as PaperName,
    PrintDirection as PrintDirection, PrintedPlace as PrintedPlace, Relation as Relation,
    SideName as SideName, StripDirection as StripDirection, SupplyKind as SupplyKind, Tool as Tool,
    Trait as Trait, breaks_when_folded as breaks_when_folded, faces_away as faces_away,
    has_direction as has_direction,
    is_across as is_across, is_front as is_front, is_hole as is_hole, is_in_pocket as is_in_pocket,
    is_ink as is_ink, is_metric as is_metric, is_sold_by_length as is_sold_by_length,
    is_soft as is_soft, is_tape as is_tape, is_valley as is_valley, narrowed as narrowed,
    other_fold as other_fold, side_seen as side_seen, takes_whole_box as takes_whole_box)
from gatherfold.model.currencies import (CODES as CODES, looks_like_code as looks_like_code,
    money_number as money_number)
from gatherfold.model.design import (Corner as Corner, Design as Design, Expression as Expression,
    Fastening as Fastening, Join as Join, Measure as Measure, Motif as Motif, Opening as Opening,
    Piece as Piece, Placement as Placement, Reserve as Reserve, Seam as Seam, Section as Section,
    Side as Side, Stock as Stock, StockSheet as StockSheet, Strip as Strip, Supply as Supply,
    Tab as Tab, Tuck as Tuck, Weight as Weight, WrittenTrimmer as WrittenTrimmer)
from gatherfold.model.fastenings import kind_of as kind_of
from gatherfold.model.fastenings.kind import (Bought as Bought, EndShape as EndShape,
    FastenerKind as FastenerKind, FieldName as FieldName, Magnetism as Magnetism,
    SectionShape as SectionShape)
from gatherfold.model.offers import SINGLY as SINGLY, Offer as Offer
from gatherfold.model.safety import (LEVELS as LEVELS, AddedHazard as AddedHazard,
    HazardWording as HazardWording, LeftOutHazard as LeftOutHazard, Level as Level,
    Safety as Safety)
from gatherfold.model.steps import (OPERATIONS as OPERATIONS, Accepted as Accepted,
    Operation as Operation, Step as Step)
from gatherfold.model.weights import (BASIC_SIZES as BASIC_SIZES,
    default_caliper as default_caliper, grams_per_square_metre as grams_per_square_metre,
    read_weight as read_weight)
