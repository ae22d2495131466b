"""What each command does: read, check, build, write, say, and give the exit status."""

from __future__ import annotations

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from gatherfold import __version__
from gatherfold.build import BuildOrder, EditionResult, build_editions
from gatherfold.editions import EditionCheck, check_editions, departure_of, with_idle_entries
from gatherfold.editions import compare as compare_designs
from gatherfold.findings import DesignUnreadable, Finding, Tally, gravest_first, suggestion
from gatherfold.model.checksum import checksum
from gatherfold.model.design import Design
from gatherfold.reading import read_design
from gatherfold.reading.pictures import check_pictures, picture_bytes
from gatherfold.resolve import Edition, resolve
from gatherfold.resolve.edition import EDITIONS, PAPERS
from gatherfold.shipped import DESIGNS, PATTERN, design_names, find_layout, layout_names
from gatherfold.work import pierced

DONE, DOES_NOT_FIT, UNREADABLE = 0, 1, 2


class Stop(Exception):
    """A reason to stop that the user can mend; printed as it is."""


def build(options: argparse.Namespace) -> int:
    design, content, overrides = _read(options)
    layouts = _layouts(options.layout or design.layout, options.design.parent)
    mark = checksum(content, overrides, picture_bytes(design))
    order = BuildOrder(layouts, mark, options.draft, options.kits, options.machine_files)
    editions = [_on_paper(edition, options.paper) for edition in _editions(options)]
    results = build_editions(design, editions, order, _progress, options.side_by_side)
    print_findings(_to_mend(results))
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


def check(options: argparse.Namespace) -> int:
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
    print_findings(findings)
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
    from gatherfold.documents.proof_sheet import proof_pdf
    from gatherfold.record import check_record

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
        from gatherfold.record import unreadable_record

        content = _json(unreadable_record(str(options.design), findings))
        write_all(options.json.parent, {options.json.name: content})


def _spare_the_design(options: argparse.Namespace) -> None:
    """A slip on the command line must not write over the design, or one output over the other."""
    places = [path.resolve() for path in (options.design, options.proof, options.json) if path]
    if len(set(places)) < len(places):
        raise Stop("the design, --proof and --json must be three different files")


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


def start(options: argparse.Namespace) -> int:
    if options.source not in design_names():
        hint = suggestion(options.source, design_names())
        raise Stop(f"there is no shipped design '{options.source}'. {hint}")
    name = options.name.removesuffix(".yaml")
    target = Path(f"{name}.yaml")
    if target.exists():
        raise Stop(f"{target} is there already; choose another name")
    content = (DESIGNS / f"{options.source}.yaml").read_bytes()
    write_all(target.parent, {target.name: content})
    print(f"{target}: a copy of '{options.source}'; next: gatherfold check {target}")
    return DONE


def compare(options: argparse.Namespace) -> int:
    old = read_design(options.old.read_bytes(), str(options.old))
    new = read_design(options.new.read_bytes(), str(options.new))
    edition = EDITIONS[options.edition or new.native]
    changes = compare_designs(pierced(resolve(old, edition)), pierced(resolve(new, edition)))
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
            raise Stop(f"there is no layout '{name}'. {suggestion(name, layout_names())}")
        if layout.resolve().name in found:
            raise Stop(f"two layouts are called '{layout.name}'; their files would be one")
        found[layout.resolve().name] = layout.resolve()
    return tuple(found.values())


def _override(text: str) -> tuple[str, str]:
    name, equals, value = text.partition("=")
    if not equals or not value.strip():
        raise Stop(f"--set {text}: write it as NAME=VALUE, for example panel_width='9 in'")
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


def print_findings(findings: Iterable[Finding]) -> None:
    for finding in findings:
        print(finding, file=sys.stderr)


def _progress(text: str) -> None:
    """Long work says what it is doing, on a terminal only."""
    if sys.stderr.isatty():
        print(f"  {text} …", file=sys.stderr, flush=True)


def write_all(folder: Path, files: Mapping[str, bytes]) -> list[Path]:
    """Write the files into the folder, whole; earlier files stay until every new one is there.

    Everything is first written beside its place; only then is it moved there, file by file.  A
    name may hold a folder within the folder: ``sheets/night.svg``.
    """
    folder.mkdir(parents=True, exist_ok=True)
    waiting: list[tuple[Path, Path]] = []
    try:
        for name, content in files.items():
            place = folder / name
            place.parent.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(prefix=f".{place.name}.", dir=place.parent)
            waiting.append((Path(temporary), place))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            Path(temporary).chmod(0o644)
        for temporary_path, place in waiting:
            temporary_path.replace(place)
    finally:
        for temporary_path, _ in waiting:
            temporary_path.unlink(missing_ok=True)
    return [place for _, place in waiting]
