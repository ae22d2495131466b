"""Small designs as text, and the works that they make.

In: text.  Out: the design resolved, or played.  Lengths are mm unless a design says inches.
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from gatherfold.reading import read_design
from gatherfold.resolve import resolve
from gatherfold.resolve.edition import EDITIONS
from gatherfold.resolve.resolved import ResolvedDesign
from gatherfold.work import FaceKey, Work
from gatherfold.work.play import play
from gatherfold.work.space import Exact

HEAD = """
title: A small work
units: millimetre
stocks:
  grey: {name: Grey card, material: cardstock, weight: 220 g/m2, sheet: 305 mm x 305 mm}
  satin: {name: Satin ribbon, material: ribbon, width: 6 mm}
supplies: {tape: {name: Double-sided tape, kind: tape, width: 5 mm}}
"""

#: A flap of 60 on a card of 100, which stands 4 above it when it is closed; a latch of 40 by 12
#: turns at 6 from its left end, at (11, 40) of the card.
LATCH = """
pieces:
  card: {as: panel, from: grey, size: 100 x 80}
  hinge:
    as: hinge
    from: grey
    across: {low: 10, gusset: 4, high: 10}
    height: 80
    on: card
    by: low
    right: 0
  flap: {as: flap, from: grey, size: 60 x 80, behind: hinge.high, left: 0}
  latch: {as: tab, from: grey, size: LENGTH x 12, on: card, left: 5, bottom: 34, glue: none}
fastenings:
  brad:
    name: Brad
    kind: brad
    head: 6 mm
    leg: 8 mm
    through: latch, card
    left: 6
    pivot: yes
    holds: flap
  tie: {name: Tie, kind: ribbon tie, ribbon: satin, length: 200, allowance: 10, round: card}
steps:
  - title: Cut
    text: Cut every piece.
    cut: all
    score: hinge
    fold: hinge
  - title: Set
    text: Glue the [hinge] and the [flap], lay the [latch] down and pierce both.
    attach: hinge, flap, latch
    fasten: brad
  - title: Try
    text: Close it and open it again.
    close: all
    open: all
  - title: Close
    text: Close it and tie it.
    fasten: tie
    close: all
"""


@lru_cache
def resolved(text: str) -> ResolvedDesign:
    design = read_design((HEAD + text).encode(), "small.yaml")
    return resolve(design, EDITIONS[design.native])


def played(text: str) -> Work:
    return play(resolved(text))


def key(name: str, face: str = "face") -> FaceKey:
    return FaceKey(name, face)


@lru_cache
def latched(length: int = 40) -> Work:
    return played(LATCH.replace("LENGTH", str(length)))


def mm(work: Work, length: Exact) -> Fraction:
    return Fraction(length) / work.scale


POCKET = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  pocket: {as: pocket, from: grey, size: 60 x 40, on: card, bottom: 0, glue: left, bottom, right}
  slip: {as: insert, from: grey, size: WIDTH x 70, inside: pocket, bottom: 6}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: pocket}
  - {title: Fill, text: Fill., insert: slip}
""".replace("glue: left, bottom, right", "glue: 'left, bottom, right'")


WALLED = """
pieces:
  tray:
    as: tray
    from: grey
    across: {left: 30, base: 80, right: 30}
    up: {front: 30, base: 60, back: 30}
    corners: {all: notch 30 x 30}
    tabs: {left: {top: 10, bottom: 10, taper: 2}, right: {top: 10, bottom: 10, taper: 2}}
  label: {as: tag, from: grey, size: 20 x 20, on: tray.base, left: LEFT}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Label, text: Glue., attach: label}
  - {title: Close, text: Close., close: "NAMES"}
"""


JOINED = """
pieces:
  card: {as: panel, from: grey, size: 100 x 100}
  label: {as: tag, from: grey, size: 20 x 20, on: card, left: LEFT}
  strip:
    as: strip
    from: grey
    across: {foot: 10, wall: {size: 20, closed: 90}}
    height: 40
    on: card
    by: foot
    left: 10
    joins: {wall: {on: HOST}}
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Glue, text: Glue., attach: "label, strip"}
  - {title: Close, text: Close., close: all}
"""


TWO_FLAPS = """
pieces:
  card:
    as: panel
    from: grey
    closed: 180
    across: {flap: 50, back: 60, wing: 55}
    height: 80
"""
FLAPS = (
    TWO_FLAPS
    + """\
    seams: {flap: none, wing: none}
  tag: {as: tag, from: grey, size: 20 x 20, PLACE}
closing: [card.wing, card.flap]
steps:
  - {title: Cut, text: Cut., cut: all}
  - {title: Fold, text: Fold., score: card, fold: card}
  - {title: Glue, text: Glue., TAG}
  - {title: Close, text: Close., close: all}
"""
)
