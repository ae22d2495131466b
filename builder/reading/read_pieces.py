"""One entry under ``pieces:`` → :class:`Piece`."""

from __future__ import annotations

from dataclasses import replace

from builder.choices import (
    CORNER_SHAPES,
    FOLDS,
    GLUE_EDGES,
    PIECE_KINDS,
    RELATIONS,
    SIDES,
    Fold,
    GlueEdge,
    OpeningShape,
    SideName,
    StripDirection,
    is_in_pocket,
    narrowed,
)
from builder.design import (
    Corner,
    Expression,
    KeepOff,
    Opening,
    Piece,
    Placement,
    Seam,
    Section,
    Tab,
    ThumbNotch,
)
from builder.findings import Finding, suggestion
from builder.geometry.edges import CORNERS, EDGES, EXTENTS, CornerName, EdgeName, Extent
from builder.reading.fields import NAME_REMEDY, Fields, is_name, read_expression, shifted
from builder.reading.nodes import Node, Scalar
from builder.reading.read_joins import known_face, read_joins, read_tucks
from builder.reading.references import faces_of_sections

_ANGLES = (0, 90, 180)
_MOST_SECTIONS = 20
_NO_GLUE = "none"
#: The key that an opening's size is written under.
_SIZE_OF_OPENING: dict[OpeningShape, str] = {"window": "size", "hole": "diameter"}

#: Words that stand for several corners at once.
_CORNER_GROUPS: dict[str, tuple[CornerName, ...]] = {
    "all": CORNERS,
    "top": ("top left", "top right"),
    "bottom": ("bottom left", "bottom right"),
    "left": ("top left", "bottom left"),
    "right": ("top right", "bottom right"),
} | {corner: (corner,) for corner in CORNERS}


def read_piece(name: Scalar, node: Node, findings: list[Finding]) -> Piece:
    fields = Fields(node, f"piece '{name.text}'", findings)
    stock, side = _stock_and_side(fields)
    across, up = _sections(fields)
    corners, section_corners = _corners(fields, across, up)
    tabs = _tabs(fields)
    faces = (*faces_of_sections(across, up), *(tab.name for tab in tabs))
    seams, dry_sections = _seams(fields, faces)
    piece = Piece(
        key=name.text,
        title=fields.text("name", name.text.replace("_", " ").capitalize()),
        kind=fields.choice("as", PIECE_KINDS, "piece"),
        position=name.position,
        stock=stock,
        side=side,
        size=_size(fields),
        width=fields.expression("width"),
        height=fields.expression("height"),
        across=across,
        up=up,
        placement=_placement(fields, faces),
        corners=corners,
        thumb_notches=_thumb_notches(fields),
        openings=_openings(fields, "window") + _openings(fields, "hole"),
        count=fields.whole("count", 1),
        note=fields.text("note"),
        motif=fields.text("motif") or None,
        edge=_edge(fields),
        region=fields.text("region") or None,
        section_corners=section_corners,
        tabs=tabs,
        seams=seams,
        dry_sections=dry_sections,
        joins=read_joins(fields, name.text, faces),
        tucks=read_tucks(fields, name.text, faces),
    )
    if piece.motif and (piece.edge or piece.region):
        key = "edge" if piece.edge else "region"
        message = f"{fields.what} is cut round a motif and asks for '{key}' as well"
        remedy = f"The motif says where it lies: remove '{key}', or 'motif'."
        fields.report("two-places", fields.key_position(key), message, remedy)
    fields.finish()
    return piece


def _edge(fields: Fields) -> EdgeName | None:
    """The one edge of its sheet that a piece touches; a name that is none stands for some edge."""
    names = fields.names("edge")
    for name in names:
        if name.text not in EDGES:
            message = f"'{name.text}' is no edge of a sheet"
            fields.report("unknown-value", name.position, message, suggestion(name.text, EDGES))
    if len(names) > 1:
        message = f"{fields.what} is to touch {len(names)} edges of its sheet"
        remedy = "Keep one of them; a place in a corner is a region of its side of the stock."
        fields.report("two-edges", names[1].position, message, remedy)
    return (narrowed(names[0].text, EDGES) or EDGES[0]) if names else None


def _stock_and_side(fields: Fields) -> tuple[str, SideName]:
    words = fields.text("from", required=True).split()
    side = narrowed(words[1], SIDES) if len(words) == 2 else None
    if side is not None:
        return words[0], side
    if len(words) > 1:
        scalar = fields.scalar("from")
        assert scalar is not None
        fields.report(
            "wrong-type",
            scalar.position,
            f"'{scalar.text}' is no stock with a side",
            "Write 'from: STOCK', 'from: STOCK front' or 'from: STOCK back'.",
        )
    return (words[0] if words else ""), "front"


