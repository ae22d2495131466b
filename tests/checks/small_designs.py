"""Small designs for tests of single checks: a cardstock, tape ¼ in wide, the test's pieces."""

from __future__ import annotations

import textwrap

from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import pierced

_HEAD = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  grey: {material: board, caliper: 2 mm, sheet: 12 in x 12 in}
supplies:
  tape: {kind: tape, width: 1/4 in}
pieces:
"""


def resolved_design(pieces: str, rest: str = "") -> ResolvedDesign:
    """YAML of pieces, and of whole sections after them, → the design in inches."""
    body = textwrap.indent(textwrap.dedent(pieces).strip("\n"), "  ")
    text = _HEAD + body + "\n" + textwrap.dedent(rest)
    return pierced(resolve(read_design(text.encode(), "test.yaml"), IMPERIAL))
