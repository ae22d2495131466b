"""Where the print says that a piece lies: pictures and regions on the sheet, regions large enough.

In: a resolved design.  Out: conditions for pieces in regions, findings for places in a margin.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from functools import partial
from operator import itemgetter

from gatherfold.checks.report import Condition, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Box, room_within
from gatherfold.model import PrintDirection, PrintedPlace, SideName, is_front
from gatherfold.plans import CutOut, Size, print_of, region_box
from gatherfold.resolve import ResolvedDesign, ResolvedStock


def region_conditions(resolved: ResolvedDesign) -> Iterator[Condition]:
    """A region holds each piece that is cut from it, laid as its print allows."""
    for piece in resolved.pieces.values():
        box = region_box(piece)
        if box is not None:
            room = (box.width, box.height)
            too_large = partial(
                finding_kind("larger-than-region").found,
                resolved,
                piece,
                size=(piece.width, piece.height),
                region=str(piece.source.region),
                stock=piece.stock.key,
                room=room,
            )
            key = ("larger-than-region", piece.key)
            yield Condition(key, room_beside(piece, [room]), too_large)


def room_beside(piece: CutOut, rooms: Iterable[Size]) -> Fraction:
    """What the best of some rooms leaves beside a piece as its print may lie, the better way round;
    below zero: none is large enough."""
    upright, turned = (piece.width, piece.height), (piece.height, piece.width)
    laid: dict[PrintDirection, list[Size]]
    laid = {"upright": [upright], "sideways": [turned], "any": [upright, turned]}
    sizes = laid[print_of(piece)]
    return max(min(room[0] - width, room[1] - height) for room in rooms for width, height in sizes)


def check_places_in_margin(resolved: ResolvedDesign, stock: ResolvedStock) -> Iterator[Finding]:
    """Nothing printed lies where the design says that there is no print."""
    printed: dict[PrintedPlace, Mapping[tuple[SideName, str], Box]]
    printed = {"motif": stock.motifs, "region": stock.regions}
    for what, places in printed.items():
        for (side, name), box in places.items():
            left, right, bottom, top = stock.sheets[0].margins
            near, far = (left, right) if is_front(side) else (right, left)
            offered = Box(near, bottom, stock.sheet_width - far, stock.sheet_height - top)
            edge, room = min(room_within(box, offered).items(), key=itemgetter(1))
            if room < 0:
                yield replace(finding_kind("in-margin"), code=f"{what}-in-margin").found(
                    resolved,
                    stock.source.side(side).printed(what)[name].position,
                    what=what,
                    name=name,
                    side=side,
                    stock=stock.key,
                    edge=edge,
                    over=-room,
                )
