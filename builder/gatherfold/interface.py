"""The interface: everything that the package does for its user, and all that the command line uses.

In: a design, as a file or as text.  Out: what is wrong with it, its sheets, its drawings, its
record, its documents.  Every name here is to be had from :mod:`gatherfold` itself.  Drawing and
typesetting take a second to import: they are imported by what draws and typesets.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from gatherfold.build import EditionResult, Options, build_editions
from gatherfold.editions import (
    Cause,
    EditionCheck,
    causes_of,
    check_edition,
    check_editions,
    compare,
    computed_in_language,
    departure_of,
    tally_of,
    with_idle_entries,
    with_mends,
)
from gatherfold.files import write_files
from gatherfold.findings import DesignUnreadable, Finding, Tally, gravest_first, suggestion
from gatherfold.model import EDITION_NAMES, Design, EditionName, checksum
from gatherfold.plans import StockPlan
from gatherfold.reading import check_pictures, picture_bytes, read_design as _read_design
from gatherfold.resolve import EDITIONS, PAPERS, resolve
from gatherfold.shipped import DESIGNS, PATTERN, design_names, find_layout, layout_names
from gatherfold.work import pierced

if TYPE_CHECKING:
    from gatherfold.drawings import Scene

_NO_SIZES: Mapping[str, str] = {}
_AS_IT_SAYS = Options()


def _silent(text: str) -> None:
    """Say nothing of what is being done."""


class NoSuchName(ValueError):
    """A design or a layout that is not there; the message says which name is meant instead."""


# Reading


def read_design(
    path: str | Path, *, sizes: Mapping[str, str] = _NO_SIZES, with_pictures: bool = True
) -> Design:
    """Read a design file; ``sizes`` replaces the formulas of named measures.

    The pictures that steps place must be there, unless ``with_pictures`` is false.

    Raises ``OSError`` where the file cannot be opened and :class:`DesignUnreadable` with all that
    is wrong where it is no design.

    >>> from pathlib import Path
    >>> path = Path("my-envelope.yaml")
    >>> written = path.write_bytes(shipped_design("letter-envelope"))
    >>> read_design(path).title
    'Harbour Light Letter'
    """
    return _read(Path(path).read_bytes(), str(path), sizes, with_pictures)


def read_text(
    text: str | bytes, *, file: str = "design.yaml", sizes: Mapping[str, str] = _NO_SIZES
) -> Design:
    """Read a design from text; findings and documents name it by ``file``, and pictures that steps
    place are looked for beside it.

    Raises :class:`DesignUnreadable` with all that is wrong where it is no design.

    >>> read_text(shipped_design("letter-envelope")).native
    'imperial'
    >>> try:
    ...     read_text("title: No pieces")
    ... except DesignUnreadable as problem:
    ...     print(problem.findings[0].code)
    missing-key
    """
    return _read(text.encode() if isinstance(text, str) else text, file, sizes, True)


def _read(content: bytes, file: str, sizes: Mapping[str, str], with_pictures: bool) -> Design:
    design = _read_design(content, file, dict(sizes))
    missing = check_pictures(design) if with_pictures else []
    if missing:
        raise DesignUnreadable(missing)
    mark = checksum(content, sizes, picture_bytes(design) if with_pictures else {})
    return replace(design, checksum=mark, set_by_hand=frozenset(sizes))


def shipped_design(name: str) -> bytes:
    """Give the text of a design that comes with the package, to begin one's own with.

    Raises :class:`NoSuchName`.

    >>> shipped_design("letter-envelope").decode().count("pieces:")
    1
    """
    if name not in design_names():
        hint = suggestion(name, design_names())
        raise NoSuchName(f"there is no shipped design '{name}'. {hint}")
    return (DESIGNS / f"{name}.yaml").read_bytes()


# Checking


@dataclass(frozen=True)
class DesignCheck:
    """A design in the editions that were checked."""

    design: Design
    editions: tuple[EditionCheck, ...]

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All that was found, the gravest first; what both editions say is said once."""
        return gravest_first(finding for each in self.editions for finding in each.findings)

    @cached_property
    def causes(self) -> tuple[Cause, ...]:
        """What was found as a person reads it: each cause once, with what follows from it and a
        remedy that was tried, where one length typed otherwise mends it."""
        told = (finding for each in self.editions for finding in each.findings)
        return with_mends(causes_of(told), self.design, self.editions)

    @property
    def fits(self) -> bool:
        """Whether no edition has an error."""
        return not any(each.has_errors for each in self.editions)

    @property
    def is_unreadable(self) -> bool:
        """Whether the sizes of an edition cannot be worked out."""
        return any(each.checked is None for each in self.editions)

    @property
    def tally(self) -> Tally:
        """How many findings there are of each kind."""
        return Tally.of(self.findings)

    @property
    def counted(self) -> str:
        """How many causes there are of each kind, and how many findings follow from them."""
        return tally_of(self.causes)

    def departures(self) -> list[str]:
        """Say how far an edition that is not the designer's own departs from exact conversion."""
        lines = []
        for each in self.editions:
            departure = departure_of(self.design, each)
            if departure is not None:
                size = each.edition.units.text(departure.size)
                lines.append(
                    f"{each.edition.name}: furthest from exact conversion is the {departure.axis} "
                    f"of '{departure.piece}', {size}, by {float(departure.difference):+.2f} mm"
                )
        return lines

    def proof_sheet(self) -> bytes:
        """Typeset the designer's proof sheet as PDF, whether the design fits or not."""
        from gatherfold.documents.proof_sheet import proof_pdf

        return proof_pdf(self.design, self.editions)

    def as_data(self) -> dict[str, Any]:
        """Give findings and figures as plain data for JSON."""
        from gatherfold.record import check_record

        return check_record(self.design, self.editions)