def _size(fields: Fields) -> Expression | None:
    """``size: 4 x 6`` or a measure that is one, such as ``size: photo``."""
    size = fields.expression("size")
    for key in EXTENTS:
        if size is not None and fields.has(key):
            message = f"{fields.what} has both 'size' and '{key}'"
            fields.report("two-sizes", fields.key_position(key), message, "Keep one of them.")
    extents: dict[StripDirection, Extent] = {"across": "width", "up": "height"}
    for sections, extent in extents.items():
        for other in ("size", extent):
            if fields.has(sections) and fields.has(other):
                message = f"{fields.what} has both '{sections}' and '{other}'"
                remedy = f"Its {extent} is the sum of its sections; remove '{other}'."
                fields.report("two-sizes", fields.key_position(other), message, remedy)
    return size


def _sections(fields: Fields) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """Sections in order from the left edge (``across``) and from the bottom edge (``up``).

    ``fold`` and ``closed`` of the piece hold for every section that does not say otherwise; one
    score line alone folds shut, several stand at right angles.
    """
    fold: Fold = fields.choice("fold", FOLDS, "valley")
    closed = fields.whole("closed", -1, _ANGLES)
    across, up = (_row_of_sections(fields, key, fold, closed) for key in ("across", "up"))
    return across, up


def _row_of_sections(fields: Fields, key: str, fold: Fold, closed: int) -> tuple[Section, ...]:
    entries = fields.entries(key)
    if len(entries) > _MOST_SECTIONS:
        message = f"{fields.what} has more than {_MOST_SECTIONS} sections {key}"
        fields.report("too-many", fields.key_position(key), message, "Write fewer of them.")
    sections = []
    for name, node in entries[:_MOST_SECTIONS]:
        section = _section(fields, name, node, fold, closed)
        if section is not None:
            sections.append(section)
    usual = 180 if len(sections) == 2 else 90
    return tuple(
        section if section.closed >= 0 else replace(section, closed=usual) for section in sections
    )


def _section(fields: Fields, name: Scalar, node: Node, fold: Fold, closed: int) -> Section | None:
    if not is_name(name.text) or name.text in EXTENTS:
        message = f"'{name.text}' cannot be the name of a section"
        fields.report("bad-name", name.position, message, NAME_REMEDY)
    if isinstance(node, Scalar):
        size = read_expression(node, fields.findings)
    else:
        inner = Fields(node, f"section '{name.text}' of {fields.what}", fields.findings)
        size = inner.expression("size", required=True)
        fold = inner.choice("fold", FOLDS, fold)
        closed = inner.whole("closed", closed, _ANGLES)
        inner.finish()
    return None if size is None else Section(name.text, size, fold, closed, name.position)


def _tabs(fields: Fields) -> tuple[Tab, ...]:
    """``tabs: {left_wall: {top: 1/2, bottom: 1/2, taper: 1/8}}``."""
    tabs: list[Tab] = []
    for name, node in fields.entries("tabs"):
        inner = Fields(node, f"tabs of '{name.text}'", fields.findings)
        depths = inner.expressions(EDGES)
        taper = inner.expression("taper", required=True)
        fold: Fold = inner.choice("fold", FOLDS, "valley")
        closed = inner.whole("closed", 90, _ANGLES)
        inner.finish()
        if taper is not None:
            tabs.extend(
                Tab(name.text, edge, depth, taper, fold, closed, name.position)
                for edge, depth in depths.items()
            )
    return tuple(tabs)


def _seams(fields: Fields, faces: tuple[str, ...]) -> tuple[tuple[Seam, ...], tuple[str, ...]]:
    """``seams: {bottom_flap: {left: 1/4, right: 1/4}}``: from so far beside the fold on; and the
    sections that close without glue (``{top_flap: none}``)."""
    seams: list[Seam] = []
    dry_sections: list[str] = []
    for name, node in fields.entries("seams"):
        if isinstance(node, Scalar) and not node.is_missing:
            if node.text != "none":
                message = f"'{node.text}' is no seam of '{name.text}'"
                remedy = "Write 'none', or edges such as '{left: 1/4, right: 1/4}'."
                fields.report("unknown-value", node.position, message, remedy)
            elif known_face(fields, name, faces):
                dry_sections.append(name.text)
            continue
        inner = Fields(node, f"seams of '{name.text}'", fields.findings)
        asked = {edge: inner.expression(edge) for edge in EDGES}
        dry = {edge: start for edge, start in asked.items() if start is not None}
        inner.finish()
        seams.extend(Seam(name.text, edge, start, name.position) for edge, start in dry.items())
    return tuple(seams), tuple(dry_sections)


