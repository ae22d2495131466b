"""A sheet's cuts → numbered lines a maker can follow.

Each line is one cut, or a run of equal cuts.  It says which part to lay, whether it is turned,
where the guide stands and what the cut gives: what is done, what is kept to be cut on, what is left
over.  Parts are named as they arise: a finished piece or a strip by its code, what is kept by a
letter.  The size of a part is given where it arises, and once more where it is taken up again after
other cuts.  A size that is no whole step of the grid (what is left of a 12 in sheet in millimetres)
is given rounded down: it is only there to recognise the part.  Each line is also there in few
words, for the bench.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import count

from builder.documents.content import CutView
from builder.geometry.edges import Axis, is_far
from builder.resolve.resolved import ResolvedDesign
from builder.sheets import Cut, SheetPlan, name_of
from builder.stock_plans import part_sizes, recognised_size
from builder.wording import Wording


@dataclass(frozen=True)
class Uncut:
    """What the first cut is made in: its name in a sentence, and the parts kept for later by
    what they are kept for."""

    name: str
    reserved: Mapping[int, str]


@dataclass(frozen=True)
class _Part:
    """A part by its name, what a line says of it when it arises, and its size."""

    name: str
    given: str
    size: str


@dataclass(frozen=True)
class _Run:
    """Cuts made one after another in what the one before left, at one setting from one edge; each
    gives a finished piece.  Most runs are of a single cut."""

    cuts: tuple[Cut, ...]

    @property
    def first(self) -> Cut:
        return self.cuts[0]

    @property
    def near(self) -> tuple[int, ...]:
        """The parts that lie against the guide, in the order in which they are cut off."""
        return tuple(_against_guide(cut)[0] for cut in self.cuts)

    @property
    def rest(self) -> int:
        """What is left after the last cut."""
        return _against_guide(self.cuts[-1])[1]

    @property
    def is_near_first(self) -> bool:
        """Whether the near parts lie at the left, or below."""
        return not is_far(self.first.edge)


def _against_guide(cut: Cut) -> tuple[int, int]:
    """The part that lies against the guide, and the other one."""
    first, second = cut.parts
    return (second, first) if is_far(cut.edge) else (first, second)


def _runs(sheet: SheetPlan) -> list[_Run]:
    """The cuts in order, those of a run together."""
    runs: list[_Run] = []
    for cut in sheet.cuts:
        before = runs[-1] if runs else None
        if before is not None and _goes_on(before, cut, sheet):
            runs[-1] = _Run((*before.cuts, cut))
        else:
            runs.append(_Run((cut,)))
    return runs


def _goes_on(run: _Run, cut: Cut, sheet: SheetPlan) -> bool:
    is_alike = (cut.axis, cut.edge, cut.setting) == (
        run.first.axis,
        run.first.edge,
        run.first.setting,
    )
    pieces = (run.near[0], _against_guide(cut)[0])
    return is_alike and cut.part == run.rest and all(part in sheet.final for part in pieces)


#: How the names of phrases begin, in sentences and in few words.
_MANNERS = ("", "brief_")
_BRIEF_ARROW = " → "


def cut_views(
    sheet: SheetPlan, resolved: ResolvedDesign, wording: Wording, uncut: Uncut
) -> tuple[CutView, ...]:
    """One line for each run of cuts: what to lay, where the guide stands and what comes off."""
    runs = _runs(sheet)
    full, brief = (_Lines(sheet, runs, resolved, wording, uncut, how).all() for how in _MANNERS)
    return tuple(
        CutView(run.first.number, run.cuts[-1].number, *line, brief=_BRIEF_ARROW.join(short))
        for run, line, short in zip(runs, full, brief, strict=True)
    )


@dataclass(frozen=True)
class _Lines:
    """Writes the runs of cuts of a sheet in one manner."""

    sheet: SheetPlan
    runs: Sequence[_Run]
    resolved: ResolvedDesign
    wording: Wording
    uncut: Uncut
    how: str

    def all(self) -> Iterator[tuple[str, str]]:
        """For each run what is done, and what it gives."""
        parts, phrase = self._parts(), self.wording.phrase
        made: dict[int, Axis] = {part: cut.axis for cut in self.sheet.cuts for part in cut.parts}
        before: _Run | None = None
        for run in self.runs:
            cut = run.first
            laid = self.uncut.name
            if before is not None:
                # What the cut before gave is in the maker's hand; anything else is taken up again,
                # and turned where it was cut free the other way.
                taken = "next" if cut.part in (before.rest, *before.near) else "again"
                turned = "_turned" if made[cut.part] != cut.axis else ""
                part = parts[cut.part]
                laid = phrase(f"{self.how}lay_{taken}{turned}", part=part.name, size=part.size)
            if len(run.cuts) > 1:
                laid = phrase(f"{self.how}lay_often", laid=laid, times=len(run.cuts))
            is_same = before is not None and before.first.setting == cut.setting
            action = phrase(
                f"{self.how}cut_line_same" if is_same else f"{self.how}cut_line",
                part=laid,
                setting=self.resolved.edition.units.text(Fraction(cut.setting)),
                edge=phrase(f"edge_{cut.edge}"),
            )
            yield action, self._gives(run, parts)
            before = run

    def _gives(self, run: _Run, parts: Mapping[int, _Part]) -> str:
        """What lies left and right of the cuts, or below and above them."""
        near, rest = parts[run.near[0]].given, parts[run.rest].given
        if len(run.cuts) > 1:
            done = ", ".join(parts[part].name for part in run.near)
            near = self.wording.phrase("cut_done", part=done)
        first, second = (near, rest) if run.is_near_first else (rest, near)
        return self.wording.phrase("cut_gives", first=first, second=second)

    def _parts(self) -> dict[int, _Part]:
        """Every part that a line speaks of; what is cut on within a run needs no name."""
        sizes, units = part_sizes(self.sheet), self.resolved.edition.units
        parts: dict[int, _Part] = {}
        letters = map(_small_letter, count())
        for run in self.runs:
            for number in (*run.near, run.rest) if run.is_near_first else (run.rest, *run.near):
                rounded = recognised_size(sizes[number], self.resolved.edition.grid)
                size = units.size_text(*rounded)
                if self.how:
                    size = f"{units.number(rounded[0])}\xa0×\xa0{units.number(rounded[1])}"
                parts[number] = self._part(number, size, min(rounded) == 0, letters)
        return parts

    def _part(self, number: int, size: str, is_sliver: bool, letters: Iterator[str]) -> _Part:
        """A part by what becomes of it: it is done, kept for later, left over or cut on."""
        phrase, name = self.wording.phrase, ""
        if number in self.sheet.final:
            name = self.resolved.cut_out(name_of(self.sheet.final[number])).code
            given = phrase("cut_done", part=name)
        elif number in self.uncut.reserved:
            purpose = self.uncut.reserved[number]
            given = phrase(f"{self.how}cut_reserved", size=size, purpose=purpose)
        elif any(offcut.part == number for offcut in self.sheet.offcuts):
            given = phrase("sliver" if is_sliver else f"{self.how}cut_left_over", size=size)
        else:
            name = next(letters)
            given = phrase(f"{self.how}cut_kept", part=name, size=size)
        return _Part(name, given, size)


def _small_letter(index: int) -> str:
    first, last = divmod(index, 26)
    return (chr(96 + first) if first else "") + chr(97 + last)
