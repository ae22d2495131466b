"""The whole line for one design: resolve, plan, check, count, draw, compose, typeset.

In: a :class:`Design` and what to make of it.  Out: :class:`EditionResult` values, one an edition.
Nothing is written here; ``commands`` does that.
"""

from __future__ import annotations

import multiprocessing
import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import partial
from multiprocessing.queues import SimpleQueue
from pathlib import Path
from threading import Thread
from typing import TYPE_CHECKING, Any

from gatherfold.counts import supplies_csv
from gatherfold.editions import Checked, Computed, check_edition, computed_in_language
from gatherfold.findings import DesignUnreadable, Finding, Severity, gravest_first
from gatherfold.model.design import Design
from gatherfold.resolve import Edition
from gatherfold.resolve.edition import EDITIONS
from gatherfold.wording import load_wording

if TYPE_CHECKING:
    # Typesetting takes a second to import: only what builds documents does.
    from gatherfold.documents.laid_out import LaidOut, Manuscript

Progress = Callable[[str], None]

#: What the document of both editions is called, beside the names of the editions.
SIDE_BY_SIDE = "side-by-side"


@dataclass(frozen=True)
class BuildOrder:
    """What to make: the layouts' folders, the design's bytes' checksum, draft allowed or not, for
    how many kits, and whether a cutting machine is to have files as well."""

    layouts: tuple[Path, ...]
    checksum: str
    allow_draft: bool
    kits: int = 1
    machine_files: bool = False


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
    order: BuildOrder,
    progress: Progress,
    together: bool = False,
) -> list[EditionResult]:
    """Build the editions, in parallel where there is more than one result.

    ``together`` adds both editions side by side in one document.
    """
    shown = [[edition] for edition in editions] + ([list(EDITIONS.values())] if together else [])
    work = [partial(build_result, design, each, order) for each in shown]
    if len(work) == 1:
        return [work[0](progress)]
    said: SimpleQueue[str | None] = multiprocessing.SimpleQueue()
    listener = Thread(target=_pass_on, args=(said, progress))
    listener.start()
    try:
        workers = min(len(work), os.cpu_count() or 1)
        with ProcessPoolExecutor(workers, initializer=_speak_into, initargs=(said,)) as pool:
            return [future.result() for future in [pool.submit(each, _say) for each in work]]
    finally:
        said.put(None)
        listener.join()


# What the processes say is passed on in the one that asked for the build, so that any callable
# will do to hear it.


def _pass_on(said: SimpleQueue[str | None], progress: Progress) -> None:
    for text in iter(said.get, None):
        progress(text)


def _speak_into(said: SimpleQueue[str | None]) -> None:
    """Begin a process: what is said in it goes there."""
    _speaking.append(said)


def _say(text: str) -> None:
    _speaking[0].put(text)


_speaking: list[SimpleQueue[str | None]] = []


def build_result(
    design: Design, editions: Sequence[Edition], order: BuildOrder, progress: Progress
) -> EditionResult:
    """One edition from the design to its PDF, or several side by side in one document, each with
    its own sizes, on the designer's own paper."""
    name = editions[0].name if len(editions) == 1 else SIDE_BY_SIDE
    progress(f"{name}: working out sizes and sheets")
    try:
        checked = [check_edition(design, edition, order.kits) for edition in editions]
        findings = gravest_first(finding for each in checked for finding in each.findings)
        result = EditionResult(name, findings)
        if result.has_errors and not order.allow_draft:
            return result
        return _typeset(checked, order, result, progress)
    except DesignUnreadable as problem:
        return EditionResult(name, problem.findings, unreadable=True)


def _typeset(
    checked: Sequence[Checked], order: BuildOrder, result: EditionResult, progress: Progress
) -> EditionResult:
    """The documents of one edition or of both together; with one alone its data as well."""
    # Drawing and typesetting are imported here: a check needs neither, and they take a second.
    from gatherfold.documents.laid_out import lay_out

    manuscripts = [_manuscript(each, order, result.has_errors) for each in checked]
    documents = {layout.name: lay_out(manuscripts, layout, progress) for layout in order.layouts}
    of_pictures = [finding for each in documents.values() for finding in each.findings]
    findings = (*result.findings, *of_pictures)
    whole = replace(result, documents=documents, findings=findings)
    if len(checked) > 1:
        return whole
    return _with_data(whole, manuscripts[0].computed, checked[0], order, progress)


def _with_data(
    result: EditionResult,
    computed: Computed,
    checked: Checked,
    order: BuildOrder,
    progress: Progress,
) -> EditionResult:
    from gatherfold.record import edition_record

    record = edition_record(computed, checked.findings)
    table = supplies_csv(computed.supplies, computed.resolved, order.kits)
    whole = replace(result, record=record, supplies_csv=table)
    if not order.machine_files or computed.is_draft:
        return whole
    # Imported here: the library that writes these files takes a third of a second.
    from gatherfold.machine_files import machine_files

    progress(f"{result.edition}: writing files for a cutting machine")
    files = machine_files(computed.resolved, checked.plans, order.checksum)
    return replace(whole, machine_files=files)


def _manuscript(checked: Checked, order: BuildOrder, is_draft: bool) -> Manuscript:
    from gatherfold.documents.laid_out import Manuscript

    computed = replace(computed_in_language(checked, is_draft), checksum=order.checksum)
    return Manuscript(computed, load_wording(checked.resolved.design.language))
