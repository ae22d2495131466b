"""One entry under ``pieces:`` → :class:`Piece`."""

from collections.abc import Iterator
from functools import partial
from typing import TypeVar

from gatherfold.geometry import CORNERS, EDGES, EXTENTS, CornerName, EdgeName
from gatherfold.model import (
    CORNER_SHAPES,
    FOLDS,
    GLUE_EDGES,
    JOIN_RELATIONS,
    PIECE_KINDS,
    RELATIONS,
    SIDES,
    STRIP_DIRECTIONS,
    Corner,
    Expression,
    Fold,
    GlueEdge,
    Join,
    Opening,
    OpeningShape,
    Piece,
    Placement,
    Seam,
    Section,
    SideName,
    StripDirection,
    Tab,
    Tuck,
    is_in_pocket,
    narrowed,
)
from gatherfold.reading.fields import NAME_REMEDY, Fields, is_name, read_expression
from gatherfold.reading.nodes import Node, Scalar, SequenceNode
from gatherfold.reading.references import faces_of_sections

_ANGLES = (0, 90, 180)
_MOST_SECTIONS = 20
_NO_GLUE = "none"
#: Words that stand for several corners at once.
_CORNER_GROUPS: dict[str, tuple[CornerName, ...]] = {
    "all": CORNERS,
    "top": ("top left", "top right"),
    "bottom": ("bottom left", "bottom right"),
    "left": ("top left", "bottom left"),
    "right": ("top right", "bottom right"),
} | {corner: (corner,) for corner in CORNERS}
#: Where no adhesive goes: along an edge, or at corners.
_PLACES: dict[str, tuple[EdgeName | CornerName, ...]] = {
    **_CORNER_GROUPS,
    **{edge: (edge,) for edge in EDGES},
}
#: The keys that say how far a piece lies from the edges of its host.
_DISTANCES = ("leaving", *EDGES)

_Word = TypeVar("_Word", bound=str)


def read_piece(name: Scalar, fields: Fields) -> Piece:
    """One entry under ``pieces:``."""
    stock, side = _stock_and_side(fields)
    across, up = _sections(fields)
    corners, section_corners = _corners(fields, across, up)
    tabs = _tabs(fields)
    faces = (*faces_of_sections(across, up), *(tab.name for tab in tabs))
    seams, dry_sections = _seams(fields, faces)
    motif, edge, region = _place_on_sheet(fields)
    return Piece(
        key=name.text,
        title=fields.title(name),
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
        openings=(*_openings(fields, "window", "size"), *_openings(fields, "hole", "diameter")),
        count=fields.whole("count", 1),
        note=fields.text("note"),
        motif=motif,
        edge=edge,
        region=region,
        section_corners=section_corners,
        tabs=tabs,
        seams=seams,
        dry_sections=dry_sections,
        joins=tuple(_joins(fields, name.text, faces)),
        tucks=tuple(_tucks(fields, name.text, faces)),
    )


def _place_on_sheet(fields: Fields) -> tuple[str | None, EdgeName | None, str | None]:
    """The motif that a piece is cut round; or else the edge that it touches, and its region."""
    motif, edge, region = fields.text("motif"), _edge(fields), fields.text("region")
    if motif and (edge or region):
        key = "edge" if edge else "region"
        message = f"{fields.what} is cut round a motif and asks for '{key}' as well"
        remedy = f"The motif says where it lies: remove '{key}', or 'motif'."
        fields.report("two-places", fields.key_position(key), message, remedy)
    return motif or None, edge, region or None


def _edge(fields: Fields) -> EdgeName | None:
    """The one edge of its sheet that a piece touches; a name that is none stands for some edge."""
    names = fields.names("edge")
    for name in names:
        fields.is_known(name, EDGES, f"'{name.text}' is no edge of a sheet", "unknown-value")
    if len(names) > 1:
        message = f"{fields.what} is to touch {len(names)} edges of its sheet"
        remedy = "Keep one of them; a place in a corner is a region of its side of the stock."
        fields.report("two-edges", names[1].position, message, remedy)
    return (narrowed(names[0].text, EDGES) or EDGES[0]) if names else None


