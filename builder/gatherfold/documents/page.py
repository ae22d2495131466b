"""A layout's page: its paper, margins, the room of each figure, the order of its parts, its logo.

In: ``layout.yaml`` of a layout's folder (it may be missing) and an edition.  Out: a :class:`Page`,
or :class:`DesignUnreadable` with every problem at its place.  Lengths are formulas as in a design;
``page.width`` and ``page.height`` stand for the page within its margins.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from pathlib import Path
from typing import TypeVar

from jinja2 import Environment, TemplateSyntaxError, nodes

from gatherfold.documents.photographs import UnusablePicture, require_whole
from gatherfold.drawings import KINDS, PictureRoom, Room
from gatherfold.findings import DesignUnreadable, Position, Problems, suggestion
from gatherfold.formulas import (
    Formula,
    FormulaProblem,
    Pair,
    Quantity,
    Scope,
    Value,
    length,
    pair,
    parse,
)
from gatherfold.geometry import EdgeName
from gatherfold.lengths import INCH, MILLIMETRE, millimetres
from gatherfold.model import Expression
from gatherfold.reading import Fields, MappingNode, decode, parse_yaml
from gatherfold.resolve import EDITIONS, PAPERS, Edition, Paper
from gatherfold.shipped import LAYOUTS, MAIN_TEMPLATE, PATTERN

#: What a formula of a layout gives: a length, or a width and height.
_Size = TypeVar("_Size", Fraction, Pair)

SETTINGS = "layout.yaml"

#: Papers by name, beside those of the editions: A5 by ISO 216, Letter halved across.
_HANDY = (
    Paper("A5", Fraction(148), Fraction(210)),
    Paper("half Letter", INCH * 11 / 2, INCH * 17 / 2),
)
_PAPERS = {paper.name.lower(): paper for paper in (*PAPERS.values(), *_HANDY)}
#: Between two columns, in mm.
GUTTER = 6.0
_STANDARD_MARGINS: dict[EdgeName, Fraction] = {
    "top": Fraction(20),
    "right": Fraction(19),
    "bottom": Fraction(20),
    "left": Fraction(19),
}
#: What the heading, messages and text of a long step take of a page, in mm.
_WORDS_OF_A_STEP = 85.0
_BESIDE_ITS_WORDS = f"page.width x max(page.height - {_WORDS_OF_A_STEP:g} mm, 25 mm)"
#: The rooms of a page: those of every kind of picture, of all drawings of one step together, and of
#: the designer's photograph of it.
ROOMS: Mapping[str, PictureRoom] = {
    room.name: room
    for room in (
        *(room for kind in KINDS for room in kind.rooms),
        PictureRoom("step_together", _BESIDE_ITS_WORDS),
        PictureRoom("step_alone", _BESIDE_ITS_WORDS),
        PictureRoom("picture", "page.width x 90 mm"),
    )
}
#: A page must leave this much within its margins, in mm, or nothing on it could be read.
_LEAST_ROOM = Fraction(80)
_LARGEST_PAPER = Fraction(1200)
_LEAST_FIGURE = Fraction(25)
#: What a layout says that has no settings.
_NOTHING = MappingNode((), Position("", 1, 1))


@dataclass(frozen=True)
class Logo:
    """A picture of the layout's folder: its file name there, and what it says in words."""

    file: str
    words: str


@dataclass(frozen=True)
class Page:
    """``margins`` are top, right, bottom, left and ``rooms`` width and height by kind of figure,
    all in mm."""

    paper: Paper
    margins: tuple[Fraction, Fraction, Fraction, Fraction]
    rooms: Mapping[str, Room]
    parts: tuple[str, ...]
    logo: Logo | None
    #: How many editions stand side by side.
    columns: int = 1
    #: Whether the drawings of steps grow where their page would stay half empty.
    fills_pages: bool = False

    @property
    def steps_fill_pages(self) -> bool:
        """Whether the drawings of steps grow: side by side they stand in columns and do not."""
        return self.fills_pages and self.columns == 1

    @property
    def room_of_a_step(self) -> Room:
        """What several drawings of one step may take together, beside its words; in a column
        they stand one below the other."""
        if self.columns == 1:
            return self.rooms["step_together"]
        across = (float(self.width) - GUTTER * (self.columns - 1)) / self.columns
        return across, float(self.height) - _WORDS_OF_A_STEP

    @property
    def width(self) -> Fraction:
        """Within the margins, in mm."""
        return self.paper.width - self.margins[1] - self.margins[3]

    @property
    def height(self) -> Fraction:
        """Within the margins, in mm."""
        return self.paper.height - self.margins[0] - self.margins[2]

    @property
    def style(self) -> str:
        """Paper and margins as rules for the stylesheet, and what they leave as variables."""
        sides = self.paper.width, self.paper.height
        size = " ".join(f"{millimetres(side):g}mm" for side in sides)
        margins = " ".join(f"{millimetres(margin):g}mm" for margin in self.margins)
        room = (
            f"--page-width: {millimetres(self.width):g}mm;"
            f" --page-height: {millimetres(self.height):g}mm;"
        )
        return f"@page {{ size: {size}; margin: {margins}; }}\n:root {{ {room} }}\n"


