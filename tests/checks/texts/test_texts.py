"""What texts say against the data: each change of a sound text brings its finding, near ones none.

All rules are common practice, no source.
"""

from __future__ import annotations

import pytest

from gatherfold.checks.texts import check_texts
from tests.checks.small_designs import resolved_design

PIECES = """
wrap:
  as: envelope
  from: night
  closed: 180
  across: {left_flap: 1, body: 6, right_flap: 1}
  up: {bottom_flap: 2, body: 4, top_flap: 2}
  corners: {bottom: notch 1 x 2, top: notch 1 x 2}
  thumb_notch: {bottom: 1/2}
  seams: {left_flap: none, right_flap: none, bottom_flap: {left: 1/4, right: 1/4}, top_flap: none}
plate: {as: panel, from: night, size: 3 x 1, on_back: wrap.body, left: side_gap}
pocket:
  as: pocket
  from: night
  size: 4 x 2
  on: wrap.body
  bottom: 0
  glue: left, bottom, right
card:
  as: card
  from: night
  up: {lower_half: 2, upper_half: 2}
  width: 3
  on: wrap.body
  by: lower_half
  glue: none
label: {as: tag, from: night, size: 2 x 1, on: card.upper_half}
stamps:
  each: {n: [one, two, three]}
  pieces:
    "stamp_{n}": {as: photo mat, from: night, size: 1 x 1, on: wrap.top_flap, left: 1/4}
"""
REST = """
measures: {side_gap: 1/2}
summary: A wrapper with room for three photographs.
fastenings:
  corner_brad: {kind: brad, head: 1/4 in, leg: 3/8 in, through: wrap, left: 2, bottom: 3}
steps:
  - title: Cut
    text: The [wrap] is {wrap.width x wrap.height}. Cut the three stamps.
    cut: all
  - title: Score
    text: |
      Score the [wrap] and the [card], and punch the thumb notch into the bottom flap. Fold each
      line of the [wrap] over the scored side.
    score: wrap, card
    fold: wrap, card
  - title: Set the plate
    text: |
      Turn the [wrap] over, its outside up, and glue the [plate] on it, {side_gap} from the left
      edge and half way up. Fasten the [corner_brad].
    attach: plate
    fasten: corner_brad
  - title: Add the pocket
    text: |
      Run [tape] along the left, bottom and right edges of the [pocket], keep the top edge free, and
      glue it inside, flush with the bottom edge.
    attach: pocket
  - title: Add the stamps
    text: Glue first the [stamp_one], then the [stamp_two], then the [stamp_three], to the top flap.
    attach: stamp_*
  - title: Close
    text: |
      Glue the [label] on the upper half of the [card] and lay the [card] in. Fold the side flaps
      in. Run [tape] along the bottom flap, on its inside, {1/4} from the fold. Fold the bottom flap
      up over the side flaps.
    attach: label, card
    close: wrap.left_flap, wrap.right_flap, wrap.bottom_flap
"""
ATTACH = "    attach: label, card\n"
CLOSE = "    close: wrap.left_flap, wrap.right_flap, wrap.bottom_flap\n"


def codes(old: str = "", new: str = "") -> list[str]:
    """The codes of what is found where one text stands in place of another."""
    assert old in PIECES + REST
    text = REST.replace(old, new, 1) if old in REST else REST
    pieces = PIECES if old in REST else PIECES.replace(old, new, 1)
    return [finding.code for finding in check_texts(resolved_design(pieces, text))]


def test_a_sound_text_brings_no_finding() -> None:
    assert codes() == []


