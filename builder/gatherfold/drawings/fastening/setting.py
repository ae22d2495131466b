"""What is known of setting a fastening: its layers from the head down, its centre, in words.

In: a resolved design and a fastening with a point.  Out: a :class:`Setting`, its sentences, and the
words for the side of the head and for the far side.
"""

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from gatherfold.drawings.kernel.plane import Place, Rect, around
from gatherfold.drawings.kernel.wording import named, words_in
from gatherfold.drawings.views.seen_pieces import SeenPiece, seen
from gatherfold.geometry import EdgeName, Point, Sense, ends_across, is_far
from gatherfold.lengths import UnitSystem
from gatherfold.resolve import (
    REMEMBERED,
    ResolvedDesign,
    ResolvedFastening,
    ResolvedPiece,
    size_text,
)
from gatherfold.wording import Wording
from gatherfold.work import ACROSS, FaceKey, Look, Plate, Work, nearer_at, set_in, work_of

_UP = 2


@dataclass(frozen=True)
class Setting:
    """A fastening with the layers it goes through, from the head to the last.

    ``faces`` are the faces that are pierced; ``from_front`` says from which side of the work, as
    that lies then; ``edges`` are the two edges of the top layer that its ``centre`` is measured
    from.  ``work`` is all that lies flat with them then.
    """

    resolved: ResolvedDesign
    fastening: ResolvedFastening
    layers: tuple[SeenPiece, ...]
    work: Rect
    faces: tuple[FaceKey, ...]
    from_front: bool
    centre: Point
    hole: Fraction
    edges: tuple[EdgeName, EdgeName]

    @property
    def units(self) -> UnitSystem:
        """The units of the edition."""
        return self.resolved.edition.units

    @property
    def wording(self) -> Wording:
        """The catalogue of the edition."""
        return words_in(self.units)

    @property
    def held(self) -> ResolvedFastening | None:
        """What it holds under its head."""
        return self.resolved.fastenings.get(self.fastening.source.holds or "")

    @property
    def top(self) -> ResolvedPiece:
        return self.layers[0].piece

    @property
    def place(self) -> Place:
        """Where its centre lies."""
        return self._on_top(self.centre)

    @property
    def _corner(self) -> Point:
        across, upward = self.edges
        width, height, zero = self.top.width, self.top.height, Fraction(0)
        return Point(width if is_far(across) else zero, height if is_far(upward) else zero)

    @property
    def corner(self) -> Place:
        """Where the corner of the top layer lies that its centre is measured from."""
        return self._on_top(self._corner)

    def _on_top(self, point: Point) -> Place:
        return self.layers[0].ring([(float(point.x), float(point.y))])[0]

    @property
    def shows_front(self) -> bool:
        """Whether the side of the top layer that is seen is its front."""
        return self.layers[0].faces_front == self.from_front

    @property
    def distances(self) -> tuple[Fraction, Fraction]:
        """The exact distances from ``edges``."""
        centre, corner = self.centre, self._corner
        return abs(centre.x - corner.x), abs(centre.y - corner.y)


@lru_cache(maxsize=REMEMBERED)
def setting_of(resolved: ResolvedDesign, fastening_key: str) -> Setting:
    """The layers in the order they are met, and what the centre is measured from."""
    fastening = resolved.fastenings[fastening_key]
    through = fastening.source.through
    if fastening.point is None or not through:
        raise ValueError(f"fastening '{fastening_key}' goes through nothing")
    work = work_of(resolved)
    assembly, faces = set_in(work, fastening_key)
    if assembly.plates[faces[0]].axis != _UP:
        assembly = assembly.seen_from(faces[0])
    ordered = assembly.in_order(faces)
    from_front = ordered[-1] == faces[0]
    if len(faces) == 1 or assembly.is_above(faces[0], faces[-1]) is None:
        from_front = assembly.plates[faces[0]].facing > 0
    # The centre is measured on the first piece named; it lies on top.
    others = [face for face in (reversed(ordered) if from_front else ordered) if face != faces[0]]
    keys = (faces[0], *others)
    stack, _ = seen(resolved.pieces, assembly, work.scale, from_front)
    layers = tuple(next(part for part in stack if key in part.keys) for key in keys)
    first = layers[0]
    hole = next((h for h in first.piece.holes if h.fastening == fastening_key), None)
    centre = hole.centre if hole else fastening.point
    diameter = hole.diameter if hole else Fraction(0)
    edges = _measured_edges(first.piece, fastening, centre)
    extent = around(part.extent for part in stack)
    return Setting(resolved, fastening, layers, extent, keys, from_front, centre, diameter, edges)


def _measured_edges(
    piece: ResolvedPiece, fastening: ResolvedFastening, centre: Point
) -> tuple[EdgeName, EdgeName]:
    """The edges the design measures from; where it names none, the nearer."""
    given = fastening.source.distances
    near_x: EdgeName = "left" if 2 * centre.x <= piece.width else "right"
    near_y: EdgeName = "bottom" if 2 * centre.y <= piece.height else "top"
    across = next((edge for edge in ends_across("vertical") if edge in given), near_x)
    return across, next((edge for edge in ends_across("horizontal") if edge in given), near_y)


