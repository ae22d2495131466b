"""Invariants of a folio, recomputed from plain numbers by code that shares nothing with the checks.

In: :class:`Part` values, all lengths in mm.  Out: sentences, one for each invariant that is broken.
Places come from rotation matrices (Rodrigues' rotation formula); areas, containment and overlap
from shapely (GEOS), the geometry engine outside this project.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

Matrix = NDArray[np.float64]

#: What floats may add up to, mm.
_NEAR = 1e-6
#: How far arcs of many short chords lie from true ones, mm.
_CHORD = 0.01
#: The side of a sheet of 12 in, mm (1 in = 25.4 mm exactly).
SHEET = 304.8
#: Thickness of a printed photograph, mm (common practice, no source).
PHOTOGRAPH = 0.25
#: Pieces that lie side by side on a face; hinge tabs are covered by mats on purpose (common
#: practice, no source).
_SIDE_BY_SIDE = ("mat", "photo mat", "strip")
_KEPT_WITHIN = ("mat", "photo mat", "strip", "pocket")


@dataclass(frozen=True)
class Part:
    """One piece as a maker would note it down.

    ``sections`` are its parts between scores from the left or the bottom, as ``across`` says; one
    without folds has a single one.  ``angles`` are those of its folds when closed, above zero
    towards its front.  ``left`` and ``bottom`` run from the edges of the host's section, seen as
    the piece is laid.  ``corners``: which, how shaped, how wide and high.
    """

    key: str
    kind: str
    width: Fraction
    height: Fraction
    sections: tuple[tuple[str, Fraction], ...]
    across: bool
    angles: tuple[int, ...]
    relation: str
    host: str
    host_section: str
    by: str
    left: Fraction
    bottom: Fraction
    turned: int
    glue: tuple[str, ...]
    corners: tuple[tuple[str, str, float, float], ...]
    caliper: float
    count: int
    is_closure: bool

    def place_of(self, section: str) -> tuple[float, float, float, float]:
        """Left, bottom, right and top of one section in the piece's own coordinates."""
        start = 0.0
        for name, size in self.sections:
            end = start + float(size)
            if name == section:
                if self.across:
                    return start, 0.0, end, float(self.height)
                return 0.0, start, float(self.width), end
            start = end
        raise KeyError(section)


@dataclass(frozen=True)
class Placed:
    """One section in space: ``matrix`` takes its piece's own coordinates there."""

    part: Part
    section: str
    matrix: Matrix

    @cached_property
    def corners(self) -> Matrix:
        left, bottom, right, top = self.part.place_of(self.section)
        own = [(left, bottom), (right, bottom), (right, top), (left, top)]
        return np.array([(self.matrix @ (x, y, 0.0, 1.0))[:3] for x, y in own])

    @property
    def normal(self) -> Matrix:
        return np.asarray(self.matrix[:3, 2])

    @property
    def is_flat(self) -> bool:
        return bool(abs(self.normal[2]) > 0.5)

    @property
    def height(self) -> float:
        return float(self.matrix[2, 3] + self.matrix[2, :2] @ self.part.place_of(self.section)[:2])

    @cached_property
    def seen(self) -> Polygon:
        """The section's rectangle seen from the front of the page."""
        return Polygon([(x, y) for x, y, _ in self.corners])


# Places


def _moved(x: float, y: float, z: float = 0.0) -> Matrix:
    matrix = np.eye(4)
    matrix[:3, 3] = (x, y, z)
    return matrix


def _rotated(axis: tuple[float, float, float], degrees: float) -> Matrix:
    """About an axis through the origin: I + sin·K + (1 − cos)·K² (Rodrigues)."""
    x, y, z = axis
    cross = np.array([[0, -z, y], [z, 0, -x], [-y, x, 0]], dtype=float)
    angle = math.radians(degrees)
    matrix = np.eye(4)
    matrix[:3, :3] += math.sin(angle) * cross + (1 - math.cos(angle)) * (cross @ cross)
    return matrix


def _about(matrix: Matrix, x: float, y: float) -> Matrix:
    return np.asarray(_moved(x, y) @ matrix @ _moved(-x, -y))


