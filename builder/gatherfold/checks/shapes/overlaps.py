"""What is glued over one another without having been laid there: plates over linings, tabs over
tabs, tabs over mats, two like pieces in one place.

In: the work at rest, with nothing closed that opens again.  Out: findings.  Two strips or mats on
one face, and what covers a photograph there, are matters of ``layout``.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import combinations

from gatherfold.checks.report import FindingKind, finding_kind, in_words, quoted
from gatherfold.checks.shapes.laid import in_mm, is_broad, rounded
from gatherfold.findings import Finding
from gatherfold.geometry import Box, Sense
from gatherfold.model import Trait
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.work import Assembly, FaceKey, glued_side, host_side, shape_of, work_of

#: What shares more than this of the smaller one lies wholly on the other.
_WHOLLY = 0.97
#: Leaves that share so much lie in one place.
_SAME_PLACE = 0.9
#: So many hinges of one height on one face stand side by side there.
_SIDE_BY_SIDE = 3


def check_overlaps(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Every two pieces that lie over one another in the work at rest."""
    work = work_of(resolved)
    loose = (each for each in work.assemblies if work.opened.base not in each.plates)
    for assembly in (work.opened, *loose):
        yield from _Rest(resolved, assembly, work.scale).findings()
    yield from _leaves(resolved)
    yield from _wider_together(resolved)


