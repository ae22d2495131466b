"""How sections are glued as they close, in words: the text equivalent of their drawing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from builder.drawings.wording import face_words, named, spoken_length, words_of
from builder.resolve.resolved import ResolvedDesign
from builder.work import FaceKey
from builder.work.glue_areas import GlueArea


def closing_equivalent(
    resolved: ResolvedDesign,
    areas: Sequence[GlueArea],
    folded: Sequence[FaceKey],
    from_front: bool,
) -> str:
    """The side seen, what is folded in already, and where the glue runs and where it begins."""
    wording = words_of(resolved)
    sentences = [] if from_front else [wording.phrase("draw_from_behind_words")]
    for piece in dict.fromkeys(key.piece for key in folded):
        names = wording.listed(face_words(key.face) for key in folded if key.piece == piece)
        piece_name = named(resolved.pieces[piece])
        sentences.append(wording.phrase("draw_folded_before", piece=piece_name, names=names))
    for area in areas:
        sentences += glue_sentences(resolved, area)
    sections = list(dict.fromkeys(area.face.face for area in areas))
    names = wording.listed(map(face_words, sections))
    sentences.append(wording.counted("draw_fold_shut", len(sections), section=names))
    return " ".join(sentences)


def glue_sentences(resolved: ResolvedDesign, area: GlueArea) -> Iterator[str]:
    """Its seams, or what it is glued to."""
    wording, units = words_of(resolved), resolved.edition.units
    face = face_words(area.face.face)
    seams = [s for s in resolved.pieces[area.face.piece].seams if s.section == area.face.face]
    for seam in seams:
        yield wording.phrase(
            "draw_seam",
            section=face,
            edge=wording.places[seam.edge],
            length=spoken_length(units, seam.length),
            start=spoken_length(units, seam.dry),
        )
    if not seams:
        others = wording.listed(_face_of(resolved, area, key) for key in area.joined)
        edges = wording.listed(wording.places[edge] for edge in area.edges)
        if area.edges:
            yield wording.counted(
                "draw_section_strips", len(area.edges), section=face, others=others, edges=edges
            )
        else:
            yield wording.phrase("draw_section_glued", section=face, others=others)


def _face_of(resolved: ResolvedDesign, area: GlueArea, key: FaceKey) -> str:
    """What a section is glued to: a face of its own piece, or of another."""
    if key.piece == area.face.piece:
        return face_words(key.face)
    place = named(resolved.pieces[key.piece])
    if key.face == "face":
        return place
    return words_of(resolved).phrase("draw_face_of", face=face_words(key.face), piece=place)