def _section_matrices(part: Part, start: Matrix, is_closed: bool) -> dict[str, Matrix]:
    """Each section's place, folding outward both ways from the one that the piece lies by."""
    names = [name for name, _ in part.sections]
    first = names.index(part.by)
    found = {part.by: start}
    for step in (1, -1):
        matrix, index = start, first
        while 0 <= index + step < len(names):
            score = index if step > 0 else index - 1
            end = part.place_of(names[score])[2:]
            x, y = (end[0], 0.0) if part.across else (0.0, end[1])
            angle = part.angles[score] * step if is_closed else 0
            axis = (0.0, -1.0, 0.0) if part.across else (1.0, 0.0, 0.0)
            matrix = matrix @ _about(_rotated(axis, angle), x, y)
            index += step
            found[names[index]] = matrix
    return found


def _lying(part: Part, host: Part) -> Matrix:
    """From the piece's own coordinates to those of its host."""
    left, bottom, right, _ = host.place_of(part.host_section)
    own = part.place_of(part.by)
    wide = own[2] - own[0]
    turn = _about(
        _rotated((0.0, 0.0, 1.0), part.turned), (own[0] + own[2]) / 2, (own[1] + own[3]) / 2
    )
    assert part.turned % 180 == 0, "no piece of the folio lies sideways"
    to_corner = _moved(-own[0], -own[1]) @ turn
    if part.relation == "on_back":
        # Its left is on the right as seen from the front.
        middle = right - float(part.left) - wide / 2
        flip = _about(_rotated((0.0, 1.0, 0.0), 180), middle, 0.0)
        return np.asarray(flip @ _moved(middle - wide / 2, bottom + float(part.bottom)) @ to_corner)
    return np.asarray(_moved(left + float(part.left), bottom + float(part.bottom)) @ to_corner)


def place(parts: Mapping[str, Part], is_closed: bool) -> list[Placed]:
    """Every section of the body that lies on the piece with most on it, hosts first."""
    matrices: dict[tuple[str, str], Matrix] = {}
    waiting = list(parts)
    root = _body(parts)
    while waiting:
        left_over = []
        for key in waiting:
            part = parts[key]
            if not part.host:
                start = np.eye(4) if key == root else None
            elif (part.host, part.host_section) in matrices:
                host = matrices[part.host, part.host_section]
                start = host @ _lying(part, parts[part.host])
            else:
                left_over.append(key)
                continue
            if start is not None:
                for name, matrix in _section_matrices(part, start, is_closed).items():
                    matrices[key, name] = matrix
        if len(left_over) == len(waiting):
            break
        waiting = left_over
    return [
        Placed(parts[key], section, matrices[key, section])
        for key in parts
        for section, _ in parts[key].sections
        if (key, section) in matrices
    ]


def _body(parts: Mapping[str, Part]) -> str:
    """The piece that lies on nothing and carries most."""

    def root_of(key: str) -> str:
        while parts[key].host:
            key = parts[key].host
        return key

    roots = [root_of(key) for key in parts]
    return max(dict.fromkeys(roots), key=roots.count)


# Flat areas


def cut_shape(part: Part) -> Polygon:
    """The whole piece as it is cut, with its round and mitred corners."""
    width, height = float(part.width), float(part.height)
    shape = box(0.0, 0.0, width, height)
    for where, how, wide, high in part.corners:
        x = 0.0 if "left" in where else width
        y = 0.0 if "bottom" in where else height
        inward = (1 if x == 0 else -1, 1 if y == 0 else -1)
        off = Polygon([(x, y), (x + inward[0] * wide, y), (x, y + inward[1] * high)])
        if how == "round":
            square = box(*sorted_box(x, y, x + inward[0] * wide, y + inward[1] * wide))
            disc = Point(x + inward[0] * wide, y + inward[1] * wide).buffer(wide, 64)
            off = square.difference(disc)
        shape = shape.difference(off)
    return shape


def sorted_box(x: float, y: float, other_x: float, other_y: float) -> tuple[float, ...]:
    return min(x, other_x), min(y, other_y), max(x, other_x), max(y, other_y)


def _on_host(part: Part, host: Part) -> Polygon:
    """The rectangle that the piece's section covers, in the host's coordinates."""
    matrix = _lying(part, host)
    left, bottom, right, top = part.place_of(part.by)
    own = [(left, bottom), (right, bottom), (right, top), (left, top)]
    return Polygon([tuple((matrix @ (x, y, 0.0, 1.0))[:2]) for x, y in own])


