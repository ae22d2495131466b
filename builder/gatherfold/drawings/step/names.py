"""What is written on an assembly drawing: names of pieces, and which edges are flush.

In: a view.  Out: on the canvas the names of the new pieces and of those that they are laid on,
within them or, where there is no room, beside them with a leader; ``no glue`` where a new piece
gets none; which edges are flush or lie on a score.  And what finds no good place, for the caption.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from shapely import Polygon, unary_union
from shapely.geometry.base import BaseGeometry

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.plane import Place, Rect, bounding
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT
from gatherfold.drawings.kernel.wording import face_words, named
from gatherfold.drawings.labels.labels import NOTE_PT, inside, label, write_labels
from gatherfold.drawings.labels.placings import LabelLook, Mark
from gatherfold.drawings.step.fastenings import free_ribbons
from gatherfold.drawings.step.glue import (
    hatched,
    notes_on_edge,
    places_along,
    small_contacts,
)
from gatherfold.drawings.step.sections import section_of
from gatherfold.drawings.step.view import PicturedWork, View, edge_on_paper
from gatherfold.drawings.views.features import thumb_notch_features
from gatherfold.drawings.views.seen_pieces import SeenPiece, places_within, rings_of
from gatherfold.geometry import EDGES_BY_AXIS, EdgeName, axis_of, ends_across, mirrored
from gatherfold.model import faces_away
from gatherfold.resolve import ResolvedPiece
from gatherfold.wording import Wording
from gatherfold.work import FaceKey

#: How far within its edges a face is pointed at that lies under a new piece, in mm on paper.
_WITHIN_RIM = (1.2, 0.6)
#: How near to a ribbon the end of a leader would seem to name it, in mm on paper.
_DOT = 0.5
#: Of more sections than these only the piece is named.
_MOST_NAMES = 4
#: How far from the edges and folds of a section a leader ends that names it, in mm on paper.
_OFF_EDGE = 0.6
#: How new pieces are named, and those that they are laid on.
_NEW, _THERE = (
    LabelLook(NOTE_PT, bold=True, boxed=True),
    LabelLook(SMALLEST_LETTERING_PT, boxed=True, colour=GREY_TEXT),
)


def write_names(canvas: Canvas, view: View) -> tuple[str, ...]:
    """Code and title on each new piece where it is not covered, and in grey on those that they are
    laid on, or beside the drawing; and what is flush, and glued on edge.  Returns what the caption
    has to say instead: the hosts, and then what is flush, that find no good place."""
    if view.work.sections:
        write_labels(canvas, [*_sections_named(canvas, view)])
        return ()
    ribbons = unary_union([free for _, free in free_ribbons(view)]).buffer(_DOT)
    hosts = list(_hosts_named(canvas, view, ribbons))
    flush = list(_flush_notes(canvas, view))
    needed = [*_new_named(canvas, view, ribbons), *notes_on_edge(canvas, view)]
    named_hosts = [mark for _, mark in hosts if mark is not None]
    left_out = write_labels(canvas, needed, [*flush, *named_hosts])
    unseen = [name for name, mark in hosts if mark is None]
    unseen += [mark.name for mark in left_out if mark not in flush]
    laid_on = [view.work.wording.phrase("draw_laid_on", piece=name) for name in unseen]
    return *laid_on, *(mark.name for mark in left_out if mark in flush)


def _new_named(canvas: Canvas, view: View, ribbons: BaseGeometry) -> Iterator[Mark]:
    """The names of the new pieces."""
    news = [view.rect(laid) for laid in view.stack if view.is_new(laid)]
    for laid in view.stack:
        if not view.is_new(laid) or laid is not view.work.laid(laid.piece.key):
            continue
        name, box = _name(view, laid), view.rect(laid)
        avoid = [rect for rect in news if not rect.contains(box, 0.01)]
        code = name.replace(named(laid.piece), laid.piece.code)
        places = places_within(view.shown(laid), ribbons) or [box.centre]
        within = inside(box, [name], _NEW, clear_of=view.covers(laid))
        yield label(canvas, places, list(dict.fromkeys((name, code))), _NEW, within, avoid)


def _hosts_named(
    canvas: Canvas, view: View, ribbons: BaseGeometry
) -> Iterator[tuple[str, Mark | None]]:
    """The names of the pieces that the new ones are laid on, where anything of them shows."""
    # Within a new piece it would be taken for the name of that.
    news = [view.rect(item) for item in view.stack if view.is_new(item)]
    for laid in view.stack:
        if view.is_new(laid) or not _is_host(view, laid):
            continue
        whole, covers = laid, view.covers(laid)
        laid, shown = _named_part(view, whole)
        beyond = [] if laid is whole else [view.rect(each) for each in _sections(whole, laid)]
        places = places_within(shown, ribbons) or _rim_places(view, laid)
        if not places:
            yield laid.title(), None
            continue
        # A name in a thumb notch would stand where the piece is not.
        notches = [notch.box for notch in thumb_notch_features(laid.piece)]
        covers += [view.mapping.rect(laid.rect(notch)) for notch in notches]
        within = inside(view.rect(laid), [laid.title()], _THERE, clear_of=covers)
        avoid = [*news, *beyond]
        yield laid.title(), label(canvas, places, [laid.title()], _THERE, within, avoid)


def _sections_named(canvas: Canvas, view: View) -> Iterator[Mark]:
    """The sections that are glued, and those folded in before them; of tabs, which have no names of
    their own, and of very many sections the piece alone."""
    work = view.work
    pieces = [view.work.pieces[key] for key in work.new]
    tabs = {FaceKey(piece.key, tab.name) for piece in pieces for tab in piece.source.tabs}
    if len(work.sections) > _MOST_NAMES or not tabs.isdisjoint(work.sections):
        laid = max(work.parts(work.new[0]), key=lambda each: each.shown.area)
        yield _section_named(canvas, view, laid, view.rect(laid), [named(laid.piece)])
    else:
        for section in (section_of(view, key) for key in work.sections):
            laid, face = section.laid, face_words(section.key.face)
            texts = [f"{named(laid.piece)} ({face})", f"{laid.piece.code} {face}", face]
            yield _section_named(canvas, view, laid, section.box, texts)
    for laid in view.stack:
        if not laid.shown.is_empty and set(laid.keys) & set(work.folded):
            words = view.work.wording
            text = words.phrase("draw_folded_in", section=face_words(laid.faces[0]))
            yield _section_named(canvas, view, laid, view.rect(laid), [text], _THERE)


def _section_named(
    canvas: Canvas,
    view: View,
    laid: SeenPiece,
    box: Rect,
    texts: Sequence[str],
    look: LabelLook = _NEW,
) -> Mark:
    """A name within a box of a part, clear of what lies over it and of strips of glue, else beside
    the work."""
    hatches = (shape for each in view.stack for shape in hatched(view, each))
    strips = [bounding(ring) for shape in hatches for ring in rings_of(shape)]
    within = inside(box, texts, look, clear_of=[*strips, *view.covers(laid)])
    rest = [view.rect(other) for other in view.stack if other.piece is not laid.piece]
    places = places_within(view.shown(laid).intersection(Polygon(box.ring))) or [box.centre]
    return label(canvas, places, texts[:2][-1:], look, within, rest)


def _named_part(view: View, laid: SeenPiece) -> tuple[SeenPiece, BaseGeometry]:
    """What of a host is named, with what shows of it off its folds and edges: the one section that
    new pieces are glued to, or where that hardly shows another, which says as well which it is."""
    shown, part = view.shown(laid), _glued_part(view, laid)
    if part is not laid:
        for section in (part, *_sections(laid, part)):
            well_within = shown.intersection(view.mapping.shape(section.outline)).buffer(-_OFF_EDGE)
            if not well_within.is_empty:
                return section, well_within
    return laid, shown


def _sections(whole: SeenPiece, part: SeenPiece) -> list[SeenPiece]:
    """Each section of what lies flat that is not in a part of it."""
    return [replace(whole, faces=(face,)) for face in whole.faces if face not in part.faces]


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


def _name(view: View, laid: SeenPiece) -> str:
    """What to write on a new piece, also that it gets no glue, or only along some edges."""
    piece, wording = laid.piece, view.work.wording
    folded, name = _folded_pieces(view, laid), named(piece)
    if folded:
        codes = wording.listed(item.code for item in folded)
        return wording.phrase("draw_folded_up", codes=codes)
    if piece.glue.is_all_over or piece.source.placement is None:
        return name
    if piece.glue.edges:
        sides = {view.on_view(laid.side(edge)): None for edge in piece.glue.strips}
        edges = wording.listed(wording.places[side] for side in sides)
        return wording.phrase("draw_glued_only", piece=name, edges=edges)
    if view.work.way != (0.0, 0.0):
        # What holds it stands in the caption: there is little room between it and its arrow.
        return name
    return loose_words(view.work, piece, name)


def _folded_pieces(view: View, laid: SeenPiece) -> list[ResolvedPiece]:
    """The new piece and what is folded up over it, where that hides all of it."""
    if not laid.shown.is_empty:
        return []
    came = [item for item in view.stack if item.piece.key in view.work.came[laid.piece.key]]
    folded = {item.piece.key: item.piece for item in came if not item.is_whole}
    shown = {item.piece.key for item in came if not item.shown.is_empty}
    return list(folded.values()) if shown - {laid.piece.key} and len(folded) > 1 else []


def loose_words(work: PicturedWork, piece: ResolvedPiece, name: str) -> str:
    """How a piece is held that gets no glue."""
    dry = work.wording.phrase("draw_no_glue")
    return f"{name}: {_held_words(work, piece)}, {dry}"


def _held_words(work: PicturedWork, piece: ResolvedPiece) -> str:
    """``slides in``, ``turns on the brad``, ``loose``."""
    wording = work.wording
    if piece.is_in_pocket:
        return wording.phrase("draw_slides_in")
    for fastening in work.resolved.fastenings.values():
        if fastening.source.through[:1] == (piece.key,):
            name = "draw_turns_on" if fastening.source.pivot else "draw_held_by"
            return wording.phrase(name, kind=wording.phrase(fastening.source.fastener.words.one))
    return wording.phrase("draw_loose")


def _is_host(view: View, laid: SeenPiece) -> bool:
    """Whether a new piece is laid on it, or slid under it."""
    return any(laid is host for key in view.new for host in view.work.hosts_of(key))


def _rim_places(view: View, laid: SeenPiece) -> list[Place]:
    """Places along the dashed edges of faces of a host that lie under new pieces."""
    faces = [
        view.mapping.rect(laid.face_rect(face.face))
        for key in view.new
        if view.work.pieces[key].reaches_beyond
        for face in laid.keys
        if any(face in area.joined for area in view.work.glue_of(key))
    ]
    return places_along(view, [face.grown(-by).ring for face in faces for by in _WITHIN_RIM])


def _flush_notes(canvas: Canvas, view: View) -> Iterator[Mark]:
    """Which edges of the new piece run along those of its host, with a leader to one of them;
    nothing where several pieces have such edges."""
    flush = _flush_pieces(view)
    if len(flush) != 1:
        return
    ((key, kinds),) = flush.items()
    laid = view.work.laid(key)
    own = view.mapping.rect(laid.face_rect(view.work.pieces[key].by))
    glued = small_contacts(view, laid)
    for kind, edges in kinds.items():
        if places := places_along(view, [own.side(edge_on_paper(view, key, e)) for e in edges]):
            text = _flush_words(view, key, kind, edges)
            look = LabelLook(NOTE_PT, boxed=True)
            yield label(canvas, places, [text], look, avoid=glued)


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


def _flush_words(view: View, key: str, kind: str, edges: Sequence[EdgeName]) -> str:
    """``bottom edge of A5 on the fold to flap``, ``left and right edges of A5 flush with A2``."""
    wording, piece = view.work.wording, view.work.pieces[key]
    # Both sides are both, whichever is which on paper.
    is_both = set(ends_across("vertical")) <= set(edges)
    names = wording.listed(
        wording.places[edge] if is_both else _edge_words(wording, view, key, edge) for edge in edges
    )
    host = view.work.flush_host(key, edges)
    beyond = [face for edge in edges for face in _beyond_on_host(host.piece, piece, edge)]
    if beyond and len({(score.axis, score.at) for score in host.piece.scores}) == 1:
        # The only fold of the host needs no other name.
        host_code = host.piece.code
        return wording.phrase(f"{kind}_only", piece=piece.code, host=host_code, edges=names)
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
