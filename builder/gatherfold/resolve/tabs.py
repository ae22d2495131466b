"""Glue tabs along the free edges of sections: their faces, their scores and their cut line.

In: a :class:`Piece`, its sections' faces and its outline.  Out: the outline with the tabs, which
stay within the piece's own rectangle, where its corners were notched.
"""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from gatherfold.geometry import (
    Box,
    EdgeName,
    Outline,
    Point,
    Segment,
    axis_of,
    crosses,
    holds,
    is_far,
    opposite,
    outward,
)
from gatherfold.model import Piece, Tab
from gatherfold.resolve.outlines import ENDS, refused_for_corners, runs_along, way_along
from gatherfold.resolve.resolved import Face, Score
from gatherfold.resolve.values import Values


@dataclass(frozen=True)
class ResolvedTab:
    """A tab's face (its full rectangle), its score, and its cut line along the section's edge.

    ``path`` runs counter-clockwise about the piece, from one end of the edge to the other.
    """

    source: Tab
    face: Face
    score: Score
    path: tuple[Point, Point, Point, Point]


def resolve_tabs(
    piece: Piece, whole: Box, sections: Sequence[Face], values: Values
) -> tuple[ResolvedTab, ...]:
    tabs: list[ResolvedTab] = []
    for tab in piece.tabs:
        section = next((face for face in sections if face.name == tab.section), None)
        if section is None:
            message = f"section '{tab.section}' of '{piece.key}' is notched away"
            raise values.refused("unknown-name", tab.position, message, "Remove its tabs.")
        found = _resolve_tab(tab, section.box, values)
        taken = [*(face.box for face in sections), *(other.face.box for other in tabs)]
        own = found.face.box
        if not holds(whole, own) or any(crosses(own, box) for box in taken):
            message = f"the {tab.edge} tab of '{tab.section}' has no room within '{piece.key}'"
            remedy = "Notch the corner beside it at least as deep as the tab."
            said, at = (message, remedy), tab.depth.position
            raise refused_for_corners(piece, at, "tab-without-room", said, values)
        tabs.append(found)
    return tuple(tabs)


def _resolve_tab(tab: Tab, box: Box, values: Values) -> ResolvedTab:
    depth, taper = values.length_of(tab.depth), values.length_of(tab.taper)
    along = box.along(tab.edge)
    if depth <= 0 or taper <= 0 or 2 * taper >= along:
        message = f"the {tab.edge} tab of '{tab.section}' has no sound size"
        remedy = "Its depth and taper are above zero, and two tapers are less than its length."
        raise values.refused("negative-size", tab.depth.position, message, remedy)
    first, last = ENDS[tab.edge]
    start, end = box.corner(first), box.corner(last)
    out_x, out_y = (way * depth for way in outward(tab.edge))
    in_x, in_y = (way * taper for way in way_along(tab.edge))
    path = (
        start,
        start.moved(out_x + in_x, out_y + in_y),
        end.moved(out_x - in_x, out_y - in_y),
        end,
    )
    outer = box.edge(tab.edge) + (depth if is_far(tab.edge) else -depth)
    own = replace(box, **{opposite(tab.edge): box.edge(tab.edge), tab.edge: outer})
    return ResolvedTab(tab, Face(tab.name, own), _score(tab, box), path)


def cut_away(outline: Outline, box: Box, edge: EdgeName) -> Fraction:
    """How much of its full rectangle is cut away at each end of a tab on this edge of a section,
    read off the outline along the tab's outer edge."""
    low, _ = box.ends(edge)
    on_edge = (p for p in outline.corners if p.across(edge) == box.edge(edge) and box.contains(p))
    return min((point.along(edge) for point in on_edge), default=low) - low


def _score(tab: Tab, box: Box) -> Score:
    sides = (tab.section, tab.name) if is_far(tab.edge) else (tab.name, tab.section)
    start, end = box.ends(tab.edge)
    return Score(axis_of(tab.edge), box.edge(tab.edge), start, end, tab.fold, tab.closed, sides)


def with_tabs(
    piece: Piece, outline: Outline, tabs: Sequence[ResolvedTab], values: Values
) -> Outline:
    """The outline with each tab's edge replaced by its cut line."""
    for tab in tabs:
        edges = list(outline.edges)
        start, *_, end = tab.path
        index = next((i for i, edge in enumerate(edges) if runs_along(edge, start, end)), None)
        if index is None:
            source = tab.source
            message = f"the {source.edge} edge of '{source.section}' in '{piece.key}' is not free"
            remedy = "A tab stands on a whole cut edge of its section."
            said, at = (message, remedy), source.depth.position
            raise refused_for_corners(piece, at, "tab-without-room", said, values)
        points = [edges[index].start, *tab.path, edges[index].end]
        lines = [Segment(a, b) for a, b in itertools.pairwise(points) if a != b]
        outline = Outline((*edges[:index], *lines, *edges[index + 1 :]))
    return outline