def read_page(layout: Path, edition: Edition) -> Page:
    """The page of a layout; raises :class:`DesignUnreadable` with every problem in its file."""
    path = layout / SETTINGS
    written = path.is_file()
    root = parse_yaml(decode(path.read_bytes(), str(path)), str(path)) if written else _NOTHING
    problems = Problems()
    with Fields(root, "the layout", problems) as fields:
        page = _Reader(layout, edition, fields, problems).page()
    if problems:
        raise DesignUnreadable(problems)
    return page


@dataclass(frozen=True)
class _Reader:
    """Reads one page for one edition, and collects what is wrong."""

    layout: Path
    edition: Edition
    fields: Fields
    problems: Problems

    def page(self) -> Page:
        paper, margins = self._paper(), self._margins()
        room = (
            paper.width - margins["left"] - margins["right"],
            paper.height - margins["top"] - margins["bottom"],
        )
        if min(room) < _LEAST_ROOM:
            self._report_narrow(room)
            room = (_LEAST_ROOM, _LEAST_ROOM)
        with self.fields.within("figures", "'figures'") as figures:
            written = figures.expressions(ROOMS)
        return Page(
            paper=paper,
            margins=(margins["top"], margins["right"], margins["bottom"], margins["left"]),
            rooms={name: self._room(_written(each, written), room) for name, each in ROOMS.items()},
            parts=self._parts(),
            logo=self._logo(),
            fills_pages=self.fields.flag("fill_pages"),
        )

    def _report_narrow(self, room: tuple[Fraction, Fraction]) -> None:
        where = "margins" if self.fields.has("margins") else "paper"
        width, height = (f"{millimetres(side):g}" for side in room)
        message = f"the margins leave {width} x {height} mm of the page"
        least = f"{millimetres(_LEAST_ROOM):g}"
        remedy = f"Leave {least} x {least} mm at least: a larger paper or narrower margins."
        self.problems.report("no-room", self.fields.key_position(where), message, remedy)

    # Paper and margins

    def _paper(self) -> Paper:
        """One paper for every edition, or one for each by its name."""
        if not isinstance(self.fields.node("paper"), MappingNode):
            return self._one_paper(self.fields, "paper")
        with self.fields.within("paper", "'paper'") as each:
            papers = {name: self._one_paper(each, name) for name in EDITIONS}
        return papers[self.edition.name]

    def _one_paper(self, fields: Fields, key: str) -> Paper:
        scalar = fields.scalar(key)
        if scalar is None:
            return self.edition.paper
        known = _PAPERS.get(scalar.text.strip().lower())
        if known is not None:
            return known
        if " x " not in scalar.text:
            message = f"there is no paper '{scalar.text}'"
            remedy = f"{suggestion(scalar.text, _PAPERS)} Or write a size, such as 140 mm x 216 mm."
            fields.report("unknown-value", scalar.position, message, remedy)
            return self.edition.paper
        expression = fields.expression(key)
        size = None if expression is None else self._worked_out(pair, expression)
        if expression is None or size is None:
            return self.edition.paper
        if not all(_LEAST_ROOM <= side <= _LARGEST_PAPER for side in (size.width, size.height)):
            message = f"no printer takes a paper of '{scalar.text}'"
            remedy = "Write both sides between 80 mm and 1200 mm."
            fields.report("no-paper", expression.position, message, remedy)
            return self.edition.paper
        return Paper(scalar.text, size.width, size.height)

    def _margins(self) -> dict[EdgeName, Fraction]:
        """One width for all edges, or one for each edge that differs from the standard."""
        margins = dict(_STANDARD_MARGINS)
        for edge, expression in self.fields.by_edge("margins", "'margins'").items():
            width = self._worked_out(length, expression)
            if width is not None and width < 0:
                message = "a margin is below zero"
                self.problems.report("negative", expression.position, message)
            elif width is not None:
                margins[edge] = width
        return margins

    # Figures

    def _room(self, expression: Expression, within: tuple[Fraction, Fraction]) -> Room:
        """The figure's room, which must lie within the page; on a small page the standard ones
        are made to."""
        size = self._worked_out(pair, expression, within)
        if size is None:
            return millimetres(within[0]), millimetres(within[1])
        is_standard = expression.position.file == ""
        if is_standard:
            size = Pair(min(size.width, within[0]), min(size.height, within[1]))
        if size.width > within[0] or size.height > within[1]:
            room = " x ".join(f"{millimetres(side):g}" for side in within)
            message = f"this figure is larger than the page within its margins, {room} mm"
            remedy = "Write page.width or less."
            self.problems.report("no-room", expression.position, message, remedy)
        elif min(size.width, size.height) < _LEAST_FIGURE:
            message = "nothing could be read in so small a figure"
            self.problems.report("no-room", expression.position, message, "Write 25 mm or more.")
        return millimetres(size.width), millimetres(size.height)

    # Parts and logo

    def _parts(self) -> tuple[str, ...]:
        """Those that the layout names, else all that its template has."""
        own, known = parts_of(self.layout), known_parts()
        if not self.fields.has("parts"):
            return known if own is None else tuple(part for part in known if part in own)
        names = self.fields.names("parts")
        texts = [name.text for name in names]
        report = self.problems.report
        for name in names:
            if name.text not in known:
                message = f"there is no part '{name.text}'"
                report("unknown-value", name.position, message, suggestion(name.text, known))
            elif own is not None and name.text not in own:
                message = f"this layout has no part '{name.text}'"
                report("unknown-value", name.position, message, f"It has: {', '.join(own)}.")
        for name in names:
            if texts.count(name.text) > 1:
                message = f"the part '{name.text}' is named more than once"
                report("twice", name.position, message, "Name each part once.")
        return tuple(texts)

    def _logo(self) -> Logo | None:
        node = self.fields.node("logo")
        if node is None:
            return None
        with self.fields.within("logo", "'logo'") as inner:
            file, words = inner.text("file", required=True), inner.text("words", required=True)
        if not file:
            return None
        if Path(file).name != file or not (self.layout / file).is_file():
            message = f"the logo '{file}' is not in this layout"
            remedy = f"Put it into {self.layout}."
            self.problems.report("missing-picture", node.position, message, remedy)
            return None
        try:
            require_whole(self.layout / file)
        except UnusablePicture as problem:
            message = f"the logo '{file}' cannot be placed: {problem}"
            remedy = "Save it again as PNG or SVG."
            self.problems.report("bad-picture", node.position, message, remedy)
        return Logo(file, words)

    # Formulas

    def _worked_out(
        self,
        work_out: Callable[[Formula, Scope], _Size],
        expression: Expression,
        within: tuple[Fraction, Fraction] | None = None,
    ) -> _Size | None:
        try:
            return work_out(expression.formula, _scope(within))
        except FormulaProblem as problem:
            message, remedy = problem.message, problem.remedy
            if problem.code == "missing-unit":
                message = "a length here needs its unit"
                remedy = "Write it with mm or in, as in 19 mm."
            self.problems.report(problem.code, expression.position, message, remedy)
            return None