@pytest.mark.parametrize(
    ("code", "old", "new"),
    [
        ("count-in-text", "Cut the three stamps", "Cut the four stamps"),
        ("count-in-text", "three photographs", "six photographs"),
        ("length-in-text", "{side_gap} from the left", "1/2 in from the left"),
        ("length-in-text", "{side_gap} from the left", "half an inch from the left"),
        ("length-in-text", "{1/4} from the fold", "6 mm from the fold"),
        ("length-of-nothing", "Fold the side flaps\n      in.", "The [card] clears it by {7/32}."),
        ("size-of-another", "{wrap.width x wrap.height}", "{pocket.width x pocket.height}"),
        ("place-in-text", "from the left\n      edge", "from the right\n      edge"),
        ("place-in-text", "{side_gap} from", "{3/4} from"),
        ("place-in-text", "left: side_gap}", "left: side_gap, top: 1/8}"),
        ("place-in-text", "flush with the bottom", "flush with the top"),
        ("place-in-text", "on the upper half", "on the lower half"),
        ("edges-in-text", "the left, bottom and right edges", "the left, top and right edges"),
        ("edges-in-text", "keep the top edge free", "keep the bottom edge free"),
        ("section-in-text", "into the bottom flap", "into the top flap"),
        ("section-in-text", "along the bottom flap, on", "along the edges of the top flap, on"),
        ("side-in-text", "its outside up", "its inside up"),
        ("side-in-text", "glue it inside", "glue the [pocket] outside"),
        ("fold-in-text", "over the scored side", "away from the scored side"),
        ("tape-side-in-text", "on its inside", "on its outside"),
        ("text-in-other-order", "first the [stamp_one], then the [stamp_two]",
         "first the [stamp_two], then the [stamp_one]"),
        ("text-in-other-order", "right_flap, wrap.bottom_flap\n", "bottom_flap, wrap.right_flap\n"),
        ("text-in-other-order", f"{ATTACH}{CLOSE}", f"{CLOSE}{ATTACH}"),
        ("text-without-operation", "    score: wrap, card", "    score: card"),
        ("text-without-operation", "    fasten: corner_brad\n", ""),
        ("operation-without-text", "attach: stamp_*", "attach: stamp_*, plate"),
        ("text-without-operation", "Cut the three stamps", "Glue the three stamps"),
        ("text-without-operation", "Cut the three stamps", "Cut the [corner_brad] no hole yet"),
        ("side-in-text", "Run [tape] along the left",
         "Lay the [wrap] face down. Run [tape] along the left"),
    ],
)  # fmt: skip
def test_a_contradiction_is_found(code: str, old: str, new: str) -> None:
    assert code in codes(old, new)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("Cut the three stamps", "Cut two stamps first"),
        ("Cut the three stamps", "Cut the other two stamps"),
        ("Cut the three stamps", "Cut the two small stamps"),
        ("three photographs", "photographs of two summers"),
        ("{side_gap} from the left", "about 1/2 in from the left"),
        ("Run [tape] along the bottom", "Run 1/4 in tape along the bottom"),
        ("{wrap.width x wrap.height}", "{8 x 8}"),
        ("Fold the side flaps\n", "Fold both side flaps\n"),
        ("keep the top edge free", "not the top"),
        ("along the bottom flap, on its inside", "along the edges of the bottom flap"),
        (
            "Glue first the [stamp_one], then the [stamp_two]",
            "Glue the [stamp_two], the [stamp_one]",
        ),
        ("glue it inside", "press it down inside"),
        ("Cut the three stamps", "Trim the three stamps"),
        ("to the top flap", "to the top flap, beside the [corner_brad]"),
        ("Run [tape] along the left", "Lay the [wrap] face up. Run [tape] along the left"),
    ],
)
def test_what_is_no_plain_contradiction_is_left_alone(old: str, new: str) -> None:
    assert codes(old, new) == []


def test_german_texts_are_read_by_their_own_words() -> None:
    rest = """
language: de
steps:
  - title: Schneiden
    text: "Schneide die {count} Marken."
    cut: all
"""
    pieces = """
blatt: {name: Blatt, from: night, size: 5 x 5}
stempel:
  each: {n: [a, b, c]}
  pieces:
    "marke_{n}": {name: "Marke {n}", as: tag, from: night, size: 1 x 1, on: blatt, glue: none}
"""
    for count, found in (("drei", []), ("vier", ["count-in-text"])):
        design = resolved_design(pieces, rest.replace("{count}", count))
        assert [finding.code for finding in check_texts(design)] == found


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Klebe die [marke] auf die [karte].", ""),
        ("Klebe die [marke] auf das [blatt].", "place-in-text"),
        ("Klebe die [marke] hinter die [karte].", "side-in-text"),
        ("Lege die [marke] ohne Kleber auf die [karte].", "glue-in-text"),
        ("Klebe die [karte] mit der Außenseite nach oben auf. Klebe die [marke] auf.", ""),
        (
            "Lege die [mappe], die Außenseite nach oben, hin. Klebe das [schild] auf.",
            "side-in-text",
        ),
        ("Klebe die [marke] auf die [karte], {1/2} ringsum.", "place-in-text"),
    ],
)
def test_german_texts_say_where_pieces_lie(said: str, code: str) -> None:
    pieces = """
mappe: {name: Mappe, from: night, across: {links: 5, rechts: 5}, height: 5}
blatt: {name: Blatt, from: night, size: 4 x 4}
karte: {name: Karte, as: card, from: night, size: 3 x 3}
marke: {name: Marke, as: tag, from: night, on: karte, leaving: 1/4}
schild: {name: Schild, as: tag, from: night, size: 1 x 1, on: mappe.links}
"""
    rest = f"""
language: de
steps:
  - title: Kleben
    text: "{said}"
    attach: "marke, schild"
"""
    codes = {finding.code for finding in check_texts(resolved_design(pieces, rest))}
    found = codes - {"operation-without-text"}
    assert code in found if code else not found


@pytest.mark.parametrize(
    "odd", ["1/0 in", "9" * 5000, "1/2/3 mm", "½½ in", "**", "[wrap](x)", "٣ mm"]
)
def test_odd_numbers_are_read_without_a_crash(odd: str) -> None:
    assert "size-of-another" not in codes("Cut the three stamps", f"Cut {odd}")


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Klebe die Lasche auf die erste Wand.", ""),
        ("Klebe die Lasche auf die dritte Wand.", "section-in-text"),
        ("Klebe die Lasche an die Innenseite der Wand.", ""),
        ("Klebe die Lasche an die Außenseite der Wand.", "tape-side-in-text"),
    ],
)
def test_german_texts_say_what_tabs_stick_to(said: str, code: str) -> None:
    pieces = """
huelle:
  from: night
  closed: 90
  across: {a: 2, b: 1, c: 2, d: 1, lasche: 1/2}
  height: 3
  joins: {lasche: {on: huelle.a}}
"""
    rest = f"""
language: de
steps:
  - title: Schließen
    text: "{said}"
    close: huelle
"""
    found = {finding.code for finding in check_texts(resolved_design(pieces, rest))}
    assert found == ({code} if code else set())
