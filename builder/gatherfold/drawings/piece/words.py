"""A piece drawing in words.

In: a resolved design and a piece.  Out: its size, side, scores, openings, corners, tabs and
notches, from the same exact lengths as the drawing.
"""

from collections.abc import Iterable, Iterator, Sequence

from gatherfold.counts import piercing_step
from gatherfold.drawings.kernel.wording import (
    corner_note,
    face_words,
    hole_label,
    side_words,
    spoken_size,
    tab_size,
    title_of,
    words_in,
    words_of,
)
from gatherfold.drawings.views.features import (
    circle_across,
    corner_features,
    folds_by_place,
    motif_box,
    section_corner_features,
    tab_features,
    thumb_notch_features,
)
from gatherfold.geometry import AXES, bounds
from gatherfold.lengths import UnitSystem
from gatherfold.model import Fold
from gatherfold.resolve import Hole, ResolvedDesign, ResolvedPiece
from gatherfold.wording import Wording


def piece_equivalent(resolved: ResolvedDesign, pieces: Sequence[ResolvedPiece]) -> str:
    """The drawing in words, from the same exact lengths; all are made as the first."""
    piece, units = pieces[0], resolved.edition.units
    wording = words_in(units)
    size = spoken_size(units, piece.width, piece.height)
    side = ", ".join(side_words(piece, wording))
    names = title_of(pieces, wording)
    sentences = [wording.phrase("draw_piece_words", piece=names, size=size, side=side)]
    for axis in AXES:
        folds = [
            f"{units.number(at)} ({_kinds(kinds, wording)})"
            for at, kinds in folds_by_place(piece.scores, axis).items()
        ]
        if folds:
            places = wording.listed(folds)
            sentences.append(wording.counted(f"draw_{axis}", len(folds), places=places))
    across = circle_across(piece)
    if across is not None:
        sentences.append(wording.phrase("draw_circle_words", across=units.number(across)))
    sentences.extend(_opening_sentences(piece, resolved))
    sentences.extend(motif_place(piece, resolved, "draw_motif_words"))
    sentences.extend(_corner_sentences(piece, units))
    sentences.extend(_edge_sentences(piece, units))
    return " ".join(sentences)


def motif_place(piece: ResolvedPiece, resolved: ResolvedDesign, phrase: str) -> list[str]:
    """Where on the piece the printed picture lies that it is cut round; nothing without one."""
    units, box = resolved.edition.units, motif_box(piece, resolved.edition.grid)
    if box is None or piece.motif is None:
        return []
    left, bottom = units.number(box.left), units.number(box.bottom)
    wording = words_in(units)
    return [wording.phrase(phrase, motif=piece.motif.title, left=left, bottom=bottom)]


def _kinds(kinds: Iterable[Fold], wording: Wording) -> str:
    """The folds at one place: ``valley``, ``valley and mountain``."""
    return wording.listed(wording.phrase(f"draw_kind_{kind}") for kind in kinds)


def hole_words(resolved: ResolvedDesign, hole: Hole) -> str:
    """The diameter of a hole and, where a fastening goes through it, the step that pierces it: what
    is pierced through several layers together is not to be pierced in the loose piece."""
    label, step = hole_label(resolved.edition.units, hole), _pierced_in(resolved, hole)
    if step is None:
        return label
    return words_of(resolved).phrase("draw_pierced_in", hole=label, step=step)


def _pierced_in(resolved: ResolvedDesign, hole: Hole) -> int | None:
    """The number of the step that pierces a hole for a fastening; None of any other."""
    return None if hole.fastening is None else piercing_step(hole.fastening, resolved)


def _opening_sentences(piece: ResolvedPiece, resolved: ResolvedDesign) -> Iterator[str]:
    wording, units = words_of(resolved), resolved.edition.units
    for hole in piece.holes:
        yield wording.phrase(
            "draw_hole",
            diameter=units.number(hole.diameter),
            left=units.number(hole.centre.x),
            bottom=units.number(hole.centre.y),
        )
        step = _pierced_in(resolved, hole)
        if step is not None:
            yield wording.phrase("draw_pierced_words", step=step)
    for window in piece.windows:
        box = bounds(window)
        yield wording.phrase(
            "draw_window_words",
            size=spoken_size(units, box.width, box.height),
            left=units.number(box.left),
            bottom=units.number(box.bottom),
        )


def _corner_sentences(piece: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    """Shaped corners, those of one shape and size together; a circle has none to speak of."""
    if circle_across(piece) is not None:
        return
    wording = words_in(units)
    groups: dict[str, list[str]] = {}
    for feature in (*corner_features(piece), *section_corner_features(piece)):
        words = corner_note(units, piece, feature, spoken=True)
        words = words or wording.phrase("draw_notch_to_scores")
        corner = wording.places[feature.corner]
        if feature.section:
            section = face_words(feature.section)
            corner = wording.phrase("draw_corner_of", corner=corner, section=section)
        groups.setdefault(words, []).append(corner)
    for words, corners in groups.items():
        spoken = words.replace("R ", f"{wording.phrase('draw_radius_word')} ")
        what = f"{spoken[0].upper()}{spoken[1:]}"
        yield wording.phrase("draw_corner_at", what=what, places=wording.listed(corners))


def _edge_sentences(piece: ResolvedPiece, units: UnitSystem) -> Iterator[str]:
    """Tabs and thumb notches."""
    wording = words_in(units)
    for tab in tab_features(piece):
        section, _, edge = tab.name.removesuffix("_tab").rpartition("_")
        place = wording.place(section, edge)
        name = wording.phrase("draw_tab_name", place=place)
        yield f"{name[0].upper()}{name[1:]}: {tab_size(units, tab)}."
    for notch in thumb_notch_features(piece):
        radius, edge = units.number(notch.radius), wording.places[notch.edge]
        yield wording.phrase("draw_thumb_words", radius=radius, edge=edge)
