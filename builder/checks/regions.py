"""Where the print says that a piece lies: pictures and regions on the sheet, regions large enough.

In: a resolved design.  Out: conditions for pieces in regions, findings for places in a margin.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from fractions import Fraction
from typing import assert_never

from builder.checks.condition import Condition, Rule
from builder.checks.report import found
from builder.choices import PrintedPlace, SideName, is_front
from builder.findings import Finding, Severity
from builder.geometry.edges import EdgeName
from builder.geometry.outline import Box
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece, ResolvedStock
from builder.sheet_places import Size, print_of, region_box


def region_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """A region holds each piece that is cut from it, laid as its print allows."""
    for piece in resolved.pieces.values():
        box = region_box(piece)
        if box is not None:
            yield Condition(
                ("larger-than-region", piece.key),
                _room(piece, box),
                Rule.NOT_NEGATIVE,
                lambda piece=piece, box=box: _too_large(resolved, piece, box),  # type: ignore[misc]
            )


def laid_sizes(piece: ResolvedPiece) -> list[Size]:
    """The sizes that a piece may have as it lies on its sheet."""
    upright, turned = (piece.width, piece.height), (piece.height, piece.width)
    match print_of(piece):
        case "upright":
            return [upright]
        case "sideways":
            return [turned]
        case "any":
            return [upright, turned]
        case other:
            assert_never(other)


def _room(piece: ResolvedPiece, box: Box) -> Fraction:
    """What the region leaves beside the piece, the better way round."""
    return max(min(box.width - width, box.height - height) for width, height in laid_sizes(piece))


def _too_large(resolved: ResolvedDesign, piece: ResolvedPiece, box: Box) -> Finding:
    units = resolved.edition.units
    return found(
        resolved,
        Severity.ERROR,
        "larger-than-region",
        piece.source.position,
        f"'{piece.key}' is {units.size_text(piece.width, piece.height)}, and the region "
        f"'{piece.source.region}' of '{piece.stock.key}' is "
        f"{units.size_text(box.width, box.height)}",
        "Make the piece smaller, or the region larger if the print allows it.",
        width=piece.width,
        height=piece.height,
        region_width=box.width,
        region_height=box.height,
    )


def check_places_in_margin(resolved: ResolvedDesign, stock: ResolvedStock) -> Iterator[Finding]:
    """Nothing printed lies where the design says that there is no print."""
    printed: dict[PrintedPlace, Mapping[tuple[SideName, str], Box]]
    printed = {"motif": stock.motifs, "region": stock.regions}
    for what, places in printed.items():
        for (side, name), box in places.items():
            yield from _in_margin(resolved, stock, what, side, name, box)


def _in_margin(
    resolved: ResolvedDesign,
    stock: ResolvedStock,
    what: PrintedPlace,
    side: SideName,
    name: str,
    box: Box,
) -> Iterator[Finding]:
    left, right, bottom, top = stock.sheets[0].margins
    near, far = (left, right) if is_front(side) else (right, left)
    over: dict[EdgeName, Fraction] = {
        "left": near - box.left,
        "right": box.right - (stock.sheet_width - far),
        "bottom": bottom - box.bottom,
        "top": box.top - (stock.sheet_height - top),
    }
    edge = max(over, key=lambda edge: over[edge])
    if over[edge] <= 0:
        return
    source = stock.source.side(side)
    place = source.printed(what)[name]
    by = resolved.edition.units.text(over[edge])
    yield found(
        resolved,
        Severity.ERROR,
        f"{what}-in-margin",
        place.position,
        f"{what} '{name}' on the {side} of '{stock.key}' lies {by} in the {edge} margin, "
        "where nothing is printed, or beyond the sheet",
        f"Measure it again: it must lie {by} further from that edge, or the margin must "
        "be so much narrower.",
        over=over[edge],
    )
