"""Safety messages: counted from what is used, reworded and added by the designer, never lost.

Named after ANSI Z535.6 (signal words; grouped, section and embedded messages) and IEC/IEEE 82079-1
(makers' instructions and local rules come first); neither standard's text was opened.
"""

from __future__ import annotations

import pytest

from gatherfold.counts.tools import all_hazards, all_tools, section_hazards, step_hazards
from gatherfold.documents.steps_text import age_advice, caution_view, hazard_of
from gatherfold.editions import check_edition
from gatherfold.findings import Severity
from gatherfold.model.safety import LEVELS
from gatherfold.reading import read_design
from gatherfold.resolve import ResolvedDesign, resolve
from gatherfold.resolve.edition import IMPERIAL
from gatherfold.wording import LANGUAGES, load_wording
from gatherfold.work import pierced

TEXT = """\
title: Safe
units: inch
stocks: {card: {material: cardstock, sheet: 12 in x 12 in}}
supplies:
  tape: {kind: tape, width: 1/4 in}
  gun: {kind: hot glue}
  cement: {kind: solvent glue}
  powder: {kind: embossing powder}
pieces:
  base: {as: panel, from: card, size: 8 x 6}
  tag: {as: tag, from: card, size: 2 x 3, on: base}
fastenings:
  pin: {kind: brad, head: 1/4 in, leg: 1/2 in, through: base}
  clasp: {kind: magnet pair, head: 1/4 in, through: "base, tag"}
steps:
  - {key: cutting, title: Cut, text: Cut., cut: all}
  - {key: gluing, title: Glue, text: "Glue with [cement].", attach: tag}
  - {key: closing, title: Close, text: "Fix the pin with [gun] and [powder].", fasten: pin}
"""

OWN = """\
safety:
  age: For people of twelve and older.
  replace:
    blade: {danger: "Our guillotine cuts fingers.", short: "Two hands on the lever."}
  add:
    wax: {signal: warning, title: Sealing wax, danger: It drips., avoid: [Wait.], short: Wax., \
steps: closing}
    dust: {signal: notice, title: Dust, danger: It spoils the ink., avoid: [Wipe.], short: Wipe.}
  leave_out:
    - {hazard: small_parts, because: "the brads are set in the kit already"}
"""


def resolved_of(text: str) -> ResolvedDesign:
    return pierced(resolve(read_design(text.encode(), "safe.yaml"), IMPERIAL))


def steps_of(resolved: ResolvedDesign) -> list[set[str]]:
    return [set(step_hazards(step, resolved)) for step in resolved.design.steps]


def test_hazards_follow_from_tools_fastenings_and_supplies() -> None:
    resolved = resolved_of(TEXT)
    cut, glue, close = steps_of(resolved)
    assert cut == {"blade"}
    assert glue == {"adhesive", "solvent"}
    assert close == {"piercing", "small_parts", "heat"}
    assert {"hot_glue_gun", "heat_tool"} <= set(all_tools(resolved))


def test_a_supply_that_no_step_names_is_used_by_its_operation() -> None:
    resolved = resolved_of(TEXT.replace("with [cement]", "it").replace("[gun] and", "it and"))
    _, glue, close = steps_of(resolved)
    assert {"solvent", "heat"} <= glue and close == {"piercing", "small_parts", "heat"}


def test_magnets_warn_of_swallowing() -> None:
    """16 CFR 1262 is the reason to warn: magnets that are swallowed."""
    resolved = resolved_of(TEXT.replace("fasten: pin", 'fasten: "pin, clasp"'))
    assert "magnets" in all_hazards(resolved)
    message = caution_view("magnets", resolved, load_wording())
    assert message.signal == "WARNING" and "swallowed" in message.danger


def test_messages_stand_in_the_section_before_the_work_and_in_the_steps() -> None:
    """ANSI Z535.6: grouped messages, section messages, embedded messages."""
    resolved = resolved_of(TEXT)
    assert section_hazards(frozenset({"cut"}), resolved) == ("blade",)
    assert "blade" in all_hazards(resolved) and "blade" in steps_of(resolved)[0]


@pytest.mark.parametrize("language", LANGUAGES)
def test_makers_and_local_rules_come_first(language: str) -> None:
    """IEC/IEEE 82079-1: instructions for tools belong to their makers."""
    wording = load_wording(language)
    maker = {"en": "maker", "de": "Hersteller"}[language]
    assert maker in wording.text["safety_intro"]
    for hazard in ("punch", "adhesive", "heat", "solvent"):
        assert any(maker in rule for rule in wording.hazards[hazard].avoid), hazard


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_level_of_the_standard_has_a_signal_word(language: str) -> None:
    """ANSI Z535.6: DANGER, WARNING, CAUTION for injury, NOTICE not; each has its own word."""
    wording = load_wording(language)
    assert tuple(wording.signals) == LEVELS
    assert len({*wording.signals.values()}) == 4
    for key, hazard in load_wording().hazards.items():
        assert wording.hazards[key].level == hazard.level, "a translation keeps the level"
        assert len(wording.hazards[key].avoid) == len(hazard.avoid), "and every rule"


def test_reworded_messages_keep_their_signal_word_and_what_is_not_reworded() -> None:
    design = read_design((TEXT + OWN).encode(), "safe.yaml")
    entry, plain = hazard_of("blade", design, load_wording()), load_wording().hazards["blade"]
    assert (entry.danger, entry.short) == (
        "Our guillotine cuts fingers.",
        "Two hands on the lever.",
    )
    assert (entry.signal, entry.avoid, entry.title) == (plain.signal, plain.avoid, plain.title)


def test_added_messages_stand_where_they_belong() -> None:
    resolved = resolved_of(TEXT + OWN)
    cut, _, close = steps_of(resolved)
    assert "wax" in close and "wax" not in cut
    assert all_hazards(resolved)[-1] == "dust"
    dust = caution_view("dust", resolved, load_wording("de"))
    assert (dust.signal, dust.level, dust.where) == ("HINWEIS", "notice", "")


def test_a_message_left_out_is_an_advice_with_its_reason_in_every_check() -> None:
    design = read_design((TEXT + OWN).encode(), "safe.yaml")
    checked = check_edition(design, IMPERIAL)
    assert "small_parts" not in all_hazards(checked.resolved)
    (finding,) = [each for each in checked.findings if each.code == "hazard-left-out"]
    assert finding.severity is Severity.ADVICE and "set in the kit already" in finding.message
    assert (
        finding.position.line
        == (TEXT + OWN)
        .splitlines()
        .index('    - {hazard: small_parts, because: "the brads are set in the kit already"}')
        + 1
    )


def test_age_advice_names_what_can_be_swallowed_whoever_words_it() -> None:
    plain, own = resolved_of(TEXT), resolved_of(TEXT + OWN.split("  leave_out")[0])
    assert "adults" in age_advice(plain, load_wording())
    words = age_advice(own, load_wording())
    assert words.startswith("For people of twelve") and "under three" in words
    without = resolved_of(TEXT.replace("fasten: pin", "fold: base"))
    assert "under three" not in age_advice(without, load_wording())
