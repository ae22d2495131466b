"""What the printed dimensions of a piece drawing determine, as a graph over its coordinates.

Numbers are read off the finished scene: beside the piece the overall sizes and the running
dimensions, elsewhere the notes.  Each gives edges between two coordinates of one axis.  A
coordinate is determined when it hangs together with the datum edge; a dimension is one too many
when the places it joins hang together without it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from gatherfold.drawings.kernel.lettering import text_rect
from gatherfold.drawings.kernel.plane import Rect, bounding
from gatherfold.drawings.kernel.scene import Scene
from gatherfold.drawings.kernel.styles import Line
from gatherfold.drawings.views.features import (
    corner_features,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from gatherfold.geometry.outline import Arc, Box, bounds
from gatherfold.lengths import INCH
from gatherfold.resolve.resolved import ResolvedPiece
from tests.documents.test_pdf import _NUMBER, value_of

#: A coordinate: its place, and the feature that it belongs to alone ("" if to the whole piece).
Node = tuple[Fraction, str]
_ALONE = re.compile(_NUMBER)
_TIMES = re.compile(r"(?:(\d+) × )?(mitre|notch|R|thumb notch R|Ø|window|tab) (.+)")
#: A caption that says this gives the roundings of all four corners.
_CIRCLE = "a circle, "
ZERO = Fraction(0)


@dataclass(frozen=True)
class Dimension:
    """One printed dimension: what it says, its axis (0 across, 1 upward), the places it joins."""

    words: str
    axis: int
    first: Node
    second: Node


def faults_of(piece: ResolvedPiece, scene: Scene, unit: str) -> list[str]:
    """Coordinates that the drawing leaves open, and dimensions that it gives twice."""
    given = list(printed(piece, scene, unit))
    faults = []
    for axis, name in ((0, "across"), (1, "upward")):
        groups: dict[Node, Node] = {}

        def root(node: Node, groups: dict[Node, Node] = groups) -> Node:
            while node in groups:
                node = groups[node]
            return node

        for each in (each for each in given if each.axis == axis):
            first, second = root(each.first), root(each.second)
            if first == second:
                faults.append(f"{name}: '{each.words}' is given twice")
            else:
                groups[first] = second
        datum = root((ZERO, ""))
        faults.extend(
            f"{name}: {float(node[0]):.2f} mm ({node[1] or 'whole piece'}) is open"
            for node in sorted(needed(piece, axis))
            if root(node) != datum
        )
    return faults


def needed(piece: ResolvedPiece, axis: int) -> set[Node]:
    """Every coordinate that the maker has to mark."""
    shaped = {node for each in _shapes(piece) for node in each.nodes[axis]}
    places = {at for at, _ in shaped}
    found = set(shaped)
    for edge in piece.outline.edges:
        for point in (edge.start, *((edge.centre,) if isinstance(edge, Arc) else ())):
            at = (point.x, point.y)[axis]
            if at not in places:
                found.add((at, ""))
    for score in piece.scores:
        if (score.axis == "vertical") == (axis == 0):
            found.add((score.at, ""))
    for hole in piece.holes:
        found.add(((hole.centre.x, hole.centre.y)[axis], ""))
    for window in piece.windows:
        box = bounds(window)
        found |= {((box.left, box.bottom)[axis], ""), ((box.right, box.top)[axis], "")}
    return found


@dataclass(frozen=True)
class Shape:
    """A feature that a note describes: the note's kind, and the dimensions it stands for."""

    kind: str
    edges: tuple[tuple[int, Node, Node], ...]

    @property
    def nodes(self) -> tuple[set[Node], set[Node]]:
        found: tuple[set[Node], set[Node]] = (set(), set())
        for axis, first, second in self.edges:
            found[axis].update((first, second))
        return found


def _shapes(piece: ResolvedPiece) -> Iterator[Shape]:
    """Corners, notches, tabs and windows.  Where a notch ends on a score, that place belongs to
    the whole piece and needs no note; all else belongs to the feature alone."""
    whole = Box(ZERO, ZERO, piece.width, piece.height)
    boxes = {face.name.replace("_", " "): face.box for face in piece.faces}
    for feature in (*corner_features(piece), *section_corner_features(piece)):
        section, words = feature.section.replace("_", " "), feature.corner.split()
        name = f"{section} {feature.corner}".strip()
        box = boxes[section] if section else whole
        x = box.left if "left" in words else box.right
        y = box.bottom if "bottom" in words else box.top
        inward = (1 if x == box.left else -1) * feature.width
        upward = (1 if y == box.bottom else -1) * feature.height
        is_notch = feature.shape == "notch"
        ends = [
            (at, "" if is_notch and _is_scored(piece, axis, at) else name)
            for axis, at in ((0, x + inward), (1, y + upward))
        ]
        kind = "R" if feature.shape == "round" else feature.shape
        if not is_notch or (ends[0][1] and ends[1][1]):
            yield Shape(kind, ((0, (x, ""), ends[0]), (1, (y, ""), ends[1])))
        elif ends[0][1]:
            yield Shape("notch wide", ((0, (x, ""), ends[0]),))
        elif ends[1][1]:
            yield Shape("notch high", ((1, (y, ""), ends[1]),))
    for notch in thumb_notch_features(piece):
        yield _thumb_notch(piece, notch.edge, notch.radius)
    for tab in tab_features(piece):
        yield _tab(piece, tab.name, tab.taper)
    for window in piece.windows:
        box = bounds(window)
        yield Shape(
            "window",
            ((0, (box.left, ""), (box.right, "")), (1, (box.bottom, ""), (box.top, ""))),
        )