def _shape_on_host(part: Part, host: Part) -> Polygon:
    matrix = _lying(part, host)
    points = cut_shape(part).exterior.coords
    return Polygon([tuple((matrix @ (x, y, 0.0, 1.0))[:2]) for x, y in points])


# Invariants


def broken_invariants(
    parts: Mapping[str, Part],
    closing: Sequence[str],
    tape: float,
    tolerance: float,
    step: Fraction,
) -> list[str]:
    """What is wrong with a folio; ``step`` is the finest that can be marked in its edition."""
    closed = place(parts, is_closed=True)
    return [
        *sums(parts),
        *containment(parts, closed),
        *collisions(parts, closed, closing),
        *paths(parts, tape, tolerance),
        *thickness(parts, closed, closing),
        *marks(parts, step),
        *reveals(parts),
        *closing_band(parts, tolerance),
    ]


def sums(parts: Mapping[str, Part]) -> Iterator[str]:
    """(a) Parts that fill something add up to it."""
    for end in ("top", "bottom"):
        row = [f"{end}_flap_left_strip", f"{end}_flap_photo_mat", f"{end}_flap_right_strip"]
        total = sum((parts[key].width for key in row), Fraction(0))
        if total != parts[f"{end}_flap"].width:
            yield f"strips and photo mat come to {total} on the {end} flap"
        at = Fraction(0)
        for key in row:
            if parts[key].left != at:
                yield f"{key} does not begin where its neighbour ends"
            at = parts[key].left + parts[key].width
    for part in parts.values():
        total = sum((size for _, size in part.sections), Fraction(0))
        if total != (part.width if part.across else part.height):
            yield f"the sections of {part.key} come to {total}"
    left, right = parts["back_left_photo_mat"], parts["back_right_photo_mat"]
    photograph = parts["top_flap_photo_mat"].width
    if left.width + right.width != photograph:
        yield "two half photo mats are not one photo place"
    if left.left + left.width != right.left:
        yield "the two half photo mats do not meet"


def containment(parts: Mapping[str, Part], closed: Sequence[Placed]) -> Iterator[str]:
    """(b) What is glued to a face stays on it, and a closed folio keeps its flaps inside."""
    for part in parts.values():
        if part.kind not in _KEPT_WITHIN or not part.host:
            continue
        host = parts[part.host]
        face = box(*host.place_of(part.host_section))
        if not face.buffer(_NEAR).covers(_on_host(part, host)):
            yield f"{part.key} reaches beyond its host's face"
        elif part.relation == "on" and len(host.sections) == 1:
            paper = cut_shape(host).buffer(_CHORD)
            if host.kind != "pocket" and not paper.covers(_shape_on_host(part, host)):
                yield f"{part.key} reaches beyond the shaped corners of its host"
    cover = next(at.seen for at in closed if at.part.key == "back_cover").buffer(_NEAR)
    for at in closed:
        if at.part.kind == "flap" and not cover.covers(at.seen):
            yield f"closed, {at.part.key} reaches beyond the cover"


def collisions(
    parts: Mapping[str, Part], closed: Sequence[Placed], closing: Sequence[str]
) -> Iterator[str]:
    """(c) Neighbours do not overlap, nothing passes through what stands, and what is folded in
    first lies below."""
    faces: dict[tuple[str, str, str], list[Part]] = {}
    for part in parts.values():
        if part.kind in _SIDE_BY_SIDE and part.host:
            face = (part.host, part.host_section, part.relation)
            faces.setdefault(face, []).append(part)
    for (host, _, _), sharing in faces.items():
        for index, part in enumerate(sharing):
            here = _on_host(part, parts[host])
            for other in sharing[index + 1 :]:
                if here.intersection(_on_host(other, parts[host])).area > _NEAR:
                    yield f"{part.key} and {other.key} overlap"
    body = [at for at in closed if not at.part.is_closure]
    for standing in (at for at in body if not at.is_flat):
        yield from _passing(standing, body)
    yield from _out_of_order(parts, body, closing)


