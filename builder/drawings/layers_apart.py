"""Layers pulled apart in order: what lies on and behind one face, spread along its normal.

In: a resolved design and a face, the room on paper.  Out: a scene in dimetric projection, the
layers at equal steps, dotted lines through the corners that come to lie on one another, each
layer named with how it is held.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count

from builder.drawings.axonometric import DIMETRIC, DIMETRIC_LENGTHWISE, Projection
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.labels import MOST_CHOICES, NOTE_PT, margin_notes, margin_room
from builder.drawings.plane import Mapping as Scaling
from builder.drawings.plane import Place, Rect, fitted
from builder.drawings.raised_view import (
    RaisedFace,
    extent_of,
    paint_raised,
    raised_faces,
    shown_parts,
    visible_places,
)
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, Line
from builder.drawings.wording import named, words_of
from builder.geometry.areas import common
from builder.geometry.outline import Box, Point
from builder.geometry.pose import Pose
from builder.resolve.resolved import ResolvedDesign, ResolvedPiece
from builder.work import Assembly, Bond, FaceKey, PlacedFace, Work, work_of
from builder.work.plates import Plate
from builder.work.regions import Bounds
from builder.work.space import as_pose
from builder.work.visible import look_at, shape_of, visible_parts

_UP = 2
#: Fewer levels than this need no picture.
_FEWEST_LEVELS = 4
#: A step between layers, as a share of the height that one layer comes out at: least and most.
_LEAST_STEP, _MOST_STEP = 0.38, 0.62
_PADDING = 1.5
#: A corner that is cut off by more than this share of a layer is none that others come to lie on.
_CUT_OFF = Fraction(1, 5)
#: The words above and below the pile.
_END_WORDS = 4.0


@dataclass(frozen=True)
class Layer:
    """One face of the pile: ``level`` counts from the back, layers side by side share one; ``box``
    is where it lies, ``corners`` are those of it that are not cut off, ``held`` says how it is held
    there."""

    key: FaceKey
    pose: Pose
    box: Box
    corners: frozenset[tuple[Fraction, Fraction]]
    level: int
    held: str

    @property
    def placed(self) -> PlacedFace:
        """The face where it lies, its level for the order of layers."""
        return PlacedFace(self.key.piece, self.key.face, self.pose, self.level)

    def lifted(self, height: Fraction) -> PlacedFace:
        """The face so high above the lowest."""
        x, y, _ = self.pose.shift
        return replace(self.placed, pose=Pose(self.pose.rotation, (x, y, height)))


def layered_faces(resolved: ResolvedDesign) -> tuple[FaceKey, ...]:
    """The faces with layers enough on or behind them to be worth pulling apart, in the order of
    the design; of faces that lie within one another only the largest."""
    work = work_of(resolved)
    faces = {key: None for each in (work.opened, work.closed) for key in each.plates}
    piles = {key: pile(resolved, key) for key in faces}
    inner = {layer.key for base, layers in piles.items() for layer in layers if layer.key != base}
    ranks = list(resolved.pieces)
    found = [
        base
        for base, layers in piles.items()
        if base not in inner and _level_count(layers) >= _FEWEST_LEVELS
    ]
    return tuple(sorted(found, key=lambda key: ranks.index(key.piece)))


def pile(resolved: ResolvedDesign, base: FaceKey) -> tuple[Layer, ...]:
    """A face of the open work, or of what only shuts it, and the layers within it that are joined
    to it, directly or by others, from the back to the front."""
    work, opened = work_of(resolved), _facing_up(_open_with(work_of(resolved), base), base)
    around = opened.plates[base].bounds
    lying = ((key, plate.bounds) for key, plate in opened.plates.items() if plate.axis == _UP)
    inside = [key for key, bounds in lying if bounds.common(around) == bounds]
    joins = _joins(opened, base, inside)
    layers: list[Layer] = []
    levels: dict[FaceKey, int] = {}
    for key in _from_the_back(opened, [base, *joins], joins):
        levels[key] = _level(opened, key, joins, levels)
        plate = opened.plates[key]
        held = "" if key == base else _held(resolved, joins[key], base)
        pose, box = as_pose(plate.pose, work.scale), _box(plate.bounds, work.scale)
        corners = frozenset(_corners_kept(box, plate, work.scale))
        layers.append(Layer(key, pose, box, corners, levels[key], held))
    return tuple(layers)


def _open_with(work: Work, face: FaceKey) -> Assembly:
    """The work open with a face; of a lid, or a band, what it is when it goes on."""
    if face in work.opened.plates:
        return work.opened
    apart = (
        each
        for moment in reversed(work.moments)
        for each in (moment.assembly, *moment.others)
        if face in each.plates and work.opened.base not in each.plates
    )
    return next(apart, work.closed)


def _facing_up(assembly: Assembly, face: FaceKey) -> Assembly:
    """The assembly with a face lying, its front up."""
    plate = assembly.plates[face]
    is_up = plate.axis == _UP and plate.facing > 0
    return assembly if is_up else assembly.seen_from(face)


def _box(bounds: Bounds, scale: int) -> Box:
    left, bottom, right, top = (Fraction(end) / scale for end in bounds)
    return Box(left, bottom, right, top)


def _corners_kept(box: Box, plate: Plate, scale: int) -> Iterator[tuple[Fraction, Fraction]]:
    """The corners of a layer's box that its outline comes near to: a rounded one, not that of a
    slanted side."""
    places = [(Fraction(x) / scale, Fraction(y) / scale) for x, y in plate.region.rings[0]]
    reach = _CUT_OFF * min(box.width, box.height)
    for x, y in _corners(box):
        if any(abs(x - a) <= reach and abs(y - b) <= reach for a, b in places):
            yield x, y


@dataclass(frozen=True)
class _Join:
    """What joins a layer to the pile: a bond, and the layer ``on`` which it is."""

    bond: Bond
    on: FaceKey


def _joins(
    assembly: Assembly, base: FaceKey, among: Collection[FaceKey]
) -> Mapping[FaceKey, _Join]:
    """The layers that are joined to a base, those joined to it directly first, each with what
    joins it."""
    plates = assembly.plates
    found: dict[FaceKey, _Join] = {}
    waiting = [base]
    while waiting:
        at = waiting.pop(0)
        for bond in (each for each in assembly.bonds if at in (each.first, each.second)):
            other = bond.other(at)
            # What rests on the rim of something else is no layer of it.
            is_laid = bond.kind != "rest" or plates[at].shares_plane(plates[other])
            if is_laid and other in among and other != base and other not in found:
                found[other] = _Join(bond, at)
                waiting.append(other)
    return found


def _from_the_back(
    assembly: Assembly, faces: Sequence[FaceKey], joins: Mapping[FaceKey, _Join]
) -> list[FaceKey]:
    """Layers so that each comes after all that it lies over, and of those that could come next the
    one on what came last: what is on an insert comes before the pocket that it does not reach."""
    left, found = list(faces), list[FaceKey]()
    while left:
        free = [
            key for key in left if not any(_is_under(assembly, other, key) for other in left)
        ] or left
        ons = {key: joins[key].on if key in joins else key for key in free}
        ranks = {key: found.index(on) if on in found else -1 for key, on in ons.items()}
        found.append(max(free, key=lambda key: ranks[key]))
        left.remove(found[-1])
    return found


def _is_under(assembly: Assembly, first: FaceKey, second: FaceKey) -> bool:
    """Whether the first of two lying faces lies under the second."""
    lower, upper = assembly.plates[first], assembly.plates[second]
    if lower.plane != upper.plane:
        return lower.plane < upper.plane and lower.region.overlaps(upper.region)
    return assembly.is_above(first, second) is True


def _level(
    assembly: Assembly,
    key: FaceKey,
    joins: Mapping[FaceKey, _Join],
    levels: Mapping[FaceKey, int],
) -> int:
    """The lowest level above all that a layer lies over, which it shares only with what lies on the
    same as it does: nothing of a pocket is level with what is on the insert in it."""

    def ground(face: FaceKey) -> FaceKey:
        return joins[face].on if face in joins else face

    under = [level for other, level in levels.items() if _is_under(assembly, other, key)]
    taken = {n for other, n in levels.items() if ground(other) != ground(key)}
    level = max(under, default=-1) + 1
    return next(free for free in count(level) if free not in taken)


def _level_count(layers: Sequence[Layer]) -> int:
    return max(layer.level for layer in layers) + 1


def _held(resolved: ResolvedDesign, join: _Join, base: FaceKey) -> str:
    """How a layer is held by what joins it, and to what, where that is not the base."""
    piece = resolved.pieces.get(join.bond.joins)
    if piece is None:
        wording, source = words_of(resolved), resolved.fastenings[join.bond.joins].source
        return wording.phrase("draw_held_by", kind=wording.phrase(source.fastener.words.one))
    wording, adhesive = words_of(resolved), join.bond.adhesive
    is_laid = adhesive is None or (bool(piece.glue.edges) and adhesive.face.face in piece.glued)
    # A tab, a seam, a further join: how the piece itself lies has no part in that.
    words = held_words(resolved, piece) if is_laid else wording.phrase("draw_glued")
    if join.on == base or (is_laid and not piece.glue.is_all_over):
        return words
    code = resolved.pieces[join.on.piece].code
    return wording.phrase("draw_held_to", held=words, code=code)


def held_words(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    """``glued``, ``glued left, bottom and right``, ``slides in``, ``turns on its brad``."""
    placement, wording = piece.source.placement, words_of(resolved)
    if placement is None:
        return ""
    if piece.is_in_pocket:
        return wording.phrase("draw_slides_in")
    if piece.glue.is_all_over:
        return wording.phrase("draw_glued")
    if piece.glue.edges:
        edges = wording.listed(wording.places[edge] for edge in piece.glue.strips)
        return wording.phrase("draw_glued_at", edges=edges)
    for fastening in resolved.fastenings.values():
        if fastening.source.through[:1] == (piece.key,):
            name = "draw_turns_on" if fastening.source.pivot else "draw_held_by"
            return wording.phrase(name, kind=wording.phrase(fastening.source.fastener.words.one))
    return wording.phrase("draw_loose")


def layers_scene(
    resolved: ResolvedDesign, base: FaceKey, max_width: float, max_height: float
) -> Scene:
    """The layers over one face pulled apart, within ``max_width`` x ``max_height`` mm."""
    layers = pile(resolved, base)
    canvas = Canvas(max_width, max_height)
    # Numbers of layers would be taken for the order of gluing, which is that of the steps.
    names = [_name(resolved, layer) for layer in layers]
    side = margin_room(names) + MARGIN
    room = Rect(side, _PADDING + _END_WORDS, max_width - side, max_height - _PADDING - _END_WORDS)
    spread = _clearest_spread(resolved, layers, room)
    mapping = fitted(spread.extent, room, 1.0)
    _paint(canvas, resolved, spread, mapping)
    notes = []
    for layer, name in zip(layers, names, strict=True):
        places = visible_places(spread.faces, layer.key, MOST_CHOICES)
        if places:
            notes.append((mapping.ring(places), name))
    picture = mapping.rect(spread.extent)
    lowest, uppermost = end_words(resolved, layers, base)
    if _shows_glued_sides(resolved, layers, base):
        phrase = words_of(resolved).phrase("draw_glued_sides", code=resolved.pieces[base[0]].code)
        lowest = f"{lowest} · {phrase}"
    _draw_ends(canvas, (lowest, uppermost), picture)
    margin_notes(canvas, picture, notes)
    piece = resolved.pieces[base[0]]
    title = words_of(resolved).phrase("draw_layers_title", piece=named(piece))
    return canvas.scene(f"layers-{base[0]}-{base[1]}", title, layers_equivalent(resolved, base))


def _draw_ends(canvas: Canvas, words: tuple[str, str], picture: Rect) -> None:
    """What the lowest and the uppermost layer look to."""
    for text, y in zip(words, (picture.bottom - 3.4, picture.top + 1.4), strict=True):
        canvas.text(Text(text, picture.centre[0], y, NOTE_PT, colour=GREY_TEXT))


def _shows_glued_sides(resolved: ResolvedDesign, layers: Sequence[Layer], base: FaceKey) -> bool:
    """Whether something lies under the base with its glued side up, and with that another print
    than the one that shows in the end."""
    ground = next(layer.level for layer in layers if layer.key == base)
    below = [resolved.pieces[layer.key.piece] for layer in layers if layer.level < ground]
    return any(piece.stock.source.two_sided and piece.glue.edges for piece in below)


def end_words(resolved: ResolvedDesign, layers: Sequence[Layer], base: FaceKey) -> tuple[str, str]:
    """What the lowest and the uppermost layer look to: ``outside`` and ``inside`` of the closed
    work where that is so, for its front need not be that of the piece; else ``back`` and ``front``.
    """
    ends = [_looks_out(resolved, layers[end], base, end == -1) for end in (0, -1)]
    names = ["side_back", "side_front"]
    if ends[0] != ends[1]:
        names = ["draw_outside" if end else "draw_inside" for end in ends]
    lowest, uppermost = (words_of(resolved).phrase(name) for name in names)
    return lowest, uppermost


def _looks_out(resolved: ResolvedDesign, layer: Layer, base: FaceKey, is_uppermost: bool) -> bool:
    """Whether most of an end of the pile is seen on the closed work."""
    closed = work_of(resolved).closed
    own, ground = closed.plates[layer.key], closed.plates[base]
    look = look_at(closed, base, 1 if is_uppermost else -1)
    if own.axis != ground.axis:
        return False
    shown: float = visible_parts(closed, look)[layer.key].area
    return 2 * shown > float(shape_of(own).area)


def _name(resolved: ResolvedDesign, layer: Layer) -> str:
    piece = resolved.pieces[layer.key.piece]
    part = "" if len(piece.faces) == 1 else f" ({layer.key.face.replace('_', ' ')})"
    name = f"{named(piece)}{part}"
    return f"{name}, {layer.held}" if layer.held else name


@dataclass(frozen=True)
class _Spread:
    """The layers lifted apart, on the plane of projection; ``threads`` are upright lines between
    one level and the next, by the lower of the two."""

    faces: tuple[RaisedFace, ...]
    threads: tuple[tuple[int, tuple[Place, Place]], ...]

    @property
    def extent(self) -> Rect:
        return extent_of(self.faces)


def _clearest_spread(resolved: ResolvedDesign, layers: Sequence[Layer], room: Rect) -> _Spread:
    """The pile seen from before; or from its right side, if more of it shows so: what stands out
    of a pocket then lies beside it, instead of behind it in what seems to be its plane."""
    views = (DIMETRIC, DIMETRIC_LENGTHWISE)
    spreads = [_spread(resolved, layers, room, view) for view in views]
    return max(
        spreads, key=lambda spread: round(sum(part.area for part in shown_parts(spread.faces)))
    )


def _spread(
    resolved: ResolvedDesign, layers: Sequence[Layer], room: Rect, view: Projection
) -> _Spread:
    flat = raised_faces(resolved, [layer.lifted(Fraction(0)) for layer in layers], view)
    step = _step(extent_of(flat), room, _level_count(layers))
    lifted = [layer.lifted(step * layer.level) for layer in layers]
    threads = []
    for x, y, level in _threads(layers):
        ends = (step * at for at in (level, level + 1))
        low, high = (view((float(x), float(y), float(z))) for z in ends)
        threads.append((level, (low, high)))
    return _Spread(raised_faces(resolved, lifted, view), tuple(threads))


def _threads(layers: Sequence[Layer]) -> list[tuple[Fraction, Fraction, int]]:
    """Where corners come to lie on a layer, and each level that the way there starts from."""
    found: dict[tuple[Fraction, Fraction, int], None] = {}
    for index, upper in enumerate(layers):
        for number, lower in enumerate(layers[:index]):
            between = [layer.box for layer in layers[number + 1 : index]]
            for x, y in _meeting_corners(upper, lower):
                if not any(box.contains(Point(x, y)) for box in between):
                    for level in range(lower.level, upper.level):
                        found[x, y, level] = None
    return list(found)


def _meeting_corners(first: Layer, second: Layer) -> list[tuple[Fraction, Fraction]]:
    """The corners of what two layers share that are corners of one of them."""
    shared, own = common(first.box, second.box), first.corners | second.corners
    return [] if shared is None else [corner for corner in _corners(shared) if corner in own]


def _step(foot: Rect, room: Rect, levels: int) -> Fraction:
    """The distance between levels in model mm: what the room leaves, within reason."""
    gaps = max(levels - 1, 1)
    scale = min(room.width / foot.width, room.height / (foot.height * (1 + _LEAST_STEP * gaps)))
    spare = (room.height / scale - foot.height) / gaps
    return Fraction(round(min(max(spare, _LEAST_STEP * foot.height), _MOST_STEP * foot.height)))


def _corners(box: Box) -> tuple[tuple[Fraction, Fraction], ...]:
    return tuple((x, y) for x in (box.left, box.right) for y in (box.bottom, box.top))


def _paint(canvas: Canvas, resolved: ResolvedDesign, spread: _Spread, mapping: Scaling) -> None:
    """Level by level from the back, so that each level hides what goes on behind it."""
    for level in range(max(face.placed.rank for face in spread.faces) + 1):
        faces = [face for face in spread.faces if face.placed.rank == level]
        paint_raised(canvas, resolved, faces, mapping)
        runs = [mapping.ring(run) for at, run in spread.threads if at == level]
        canvas.strokes(runs, Line.PATH, "thread", is_obstacle=False)


def layers_equivalent(resolved: ResolvedDesign, base: FaceKey) -> str:
    """The pile in words, level by level from the back to the front."""
    layers, wording = pile(resolved, base), words_of(resolved)
    levels = []
    for level in range(_level_count(layers)):
        names = [_name(resolved, layer) for layer in layers if layer.level == level]
        levels.append(f"{level + 1}: {wording.listed(names)}")
    name = named(resolved.pieces[base[0]])
    words = wording.phrase("draw_layers", piece=name, levels="; ".join(levels))
    lowest, uppermost = end_words(resolved, layers, base)
    return f"{words} {wording.phrase('draw_layer_ends', lowest=lowest, uppermost=uppermost)}"
