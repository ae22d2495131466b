"""Safety messages in words: those counted, in the catalogue's words or the designer's, and hers.

In: hazards by key, the resolved design and the wording.  Out: :class:`CautionView`.
"""

from __future__ import annotations

from dataclasses import replace

from builder.counts.tools import all_hazards, step_hazards
from builder.design import Design
from builder.documents.content import CautionView
from builder.resolve.resolved import ResolvedDesign
from builder.wording import Hazard, Wording

#: Hazards that the age advice names.
_SMALL = ("small_parts", "magnets")


def caution_view(key: str, resolved: ResolvedDesign, wording: Wording) -> CautionView:
    entry = hazard_of(key, resolved.design, wording)
    numbers = [
        str(number)
        for number, step in enumerate(resolved.design.steps, start=1)
        if key in step_hazards(step, resolved)
    ]
    where = ""
    if numbers:
        where = wording.counted("safety_steps", len(numbers), steps=wording.listed(numbers))
    return CautionView(
        entry.level, entry.signal, entry.title, entry.danger, entry.avoid, entry.short, where
    )


def hazard_of(key: str, design: Design, wording: Wording) -> Hazard:
    """A hazard's wording; a reworded one keeps its signal word, and so what it is worth."""
    for added in design.safety.added:
        if added.key == key:
            signal = wording.signals[added.level]
            return Hazard(
                key, added.level, signal, added.title, added.danger, added.avoid, added.short
            )
    entry = wording.hazards[key]
    own = design.safety.replaced.get(key)
    if own is None:
        return entry
    return replace(
        entry,
        title=own.title or entry.title,
        danger=own.danger or entry.danger,
        avoid=own.avoid or entry.avoid,
        short=own.short or entry.short,
    )


def age_advice(resolved: ResolvedDesign, wording: Wording) -> str:
    """For whom the project is: the designer's words, or the catalogue's; what can be swallowed is
    named whoever words it."""
    words = resolved.design.safety.age or wording.phrase("safety_age")
    if any(hazard in _SMALL for hazard in all_hazards(resolved)):
        words = f"{words} {wording.phrase('safety_age_small')}"
    return words
