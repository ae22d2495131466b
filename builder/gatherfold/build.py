"""The whole line for one design: resolve, plan, check, count, draw, compose, typeset.

In: a :class:`Design` and what to make of it.  Out: :class:`EditionResult` values, one an edition.
Nothing is written here; ``commands`` does that.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from importlib import import_module
from pathlib import Path
from queue import Queue
from threading import Thread
from typing import TYPE_CHECKING, Any

from gatherfold.counts import supplies_csv
from gatherfold.editions import Computed, check_edition, computed_in_language
from gatherfold.findings import DesignUnreadable, Finding, Severity, gravest_first
from gatherfold.model import EDITION_NAMES, Design, EditionName, PaperName
from gatherfold.resolve import EDITIONS, Edition

if TYPE_CHECKING:
    # Typesetting takes a second to import: only what builds documents does.
    from gatherfold.documents.laid_out import LaidOut

Progress = Callable[[str], None]

#: What the document of both editions is called, beside the names of the editions.
SIDE_BY_SIDE = "side-by-side"


@dataclass(frozen=True)
class Options:
    """What to build: the editions, layouts by name or folder (none: what the design names), the
    paper of every edition if not its own, for how many kits, both editions in one document as
    well, pages marked as a draft where the design does not fit, files for a cutting machine, and
    the HTML that the pages are set from."""

    editions: Sequence[EditionName] = EDITION_NAMES
    layouts: Sequence[str] = ()
    paper: PaperName | None = None
    kits: int = 1
    side_by_side: bool = False
    draft: bool = False
    machine_files: bool = False
    html: bool = False


@dataclass(frozen=True)
class EditionResult:
    """One edition: its findings, and its documents and record unless errors forbid them.

    ``unreadable`` says that the edition, a layout's page or a picture could not be read.
    ``documents`` are by the layout's name, and both editions side by side have no record of their
    own.  ``machine_files`` are by name; a draft has none, for a machine cannot see that it is one.
    """

    edition: str
    findings: tuple[Finding, ...]
    unreadable: bool = False
    documents: Mapping[str, LaidOut] = field(default_factory=dict)
    record: dict[str, Any] | None = None
    supplies_csv: bytes = b""
    machine_files: Mapping[str, bytes] = field(default_factory=dict)

    @property
    def has_errors(self) -> bool:
        return any(finding.severity is Severity.ERROR for finding in self.findings)


def build_editions(
    design: Design,
    editions: Sequence[Edition],
    layouts: Sequence[Path],
    options: Options,
    progress: Progress,
) -> list[EditionResult]:
    """Build the editions in the folders of layouts, in parallel where there is more than one
    result; both side by side are one more."""
    shown = [[edition] for edition in editions]
    if options.side_by_side:
        shown.append(list(EDITIONS.values()))
    work = [partial(build_result, design, each, layouts, options) for each in shown]
    if len(work) == 1:
        return [work[0](progress)]
    # Slow to import, and all but a build of several results do without.
    import multiprocessing
    from concurrent.futures import ProcessPoolExecutor

    # What every process needs is imported once, where they are forked from this one.
    import_module("gatherfold.documents.laid_out")
    with multiprocessing.Manager() as manager:
        said: Queue[str | None] = manager.Queue()
        listener = Thread(target=_pass_on, args=(said, progress))
        listener.start()
        try:
            with ProcessPoolExecutor(min(len(work), os.cpu_count() or 1)) as pool:
                return [each.result() for each in [pool.submit(each, said.put) for each in work]]
        finally:
            said.put(None)
            listener.join()


def _pass_on(said: Queue[str | None], progress: Progress) -> None:
    """Say what the processes say in the one that asked for the build, so that any callable will do
    to hear it."""
    for text in iter(said.get, None):
        progress(text)


def build_result(
    design: Design,
    editions: Sequence[Edition],
    layouts: Sequence[Path],
    options: Options,
    progress: Progress,
) -> EditionResult:
    """One edition from the design to its PDF, or several side by side in one document, each with
    its own sizes, on the designer's own paper."""
    name = editions[0].name if len(editions) == 1 else SIDE_BY_SIDE
    progress(f"{name}: working out sizes and sheets")
    try:
        checked = [check_edition(design, edition, options.kits) for edition in editions]
        findings = gravest_first(finding for each in checked for finding in each.findings)
        result = EditionResult(name, findings)
        if result.has_errors and not options.draft:
            return result
        computed = [computed_in_language(each, result.has_errors) for each in checked]
        whole = _typeset(computed, layouts, result, progress)
    except DesignUnreadable as problem:
        return EditionResult(name, problem.findings, unreadable=True)
    return whole if len(checked) > 1 else _with_data(whole, computed[0], options, progress)


def _typeset(
    computed: Sequence[Computed], layouts: Sequence[Path], result: EditionResult, progress: Progress
) -> EditionResult:
    """The documents of one edition, or of both together."""
    # Drawing and typesetting are imported here: a check needs neither, and they take a second.
    from gatherfold.documents.laid_out import Manuscript, lay_out

    manuscripts = [Manuscript(each) for each in computed]
    documents = {layout.name: lay_out(manuscripts, layout, progress) for layout in layouts}
    of_pictures = (finding for each in documents.values() for finding in each.findings)
    return replace(result, documents=documents, findings=(*result.findings, *of_pictures))


def _with_data(
    result: EditionResult, computed: Computed, options: Options, progress: Progress
) -> EditionResult:
    """One edition with its record, its table of supplies and what a machine is given."""
    from gatherfold.record import edition_record

    record = edition_record(computed, computed.findings)
    table = supplies_csv(computed.supplies, computed.resolved, computed.kits)
    files: Mapping[str, bytes] = {}
    if options.machine_files and not computed.is_draft:
        # Imported here: the library that writes these files takes a third of a second.
        from gatherfold.machine_files import machine_files

        progress(f"{result.edition}: writing files for a cutting machine")
        files = machine_files(computed.resolved, computed.plans)
    return replace(result, record=record, supplies_csv=table, machine_files=files)
