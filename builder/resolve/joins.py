"""Which faces of a piece are glued, and to what: those it lies on its host by, and its joins.

In: a :class:`Piece` whose names are all known.  Out: faces that are there once corners are cut;
where it is unclear which one is meant, or it is cut off, that is reported.
"""

from __future__ import annotations

from builder.design import Join, Piece
from builder.findings import error
from builder.formulas import FormulaProblem
from builder.reading.references import face_names
from builder.resolve.pieces import has_face
from builder.resolve.resolved import ResolvedJoin
from builder.resolve.values import Unresolved, Values


def glued_faces(piece: Piece, values: Values) -> tuple[str, ...]:
    """The faces that are glued where the piece lies, the one that gives its place first."""
    placement = piece.placement
    if placement is None or not placement.glue:
        return ()
    for face in placement.by[1:]:
        if _is_notched_away(piece, face, values):
            message = f"piece '{piece.key}' has no section '{face}': its corner is notched away"
            remedy = "Let it lie by sections that are still there."
            values.report(error("unknown-name", placement.position, message, remedy))
    return placement.by or tuple(face_names(piece)[:1])


def resolve_joins(piece: Piece, values: Values) -> tuple[ResolvedJoin, ...]:
    """The joins of a piece that say which faces meet; what is wrong with others is reported."""
    found = (_resolve_join(piece, join, values) for join in piece.joins)
    return tuple(join for join in found if join is not None)


def _resolve_join(piece: Piece, join: Join, values: Values) -> ResolvedJoin | None:
    host = values.design.pieces[join.host]
    theirs = face_names(host)
    if join.host_face is None and len(theirs) > 1:
        message = f"'{join.host}' is folded; say which section '{join.face}' is joined to"
        remedy = f"Write '{join.host}.SECTION' with one of: {', '.join(theirs)}."
        values.report(error("which-section", join.position, message, remedy))
        return None
    host_face = join.host_face or theirs[0]
    gone = [
        (owner, face)
        for owner, face in ((piece, join.face), (host, host_face))
        if _is_notched_away(owner, face, values)
    ]
    for owner, face in gone:
        message = f"'{owner.key}' has no section '{face}': its corner is notched away"
        remedy = "Join sections that are still there."
        values.report(error("unknown-name", join.position, message, remedy))
    if gone:
        return None
    return ResolvedJoin(join.face, join.relation, join.host, host_face, join.glue, join.position)


def _is_notched_away(piece: Piece, face: str, values: Values) -> bool:
    """Whether a corner of the piece takes the face away; one whose sizes are wrong is reported
    where it is resolved itself."""
    try:
        return not has_face(piece, face, values)
    except (Unresolved, FormulaProblem):
        return False