def _written(room: PictureRoom, written: Mapping[str, Expression]) -> Expression:
    """What a layout writes for a room, or for the one that it is like; else the standard."""
    standard = Expression(parse(room.standard), Position("", 1, 1))
    return written.get(room.name) or written.get(room.like) or standard


def _scope(within: tuple[Fraction, Fraction] | None) -> Scope:
    """Names of a layout's formulas: the page within its margins, where it is known."""
    known = {} if within is None else dict(zip(("page.width", "page.height"), within, strict=True))

    def look_up(name: str) -> Value:
        if name in known:
            return Quantity(known[name], 1)
        message = f"there is no '{name}' here"
        remedy = suggestion(name, known) if known else "Write a length, such as 19 mm."
        raise FormulaProblem("unknown-name", message, remedy)

    return Scope(look_up, None, lambda typed, offset: typed, MILLIMETRE)


@cache
def known_parts() -> tuple[str, ...]:
    """The parts of the shipped layouts: the template of the pattern has them all, in its order."""
    return parts_of(LAYOUTS / PATTERN) or ()


def parts_of(layout: Path) -> tuple[str, ...] | None:
    """The parts that a layout's template lists as ``{% set parts = {"cover": cover} %}``.

    None where the template says nothing about them, is missing or cannot be read: filling it
    then says what is wrong.
    """
    try:
        return _parts_in((layout / MAIN_TEMPLATE).read_text("utf-8"))
    except (OSError, UnicodeDecodeError, TemplateSyntaxError):
        return None


@cache
def _parts_in(template: str) -> tuple[str, ...] | None:
    """The parts that a template lists; one that several editions are set in is read once."""
    tree = Environment(autoescape=True).parse(template)
    for assignment in tree.find_all(nodes.Assign):
        target, listed = assignment.target, assignment.node
        if isinstance(target, nodes.Name) and target.name == "parts":
            return _keys(listed) if isinstance(listed, nodes.Dict) else None
    return None


def _keys(listed: nodes.Dict) -> tuple[str, ...] | None:
    keys = [pair.key.value for pair in listed.items if isinstance(pair.key, nodes.Const)]
    return tuple(keys) if len(keys) == len(listed.items) else None
