"""Where each new piece goes, in words: the text equivalent of an assembly drawing."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from builder.drawings.assembly_view import measured_edge
from builder.drawings.wording import joined, spoken_length, spoken_size
from builder.lengths import UnitSystem
from builder.resolve.resolved import Offsets, ResolvedDesign, ResolvedPiece


def assembly_equivalent(
    resolved: ResolvedDesign, new_pieces: Sequence[str], from_front: bool
) -> str:
    """Where each piece goes, in words."""
    sentences = [_placing_sentence(resolved, resolved.pieces[key]) for key in new_pieces]
    if not from_front:
        sentences.insert(0, "Seen from behind.")
    return " ".join(sentences)


_RELATION_WORDS = {
    "on": "on",
    "behind": "behind",
    "on_back": "on the back of",
    "inside": "inside",
}


def _placing_sentence(resolved: ResolvedDesign, piece: ResolvedPiece) -> str:
    placement, units = piece.source.placement, resolved.edition.units
    name = f"{piece.code} {piece.title}, {spoken_size(units, piece.width, piece.height)},"
    if placement is None or piece.offsets is None:
        return f"{name} lies by itself."
    host = resolved.pieces[placement.host]
    place = f"{host.code} {host.title}"
    if piece.host_face != "face":
        place = f"the {piece.host_face.replace('_', ' ')} of {place}"
    where = f"{_RELATION_WORDS[placement.relation]} {place}"
    offsets = _offset_words(piece, units)
    return f"{name} goes {where}, {offsets}; {_glue_words(piece)}."


def _glue_words(piece: ResolvedPiece) -> str:
    """Where the glue goes, and where none may."""
    edges, placement = piece.glue.edges, piece.source.placement
    if not edges:
        return "no glue"
    words = f"glue along the {joined(edges)} {'edge' if len(edges) == 1 else 'edges'}"
    if edges == ("all",):
        is_partly_on = piece.offsets is not None and min(_all_offsets(piece.offsets)) < 0
        words = "glue where the two meet" if is_partly_on else "glue all over"
    if piece.glue.keep_off and placement is not None:
        dry = [area.where for area in placement.keep_off]
        named = (f"the {where} {'corner' if ' ' in where else 'edge'}" for where in dry)
        words += f" except at {joined(named)}"
    return words


def _all_offsets(offsets: Offsets) -> tuple[Fraction, ...]:
    return offsets.left, offsets.right, offsets.top, offsets.bottom


def _offset_words(piece: ResolvedPiece, units: UnitSystem) -> str:
    """Where the piece lies on its host, measured from the edges that the drawing measures from."""
    offsets = piece.offsets
    assert offsets is not None
    if offsets.is_even and offsets.left > 0:
        return f"centred with {spoken_length(units, offsets.left)} showing all round"
    flush = [edge for edge in ("left", "right", "bottom", "top") if getattr(offsets, edge) == 0]
    words = []
    if flush:
        words.append(f"flush with the {joined(flush)} {'edge' if len(flush) == 1 else 'edges'}")
    for near, far, way, sides in (
        ("left", "right", "from side to side", "on each side"),
        ("bottom", "top", "from top to bottom", "above and below"),
    ):
        if near in flush or far in flush:
            continue
        first: Fraction = getattr(offsets, near)
        second: Fraction = getattr(offsets, far)
        if first != second:
            words.append(_from_edge(piece, near, far, units))
        elif first > 0:
            words.append(f"centred {way} with {spoken_length(units, first)} {sides}")
        else:
            words.append(f"centred {way}, {spoken_length(units, -first)} beyond both edges")
    return " and ".join(words)


def _from_edge(piece: ResolvedPiece, near: str, far: str, units: UnitSystem) -> str:
    edge = measured_edge(piece, near, far)
    distance: Fraction = getattr(piece.offsets, edge)
    if distance < 0:
        return f"{spoken_length(units, -distance)} beyond the {edge} edge"
    return f"{spoken_length(units, distance)} from the {edge} edge"
