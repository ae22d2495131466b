"""Texts of sound designs, each changed so that it says something else than the design does.

All rules are common practice, no source.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from gatherfold.checks.texts import check_texts
from gatherfold.reading import read_design
from gatherfold.resolve import EDITIONS, resolve

ROOT = Path(__file__).parents[3]


@cache
def _written(name: str) -> str:
    places = (ROOT / "designs", ROOT / "tests" / "designs")
    return next(place / name for place in places if (place / name).is_file()).read_text()


def said(name: str, old: str = "", new: str = "") -> list[tuple[str, str]]:
    """The codes and messages of a design where one text stands in place of another."""
    text = _written(f"{name}.yaml")
    assert text.count(old) == 1 or not old
    design = read_design(text.replace(old, new).encode(), f"{name}.yaml")
    return [(f.code, f.message) for f in check_texts(resolve(design, EDITIONS[design.native]))]


@pytest.mark.parametrize(
    ("name", "old", "new", "code", "part"),
    [
        # on what
        ("observatory-folio", "and glue it on the front cover", "and glue it on the back cover",
         "place-in-text", "title_plate"),
        ("observatory-folio", "inside the back cover and the [front_inner_mat] inside the front\n",
         "inside the front cover and the [front_inner_mat] inside the back\n",
         "place-in-text", "back_inner_mat"),
        ("observatory-folio", "on the [page], and", "on the [left_tag], and",
         "place-in-text", "page_mat"),
        ("angled-pocket-card", "outside of the left half", "outside of the right half",
         "place-in-text", "cover_mat"),
        ("envelope-liner", "in the middle of the body", "in the middle of the top flap",
         "place-in-text", "address_plate"),
        ("observatory-folio", "    joins: {face: {on_back: band_back.right_lap}}\n", "",
         "place-in-text", "both laps"),
        # which side
        ("observatory-folio", "behind: spine.front_tab", "on: spine.front_tab",
         "side-in-text", "front_cover"),
        ("concertina-boards", "[photo_4] on the back", "[photo_4] on the front",
         "side-in-text", "photo_4"),
        ("hinged-album", "[page_5] on the right side", "[page_5] on the left side",
         "side-in-text", "page_3"),
        ("letter-envelope", "its outside up and the half", "its inside up and the half",
         "side-in-text", "card_front_mat"),
        ("keepsake-box", 'on: "lid.{side}_side"', 'on_back: "lid.{side}_side"',
         "side-in-text", "lid_left_mat"),
        # where
        ("observatory-folio", "flush with its left edge", "flush with its right edge",
         "place-in-text", "spine"),
        ("observatory-folio", "the middle, {turn_under / 2} from", "the middle, {turn_under} from",
         "place-in-text", "ribbon_tie"),
        ("concertina-boards", "{turn_in} beyond every edge", "{overhang} beyond every edge",
         "place-in-text", "front_paper"),
        ("keepsake-box", 'on_back: "tray.{wall}_wall"\n        leaving: reveal',
         'on_back: "tray.{wall}_wall"\n        leaving: 2 * reveal',
         "place-in-text", "tray_front_mat"),
        ("keepsake-box", "stop {tray_wall} above", "stop {lid_wall} above",
         "place-in-text", "lid"),
        ("flap-on-flap", "Glue the [hinge] on the right edge", "Glue the [hinge] on the left edge",
         "place-in-text", "hinge"),
        ("observatory-folio", "{1/2} below\n", "{1 1/2} below\n",
         "place-in-text", "left_flap_photo_mat"),
        ("keepsake-box", "{compartment} from fold", "{divider_foot} from fold",
         "place-in-text", "middle_divider"),
        ("covered-board", "{gap} apart", "{turn_in} apart", "place-in-text", "right_board"),
        ("covered-board", "{turn_in} from the edges", "{gap} from the edges",
         "place-in-text", "left_board"),
        ("observatory-folio", "{tie_length + turn_under} of [satin]", "{tie_length} of [satin]",
         "size-of-another", "ribbon_tie"),
        ("letter-envelope", "{envelope.width x envelope.height}", "9 1/4 in x 10 1/2 in",
         "length-in-text", "height is 11"),
        ("letter-envelope", "{envelope.width x envelope.height}",
         "{envelope.height x envelope.width}", "size-of-another", "envelope"),
        # what tabs stick to
        ("sleeve-tray", "under the front wall", "under the back wall", "section-in-text", "'back'"),
        ("glued-flat-sleeve", "the first\n      wall", "the third\n      wall",
         "section-in-text", "'c'"),
        ("keepsake-box", "to the **inside** of the wall", "to the **outside** of the wall",
         "tape-side-in-text", "the outside"),
        ("keepsake-box", "stick the tabs inside", "stick the tabs outside",
         "tape-side-in-text", "outside"),
        # which way
        ("keepsake-box", "its fold towards the back:", "its fold towards the front:",
         "direction-in-text", "back_divider"),
        ("letter-envelope", "**towards the fold**", "**away from the fold**",
         "direction-in-text", "card_front_mat"),
        ("angled-pocket-card", "lower at the left", "lower at the right",
         "direction-in-text", "pocket"),
        ("roll-up", "at the narrow end", "at the wide end", "direction-in-text", "strip"),
        ("keepsake-box", "over the front and the back wall", "over the left and the right wall",
         "direction-in-text", "lid_ribbon"),
        # glue
        ("observatory-folio", "**No glue under the latch.**", "Put a dot of glue under the latch.",
         "glue-in-text", "latch"),
        ("four-flaps", "on: base_mat, glue: none}", "on: base_mat}", "glue-in-text", "leaf_card"),
        ("envelope-liner", "Fold the side flaps in, without glue.",
         "Fold the side flaps in and tape them down.", "glue-in-text", "left_flap"),
        ("envelope-liner", "      left_flap: none\n", "", "glue-in-text", "left_flap"),
        ("letter-envelope", "**both slanting\n      edges of the bottom flap**",
         "**the upper\n      edge of the bottom flap**", "edges-in-text", "upper edge"),
        ("letter-envelope", "bottom_flap: {left: flap_taper, right: flap_taper}}",
         "bottom_flap: {left: flap_taper}}", "edges-in-text", "both slanting edges"),
        ("letter-envelope", "{bottom_flap - flap_taper} on", "{bottom_flap + flap_taper} on",
         "section-in-text", "bottom_flap"),
        ("envelope-liner", "Fold the side flaps in, without glue.",
         "Run [tape] along the inside of both side flaps and fold them in.",
         "glue-in-text", "left_flap"),
        ("observatory-folio", "to **both** laps, never\n      to the folio",
         "to **both** laps and\n      to the folio", "place-in-text", "band_front"),
        # how many
        ("letter-envelope", "A lined four-flap", "A lined three-flap",
         "count-in-text", "'envelope'"),
        ("pond-paper", "round three printed", "round four printed", "count-in-text", "heron_card"),
        ("keepsake-box", "three dividers\n  part", "two dividers\n  part",
         "count-in-text", "the summary"),
        ("keepsake-box", "the folds of the lid run", "both folds of the lid run",
         "count-in-text", "the note of 'lid'"),
        # what the step handles
        ("keepsake-box", "each: {wall: [front, back, left, right]}",
         "each: {wall: [front, back, left]}", "count-in-text", "four wall mats"),
        ("letter-envelope", "close: envelope.left_flap, envelope.right_flap,",
         "close: envelope.left_flap,", "text-without-operation", "right_flap"),
        ("four-flaps", "tucks: {top_flap: left_flap}", "tucks: {top_flap: right_flap}",
         "direction-in-text", "left flap"),
        ("roll-up", "The [strip] is", "Cut the [strip] from [kitchen]. The [strip] is",
         "stock-in-text", "strip"),
        # what is cut
        ("letter-envelope", "    thumb_notch: {bottom: thumb}\n", "", "section-in-text", "notch"),
        ("keepsake-box", "but\n      leave the glue tabs on:", "and\n      cut the glue tabs off:",
         "section-in-text", "tray"),
        # which end, and what is held
        ("observatory-folio", "from the inside and open its legs on the outside",
         "from the outside and open its legs on the inside", "side-in-text", "latch_brad"),
        ("observatory-folio", "through: latch, back_inner_mat, back_cover",
         "through: back_cover, back_inner_mat, latch", "side-in-text", "latch_brad"),
        ("observatory-folio", "spread its legs flat\n      on the inside",
         "spread its legs flat\n      on the outside", "side-in-text", "front_tie_brad"),
        ("observatory-folio", "keeps the right flap shut", "keeps the left flap shut",
         "direction-in-text", "right_flap"),
        ("observatory-folio", "The mats of the top and\n      bottom flaps",
         "The mats of the left and\n      right flaps", "direction-in-text", "left_flap_cover_mat"),
        ("letter-envelope", "Mat the [address_plate] with the [address_mat].",
         "Glue the [address_plate] on the [address_mat].", "place-in-text", "address_plate"),
        ("letter-envelope", "    size: 6 x 4\n    on: card_inside_mat",
         "    size: 6 x 4\n    on: letter_card.front_half", "place-in-text", "photo_mat"),
        ("letter-envelope", "on_back: letter_card.front_half", "behind: letter_card.front_half",
         "side-in-text", "card_front_mat"),
        # what is inked and shaped
        ("observatory-folio", 'ink: "*_mat"', 'ink: "*_outer_mat, *_inner_mat"',
         "text-without-operation", "all mats"),
        ("observatory-folio", "[top_hinge] and the [bottom_hinge] square until",
         "[left_hinge] and the [right_hinge] square until", "text-without-operation", "left_hinge"),
        ("keepsake-box", "Leave both square until they are scored; shape the\n",
         "Cut the corners out of both at once; shape the\n", "text-in-other-order", "tray"),
    ],
)  # fmt: skip
def test_what_is_said_otherwise_is_found(
    name: str, old: str, new: str, code: str, part: str
) -> None:
    assert any(each == code and part in message for each, message in said(name, old, new))


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        # A clause of another verb does not place the lid.
        ("keepsake-box", "lid_gap: 1/16", "lid_gap: 1/8"),
        # What lies beside a piece on one face may be said to lie on that.
        ("observatory-folio", "glue it on the front cover", "glue it on the [front_outer_mat]"),
        ("envelope-liner", "in the middle of the body", "in the middle of the [envelope]"),
        ("sleeve-tray", "stick the tab inside, under the front wall", "stick the tab inside"),
        ("sleeve-tray", "Fold the [sleeve] round and", "Fold the left side round and"),
        ("glued-flat-sleeve", "wall sticks to the tab", "wall sticks there"),
        ("observatory-folio", "never\n      to the folio", "and not\n      to the folio"),
        ("letter-envelope", "A lined four-flap", "A lined two-sheet"),
        ("letter-envelope", "with room for a photo", "with room for two photos"),
        ("roll-up", "use no glue", "no glue"),
        ("roll-up", "The [strip] is", "Cut the [strip] from [mustard]. The [strip] is"),
        ("keepsake-box", "glue the four wall mats", "glue two wall mats, then the other two"),
        ("observatory-folio", "{3/4} below their upper edges", "{3/4} below the top"),
        ("observatory-folio", "from the inside and open its legs on the outside",
         "with its head inside and spread the legs outside"),
        ("observatory-folio", "keeps the right flap shut", "holds the flaps shut"),
        ("observatory-folio", "all mats, the photo mats too", "all mats and cover mats"),
        ("letter-envelope", "Mat the [address_plate] with the [address_mat].",
         "Glue the [address_mat] on the [address_plate]."),
        ("keepsake-box", "Leave both square until they are scored; shape the\n",
         "Cut the corners of both only when they are scored; shape the\n"),
    ],
)  # fmt: skip
def test_what_is_said_in_other_words_is_left_alone(name: str, old: str, new: str) -> None:
    assert said(name, old, new) == []
