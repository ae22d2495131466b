"""The order of steps: what must come first, the order proposed, and circles.

The proposals are judged by ``carried_out``, which carries the steps out one after the other and
shares no code with the checks; what hides a fastening is found there with shapely.
"""

from __future__ import annotations

import fnmatch
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import permutations

import pytest
from hypothesis import given, settings, strategies as st
from shapely.geometry import Point as ShapelyPoint, Polygon

from gatherfold.checks.making import requirements
from gatherfold.checks.making.order import check_order, operations_of
from gatherfold.checks.making.proposal import StepCircle, circle, valid_order
from gatherfold.checks.making.requirements import (
    Operation,
    Reason,
    Requirement,
    StepPlan,
    requirements_of,
)
from gatherfold.findings import Finding
from gatherfold.geometry.outline import flattened
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import Work, pierced, work_of
from tests.works import placed_faces, shipped

HINGED = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
pieces:
  back: {from: night, size: 8 x 11}
  hinge:
    as: hinge
    from: night
    across: {tab: 1, free: 1}
    height: 10
    on: back
    by: tab
    right: 0
  mat: {as: mat, from: night, on: back, leaving: 1/8}
  pocket: {as: pocket, from: night, size: 6 x 3, on: mat, bottom: 0, glue: [left, bottom, right]}
  tag: {as: tag, from: night, size: 4 x 4, inside: pocket, bottom: 1/4}
fastenings:
  pin: {kind: brad, head: 1/4 in, leg: 3/8 in, through: 'back, hinge', right: 1/2}
