"""The texts of a design that are checked, each with what its step handles.

In: a resolved design.  Out: passages: the title and the text of each step, title, subtitle and
summary of the design, and the notes of its pieces.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from gatherfold.checks.texts.sentences import Sentence, sentences_of
from gatherfold.findings import Position
from gatherfold.model import Operation, Step
from gatherfold.reading import matching_names, position_in_text
from gatherfold.resolve import ResolvedDesign, named_fastenings, named_pieces, named_strips

#: What a step does with pieces that are named by their keys alone.
_WITH_PIECES: tuple[Operation, ...] = (
    "cut", "fold", "ink", "dry_fit", "attach", "insert",
)  # fmt: skip


@dataclass(frozen=True)
class Passage:
    """A text: ``number`` is that of its step, 0 for what is ``named`` otherwise; ``of`` is the
    piece of a note.  ``done`` holds the pieces and the fastenings that each operation of the step
    handles, sections with their pieces."""

    text: str
    position: Position
    number: int = 0
    step: Step | None = None
    done: tuple[tuple[Operation, tuple[str, ...]], ...] = ()
    is_title: bool = False
    named: str = ""
    of: str = ""

    @property
    def where(self) -> str:
        """The text as a finding names it."""
        if self.step is None:
            return self.named
        return f"the title of step {self.number}" if self.is_title else f"step {self.number}"

    @cached_property
    def sentences(self) -> tuple[Sentence, ...]:
        return sentences_of(self.text)

    @cached_property
    def handled(self) -> tuple[str, ...]:
        """All that the step handles, what it only cuts left out."""
        names = (name for kind, each in self.done if kind != "cut" for name in each)
        return tuple(dict.fromkeys(names))

    @property
    def is_of_whole(self) -> bool:
        """Whether it speaks of the whole work."""
        return self.step is None and not self.of

    def is_of_step(self) -> bool:
        """Whether it is the text of a step."""
        return self.step is not None and not self.is_title

    def by(self, *operations: Operation) -> tuple[str, ...]:
        """What some operations of the step handle."""
        return tuple(name for kind, names in self.done if kind in operations for name in names)

    def does(self, *operations: Operation) -> bool:
        """Whether the step does one of these."""
        return any(kind in operations for kind, _ in self.done)

    def at(self, offset: int) -> Position:
        """The place of a character in the file."""
        if self.step is None or self.is_title:
            return self.position
        return position_in_text(self.step, offset)


def passages_of(resolved: ResolvedDesign) -> Iterator[Passage]:
    """Titles and texts of the steps, and what speaks of the whole work or of one piece."""
    design = resolved.design
    start = Position(design.file, 1, 1)
    whole = {"title": design.title, "subtitle": design.subtitle, "summary": design.summary}
    for name, text in whole.items():
        yield Passage(text, design.positions.get(name, start), named=f"the {name}")
    for piece in resolved.pieces.values():
        if piece.source.note:
            named = f"the note of '{piece.key}'"
            at = piece.source.position
            yield Passage(piece.source.note, at, named=named, of=piece.key)
    for number, step in enumerate(design.steps, 1):
        done = tuple((kind, _handled(step, kind, resolved)) for kind in step.operations)
        yield Passage(step.title, step.position, number, step, done, is_title=True)
        yield Passage(step.text, step.text_position, number, step, done)


def _handled(step: Step, operation: Operation, resolved: ResolvedDesign) -> tuple[str, ...]:
    match operation:
        case "fasten":
            return named_fastenings(step, resolved)
        case "score" | "divide":
            pieces = named_pieces(step, operation, resolved) if operation == "score" else ()
            return (*pieces, *_strips(step, operation, resolved))
        case _ if operation in _WITH_PIECES:
            return named_pieces(step, operation, resolved)
        case _:
            return _owners(step.operations[operation], resolved)


def _strips(step: Step, operation: Operation, resolved: ResolvedDesign) -> Iterator[str]:
    """The strips that an operation names, each followed by its pieces."""
    for key in named_strips(step, operation, resolved):
        yield from (key, *resolved.strips[key].source.pieces)


def _owners(names: Sequence[str], resolved: ResolvedDesign) -> tuple[str, ...]:
    """The pieces of which sections or edges are named."""
    keys = (name.partition(".")[0] for name in names if name != "all")
    return tuple(dict.fromkeys(k for key in keys for k in matching_names(key, resolved.pieces)))