def _is_scored(piece: ResolvedPiece, axis: int, at: Fraction) -> bool:
    wanted = "horizontal" if axis else "vertical"
    return any(score.axis == wanted and score.at == at for score in piece.scores)


def _thumb_notch(piece: ResolvedPiece, edge: str, radius: Fraction) -> Shape:
    """Centred on its edge, by the caption's words."""
    along = 0 if edge in ("top", "bottom") else 1
    middle = (piece.width, piece.height)[along] / 2
    outer = {"left": ZERO, "bottom": ZERO, "right": piece.width, "top": piece.height}[edge]
    inward = radius if outer == 0 else -radius
    own = f"{edge} thumb notch"
    return Shape(
        "thumb notch R",
        (
            (along, (ZERO, ""), (middle, own)),
            (along, (middle, own), (middle - radius, own)),
            (along, (middle, own), (middle + radius, own)),
            (1 - along, (outer, ""), (outer + inward, own)),
        ),
    )


def _tab(piece: ResolvedPiece, name: str, taper: Fraction) -> Shape:
    """Its depth, from its score; the cut-back of its two ends, from its section's edges."""
    tab = next(tab for tab in piece.source.tabs if tab.name == name)
    box = piece.face(name).box
    deep = 1 if tab.edge in ("top", "bottom") else 0
    lows, highs = (box.left, box.bottom), (box.right, box.top)
    inner, outer = lows[deep], highs[deep]
    if tab.edge in ("left", "bottom"):
        inner, outer = outer, inner
    low, high = lows[1 - deep], highs[1 - deep]
    edges: list[tuple[int, Node, Node]] = [(deep, (inner, ""), (outer, ""))]
    if taper:
        edges.append((1 - deep, (low, ""), (low + taper, name)))
        edges.append((1 - deep, (high, ""), (high - taper, name)))
    return Shape("tab", tuple(edges))


def printed(piece: ResolvedPiece, scene: Scene, unit: str) -> Iterator[Dimension]:
    """Every dimension the scene prints."""
    factor = INCH if unit == "in" else Fraction(1)
    ring = next(s for s in scene.strokes(Line.VISIBLE) if s.subject == "outline").runs[0]
    box = bounding(ring)
    overall = {0: piece.width, 1: piece.height}
    for text in scene.texts:
        plain = text.text.replace("\N{NO-BREAK SPACE}", " ")
        if not _ALONE.fullmatch(plain) or plain == "0" or text.bold:
            continue
        value = value_of(plain) * factor
        axis, is_running = _side(text_rect(text), box)
        if not is_running:
            axis = next(a for a, size in sorted(overall.items()) if abs(size - value) < 1)
            value = overall.pop(axis)
        yield Dimension(plain, axis, (ZERO, ""), (_exactly(piece, axis, value), ""))
    yield from _noted(piece, scene)


def _side(text: Rect, piece: Rect) -> tuple[int, bool]:
    """The axis of a number beside the piece, and whether it is a running dimension."""
    if text.top < piece.bottom and text.right > piece.left - 3.0:
        return 0, True
    if text.left > piece.right and text.bottom < piece.top:
        return 1, True
    return 0, False


def _exactly(piece: ResolvedPiece, axis: int, value: Fraction) -> Fraction:
    """The piece's own coordinate that a printed number stands for, to what print rounds off."""
    own = {at for at, _ in needed(piece, axis)} | {(piece.width, piece.height)[axis]}
    nearest = min(own, key=lambda at: abs(at - value))
    return nearest if abs(nearest - value) <= Fraction(1, 4) else value


def _noted(piece: ResolvedPiece, scene: Scene) -> Iterator[Dimension]:
    """The dimensions that notes stand for; a note counts for as many features as it says."""
    counts: dict[str, int] = {}
    for text in scene.texts:
        match = _TIMES.fullmatch(text.text)
        if match:
            last = match[3].split()[-1]
            kind = f"notch {last}" if last in ("wide", "high") else match[2]
            counts[kind] = counts.get(kind, 0) + int(match[1] or 1)
        if _CIRCLE in text.text:
            counts["R"] = counts.get("R", 0) + 4
    seen: set[tuple[int, Node, Node]] = set()
    for shape in _shapes(piece):
        if counts.get(shape.kind, 0) == 0:
            continue
        counts[shape.kind] -= 1
        for edge in shape.edges:
            # The same notch at two corners of one edge is one dimension for both.
            if edge not in seen:
                seen.add(edge)
                yield Dimension(shape.kind, *edge)
