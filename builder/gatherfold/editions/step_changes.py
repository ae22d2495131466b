"""What may have been meant by the steps: operations added, taken out, moved and exchanged; words of
texts turned.

In: the text of a design, and a finding.  Out: changes, the likeliest first.  Nothing is known here
of whether they help.
"""

import re
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain, combinations, permutations, product, starmap
from typing import Any

from gatherfold.editions.text_changes import DesignText, TextChange, in_turn
from gatherfold.findings import Finding, Position
from gatherfold.model import OPERATIONS, Design, Piece
from gatherfold.reading import MappingNode, Node, Scalar, SequenceNode

_STEP = re.compile(r"\bsteps? (\d+)")
_QUOTED = re.compile(r"'([a-z*][a-z0-9_*]*(?:\.[a-z][a-z0-9_]*)?)'")
_OPERATION = re.compile(r"'([a-z_]+):?'")
_ORDER = re.compile(r"\b(before|after|order|earlier|later)\b")
_NAMED = re.compile(r"\[([a-z][a-z0-9_.]*)\]")
_FORMULA = re.compile(r"\{[^{}]+\}")


@dataclass(frozen=True)
class _Step:
    """A step as it is written: its lines from the first up to ``end``, and its operations."""

    number: int
    title: str
    start: int
    end: int
    node: MappingNode

    def names(self, source: DesignText, operation: str) -> "_Names | None":
        return _listed_in(source, self.node.get(operation))

    def __str__(self) -> str:
        return f"step {self.number} ({self.title})"


@dataclass(frozen=True)
class _Names:
    """The names that an operation lists: in one line, whose text it is, or each in a line."""

    source: DesignText
    place: Position
    text: str
    items: tuple[Scalar, ...] = ()

    @property
    def listed(self) -> list[str]:
        if self.items:
            return [each.text for each in self.items]
        return [name.strip() for name in self.text.split(",")]

    def written(self, names: Sequence[str]) -> TextChange | None:
        """The same list with other names."""
        source = self.source
        if not self.items:
            return source.replaced(self.place, self.text, ", ".join(names))
        first = source.line_start(self.place.line)
        end = source.line_start(self.items[-1].start.line + 1)
        dash = source.text[first : source.offset(self.place)]
        new = "".join(f"{dash}{name}\n" for name in names)
        said = f"From line {self.place.line} on list '{', '.join(names)}'."
        return TextChange(said, self.place.line, ((first, end, new),))

    def exchanged(self, names: Collection[str]) -> Iterator[TextChange]:
        """The same list with two of some names exchanged."""
        listed = self.listed
        there = [place for place, name in enumerate(listed) if name in names]
        for one, other in combinations(there, 2):
            turned = [*listed]
            turned[one], turned[other] = listed[other], listed[one]
            yield from filter(None, (self.written(turned),))


def _listed_in(source: DesignText, value: Node | None) -> "_Names | None":
    """The names that stand under a key, where they are written in one line or each in a line."""
    if isinstance(value, Scalar) and value.start.line == value.position.line:
        return _Names(source, value.start, value.text)
    if isinstance(value, SequenceNode) and value.items:
        items = [each for each in value.items if isinstance(each, Scalar)]
        first, last = items[0].start, items[-1]
        if first.line == last.start.line and len(items) > 1:
            end = source.offset(last.start) + len(last.text)
            return _Names(source, first, source.text[source.offset(first) : end])
        return _Names(source, first, "", tuple(items))
    return None


def changes_of_closing(
    source: DesignText, design: Design, finding: Finding
) -> Iterator[TextChange]:
    """The order under 'closing:' with one more name that a finding speaks of, or with two of them
    exchanged."""
    found = _listed_in(source, source.root.get("closing"))
    if found is None or "closing" not in f"{finding.code} {finding.message} {finding.remedy}":
        return
    listed, names = found.listed, names_told(design, finding)
    for name in names:
        for place in range(len(listed) + 1) if name not in listed else ():
            yield from filter(None, (found.written([*listed[:place], name, *listed[place:]]),))
    yield from found.exchanged(names)


