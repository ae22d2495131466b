"""A design file → :class:`Design`, or :class:`DesignUnreadable` with every problem in it.

In: YAML bytes.  Out: the typed model.  Formulas are parsed here and evaluated in ``resolve``.

A safety message can be reworded and others added; its signal word stays.  One can be left out only
under its own key and with a reason, so that none is lost by a slip.
"""

import itertools
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TypeVar

from gatherfold.findings import MOST_FINDINGS, DesignUnreadable, Position, Problems
from gatherfold.formulas import FormulaProblem, parse
from gatherfold.lengths import INCH, MILLIMETRE
from gatherfold.model import (
    EDITION_NAMES,
    LEVELS,
    OPERATIONS,
    STRIP_DIRECTIONS,
    Accepted,
    AddedHazard,
    Design,
    EditionName,
    Expression,
    HazardWording,
    LeftOutHazard,
    Measure,
    Safety,
    Step,
    Strip,
    WrittenTrimmer,
)
from gatherfold.reading.fields import NAME_REMEDY, Fields, is_name
from gatherfold.reading.nodes import Scalar, decode, parse_yaml
from gatherfold.reading.read_bought import read_currency, read_fastening, read_supply
from gatherfold.reading.read_pieces import read_piece
from gatherfold.reading.read_stocks import read_stock
from gatherfold.reading.references import check_references
from gatherfold.reading.repeats import report_leftover, write_out
from gatherfold.wording import LANGUAGES, load_wording

_MESSAGE = "the safety message '{}'"


def read_safety(outer: Fields) -> Safety:
    """What is said under ``safety:``; a message of a wrong name is reported and left out."""
    with outer.within("safety", "the safety messages") as fields:
        new = fields.parts("add", _MESSAGE, only=partial(_is_new, fields))
        added = [_added(name, message) for name, message in new]
        known = fields.parts("replace", _MESSAGE, only=partial(_is_known, fields))
        replaced = {name.text: _replaced(message) for name, message in known}
        left_out = [
            _left_out(entry) for entry in fields.listed("leave_out", "message {} to leave out")
        ]
        return Safety(fields.text("age"), replaced, tuple(added), tuple(left_out))


def _is_known(fields: Fields, name: Scalar) -> bool:
    message = f"there is no safety message '{name.text}'"
    return fields.is_known(name, load_wording().hazards, message)


def _is_new(fields: Fields, name: Scalar) -> bool:
    is_there, can_be_name = name.text in load_wording().hazards, is_name(name.text)
    if is_there:
        message = f"the safety message '{name.text}' is there already"
        remedy = "Reword it under 'replace:', or choose another name."
        fields.report("name-clash", name.position, message, remedy)
    elif not can_be_name:
        message = f"'{name.text}' cannot be a name"
        fields.report("bad-name", name.position, message, NAME_REMEDY)
    return can_be_name and not is_there


def _replaced(fields: Fields) -> HazardWording:
    fields.node("signal")
    if fields.has("signal"):
        message = f"{fields.what} keeps its signal word"
        remedy = "Remove 'signal:'; what else is to be said goes under 'add:'."
        fields.report("signal-word-stays", fields.key_position("signal"), message, remedy)
    title, danger, short = (
        fields.text(key, required=fields.has(key)) or None for key in ("title", "danger", "short")
    )
    return HazardWording(title, danger, _sentences(fields, "avoid") or None, short)


def _added(name: Scalar, fields: Fields) -> AddedHazard:
    return AddedHazard(
        key=name.text,
        level=fields.choice("signal", LEVELS, "caution", required=True),
        title=fields.text("title", required=True),
        danger=fields.text("danger", required=True),
        avoid=_sentences(fields, "avoid", required=True),
        short=fields.text("short", required=True),
        steps=tuple(step.text for step in fields.names("steps")),
        position=name.position,
    )


def _left_out(fields: Fields) -> LeftOutHazard:
    hazard = fields.scalar("hazard", required=True)
    if hazard is not None:
        _is_known(fields, hazard)
    reason = fields.text("because", required=True)
    return LeftOutHazard("" if hazard is None else hazard.text, reason, fields.position)


