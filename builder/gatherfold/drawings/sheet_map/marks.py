"""What a sheet map shows beside pieces and cuts: margins, printed places, strips, what is left.

In: a sheet to map and how it lies on paper.  Out: lines and fills on the canvas, marks for what has
to be named, and labels on the offcuts.
"""

from collections.abc import Iterator, Sequence
from itertools import chain

from gatherfold.drawings.kernel.canvas import Canvas
from gatherfold.drawings.kernel.hatching import MARGIN, WASTE
from gatherfold.drawings.kernel.plane import Place, Rect, ToPaper, around, segment_meets
from gatherfold.drawings.kernel.styles import GREY_TEXT, SMALLEST_LETTERING_PT, Fill, Line
from gatherfold.drawings.labels.labels import (
    PLAINER,
    beside,
    inside,
    placed_within,
    written,
)
from gatherfold.drawings.labels.placings import FAULT, LabelLook, Mark, MarkPlace, block
from gatherfold.drawings.sheet_map.mapped import MappedSheet
from gatherfold.drawings.views.features import rect_of
from gatherfold.model import is_front
from gatherfold.plans import placed_pieces
from gatherfold.resolve import printed_size
from gatherfold.sheets import Offcut, Placed, name_of

#: How a note beside its part is written, and one on paper that is cut off.
_NOTE = LabelLook(SMALLEST_LETTERING_PT, boxed=True)
_ON_WASTE = LabelLook(SMALLEST_LETTERING_PT, boxed=True, colour=GREY_TEXT)
#: What it costs to name a part beside itself, and a printed place anywhere in its piece.
_ASIDE, _IN_PIECE = 10.0, 2.0
#: Places on paper nearer than this are one.
_NEARLY = 1e-6


def part_rect(part: Placed | Offcut) -> Rect:
    """A placed piece or an offcut on its sheet."""
    left, bottom = float(part.x), float(part.y)
    return Rect(left, bottom, float(part.x + part.width), float(part.y + part.height))


def draw_parts(canvas: Canvas, sheet: MappedSheet, mapping: ToPaper) -> None:
    """The sheet's paper; offcuts hatched; margins with upright lines on white, unlike offcuts also
    without colour; printed places and the lines where strips are divided later."""
    plan = sheet.plan
    whole = Rect(0.0, 0.0, float(plan.sheet.width), float(plan.sheet.height))
    canvas.area([mapping.rect(whole).ring], Fill.PAPER)
    for offcut in plan.offcuts:
        ring = mapping.rect(part_rect(offcut)).ring
        canvas.area([ring], Fill.WASTE)
        canvas.hatch(WASTE, Line.WASTE, [ring])
    for box, _ in sheet.margins:
        ring = mapping.rect(rect_of(box)).ring
        canvas.area([ring], Fill.PAPER)
        canvas.hatch(MARGIN, Line.WASTE, [ring], subject="no print")
    for place in sheet.outlined:
        # Dashed where they lie on the underside.
        line = Line.FAINT if is_front(place.piece.side) else Line.HIDDEN
        ring = mapping.rect(rect_of(place.box)).ring
        canvas.outline(ring, line, f"printed place {place.title}")
    canvas.strokes(_divided_later(sheet, mapping), Line.HIDDEN, "divided later")


def _divided_later(sheet: MappedSheet, mapping: ToPaper) -> Iterator[tuple[Place, Place]]:
    wholes = [mapping.rect(part_rect(placed)) for placed in sheet.plan.placed]
    for part in placed_pieces(sheet.resolved, sheet.plan, sheet.facing):
        if sheet.resolved.strip_of(name_of(part.key)) is None:
            continue
        box = mapping.rect(part_rect(part))
        whole = next(whole for whole in wholes if whole.contains(box, _NEARLY))
        if box.right < whole.right - _NEARLY:
            yield (box.right, box.bottom), (box.right, box.top)
        if box.top < whole.top - _NEARLY:
            yield (box.left, box.top), (box.right, box.top)


def part_marks(sheet: MappedSheet, mapping: ToPaper, paper: Rect) -> Iterator[Mark]:
    """The names of printed places, ``no print ½`` on margins, and what offcuts are kept for: each
    in its part where there is room, or beside it with a leader."""
    pieces = [mapping.rect(part_rect(placed)) for placed in sheet.plan.placed]
    for place in sheet.outlined:
        title, picture = place.title, mapping.rect(rect_of(place.box))
        piece = mapping.rect(part_rect(place.placed))
        others = [other for other in pieces if other != piece]
        x, y = picture.centre
        sides = [(x, picture.top), (x, picture.bottom), (picture.left, y), (picture.right, y)]
        places = chain(
            inside(picture, [title], _NOTE, clear_of=others),
            inside(piece, [title], LabelLook(SMALLEST_LETTERING_PT), _IN_PIECE),
            beside(sides, title, _NOTE, _ASIDE, paper, others),
        )
        yield Mark(title, places)
    for box, margin in sheet.margins:
        size = sheet.units.number(printed_size(margin, sheet.resolved))
        words, strip = sheet.wording.phrase("draw_no_print", size=size), mapping.rect(rect_of(box))
        aside = beside(_along(strip), words, _NOTE, _ASIDE, paper, pieces)
        yield Mark(words, chain(inside(strip, [words], _ON_WASTE), aside))
    for offcut, left in _true_offcuts(sheet, mapping):
        if offcut.part in sheet.kept:
            words = _texts(sheet, offcut)[0]
            aside = beside(_along(left), words, _NOTE, _ASIDE, paper, pieces)
            yield Mark(words, chain(_on_offcut(sheet, offcut, left), aside))