def changes_of_steps(source: DesignText, design: Design, finding: Finding) -> Iterator[TextChange]:
    """What may have been meant by the steps that a finding speaks of, or that name its parts."""
    steps = _steps(source)
    near = _concerned(steps, finding)
    names = names_told(design, finding)
    told = f"{finding.message} {finding.remedy}"
    operations = [each for each in _OPERATION.findall(told) if each in OPERATIONS]
    folded = [each for each in names if each in design.pieces and _is_folded(design.pieces[each])]
    doing = [each for each in steps if any(map(each.node.get, operations))]
    with_them = dict.fromkeys((*(each for each in doing if each in near), *doing, *near))
    pairs = _pairs(steps, near, finding) if _is_of_order(finding) else []
    moved = _each(_moved, [source], pairs)
    if "valid order" in finding.remedy:
        yield from moved
    yield from in_turn(
        _each(_with_name, [source], with_them, dict.fromkeys(operations), names),
        _each(_exchanged, [source], near, [names]),
        _each(_with_name, [source], near, ["close"], folded),
        moved,
        _each(_moved_names, [source], pairs, [names]),
        _each(_without_name, [source], near, [names]),
    )


def _each(make: Callable[..., Iterator[TextChange]], *kinds: Iterable[Any]) -> Iterator[TextChange]:
    """What is made of each way to take one of each kind."""
    return chain.from_iterable(starmap(make, product(*kinds)))


def _is_of_order(finding: Finding) -> bool:
    """Whether a finding speaks of what comes before what, and not of sizes as well."""
    return bool(_ORDER.search(finding.remedy)) and "larger" not in finding.remedy


def _pairs(
    steps: Sequence[_Step], near: Sequence[_Step], finding: Finding
) -> list[tuple[_Step, _Step]]:
    """Two steps of which one may belong before the other, the likeliest first."""
    return [*permutations(near[::-1], 2), *_beside(steps, near, finding)]


def _beside(
    steps: Sequence[_Step], near: Sequence[_Step], finding: Finding
) -> list[tuple[_Step, _Step]]:
    """Steps that are near with those before and after them, where no text is in question."""
    beside = [pair for pair in product(near, steps) if abs(pair[0].number - pair[1].number) == 1]
    return [] if "text" in finding.code else beside


def _is_folded(piece: Piece) -> bool:
    return bool(piece.across or piece.up)


def _steps(source: DesignText) -> list[_Step]:
    node = source.root.get("steps")
    if not isinstance(node, SequenceNode):
        return []
    written = [each for each in node.items if isinstance(each, MappingNode) and each.entries]
    found: list[_Step] = []
    for number, each in enumerate(written, start=1):
        start = each.entries[0][0].position.line
        is_last = number == len(written)
        end = len(source.lines) + 1 if is_last else written[number].entries[0][0].position.line
        title = each.get("title")
        said = title.text if isinstance(title, Scalar) else ""
        found.append(_Step(number, said, start, end, each))
    return found


def _concerned(steps: Sequence[_Step], finding: Finding) -> list[_Step]:
    told = {int(each) for each in _STEP.findall(finding.message + finding.remedy)}
    line = finding.position.line
    return [each for each in steps if each.number in told or each.start <= line < each.end]


def names_told(design: Design, finding: Finding) -> tuple[str, ...]:
    """The names that a finding speaks of: parts, and sections of them."""
    told = _QUOTED.findall(f"{finding.message} {finding.remedy}")
    known = {*design.pieces, *design.fastenings, *design.strips}
    names = dict.fromkeys(
        (*sorted(told, key=lambda each: not {".", "*"} & set(each)), *finding.about)
    )
    return tuple(each for each in names if each.split(".")[0] in known or "*" in each)