def _sentences(fields: Fields, key: str, required: bool = False) -> tuple[str, ...]:
    fields.node(key, required)
    texts = []
    for node in fields.items(key):
        if isinstance(node, Scalar) and node.text.strip():
            texts.append(node.text.strip())
        else:
            message = f"'{key}' of {fields.what} must be a list of sentences"
            fields.report("wrong-type", node.position, message, "Write '- a sentence' lines.")
    return tuple(texts)


_UNITS = {"inch": INCH, "millimetre": MILLIMETRE, "mm": MILLIMETRE, "in": INCH}
#: Keys of the design that later stages report something about.
_REPORTED = ("closing", "pieces", "safety", "stocks", "steps", "title", "subtitle", "summary")

_T = TypeVar("_T")


def read_design_file(path: Path, overrides: dict[str, str] | None = None) -> Design:
    """Read a design from disk; OSError when the file cannot be opened."""
    return read_design(path.read_bytes(), str(path), overrides)


def read_design(content: bytes, file: str, overrides: dict[str, str] | None = None) -> Design:
    """Read a design from bytes; ``overrides`` replaces the formulas of named measures."""
    text = decode(content, file)
    root = parse_yaml(text, file)
    problems = Problems()
    with Fields(root, "the design", problems) as fields:
        design = _read_root(fields, file, overrides or {})
    problems.extend(itertools.islice(check_references(design), MOST_FINDINGS))
    if problems:
        raise DesignUnreadable(problems)
    return replace(design, text="" if overrides else text)


def _read_root(fields: Fields, file: str, overrides: dict[str, str]) -> Design:
    unit = _UNITS.get(fields.choice("units", _UNITS, ""))
    return Design(
        file=file,
        title=fields.text("title", required=True),
        subtitle=fields.text("subtitle"),
        author=fields.text("author"),
        revision=fields.text("revision", "1"),
        date=fields.text("date"),
        summary=fields.text("summary"),
        terms=fields.text("terms"),
        skill=fields.text("skill"),
        unit=unit,
        native="metric" if unit == MILLIMETRE else "imperial",
        editions=_editions(fields),
        measures=_measures(fields, overrides),
        stocks=_named(fields, "stocks", "stock", read_stock),
        pieces=_named(fields, "pieces", "piece", read_piece, required=True),
        fastenings=_named(fields, "fastenings", "fastening", read_fastening),
        supplies=_named(fields, "supplies", "supply", read_supply),
        closing=tuple(name.text for name in fields.names("closing")),
        steps=tuple(
            _step(step, number) for number, step in enumerate(fields.listed("steps", "step {}"), 1)
        ),
        layout=fields.text("layout", "pattern"),
        language=fields.choice("language", LANGUAGES, "en"),
        tolerance=fields.expression("tolerance"),
        accepted=tuple(
            _accepted(advice) for advice in fields.listed("accepted", "entry {} of 'accepted'")
        ),
        currency=read_currency(fields),
        safety=read_safety(fields),
        changes=_changes(fields),
        trimmer=_trimmer(fields),
        strips=_named(fields, "strips", "strip", _strip),
        positions={key: fields.key_position(key) for key in _REPORTED},
    )


def _named(
    fields: Fields,
    key: str,
    what: str,
    read: Callable[[Scalar, Fields], _T],
    required: bool = False,
) -> dict[str, _T]:
    """The named parts under ``key``, with ``each`` written out and names checked."""
    parts: dict[str, _T] = {}
    for name, node in write_out(fields.entries(key, required), fields.problems):
        if _is_good_name(fields, name):
            with Fields(node, f"{what} '{name.text}'", fields.problems) as part:
                parts[name.text] = read(name, part)
    return parts


def _is_good_name(fields: Fields, name: Scalar) -> bool:
    if report_leftover(name, (), fields.problems):
        return False
    if not is_name(name.text):
        message = f"'{name.text}' cannot be a name"
        fields.report("bad-name", name.position, message, NAME_REMEDY)
    return is_name(name.text)


def _editions(fields: Fields) -> dict[EditionName, dict[str, Expression]]:
    found: dict[EditionName, dict[str, Expression]] = {}
    with fields.within("editions", "'editions'") as editions:
        for name in EDITION_NAMES:
            with editions.within(name, f"edition '{name}'") as edition:
                found[name] = dict(edition.expressions(("grid",)))
    return found


