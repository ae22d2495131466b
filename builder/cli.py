"""The command line: the only place that reads arguments, prints and chooses exit statuses.

0: done, no errors in the design's fit; 1: errors in the fit; 2: the design, a layout or the
command cannot be read.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from builder import __version__
from builder.build import BuildOrder, EditionResult, build_editions
from builder.checksum import checksum
from builder.comparison import compare
from builder.design import Design
from builder.documents.problems import DocumentProblem
from builder.edition_checks import (
    EditionCheck,
    check_editions,
    departure_of,
    with_idle_entries,
)
from builder.findings import DesignUnreadable, Finding, Tally, gravest_first, suggestion
from builder.outputs import write_all
from builder.reading import read_design
from builder.reading.pictures import check_pictures, picture_bytes
from builder.resolve import Edition, resolve
from builder.resolve.edition import EDITIONS, PAPERS
from builder.shipped import DESIGNS, PATTERN, design_names, find_layout, layout_names

DONE, DOES_NOT_FIT, UNREADABLE = 0, 1, 2
#: More kits than this are no class: plan them in several.
MOST_KITS = 60

_ABOUT = """\
Turns one design (a YAML file) into a pattern: cut lists, sheet maps, drawings, supplies, cautions
and steps, typeset as PDF in inches on Letter and in millimetres on A4.

A first pattern in three commands:

  gatherfold new my-folio                     a design to start from, in my-folio.yaml
  gatherfold check my-folio.yaml              does everything fit, in both unit systems?
  gatherfold build my-folio.yaml --out out    out/my-folio-imperial.pdf, -metric.pdf and .json
"""

_BUILD = """\
Examples:

  gatherfold build folio.yaml --out out
  gatherfold build folio.yaml --out out --edition metric
  gatherfold build folio.yaml --out out --set panel_width="9 in" --set reveal="1/4 in"
  gatherfold build folio.yaml --out class --kits 12 --layout pattern,handout,bench
  gatherfold build folio.yaml --out class --layout handout --side-by-side
  gatherfold build folio.yaml --out out --machine-files

A size set here replaces the formula of that measure; everything that depends on it follows. When
the design does not fit, nothing is written; --draft writes pages that are marked as a draft, and
no files for a machine.
"""


_CHECK = """\
Errors come first, then warnings, advice, and advice that the design accepts:

  accepted:
    - {advice: no-dry-fit, about: spine, because: "the class lays it in a jig"}

Errors and warnings cannot be accepted. The proof sheet is for the designer, not for the buyer: for
each edition the findings, what fits where and with what margin, the gaps when closed, how far
conversion departs, and the sheets. It is written even when the design does not fit.

  gatherfold check folio.yaml --proof folio-proof.pdf --json folio-proof.json
"""


class _Stop(Exception):
    """A reason to stop that the user can mend; printed as it is."""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and give its exit status."""
    options = _parser().parse_args(arguments)
    try:
        status: int = options.run(options)
        return status
    except DesignUnreadable as problem:
        _print_findings(problem.findings)
        return UNREADABLE
    except (_Stop, DocumentProblem) as reason:
        print(f"gatherfold: {reason}", file=sys.stderr)
        return UNREADABLE
    except OSError as problem:
        what = problem.filename or ""
        print(f"gatherfold: {what}: {problem.strerror or problem}", file=sys.stderr)
        return UNREADABLE
    except KeyboardInterrupt:
        print("gatherfold: stopped; nothing was written", file=sys.stderr)
        return UNREADABLE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="gatherfold",
        description=_ABOUT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=f"gatherfold {__version__}")
    commands = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_build(commands)
    _add_check(commands)
    _add_new(commands)
    _add_compare(commands)
    return parser


def _add_design_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("design", type=Path, metavar="DESIGN.yaml", help="the design file")
    parser.add_argument(
        "--edition",
        choices=(*EDITIONS, "both"),
        default="both",
        help="the unit system (default: both)",
    )
    parser.add_argument(
        "--kits",
        type=_kits,
        default=1,
        metavar="N",
        help="plan the sheets for so many kits together, such as a class of 12 (default: 1)",
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar='NAME="VALUE"',
        help="replace the value of a measure; may be given several times",
    )