def _stock_and_side(fields: Fields) -> tuple[str, SideName]:
    written = fields.text("from", required=True)
    stock, *sides = written.split() or [""]
    side = narrowed(sides[0], SIDES) if len(sides) == 1 else None
    if sides and side is None:
        message = f"'{written}' is no stock with a side"
        remedy = "Write 'from: STOCK', 'from: STOCK front' or 'from: STOCK back'."
        fields.report("wrong-type", fields.value_position("from"), message, remedy)
    return stock, side or "front"


def _size(fields: Fields) -> Expression | None:
    """``size: 4 x 6`` or a measure that is one, such as ``size: photo``."""
    for sections, extent in zip(STRIP_DIRECTIONS, EXTENTS, strict=True):
        remedy = f"Its {extent} is the sum of its sections; remove "
        for first, other, how in (
            ("size", extent, "Keep one of them."),
            (sections, "size", f"{remedy}'size'."),
            (sections, extent, f"{remedy}'{extent}'."),
        ):
            if fields.has(first) and fields.has(other):
                message = f"{fields.what} has both '{first}' and '{other}'"
                fields.report("two-sizes", fields.key_position(other), message, how)
    return fields.expression("size")


def _sections(fields: Fields) -> tuple[tuple[Section, ...], tuple[Section, ...]]:
    """Sections in order from the left edge (``across``) and from the bottom edge (``up``).

    ``fold`` and ``closed`` of the piece hold for every section that does not say otherwise; one
    score line alone folds shut, several stand at right angles.
    """
    across, up = (_row_of_sections(fields, key) for key in STRIP_DIRECTIONS)
    return across, up


def _row_of_sections(fields: Fields, key: StripDirection) -> tuple[Section, ...]:
    what = f"section '{{}}' of {fields.what}"
    fold: Fold = fields.choice("fold", FOLDS, "valley")
    usual = 180 if len(fields.entries(key)) == 2 else 90
    closed = fields.whole("closed", usual, _ANGLES)
    sections = [
        Section(
            name.text,
            section.needed("size"),
            section.choice("fold", FOLDS, fold),
            section.whole("closed", closed, _ANGLES),
            name.position,
        )
        for name, section in fields.parts(key, what, "size", partial(_can_be_section, fields))
    ]
    if len(sections) > _MOST_SECTIONS:
        message = f"{fields.what} has more than {_MOST_SECTIONS} sections {key}"
        fields.report("too-many", fields.key_position(key), message, "Write fewer of them.")
    return tuple(sections[:_MOST_SECTIONS])


def _can_be_section(fields: Fields, name: Scalar) -> bool:
    """Report a name that formulas could not tell from an extent; its section is read all the
    same, so that others may speak of it."""
    if not is_name(name.text) or name.text in EXTENTS:
        message = f"'{name.text}' cannot be the name of a section"
        fields.report("bad-name", name.position, message, NAME_REMEDY)
    return True


def _tabs(fields: Fields) -> tuple[Tab, ...]:
    """``tabs: {left_wall: {top: 1/2, bottom: 1/2, taper: 1/8}}``."""
    tabs: list[Tab] = []
    for name, section in fields.parts("tabs", "tabs of '{}'"):
        taper = section.needed("taper")
        fold: Fold = section.choice("fold", FOLDS, "valley")
        closed = section.whole("closed", 90, _ANGLES)
        for edge, depth in section.expressions(EDGES).items():
            tabs.append(Tab(name.text, edge, depth, taper, fold, closed, name.position))
    return tuple(tabs)


