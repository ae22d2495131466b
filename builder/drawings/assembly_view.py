"""What an assembly drawing shows: pieces in drawing order, the side seen, and the part shown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from builder.choices import faces_away
from builder.drawings.placed_view import LaidPiece
from builder.drawings.plane import Mapping as PaperMapping
from builder.drawings.plane import Place, Rect, around, bounding, fitted
from builder.geometry.edges import (
    AXES,
    EDGES_BY_AXIS,
    EdgeName,
    edge_towards,
    ends_across,
    mirrored,
    opposite,
    outward,
)
from builder.resolve.resolved import ResolvedPiece

_CROP_MARGIN = 0.18


@dataclass(frozen=True)
class Work:
    """Everything laid so far and now, in drawing order for the side it is seen from: flat, or, what
    is there before, closed."""

    pieces: Mapping[str, ResolvedPiece]
    stack: tuple[LaidPiece, ...]
    new: tuple[str, ...]
    from_front: bool
    is_closed: bool = False

    @property
    def whole(self) -> Rect:
        return around(item.extent for item in self.stack)

    def laid(self, key: str) -> LaidPiece:
        return next(item for item in self.stack if item.piece.key == key)

    def host_of(self, key: str) -> LaidPiece | None:
        """The laid piece that this one lies on, if it is there."""
        face = self.pieces[key].host_face
        return next((item for item in self.hosts_of(key) if item.has_face(face)), None)

    def hosts_of(self, key: str) -> tuple[LaidPiece, ...]:
        """The piece that this one lies on, or, of the closed work, each face of it that shows."""
        placement = self.pieces[key].source.placement
        host = None if placement is None else placement.host
        return tuple(item for item in self.stack if item.piece.key == host)


@dataclass(frozen=True)
class View:
    """A work with the mapping to paper of the part shown; ``labelled`` are the new pieces that
    this view speaks of, ``window`` is its part of the paper."""

    work: Work
    labelled: frozenset[str]
    mapping: PaperMapping
    window: Rect

    @property
    def stack(self) -> tuple[LaidPiece, ...]:
        return self.work.stack

    @property
    def new(self) -> tuple[str, ...]:
        """The labelled pieces, in the order in which they are laid."""
        return tuple(key for key in self.work.new if key in self.labelled)

    def is_new(self, laid: LaidPiece) -> bool:
        return laid.piece.key in self.labelled

    def rings(self, laid: LaidPiece) -> tuple[tuple[Place, ...], ...]:
        outer, *openings = (self.mapping.ring(ring) for ring in laid.rings)
        return outer, *(_legible(ring) for ring in openings)

    def rect(self, laid: LaidPiece) -> Rect:
        return self.mapping.rect(laid.extent)


#: A hole smaller than this on paper, in mm, would look like a leader's dot.
_SMALLEST_HOLE = 1.8


def _legible(ring: Sequence[Place]) -> tuple[Place, ...]:
    """An opening, drawn larger than it is where it would be taken for a dot."""
    box = bounding(ring)
    extent = max(box.width, box.height)
    if extent >= _SMALLEST_HOLE:
        return tuple(ring)
    (x0, y0), share = box.centre, _SMALLEST_HOLE / extent
    return tuple((x0 + share * (x - x0), y0 + share * (y - y0)) for x, y in ring)


def groups_of(work: Work) -> tuple[tuple[str, ...], ...]:
    """New pieces that belong together: those that lie, one on the other, on one present piece."""
    groups: dict[str, list[str]] = {}
    for key in work.new:
        base = key
        while (host := work.host_of(base)) is not None and base in work.new:
            base = host.piece.key
        groups.setdefault(base, []).append(key)
    return tuple(tuple(group) for group in groups.values())


def edge_in_model(work: Work, key: str, edge: EdgeName) -> EdgeName:
    """Which side in the flat work the ``edge`` is that a piece's offset runs from.

    Offsets read in the host's own frame, as seen from its back for a piece ``on_back`` of it.
    """
    host, placement = work.host_of(key), work.pieces[key].source.placement
    assert host is not None and placement is not None
    dx, dy = outward(edge)
    if faces_away(placement.relation):
        dx = -dx
    (a, b, _), (c, d, _), _ = host.pose.rotation
    return edge_towards(a * dx + b * dy, c * dx + d * dy)


def edge_on_paper(view: View, key: str, edge: EdgeName) -> EdgeName:
    """The same side as it is seen on paper."""
    side = edge_in_model(view.work, key, edge)
    return mirrored(side) if view.mapping.mirrored else side


def dimensioned_edges(work: Work, key: str) -> tuple[tuple[EdgeName, ...], ...]:
    """The edges to measure a piece's place from; each group holds edges that do equally well.

    An even reveal needs one of four, centring one of two, a flush edge none, nor does the edge
    across from a flush one.
    """
    piece = work.pieces[key]
    offsets, placement = piece.offsets, piece.source.placement
    if offsets is None or placement is None:
        return ()
    if offsets.is_even and offsets.left > 0:
        return (("top", "bottom", "left", "right"),)
    groups: list[tuple[EdgeName, ...]] = []
    for edge, other in (ends_across(axis) for axis in AXES):
        near, far = offsets.at(edge), offsets.at(other)
        if near == 0 or far == 0 or (near < 0 and far < 0):
            continue
        if min(near, far) < 0 and piece.glue.edges:
            # The depth of the glued strip says it.
            continue
        if near == far:
            groups.append((edge, other))
        else:
            groups.append((measured_edge(piece, edge),))
    return tuple(groups)


def measured_edge(piece: ResolvedPiece, edge: EdgeName) -> EdgeName:
    """Which of two edges across from each other a laid piece is measured from: the one the design
    measures from, but none that the piece reaches beyond if the other will do."""
    placement = piece.source.placement
    given = placement.distances if placement is not None else {}
    assert piece.offsets is not None
    other = opposite(edge)
    near, far = piece.offsets.at(edge), piece.offsets.at(other)
    if near < 0 or (other in given and edge not in given):
        return other if far > 0 else edge
    return edge


def focus_of(work: Work, keys: Sequence[str]) -> Rect:
    """The part of the work to show: these pieces, the host edges they are measured from and
    something round them; or everything, when that is nearly all of it."""
    needed = around(rect for key in keys for rect in _needed(work, key))
    margin = _CROP_MARGIN * max(needed.width, needed.height)
    whole = work.whole
    focus = needed.grown(margin).common(whole.grown(0.01))
    if focus is None or focus.width * focus.height > 0.7 * whole.width * whole.height:
        return whole
    return focus


def _needed(work: Work, key: str) -> list[Rect]:
    laid = work.laid(key)
    host = work.host_of(key)
    rects = [laid.extent]
    if host is None:
        return rects
    base, own = host.face_rect(laid.piece.host_face), laid.face_rect(laid.piece.by)
    sides = {edge_in_model(work, key, e) for group in dimensioned_edges(work, key) for e in group}
    left, right, bottom, top = (
        (base if edge in sides else own).edge(edge) for edge in EDGES_BY_AXIS
    )
    rects.append(Rect(left, bottom, right, top))
    return rects


def view_of(work: Work, keys: Sequence[str], room: Rect) -> View:
    """The part of the work round some new pieces, as large as it fits in ``room``; as much of
    their hosts as there is still room for is shown too."""
    focus = _with_hosts(work, keys, focus_of(work, keys), room)
    mapping = fitted(focus, room, 1.0, mirrored=not work.from_front)
    return View(work, frozenset(keys), mapping, mapping.rect(focus))


def _with_hosts(work: Work, keys: Sequence[str], focus: Rect, room: Rect) -> Rect:
    """The focus widened to the whole hosts, on each axis where that costs no scale."""
    scale = min(room.width / focus.width, room.height / focus.height, 1.0)
    hosts = [host.extent for key in keys if (host := work.host_of(key)) is not None]
    margin = _CROP_MARGIN * max(focus.width, focus.height) / 2
    wanted = around([focus, *hosts]).grown(margin).common(work.whole.grown(0.01)) or focus
    left, right, bottom, top = focus.left, focus.right, focus.bottom, focus.top
    if wanted.width * scale <= room.width:
        left, right = min(left, wanted.left), max(right, wanted.right)
    if wanted.height * scale <= room.height:
        bottom, top = min(bottom, wanted.bottom), max(top, wanted.top)
    return Rect(left, bottom, right, top)
