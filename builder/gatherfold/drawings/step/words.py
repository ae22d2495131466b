"""Where each new piece goes and how sections are glued, in words: the text equivalents of pictures
of steps."""

from collections.abc import Iterator, Sequence
from typing import assert_never

from gatherfold.drawings.kernel.wording import (
    face_words,
    named,
    spoken_length,
    spoken_size,
    words_in,
)
from gatherfold.drawings.step.view import PicturedWork, measured_edge
from gatherfold.geometry import AXES, CORNERS, EDGES_BY_AXIS, EdgeName, ends_across, is_vertical
from gatherfold.lengths import UnitSystem
from gatherfold.resolve import ResolvedPiece
from gatherfold.wording import Wording
from gatherfold.work import FaceKey, GlueArea, Way


def equivalent(work: PicturedWork, new: Sequence[str]) -> str:
    """The side seen; where each new piece goes, or what is folded in already; and where the glue
    runs and where it begins."""
    wording, sentences = work.wording, [*_side_sentence(work)]
    areas = work.glue
    if not work.sections:
        sentences += [_placing_sentence(work, work.pieces[key]) for key in new]
        areas = tuple(
            area for area in areas if area.face.face not in work.pieces[area.face.piece].glued
        )
    for piece in dict.fromkeys(key.piece for key in work.folded):
        names = wording.listed(face_words(key.face) for key in work.folded if key.piece == piece)
        piece_name = named(work.pieces[piece])
        sentences.append(wording.phrase("draw_folded_before", piece=piece_name, names=names))
    for area in areas:
        sentences += _glue_sentences(work, area)
    if work.sections:
        names = wording.listed(face_words(key.face) for key in work.sections)
        sentences.append(wording.counted("draw_fold_shut", len(work.sections), section=names))
    return " ".join(sentences)


def side_words(work: PicturedWork) -> str:
    """What a drawing shows: the work closed, its front or its back, or what stands or lies nearest
    to the viewer."""
    wording = work.wording
    if work.is_closed:
        return wording.phrase("draw_closed_front" if work.is_front_up else "draw_closed_behind")
    if work.nearest is not None:
        return wording.phrase("draw_towards_you", part=work.nearest.title(is_short=True))
    return wording.phrase("draw_from_front" if work.from_front else "draw_from_behind")


def _side_sentence(work: PicturedWork) -> Iterator[str]:
    """The side that a drawing shows, where that is not the front."""
    if work.is_closed or work.nearest is not None or not work.from_front:
        words = side_words(work)
        yield f"{words[:1].upper()}{words[1:]}."


def _glue_sentences(work: PicturedWork, area: GlueArea) -> Iterator[str]:
    """Its seams, or what it is glued to."""
    wording, units = work.wording, work.units
    face = face_words(area.face.face)
    seams = [s for s in work.pieces[area.face.piece].seams if s.section == area.face.face]
    for seam in seams:
        yield wording.phrase(
            "draw_seam",
            section=face,
            edge=wording.places[seam.edge],
            length=spoken_length(units, seam.length),
            start=spoken_length(units, seam.dry),
        )
    if not seams:
        others = wording.listed(
            face_words(key.face) if key.piece == area.face.piece else _face_in_full(work, key)
            for key in area.joined
        )
        edges = wording.listed(wording.places[edge] for edge in area.edges)
        if area.edges:
            yield wording.counted(
                "draw_section_strips", len(area.edges), section=face, others=others, edges=edges
            )
        else:
            yield wording.phrase("draw_section_glued", section=face, others=others)


def _face_in_full(work: PicturedWork, key: FaceKey) -> str:
    """A face with its piece, or that alone where it has no other."""
    place = named(work.pieces[key.piece])
    if key.face == "face":
        return place
    return work.wording.phrase("draw_face_of", face=face_words(key.face), piece=place)