def _seams(fields: Fields, faces: tuple[str, ...]) -> tuple[tuple[Seam, ...], tuple[str, ...]]:
    """``seams: {bottom_flap: {left: 1/4, right: 1/4}}``: from so far beside the fold on; and the
    sections that close without glue (``{top_flap: none}``)."""
    seams: list[Seam] = []
    dry_sections: list[str] = []
    for name, node in fields.entries("seams"):
        if not isinstance(node, Scalar) or node.is_missing:
            with Fields(node, f"seams of '{name.text}'", fields.problems) as section:
                for edge, start in section.expressions(EDGES).items():
                    seams.append(Seam(name.text, edge, start, name.position))
        elif node.text != _NO_GLUE:
            message = f"'{node.text}' is no seam of '{name.text}'"
            remedy = "Write 'none', or edges such as '{left: 1/4, right: 1/4}'."
            fields.report("unknown-value", node.position, message, remedy)
        elif known_face(fields, name, faces):
            dry_sections.append(name.text)
    return tuple(seams), tuple(dry_sections)


def _placement(fields: Fields, faces: tuple[str, ...]) -> Placement | None:
    found = _host(fields, RELATIONS, "piece", "Keep one of them.")
    if found is None and not any(fields.has(relation) for relation in RELATIONS):
        for key in filter(fields.has, ("by", "turned", "glue", *_DISTANCES, "keep_off", "raised")):
            message = f"'{key}' says how {fields.what} lies on a host, and it has none"
            remedy = "Say where it lies: on, behind, on_back or inside another piece."
            fields.report("no-host", fields.key_position(key), message, remedy)
    relation, host = found or (RELATIONS[0], Scalar("", fields.position, False))
    piece, _, face = host.text.partition(".")
    all_over: tuple[GlueEdge, ...] = () if is_in_pocket(relation) else ("all",)
    placement = Placement(
        relation=relation,
        host=piece,
        host_face=face or None,
        by=tuple(dict.fromkeys(n.text for n in fields.names("by") if known_face(fields, n, faces))),
        distances=fields.expressions(EDGES),
        leaving=fields.expression("leaving"),
        turned=fields.whole("turned", 0, (0, 90, 180, 270)),
        glue=_glue(fields, all_over, _NO_GLUE),
        keep_off=_keep_off(fields),
        position=host.position,
        raised=fields.expression("raised"),
    )
    return placement if found else None


def _host(
    fields: Fields, relations: tuple[_Word, ...], noun: str, remedy: str
) -> tuple[_Word, Scalar] | None:
    """The host, and how its piece or face meets it: the key that it is written under."""
    hosts = {relation: fields.scalar(relation) for relation in relations}
    given = fields.in_file_order(relations)
    for extra in given[1:]:
        message = f"{fields.what} is '{given[0]}' one {noun} and '{extra}' another"
        fields.report("two-hosts", fields.key_position(extra), message, remedy)
    host = hosts[given[0]] if given else None
    return None if host is None else (given[0], host)


def _glue(fields: Fields, default: tuple[GlueEdge, ...], *others: str) -> tuple[GlueEdge, ...]:
    """Edges along which adhesive runs; ``("all",)`` for the whole face, empty for none."""
    names = fields.names("glue")
    for name in names:
        message = f"'{name.text}' is no edge to glue in {fields.what}"
        fields.is_known(name, (*GLUE_EDGES, *others), message, "unknown-value")
    edges = (narrowed(name.text, GLUE_EDGES) for name in names)
    found = tuple(dict.fromkeys(edge for edge in edges if edge is not None))
    return found if names else default


def known_face(fields: Fields, name: Scalar, faces: tuple[str, ...]) -> bool:
    """Whether a piece has a face of this name; it is reported where it has none."""
    return fields.is_known(name, faces, f"{fields.what} has no section '{name.text}'")


def _joins(fields: Fields, key: str, faces: tuple[str, ...]) -> Iterator[Join]:
    """``joins: {flap: {facing: card.body, glue: left}}``; a value may be a list of such."""
    for face, node in fields.entries("joins"):
        is_known = known_face(fields, face, faces)
        nodes = node.items if isinstance(node, SequenceNode) else (node,)
        example = f"Write '{face.text}: {{on: PIECE.SECTION}}', with one of: "
        example += ", ".join(JOIN_RELATIONS) + "."
        if not nodes:
            message = f"'{face.text}' of {fields.what} is joined to nothing"
            fields.report("missing-value", node.position, message, example)
        for each in nodes:
            what = f"join of '{face.text}' of {fields.what}"
            with Fields(each, what, fields.problems) as inner:
                join = _join(inner, face.text, example)
            only_face = faces[0] if len(faces) == 1 else ""
            itself = (key, face.text)
            if join is not None and (join.host, join.host_face or only_face) == itself:
                message = f"'{face.text}' of {fields.what} is joined to itself"
                remedy = "Name the face that it is glued to."
                fields.report("joined-to-itself", join.position, message, remedy)
            elif join is not None and is_known:
                yield join


