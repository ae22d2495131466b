"""What is written under a drawing of a step, and what it is called.

In: a work, and the views of it that the drawing has.  Out: short statements.
"""

from collections.abc import Iterator, Sequence

from gatherfold.drawings.kernel.wording import face_words, named, unit_word
from gatherfold.drawings.sheet_map.words import side_name
from gatherfold.drawings.step.fastenings import kept_out
from gatherfold.drawings.step.glue import glue_phrases
from gatherfold.drawings.step.names import FLUSH_REMARKS, flush_remarks, loose_words
from gatherfold.drawings.step.sections import section_of
from gatherfold.drawings.step.view import PicturedWork, View
from gatherfold.drawings.step.words import side_words
from gatherfold.work import Way


def title_words(work: PicturedWork, new: Sequence[str]) -> str:
    """What a drawing of new pieces, or of sections that are glued, is called."""
    wording, codes = work.wording, [work.pieces[key].code for key in new]
    if work.sections:
        names = wording.listed(face_words(key.face) for key in work.sections)
        return wording.phrase("draw_glue_shut", code=codes[0], section=names)
    return wording.counted("draw_where", len(new), codes=wording.listed(codes))


def caption_words(work: PicturedWork, keys: Sequence[str], remarks: Sequence[str]) -> list[str]:
    """The unit, once, the side seen, and what the hatches mean."""
    wording = work.wording
    new = [work.pieces[key] for key in keys]
    if work.sections:
        own = {key.face for key in work.sections}
        is_measured = any(seam.section in own for piece in new for seam in piece.seams)
    else:
        is_measured = work.put is Way.LAID and any(piece.offsets is not None for piece in new)
    words = [unit_word(work.units)] if is_measured else []
    words.append(side_words(work))
    if not work.sections:
        words += _prints_up(work, keys)
        if any(piece.glue.keep_off for piece in new):
            words.append(wording.phrase("draw_crossed"))
    flush = [wording.phrase(name) for name in FLUSH_REMARKS]
    words += sorted(remarks, key=lambda remark: remark in flush)
    if work.way != (0.0, 0.0):
        words += [loose_words(work, p, p.code) for p in new if not p.glue.edges]
    return words


def remarks_on(view: View, unwritten: Sequence[str]) -> list[str]:
    """What one view leaves to say: what hatches and dashes mean, what is flush, and what is
    ``unwritten`` in it for want of a good place."""
    wording = view.work.wording
    if view.work.sections:
        is_away = any(section_of(view, k).seen_as == "mountain" for k in view.work.sections)
        names = ["draw_hatched_seam", "draw_fold_away"] if is_away else ["draw_hatched_seam"]
        return [wording.phrase(name) for name in names]
    remarks = [wording.phrase(name) for name in glue_phrases(view)]
    remarks += [wording.phrase("draw_keep_out", name=name) for name in kept_out(view)]
    return [*remarks, *unwritten, *(wording.phrase(name) for name in flush_remarks(view))]


def _prints_up(work: PicturedWork, keys: Sequence[str]) -> Iterator[str]:
    """Which print of the new pieces of two-sided paper is seen, each print once."""
    wording = work.wording
    codes: dict[str, dict[str, None]] = {}
    for laid in (laid for key in keys for laid in work.seen_of(key)):
        stock = laid.piece.stock.source
        if stock.two_sided and laid.faces_front == work.from_front:
            name = side_name(stock, laid.piece.side, wording)
            own = laid.piece.code if laid.piece.key in keys else named(laid.piece)
            codes.setdefault(name, {})[own] = None
    for name, whose in codes.items():
        yield wording.phrase("draw_print_up", codes=wording.listed(whose), print=name)