def check_design(
    design: Design, *, editions: Sequence[EditionName] = EDITION_NAMES, kits: int = 1
) -> DesignCheck:
    """Say what does not fit, in the editions asked for and with the sheets for so many kits.

    >>> result = check_design(read_text(shipped_design("letter-envelope")))
    >>> result.fits
    True
    >>> result.departures()[0].partition(" of ")[0]
    'metric: furthest from exact conversion is the width'
    """
    checks = check_editions(design, [EDITIONS[name] for name in editions], kits)
    if not design.set_by_hand:
        checks = with_idle_entries(design, checks)
    return DesignCheck(design, tuple(checks))


def unreadable_as_data(file: str, findings: Iterable[Finding]) -> dict[str, Any]:
    """Give what is wrong with a file that is no design as plain data for JSON.

    >>> try:
    ...     read_text("title: No pieces")
    ... except DesignUnreadable as problem:
    ...     print(unreadable_as_data("design.yaml", problem.findings)["findings"][0]["line"])
    1
    """
    from gatherfold.record import unreadable_record

    return unreadable_record(file, findings)


# Planning, drawing, comparing


def plan_sheets(design: Design, edition: EditionName, *, kits: int = 1) -> dict[str, StockPlan]:
    """Plan every stock's sheets, cut by cut, for so many kits together.

    Raises :class:`DesignUnreadable` where sizes cannot be worked out.  Rectangles that belong to no
    design are planned by :func:`gatherfold.sheets.plan`.

    >>> plans = plan_sheets(read_text(shipped_design("letter-envelope")), "imperial")
    >>> {stock: len(each.plan.sheets) for stock, each in plans.items()}
    {'slate': 2, 'chalk': 1, 'buoys': 1, 'tides': 1}
    """
    return check_edition(design, EDITIONS[edition], kits).plans


@dataclass(frozen=True)
class Drawing:
    """A drawing by its key: the scene, every mark in its place, to be inked as SVG or PDF."""

    key: str
    scene: Scene

    def svg(self) -> bytes:
        """Ink the drawing as SVG."""
        from gatherfold.drawings import ink

        return ink(self.scene)

    def pdf(self) -> bytes:
        """Ink the drawing as PDF, a page of its own size."""
        from gatherfold.documents.typeset import figure_page
        from gatherfold.drawings import figure

        return figure_page(figure(self.scene))


def draw_design(
    design: Design, edition: EditionName, *, layout: str = PATTERN
) -> tuple[Drawing, ...]:
    """Draw every figure of an edition, as large as a layout has room for.

    Raises :class:`DesignUnreadable` where sizes cannot be worked out and :class:`NoSuchName`.

    >>> design = read_text(shipped_design("letter-envelope"))
    >>> drawings = {each.key: each for each in draw_design(design, "metric", layout="bench")}
    >>> drawings["sheet-slate-1"].svg()[:5], drawings["sheet-slate-1"].pdf()[:5]
    (b'<?xml', b'%PDF-')
    """
    from gatherfold.documents.figure_set import figure_scenes
    from gatherfold.documents.page import read_page

    computed = computed_in_language(check_edition(design, EDITIONS[edition]))
    page = read_page(_layout(layout, design), computed.resolved.edition)
    scenes = figure_scenes(computed.resolved, computed.plans, computed.rows, _silent, page)
    return tuple(Drawing(key, scene) for key, scene in scenes)


