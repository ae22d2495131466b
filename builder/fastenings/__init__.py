"""Kinds of fastenings: each a module that says everything about it.

In: the word that a design file calls a fastening by, and exact lengths.  Out: a
:class:`FastenerKind` with facts.  How they are drawn, checked, counted or worded is the stages' own
work; no stage asks which kind it has before it.

A new kind is a module here, a word of ``choices.FasteningKind`` and a line of :func:`kind_of`.
"""

from __future__ import annotations

from typing import assert_never

from builder.choices import FasteningKind
from builder.fastenings.brad import BRAD
from builder.fastenings.eyelet import EYELET
from builder.fastenings.kind import Bought as Bought
from builder.fastenings.kind import EndShape as EndShape
from builder.fastenings.kind import FastenerKind as FastenerKind
from builder.fastenings.kind import FieldName as FieldName
from builder.fastenings.kind import Magnetism as Magnetism
from builder.fastenings.kind import Meets as Meets
from builder.fastenings.kind import Need as Need
from builder.fastenings.kind import SectionShape as SectionShape
from builder.fastenings.kind import Words as Words
from builder.fastenings.magnet_pair import MAGNET_PAIR
from builder.fastenings.ribbon_tie import RIBBON_TIE


def kind_of(word: FasteningKind) -> FastenerKind:
    """What is true of a kind."""
    match word:
        case "brad":
            return BRAD
        case "eyelet":
            return EYELET
        case "magnet pair":
            return MAGNET_PAIR
        case "ribbon tie":
            return RIBBON_TIE
        case _:
            assert_never(word)
