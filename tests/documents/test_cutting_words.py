"""A maker who knows nothing but the words beside a sheet map gets every piece of the sheet.

The maker here reads each line, lays the part that it names, sets the guide, cuts, and names what
lies at the left or below first. It shares nothing with the planner but the sheet's own size.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

import pytest

from gatherfold.documents.sheets_text import Uncut, cut_views
from gatherfold.editions.checked import Checked
from gatherfold.lengths import INCH
from gatherfold.plans import StockPlan
from gatherfold.resolve.edition import EDITIONS
from gatherfold.sheets import SheetPlan, name_of
from gatherfold.wording import load_wording
from tests.conftest import FOLIO
from tests.documents.test_pdf import value_of
from tests.works import checked

WORDING = load_wording("en")
_FULL = re.compile(
    r"(?:(Take)(?: and turn)? |(Turn) )?(\w+)(?: \([^)]*\))?(?:, (\d+) times)?: "
    r"(?:(\S+) (?:in|mm) from the (\w+) edge|same setting, (\w+) edge)"
)
_BRIEF = re.compile(
    r"(?:(Take)(?:, turn)? |(Turn) )?(\w+)(?: \([^)]*\))?(?:, (\d+) times)?: "
    r"(?:(\S+) (?:in|mm) from (\w+)|same, from (\w+))"
)


@dataclass
class Part:
    """What lies on the table: its place on the sheet, its size, and which way it was cut free."""

    x: Fraction
    y: Fraction
    width: Fraction
    height: Fraction
    freed_by: str = ""


class Maker:
    """Follows lines one after the other; ``done`` are the pieces by code, as they lay."""

    def __init__(self, sheet: SheetPlan, unit: Fraction) -> None:
        size = Fraction(sheet.sheet.width), Fraction(sheet.sheet.height)
        self.parts = {"Sheet": Part(Fraction(0), Fraction(0), *size)}
        self.done: list[tuple[str, Part]] = []
        self._unit = unit
        self._guide = Fraction(0)

    def follow(self, action: str, gives: str, pattern: re.Pattern[str]) -> None:
        match = pattern.fullmatch(action)
        assert match, action
        _, _, name, times, written, edge, same_edge = match.groups()
        if written:
            self._guide = value_of(written) * self._unit
        edge = edge or same_edge
        axis = "vertical" if edge in ("left", "right") else "horizontal"
        part = self.parts.pop(name)
        if part.freed_by:
            assert ("urn " in action) == (part.freed_by != axis), action
        near = []
        for _ in range(int(times or 1)):
            piece, part = self._cut(part, edge, axis)
            near.append(piece)
        self._name(gives, near, part, edge)

    def _cut(self, part: Part, edge: str, axis: str) -> tuple[Part, Part]:
        """The part against the guide, and the rest."""
        x, y, width, height = part.x, part.y, part.width, part.height
        set_at = self._guide
        if axis == "vertical":
            at = set_at if edge == "left" else width - set_at
            assert 0 < at < width
            pieces = Part(x, y, at, height, axis), Part(x + at, y, width - at, height, axis)
        else:
            at = set_at if edge == "bottom" else height - set_at
            assert 0 < at < height
            pieces = Part(x, y, width, at, axis), Part(x, y + at, width, height - at, axis)
        return pieces if edge in ("left", "bottom") else (pieces[1], pieces[0])

    def _name(self, gives: str, near: list[Part], rest: Part, edge: str) -> None:
        first, second = gives.split(" | ")
        if edge in ("right", "top"):
            first, second = second, first
        if first.endswith(" done"):
            codes = first.removesuffix(" done").split(", ")
            self.done += list(zip(codes, near, strict=True))
        else:
            self._keep(first, near[0])
        if second.endswith(" done"):
            self.done.append((second.removesuffix(" done"), rest))
        else:
            self._keep(second, rest)

    def _keep(self, given: str, part: Part) -> None:
        """A part with a small letter; its size in brackets is rounded down, never up."""
        match = re.fullmatch(r"(?:keep )?([a-z]{1,2}) \((.+) × (.+?)(?: in| mm)?\)", given)
        if match is None:
            assert given.startswith(("left over", "offcut", "a sliver", "keep for")), given
            return
        for written, true in zip(match.groups()[1:], (part.width, part.height), strict=True):
            assert 0 <= true - value_of(written) * self._unit < self._unit
        self.parts[match.group(1)] = part


@pytest.fixture(scope="module")
def folio() -> dict[str, Checked]:
    return {name: checked(FOLIO, name) for name in EDITIONS}


@pytest.mark.parametrize("how", ["sentences", "brief"])
@pytest.mark.parametrize("edition", EDITIONS)
def test_following_the_words_gives_every_piece(
    folio: dict[str, Checked], edition: str, how: str
) -> None:
    one = folio[edition]
    unit = INCH if edition == "imperial" else Fraction(1)
    followed = 0
    for stock_plan in one.plans.values():
        for number, sheet in enumerate(stock_plan.plan.sheets, start=1):
            maker = Maker(sheet, unit)
            for action, gives in _lines(one, stock_plan, number, sheet, how):
                maker.follow(action, gives, _BRIEF if how == "brief" else _FULL)
            assert _as_placed(maker) == _as_planned(one, sheet), (stock_plan.stock.key, number)
            assert not maker.parts, "every part to cut on was taken up again"
            followed += 1
    assert followed > 12


def _lines(
    one: Checked, stock_plan: StockPlan, number: int, sheet: SheetPlan, how: str
) -> list[tuple[str, str]]:
    uncut = Uncut(WORDING.phrase("cut_sheet"), stock_plan.kept_on(number))
    views = cut_views(sheet, one.resolved, WORDING, uncut)
    if how == "sentences":
        pairs = [(view.action, view.gives) for view in views]
    else:
        pairs = []
        for view in views:
            action, _, gives = view.brief.partition(" → ")
            pairs.append((action, gives))
    return [(action.replace("\xa0", " "), gives.replace("\xa0", " ")) for action, gives in pairs]


Places = list[tuple[str, Fraction, Fraction, Fraction, Fraction]]


def _as_placed(maker: Maker) -> Places:
    return sorted((code, part.x, part.y, part.width, part.height) for code, part in maker.done)


def _as_planned(one: Checked, sheet: SheetPlan) -> Places:
    return sorted(
        (
            one.resolved.cut_out(name_of(placed.key)).code,
            Fraction(placed.x),
            Fraction(placed.y),
            Fraction(placed.width),
            Fraction(placed.height),
        )
        for placed in sheet.placed
    )


@pytest.mark.parametrize("edition", EDITIONS)
def test_brief_lines_say_the_unit_once_and_no_more_than_the_sentences(
    folio: dict[str, Checked], edition: str
) -> None:
    one = folio[edition]
    unit = "in" if edition == "imperial" else "mm"
    views = [
        view
        for stock_plan in one.plans.values()
        for sheet in stock_plan.plan.sheets
        for view in cut_views(sheet, one.resolved, WORDING, Uncut("Sheet", {}))
    ]
    assert len(views) > 60
    for view in views:
        sentence = f"{view.action} → {view.gives}"
        assert len(view.brief) < len(sentence)
        assert len(re.findall(rf"\b{unit}\b", view.brief)) <= 1
        numbers = re.findall(r"[\d½¼¾⅛⅜⅝⅞⁄]+", sentence)
        assert re.findall(r"[\d½¼¾⅛⅜⅝⅞⁄]+", view.brief) == numbers
