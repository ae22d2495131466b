"""Small designs that are sound, and what the checks of joins say of one changed a little.

By hand, in inches: the box is 4 by 3 and 2 high under a lid 1/16 larger all round; the envelope has
a body of 6 by 4 under flaps that lap; the book has covers of 5 by 7 and a spine of 1/2.
"""

from gatherfold.checks.joins import check_joins
from gatherfold.reading import read_design
from gatherfold.resolve import EDITIONS, resolve
from gatherfold.work import pierced

_HEAD = """\
title: Test
units: inch
stocks:
  night: {material: cardstock, weight: 80 lb cover, sheet: 12 in x 12 in}
  thin: {material: paper, weight: 120 g/m2, sheet: 12 in x 12 in}
  grey: {material: board, caliper: 2 mm, sheet: 12 in x 12 in}
  satin: {material: ribbon, width: 1/2 in}
supplies:
  tape: {kind: tape, width: 1/4 in}
"""

BOX = (
    _HEAD
    + """\
pieces:
  tray:
    as: tray
    from: night
    across: {left: 2, base: 4, right: 2}
    up: {front: 2, base: 3, back: 2}
    corners: {all: notch 2 x 2}
    tabs:
      left: {top: 1/2, bottom: 1/2, taper: 1/16}
      right: {top: 1/2, bottom: 1/2, taper: 1/16}
  lid:
    as: lid
    from: night
    fold: mountain
    across: {left_side: 1, panel: 4 1/8, right_side: 1}
    up: {front_side: 1, panel: 3 1/8, back_side: 1}
    corners: {all: notch 1 x 1}
    tabs:
      left_side: {top: 1/2, bottom: 1/2, taper: 1/16, fold: mountain}
      right_side: {top: 1/2, bottom: 1/2, taper: 1/16, fold: mountain}
    on: tray.base
    by: panel
    raised: 2
    glue: none
  note: {as: card, from: night, size: 2 x 2, on: tray.base, glue: none}
  plate: {as: tag, from: night, size: 1 x 1, on: lid.panel, left: 1/2}
fastenings:
  bow: {kind: ribbon tie, ribbon: satin, length: 24, round: lid, right: 2}
closing: [tray, lid]
steps:
  - {title: Cut, text: It., cut: all}
  - {title: Score, text: It., score: "tray, lid", fold: "tray, lid"}
  - {title: Tray, text: It., close: "tray.left, tray.right, tray.front, tray.back"}
  - title: Lid
    text: It.
    close: lid.left_side, lid.right_side, lid.front_side, lid.back_side
    attach: plate
  - {title: Fill, text: It., attach: "note, lid", fasten: bow}
"""
)

ENVELOPE = (
    _HEAD
    + """\
pieces:
  envelope:
    as: envelope
    from: night
    closed: 180
    across: {left_flap: 1, body: 6, right_flap: 1}
    up: {bottom_flap: 2 1/2, body: 4, top_flap: 2}
    corners: {bottom: notch 1 x 2 1/2, top: notch 1 x 2}
    seams: {left_flap: none, right_flap: none, bottom_flap: {left: 0, right: 0}}
  lining:
    as: liner
    from: thin
    up: {body: 2, flap: 1 3/4}
    width: 5 3/4
    on: envelope.body
    by: body, flap
    top: 0
  letter: {as: card, from: night, size: 5 x 3 1/2, on: envelope.body, glue: none}
  seal: {as: tag, from: night, size: 1 x 1, on_back: envelope.top_flap, top: -1/2}
steps:
  - {title: Cut, text: It., cut: all}
  - {title: Score, text: It., score: "envelope, lining", fold: "envelope, lining"}
  - {title: Line, text: It., attach: lining}
  - title: Pocket
    text: It.
    close: envelope.left_flap, envelope.right_flap, envelope.bottom_flap
  - {title: Fill, text: It., insert: letter, close: all, attach: seal}
"""
)

BOOK = (
    _HEAD
    + """\
pieces:
  back: {as: panel, from: night, size: 5 x 7}
  spine:
    as: spine
    from: night
    across: {front_tab: 3/4, gusset: 1/2, back_tab: 3/4}
    height: 7
    on: back
    by: back_tab
    left: 0
  front: {as: panel, from: night, size: 5 x 7, behind: spine.front_tab, right: 0}
  lining: {as: mat, from: thin, on: back, leaving: 1/8}
  band:
    as: band
    from: night
    across: {left_lap: 3, left_side: 3/4, run: 5 1/4, right_side: 3/4, right_lap: 3}
    height: 1
    joins: {right_lap: {behind: band.left_lap, glue: right}}
    behind: back
    by: run
    bottom: 1
    glue: none
fastenings:
  front_brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: front, left: 3/8, holds: bow}
  back_brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: back, right: 3/8, holds: bow}
  bow: {kind: ribbon tie, ribbon: satin, length: 12, allowance: 1, count: 2}
closing: [spine, band]
steps:
  - {title: Cut, text: It., cut: all}
  - {title: Score, text: It., score: "spine, band", fold: "spine, band"}
  - {title: Join, text: It., attach: "spine, front"}
  - {title: Ribbons, text: It., fasten: "front_brad, back_brad, bow"}
  - {title: Line, text: It., attach: lining}
  - {title: Shut, text: It., close: all, attach: band}
  - {title: Band, text: It., close: band}
"""
)


def codes(text: str, *changes: tuple[str, str]) -> list[str]:
    """What is said of a design after some changes, each code once, in order."""
    for old, new in changes:
        assert text.count(old) == 1, f"{old!r} stands there {text.count(old)} times"
        text = text.replace(old, new)
    design = read_design(text.encode(), "test.yaml")
    resolved = pierced(resolve(design, EDITIONS["imperial"]))
    return list(dict.fromkeys(finding.code for finding in check_joins(resolved)))
