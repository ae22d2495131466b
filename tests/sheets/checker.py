"""An oracle for plans: replays the cuts, and knows the sheet and the cuts and nothing of planning.

In: a sheet, its cuts and the map from final parts to pieces. Out: the rectangles obtained.
``verify`` compares a whole plan with what was asked and lists everything that is wrong.
"""

from collections import Counter
from collections.abc import Mapping, Sequence

from gatherfold.sheets import Cut, Plan, Rectangle, Sheet, SheetPlan, Trimmer
from gatherfold.sheets.model import Length

Box = tuple[Length, Length, Length, Length]


class ImpossibleCut(Exception):
    """A cut uses a part that is not there, or does not lie inside it."""


def replay(sheet: Sheet, cuts: Sequence[Cut], final: Mapping[int, str]) -> dict[str, Box]:
    """Make the cuts one by one; return (x, y, width, height) of every piece, by its key."""
    there = parts_after(sheet, cuts)
    obtained: dict[str, Box] = {}
    for part, key in final.items():
        if part not in there:
            raise ImpossibleCut(f"piece {key} is part {part}, which is not there at the end")
        if key in obtained:
            raise ImpossibleCut(f"piece {key} is obtained twice")
        obtained[key] = there[part]
    return obtained


def parts_after(sheet: Sheet, cuts: Sequence[Cut]) -> dict[int, Box]:
    """The parts on the bench after all cuts."""
    gone = {cut.part for cut in cuts}
    return {part: box for part, box in every_part(sheet, cuts).items() if part not in gone}


def every_part(sheet: Sheet, cuts: Sequence[Cut]) -> dict[int, Box]:
    """The whole sheet as part 0, and all parts that are ever on the bench."""
    parts: dict[int, Box] = {0: (0, 0, sheet.width, sheet.height)}
    there = {0}
    for cut in cuts:
        if cut.part not in there:
            raise ImpossibleCut(f"cut {cut.number} uses part {cut.part}, which is not there")
        there.remove(cut.part)
        x, y, width, height = parts[cut.part]
        upright = cut.axis == "vertical"
        sides = ("left", "right") if upright else ("bottom", "top")
        length = width if upright else height
        if cut.edge not in sides or not 0 < cut.setting < length:
            raise ImpossibleCut(f"cut {cut.number} does not lie inside part {cut.part}")
        at = cut.setting if cut.edge == sides[0] else length - cut.setting
        first, second = cut.parts
        if first in parts or second in parts or first == second:
            raise ImpossibleCut(f"cut {cut.number} names a part that exists already")
        there |= {first, second}
        if upright:
            parts[first], parts[second] = (x, y, at, height), (x + at, y, width - at, height)
        else:
            parts[first], parts[second] = (x, y, width, at), (x, y + at, width, height - at)
    return parts


def verify(plan: Plan, pieces: Sequence[Rectangle], trimmer: Trimmer | None = None) -> list[str]:
    """Everything wrong with a plan for these pieces; an empty list when it is right."""
    wrong: list[str] = []
    asked = {piece.key: piece for piece in pieces}
    seen: Counter[str] = Counter()
    for number, sheet in enumerate(plan.sheets, 1):
        try:
            obtained = replay(sheet.sheet, sheet.cuts, sheet.final)
        except ImpossibleCut as error:
            wrong.append(f"sheet {number}: {error}")
            continue
        seen.update(obtained.keys())
        if obtained != {p.key: (p.x, p.y, p.width, p.height) for p in sheet.placed}:
            wrong.append(f"sheet {number}: the cuts give other pieces than the map shows")
        for key, box in obtained.items():
            if key not in asked:
                wrong.append(f"sheet {number}: nobody asked for piece {key}")
            else:
                wrong += [f"sheet {number}: {text}" for text in _misfit(asked[key], box, sheet)]
        wrong += [f"sheet {number}: {text}" for text in _leftovers(sheet, trimmer or Trimmer())]
    missing = {key for problem in plan.unplaced for key in problem.pieces}
    for key in asked:
        if seen[key] != (0 if key in missing else 1):
            wrong.append(f"piece {key} is obtained {seen[key]} times")
    return wrong + _stock(plan)