def _add_build(commands: Any) -> None:
    build = commands.add_parser(
        "build",
        help="make the PDF editions and the JSON of everything computed",
        description="Makes the PDF editions and the JSON of everything computed.",
        epilog=_BUILD,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    _add_design_options(build)
    build.add_argument("--out", type=Path, default=Path(), metavar="DIR", help="output folder")
    build.add_argument(
        "--layout",
        metavar="NAME,...",
        help=f"layouts, with commas between them: {', '.join(layout_names())}, or a folder beside "
        "the design (default: what the design names, else pattern)",
    )
    build.add_argument(
        "--side-by-side",
        action="store_true",
        help="make one more document with inches and millimetres in two columns",
    )
    build.add_argument(
        "--paper", choices=tuple(PAPERS), help="print every edition on this paper instead"
    )
    build.add_argument(
        "--draft", action="store_true", help="build although the design does not fit; marks pages"
    )
    build.add_argument(
        "--html", action="store_true", help="write the composed HTML of each edition as well"
    )
    build.add_argument(
        "--machine-files",
        action="store_true",
        help="write SVG and DXF files of every sheet and piece for a cutting machine as well",
    )
    build.set_defaults(run=_build)


def _add_check(commands: Any) -> None:
    check = commands.add_parser(
        "check",
        help="say what does not fit, without building anything",
        description="Resolves the design, plans its sheets and says what does not fit.",
        epilog=_CHECK,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    _add_design_options(check)
    check.add_argument(
        "--proof", type=Path, metavar="FILE.pdf", help="write the proof sheet, errors or not"
    )
    check.add_argument(
        "--json", type=Path, metavar="FILE.json", help="write findings and figures as JSON"
    )
    check.set_defaults(run=_check)


def _add_new(commands: Any) -> None:
    new = commands.add_parser(
        "new",
        help="start a design from a shipped one",
        description="Copies a shipped design to NAME.yaml, for you to change.",
    )
    new.add_argument("name", metavar="NAME", help="the new design's name")
    new.add_argument(
        "--from",
        dest="source",
        default="observatory-folio",
        metavar="SHIPPED",
        help=f"one of: {', '.join(design_names())}",
    )
    new.set_defaults(run=_new)


def _add_compare(commands: Any) -> None:
    parser = commands.add_parser(
        "compare",
        help="say what changed between two designs, piece by piece",
        description="Says which measures and pieces differ between two designs or revisions.",
    )
    parser.add_argument("old", type=Path, metavar="OLD.yaml")
    parser.add_argument("new", type=Path, metavar="NEW.yaml")
    parser.add_argument("--edition", choices=tuple(EDITIONS), help="default: the new design's own")
    parser.set_defaults(run=_compare)


# Commands


def _build(options: argparse.Namespace) -> int:
    design, content, overrides = _read(options)
    layouts = _layouts(options.layout or design.layout, options.design.parent)
    mark = checksum(content, overrides, picture_bytes(design))
    order = BuildOrder(layouts, mark, options.draft, options.kits, options.machine_files)
    editions = [_on_paper(edition, options.paper) for edition in _editions(options)]
    results = build_editions(design, editions, order, _progress, options.side_by_side)
    _print_findings(_to_mend(results))
    if any(result.unreadable for result in results):
        return UNREADABLE
    failed = any(result.has_errors for result in results)
    if failed and not options.draft:
        print("gatherfold: nothing was written; --draft builds all the same", file=sys.stderr)
        return DOES_NOT_FIT
    written = write_all(options.out, _files(options, design, results, mark))
    _say_what_is_written(written, options)
    return DOES_NOT_FIT if failed else DONE


def _say_what_is_written(written: Sequence[Path], options: argparse.Namespace) -> None:
    """Each file, but of machine files only their folder; what else is in it might be cut too."""
    folders: dict[Path, set[Path]] = {}
    for path in written:
        if path.parent == options.out:
            print(path)
        else:
            folders.setdefault(path.parent, set()).add(path)
    for folder, paths in folders.items():
        print(f"{folder}: {len(paths)} files for a cutting machine")
        for old in sorted({*folder.glob("*.svg"), *folder.glob("*.dxf")} - paths):
            print(f"gatherfold: {old} is from an earlier build", file=sys.stderr)
    if options.machine_files and not folders:
        print("gatherfold: a draft has no files for a machine", file=sys.stderr)


def _files(
    options: argparse.Namespace, design: Design, results: Iterable[EditionResult], mark: str
) -> dict[str, bytes]:
    stem = options.design.stem
    files: dict[str, bytes] = {}
    record: dict[str, Any] = {
        "title": design.title,
        "revision": design.revision,
        "date": design.date,
        "native": design.native,
        "author": design.author,
        "language": design.language,
        "checksum": mark,
        "version": __version__,
        "changes": {change.revision: change.text for change in design.changes},
        "editions": {},
    }
    for result in results:
        for layout, document in result.documents.items():
            name = f"{stem}-{result.edition}{'' if layout == PATTERN else f'-{layout}'}"
            files[f"{name}.pdf"] = document.pdf
            if options.html:
                files[f"{name}.html"] = document.html.encode()
        for name, content in result.machine_files.items():
            files[f"{stem}-{result.edition}-machine/{name}"] = content
        if result.record is not None:
            record["editions"][result.edition] = result.record
            files[f"{stem}-{result.edition}-supplies.csv"] = result.supplies_csv
    files[f"{stem}.json"] = _json(record)
    return files


def _check(options: argparse.Namespace) -> int:
    _spare_the_design(options)
    try:
        design, content, overrides = _read(options)
    except DesignUnreadable as problem:
        _write_unreadable(options, problem.findings)
        raise
    checks = check_editions(design, _editions(options), options.kits)
    if not overrides:
        checks = with_idle_entries(design, checks)
    findings = gravest_first(finding for check in checks for finding in check.findings)
    _print_findings(findings)
    mark = checksum(content, overrides, picture_bytes(design))
    files = _proof_files(options, design, checks, mark)
    fits = not any(check.has_errors for check in checks)
    if fits:
        names = " and ".join(check.edition.name for check in checks)
        print(f"{options.design}: everything fits ({names})")
        for line in _departures(design, checks):
            print(line)
    for path, file_content in files.items():
        write_all(path.parent, {path.name: file_content})
        print(path)
    if findings:
        print(Tally.of(findings))
    if any(check.checked is None for check in checks):
        return UNREADABLE
    return DONE if fits else DOES_NOT_FIT


def _proof_files(
    options: argparse.Namespace, design: Design, checks: Sequence[EditionCheck], mark: str
) -> dict[Path, bytes]:
    """The proof sheet and the JSON that were asked for, both whole before either is written."""
    if options.proof is None and options.json is None:
        return {}
    # Typesetting is imported here: a check that only prints does without it.
    from builder.proofs import check_record, proof_pdf

    files: dict[Path, bytes] = {}
    if options.proof is not None:
        _progress("setting the proof sheet")
        files[options.proof] = proof_pdf(design, checks, mark)
    if options.json is not None:
        files[options.json] = _json(check_record(design, checks, mark))
    return files


def _write_unreadable(options: argparse.Namespace, findings: Iterable[Finding]) -> None:
    """There is nothing to prove of a design that cannot be read, but its findings are data."""
    if options.json is not None:
        from builder.proofs import unreadable_record

        content = _json(unreadable_record(str(options.design), findings))
        write_all(options.json.parent, {options.json.name: content})


def _spare_the_design(options: argparse.Namespace) -> None:
    """A slip on the command line must not write over the design, or one output over the other."""
    places = [path.resolve() for path in (options.design, options.proof, options.json) if path]
    if len(set(places)) < len(places):
        raise _Stop("the design, --proof and --json must be three different files")


def _json(record: dict[str, Any]) -> bytes:
    return json.dumps(record, indent=1, ensure_ascii=False).encode() + b"\n"


def _departures(design: Design, checks: Iterable[EditionCheck]) -> Iterator[str]:
    """How far the edition that is not the designer's own departs from exact conversion."""
    for check in checks:
        departure = departure_of(design, check)
        if departure is not None:
            size = check.edition.units.text(departure.size)
            yield (
                f"  {check.edition.name}: furthest from exact conversion is the {departure.axis} "
                f"of '{departure.piece}', {size}, by {float(departure.difference):+.2f} mm"
            )


def _new(options: argparse.Namespace) -> int:
    if options.source not in design_names():
        hint = suggestion(options.source, design_names())
        raise _Stop(f"there is no shipped design '{options.source}'. {hint}")
    name = options.name.removesuffix(".yaml")
    target = Path(f"{name}.yaml")
    if target.exists():
        raise _Stop(f"{target} is there already; choose another name")
    content = (DESIGNS / f"{options.source}.yaml").read_bytes()
    write_all(target.parent, {target.name: content})
    print(f"{target}: a copy of '{options.source}'; next: gatherfold check {target}")
    return DONE


def _compare(options: argparse.Namespace) -> int:
    old = read_design(options.old.read_bytes(), str(options.old))
    new = read_design(options.new.read_bytes(), str(options.new))
    edition = EDITIONS[options.edition or new.native]
    changes = compare(resolve(old, edition), resolve(new, edition))
    print("\n".join(changes) if changes else "no piece and no measure differs")
    return DONE


# Around the commands


def _read(options: argparse.Namespace) -> tuple[Design, bytes, dict[str, str]]:
    overrides = dict(_override(text) for text in options.set)
    content = options.design.read_bytes()
    design = read_design(content, str(options.design), overrides)
    missing = check_pictures(design)
    if missing:
        raise DesignUnreadable(missing)
    return design, content, overrides


def _layouts(names: str, beside: Path) -> tuple[Path, ...]:
    """The folders of the layouts that are named, with commas between them."""
    found: dict[str, Path] = {}
    for name in (part.strip() for part in names.split(",")):
        layout = find_layout(name, beside) if name else None
        if layout is None:
            raise _Stop(f"there is no layout '{name}'. {suggestion(name, layout_names())}")
        if layout.resolve().name in found:
            raise _Stop(f"two layouts are called '{layout.name}'; their files would be one")
        found[layout.resolve().name] = layout.resolve()
    return tuple(found.values())


def _kits(text: str) -> int:
    """How many kits: a whole number that a class could need."""
    if text.isdecimal() and text.isascii() and len(text) < 4 and 1 <= int(text) <= MOST_KITS:
        return int(text)
    raise argparse.ArgumentTypeError(f"write a whole number from 1 to {MOST_KITS}, not '{text}'")


def _override(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not value.strip():
        raise _Stop(f"--set {text}: write it as NAME=VALUE, for example panel_width='9 in'")
    return name.strip(), value.strip()


def _editions(options: argparse.Namespace) -> list[Edition]:
    if options.edition == "both":
        return list(EDITIONS.values())
    return [EDITIONS[options.edition]]


def _on_paper(edition: Edition, paper: str | None) -> Edition:
    return edition if paper is None else replace(edition, paper=PAPERS[paper])


def _to_mend(results: Iterable[EditionResult]) -> list[Finding]:
    """What a build says: everything but the advice that the designer accepts."""
    findings = gravest_first(finding for result in results for finding in result.findings)
    return [finding for finding in findings if not finding.accepted]


def _print_findings(findings: Iterable[Finding]) -> None:
    for finding in findings:
        print(finding, file=sys.stderr)


def _progress(text: str) -> None:
    """Long work says what it is doing, on a terminal only."""
    if sys.stderr.isatty():
        print(f"  {text} …", file=sys.stderr, flush=True)