@dataclass(frozen=True, eq=False)
class _Rest:
    """One assembly at rest."""

    resolved: ResolvedDesign
    assembly: Assembly
    scale: int

    def findings(self) -> Iterator[Finding]:
        """What is wrong with any two pieces."""
        told: set[tuple[str, ...]] = set()
        for upper, lower in self.assembly.sides:
            found = self._between(upper, lower)
            if found is None:
                continue
            # One tab under several mats is one mistake.
            one = (
                found.code,
                upper.piece,
                "" if found.code == finding_kind("tab-over-mat").code else lower.piece,
            )
            if one not in told:
                told.add(one)
                yield found

    def _between(self, upper: FaceKey, lower: FaceKey) -> Finding | None:
        """What is wrong with a face that lies over another one, seen from what that lies on."""
        if upper.piece == lower.piece or not self._lies_over(upper, lower):
            return None
        above, below = self._piece(upper), self._piece(lower)
        is_tab = above.source.has(Trait.JOINS) or self._is_glue_tab(upper)
        if is_tab and below.source.has(Trait.SHOWS):
            return self._tab_over(upper, lower)
        if self._are_related(above, below) or not (self._stays(upper) and self._stays(lower)):
            return None
        if above.source.has(Trait.JOINS) and below.source.has(Trait.JOINS):
            return self._tabs(upper, lower)
        if below.source.has(Trait.SHOWS):
            return self._shown(upper, lower)
        return None

    def _tab_over(self, upper: FaceKey, lower: FaceKey) -> Finding | None:
        """A tab that is glued to what should hide it, and is not laid on that."""
        above, below = self._piece(upper), self._piece(lower)
        is_host = self._hosts(below)[:1] == (above.key,) and not self._is_glue_tab(upper)
        is_meant = self._lies_on(above, below.key) or is_host
        is_glued = frozenset((upper, lower)) in self._glued
        if is_meant or not is_glued or self._are_joined(above, below):
            return None
        if not self._is_glue_tab(upper):
            return self._overlap(finding_kind("tab-over-mat"), upper, lower)
        return (
            None
            if self._is_backed(below)
            else self._overlap(finding_kind("tab-over-mat, tab on"), upper, lower)
        )

    def _is_backed(self, piece: ResolvedPiece) -> bool:
        """Whether something lies on the other side of the face that a piece lies on, too: then it
        is no mistake that this one lies inside."""
        placement = piece.source.placement
        assert placement is not None
        return any(
            other.source.placement is not None
            and (other.source.placement.host, other.host_face) == (placement.host, piece.host_face)
            and host_side(other.source.placement.relation) != host_side(placement.relation)
            for other in self.resolved.pieces.values()
        )

    def _tabs(self, upper: FaceKey, lower: FaceKey) -> Finding | None:
        """A tab that runs along a whole edge cannot be cleared at its ends, so only what lies half
        over it counts."""
        faces = [self._piece(face).face(face.face).box for face in (upper, lower)]
        hosts = [self._ground(face) for face in (upper, lower)]
        depth = 2 * self.resolved.tolerance
        for own, host in zip(faces, hosts, strict=True):
            if own.height >= host.height or own.width >= host.width:
                depth = max(depth, min(own.width, own.height) / 2)
        return self._overlap(finding_kind("tabs-overlap"), upper, lower, float(depth))

    def _shown(self, upper: FaceKey, lower: FaceKey) -> Finding | None:
        above, below = self._piece(upper), self._piece(lower)
        if self._is_of_layout(above, below) or not self._lie_together(upper, lower):
            return None
        if self._is_carried(upper, lower):
            return None
        shapes = [shape_of(self.assembly.plates[face]) for face in (upper, lower)]
        shared = shapes[0].intersection(shapes[1]).area
        if shared > _WHOLLY * max(shape.area for shape in shapes):
            return self._overlap(finding_kind("same-place"), upper, lower)
        if shared > _WHOLLY * shapes[0].area:
            return self._overlap(finding_kind("laid-over, within"), upper, lower)
        return self._overlap(finding_kind("laid-over"), upper, lower)

    def _overlap(
        self, kind: FindingKind, upper: FaceKey, lower: FaceKey, least: float = 0.0
    ) -> Finding | None:
        """A finding about two faces, if they share more than a sliver."""
        first, second = (shape_of(self.assembly.plates[face]) for face in (upper, lower))
        shared = in_mm(first.intersection(second), self.scale)
        if not is_broad(shared, max(least, 2 * float(self.resolved.tolerance))):
            return None
        above, below = self._piece(upper), self._piece(lower)
        placement, grid = above.source.placement, self.resolved.edition.grid
        left, bottom, right, top = shared.bounds
        size = rounded(right - left, grid), rounded(top - bottom, grid)
        host, ground = placement.host if placement else "", self._hosts(below)[0]
        names = {"upper": above.key, "lower": below.key, "host": host, "ground": ground}
        return kind.found(self.resolved, above, **names, size=size, least=min(size))

    # ---- what lies how

    def _piece(self, face: FaceKey) -> ResolvedPiece:
        return self.resolved.pieces[face.piece]

    def _lies_over(self, upper: FaceKey, lower: FaceKey) -> bool:
        """Whether a face lies on the side of another one that looks away from what that lies on."""
        piece = self._piece(lower)
        placement = piece.source.placement
        if placement is None or lower.face not in (piece.glued or (piece.by,)):
            return False
        host = FaceKey(placement.host, piece.host_face)
        is_beyond = self.assembly.side_of(host, upper) in (None, self.assembly.side_of(host, lower))
        away: Sense = 1 if glued_side(placement.relation) < 0 else -1
        return is_beyond and self.assembly.side_of(lower, upper) == away

    def _is_glue_tab(self, face: FaceKey) -> bool:
        """Whether a face is a tab along the edge of a wall, or a section that is joined further."""
        piece = self._piece(face)
        if len(piece.faces) == 1:
            return False
        named = {tab.name for tab in piece.source.tabs} | {join.face for join in piece.joins}
        return face.face in named

    def _hosts(self, piece: ResolvedPiece) -> tuple[str, ...]:
        return self.resolved.hosts_of(piece.key)

    def _lies_on(self, piece: ResolvedPiece, host: str) -> bool:
        return host in self._hosts(piece)

    def _ground(self, face: FaceKey) -> Box:
        """The face that a face lies on."""
        piece = self._piece(face)
        placement = piece.source.placement
        assert placement is not None
        return self.resolved.pieces[placement.host].face(piece.host_face).box

    def _are_joined(self, one: ResolvedPiece, two: ResolvedPiece) -> bool:
        """Whether the design joins them."""
        pairs = ((one, two.key), (two, one.key))
        return any(join.host == other for piece, other in pairs for join in piece.joins)

    def _are_related(self, one: ResolvedPiece, two: ResolvedPiece) -> bool:
        """Whether one lies on the other, or is joined to it."""
        is_laid = self._lies_on(one, two.key) or self._lies_on(two, one.key)
        return is_laid or self._are_joined(one, two)

    @cached_property
    def _glued(self) -> frozenset[frozenset[FaceKey]]:
        bonds = (bond for bond in self.assembly.bonds if bond.kind == "glue")
        return frozenset(frozenset(bond.faces) for bond in bonds)

    def _lie_together(self, upper: FaceKey, lower: FaceKey) -> bool:
        """Whether nothing folds or slides between two faces: both lie, by way of what is glued or
        turns on a brad, on one face of a piece."""
        grounds = [list(self._grounds(face)) for face in (upper, lower)]
        shared = next((each for each in grounds[0] if each in grounds[1]), None)
        pieces = [{face.piece: face for face in each} for each in grounds]
        met = next((key for key in pieces[0] if key in pieces[1]), None)
        return shared is not None and shared.piece == met

    def _grounds(self, face: FaceKey) -> Iterator[FaceKey]:
        """What a face lies on, what that lies on, and so on, as far as nothing folds or slides."""
        piece = self._piece(face)
        placement = piece.source.placement
        while placement is not None and self._stays(face):
            face = FaceKey(placement.host, piece.host_face)
            yield face
            piece = self._piece(face)
            placement = piece.source.placement

    def _is_carried(self, upper: FaceKey, lower: FaceKey) -> bool:
        """Whether the same is to be said of what one of them lies on, and so not of it."""
        for face, other in ((upper, lower), (lower, upper)):
            piece = self._piece(face)
            placement = piece.source.placement
            assert placement is not None
            host = FaceKey(placement.host, piece.host_face)
            is_told = self.resolved.pieces[host.piece].source.has(Trait.SHOWS)
            is_new = not self._lies_on(self._piece(other), host.piece) and host.piece != other.piece
            if is_told and is_new and self.assembly.side_of(host, other) is not None:
                sides = self.assembly.side_of(host, other), self.assembly.side_of(face, other)
                if face == upper or sides[0] == sides[1]:
                    return True
        return False

    def _stays(self, face: FaceKey) -> bool:
        """Whether a face is fixed where it lies: glued, or turning on a brad."""
        piece = self._piece(face)
        return piece.key in self._turning or face.face in piece.glued

    def _is_of_layout(self, above: ResolvedPiece, below: ResolvedPiece) -> bool:
        """Whether another check measures how far the two lie over one another."""
        first, second = above.source.placement, below.source.placement
        if first is None or second is None or first.host != second.host:
            return False
        if above.host_face != below.host_face or first.relation != second.relation:
            return False
        hides = above.source.has(Trait.HIDES) and below.source.has(Trait.CARRIES_PHOTOGRAPH)
        both = (above, below)
        return hides or all(piece.source.has(Trait.SIDE_BY_SIDE) for piece in both)

    @cached_property
    def _turning(self) -> frozenset[str]:
        """The parts that turn on a brad."""
        fastenings = (each.source for each in self.resolved.fastenings.values())
        return frozenset(each.through[0] for each in fastenings if each.pivot and each.through)


