"""Fits: what slides into, lies between or closes round something else, in the worst case.

At worst the inner part is cut too large and the outer one too small, each by the cutting
tolerance; the margin is what remains then.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal, assert_never

from builder.checks.condition import Condition, Rule
from builder.checks.glue_zones import tape_width
from builder.checks.placed import Span, X, Y, Z, placed_box, placed_spans
from builder.checks.report import found, tenth
from builder.choices import Relation
from builder.findings import Finding, Severity
from builder.geometry.edges import Axis, ends_across
from builder.geometry.stacks import Layer, thickest
from builder.lengths import up_to_grid
from builder.piece_kinds import Trait
from builder.resolve.placement import folds_outward, main_body, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece

#: The score lines and the edges that bound a direction run so.
_AXES: dict[Flat, Axis] = {"across": "vertical", "upward": "horizontal"}


FitKind = Literal["in pocket", "between scores", "closing round"]
Flat = Literal["across", "upward"]
Direction = Literal[Flat, "deep"]


@dataclass(frozen=True)
class Fit:
    """``inner`` goes with ``outer`` along ``direction`` (across, upward, deep); mm.

    ``kind``: ``in pocket``, ``between scores`` or ``closing round``.
    """

    kind: FitKind
    inner: str
    outer: str
    direction: Direction
    size: Fraction
    room: Fraction
    play: Fraction

    @property
    def margin(self) -> Fraction:
        return self.room - self.size - self.play


def fits(resolved: ResolvedDesign) -> Iterator[Fit]:
    """Every fit of the design, in its order."""
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if placement is None:
            continue
        host = resolved.pieces[placement.host]
        if piece.is_in_pocket:
            yield from _in_pocket(resolved, piece, host)
        elif piece.source.has(Trait.BETWEEN_FOLDS):
            yield from _between_scores(resolved, piece, host)
    yield from _closing_round(resolved)


def _in_pocket(
    resolved: ResolvedDesign, insert: ResolvedPiece, pocket: ResolvedPiece
) -> Iterator[Fit]:
    """An insert between two glued edges of its pocket; keep-outs are the business of its path."""
    tape, (width, height) = tape_width(resolved), insert.laid_size
    box = pocket.face(insert.host_face).box
    measured: tuple[tuple[Flat, Fraction, Fraction], ...] = (
        ("across", box.width, width),
        ("upward", box.height, height),
    )
    for direction, room, size in measured:
        glued = [edge for edge in ends_across(_AXES[direction]) if edge in pocket.glue.edges]
        if len(glued) == 2:
            room -= 2 * tape
            play = 2 * resolved.tolerance
            yield Fit("in pocket", insert.key, pocket.key, direction, size, room, play)


def _between_scores(
    resolved: ResolvedDesign, piece: ResolvedPiece, host: ResolvedPiece
) -> Iterator[Fit]:
    """What lies on a face that folds on both sides must leave both folds free."""
    if any(score.closed == 90 for score in piece.scores):
        return
    box = host.face(piece.host_face).box
    for direction, room, size in zip(_AXES, (box.width, box.height), piece.laid_size, strict=True):
        scores = [
            score
            for score in host.scores
            if piece.host_face in score.sides and score.axis == _AXES[direction]
        ]
        if len(scores) == 2:
            play = 2 * resolved.tolerance
            yield Fit("between scores", piece.key, host.key, direction, size, room, play)


# Bands, lids and sleeves: what is there only when closed, unglued, with sides that stand


def _closing_round(resolved: ResolvedDesign) -> Iterator[Fit]:
    closed = resolved.states["closed"].faces
    body = [f for f in closed if resolved.pieces[f.piece].source.present == "always"]
    if not body:
        return
    spans = [_span_of(resolved, body, axis) for axis in (X, Y, Z)]
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if piece.source.present != "closed" or placement is None or placement.glue:
            continue
        placed = {f.face: f for f in closed if f.piece == piece.key}
        if piece.by in placed and len(placed) > 1:
            yield from _round_body(resolved, piece, placed, body, spans)


def _round_body(
    resolved: ResolvedDesign,
    piece: ResolvedPiece,
    placed: dict[str, PlacedFace],
    body: list[PlacedFace],
    spans: list[Span],
) -> Iterator[Fit]:
    """The room between each two opposite standing sides, and the depth under laps."""
    play = 2 * resolved.tolerance
    standing = [face for face in placed.values() if face.pose.normal[Z] == 0]
    for axis, direction in zip((X, Y), _AXES, strict=True):
        sides = [face for face in standing if face.pose.normal[axis] != 0]
        planes = sorted({face.pose.shift[axis] for face in sides})
        if len(planes) != 2 or not sides:
            continue
        room = planes[1] - planes[0] - 2 * _lining(resolved, piece, sides)
        size = spans[axis].length + _standing_layers(resolved, body, axis, spans[axis])
        yield Fit(
            "closing round",
            main_body(tree_of(resolved)),
            piece.key,
            direction,
            size,
            room,
            play,
        )
    flat = sorted({f.pose.shift[Z] for f in placed.values() if f.pose.normal[Z] != 0})
    if len(flat) == 2:
        size = spans[Z].length + _outside_layers(resolved, body, spans[Z])
        room = flat[1] - flat[0] - piece.stock.caliper
        yield Fit(
            "closing round",
            main_body(tree_of(resolved)),
            piece.key,
            "deep",
            size,
            room,
            play,
        )


def _span_of(resolved: ResolvedDesign, faces: list[PlacedFace], axis: int) -> Span:
    spans = [placed_spans(resolved, face)[axis] for face in faces]
    return Span(min(span.low for span in spans), max(span.high for span in spans))


def _lining(resolved: ResolvedDesign, piece: ResolvedPiece, sides: list[PlacedFace]) -> Fraction:
    """How far the inside of a standing side lies from its plane: half its card, the tab glued
    inside it, and the thickest piece on its inner face."""
    names = {face.face for face in sides}
    tabs = [tab for tab in piece.source.tabs if tab.name not in names]
    inner: Relation = "on" if _folds_forward(piece) else "on_back"
    linings = [
        other.stock.caliper
        for other in resolved.pieces.values()
        if other.source.placement is not None
        and other.source.placement.host == piece.key
        and other.source.placement.relation == inner
        and other.host_face in names
    ]
    caliper = piece.stock.caliper
    return caliper / 2 + (caliper if tabs else 0) + max(linings, default=Fraction(0))


def _folds_forward(piece: ResolvedPiece) -> bool:
    return all(score.is_valley for _, _, score in folds_outward(piece))


def _standing_layers(
    resolved: ResolvedDesign, body: list[PlacedFace], axis: int, span: Span
) -> Fraction:
    """What the body's walls add outside the planes they stand in: half their own card and what is
    glued on their outside, at both ends."""
    total = Fraction(0)
    for plane in (span.low, span.high):
        walls = [f for f in body if f.pose.normal[axis] != 0 and f.pose.shift[axis] == plane]
        calipers = [
            resolved.pieces[face.piece].stock.caliper for face in walls if _is_wall(resolved, face)
        ]
        outside = [
            resolved.pieces[face.piece].stock.caliper
            for face in walls
            if not _is_wall(resolved, face) and _looks(face, axis, plane == span.high)
        ]
        total += max(calipers, default=Fraction(0)) / 2 + max(outside, default=Fraction(0))
    return total


def _is_wall(resolved: ResolvedDesign, face: PlacedFace) -> bool:
    """Whether the face stands by a fold of its own piece, as the wall of a tray does."""
    return len(resolved.pieces[face.piece].faces) > 1


def _looks(face: PlacedFace, axis: int, is_far: bool) -> bool:
    """Whether the face's front looks outward at this end."""
    return (face.pose.normal[axis] > 0) == is_far


