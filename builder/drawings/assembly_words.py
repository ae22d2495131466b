"""Where each new piece goes, in words: the text equivalent of an assembly drawing."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from builder.drawings.wording import joined
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
    placement = piece.source.placement
    name = f"{piece.code} {piece.title}"
    if placement is None or piece.offsets is None:
        return f"{name} lies by itself."
    host = resolved.pieces[placement.host]
    face = "" if piece.host_face == "face" else f", {piece.host_face.replace('_', ' ')}"
    parts = [f"{name} {_RELATION_WORDS[placement.relation]} {host.code} {host.title}{face}"]
    parts.append(_offset_words(piece.offsets, resolved.edition.units))
    glue = piece.glue
    if glue.edges == ("all",):
        is_partly_on = min(_all_offsets(piece.offsets)) < 0
        parts.append("glued where they meet" if is_partly_on else "glued all over")
    elif glue.edges:
        parts.append(f"glued along the {joined(glue.edges)} {_edges_word(glue.edges)}")
    else:
        parts.append("not glued")
    if glue.keep_off and piece.source.placement:
        areas = joined(area.where for area in piece.source.placement.keep_off)
        parts.append(f"no glue at the {areas}")
    return f"{'; '.join(part for part in parts if part)}."


def _all_offsets(offsets: Offsets) -> tuple[Fraction, ...]:
    return offsets.left, offsets.right, offsets.top, offsets.bottom


def _edges_word(edges: Sequence[str]) -> str:
    return "edge" if len(edges) == 1 else "edges"


def _offset_words(offsets: Offsets, units: UnitSystem) -> str:
    if offsets.is_even and offsets.left > 0:
        return f"{units.text(offsets.left)} showing all round"
    words = []
    for near, far in (("left", "right"), ("bottom", "top")):
        first: Fraction = getattr(offsets, near)
        second: Fraction = getattr(offsets, far)
        if first == second:
            way = "from side to side" if near == "left" else "up and down"
            words.append(f"centred {way}" if first else f"flush with the {near} and {far} edges")
        elif first >= 0:
            words.append(_from_edge(first, near, units))
        else:
            words.append(_from_edge(second, far, units))
    return ", ".join(words)


def _from_edge(distance: Fraction, edge: str, units: UnitSystem) -> str:
    if distance == 0:
        return f"flush with the {edge} edge"
    if distance < 0:
        return f"{units.text(-distance)} beyond the {edge} edge"
    return f"{units.text(distance)} from the {edge} edge"
