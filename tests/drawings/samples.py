"""Small designs for the drawing tests.

Pieces drawn alone are made by hand; a design whose pieces lie on one another is read and resolved.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from gatherfold.findings import Position
from gatherfold.formulas import Pair, parse
from gatherfold.geometry.outline import Arc, Box, Edge, Outline, Point, Segment, polygon, rectangle
from gatherfold.lengths import INCH
from gatherfold.model.design import (
    Corner,
    Design,
    Expression,
    Piece,
    Side,
    Stock,
)
from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import IMPERIAL, Edition
from gatherfold.resolve.resolved import (
    Face,
    Gluing,
    Hole,
    ResolvedDesign,
    ResolvedPiece,
    ResolvedStock,
    Score,
)
from gatherfold.work import pierced

HERE = Position("sample.yaml", 1, 1)
ZERO = Fraction(0)
ANY = Expression(parse("1 in"), HERE)


def inches(number: str) -> Fraction:
    """``inches("7 3/4")`` in millimetres."""
    return sum((Fraction(part) for part in number.split()), ZERO) * INCH


def stock(key: str = "card", two_sided: bool = False, prints: str = "any") -> ResolvedStock:
    front, back = Side("Reeds", prints), Side("Sand", "any")
    source = Stock(
        key=key,
        title=key.capitalize(),
        material="cardstock",
        position=HERE,
        weight=None,
        sheet=None,
        width=None,
        caliper=None,
        grain="any",
        front=front,
        back=back,
        two_sided=two_sided,
        note="",
    )
    return ResolvedStock(key, source, inches("12"), inches("12"), ZERO, Fraction(3, 10))


def source_piece(key: str, **changes: object) -> Piece:
    piece = Piece(
        key=key,
        title=key.replace("_", " ").capitalize(),
        kind="piece",
        position=HERE,
        stock="card",
        side="front",
        size=None,
        width=None,
        height=None,
        across=(),
        up=(),
        placement=None,
        corners={},
        thumb_notches={},
        openings=(),
        count=1,
        note="",
    )
    return replace(piece, **changes)  # type: ignore[arg-type]


def piece(
    key: str, width: str, height: str, code: str = "A1", source: Piece | None = None,
    **changes: object,
) -> ResolvedPiece:  # fmt: skip
    box = Box(ZERO, ZERO, inches(width), inches(height))
    made = ResolvedPiece(
        key=key,
        code=code,
        source=source or source_piece(key),
        stock=stock(),
        width=box.width,
        height=box.height,
        outline=rectangle(box),
        faces=(Face("face", box),),
        scores=(),
        holes=(),
        windows=(),
        glue=Gluing((), ()),
        by="face",
        host_face="",
        offsets=None,
    )
    return replace(made, **changes)  # type: ignore[arg-type]


def folded_piece() -> ResolvedPiece:
    """A spine 2¼ in wide with folds at ¾ and 1½ in, one of each kind."""
    height = inches("11")
    places = [ZERO, inches("3/4"), inches("1 1/2"), inches("2 1/4")]
    names = ("front_tab", "gusset", "back_tab")
    faces = tuple(
        Face(name, Box(left, ZERO, right, height))
        for name, (left, right) in zip(names, pairwise(places), strict=True)
    )
    scores = (
        Score("vertical", places[1], ZERO, height, "valley", 90, names[:2]),
        Score("vertical", places[2], ZERO, height, "mountain", 90, names[1:]),
    )
    return piece("spine", "2 1/4", "11", faces=faces, scores=scores, by="back_tab")


def crowded_piece() -> ResolvedPiece:
    """Six folds 1/16 in apart: their numbers have to be spread."""
    height = inches("3")
    places = [inches("1") + index * INCH / 16 for index in range(6)]
    scores = tuple(
        Score("vertical", at, ZERO, height, "valley", 90, ("face", "face")) for at in places
    )
    return piece("crowded", "8", "3", scores=scores)


def shaped_piece() -> ResolvedPiece:
    """Mitred, rounded and notched corners, a thumb notch, a hole and a window."""
    w, h = inches("6"), inches("5")
    quarter, half, one = inches("1/4"), inches("1/2"), inches("1")
    edges: tuple[Edge, ...] = (
        *_run([Point(ZERO, quarter), Point(quarter, ZERO), Point(w - half, ZERO)]),
        Arc(Point(w - half, ZERO), Point(w, half), Point(w - half, half), clockwise=False),
        *_run(
            [
                Point(w, half),
                Point(w, h - half),
                Point(w - one, h - half),
                Point(w - one, h),
                Point(w / 2 + half, h),
            ]
        ),
        Arc(Point(w / 2 + half, h), Point(w / 2 - half, h), Point(w / 2, h), clockwise=True),
        *_run([Point(w / 2 - half, h), Point(ZERO, h), Point(ZERO, quarter)]),
    )
    corners = {
        "bottom left": Corner("mitre", ANY),
        "bottom right": Corner("round", ANY),
        "top right": Corner("notch", ANY),
    }
    source = source_piece("shaped", corners=corners, thumb_notches={"top": ANY})
    window = Box(inches("1"), inches("1 1/2"), inches("3"), inches("3"))
    return piece(
        "shaped",
        "6",
        "5",
        "B2",
        source,
        outline=Outline(edges),
        holes=(Hole(Point(inches("5"), inches("3/4")), inches("1/8"), None),),
        windows=(rectangle(window),),
        corner_sizes={
            "bottom left": Pair(quarter, quarter),
            "bottom right": Pair(half, half),
            "top right": Pair(one, half),
        },
    )


def _run(points: list[Point]) -> list[Segment]:
    return [Segment(a, b) for a, b in pairwise(points)]


#: A panel with a mat on its front and one on its back, 1/8 in smaller all round; true sizes, the
#: same in both editions.
MATTED = """\
title: Reed Folio
units: inch
measures:
  cover: {actual: 8 x 11}
  reveal: {actual: 1/8}
  dry: {actual: 1}
