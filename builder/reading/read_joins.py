"""``joins:`` and ``tucks:`` of a piece: what its faces are glued to beside its placement, and what
they are tucked under.

In: the fields of a piece and the names of its faces.  Out: joins whose own face is there; that of
the host is looked up when all pieces are read.
"""

from __future__ import annotations

from collections.abc import Iterator

from builder.choices import JOIN_RELATIONS
from builder.design import EDGES, Join, Tuck
from builder.findings import suggestion
from builder.reading.fields import Fields
from builder.reading.nodes import Mapping, Node, Scalar, Sequence

_ALL_OVER = "all"
_EXAMPLE = "Write '{face}: {{on: PIECE.SECTION}}', with one of: " + ", ".join(JOIN_RELATIONS) + "."


def read_joins(fields: Fields, key: str, faces: tuple[str, ...]) -> tuple[Join, ...]:
    """``joins: {flap: {facing: card.body, glue: left}}``; a value may be a list of such."""
    joins: list[Join] = []
    for face, node in fields.entries("joins"):
        is_known = known_face(fields, face, faces)
        nodes = node.items if isinstance(node, Sequence) else (node,)
        if not nodes:
            message = f"'{face.text}' of {fields.what} is joined to nothing"
            remedy = _EXAMPLE.format(face=face.text)
            fields.report("missing-value", node.position, message, remedy)
        found = [join for each in nodes for join in _join(fields, key, face, each, faces)]
        joins.extend(found if is_known else ())
    return tuple(joins)


def read_tucks(fields: Fields, key: str, faces: tuple[str, ...]) -> tuple[Tuck, ...]:
    """``tucks: {top_flap: left_flap}``: what lies over a section in the end, though that closes
    later; of another piece ``PIECE.SECTION``."""
    tucks: list[Tuck] = []
    for section, node in fields.entries("tucks"):
        if not isinstance(node, Scalar) or node.is_missing:
            message = f"'{section.text}' of {fields.what} is tucked under one section"
            remedy = f"Write '{section.text}: SECTION', or PIECE.SECTION of another piece."
            fields.report("wrong-type", node.position, message, remedy)
            continue
        piece, dot, face = node.text.partition(".")
        if known_face(fields, section, faces):
            host, host_face = (piece, face) if dot else (key, piece)
            tucks.append(Tuck(section.text, host, host_face, node.position))
    return tuple(tucks)


def known_face(fields: Fields, name: Scalar, faces: tuple[str, ...]) -> bool:
    """Whether a piece has a face of this name; it is reported where it has none."""
    if name.text in faces:
        return True
    message = f"{fields.what} has no section '{name.text}'"
    fields.report("unknown-name", name.position, message, suggestion(name.text, faces))
    return False


def _join(
    fields: Fields, key: str, face: Scalar, node: Node, faces: tuple[str, ...]
) -> Iterator[Join]:
    """One join, or none where its entry does not say one."""
    inner = Fields(node, f"join of '{face.text}' of {fields.what}", fields.findings)
    hosts = {relation: inner.scalar(relation) for relation in JOIN_RELATIONS}
    glue = _edges(inner)
    inner.finish()
    given = inner.in_file_order(JOIN_RELATIONS)
    if not given and isinstance(node, Mapping):
        remedy = _EXAMPLE.format(face=face.text)
        inner.report("no-host", inner.position, f"{inner.what} names no host", remedy)
    for extra in given[1:]:
        message = f"{inner.what} is '{given[0]}' one face and '{extra}' another"
        remedy = "Keep one of them, or write a list of joins."
        inner.report("two-hosts", inner.key_position(extra), message, remedy)
    host = hosts[given[0]] if given else None
    if host is None:
        return
    piece, _, section = host.text.partition(".")
    only_face = faces[0] if len(faces) == 1 else ""
    if (piece, section or only_face) == (key, face.text):
        message = f"'{face.text}' of {fields.what} is joined to itself"
        remedy = "Name the face that it is glued to."
        inner.report("joined-to-itself", host.position, message, remedy)
        return
    yield Join(face.text, given[0], piece, section or None, glue, host.position)


def _edges(inner: Fields) -> tuple[str, ...]:
    """The edges along which adhesive runs; ``("all",)`` for the whole face."""
    known = (*EDGES, _ALL_OVER)
    names = inner.names("glue")
    for name in names:
        if name.text not in known:
            message = f"'{name.text}' is no edge to glue in a join"
            inner.report("unknown-value", name.position, message, suggestion(name.text, known))
    edges = tuple(dict.fromkeys(name.text for name in names))
    return (_ALL_OVER,) if not edges or _ALL_OVER in edges else edges