def _placement(fields: Fields, faces: tuple[str, ...]) -> Placement | None:
    relation = next((key for key in RELATIONS if fields.has(key)), None)
    hosts = {key: fields.scalar(key) for key in RELATIONS}
    distances = fields.expressions(EDGES)
    leaving = fields.expression("leaving")
    by = fields.names("by")
    turned = fields.whole("turned", 0, (0, 90, 180, 270))
    in_pocket = relation is not None and is_in_pocket(relation)
    glue = _glue(fields, () if in_pocket else ("all",))
    keep_off = _keep_off(fields)
    raised = fields.expression("raised")
    for extra in [each for each in RELATIONS if fields.has(each)][1:]:
        message = f"{fields.what} lies '{relation}' one piece and '{extra}' another"
        fields.report("two-hosts", fields.key_position(extra), message, "Keep one of them.")
    host = None if relation is None else hosts[relation]
    if relation is None or host is None:
        for key in ("by", "turned", "glue", "keep_off", "raised", "leaving", *EDGES):
            if not fields.has(key):
                continue
            message = f"'{key}' says how {fields.what} lies on a host, and it has none"
            remedy = "Say where it lies: on, behind, on_back or inside another piece."
            fields.report("no-host", fields.key_position(key), message, remedy)
        return None
    piece, _, face = host.text.partition(".")
    return Placement(
        relation=relation,
        host=piece,
        host_face=face or None,
        by=tuple(dict.fromkeys(n.text for n in by if known_face(fields, n, faces))),
        distances=distances,
        leaving=leaving,
        turned=turned,
        glue=glue,
        keep_off=keep_off,
        position=host.position,
        raised=raised,
    )


def _glue(fields: Fields, default: tuple[GlueEdge, ...]) -> tuple[GlueEdge, ...]:
    """Edges along which adhesive runs; ``("all",)`` for the whole face, empty for none."""
    names = fields.names("glue")
    if not names:
        return default
    found: list[GlueEdge] = []
    for name in names:
        edge = narrowed(name.text, GLUE_EDGES)
        if edge is not None:
            found.append(edge)
        elif name.text != _NO_GLUE:
            message = f"'{name.text}' is no edge to glue"
            remedy = suggestion(name.text, (*GLUE_EDGES, _NO_GLUE))
            fields.report("unknown-value", name.position, message, remedy)
    return tuple(found)


def _corner_names(fields: Fields, name: Scalar) -> tuple[CornerName, ...]:
    corners = _CORNER_GROUPS.get(name.text, ())
    if not corners:
        message = f"'{name.text}' is no corner"
        fields.report("unknown-key", name.position, message, suggestion(name.text, _CORNER_GROUPS))
    return corners


def _keep_off(fields: Fields) -> tuple[KeepOff, ...]:
    areas = []
    for name, node in fields.entries("keep_off"):
        if isinstance(node, Scalar):
            size = read_expression(node, fields.findings)
            edge = narrowed(name.text, EDGES)
            if size is not None and edge is not None:
                areas.append(KeepOff(edge, size))
            elif size is not None:
                areas.extend(KeepOff(corner, size) for corner in _corner_names(fields, name))
    return tuple(areas)


def _corners(
    fields: Fields, across: tuple[Section, ...], up: tuple[Section, ...]
) -> tuple[dict[CornerName, Corner], dict[tuple[str, CornerName], Corner]]:
    """Corners of the piece (``top left``) and of single sections (``top_flap top left``)."""
    corners: dict[CornerName, Corner] = {}
    of_sections: dict[tuple[str, CornerName], Corner] = {}
    faces = faces_of_sections(across, up)
    for name, node in fields.entries("corners"):
        corner = _corner(fields, node)
        face, _, rest = name.text.partition(" ")
        if corner is not None and face in faces and rest.strip() in _CORNER_GROUPS:
            for where in _CORNER_GROUPS[rest.strip()]:
                of_sections[face, where] = corner
        elif corner is not None:
            corners.update(dict.fromkeys(_corner_names(fields, name), corner))
    return corners, of_sections


def _corner(fields: Fields, node: Node) -> Corner | None:
    """``mitre 3/8``, ``round 1/4`` or ``notch 1 x 1/2``."""
    text = node.text if isinstance(node, Scalar) else ""
    word, _, rest = text.partition(" ")
    shape = narrowed(word, CORNER_SHAPES)
    if shape is None or not rest.strip():
        message = f"'{text}' is no corner shape"
        remedy = "Write 'mitre 3/8', 'mitre 1/2 x 2', 'round 1/4' or 'notch 1 x 1/2'."
        fields.report("unknown-value", node.position, message, remedy)
        return None
    start = len(text) - len(rest) + (isinstance(node, Scalar) and node.quoted)
    written = Scalar(rest, shifted(node.position, start), False)
    size = read_expression(written, fields.findings)
    return None if size is None else Corner(shape, size)


def _thumb_notches(fields: Fields) -> tuple[ThumbNotch, ...]:
    notches = []
    for name, node in fields.entries("thumb_notch"):
        size = read_expression(node, fields.findings) if isinstance(node, Scalar) else None
        edge = narrowed(name.text, EDGES)
        if edge is None:
            message = f"'{name.text}' is no edge"
            fields.report("unknown-key", name.position, message, suggestion(name.text, EDGES))
        elif size is not None:
            notches.append(ThumbNotch(edge, size))
    return tuple(notches)


def _openings(fields: Fields, shape: OpeningShape) -> tuple[Opening, ...]:
    """Windows have a size (width x height), holes a diameter."""
    openings = []
    for node in fields.items(shape):
        inner = Fields(node, f"{shape} of {fields.what}", fields.findings)
        size = inner.expression(_SIZE_OF_OPENING[shape], required=True)
        distances = inner.expressions(EDGES)
        inner.finish()
        if size is not None:
            openings.append(Opening(shape, size, distances, node.position))
    return tuple(openings)