def _out_of_order(
    parts: Mapping[str, Part], body: Sequence[Placed], closing: Sequence[str]
) -> Iterator[str]:
    """What is folded in later comes to lie over what is there, not under it."""
    flaps = [at for at in body if at.is_flat and at.part.kind == "flap"]
    for at in flaps:
        for later in flaps:
            first, second = (
                max(_ranks(parts, x.part.key, x.section, closing), default=-1) for x in (at, later)
            )
            over = at.seen.intersection(later.seen).area > _NEAR
            if first < second and over and at.height > later.height + _NEAR:
                yield f"{later.part.key} is folded in later, and {at.part.key} lies over it"


def _passing(standing: Placed, body: Sequence[Placed]) -> Iterator[str]:
    """Flat faces that a standing gusset cuts through, and gussets that stand in one place."""
    corners = standing.corners
    low, high = corners[:, 2].min(), corners[:, 2].max()
    line = LineString([corners[:, :2].min(axis=0), corners[:, :2].max(axis=0)])
    for at in body:
        if at.part.key == standing.part.key:
            continue
        if at.is_flat:
            inside = at.seen.buffer(-_NEAR)
            if low + _NEAR < at.height < high - _NEAR and line.intersection(inside).length > _NEAR:
                yield f"{at.part.key} passes through the gusset of {standing.part.key}"
        elif at.part.key > standing.part.key:
            other = at.corners
            level = min(high, other[:, 2].max()) - max(low, other[:, 2].min())
            run = LineString([other[:, :2].min(axis=0), other[:, :2].max(axis=0)])
            if level > _NEAR and line.intersection(run).length > _NEAR:
                yield f"the gussets of {standing.part.key} and {at.part.key} stand in one place"


def paths(parts: Mapping[str, Part], tape: float, tolerance: float) -> Iterator[str]:
    """(d) An insert slides out of its mouth past the tape on the three other edges.

    Twice the tolerance: the insert cut too large and the pocket too small (common practice, no
    source).
    """
    for part in parts.values():
        if part.relation != "inside":
            continue
        pocket = parts[part.host]
        width, height = float(pocket.width), float(pocket.height)
        bands = {
            "left": box(0.0, 0.0, tape, height),
            "right": box(width - tape, 0.0, width, height),
            "bottom": box(0.0, 0.0, width, tape),
            "top": box(0.0, height - tape, width, height),
        }
        if "top" in pocket.glue or not {"left", "right", "bottom"} <= {*pocket.glue}:
            yield f"the mouth of {pocket.key} is not its top"
            continue
        left, bottom = float(part.left), float(part.bottom)
        right = left + float(part.width)
        swept = box(left, bottom, right, height + float(part.height))
        glued = unary_union([bands[edge] for edge in pocket.glue])
        if swept.intersection(glued).area > _NEAR:
            yield f"{part.key} sweeps over the tape of {pocket.key}"
        if width - 2 * tape - float(part.width) < 2 * tolerance - _NEAR:
            yield f"{part.key} has too little play in {pocket.key}"


def thickness(
    parts: Mapping[str, Part], closed: Sequence[Placed], closing: Sequence[str]
) -> Iterator[str]:
    """(e) What lies between the closed faces of a gusset is no thicker than the gusset."""
    levels = _levels(parts, closed, closing)
    xs, ys = _samples(closed)
    covers = {(at.part.key, at.section): _covered(at.seen, xs, ys) for at in closed if at.is_flat}
    for key, part in parts.items():
        own = [name for name, _ in part.sections if (key, name) in levels]
        if len(part.sections) < 3 or len(own) < 2:
            continue
        low = min(levels[key, name] for name in own)
        high = max(levels[key, name] for name in own)
        gap = high[0] - low[0]
        pile = np.zeros((len(xs), len(ys)))
        for name, level in levels.items():
            if low < level < high and name[0] != key:
                pile += covers[name] * _layer_thickness(parts[name[0]])
        if pile.max() > gap + _NEAR:
            yield f"{pile.max():.2f} mm lie in the {gap:.2f} mm of {key}"


def _layer_thickness(part: Part) -> float:
    photograph = PHOTOGRAPH if part.kind == "photo mat" else 0.0
    return part.caliper * part.count + photograph


def _samples(closed: Sequence[Placed]) -> tuple[Matrix, Matrix]:
    """Lines through the middles of the lattice that the edges of all faces draw: xs and ys."""
    lines = []
    for axis in (0, 1):
        edges = np.concatenate([at.corners[:, axis] for at in closed])
        edges = np.unique(np.round(edges, 6))
        lines.append((edges[1:] + edges[:-1]) / 2)
    return lines[0], lines[1]