def _leaves(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Two like leaves on the two sides of one tab, one of which belongs on another tab."""
    opened, found = work_of(resolved).opened, dict[FaceKey, list[ResolvedPiece]]()
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if (
            placement is None
            or not piece.glued
            or FaceKey(piece.key, piece.by) not in opened.plates
        ):
            continue
        if resolved.pieces[placement.host].source.has(Trait.JOINS):
            found.setdefault(FaceKey(placement.host, piece.host_face), []).append(piece)
    for tab, leaves in found.items():
        for one, two in combinations(leaves, 2):
            if _are_alike(one, two) and _in_one_place(opened, one, two):
                yield finding_kind("same-place, leaves").found(
                    resolved, two, upper=two.key, lower=one.key, host=str(tab)
                )


def _are_alike(one: ResolvedPiece, two: ResolvedPiece) -> bool:
    is_same = one.source.kind == two.source.kind and one.stock.key == two.stock.key
    return is_same and {one.width, one.height} == {two.width, two.height}


def _in_one_place(assembly: Assembly, one: ResolvedPiece, two: ResolvedPiece) -> bool:
    """Whether two pieces lie over one another with nearly all of them."""
    plates = [assembly.plates[FaceKey(piece.key, piece.by)] for piece in (one, two)]
    if not plates[0].shares_plane(plates[1]):
        return False
    first, second = map(shape_of, plates)
    return bool(first.intersection(second).area > _SAME_PLACE * max(first.area, second.area))


def _wider_together(resolved: ResolvedDesign) -> Iterator[Finding]:
    """Hinges side by side on one spine that together are wider than that."""
    on_spine: dict[FaceKey, list[ResolvedPiece]] = {}
    for piece in resolved.pieces.values():
        placement = piece.source.placement
        if (
            placement is not None
            and piece.offsets
            and piece.glued
            and piece.source.has(Trait.JOINS)
        ):
            on_spine.setdefault(FaceKey(placement.host, piece.host_face), []).append(piece)
    for spine, hinges in on_spine.items():
        box = resolved.pieces[spine.piece].face(spine.face).box
        widths = [each.face(each.by).box.width for each in hinges]
        heights = {each.face(each.by).box.height for each in hinges}
        together = sum(widths, Fraction(0))
        if len(hinges) >= _SIDE_BY_SIDE and len(heights) == 1 and together > box.width:
            yield finding_kind("wider-together").found(
                resolved,
                resolved.pieces[spine.piece],
                listed=quoted(each.key for each in hinges),
                face=in_words(spine.face),
                together=together,
                width=box.width,
            )