def _misfit(piece: Rectangle, box: Box, plan: SheetPlan) -> list[str]:
    x, y, width, height = box
    sheet = plan.sheet
    wrong: list[str] = []
    upright = (width, height) == (piece.width, piece.height)
    turned = piece.turns and (height, width) == (piece.width, piece.height)
    if not upright and not turned:
        wrong.append(f"piece {piece.key} comes out {width} x {height}")
    left, right, bottom, top = sheet.margins
    if x < left or y < bottom or x + width > sheet.width - right or y + height > sheet.height - top:
        wrong.append(f"piece {piece.key} lies in the margin")
    if piece.sheet is not None and piece.sheet != sheet.name:
        wrong.append(f"piece {piece.key} comes from {sheet.name}, not {piece.sheet}")
    pin = piece.pin
    if pin is None:
        return wrong
    if (pin.x is not None and pin.x != x) or (pin.y is not None and pin.y != y):
        wrong.append(f"piece {piece.key} lies at {x}, {y}, not where it is pinned")
    touching = {
        "left": x == left,
        "right": x + width == sheet.width - right,
        "bottom": y == bottom,
        "top": y + height == sheet.height - top,
    }
    if pin.edge is not None and not touching[pin.edge]:
        wrong.append(f"piece {piece.key} does not touch the {pin.edge} edge")
    if pin.region is not None:
        x0, y0, x1, y1 = pin.region
        if x < x0 or y < y0 or x + width > x1 or y + height > y1:
            wrong.append(f"piece {piece.key} leaves its region")
    return wrong


def holding_parts(plan: SheetPlan) -> set[int]:
    """The parts that hold at least one piece."""
    parents = {part: cut.part for cut in plan.cuts for part in cut.parts}
    holding = set(plan.final)
    for part in plan.final:
        while part in parents:
            part = parents[part]
            holding.add(part)
    return holding


def _leftovers(plan: SheetPlan, trimmer: Trimmer) -> list[str]:
    wrong: list[str] = []
    there = parts_after(plan.sheet, plan.cuts)
    left_over = {part: box for part, box in there.items() if part not in plan.final}
    if left_over != {o.part: (o.x, o.y, o.width, o.height) for o in plan.offcuts}:
        wrong.append("the offcuts are not what the cuts leave over")
    changes = sum(
        1 for i, cut in enumerate(plan.cuts) if not i or cut.setting != plan.cuts[i - 1].setting
    )
    if changes != plan.settings:
        wrong.append(f"the guide is set {changes} times, not {plan.settings}")
    holding = holding_parts(plan)
    boxes = every_part(plan.sheet, plan.cuts)
    for cut in plan.cuts:
        across, thickness = (3, 2) if cut.axis == "vertical" else (2, 3)
        if trimmer.longest_cut is not None and boxes[cut.part][across] > trimmer.longest_cut:
            wrong.append(f"cut {cut.number} is longer than the trimmer cuts")
        for part in holding.intersection(cut.parts):
            if boxes[part][thickness] < trimmer.narrowest_strip:
                wrong.append(f"cut {cut.number} keeps a strip thinner than the trimmer holds")
        if cut.setting < trimmer.narrowest_strip:
            wrong.append(f"cut {cut.number} holds a strip thinner than the trimmer holds")
        other = boxes[cut.part][thickness] - cut.setting
        far = next(part for part in cut.parts if boxes[part][thickness] == other)
        step, held = trimmer.guide_step, far in holding or other >= trimmer.narrowest_strip
        if step and cut.setting % step and other % step == 0 and held:
            wrong.append(f"cut {cut.number} is set between the marks, and from the other edge not")
    return wrong


def _stock(plan: Plan) -> list[str]:
    wrong: list[str] = []
    used = Counter(sheet.sheet for sheet in plan.sheets)
    for sheet, count in used.items():
        if sheet.count is not None and count > sheet.count:
            wrong.append(f"{count} of sheet {sheet.name} are used and there are {sheet.count}")
    cost = sum(sheet.cost * count for sheet, count in used.items())
    if cost != plan.cost:
        wrong.append(f"the sheets cost {cost}, not {plan.cost}")
    if plan.bound > plan.cost:
        wrong.append(f"the bound {plan.bound} is above the cost {plan.cost}")
    if plan.proven != (plan.bound == plan.cost):
        wrong.append("proven does not agree with cost and bound")
    cuts = sum(len(sheet.cuts) for sheet in plan.sheets)
    settings = sum(sheet.settings for sheet in plan.sheets)
    if (cuts, settings) != (plan.cuts, plan.settings):
        wrong.append(f"cuts and settings are {cuts} and {settings}")
    return wrong
