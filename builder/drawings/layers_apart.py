"""Layers pulled apart in order: what lies on and behind one face, spread along its normal.

In: a resolved design and a face, the room on paper.  Out: a scene in dimetric projection, the
layers at equal steps, dotted lines through the corners that come to lie on one another, each
layer named with how it is held.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import count

from builder.drawings.axonometric import DIMETRIC, DIMETRIC_LENGTHWISE, Projection
from builder.drawings.canvas import MARGIN, Canvas
from builder.drawings.labels import NOTE_PT, margin_notes, margin_room
from builder.drawings.margin_targets import MOST_CHOICES, chosen_targets
from builder.drawings.placed_view import seen_faces
from builder.drawings.plane import Mapping, Place, Rect, bounding, fitted, ring_holds
from builder.drawings.raised_view import (
    RaisedFace,
    extent_of,
    paint_raised,
    raised_faces,
    shown_share,
    visible_places,
)
from builder.drawings.scene import Scene, Text
from builder.drawings.styles import GREY_TEXT, Line
from builder.drawings.wording import named, words_of
from builder.geometry.areas import Slab, common, crosses
from builder.geometry.outline import Box, Point
from builder.geometry.pose import shifted
from builder.resolve.placement import FaceKey, main_body, tree_of
from builder.resolve.resolved import PlacedFace, ResolvedDesign, ResolvedPiece
from builder.resolve.turns import flat_faces

#: Fewer levels than this need no picture.
_FEWEST_LEVELS = 4
#: A step between layers, as a share of the height that one layer comes out at: least and most.
_LEAST_STEP, _MOST_STEP = 0.38, 0.62
_PADDING = 1.5
#: The words above and below the pile.
_END_WORDS = 4.0


@dataclass(frozen=True)
class Layer:
    """One face of the pile: ``level`` counts from the back, layers side by side share one;
    ``held`` says how it is held there."""

    placed: PlacedFace
    slab: Slab
    level: int
    held: str

    @property
    def key(self) -> FaceKey:
        return self.placed.piece, self.placed.face


def layered_faces(resolved: ResolvedDesign) -> tuple[FaceKey, ...]:
    """The faces with layers enough on or behind them to be worth pulling apart, in the order of
    the design; of faces that lie within one another only the largest."""
    flat = _flat(resolved)
    piles = {_key(face): _pile(resolved, flat, _key(face)) for face, _ in flat}
    inner = {layer.key for base, layers in piles.items() for layer in layers if layer.key != base}
    ranks = list(resolved.pieces)
    found = [
        base
        for base, layers in piles.items()
        if base not in inner and _level_count(layers) >= _FEWEST_LEVELS
    ]
    return tuple(sorted(found, key=lambda key: ranks.index(key[0])))


def pile(resolved: ResolvedDesign, base: FaceKey) -> tuple[Layer, ...]:
    """A face and the flat layers within it that are joined to it, directly or by others, from the
    back to the front."""
    return _pile(resolved, _flat(resolved), base)


def _pile(
    resolved: ResolvedDesign, flat: Sequence[tuple[PlacedFace, Slab]], base: FaceKey
) -> tuple[Layer, ...]:
    around = next(slab for face, slab in flat if _key(face) == base)
    inside = [_key(face) for face, slab in flat if around.contains(slab)]
    joined_on = _joined_to(resolved, base, inside)
    layers: list[Layer] = []
    for face, slab in flat:
        if _key(face) in joined_on:
            level = _level(resolved, face, slab, base, layers)
            layers.append(Layer(face, slab, level, _held(resolved, face, base)))
    return tuple(layers)


def _level(
    resolved: ResolvedDesign,
    face: PlacedFace,
    slab: Slab,
    base: FaceKey,
    layers: Sequence[Layer],
) -> int:
    """The lowest level above all that a face meets, which it shares only with what lies on the
    same as it does: what is on an insert comes below the pocket even where that does not reach
    it, and what is below an insert not beside it."""
    under = [other.level for other in layers if crosses(other.slab.seen, slab.seen)]
    ground = _ground(resolved, face, base)
    others = {o.level for o in layers if _ground(resolved, o.placed, base) != ground}
    level = max(under, default=-1) + 1
    return next(free for free in count(level) if free not in others)


def _ground(resolved: ResolvedDesign, face: PlacedFace, base: FaceKey) -> FaceKey:
    """What a layer lies on, in front or behind; the base, where that lies on it, and for the base
    itself."""
    piece = resolved.pieces[face.piece]
    placement = piece.source.placement
    if _key(face) == base or placement is None or face.face != piece.by:
        return base
    return placement.host, piece.host_face


def _flat(resolved: ResolvedDesign) -> list[tuple[PlacedFace, Slab]]:
    """Every face of the main body with all folds flat, from the back to the front."""
    tree = tree_of(resolved)
    if not tree.roots:
        return []
    faces = flat_faces(resolved, main_body(tree))
    return [(f, resolved.slab(f)) for f in faces]


def _joined_to(
    resolved: ResolvedDesign, base: FaceKey, among: Sequence[FaceKey]
) -> frozenset[FaceKey]:
    """The faces that lie on the base or on one another, where a piece lies on its host."""
    contacts: dict[FaceKey, list[FaceKey]] = {}
    for key, piece in resolved.pieces.items():
        if piece.source.placement is not None:
            own, host = (key, piece.by), (piece.source.placement.host, piece.host_face)
            contacts.setdefault(own, []).append(host)
            contacts.setdefault(host, []).append(own)
    found, waiting = {base}, [base]
    while waiting:
        for other in contacts.get(waiting.pop(), ()):
            if other in among and other not in found:
                found.add(other)
                waiting.append(other)
    return frozenset(found)


def _key(face: PlacedFace) -> FaceKey:
    return face.piece, face.face


def _level_count(layers: Sequence[Layer]) -> int:
    return max(layer.level for layer in layers) + 1


def _held(resolved: ResolvedDesign, face: PlacedFace, base: FaceKey) -> str:
    """How a layer is held: by its own glue, or, if the base lies on it, by that of the base."""
    piece, lower = resolved.pieces[face.piece], resolved.pieces[base[0]]
    if face.face == piece.by and _key(face) != base:
        words, ground = held_words(resolved, piece), _ground(resolved, face, base)
        if ground == base or not piece.glue.is_all_over:
            return words
        code = resolved.pieces[ground[0]].code
        return words_of(resolved).phrase("draw_held_to", held=words, code=code)
    hangs = lower.source.placement is not None and lower.source.placement.host == face.piece
    return held_words(resolved, lower) if hangs and lower.host_face == face.face else ""


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
            return wording.phrase(name, kind=wording.phrase(f"one_{fastening.source.kind}"))
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
        places = visible_places(spread.faces, layer.placed.piece, MOST_CHOICES)
        if places:
            notes.append((mapping.ring(places), name))
    picture = mapping.rect(spread.extent)
    lowest, uppermost = end_words(resolved, layers, base)
    if _shows_glued_sides(resolved, layers, base):
        phrase = words_of(resolved).phrase("draw_glued_sides", code=resolved.pieces[base[0]].code)
        lowest = f"{lowest} · {phrase}"
    _draw_ends(canvas, (lowest, uppermost), picture)
    margin_notes(canvas, picture, chosen_targets(canvas.frame, picture, notes))
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
    below = [resolved.pieces[layer.placed.piece] for layer in layers if layer.level < ground]
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
    faces = [f for f in resolved.states["closed"].faces if f.pose.normal[2] != 0]
    own = next((f for f in faces if _key(f) == layer.key), None)
    ground = next((f for f in faces if _key(f) == base), None)
    if own is None or ground is None:
        return False
    towards = ground.pose.normal[2] if is_uppermost else -ground.pose.normal[2]
    faces.sort(key=lambda f: (towards * f.pose.shift[2], towards * f.order))
    nearer = seen_faces(resolved.pieces, faces[faces.index(own) + 1 :], towards > 0)
    (seen,) = seen_faces(resolved.pieces, [own], towards > 0)
    box = bounding(seen.rings[0])
    places = [p for p in _grid(box) if ring_holds(seen.rings[0], p)]
    shown = [p for p in places if not any(ring_holds(f.rings[0], p) for f in nearer)]
    return 2 * len(shown) > len(places)


def _grid(box: Rect) -> list[Place]:
    shares = [(step + 0.5) / 9 for step in range(9)]
    return [(box.left + u * box.width, box.bottom + v * box.height) for u in shares for v in shares]


def _name(resolved: ResolvedDesign, layer: Layer) -> str:
    piece = resolved.pieces[layer.placed.piece]
    part = "" if len(piece.faces) == 1 else f" ({layer.placed.face.replace('_', ' ')})"
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
    return max(spreads, key=lambda spread: _shown_area(resolved, spread))


def _shown_area(resolved: ResolvedDesign, spread: _Spread) -> float:
    """How much of the layers nothing covers, in model mm2."""
    boxes = [resolved.slab(_own(face)).seen for face in spread.faces]
    areas = [float(box.width * box.height) for box in boxes]
    return sum(area * shown_share(spread.faces, n) for n, area in enumerate(areas))


def _spread(
    resolved: ResolvedDesign, layers: Sequence[Layer], room: Rect, view: Projection
) -> _Spread:
    flat = raised_faces(resolved, [layer.placed for layer in layers], view)
    step = _step(extent_of(flat), room, _level_count(layers))
    lifted = []
    for layer in layers:
        up = shifted(Fraction(0), Fraction(0), step * layer.level)
        pose = up.then(layer.placed.pose)
        lifted.append(replace(layer.placed, pose=pose, order=layer.level))
    ground = layers[0].slab.plane
    threads = []
    for x, y, level in _threads(layers):
        ends = (ground + step * at for at in (level, level + 1))
        low, high = (view((float(x), float(y), float(z))) for z in ends)
        threads.append((level, (low, high)))
    return _Spread(raised_faces(resolved, lifted, view), tuple(threads))


def _threads(layers: Sequence[Layer]) -> list[tuple[Fraction, Fraction, int]]:
    """Where corners come to lie on a layer, and each level that the way there starts from."""
    found: dict[tuple[Fraction, Fraction, int], None] = {}
    for index, upper in enumerate(layers):
        for number, lower in enumerate(layers[:index]):
            between = [layer.slab.seen for layer in layers[number + 1 : index]]
            for x, y in _meeting_corners(upper.slab.seen, lower.slab.seen):
                if not any(box.contains(Point(x, y)) for box in between):
                    for level in range(lower.level, upper.level):
                        found[x, y, level] = None
    return list(found)


def _meeting_corners(first: Box, second: Box) -> list[tuple[Fraction, Fraction]]:
    """The corners of what two boxes share that are corners of one of them."""
    shared = common(first, second)
    own = {*_corners(first), *_corners(second)}
    return [] if shared is None else [corner for corner in _corners(shared) if corner in own]


def _step(foot: Rect, room: Rect, levels: int) -> Fraction:
    """The distance between levels in model mm: what the room leaves, within reason."""
    gaps = max(levels - 1, 1)
    scale = min(room.width / foot.width, room.height / (foot.height * (1 + _LEAST_STEP * gaps)))
    spare = (room.height / scale - foot.height) / gaps
    return Fraction(round(min(max(spare, _LEAST_STEP * foot.height), _MOST_STEP * foot.height)))


def _corners(box: Box) -> tuple[tuple[Fraction, Fraction], ...]:
    return tuple((x, y) for x in (box.left, box.right) for y in (box.bottom, box.top))


def _own(face: RaisedFace) -> PlacedFace:
    """The layer that a face was made from."""
    assert isinstance(face.placed, PlacedFace)
    return face.placed


def _paint(canvas: Canvas, resolved: ResolvedDesign, spread: _Spread, mapping: Mapping) -> None:
    """Level by level from the back, so that each level hides what goes on behind it."""
    for level in range(max(_own(face).order for face in spread.faces) + 1):
        faces = [face for face in spread.faces if _own(face).order == level]
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
