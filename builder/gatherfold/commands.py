"""What each command does: read, check, build, write, say, and give the exit status.

Written on the interface of the package alone; each name is asked for where it is used, so that no
command imports what it does without.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path

import gatherfold

DONE, DOES_NOT_FIT, UNREADABLE = 0, 1, 2


class Stop(Exception):
    """A reason to stop that the user can mend; printed as it is."""


def build(options: argparse.Namespace) -> int:
    """Build what is asked for, and write it unless the design does not fit."""
    design = gatherfold.read_design(options.design, sizes=_sizes(options))
    asked = gatherfold.Options(
        editions=_editions(options),
        layouts=options.layout.split(",") if options.layout else (),
        paper=options.paper,
        kits=options.kits,
        side_by_side=options.side_by_side,
        draft=options.draft,
        machine_files=options.machine_files,
        html=options.html,
    )
    built = gatherfold.build_design(design, asked, _progress)
    open_findings = [finding for finding in built.findings if not finding.accepted]
    print_findings(open_findings if options.all else gatherfold.causes_of(open_findings))
    if built.is_unreadable:
        return UNREADABLE
    if not built.files:
        print("gatherfold: nothing was written; --draft builds all the same", file=sys.stderr)
        return DOES_NOT_FIT
    _say_what_is_written(built.write(options.out), options)
    return DONE if built.fits else DOES_NOT_FIT


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


def check(options: argparse.Namespace) -> int:
    """Say what does not fit, and write the proof sheet and the JSON that are asked for."""
    _spare_the_design(options)
    try:
        design = gatherfold.read_design(options.design, sizes=_sizes(options))
    except gatherfold.DesignUnreadable as problem:
        if options.json is not None:
            data = gatherfold.unreadable_as_data(str(options.design), problem.findings)
            _write(options.json, gatherfold.json_text(data))
        raise
    result = gatherfold.check_design(design, editions=_editions(options), kits=options.kits)
    print_findings(result.findings if options.all else result.causes)
    files = _proof_files(options, result)
    if result.fits:
        said = "no errors; look at the warnings" if result.tally.warnings else "everything fits"
        print(f"{options.design}: {said} ({' and '.join(_editions(options))})")
        for line in result.departures():
            print(f"  {line}")
    for path, content in files.items():
        _write(path, content)
        print(path)
    if result.findings:
        print(result.tally if options.all else result.counted)
    if result.is_unreadable:
        return UNREADABLE
    return DONE if result.fits else DOES_NOT_FIT


def _proof_files(options: argparse.Namespace, result: gatherfold.DesignCheck) -> dict[Path, bytes]:
    """The proof sheet and the JSON that were asked for, both whole before either is written."""
    files: dict[Path, bytes] = {}
    if options.proof is not None:
        _progress("setting the proof sheet")
        files[options.proof] = result.proof_sheet()
    if options.json is not None:
        files[options.json] = gatherfold.json_text(result.as_data())
    return files


def _spare_the_design(options: argparse.Namespace) -> None:
    """A slip on the command line must not write over the design, or one output over the other."""
    places = [path.resolve() for path in (options.design, options.proof, options.json) if path]
    if len(set(places)) < len(places):
        raise Stop("the design, --proof and --json must be three different files")


def start(options: argparse.Namespace) -> int:
    """Copy a shipped design, for the user to change."""
    content = gatherfold.shipped_design(options.source)
    target = Path(f"{options.name.removesuffix('.yaml')}.yaml")
    if target.exists():
        raise Stop(f"{target} is there already; choose another name")
    _write(target, content)
    print(f"{target}: a copy of '{options.source}'; next: gatherfold check {target}")
    return DONE


def compare(options: argparse.Namespace) -> int:
    """Say what changed between two designs."""
    old, new = (
        gatherfold.read_design(path, with_pictures=False) for path in (options.old, options.new)
    )
    changes = gatherfold.compare_designs(old, new, edition=options.edition)
    print("\n".join(changes) if changes else "no piece and no measure differs")
    return DONE


# Around the commands


def _editions(options: argparse.Namespace) -> tuple[gatherfold.EditionName, ...]:
    return gatherfold.EDITION_NAMES if options.edition == "both" else (options.edition,)


def _sizes(options: argparse.Namespace) -> dict[str, str]:
    return dict(_size(text) for text in options.set)


def _size(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not value.strip():
        raise Stop(f"--set {text}: write it as NAME=VALUE, for example panel_width='9 in'")
    return name.strip(), value.strip()


#: How a terminal shows what is grave, and how it goes back to plain (ECMA-48, SGR).
_COLOURS = {"error": "31;1", "warning": "33;1", "advice": "36"}
_COLOURED = "\x1b[{colour}m{text}\x1b[0m"


def print_findings(findings: Iterable[gatherfold.Finding | gatherfold.Cause]) -> None:
    """Say what was found, where errors are said; on a terminal in colour, with the line that each
    speaks of."""
    for finding in findings:
        print(_for_eyes(finding) if sys.stderr.isatty() else finding, file=sys.stderr)


def _for_eyes(said: gatherfold.Finding | gatherfold.Cause) -> str:
    finding = said if isinstance(said, gatherfold.Finding) else said.finding
    place, kind = finding.position, finding.severity.value
    first, _, rest = str(said).partition("\n")
    first = first.replace(kind, _COLOURED.format(colour=_COLOURS[kind], text=kind), 1)
    try:
        lines = Path(place.file).read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError):
        lines = []
    shown = lines[place.line - 1 : place.line]
    source = [f"    {place.line} | {line.strip()}" for line in shown]
    return "\n".join([first, *source, *([rest] if rest else [])])


def _progress(text: str) -> None:
    """Long work says what it is doing, on a terminal only."""
    if sys.stderr.isatty():
        print(f"  {text} …", file=sys.stderr, flush=True)


def _write(path: Path, content: bytes) -> None:
    gatherfold.write_files(path.parent, {path.name: content})