def _covered(face: Polygon, xs: Matrix, ys: Matrix) -> NDArray[np.bool_]:
    """Which crossings of the lines lie on an upright rectangle."""
    left, bottom, right, top = face.bounds
    return np.outer((xs > left) & (xs < right), (ys > bottom) & (ys < top))


_Level = tuple[float, int, int]


def _levels(
    parts: Mapping[str, Part], closed: Sequence[Placed], closing: Sequence[str]
) -> dict[tuple[str, str], _Level]:
    """How high each flat section lies: its plane, then what was closed later, then its layer."""
    placed = {(at.part.key, at.section): at for at in closed if at.is_flat}
    found: dict[tuple[str, str], _Level] = {}
    for key, section in placed:
        part = parts[key]
        if section == part.by and part.host:
            continue
        # It hangs on nothing or on a fold: what is glued to it moves with it.
        upward = 1 if placed[key, section].normal[2] > 0 else -1
        moved = max(_ranks(parts, key, section, closing), default=-1)
        for index, name in enumerate(_glued_pile(parts, key, section)):
            if name in placed:
                found[name] = (round(placed[name].height, 6), moved, upward * index)
    return found


def _ranks(
    parts: Mapping[str, Part], key: str, section: str, closing: Sequence[str]
) -> Iterator[int]:
    """When the folds close that a section hangs on."""
    while True:
        if section != parts[key].by and key in closing:
            yield closing.index(key)
        if not parts[key].host:
            return
        key, section = parts[key].host, parts[key].host_section


def _glued_pile(parts: Mapping[str, Part], key: str, section: str) -> list[tuple[str, str]]:
    """What is glued together in one plane, from the back to the front of the given section."""
    back, front = _halves(parts, key, section)
    return [*back, *front]


def _halves(
    parts: Mapping[str, Part], key: str, section: str
) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Up to and with the section itself, and what lies on its front."""
    back: list[tuple[str, str]] = []
    loose: list[tuple[str, str]] = []
    front: list[tuple[str, str]] = []
    for part in parts.values():
        if (part.host, part.host_section) != (key, section):
            continue
        under, over = _halves(parts, part.key, part.by)
        if part.relation == "on_back":
            back = [*reversed([*under, *over]), *back]
        elif part.relation == "behind":
            back, front = [*under, *back], [*front, *over]
        elif part.relation == "inside":
            loose += [*under, *over]
        else:
            front += [*under, *over]
    return [*back, *loose, (key, section)], front


def marks(parts: Mapping[str, Part], step: Fraction) -> Iterator[str]:
    """(f) Everything cut or scored lies on a mark, and comes out of a sheet."""
    for part in parts.values():
        at = Fraction(0)
        scores = []
        for _, size in part.sections[:-1]:
            at += size
            scores.append(at)
        for length in (part.width, part.height, *scores):
            if (length / step).denominator != 1:
                yield f"{part.key} needs a mark at {float(length):.3f} mm"
        if max(part.width, part.height) > SHEET:
            yield f"{part.key} is larger than its sheet"


def reveals(parts: Mapping[str, Part]) -> Iterator[str]:
    """(g) The two side borders of a mat are even."""
    for part in parts.values():
        if part.kind == "mat" and part.host:
            left, _, right, _ = parts[part.host].place_of(part.host_section)
            rest = right - left - float(part.left) - float(part.width)
            if abs(rest - float(part.left)) > _NEAR:
                yield f"{part.key} leaves uneven borders"


def closing_band(parts: Mapping[str, Part], tolerance: float) -> Iterator[str]:
    """(h) A slide-off band is wider and deeper than the closed folio, in the worst case of
    cutting (common practice, no source)."""
    band = {name: float(size) for name, size in parts["band_back"].sections}
    spine = {name: float(size) for name, size in parts["spine"].sections}
    for what, inside, body in (
        ("wide", band["run"], float(parts["back_cover"].width)),
        ("deep", min(band["left_side"], band["right_side"]), spine["gusset"]),
    ):
        if inside < body + 2 * tolerance - _NEAR:
            yield f"the band is {inside:.2f} mm {what} for {body:.2f} mm"