def _exchanged(source: DesignText, step: _Step, names: Sequence[str]) -> Iterator[TextChange]:
    """Two names of one operation, or two operations of one step, the other way round."""
    for operation in OPERATIONS:
        found = step.names(source, operation)
        if found is not None:
            yield from found.exchanged(names)
    lines = [key for key, _ in step.node.entries if key.text in OPERATIONS]
    for first, second in combinations(lines, 2):
        yield from _lines_exchanged(source, step, first, second)


def _lines_exchanged(
    source: DesignText, step: _Step, first: Scalar, second: Scalar
) -> Iterator[TextChange]:
    """Two operations that stand in a line each."""
    one, other = first.position.line, second.position.line
    starts = {key.position.line for key, _ in step.node.entries} | {step.end}
    if {one + 1, other + 1} <= starts and step.start not in (one, other):
        said = f"In {step} write '{second.text}:' (line {other}) before '{first.text}:'."
        lines = (one, source.lines[other - 1]), (other, source.lines[one - 1])
        edits = [(source.line_start(n), source.line_start(n + 1), text) for n, text in lines]
        yield TextChange(said, other, tuple(edits))


def _with_name(source: DesignText, step: _Step, operation: str, name: str) -> Iterator[TextChange]:
    """One more name under an operation of a step, which may have none yet."""
    found = step.names(source, operation)
    if found is not None:
        listed = found.listed
        for place in range(len(listed), -1, -1) if name not in listed else ():
            change = found.written([*listed[:place], name, *listed[place:]])
            beside = f"after '{listed[place - 1]}'" if place else f"before '{listed[0]}'"
            if change is not None:
                line = f"(line {found.place.line})"
                said = f"Add '{name}' to '{operation}:' {line} of {step}, {beside}."
                yield replace(change, said=said)
    elif step.node.get(operation) is None:
        keys = [key for key, _ in step.node.entries if key.text in OPERATIONS]
        for key in keys:
            start = source.offset(key.position)
            entry = f'{operation}: "{name}"' if "*" in name else f"{operation}: {name}"
            said = f"Write '{entry}' before line {key.position.line}, in {step}."
            indent = " " * (key.position.column - 1)
            edit = start, start, f"{entry}\n{indent}"
            yield TextChange(said, key.position.line, (edit,))


def _without_name(source: DesignText, step: _Step, names: Sequence[str]) -> Iterator[TextChange]:
    for operation, name in product(OPERATIONS, names):
        yield from filter(None, (_taken_out(source, step, operation, name),))


def _taken_out(source: DesignText, step: _Step, operation: str, name: str) -> TextChange | None:
    found = step.names(source, operation)
    if found is None or name not in found.listed:
        return None
    rest = [each for each in found.listed if each != name]
    if rest:
        return found.written(rest)
    key, value = next(each for each in step.node.entries if each[0].text == operation)
    return source.without(key, value)


def _moved_names(
    source: DesignText, pair: tuple[_Step, _Step], names: Sequence[str]
) -> Iterator[TextChange]:
    """An operation on a name, from one step to another."""
    one, other = pair
    for operation, name in product(OPERATIONS, names):
        out = _taken_out(source, one, operation, name)
        if out is not None:
            for into in _with_name(source, other, operation, name):
                said = f"Move '{name}' from '{operation}:' of {one} to that of {other}. {into.said}"
                yield TextChange(said, into.line, (*out.edits, *into.edits))
                break


def _moved(source: DesignText, pair: tuple[_Step, _Step]) -> Iterator[TextChange]:
    """One step before another, or after it where it comes before it now."""
    one, other = pair
    lines = source.lines
    dash = source.lines[one.start - 1][: one.node.entries[0][0].position.column - 1]
    if dash.strip() != "-":
        return
    body = "".join(lines[one.start - 1 : one.end - 1])
    body = body if body.endswith("\n") else body + "\n"
    target = other.start if one.number > other.number else other.end
    word = "before" if one.number > other.number else "after"
    at = source.line_start(target)
    edits = (
        (source.line_start(one.start), source.line_start(one.end), ""),
        (at, at, body),
    )
    yield TextChange(f"Move {one} {word} {other}.", one.start, edits)