stocks:
  card: {name: Card, material: cardstock, caliper: 0.3 mm, sheet: 12 x 12}
  reeds:
    name: Reeds
    material: cardstock
    caliper: 0.3 mm
    sheet: 12 x 12
    front: {name: Reeds, print: any}
pieces:
  panel: {as: panel, from: card, size: cover}
  mat: {as: mat, from: reeds, on: panel, leaving: reveal, keep_off: {bottom right: dry x dry}}
  outer_mat:
    {as: mat, from: reeds, on_back: panel, leaving: reveal, keep_off: {bottom right: dry x dry}}
"""


def read(text: str, edition: Edition = IMPERIAL) -> ResolvedDesign:
    """A design from its text, with its holes."""
    return pierced(resolve(read_design(text.encode(), "sample.yaml"), edition))


@lru_cache
def matted_design(edition: Edition = IMPERIAL) -> ResolvedDesign:
    """A panel with a mat on its front and one on its back."""
    return read(MATTED, edition)


def design(
    pieces: Mapping[str, ResolvedPiece],
    edition: Edition = IMPERIAL,
) -> ResolvedDesign:
    stocks = {made.stock.key: made.stock for made in pieces.values()}
    source = Design(
        file="sample.yaml",
        title="Reed Folio",
        subtitle="",
        author="",
        revision="1",
        date="",
        summary="",
        terms="",
        skill="",
        unit=INCH,
        native="imperial",
        editions={},
        measures={},
        stocks={key: made.source for key, made in stocks.items()},
        pieces={key: made.source for key, made in pieces.items()},
        fastenings={},
        supplies={},
        closing=(),
        steps=(),
        layout="",
        tolerance=None,
        language="en",
    )
    return ResolvedDesign(
        design=source,
        edition=edition,
        measures={},
        stocks=stocks,
        pieces=pieces,
        fastenings={},
        supply_sizes={},
        printed={},
        tolerance=ZERO,
    )


def l_shape() -> ResolvedPiece:
    """A piece that needs a template of several tiles: an L of 12 by 11 in."""
    w, h, cut = inches("12"), inches("11"), inches("4")
    outline = polygon(
        [
            Point(ZERO, ZERO),
            Point(w, ZERO),
            Point(w, h - cut),
            Point(w - cut, h - cut),
            Point(w - cut, h),
            Point(ZERO, h),
        ]
    )
    source = source_piece("ell", corners={"top right": Corner("notch", ANY)})
    return piece("ell", "12", "11", "C1", source, outline=outline)