def _outside_layers(resolved: ResolvedDesign, body: list[PlacedFace], span: Span) -> Fraction:
    """The thickest piles of layers in the body's lowest and highest plane, beyond the planes.

    The scores of a spine stand at the middle of its card, so the outermost folded face counts half.
    """
    total = Fraction(0)
    for plane, is_far in ((span.low, False), (span.high, True)):
        level = [f for f in body if f.pose.normal[Z] != 0 and f.pose.shift[Z] == plane]
        folded = [f.order for f in level if len(resolved.pieces[f.piece].faces) > 1]
        if not folded:
            outer = level
        elif is_far:
            outer = [f for f in level if f.order > max(folded)]
        else:
            outer = [f for f in level if f.order < min(folded)]
        layers = [
            Layer(f.piece, placed_box(resolved, f), resolved.pieces[f.piece].stock.caliper)
            for f in outer
        ]
        pile = thickest(layers)
        total += Fraction(0) if pile is None else pile.thickness
        total += (
            max(
                (resolved.pieces[f.piece].stock.caliper for f in level if f not in outer),
                default=Fraction(0),
            )
            / 2
        )
    return total


# Conditions

_CODES: dict[FitKind, str] = {
    "in pocket": "insert-too-wide",
    "between scores": "over-the-score",
    "closing round": "does-not-close-round",
}


def fit_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    for fit in fits(resolved):
        yield Condition(
            (_CODES[fit.kind], fit.inner, fit.outer, fit.direction),
            fit.margin,
            Rule.NOT_NEGATIVE,
            lambda fit=fit: _too_tight(resolved, fit),  # type: ignore[misc]
        )


def _too_tight(resolved: ResolvedDesign, fit: Fit) -> Finding:
    units, grid = resolved.edition.units, resolved.edition.grid
    short = up_to_grid(-fit.margin, grid)
    inner, outer = resolved.pieces[fit.inner], resolved.pieces[fit.outer]
    match fit.direction:
        case "across":
            measured, extent = "wide", outer.width
        case "upward":
            measured, extent = "high", outer.height
        case "deep":
            measured, extent = "deep", outer.height
        case _:
            assert_never(fit.direction)
    match fit.kind:
        case "in pocket":
            message = (
                f"'{fit.inner}' is {units.text(fit.size)} {measured}, and pocket '{fit.outer}' "
                f"leaves {units.text(fit.room)} between its glued sides"
            )
            remedy = f"The pocket needs {units.text(short)} more: {units.text(extent + short)}."
            position = inner.source.position
        case "between scores":
            message = (
                f"'{fit.inner}' is {units.text(fit.size)} {measured} and lies between two scores "
                f"of '{fit.outer}' that are {units.text(fit.room)} apart"
            )
            remedy = f"Make it {units.text(short)} smaller, so that both folds stay free."
            position = inner.source.position
        case "closing round":
            message = (
                f"closed and in the worst case of cutting, '{fit.outer}' is "
                f"{tenth(-fit.margin)} mm less {measured} inside than what it closes round"
            )
            remedy = f"Make it {units.text(short)} larger there."
            position = outer.source.position
        case _:
            assert_never(fit.kind)
    return found(
        resolved, Severity.ERROR, _CODES[fit.kind], position, message, remedy,
        short=short,
    )  # fmt: skip
