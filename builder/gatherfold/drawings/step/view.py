"""What a picture of something placed shows: a moment of the work seen flat-on, and which part.

In: a resolved design and what is placed at one time.  Out: the work as it is then, alone, seen from
the side of the place of work: what nothing covers of its pieces, and where glue goes.  What stands
between the viewer and that place is left out; what is slid in or lowered is shown on its way.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property, lru_cache

from shapely import box
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.plane import Place, Rect, ToPaper, around, bounding, fitted
from gatherfold.drawings.kernel.wording import words_of
from gatherfold.drawings.step.stages import GluedStage, PlacedStage
from gatherfold.drawings.views.cropping import AROUND, focused, scale_within, widened
from gatherfold.drawings.views.seen_pieces import (
    EdgeOn,
    SeenPiece,
    is_from_front,
    seen,
    turned_to_viewer,
    with_faces,
)
from gatherfold.geometry import (
    AXES,
    EDGES_BY_AXIS,
    EdgeName,
    crosses,
    edge_towards,
    ends_across,
    mirrored,
    opposite,
)
from gatherfold.lengths import UnitSystem
from gatherfold.model import faces_away
from gatherfold.resolve import ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording
from gatherfold.work import (
    Assembly,
    FaceKey,
    GlueArea,
    Look,
    Way,
    glue_areas,
    is_nearer,
    open_folds,
    reached,
    shifted_by,
    work_of,
)

#: So many works are remembered: those of all stages of a design, each drawn in several rooms.
_REMEMBERED = 128
#: And so many views: those of one stage in one room.
_LAST_VIEWS = 32
_SIDE_ROOM, _TOP_ROOM, _BOTTOM_ROOM = 14.0, 7.0, 11.0
#: How far something is still out that is slid in, as a share of its whole way.
_OUT = Fraction(5, 8)
#: Of several faces that a piece is glued to those are named that take more of it than this.
_LARGE_SHARE = 0.25


#: Edges this near to one another are flush, in mm of the work.
_LEVEL = 0.01


@dataclass(frozen=True, eq=False)
class PicturedWork:
    """One moment of the work, the farthest first: all that has been joined, and what is new.

    ``came`` is what comes with each new piece: it and all that is on it already; ``look`` is how
    it is looked at as it lies; ``way`` is how far they still have to go, in mm across the picture;
    ``over`` are the faces that lie over what is slid in; ``sections`` those that are glued as they
    close, of the new pieces, and ``folded`` those that the step has closed before.  ``assembly`` is
    what is drawn, seen along its third axis.
    """

    resolved: ResolvedDesign
    assembly: Assembly
    stack: tuple[SeenPiece, ...]
    edges: tuple[EdgeOn, ...]
    new: tuple[str, ...]
    came: Mapping[str, frozenset[str]]
    look: Look
    glue: tuple[GlueArea, ...]
    scale: int
    is_closed: bool = False
    put: Way = Way.LAID
    way: tuple[float, float] = (0.0, 0.0)
    over: frozenset[FaceKey] = frozenset()
    sections: tuple[FaceKey, ...] = ()
    folded: tuple[FaceKey, ...] = ()

    @property
    def pieces(self) -> Mapping[str, ResolvedPiece]:
        """All pieces of the design, with the holes that they have by then."""
        return self.resolved.pieces

    @property
    def wording(self) -> Wording:
        """The catalogue of the edition."""
        return words_of(self.resolved)

    @property
    def units(self) -> UnitSystem:
        """The units of the edition."""
        return self.resolved.edition.units

    @property
    def whole(self) -> Rect:
        runs = (bounding(edge.run) for edge in self.edges)
        return around([*(item.extent for item in self.stack), *runs])

    @property
    def from_front(self) -> bool:
        """Whether it is seen from the positive end of the third axis."""
        return is_from_front(self.look)

    @property
    def is_front_up(self) -> bool:
        """Whether the front of the closed work is up: what stands on edge lies down with its left
        side up, or else with its top."""
        return (self.look.towards > 0) == (self.look.axis != 0)

    @cached_property
    def nearest(self) -> SeenPiece | None:
        """What the viewer has before them where that is neither the front of the work nor its back:
        what stands there, or what something is slid under that faces them with its other side."""
        if self.look.axis != 2:
            seen_here = [item for item in self.stack if item.shown.area > 0]
            glued = {area.face for area in self.glue}
            there = [i for i in seen_here if i.piece.key not in self.new] or [
                i for i in seen_here if glued.isdisjoint(i.keys)
            ]
            return max(there or seen_here, key=lambda i: i.outline.area, default=None)
        for cover in self.hosts_of(self.new[0]) if self.over else ():
            host = self.with_face(FaceKey(cover.piece.key, self.pieces[self.new[0]].host_face))
            if host is not None and host.faces_front != cover.faces_front:
                return cover
        return None

    def parts(self, key: str) -> list[SeenPiece]:
        """All parts of a piece that lie flat."""
        return [item for item in self.stack if item.piece.key == key]

    def with_face(self, key: FaceKey) -> SeenPiece | None:
        """The part that a face belongs to, where that lies flat."""
        return next((item for item in self.stack if key in item.keys), None)

    def laid(self, key: str) -> SeenPiece:
        """The part of a piece that it is put by, or else the nearest of it."""
        return self.with_face(FaceKey(key, self.pieces[key].by)) or self.parts(key)[-1]

    def host_of(self, key: str) -> SeenPiece | None:
        """What this one is laid on, where that shows flat and the piece lies there."""
        placement = self.pieces[key].source.placement
        if placement is None or self.way != (0.0, 0.0):
            return None
        if self.with_face(FaceKey(key, self.pieces[key].by)) is None:
            return None
        return self.with_face(FaceKey(placement.host, self.pieces[key].host_face))

    def hosts_of(self, key: str) -> tuple[SeenPiece, ...]:
        """What a piece is named as laid on: its host, on each face that it is glued to, or what it
        is slid under."""
        placement = self.pieces[key].source.placement
        host = "" if placement is None else placement.host
        own = self.parts(host)
        if self.over:
            found = [item for item in self.stack if not self.over.isdisjoint(item.keys)]
            return tuple([item for item in found if item in own][-1:] or found[-1:])
        meant = FaceKey(host, self.pieces[key].host_face)
        shares = {face: share for area in self.glue_of(key) for face, share in area.shares.items()}
        large = {face for face, share in shares.items() if share > _LARGE_SHARE}
        if large and not shares.get(meant):
            # Something lies between the piece and its host: it is glued to that.
            there = [item for item in self.stack if not large.isdisjoint(item.keys)]
        else:
            there = [item for item in own if not {meant, *large}.isdisjoint(item.keys)]
        return tuple(there or own[-1:])

    def seen_of(self, key: str) -> list[SeenPiece]:
        """What shows of a new piece, or, where it is hidden, of what comes with it."""
        shown = [item for item in self.stack if not item.shown.is_empty]
        own = [item for item in shown if item.piece.key == key]
        return own or [item for item in shown if item.piece.key in self.came[key]]

    def flush_host(self, key: str, edges: Sequence[EdgeName]) -> SeenPiece:
        """What the edges of a piece are said to be flush with: what it is glued to, where that
        reaches as far as its host."""
        host = self.host_of(key)
        assert host is not None
        base = host.face_rect(self.pieces[key].host_face)
        sides = [edge_in_model(self, key, edge) for edge in edges]
        for item in self.hosts_of(key):
            if all(abs(item.extent.edge(s) - base.edge(s)) < _LEVEL for s in sides):
                return item
        return host

    def mouth(self, key: str) -> EdgeName:
        """Over which edge of its host a piece is slid in, as the host has its edges."""
        placement = self.pieces[key].source.placement
        mouth = edge_towards(*(-(part > 0) + (part < 0) for part in self.way))
        for host in self.parts(placement.host) if placement is not None else ():
            return next(edge for edge in EDGES_BY_AXIS if host.side(edge) == mouth)
        return mouth

    def glue_of(self, key: str) -> tuple[GlueArea, ...]:
        """Where what comes with a piece is glued: on its own faces, or on what is on it."""
        return tuple(area for area in self.glue if area.adhesive.face.piece == key) or tuple(
            area for area in self.glue if self.new == (key,)
        )


@lru_cache(maxsize=_REMEMBERED)
def work_at(resolved: ResolvedDesign, stage: PlacedStage | GluedStage) -> PicturedWork:
    """The work of a stage as it is drawn."""
    return _placed(resolved, stage) if isinstance(stage, PlacedStage) else _glued(resolved, stage)


def _glued(resolved: ResolvedDesign, stage: GluedStage) -> PicturedWork:
    """The work when sections are glued: new is what they are sections of."""
    flat = turned_to_viewer(stage.before, stage.look, stage.sections[0])
    rest = frozenset(key for key in stage.before.plates if key.piece not in stage.came_by)
    return replace(
        _work(resolved, stage, flat, stage.areas),
        is_closed=_is_closed(with_faces(stage.before, rest)),
        sections=stage.sections,
        folded=stage.folded,
    )


def _work(
    resolved: ResolvedDesign,
    stage: PlacedStage | GluedStage,
    flat: Assembly,
    glue: tuple[GlueArea, ...],
) -> PicturedWork:
    scale, new = work_of(resolved).scale, tuple(stage.came_by)
    stack, edges = seen(resolved.pieces, flat, scale, is_from_front(stage.look))
    return PicturedWork(resolved, flat, stack, edges, new, stage.came_by, stage.look, glue, scale)


def _placed(resolved: ResolvedDesign, stage: PlacedStage) -> PicturedWork:
    """The work with what is placed in its place, or on its way there."""
    there = frozenset(key for key in stage.after.plates if key.piece in stage.pieces)
    after = with_faces(stage.after, there)
    own = frozenset(key for key in there if key.piece in stage.came)
    over = _over(after, own, stage.look) if stage.way is Way.SLID else frozenset()
    share = {Way.LAID: Fraction(0), Way.SLID: _OUT, Way.LOWERED: Fraction(1)}[stage.way]
    x, y, z = (share * part for part in stage.placings[-1].put.out)
    drawn = after
    if x or y or z:
        # Before all that does not lie over its place.
        moved, is_up = after.moved(own, shifted_by((x, y, z))), stage.look.towards > 0
        drawn = moved.layered(own, lambda _, other: (other in over) is is_up)
    upright = None if stage.way is Way.LOWERED else stage.placings[0].host
    flat, end = (turned_to_viewer(each, stage.look, upright) for each in (drawn, after))
    first = min(own, key=list(flat.plates).index)
    (at_x, at_y, _), (to_x, to_y, _) = (each.plates[first].pose.shift for each in (flat, end))
    if stage.way is Way.LAID:
        flat = _cleared(flat, stage)
    work = _work(resolved, stage, flat, glue_areas(stage.after, stage.bonds))
    return replace(
        work,
        is_closed=stage.way is not Way.LOWERED and _is_closed(stage.placings[0].before),
        put=stage.way,
        way=(float(to_x - at_x) / work.scale, float(to_y - at_y) / work.scale),
        over=over,
    )


def _is_closed(assembly: Assembly) -> bool:
    """Whether it folds, nothing of it is left open and some of it opens again: a lid that is glued
    up is not called closed."""
    if any(open_folds(assembly, assembly.creases)):
        return False
    return any(assembly.angle(fold) and not assembly.is_locked(fold) for fold in assembly.creases)


def _cleared(assembly: Assembly, stage: PlacedStage) -> Assembly:
    """The assembly without what stands between the viewer and the place of work."""
    flat = [plate for plate in assembly.plates.values() if plate.axis == 2]
    towards = 1 if is_from_front(stage.look) else -1
    hidden = {
        plate.key
        for plate in flat
        for new in flat
        if new.key.piece in stage.new and plate.key.piece not in stage.came
        and towards * plate.plane > towards * new.plane and crosses(plate.bounds, new.bounds)
    }  # fmt: skip
    return with_faces(assembly, frozenset(assembly.plates.keys() - hidden))


def _over(assembly: Assembly, own: frozenset[FaceKey], look: Look) -> frozenset[FaceKey]:
    """The faces that lie over what is slid in, in its place, and what lies over those."""

    def nearer(first: FaceKey) -> Iterator[FaceKey]:
        plate = assembly.plates[first]
        for key, other in assembly.plates.items():
            is_flat = plate.axis == other.axis == look.axis
            is_there = is_flat and key not in own and crosses(plate.bounds, other.bounds)
            if is_there and is_nearer(assembly, first, key, look):
                yield key

    return reached(own, nearer) - own


@dataclass(frozen=True, eq=False)
class View:
    """A work with the mapping to paper of the part shown; ``labelled`` are the new pieces that
    this view speaks of, ``window`` is its part of the paper."""

    work: PicturedWork
    labelled: frozenset[str]
    mapping: ToPaper
    window: Rect
    _shown: dict[SeenPiece, BaseGeometry] = field(init=False, default_factory=dict)

    @property
    def stack(self) -> tuple[SeenPiece, ...]:
        return self.work.stack

    @property
    def new(self) -> tuple[str, ...]:
        """The labelled pieces, in the order in which they are laid."""
        return tuple(key for key in self.work.new if key in self.labelled)

    def is_new(self, laid: SeenPiece) -> bool:
        return laid.piece.key in self.labelled

    def is_bold(self, key: str) -> bool:
        """Whether it comes with the new pieces of the view."""
        return any(key in self.work.came[new] for new in self.labelled)

    def rings(self, laid: SeenPiece) -> tuple[tuple[Place, ...], ...]:
        outer, *openings = (self.mapping.ring(ring) for ring in laid.rings)
        return outer, *(_legible(ring) for ring in openings)

    def on_view(self, side: EdgeName) -> EdgeName:
        """A side of the work as it is seen on paper."""
        return mirrored(side) if self.mapping.mirrored else side

    def rect(self, laid: SeenPiece) -> Rect:
        """The rectangle on paper round what the window holds of a part."""
        whole = self.mapping.rect(laid.extent)
        return whole.common(self.window) or whole

    def later(self, laid: SeenPiece) -> tuple[SeenPiece, ...]:
        """What lies nearer to the viewer than a part, if it lies over that at all."""
        return self.stack[self.stack.index(laid) + 1 :]

    def covers(self, laid: SeenPiece) -> list[Rect]:
        """The rectangles on paper round that."""
        return [self.rect(item) for item in self.later(laid)]

    def shown(self, laid: SeenPiece) -> BaseGeometry:
        """What shows of a piece within the window, on paper."""
        if laid not in self._shown:
            self._shown[laid] = self.mapping.shape(laid.shown).intersection(box(*self.window))
        return self._shown[laid]

    def on_face(self, laid: SeenPiece, shape: BaseGeometry) -> BaseGeometry:
        """A shape in units in the coordinates of a piece, within the window on paper."""
        return self.mapping.shape(laid.placed(shape, self.work.scale)).intersection(
            box(*self.window)
        )


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


def groups_of(work: PicturedWork) -> tuple[tuple[str, ...], ...]:
    """New pieces that belong together: those that lie on one present piece."""
    if work.sections:
        return (work.new,)
    groups: dict[str, list[str]] = {}
    for key in work.new:
        host = work.host_of(key)
        groups.setdefault(key if host is None else host.piece.key, []).append(key)
    return tuple(tuple(group) for group in groups.values())


def edge_in_model(work: PicturedWork, key: str, edge: EdgeName) -> EdgeName:
    """Which side in the flat work the ``edge`` is that a piece's offset runs from.

    Offsets read in the host's own frame, as seen from its back for a piece ``on_back`` of it.
    """
    host, placement = work.host_of(key), work.pieces[key].source.placement
    assert host is not None and placement is not None
    return host.side(mirrored(edge) if faces_away(placement.relation) else edge)


def edge_on_paper(view: View, key: str, edge: EdgeName) -> EdgeName:
    """The same side as it is seen on paper."""
    return view.on_view(edge_in_model(view.work, key, edge))


def dimensioned_edges(work: PicturedWork, key: str) -> tuple[tuple[EdgeName, ...], ...]:
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


@lru_cache(maxsize=_REMEMBERED)
def focus_of(work: PicturedWork, keys: tuple[str, ...]) -> Rect:
    """The part of the work to show: these pieces, the host edges they are measured from and
    something round them; or everything, when that is nearly all of it."""
    return focused(around(rect for key in keys for rect in _needed(work, key)), work.whole)


def _needed(work: PicturedWork, key: str) -> list[Rect]:
    laid = work.laid(key)
    host = work.host_of(key)
    rects = [part.extent for part in work.parts(key)]
    if host is None:
        return [*rects, *(item.extent for item in work.hosts_of(key))]
    base, own = host.face_rect(laid.piece.host_face), laid.face_rect(laid.piece.by)
    sides = {edge_in_model(work, key, e) for group in dimensioned_edges(work, key) for e in group}
    left, right, bottom, top = (
        (base if edge in sides else own).edge(edge) for edge in EDGES_BY_AXIS
    )
    rects.append(Rect(left, bottom, right, top))
    return rects


def _room_in(frame: Rect) -> Rect:
    """What is left of a frame beside dimensions and words."""
    return Rect(
        frame.left + _SIDE_ROOM,
        frame.bottom + _BOTTOM_ROOM,
        frame.right - _SIDE_ROOM,
        frame.top - _TOP_ROOM,
    )


@lru_cache(maxsize=_LAST_VIEWS)
def view_of(work: PicturedWork, keys: tuple[str, ...], frame: Rect) -> View:
    """The part of the work round some new pieces, as large as it fits in a frame; as much of their
    hosts as there is still room for is shown too; of what would come out so narrow that nothing
    could be seen on it, one end.  All of the work where sections are glued."""
    room, focus = _room_in(frame), work.whole
    if not work.sections:
        focus = _legible_part(work, keys, room)
        hosts = [host.extent for key in keys if (host := work.host_of(key)) is not None]
        most = around([focus, *hosts])
        margin = AROUND * max(focus.width, focus.height) / 2
        focus = widened(focus, most.grown(margin).common(work.whole) or most, room)
    mapping = fitted(focus, room, 1.0, mirrored=not work.from_front)
    return View(work, frozenset(keys), mapping, mapping.rect(focus))


#: A new piece drawn narrower than this, and so many times as long, is shown by one end of it, this
#: broad, in mm on paper.
_NARROW, _LONG, _BROAD = 2.2, 6.0, 5.0


def _legible_part(work: PicturedWork, keys: tuple[str, ...], room: Rect) -> Rect:
    """The focus on new pieces; where they are all long and very narrow at its scale, so much of it
    from their far end that they come out broad enough."""
    focus = focus_of(work, keys)
    extents = [work.laid(key).extent for key in keys]
    narrowest = min(min(extent.width, extent.height) for extent in extents)
    is_long = all(extent.height > _LONG * extent.width for extent in extents)
    if narrowest * scale_within(focus, room) >= _NARROW or not is_long:
        return focus
    needed = around(rect for key in keys for rect in _needed(work, key))
    scale = min(_BROAD / narrowest, room.width / needed.width, 1.0)
    bottom = max(needed.bottom, needed.top - room.height / scale)
    return focused(needed._replace(bottom=bottom), focus)