def hole_sentences(setting: Setting) -> tuple[str, ...]:
    """Where the fastening goes through the layers below the top one that are larger than that and
    lie upright: from the two edges of each that are nearer, as it is seen from the side that the
    fastening is set from; those with the hole in the same place together."""
    wording, units, (top, *below) = setting.wording, setting.units, setting.layers
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    for laid in below:
        piece, mark = laid.piece, setting.fastening.marks.get(laid.piece.key)
        rotation, least = laid.pose.rotation, top.piece.width * top.piece.height
        if mark is None or not rotation[0][0] or piece.width * piece.height < least:
            continue
        is_left = 2 * mark.x <= piece.width
        is_low = 2 * mark.y <= piece.height
        # Seen from behind, or lying on its face, a piece has its own left on the right.
        looks_left = is_left == ((rotation[0][0] > 0) == setting.from_front)
        looks_low = is_low == (rotation[1][1] > 0)
        hole = (
            units.text(mark.x if is_left else piece.width - mark.x),
            wording.places["left" if looks_left else "right"],
            units.text(mark.y if is_low else piece.height - mark.y),
            wording.places["bottom" if looks_low else "top"],
        )
        groups.setdefault(hole, []).append(named(piece))
    return tuple(
        wording.phrase(
            "draw_hole_below",
            piece=wording.listed(names),
            across=across,
            first=first,
            upward=upward,
            second=second,
        )
        for (across, first, upward, second), names in groups.items()
    )


def fastening_words(setting: Setting) -> str:
    """The drawing in words, from the same exact lengths."""
    units, wording, source = setting.units, setting.wording, setting.fastening.source
    names = [named(laid.piece) for laid in setting.layers]
    across, upward = setting.distances
    first, second = (wording.places[edge] for edge in setting.edges)
    sentences = [
        wording.counted(
            "draw_set",
            len(names),
            title=source.title,
            view=wording.phrase("view_front" if setting.from_front else "view_back"),
            names=wording.listed(names),
        ),
        wording.phrase(
            "draw_centre",
            across=units.text(across),
            first=first,
            upward=units.text(upward),
            second=second,
            piece=names[0],
        ),
    ]
    sentences += [f"{sentence}." for sentence in hole_sentences(setting)]
    if not setting.shows_front:
        sentences.append(wording.phrase("draw_shows_back"))
    if setting.hole:
        sentences.append(wording.phrase("draw_hole_across", size=units.text(setting.hole)))
    sentences.extend(_size_sentences(setting))
    if setting.held is not None:
        held = setting.held.source.title
        sentences.append(wording.phrase("draw_under_head", held=held, piece=names[0]))
    if source.pivot:
        sentences.append(wording.phrase("draw_turns_on_it", piece=names[0]))
    return " ".join(sentences)


def _size_sentences(setting: Setting) -> list[str]:
    fastening, last = setting.fastening, named(setting.layers[-1].piece)
    head, leg = (size_text(size, setting.resolved) for size in (fastening.head, fastening.leg))
    phrases = fastening.source.fastener.words.setting
    return [setting.wording.phrase(each, head=head, leg=leg, piece=last) for each in phrases]


_FLAT_SIDES = {1: "draw_side_front", -1: "draw_side_back"}
_OUTSIDES = {1: "draw_outside_front", -1: "draw_outside_back"}


def side_words(setting: Setting) -> tuple[str, str] | None:
    """The side of the work that the head lies on and the far side; None for what lies between the
    layers that it draws together.  Inside is where something folds over the layers that it goes
    through; where nothing does, or on both sides something does, the sides are the front and the
    back of the work as it lies flat."""
    if setting.fastening.source.fastener.ends is None:
        return None
    head, far = _sides(setting)
    return setting.wording.phrase(head), setting.wording.phrase(far)


def _sides(setting: Setting) -> tuple[str, str]:
    # The first layer may turn on the fastening; it is fixed in the last.
    work, key = work_of(setting.resolved), setting.faces[-1]
    anchor, mark = work.closed.plates.get(key), setting.fastening.marks.get(key.piece)
    head = 1 if setting.from_front else -1
    as_it_lies = _FLAT_SIDES[head], _FLAT_SIDES[-head]
    if anchor is None or mark is None:
        return as_it_lies
    sides: tuple[Sense, ...] = (1, -1)
    inner = [side for side in sides if _is_folded_over(work, setting, anchor, mark, side)]
    if len(inner) != 1:
        return as_it_lies
    # A cover that is turned over when the work closes takes its head to the other side.
    turned = anchor.facing if setting.layers[-1].faces_front else -anchor.facing
    outside = _OUTSIDES[-inner[0]]
    return ("draw_inside", outside) if head * turned == inner[0] else (outside, "draw_inside")


def _is_folded_over(work: Work, setting: Setting, anchor: Plate, mark: Point, side: Sense) -> bool:
    """Whether on one side something lies over a fastening in the closed work that has moved against
    its anchor."""
    through = {layer.piece.key for layer in setting.layers}
    place = anchor.pose.apply((mark.x * work.scale, mark.y * work.scale, 0))
    first, second = ACROSS[anchor.axis]
    opened, closed = work.opened.plates, work.closed.plates
    before, now = opened[anchor.key].pose.undone(), anchor.pose.undone()
    look = Look(anchor.axis, side)
    return any(
        now.then(closed[key].pose) != before.then(opened[key].pose)
        for key in nearer_at(work.closed, look, anchor.key, (place[first], place[second]))
        if key.piece not in through and key in opened
    )