def compare_designs(old: Design, new: Design, *, edition: EditionName | None = None) -> list[str]:
    """Say which measures and pieces differ, in the new design's own edition or in another.

    Raises :class:`DesignUnreadable` where sizes cannot be worked out.

    >>> text = shipped_design("letter-envelope")
    >>> changes = compare_designs(read_text(text), read_text(text, sizes={"seal_size": "1 in"}))
    >>> [change.partition(":")[0] for change in changes]
    ['measure seal_size', 'B3 seal']
    """
    chosen = EDITIONS[edition or new.native]
    return compare(pierced(resolve(old, chosen)), pierced(resolve(new, chosen)))


# Recording and building


@dataclass(frozen=True)
class Built:
    """The files of a build by their names, of which a ``/`` parts a folder; none where errors
    forbid them.  ``is_unreadable`` says that an edition, a page or a picture could not be read."""

    files: Mapping[str, bytes] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    fits: bool = True
    is_unreadable: bool = False

    def write(self, folder: str | Path) -> list[Path]:
        """Write the files into a folder, all of them or none; give their places."""
        return write_files(folder, self.files)


def record_design(
    design: Design, *, editions: Sequence[EditionName] = EDITION_NAMES, kits: int = 1
) -> dict[str, Any]:
    """Give everything computed as plain data, as a build writes it as JSON.

    Raises :class:`DesignUnreadable` where sizes cannot be worked out.

    >>> design = read_text(shipped_design("letter-envelope"))
    >>> record_design(design, editions=["metric"])["editions"]["metric"]["grid"]
    {'text': '1 mm', 'mm': 1.0}
    """
    from gatherfold.record import design_record, edition_record

    records: dict[str, dict[str, Any]] = {}
    for name in editions:
        checked = check_edition(design, EDITIONS[name], kits)
        records[name] = edition_record(computed_in_language(checked), checked.findings)
    return design_record(design, records)


def build_design(
    design: Design, options: Options = _AS_IT_SAYS, progress: Callable[[str], None] = _silent
) -> Built:
    """Build the documents, the record, the table of supplies and what else the options ask for.

    Editions are built in processes of their own; ``progress`` is told in this one what is done.
    Raises :class:`NoSuchName` for a layout and ``DocumentProblem`` for what is wrong in one.

    >>> design = read_text(shipped_design("letter-envelope"), file="letter.yaml")
    >>> built = build_design(design, Options(editions=["metric"], layouts=["bench"]))
    >>> for path in built.write("out"):
    ...     print(path.name)
    letter-metric-bench.pdf
    letter-metric-supplies.csv
    letter.json
    """
    layouts = _layouts(options.layouts or design.layout.split(","), design)
    editions = [EDITIONS[name] for name in options.editions]
    if options.paper is not None:
        editions = [replace(each, paper=PAPERS[options.paper]) for each in editions]
    results = build_editions(design, editions, layouts, options, progress)
    findings = gravest_first(finding for result in results for finding in result.findings)
    fits = not any(result.has_errors for result in results)
    is_unreadable = any(result.unreadable for result in results)
    written = not is_unreadable and (fits or options.draft)
    files = _files(design, results, options.html) if written else {}
    return Built(files, findings, fits, is_unreadable)


def _files(design: Design, results: Iterable[EditionResult], html: bool) -> dict[str, bytes]:
    from gatherfold.record import design_record

    stem = Path(design.file).stem
    files: dict[str, bytes] = {}
    records: dict[str, dict[str, Any]] = {}
    for result in results:
        for layout, document in result.documents.items():
            name = f"{stem}-{result.edition}{'' if layout == PATTERN else f'-{layout}'}"
            files[f"{name}.pdf"] = document.pdf
            if html:
                files[f"{name}.html"] = document.html.encode()
        for name, content in result.machine_files.items():
            files[f"{stem}-{result.edition}-machine/{name}"] = content
        if result.record is not None:
            records[result.edition] = result.record
            files[f"{stem}-{result.edition}-supplies.csv"] = result.supplies_csv
    files[f"{stem}.json"] = json_text(design_record(design, records))
    return files


def json_text(data: Mapping[str, Any]) -> bytes:
    """Write plain data as JSON text.

    >>> json_text({"room": "½ in"}).decode()
    '{\\n "room": "½ in"\\n}\\n'
    """
    return (json.dumps(data, indent=1, ensure_ascii=False) + "\n").encode()


def _layouts(names: Iterable[str], design: Design) -> tuple[Path, ...]:
    """The folders of the layouts that are named."""
    found: dict[str, Path] = {}
    for name in names:
        layout = _layout(name.strip(), design)
        if layout.name in found:
            raise NoSuchName(f"two layouts are called '{layout.name}'; their files would be one")
        found[layout.name] = layout
    return tuple(found.values())


def _layout(name: str, design: Design) -> Path:
    layout = find_layout(name, Path(design.file).parent) if name else None
    if layout is None:
        raise NoSuchName(f"there is no layout '{name}'. {suggestion(name, layout_names())}")
    return layout.resolve()