def _placing_sentence(work: PicturedWork, piece: ResolvedPiece) -> str:
    placement, units = piece.source.placement, work.units
    wording = words_in(units)
    size = spoken_size(units, piece.width, piece.height)
    if placement is None or piece.offsets is None:
        return wording.phrase("draw_lies_alone", piece=named(piece), size=size)
    place = named(work.pieces[placement.host])
    match work.put:
        case Way.SLID:
            if work.way != (0.0, 0.0):
                return _sliding_sentence(work, piece, place)
        case Way.LOWERED:
            return wording.phrase("draw_goes_lowered", piece=named(piece), size=size, place=place)
        case Way.LAID:
            pass
        case _:
            assert_never(work.put)
    return wording.phrase(
        f"draw_goes_{placement.relation}",
        piece=named(piece),
        size=size,
        place=_face_in_full(work, FaceKey(placement.host, piece.host_face)),
        offsets=_offset_words(piece, units),
        glue=_glue_words(piece, wording),
    )


def _sliding_sentence(work: PicturedWork, piece: ResolvedPiece, place: str) -> str:
    """What goes into a pocket, folded shut if it folds."""
    wording = work.wording
    host = piece.source.placement.host if piece.source.placement is not None else ""
    under = [key.face for key in work.over if key.piece == host and key.face != "face"]
    name = "draw_goes_slid_in" if not under else "draw_goes_slid"
    if piece.scores and under:
        name = "draw_goes_slid_folded"
    return wording.phrase(
        name,
        piece=named(piece),
        size=spoken_size(work.units, piece.width, piece.height),
        edge=wording.places[work.mouth(piece.key)],
        place=place,
        under=wording.listed(face_words(face) for face in sorted(under)),
    )


def _glue_words(piece: ResolvedPiece, wording: Wording) -> str:
    """Where the glue goes, and where none may."""
    glue, placement = piece.glue, piece.source.placement
    if not glue.edges:
        return wording.phrase("draw_no_glue")
    if glue.is_all_over:
        words = wording.phrase("draw_glue_meet" if piece.reaches_beyond else "draw_glue_all")
    else:
        names = wording.listed(wording.places[edge] for edge in glue.strips)
        words = wording.counted("draw_glue_edges", len(glue.strips), edges=names)
    if not glue.keep_off or placement is None:
        return words
    dry = wording.listed(
        wording.phrase(
            "draw_the_corner" if where in CORNERS else "draw_the_edge",
            place=wording.places[where],
        )
        for where in placement.keep_off
    )
    return wording.phrase("draw_glue_except", glue=words, places=dry)


def _offset_words(piece: ResolvedPiece, units: UnitSystem) -> str:
    """Where the piece lies on its host, measured from the edges that the drawing measures from."""
    offsets, wording = piece.offsets, words_in(units)
    assert offsets is not None
    if offsets.is_even and offsets.left > 0:
        return wording.phrase("draw_even", length=spoken_length(units, offsets.left))
    flush = [edge for edge in EDGES_BY_AXIS if offsets.at(edge) == 0]
    words = []
    if flush:
        edges = wording.listed(wording.places[edge] for edge in flush)
        words.append(wording.counted("draw_flush", len(flush), edges=edges))
    for axis in AXES:
        (near, far), way = ends_across(axis), "across" if is_vertical(axis) else "up"
        if near in flush or far in flush:
            continue
        first, second = offsets.at(near), offsets.at(far)
        if first != second:
            words.append(_from_edge(piece, near, units))
        elif first > 0:
            length = spoken_length(units, first)
            words.append(wording.phrase(f"draw_centred_{way}", length=length))
        else:
            length = spoken_length(units, -first)
            words.append(wording.phrase(f"draw_centred_beyond_{way}", length=length))
    return wording.listed(words)


def _from_edge(piece: ResolvedPiece, near: EdgeName, units: UnitSystem) -> str:
    assert piece.offsets is not None
    edge = measured_edge(piece, near)
    distance = piece.offsets.at(edge)
    name = "draw_beyond" if distance < 0 else "draw_from"
    wording, length = words_in(units), spoken_length(units, abs(distance))
    return wording.phrase(name, length=length, edge=wording.places[edge])