def _measures(fields: Fields, overrides: dict[str, str]) -> dict[str, Measure]:
    good = partial(_is_good_name, fields)
    measures = {
        name.text: _measure(name, measure)
        for name, measure in fields.parts("measures", "measure '{}'", "value", only=good)
    }
    for name_text, text in overrides.items():
        position, message = Position(f"--set {name_text}", 1, 1), "there is no measure '{}' to set"
        name = Scalar(name_text, position, quoted=False)
        if not fields.is_known(name, measures, message.format(name_text)):
            continue
        try:
            written = Expression(parse(text), position)
            measures[name_text] = replace(measures[name_text], expression=written, fixed={})
        except FormulaProblem as problem:
            fields.report(problem.code, position, problem.message, problem.remedy)
    return measures


def _measure(name: Scalar, fields: Fields) -> Measure:
    """A length, or one with what is to be known of it."""
    actual = fields.has("actual")
    value = fields.needed("actual" if actual else "value")
    fixed, note = fields.expressions(EDITION_NAMES), fields.text("note")
    fields.node("value")
    return Measure(name.text, value, actual, fixed, note, name.position)


def _strip(name: Scalar, fields: Fields) -> Strip:
    """``{across: [left, right]}`` or ``{up: [lower, upper]}``: pieces that are cut from the sheet
    in one and divided later."""
    listed = {direction: fields.names(direction) for direction in STRIP_DIRECTIONS}
    given = [direction for direction in STRIP_DIRECTIONS if fields.has(direction)]
    if not given:
        message = f"{fields.what} names no pieces"
        remedy = "List them: 'across:' from the left, or 'up:' from the bottom."
        fields.report("missing-key", fields.position, message, remedy)
    if len(given) > 1:
        message = f"{fields.what} is laid both 'across' and 'up'"
        fields.report("two-directions", fields.key_position("up"), message, "Keep one of them.")
    direction = max(given, key=lambda each: len(listed[each]), default=STRIP_DIRECTIONS[0])
    places: dict[str, Position] = {}
    for each in listed[direction]:
        if each.text in places:
            message = f"{fields.what} names '{each.text}' twice"
            remedy = "All copies of a piece lie in the strip in turn: name it once."
            fields.report("named-twice", each.position, message, remedy)
        places.setdefault(each.text, each.position)
    return Strip(
        key=name.text,
        title=fields.title(name),
        direction=direction,
        pieces=tuple(places),
        places=places,
        allowance=fields.expression("allowance"),
        position=name.position,
    )


def _step(fields: Fields, number: int) -> Step:
    text, picture = fields.scalar("text", required=True), fields.scalar("picture")
    written = {key: fields.names(key) for key in OPERATIONS}
    places: dict[tuple[str, str], Position] = {
        (key, each.text): each.position for key in written for each in written[key]
    }
    if picture is not None:
        places["picture", picture.text] = picture.position
    return Step(
        key=fields.text("key", f"step_{number}"),
        title=fields.text("title", required=True),
        text="" if text is None else text.text,
        text_position=fields.position if text is None else text.start,
        operations={
            key: tuple(each.text for each in written[key])
            for key in fields.in_file_order(OPERATIONS)
            if written[key]
        },
        places=places,
        picture=None if picture is None else picture.text,
        figure=fields.flag("figure", default=True),
        position=fields.position,
    )


def _accepted(fields: Fields) -> Accepted:
    """Advice that the designer leaves as it is, with her reason."""
    code = "Write the advice's code, as 'check' prints it."
    reason = "Say why the advice does not hold for this design."
    return Accepted(
        advice=fields.text("advice", required=True, if_empty=code),
        about=fields.text("about"),
        because=fields.text("because", required=True, if_empty=reason),
        position=fields.position,
        about_position=fields.value_position("about"),
    )


def _changes(fields: Fields) -> dict[str, str]:
    """What each revision changed, in the order of the design."""
    changes = {}
    for name, node in fields.entries("changes"):
        if isinstance(node, Scalar) and node.text.strip():
            changes[name.text] = node.text.strip()
        else:
            message = f"the changes of revision '{name.text}' must be one text"
            fields.report("wrong-type", node.position, message, "Write 'revision: what changed'.")
    return changes


def _trimmer(fields: Fields) -> WrittenTrimmer:
    with fields.within("trimmer", "the trimmer") as trimmer:
        return WrittenTrimmer(
            trimmer.expression("longest_cut"), trimmer.expression("narrowest_strip")
        )
