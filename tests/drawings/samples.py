"""Small resolved designs for the drawing tests, built without reading or resolving a file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from builder.design import (
    Corner,
    Design,
    Expression,
    KeepOff,
    Piece,
    Placement,
    Side,
    Stock,
    ThumbNotch,
)
from builder.findings import Position
from builder.formulas import Pair, parse
from builder.geometry.outline import Arc, Box, Edge, Line, Outline, Point, polygon, rectangle
from builder.geometry.pose import IDENTITY, Pose, flipped, shifted
from builder.lengths import INCH
from builder.resolve.edition import IMPERIAL, Edition
from builder.resolve.resolved import (
    Face,
    GlueArea,
    Hole,
    Offsets,
    PlacedFace,
    ResolvedDesign,
    ResolvedPiece,
    ResolvedStock,
    Score,
    State,
)

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
        thumb_notches=(),
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
        glue=GlueArea((), ()),
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
    source = source_piece("shaped", corners=corners, thumb_notches=(ThumbNotch("top", ANY),))
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


def _run(points: list[Point]) -> list[Line]:
    return [Line(a, b) for a, b in pairwise(points)]


def placement(relation: str, host: str, keep_off: tuple[KeepOff, ...] = ()) -> Placement:
    return Placement(
        relation=relation,
        host=host,
        host_face=None,
        by=(),
        distances={},
        leaving=None,
        turned=0,
        glue=("all",),
        keep_off=keep_off,
        position=HERE,
    )


def mat(key: str, code: str, relation: str) -> ResolvedPiece:
    """A mat 1/8 in smaller all round than the 8 x 11 in panel."""
    eighth = inches("1/8")
    corner = Box(inches("6 3/4"), ZERO, inches("7 3/4"), inches("1"))
    keep_off = (KeepOff("bottom right", ANY),)
    return piece(
        key,
        "7 3/4",
        "10 3/4",
        code,
        source_piece(key, placement=placement(relation, "panel", keep_off)),
        glue=GlueArea(("all",), (corner,)),
        glued=("face",),
        host_face="face",
        offsets=Offsets(eighth, eighth, eighth, eighth),
    )


def matted_design(edition: Edition = IMPERIAL) -> ResolvedDesign:
    """A panel with a mat on its front and one on its back."""
    eighth = inches("1/8")
    pieces = {
        "panel": piece("panel", "8", "11", "A1"),
        "mat": mat("mat", "B1", "on"),
        "outer_mat": mat("outer_mat", "B2", "on_back"),
    }
    poses: Mapping[str, Pose] = {
        "outer_mat": shifted(inches("8") - eighth, eighth).then(flipped()),
        "panel": IDENTITY,
        "mat": shifted(eighth, eighth),
    }
    faces = tuple(
        PlacedFace(key, "face", pose, order) for order, (key, pose) in enumerate(poses.items())
    )
    states = {name: State(name, faces) for name in ("flat", "open", "closed")}
    return design(pieces, states, edition)


def design(
    pieces: Mapping[str, ResolvedPiece],
    states: Mapping[str, State] | None = None,
    edition: Edition = IMPERIAL,
) -> ResolvedDesign:
    none = {name: State(name, ()) for name in ("flat", "open", "closed")}
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
        states=states or none,
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
