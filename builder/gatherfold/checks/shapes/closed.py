"""The closed work from outside: nothing stands out of its body, and its band covers nothing.

In: a resolved design, its steps played.  Out: findings.  The body is what the work begins with, and
what covers all of that, as a lid does.  What must stay within panels that are its covers is a
condition of ``layout``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from gatherfold.checks.report import FindingKind, finding_kind
from gatherfold.findings import Finding
from gatherfold.geometry import Box, around, ends_across, holds, room_within
from gatherfold.lengths import up_to_grid
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedFastening
from gatherfold.work import (
    Assembly,
    FaceKey,
    Look,
    Plate,
    glued_side,
    is_nearer,
    look_at,
    lying,
    nearer_at,
    seen_box,
    shape_of,
    work_of,
    wraps,
)

_UPRIGHT = 2
#: Of a plate or a label so much may lie under a band before it is worth a word.
_COVERED = 0.1
#: What is as large as this share of the body is no plate on it.
_SMALL = 0.5


def check_closed(resolved: ResolvedDesign) -> Iterator[Finding]:
    """The closed work, as it lies on the table."""
    work = work_of(resolved)
    closed = lying(work.closed)
    round_it = dict(wraps(work))
    if closed.base.piece in resolved.pieces:
        yield from _Closed(resolved, closed, work.scale, round_it).findings()


@dataclass(frozen=True, eq=False)
class _Closed:
    """The closed work, and what goes round it without glue, with what that was laid on."""

    resolved: ResolvedDesign
    assembly: Assembly
    scale: int
    round_it: dict[str, frozenset[str]]

    def findings(self) -> Iterator[Finding]:
        """What stands out, and what the bands lie over."""
        yield from self._standing_out()
        for band in self._bands:
            yield from self._beyond_edge(band)
            yield from self._over_plates(band)
            yield from self._over_ties(band)
            yield from self._inside(band)

    @property
    def _bands(self) -> list[str]:
        """What seals the work from outside; a lid goes round it, too, and covers what is inside."""
        pieces = self.resolved.pieces
        return [key for key in self.round_it if pieces[key].source.has(Trait.GOES_ROUND)]

    # ---- the body

    @cached_property
    def _boxes(self) -> dict[str, Box]:
        """Where each piece lies flat, without what goes round all."""
        found: dict[str, list[Box]] = {}
        for key, plate in self.assembly.plates.items():
            if plate.axis == _UPRIGHT and not self._goes_round(key.piece):
                found.setdefault(key.piece, []).append(seen_box(plate, self.scale))
        return {key: around(boxes) for key, boxes in found.items()}

    def _goes_round(self, piece: str) -> bool:
        return not self.round_it.keys().isdisjoint((piece, *self.resolved.hosts_of(piece)))

    @cached_property
    def _root(self) -> str:
        """What the work begins with: what the base lies on at last."""
        base = self.assembly.base.piece
        return (base, *self.resolved.hosts_of(base))[-1]

    @cached_property
    def _body(self) -> Box | None:
        """What the work begins with, and what covers all of that."""
        root = self._boxes.get(self._root)
        if root is None:
            return None
        return around([root, *(box for key, box in self._boxes.items() if holds(box, root))])

    # ---- findings

    def _standing_out(self) -> Iterator[Finding]:
        body, pieces = self._body, self.resolved.pieces
        if body is None:
            return
        is_covered = pieces[self._root].source.has(Trait.COVERS)
        told: set[str] = set()
        for key, box in self._boxes.items():
            hosts = self.resolved.hosts_of(key)
            is_known = is_covered and pieces[key].source.has(Trait.WITHIN_COVERS)
            beyond = -min(room_within(box, body).values())
            if beyond > self._least and not is_known and told.isdisjoint(hosts):
                told.add(key)
                yield self._found(finding_kind("sticks-out, sticks out"), key, beyond)

    @property
    def _least(self) -> Fraction:
        """Two hand-cut edges may lie so far from where they should."""
        return 2 * self.resolved.tolerance

    def _found(self, kind: FindingKind, key: str, beyond: Fraction) -> Finding:
        wanted = up_to_grid(beyond, self.resolved.edition.grid)
        piece = self.resolved.pieces[key]
        return kind.found(self.resolved, piece, body=self._root, beyond=beyond, wanted=wanted)

    def _beyond_edge(self, band: str) -> Iterator[Finding]:
        """A band along the edges that it does not go round."""
        plates = [plate for key, plate in self.assembly.plates.items() if key.piece == band]
        standing = {plate.axis for plate in plates} - {_UPRIGHT}
        flat = [seen_box(plate, self.scale) for plate in plates if plate.axis == _UPRIGHT]
        if self._body is None or len(standing) != 1 or not flat:
            return
        room = room_within(around(flat), self._body)
        free = ends_across("horizontal" if standing == {0} else "vertical")
        beyond = -min(room[edge] for edge in free)
        if beyond > self._least:
            yield self._found(finding_kind("sticks-out, band over edge"), band, beyond)

    def _over_plates(self, band: str) -> Iterator[Finding]:
        """A plate or a label on the outside that a band lies over."""
        own = [
            plate
            for key, plate in self.assembly.plates.items()
            if band in (key.piece, *self.resolved.hosts_of(key.piece)) and plate.axis == _UPRIGHT
        ]
        for key in self._labels:
            shape = shape_of(self.assembly.plates[key])
            least = _COVERED * shape.area
            over = [each for each in own if shape_of(each).intersection(shape).area > least]
            for look in (Look(_UPRIGHT, 1), Look(_UPRIGHT, -1)) if over else ():
                is_over = any(is_nearer(self.assembly, key, each.key, look) for each in over)
                if is_over and self._shows(key, look):
                    piece = self.resolved.pieces[band]
                    yield finding_kind("band-over-plate").found(
                        self.resolved, piece, plate=key.piece
                    )

    @cached_property
    def _labels(self) -> tuple[FaceKey, ...]:
        """Plates and labels that lie flat."""
        flat = (key for key, plate in self.assembly.plates.items() if plate.axis == _UPRIGHT)
        return tuple(filter(self._is_label, flat))

    def _shows(self, key: FaceKey, look: Look) -> bool:
        """Whether a label shows on the outside, from there."""
        nearer = nearer_at(self.assembly, look, key, _middle(self.assembly.plates[key]))
        return not any(map(self._covers, nearer))

    def _covers(self, face: FaceKey) -> bool:
        """Whether something lies over a plate for good, and is not of a band or of the plate."""
        return not self._goes_round(face.piece) and not self._is_label(face)

    def _is_label(self, face: FaceKey) -> bool:
        """Whether a face is a plate or a label, or on one, and no part of what goes round."""
        piece, body = self.resolved.pieces[face.piece], self._body
        chain = [piece, *(self.resolved.pieces[key] for key in self.resolved.hosts_of(face.piece))]
        if body is None or self._goes_round(face.piece):
            return False
        return any(
            each.glued
            and (each.source.has(Trait.HIDES) or each.source.has(Trait.SEALS_EDGE))
            and each.width * each.height < _SMALL * body.area
            for each in chain
        )

    def _over_ties(self, band: str) -> Iterator[Finding]:
        """A ribbon that is held by brads at the height of a band."""
        flat = [
            seen_box(plate, self.scale)
            for key, plate in self.assembly.plates.items()
            if key.piece == band and plate.axis == _UPRIGHT
        ]
        if not flat:
            return
        box = around(flat)
        for fastening in self.resolved.fastenings.values():
            tie = self.resolved.fastenings.get(fastening.source.holds or "")
            if tie is None or tie.source.stock is None:
                continue
            half = self.resolved.stocks[tie.source.stock].ribbon_width / 2
            height = self._height_of(fastening)
            if height is not None and box.bottom - half < height < box.top + half:
                piece = self.resolved.pieces[band]
                yield finding_kind("band-over-tie").found(self.resolved, piece, tie=tie.key)
                return

    def _inside(self, band: str) -> Iterator[Finding]:
        """What is glued on the side of a band that lies against the work."""
        for key, plate in self.assembly.plates.items():
            piece = self.resolved.pieces[key.piece]
            placement = piece.source.placement
            is_on_band = band in self.resolved.hosts_of(key.piece) and piece.glued
            if placement is None or not is_on_band or piece.source.has(Trait.GOES_ROUND):
                continue
            look = look_at(self.assembly, key, 1 if glued_side(placement.relation) < 0 else -1)
            nearer = nearer_at(self.assembly, look, key, _middle(plate))
            other = next((face.piece for face in nearer if not self._goes_round(face.piece)), None)
            if other is not None:
                yield finding_kind("label-inside-band").found(
                    self.resolved, piece, band=band, other=other
                )

    def _height_of(self, fastening: ResolvedFastening) -> Fraction | None:
        """How high on the closed work a fastening is."""
        for key, plate in self.assembly.plates.items():
            point = fastening.marks.get(key.piece)
            if point is not None and plate.axis == _UPRIGHT:
                return Fraction(plate.place_of(point, self.scale)[1]) / self.scale
        return None


def _middle(plate: Plate) -> tuple[Fraction, Fraction]:
    box = plate.bounds
    return Fraction(box.left + box.right) / 2, Fraction(box.bottom + box.top) / 2
