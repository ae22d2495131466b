"""What is written on an assembly drawing: names of pieces, and which edges are flush.

In: a view.  Out: on the canvas the names of the new pieces and of those that they are laid on,
within them or, where there is no room, beside them with a leader; ``no glue`` where a new piece
gets none; which edges are flush or lie on a score.  And the names of hosts that cannot be seen.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import dropwhile, takewhile
from operator import itemgetter

from shapely import Point, Polygon, intersects_xy
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT
from gatherfold.drawings.kernel.wording import face_words, named, words_of
from gatherfold.drawings.labels.labels import NOTE_PT, inner_label, note
from gatherfold.drawings.sheet_map.words import side_name
from gatherfold.drawings.step.arrows import side_on_paper
from gatherfold.drawings.step.fastenings import free_ribbons
from gatherfold.drawings.step.glue import contacts_of, is_hatched_along_rim, places_along
from gatherfold.drawings.step.view import View, Work, edge_on_paper
from gatherfold.drawings.views.features import thumb_notch_boxes
from gatherfold.drawings.views.seen_pieces import SeenPiece
from gatherfold.geometry import EDGES_BY_AXIS, EdgeName, axis_of, ends_across, mirrored
from gatherfold.model.choices import faces_away
from gatherfold.resolve.resolved import ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording

#: A piece of which so few places show, or fewer, is named before those that leave a choice.
_FEW = 6
#: How far within its edges a face is pointed at that lies under a new piece, in mm on paper.
_WITHIN_RIM = (1.2, 0.6)
#: How near to a ribbon the end of a leader would seem to name it, in mm on paper.
_DOT = 0.5


@dataclass(frozen=True)
class _Beside:
    """A name that has no room within its piece, the fullest first: the places that a leader may
    end in, the best first, and what it would be taken for the name of if it stood there."""

    texts: Sequence[str]
    places: Sequence[Place]
    avoid: Sequence[Rect]
    is_new: bool


def name_pieces(
    canvas: Canvas, resolved: ResolvedDesign, view: View, is_few_first: bool
) -> tuple[str, ...]:
    """Code and title on each new piece where it is not covered, and in grey on those that they are
    laid on; beside the drawing first what shows in few places, or else the new pieces.  Returns the
    names of hosts that cannot be seen."""
    beside = [*_name_new(canvas, resolved, view), *_name_hosts(canvas, view)]
    ribbons = [free for _, free in free_ribbons(resolved, view)]
    beside = [replace(name, places=_clear_of(name.places, ribbons)) for name in beside]
    unseen: list[str] = []
    for name in sorted(beside, key=lambda each: is_few_first and len(each.places) > _FEW):
        if name.is_new:
            note(canvas, name.places, *name.texts, bold=True, boxed=True, avoid=name.avoid)
            continue
        places = [place for place in name.places if canvas.is_clear_of_words(place)]
        size = SMALLEST_LETTERING_PT
        if not places or not note(
            canvas, places, *name.texts, size_pt=size, boxed=True, avoid=name.avoid, is_needed=False
        ):
            unseen += name.texts
    return tuple(unseen)


def _clear_of(places: Sequence[Place], ribbons: Sequence[Polygon]) -> Sequence[Place]:
    """The places that no ribbon hangs over, if there are any."""
    clear = [p for p in places if not any(each.distance(Point(p)) < _DOT for each in ribbons)]
    return clear or places


def prints_up(resolved: ResolvedDesign, work: Work, keys: Sequence[str]) -> Iterator[str]:
    """Which print of the new pieces of two-sided paper is seen, each print once."""
    wording = words_of(resolved)
    codes: dict[str, dict[str, None]] = {}
    for laid in (laid for key in keys for laid in work.seen_of(key)):
        stock = laid.piece.stock.source
        if stock.two_sided and laid.faces_front == work.from_front:
            name = side_name(stock, laid.piece.side, wording)
            own = laid.piece.code if laid.piece.key in keys else named(laid.piece)
            codes.setdefault(name, {})[own] = None
    for name, whose in codes.items():
        yield wording.phrase("draw_print_up", codes=wording.listed(whose), print=name)


def _name_new(canvas: Canvas, resolved: ResolvedDesign, view: View) -> Iterator[_Beside]:
    """Names the new pieces; yields those without room within."""
    news = [view.rect(laid) for laid in view.stack if view.is_new(laid)]
    for laid in view.stack:
        if not view.is_new(laid) or laid is not view.work.laid(laid.piece.key):
            continue
        name, box, covers = _name(resolved, view, laid), view.rect(laid), view.covers(laid)
        if not inner_label(canvas, box, [name], NOTE_PT, bold=True, boxed=True, clear_of=covers):
            avoid = [rect for rect in news if not rect.contains(box, 0.01)]
            code = name.replace(named(laid.piece), laid.piece.code)
            yield _Beside((name, code), _seen_places(view, laid), avoid, is_new=True)


def _name_hosts(canvas: Canvas, view: View) -> Iterator[_Beside]:
    """Names the pieces that the new ones are laid on; yields those without room within."""
    # Within a new piece it would be taken for the name of that.
    news = [view.rect(item) for item in view.stack if view.is_new(item)]
    for laid in view.stack:
        if view.is_new(laid) or not _is_host(view, laid):
            continue
        # A name in a thumb notch would stand where the piece is not.
        notches = thumb_notch_boxes(laid.piece)
        covers = [*view.covers(laid), *(view.mapping.rect(laid.rect(notch)) for notch in notches)]
        part = _glued_part(view, laid)
        box = view.rect(part).common(view.window)
        size = SMALLEST_LETTERING_PT
        if box is not None and inner_label(
            canvas, box, [part.title()], size, boxed=True, colour=GREY_TEXT, clear_of=covers
        ):
            continue
        places = _host_places(view, laid)
        of_part = [place for place in places if view.rect(part).holds(place)]
        if len(of_part) > _FEW:
            laid, places = part, of_part
        yield _Beside((laid.title(),), places, news, is_new=False)


def _glued_part(view: View, laid: SeenPiece) -> SeenPiece:
    """Of a host that lies open the one section that new pieces are glued to, or else all of it."""
    glued = {
        key.face
        for new in view.new
        for area in view.work.glue_of(new)
        for key in area.joined
        if key in laid.keys
    }
    return replace(laid, faces=tuple(glued)) if len(glued) == 1 else laid


def _name(resolved: ResolvedDesign, view: View, laid: SeenPiece) -> str:
    """What to write on a new piece, also that it gets no glue, or only along some edges."""
    piece, wording = laid.piece, words_of(resolved)
    folded, name = _folded_pieces(view, laid), named(piece)
    if folded:
        codes = wording.listed(item.code for item in folded)
        return wording.phrase("draw_folded_up", codes=codes)
    if piece.glue.is_all_over or piece.source.placement is None:
        return name
    if piece.glue.edges:
        sides = {side_on_paper(view, laid, edge): None for edge in piece.glue.strips}
        edges = wording.listed(wording.places[side] for side in sides)
        return wording.phrase("draw_glued_only", piece=name, edges=edges)
    if view.work.way != (0.0, 0.0):
        # What holds it stands in the caption: there is little room between it and its arrow.
        return name
    return loose_words(resolved, piece, name)


def _folded_pieces(view: View, laid: SeenPiece) -> list[ResolvedPiece]:
    """The new piece and what is folded up over it, where that hides all of it."""
    if not laid.shown.is_empty:
        return []
    came = [item for item in view.stack if item.piece.key in view.work.came[laid.piece.key]]
    folded = {item.piece.key: item.piece for item in came if not item.is_whole}
    shown = {item.piece.key for item in came if not item.shown.is_empty}
    return list(folded.values()) if shown - {laid.piece.key} and len(folded) > 1 else []


def loose_words(resolved: ResolvedDesign, piece: ResolvedPiece, name: str) -> str:
    """How a piece is held that gets no glue."""
    dry = words_of(resolved).phrase("draw_no_glue")
    return f"{name}: {_held_words(resolved, piece)}, {dry}"


def _held_words(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    """``slides in``, ``turns on the brad``, ``loose``."""
    wording = words_of(resolved)
    if piece.is_in_pocket:
        return wording.phrase("draw_slides_in")
    for fastening in resolved.fastenings.values():
        if fastening.source.through[:1] == (piece.key,):
            name = "draw_turns_on" if fastening.source.pivot else "draw_held_by"
            return wording.phrase(name, kind=wording.phrase(fastening.source.fastener.words.one))
    return wording.phrase("draw_loose")


def _seen_places(view: View, laid: SeenPiece) -> list[Place]:
    return _shown_places(view, laid) or [view.rect(laid).centre]


def _shown_places(view: View, laid: SeenPiece) -> list[Place]:
    """Places on the piece, on paper, that nothing covers: near its middle first, then in the middle
    of what shows of it along its edges."""
    box, (x, y) = view.rect(laid), view.rect(laid).centre
    shares = [share / 12 for share in range(1, 12)]
    inner = [
        (box.left + box.width * a, box.bottom + box.height * b) for a in shares for b in shares
    ]
    inner.sort(key=lambda p: abs(p[0] - x) + abs(p[1] - y))
    shown = _are_shown(view.shown(laid), inner)
    seen = [place for place, is_seen in zip(inner, shown, strict=True) if is_seen]
    # The first of them is the middle.
    if not shown[0]:
        margins = (view.mapping(*p) for p in _in_margins(laid, 1 / view.mapping.scale))
        seen += [place for place in margins if view.window.holds(place)]
    return seen


def _are_shown(shape: BaseGeometry, places: Sequence[Place]) -> list[bool]:
    """Whether each of some places lies in what shows of a piece."""
    return [bool(each) for each in intersects_xy(shape, *zip(*places, strict=True))]


def _in_margins(laid: SeenPiece, unit: float) -> Iterator[Place]:
    """Places along the edges, each in the middle of what shows there inward from the edge, the
    widest margins first; ``unit`` is what a mm on paper is in the work."""
    margins = []
    for (x, y), (dx, dy) in _inward(laid.extent):
        way = [(x + dx * unit * depth, y + dy * unit * depth) for depth in _DEPTHS]
        pairs = zip(way, _are_shown(laid.shown, way), strict=True)
        first = takewhile(itemgetter(1), dropwhile(lambda pair: not pair[1], pairs))
        margins.append([place for place, _ in first])
    # Stable: of equally wide margins the middles come first.
    margins.sort(key=len, reverse=True)
    return (margin[len(margin) // 2] for margin in margins if margin)


#: How far within an edge a margin is looked for, in mm on paper, and where along it.
_DEPTHS = tuple(0.2 + 0.4 * step for step in range(10))
_ALONG = (0.5, 0.3, 0.7, 0.15, 0.85, 0.03, 0.97)


def _inward(box: Rect) -> Iterator[tuple[Place, Place]]:
    """Places on the edges of a box, the middles first, each with the direction inward."""
    for share in _ALONG:
        x, y = box.left + share * box.width, box.bottom + share * box.height
        yield (x, box.top), (0, -1)
        yield (box.right, y), (-1, 0)
        yield (x, box.bottom), (0, 1)
        yield (box.left, y), (1, 0)


def _is_host(view: View, laid: SeenPiece) -> bool:
    """Whether a new piece is laid on it, or slid under it."""
    return any(laid is host for key in view.new for host in view.work.hosts_of(key))


def _host_places(view: View, laid: SeenPiece) -> list[Place]:
    """Places of a host that show, or along the dashed edges of faces under new pieces."""
    behind = [
        view.mapping.rect(laid.face_rect(face.face))
        for key in view.new
        if view.work.pieces[key].reaches_beyond
        for face in laid.keys
        if any(face in area.joined for area in view.work.glue_of(key))
    ]
    return _shown_places(view, laid) or [
        (x + dx * depth, y + dy * depth)
        for face in behind
        for depth in _WITHIN_RIM
        for (x, y), (dx, dy) in _inward(face)
    ]


def note_flush(canvas: Canvas, resolved: ResolvedDesign, view: View) -> None:
    """Which edges of the new piece run along those of its host, with a leader to one of them;
    nothing where several pieces have such edges."""
    flush = _flush_pieces(view)
    if len(flush) != 1:
        return
    ((key, kinds),) = flush.items()
    laid = view.work.laid(key)
    own = view.mapping.rect(laid.face_rect(view.work.pieces[key].by))
    glued = [contact for contact in contacts_of(view, laid) if not is_hatched_along_rim(contact)]
    for kind, edges in kinds.items():
        if places := places_along(view, [own.side(edge_on_paper(view, key, e)) for e in edges]):
            text = _flush_words(resolved, view, key, kind, edges)
            note(canvas, places, text, boxed=True, avoid=glued, of_edge=True)


def flush_remarks(view: View) -> tuple[str, ...]:
    """The phrases that say it of several pieces together, which have no notes of their own."""
    flush = _flush_pieces(view)
    if len(flush) < 2:
        return ()
    return tuple(
        f"{kind}_all" for kind in _FLUSH_KINDS if any(kind in own for own in flush.values())
    )


#: An own fold on one of the host's, an edge on one of these, an own fold on the host's edge, an
#: edge on an edge; and what is said of several pieces.
_FLUSH_KINDS = ("draw_fold_on_fold", "draw_edge_on_fold", "draw_fold_on_edge", "draw_flush_with")
FLUSH_REMARKS = tuple(f"{kind}_all" for kind in _FLUSH_KINDS)


def _flush_pieces(view: View) -> dict[str, dict[str, list[EdgeName]]]:
    """The new pieces with flush edges, and these by what they run along."""
    found = {}
    for key in view.new:
        piece, host = view.work.pieces[key], view.work.host_of(key)
        if host is None or piece.offsets is None:
            continue
        flush = [edge for edge in EDGES_BY_AXIS if piece.offsets.at(edge) == 0]
        runs = {edge: _flush_kind(host.piece, piece, edge) for edge in flush}
        if runs:
            kinds = (kind for kind in _FLUSH_KINDS if kind in runs.values())
            found[key] = {kind: [e for e in flush if runs[e] == kind] for kind in kinds}
    return found


def _flush_kind(host: ResolvedPiece, piece: ResolvedPiece, edge: EdgeName) -> str:
    """Whether an edge of a piece lies on a fold of its host, is a fold of its own, or neither."""
    placement = piece.source.placement
    assert placement is not None
    has_fold = placement.turned == 0 and bool(_beyond(piece, piece.by, edge))
    if _beyond_on_host(host, piece, edge):
        return "draw_fold_on_fold" if has_fold else "draw_edge_on_fold"
    return "draw_fold_on_edge" if has_fold else "draw_flush_with"


def _beyond_on_host(host: ResolvedPiece, piece: ResolvedPiece, edge: EdgeName) -> list[str]:
    """The sections of a host beyond its fold that an edge of a piece lies on."""
    placement = piece.source.placement
    is_away = placement is not None and faces_away(placement.relation)
    return _beyond(host, piece.host_face, mirrored(edge) if is_away else edge)


def _beyond(piece: ResolvedPiece, face: str, edge: EdgeName) -> list[str]:
    """The sections of a piece beyond the folds along an edge of one of them."""
    at, axis = piece.face(face).box.edge(edge), axis_of(edge)
    folds = (s for s in piece.scores if s.axis == axis and s.at == at and face in s.sides)
    return [side for score in folds for side in score.sides if side != face]


def _flush_words(
    resolved: ResolvedDesign, view: View, key: str, kind: str, edges: Sequence[EdgeName]
) -> str:
    """``bottom edge of A5 on the fold to flap``, ``left and right edges of A5 flush with A2``."""
    wording, piece = words_of(resolved), view.work.pieces[key]
    # Both sides are both, whichever is which on paper.
    is_both = set(ends_across("vertical")) <= set(edges)
    names = wording.listed(
        wording.places[edge] if is_both else _edge_words(wording, view, key, edge) for edge in edges
    )
    host = view.work.flush_host(key, edges)
    beyond = [face for edge in edges for face in _beyond_on_host(host.piece, piece, edge)]
    return wording.counted(
        kind,
        len(edges),
        piece=piece.code,
        host=host.title(is_short=True),
        edges=names,
        sections=wording.listed(map(face_words, beyond)),
    )


def _edge_words(wording: Wording, view: View, key: str, edge: EdgeName) -> str:
    """An edge of a piece; from behind, where it is another side on paper, with that too."""
    seen = edge_on_paper(view, key, edge)
    placement = view.work.pieces[key].source.placement
    if seen == edge or view.work.from_front or placement is None:
        return wording.places[seen]
    if faces_away(placement.relation):
        return wording.places[seen]
    return wording.phrase("draw_side_here", edge=wording.places[edge], seen=wording.places[seen])