"""
DONE = (
    *(("cut", name) for name in ("back", "hinge", "mat", "pocket", "tag")),
    ("score", "hinge"),
    ("fold", "hinge"),
    ("ink", "mat"),
    ("dry_fit", "hinge"),
    ("dry_fit", "pocket"),
    ("attach", "hinge"),
    ("fasten", "pin"),
    ("attach", "mat"),
    ("attach", "pocket"),
    ("insert", "tag"),
)


def stepped(*steps: str, design: str = HINGED) -> ResolvedDesign:
    """The hinged back with steps, each the YAML of its operations: ``cut: all; ink: mat``."""
    lines = ["steps:"]
    for number, step in enumerate(steps, start=1):
        lines += [f"  - title: Part {number}", "    text: Do it."]
        lines += [f"    {operation.strip()}" for operation in step.split(";") if operation.strip()]
    text = design + "\n".join(lines) + "\n"
    return pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))


def found(*steps: str, design: str = HINGED) -> list[Finding]:
    return list(check_order(stepped(*steps, design=design)))


def codes(*steps: str, design: str = HINGED) -> list[str]:
    return [finding.code for finding in found(*steps, design=design)]


SHAPED = "cut: all; score: hinge; fold: hinge; ink: mat"
JOINED = "dry_fit: hinge; attach: hinge"
PINNED = "fasten: pin"
FILLED = "dry_fit: pocket; attach: mat, pocket; insert: tag"


def test_a_sound_plan_has_no_finding() -> None:
    assert codes(SHAPED, JOINED, PINNED, FILLED) == []
    assert codes(SHAPED, f"{JOINED}; {PINNED}", FILLED) == []


def test_what_is_closed_and_opened_between_steps_asks_for_nothing() -> None:
    opened, closed = f"open: all, hinge.free; {PINNED}; close: hinge", f"close: all; {FILLED}"
    assert codes(SHAPED, JOINED, opened, closed) == []
    assert "never-cut" in codes("open: all; close: all"), "neither stands for cutting"


def test_what_a_step_does_is_done_in_the_order_in_which_it_is_written() -> None:
    backwards = "; ".join(reversed(SHAPED.split("; ")))
    assert set(codes(backwards, JOINED, PINNED, FILLED)) == {
        "used-before-cut",
        "folded-before-scored",
    }
    late, hinge = found(SHAPED, f"{PINNED}; attach: hinge; dry_fit: hinge", FILLED)
    assert (late.code, hinge.code) == ("dry-fit-too-late", "layer-not-there")
    assert (
        late.remedy
        == hinge.remedy
        == (
            "What a step does is done in the order in which it is written. "
            "Write in step 2: dry_fit, attach, fasten, in this order."
        )
    )
    assert codes(SHAPED, f"dry_fit: hinge; attach: hinge; {PINNED}", FILLED) == []


@pytest.mark.parametrize(
    ("steps", "code", "order"),
    [
        ((JOINED, SHAPED, PINNED, FILLED), "used-before-cut", "2, 1, 3, 4"),
        ((SHAPED, PINNED, JOINED, FILLED), "layer-not-there", "1, 3, 2, 4"),
        ((SHAPED, JOINED, FILLED, PINNED), "fastened-too-late", "1, 2, 4, 3"),
        (
            ("cut: all", JOINED, PINNED, FILLED, "score: hinge; fold: hinge"),
            "too-late",
            "1, 5, 2, 3, 4",
        ),
        (
            ("cut: all; fold: hinge", "score: hinge", JOINED, PINNED, FILLED),
            "folded-before-scored",
            "",
        ),
        (
            (SHAPED, "attach: hinge", PINNED, FILLED, "dry_fit: hinge"),
            "dry-fit-too-late",
            "1, 5, 2, 3, 4",
        ),
        (
            (SHAPED, JOINED, PINNED, "insert: tag", "dry_fit: pocket; attach: mat, pocket"),
            "pocket-not-there",
            "1, 2, 3, 5, 4",
        ),
    ],
)
def test_each_wrong_order_is_named_with_both_steps_and_a_valid_order(
    steps: tuple[str, ...], code: str, order: str
) -> None:
    findings = found(*steps)
    (first, *_) = [finding for finding in findings if finding.code == code]
    assert first.message.count("(Part ") == 2, "both steps are named with their titles"
    if order:
        assert first.remedy.endswith(f"A valid order: {order}.")
        numbers = [int(number) - 1 for number in order.split(", ")]
        assert codes(*(steps[number] for number in numbers)) == []


def test_scores_in_the_step_after_cutting_and_folding_divide_that_step() -> None:
    """Cutting must come before the scoring of step 2, and folding after it."""
    (finding,) = found("cut: all; fold: hinge", "score: hinge", JOINED, PINNED, FILLED)
    assert finding.remedy.endswith(
        "Steps 1 and 2 need each other, so no order is valid: divide step 1 and move "
        "'fold: hinge' to a new step after step 2."
    )


def test_one_step_that_hides_what_it_fastens_is_divided() -> None:
    both = "dry_fit: hinge; attach: hinge, mat; fasten: pin"
    (finding,) = found(SHAPED, both, "dry_fit: pocket; attach: pocket; insert: tag")
    assert finding.code == "fastened-too-late"
    assert finding.remedy.endswith("Divide step 2: move 'attach: mat' to a new step after it.")


def with_pieces(*lines: str) -> str:
    return HINGED.replace("fastenings:", "\n".join(f"  {line}" for line in lines) + "\nfastenings:")


def test_what_lies_over_the_head_hides_it_as_well() -> None:
    """The pin lies ½ in from the edge: the label there covers its head, the outer mat does not."""
    design = with_pieces(
        "outer: {from: night, on_back: back, leaving: 1}",
        "label: {from: night, size: 1 x 1, on_back: back, left: 0}",
    )
    steps = (SHAPED, JOINED, "attach: outer, label", PINNED, FILLED)
    messages = [f.message for f in found(*steps, design=design) if f.code == "fastened-too-late"]
    assert len(messages) == 1
    assert "glues 'label' over the place" in messages[0]


def test_what_lies_on_a_covering_piece_may_be_glued_to_it_early() -> None:
    design = with_pieces("label: {from: night, size: 1 x 1, on: mat, right: 0}")
    assert codes(SHAPED, "attach: label", JOINED, PINNED, FILLED, design=design) == []


def test_a_window_over_the_prongs_leaves_them_open() -> None:
    """The window spans 6⅝ to 7⅝ from the left of the back; the pin lies at 7½."""
    window = "window: {size: 1 x 1, right: 1/4}"
    design = HINGED.replace("on: back, leaving: 1/8}", f"on: back, leaving: 1/8, {window}}}")
    assert codes(SHAPED, JOINED, FILLED, PINNED, design=design) == []


def test_things_left_out_keep_their_codes() -> None:
    assert codes("cut: back") == [
        *("never-cut", "never-scored", "never-placed"),
        *("never-cut", "never-placed") * 3,
        "never-fastened",
    ]
    assert codes("cut: all; fold: hinge; insert: tag; fasten: pin")[:3] == [
        *("folded-before-scored", "pocket-not-there", "layer-not-there")
    ]
    assert "placed-twice" in codes(SHAPED, JOINED, PINNED, FILLED, "attach: mat")
    assert codes(SHAPED, "attach: hinge", PINNED, FILLED) == ["no-dry-fit"]


def test_an_insert_may_be_a_layer_that_the_same_step_fastens() -> None:
    design = HINGED.replace("'back, hinge', right: 1/2", "'tag, pocket, mat, back', pivot: yes")
    steps = (SHAPED, JOINED, "dry_fit: pocket; attach: mat, pocket; insert: tag; fasten: pin")
    assert codes(*steps, design=design) == []


# What follows knows nothing of the checks.

JUDGED = ("cut", "score", "fold", "ink", "dry_fit", "attach", "fasten", "insert")
Step = Mapping[str, Sequence[str]]


def covers_by_shapely(resolved: ResolvedDesign) -> dict[str, set[str]]:
    """Pieces over each fastening in the work at rest, outside its stack, in floats."""
    hidden: dict[str, set[str]] = {}
    work = work_of(resolved)
    lying = [f for f in placed_faces(work.opened, work.scale) if f.pose.normal[2] != 0]
    for key, fastening in resolved.fastenings.items():
        through = fastening.source.through
        if fastening.point is None:
            continue
        layers: list[str] = []
        place: tuple[float, float] | None = None
        for face in lying:
            box = resolved.pieces[face.piece].face(face.face).box
            x, y = fastening.point.x, fastening.point.y
            if face.piece == through[0] and box.left <= x <= box.right:
                across, upward, _ = face.pose.apply((x, y, 0))
                place = float(across), float(upward)
        assert place is not None
        for face in lying:
            piece = resolved.pieces[face.piece]
            box, pose = piece.face(face.face).box, face.pose
            part = Polygon(flattened(piece.outline, 64)).intersection(
                Polygon([(box.left, box.bottom), (box.right, box.bottom), (box.right, box.top),
                         (box.left, box.top)])
            )  # fmt: skip
            (a, b, _), (c, d, _) = pose.rotation[0], pose.rotation[1]
            dx, dy = place[0] - float(pose.shift[0]), place[1] - float(pose.shift[1])
            if part.covers(ShapelyPoint(a * dx + c * dy, b * dx + d * dy)):
                layers.append(face.piece)
        inside = [index for index, name in enumerate(layers) if name in through]
        outside = {*layers[: inside[0]], *layers[inside[-1] + 1 :]}
        hosts = {name: resolved.pieces[name].source.placement for name in outside}
        hidden[key] = {
            name for name, place_ in hosts.items() if place_ and place_.host not in outside
        }
    return hidden


@dataclass
class Bench:
    """What has been done so far, and what lies over each fastening at the end."""

    resolved: ResolvedDesign
    hidden: Mapping[str, set[str]]
    done: set[tuple[str, str]] = field(default_factory=set)

    def host(self, piece: str) -> str | None:
        placement = self.resolved.pieces[piece].source.placement
        return placement.host if placement else None

    def carries(self, piece: str, others: Sequence[str]) -> bool:
        """Whether all the others lie on it: then they are fastened to one another first."""
        below = {other: {other} for other in others}
        for other in others:
            at = self.host(other)
            while at is not None:
                below[other].add(at)
                at = self.host(at)
        return all(piece in chain for chain in below.values())

    def has_in_place(self, piece: str) -> bool:
        return self.host(piece) is None or self.is_placed(piece)

    def is_placed(self, piece: str) -> bool:
        return ("attach", piece) in self.done or ("insert", piece) in self.done

    def is_wrong(self, kind: str, name: str, step: Step) -> bool:
        """Whether it cannot be done now."""
        if kind == "fasten":
            layers = self.resolved.fastenings[name].source.through
            lacks = [layer for layer in layers if not self.carries(layer, layers)]
            return any(self.is_placed(cover) for cover in self.hidden.get(name, ())) or not all(
                self.has_in_place(layer) for layer in lacks
            )
        if kind != "cut" and ("cut", name) not in self.done:
            return True
        if kind in ("score", "fold", "ink") and self.is_placed(name):
            return True
        if kind == "insert":
            host = self.host(name)
            return host not in (None, *step.get("insert", ())) and not self.has_in_place(str(host))
        is_unscored = kind == "fold" and ("score", name) not in self.done
        return is_unscored or (kind == "dry_fit" and ("attach", name) in self.done)


def carried_out(
    resolved: ResolvedDesign, steps: Sequence[Step], hidden: Mapping[str, set[str]]
) -> list[str]:
    """Carry the steps out; whatever is done too early or too late is said."""
    bench, wrong = Bench(resolved, hidden), []
    for step in steps:
        for kind, names in step.items():
            if kind not in JUDGED:
                continue
            wrong += [f"{kind} {name}" for name in names if bench.is_wrong(kind, name, step)]
            bench.done |= {(kind, name) for name in names}
    return wrong


def written_out(resolved: ResolvedDesign) -> list[dict[str, list[str]]]:
    """The operations of each step, patterns written out with the standard library."""
    steps = []
    for step in resolved.design.steps:
        names: dict[str, list[str]] = {}
        for kind, patterns in step.operations.items():
            known = resolved.fastenings if kind == "fasten" else resolved.pieces
            names[kind] = [
                name
                for name in known
                if any(p == "all" or fnmatch.fnmatch(name, p) for p in patterns)
            ]
        steps.append(names)
    return steps


@pytest.fixture(scope="module", autouse=True)
def played_without_steps_once() -> Iterator[None]:
    """What holds whatever the order of the steps is played once for the same pieces."""
    played: dict[int, tuple[ResolvedDesign, Work]] = {}

    def found(resolved: ResolvedDesign) -> Work:
        if resolved.design.steps:
            return work_of(resolved)
        # The design is kept with its work, so that no other pieces get the same identity.
        if id(resolved.pieces) not in played:
            played[id(resolved.pieces)] = resolved, work_of(resolved)
        return played[id(resolved.pieces)][1]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(requirements, "work_of", found)
        yield


def folio() -> ResolvedDesign:
    return shipped("observatory-folio")


@cache
def folio_covers() -> dict[str, set[str]]:
    return covers_by_shapely(folio())


@cache
def hinged() -> ResolvedDesign:
    return stepped(SHAPED, JOINED, PINNED, FILLED)


def needs(resolved: ResolvedDesign, operations: Sequence[Operation]) -> tuple[Requirement, ...]:
    return requirements_of(resolved, StepPlan(operations))[0]


@settings(max_examples=25, deadline=None)
@given(st.deferred(lambda: st.permutations(range(len(folio().design.steps)))))
def test_a_shuffled_folio_is_put_in_a_valid_order(shuffle: list[int]) -> None:
    """Findings come exactly when carrying out goes wrong, and the order proposed goes right."""
    steps = tuple(folio().design.steps[index] for index in shuffle)
    shuffled = replace(folio(), design=replace(folio().design, steps=steps))
    written = written_out(shuffled)
    goes_wrong = carried_out(shuffled, written, folio_covers())
    assert bool(list(check_order(shuffled))) == bool(goes_wrong)
    order = valid_order(len(steps), needs(shuffled, list(operations_of(shuffled))))
    assert order is not None
    assert sorted(order) == list(range(1, len(steps) + 1))
    proposed = [written[number - 1] for number in order]
    assert carried_out(shuffled, proposed, folio_covers()) == []


def test_a_valid_folio_stays_as_it_is() -> None:
    steps = len(folio().design.steps)
    operations = list(operations_of(folio()))
    assert valid_order(steps, needs(folio(), operations)) == tuple(range(1, steps + 1))


@settings(max_examples=25, deadline=None)
@given(st.lists(st.integers(1, 4), min_size=len(DONE), max_size=len(DONE)))
def test_none_is_proposed_only_where_no_order_exists(numbers: list[int]) -> None:
    """Every order of four steps is tried; where none is valid, steps are divided as told."""
    resolved = hinged()
    hidden = covers_by_shapely(resolved)
    operations = [
        Operation(n, *op, place=JUDGED.index(op[0])) for n, op in zip(numbers, DONE, strict=True)
    ]
    order = valid_order(4, needs(resolved, operations))
    works = [
        each
        for each in permutations(range(1, 5))
        if not carried_out(resolved, in_order(operations, each), hidden)
    ]
    assert (order in works) if works else (order is None)
    divided, count = operations, 4
    while order is None:
        ring = circle(needs(resolved, divided))
        assert ring is not None
        assert ring.moved
        divided, count = with_division(divided, ring), count + 1
        assert count < 4 + len(DONE)
        order = valid_order(count, needs(resolved, divided))
    assert carried_out(resolved, in_order(divided, order), hidden) == []


def in_order(operations: Sequence[Operation], order: Sequence[int]) -> list[dict[str, list[str]]]:
    steps: list[dict[str, list[str]]] = []
    for number in order:
        names: dict[str, list[str]] = {}
        for each in sorted(operations, key=lambda operation: operation.place):
            if each.step == number:
                names.setdefault(each.kind, []).append(each.name)
        steps.append(names)
    return steps


def with_division(operations: Sequence[Operation], ring: StepCircle) -> list[Operation]:
    """What leaves its step goes to a new one after the step named, and later ones count up."""
    return [
        replace(each, step=ring.after + 1)
        if each in ring.moved
        else replace(each, step=each.step + (each.step > ring.after))
        for each in operations
    ]


def test_the_folio_has_the_covers_that_shapely_finds() -> None:
    """Shapely 2 measures the same flat state; ``hidden`` in the requirements must agree."""
    requirements = needs(folio(), list(operations_of(folio())))
    ours: dict[str, set[str]] = {}
    for each in requirements:
        if each.reason is Reason.FASTENED_BEFORE_HIDDEN:
            ours.setdefault(each.earlier.name, set()).add(each.later.name)
    assert ours == {key: covers for key, covers in folio_covers().items() if covers}
    assert ours["latch_brad"] == {"back_outer_mat"}


def chained(*pairs: tuple[int, int]) -> list[Requirement]:
    """Each pair of steps: something of the first comes before something else of the second."""
    return [
        Requirement(
            Operation(first, "cut", f"p{first}_{second}"),
            Operation(second, "attach", f"p{first}_{second}"),
            Reason.CUT_BEFORE_USE,
        )
        for first, second in pairs
    ]


@pytest.mark.parametrize(
    ("pairs", "order"),
    [
        ([], (1, 2, 3, 4, 5, 6)),
        ([(5, 2)], (1, 5, 2, 3, 4, 6)),
        ([(5, 2), (2, 3), (3, 4)], (1, 5, 2, 3, 4, 6)),
        ([(3, 1), (4, 1), (5, 1)], (2, 3, 4, 5, 1, 6)),
    ],
)
def test_few_steps_are_moved(pairs: list[tuple[int, int]], order: tuple[int, ...]) -> None:
    """Worked out by hand: one step leaves its place in each, pulled forward or pushed back."""
    assert valid_order(6, chained(*pairs)) == order


def test_a_circle_of_three_steps_is_opened_at_one_of_them() -> None:
    requirements = chained((1, 2), (2, 3), (3, 1))
    assert valid_order(3, requirements) is None
    ring = circle(requirements)
    assert ring is not None
    assert (ring.step, ring.other, ring.between, ring.after) == (1, 3, (2,), 3)
    assert [each.name for each in ring.moved] == ["p3_1"]


def test_a_circle_of_operations_cannot_be_divided() -> None:
    one, two = Operation(1, "fasten", "one"), Operation(2, "fasten", "two")
    requirements = [
        Requirement(one, two, Reason.FASTENED_BEFORE_HIDDEN),
        Requirement(two, one, Reason.FASTENED_BEFORE_HIDDEN),
    ]
    ring = circle(requirements)
    assert ring is not None
    assert ring.moved == ()


def test_eight_hundred_steps_are_sorted() -> None:
    """A thousand needs against the order, every seventh step waiting for the one after the next."""
    pairs = [(n + 2, n) for n in range(1, 799, 7)] + [(n, n + 1) for n in range(3, 799, 7)]
    order = valid_order(800, chained(*pairs))
    assert order is not None
    at = {step: place for place, step in enumerate(order)}
    assert all(at[first] < at[second] for first, second in pairs)
