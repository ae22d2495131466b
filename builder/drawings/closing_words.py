"""How a section is glued shut, in words: the text equivalent of its drawing."""

from __future__ import annotations

from collections.abc import Sequence

from builder.drawings.wording import face_words, named, spoken_length, words_of
from builder.resolve.placement import FaceKey
from builder.resolve.resolved import ResolvedDesign


def closing_equivalent(
    resolved: ResolvedDesign, section: FaceKey, folded: Sequence[FaceKey], from_front: bool
) -> str:
    """The side seen, what is folded in already, and where the glue runs and where it begins."""
    piece, wording, units = resolved.pieces[section[0]], words_of(resolved), resolved.edition.units
    face = face_words(section[1])
    sentences = [] if from_front else [wording.phrase("draw_from_behind_words")]
    if folded:
        names = wording.listed(face_words(name) for _, name in folded)
        sentences.append(wording.phrase("draw_folded_before", piece=named(piece), names=names))
    for seam in piece.seams:
        if seam.section == section[1]:
            sentences.append(
                wording.phrase(
                    "draw_seam",
                    section=face,
                    edge=wording.places[seam.edge],
                    length=spoken_length(units, seam.length),
                    start=spoken_length(units, seam.dry),
                )
            )
    sentences.append(wording.phrase("draw_fold_shut", section=face))
    return " ".join(sentences)
