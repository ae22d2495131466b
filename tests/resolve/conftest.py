"""Small designs for the tests of resolving: a cardstock, and whatever pieces a test writes."""

from __future__ import annotations

import textwrap
from collections.abc import Callable

import pytest

from gatherfold.reading import read_design
from gatherfold.resolve import Edition, ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.work import pierced

_HEAD = """\
title: Test
units: {units}
stocks:
  night: {{material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}}
  cloud: {{material: paper, sheet: 12 in x 12 in, caliper: 0.2 mm}}
pieces:
"""

Resolver = Callable[..., ResolvedDesign]


@pytest.fixture
def resolved() -> Resolver:
    """``resolved(pieces, rest="", edition=IMPERIAL, units="inch")``: YAML → resolved design."""

    def build(
        pieces: str, rest: str = "", edition: Edition = IMPERIAL, units: str = "inch"
    ) -> ResolvedDesign:
        body = textwrap.indent(textwrap.dedent(pieces).strip("\n"), "  ")
        text = _HEAD.format(units=units) + body + "\n" + textwrap.dedent(rest)
        return pierced(resolve(read_design(text.encode(), "test.yaml"), edition))

    return build
