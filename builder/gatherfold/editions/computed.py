"""Everything computed for one edition: what its documents and its record are made of.

In: a checked edition.  Out: :class:`Computed`.
"""

from dataclasses import dataclass, replace

from gatherfold.counts import (
    CutRow,
    SheetSubstitute,
    SupplyLine,
    cut_list,
    sheet_substitutes,
    supplies,
)
from gatherfold.editions.checked import Checked
from gatherfold.resolve import EDITIONS, ResolvedDesign
from gatherfold.wording import Wording, load_wording


@dataclass(frozen=True, kw_only=True)
class Computed(Checked):
    """One edition, computed: what the document is made of."""

    rows: tuple[CutRow, ...]
    supplies: tuple[SupplyLine, ...]
    substitutes: tuple[SheetSubstitute, ...] = ()
    is_draft: bool = False


def computed_of(checked: Checked, is_draft: bool = False) -> Computed:
    """Everything computed for an edition but the other sheets that would do."""
    return Computed(
        **vars(checked),
        rows=cut_list(checked.resolved),
        supplies=supplies(checked.resolved, checked.plans, checked.kits),
        is_draft=is_draft,
    )


def computed_in_language(checked: Checked, is_draft: bool = False) -> Computed:
    """Everything computed, its lengths written as the language of its documents writes them."""
    resolved = in_language(checked.resolved, load_wording(checked.resolved.design.language))
    computed = computed_of(replace(checked, resolved=resolved), is_draft)
    return replace(computed, substitutes=sheet_substitutes(resolved))


def in_language(resolved: ResolvedDesign, wording: Wording) -> ResolvedDesign:
    """The design with its lengths written as the language of its documents writes them.

    Findings are written before this: they are for the designer, and in English.
    """
    edition = resolved.edition
    others = [each.units for each in EDITIONS.values() if each.units.unit != edition.units.unit]
    written = replace(
        edition, units=wording.units(edition.units), other_units=wording.units(others[0])
    )
    return replace(resolved, edition=written)