def _join(fields: Fields, face: str, example: str) -> Join | None:
    found = _host(fields, JOIN_RELATIONS, "face", "Keep one of them, or write a list of joins.")
    glue = _glue(fields, ("all",))
    if found is None:
        if fields.is_mapping and not any(fields.has(each) for each in JOIN_RELATIONS):
            message = f"{fields.what} names no host"
            fields.report("no-host", fields.position, message, example)
        return None
    relation, host = found
    piece, _, section = host.text.partition(".")
    edges = ("all",) if "all" in glue else glue
    return Join(face, relation, piece, section or None, edges, host.position)


def _tucks(fields: Fields, key: str, faces: tuple[str, ...]) -> Iterator[Tuck]:
    """``tucks: {top_flap: left_flap}``: what lies over a section in the end, though that closes
    later; of another piece ``PIECE.SECTION``."""
    for section, node in fields.entries("tucks"):
        if not isinstance(node, Scalar) or node.is_missing:
            message = f"'{section.text}' of {fields.what} is tucked under one section"
            remedy = f"Write '{section.text}: SECTION', or PIECE.SECTION of another piece."
            fields.report("wrong-type", node.position, message, remedy)
        elif known_face(fields, section, faces):
            piece, dot, face = node.text.partition(".")
            host, host_face = (piece, face) if dot else (key, piece)
            yield Tuck(section.text, host, host_face, node.position)


def _keep_off(fields: Fields) -> dict[EdgeName | CornerName, Expression]:
    with fields.within("keep_off", f"'keep_off' of {fields.what}") as areas:
        sizes = areas.expressions(_PLACES)
        places = areas.in_file_order(sizes)
        return {where: sizes[place] for place in places for where in _PLACES[place]}


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
        if face in faces and rest.strip() in _CORNER_GROUPS:
            of_sections |= {(face, where): corner for where in _CORNER_GROUPS[rest.strip()]}
        elif fields.is_known(name, _CORNER_GROUPS, f"'{name.text}' is no corner", "unknown-key"):
            corners |= dict.fromkeys(_CORNER_GROUPS[name.text], corner)
    return corners, of_sections


def _corner(fields: Fields, node: Node) -> Corner:
    """``mitre 3/8``, ``round 1/4`` or ``notch 1 x 1/2``."""
    written = node if isinstance(node, Scalar) else Scalar("", node.position, False)
    word, _, rest = written.text.partition(" ")
    shape = narrowed(word, CORNER_SHAPES)
    if shape is None or not rest.strip():
        message = f"'{written.text}' is no corner shape"
        remedy = "Write 'mitre 3/8', 'mitre 1/2 x 2', 'round 1/4' or 'notch 1 x 1/2'."
        fields.report("unknown-value", node.position, message, remedy)
        rest = "1"
    start = written.start.along(len(written.text) - len(rest))
    return Corner(shape or "notch", read_expression(Scalar(rest, start, False), fields.problems))


def _thumb_notches(fields: Fields) -> dict[EdgeName, Expression]:
    with fields.within("thumb_notch", f"'thumb_notch' of {fields.what}") as notches:
        return notches.expressions(EDGES)


def _openings(fields: Fields, shape: OpeningShape, measured_by: str) -> tuple[Opening, ...]:
    """Windows have a size (width x height), holes a diameter."""
    return tuple(
        Opening(shape, each.needed(measured_by), each.expressions(EDGES), each.position)
        for each in fields.listed(shape, f"{shape} of {fields.what}")
    )