def _along(strip: Rect) -> list[Place]:
    """Places on a strip for a leader to end, its middle first."""
    shares = (0.5, 0.25, 0.75, 0.1, 0.9)
    x, y = strip.centre
    if strip.width >= strip.height:
        return [(strip.left + share * strip.width, y) for share in shares]
    return [(x, strip.bottom + share * strip.height) for share in shares]


def _true_offcuts(sheet: MappedSheet, mapping: ToPaper) -> list[tuple[Offcut, Rect]]:
    """What is left over, and where it lies on paper; what is cut off as a margin is no offcut to
    speak of."""
    strips = [mapping.rect(rect_of(box)).grown(0.05) for box, _ in sheet.margins]
    boxes = [(offcut, mapping.rect(part_rect(offcut))) for offcut in sheet.plan.offcuts]
    return [each for each in boxes if not any(strip.contains(each[1]) for strip in strips)]


#: White between the ends of a label and the cuts beside them, in mm, more than lettering keeps off
#: all lines; of one line, which has room in two where that is more than there is, and of two.
_OFF_CUTS = {1: 1.4, 2: 0.4}
#: From one line of a label to the next.
_PITCH = 3.0
#: An offcut that is narrower on paper has no room for the dot of a leader, whose note costs at most
#: so much: its leader may run over so many other parts of the sheet.
_NARROWEST, _DEAREST, _MOST_PASSED = 1.2, 45.0, 1
#: Beside a sheet that is drawn narrower, notes would take more room than the sheet.
_LARGE = 45.0


def label_offcuts(canvas: Canvas, sheet: MappedSheet, mapping: ToPaper) -> None:
    """The size of every offcut that is not kept for something named, wherever there is room for it,
    that of the largest first; of narrow ones beside the sheet."""
    found = [each for each in _true_offcuts(sheet, mapping) if each[0].part not in sheet.kept]
    bare = []
    for offcut, box in sorted(found, key=lambda each: each[0] is not sheet.to_keep):
        if not written(canvas, _on_offcut(sheet, offcut, box), FAULT):
            bare.append((offcut, box))
    boxes = [*map(part_rect, sheet.plan.placed), *map(part_rect, sheet.plan.offcuts)]
    parts = [mapping.rect(box) for box in boxes]
    paper, whole = canvas.frame, around(parts)
    if whole.width < _LARGE:
        return
    # Above the sheet, the leader would run across the dimension of its width.
    shunned = [*parts, Rect(paper.left, whole.top, paper.right, paper.top)]
    for offcut, box in sorted(bare, key=lambda each: -min(each[1].width, each[1].height)):
        if min(box.width, box.height) >= _NARROWEST:
            others = [part for part in parts if not part.holds(box.centre)]
            words = _texts(sheet, offcut)[0]
            notes = beside(_along(box), words, _ON_WASTE, 0.0, paper, shunned)
            # Where a note would be in the way it stays bare: the cuts beside the map give its size.
            written(canvas, (note for note in notes if _is_short(note, others)), _DEAREST)


def _is_short(note: MarkPlace, others: Sequence[Rect]) -> bool:
    """Whether the leader of a note runs over hardly anything else."""
    leader = note.leader
    passed = sum(leader is not None and segment_meets(*leader, other) for other in others)
    return passed <= _MOST_PASSED


def _texts(sheet: MappedSheet, offcut: Offcut) -> list[str]:
    """What can be written on an offcut, the fullest first; the largest says at least that it is to
    be kept."""
    size, purpose = sheet.offcut_size(offcut), sheet.kept.get(offcut.part, "")
    names = ["draw_keep_for", "draw_keep_for_short"]
    if not purpose and offcut is sheet.to_keep:
        names = ["draw_offcut_keep", "draw_keep_size", "draw_keep"]
    elif not purpose:
        return [sheet.wording.phrase("draw_offcut", size=size), size]
    return [sheet.wording.phrase(name, size=size, purpose=purpose) for name in names]


def _on_offcut(sheet: MappedSheet, offcut: Offcut, box: Rect) -> Iterator[MarkPlace]:
    """What can be written on an offcut, in one line or in two, level or upright."""
    cost, size = 0.0, sheet.offcut_size(offcut)
    for text in _texts(sheet, offcut):
        for lines in ((text,), _in_two(text, size)):
            for rotation in (0, 90) if lines else ():
                looks = [(line, _ON_WASTE) for line in lines]
                words = block(looks, rotation, _PITCH, (_OFF_CUTS[len(lines)], 0.0))
                yield from placed_within(box, words, cost)
                cost += PLAINER


def _in_two(text: str, size: str) -> tuple[str, ...]:
    """The text broken where both lines are shortest, but never within the size; empty if it is only
    that."""
    whole = size.replace(" ", _NO_BREAK)
    words = [word.replace(_NO_BREAK, " ") for word in text.replace(size, whole).split(" ")]
    breaks = [(" ".join(words[:n]), " ".join(words[n:])) for n in range(1, len(words))]
    return min(breaks, key=lambda lines: max(map(len, lines)), default=())


_NO_BREAK = "\N{NO-BREAK SPACE}"
