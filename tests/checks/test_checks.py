"""Checks find the mistake they are for, at its line, and leave the shipped designs alone."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import pytest

from builder.build import check_edition
from builder.reading import read_design, read_design_file
from builder.resolve.edition import EDITIONS, IMPERIAL
from builder.shipped import DESIGNS

FOLIO = DESIGNS / "observatory-folio.yaml"


@dataclass(frozen=True)
class Fault:
    """One mistake seeded into the shipped folio: what is replaced, and what must be found."""

    name: str
    old: str
    new: str
    code: str
    names: str


FAULTS = (
    Fault(
        "tag as wide as its pocket",
        "tag_width: side_flap.width - 2 * reveal - 2 * tape - 2 * ease",
        "tag_width: side_flap.width - 2 * reveal",
        "insert-too-wide",
        "left_tag",
    ),
    Fault(
        "pocket glued shut",
        "glue: left, bottom, right\n  front_pocket_mat",
        "glue: all\n  front_pocket_mat",
        "closed-pocket",
        "front_pocket",
    ),
    Fault(
        "cover mat not turned", "turned: 180", "turned: 0", "sideways-print", "top_flap_cover_mat"
    ),
    Fault(
        "strip wider than its place",
        'height: end_flap.height\n        on: "{end}_flap"\n        left: 0',
        'height: end_flap.height + 1\n        on: "{end}_flap"\n        left: 0',
        "overhang",
        "top_flap_left_strip",
    ),
    Fault(
        "never scored",
        "score: spine, *_hinge, band_back",
        "score: spine, *_hinge",
        "never-scored",
        "band_back",
    ),
    Fault(
        "placed twice",
        "attach: spine, front_cover",
        "attach: spine, front_cover, page_mat",
        "placed-twice",
        "page_mat",
    ),
    Fault("nothing cut", "    cut: all\n", "    cut: spine\n", "used-before-cut", "front_cover"),
    Fault("latch never fastened", "    fasten: latch_brad\n", "", "never-fastened", "latch_brad"),
    Fault(
        "a third of a panel",
        "pocket_depth: 3 1/2",
        "pocket_depth: panel_height / 3",
        "off-grid",
        "left_pocket",
    ),
    Fault(
        "tag standing on its pocket's tape",
        'inside: "{side}_pocket"\n        bottom: tape',
        'inside: "{side}_pocket"\n        bottom: 1/8',
        "insert-on-glue",
        "left_tag",
    ),
    Fault(
        "a careless cutter",
        "units: inch\n",
        "units: inch\ntolerance: 1/4 in\n",
        "insert-too-wide",
        "left_tag",
    ),
    Fault(
        "card too thick for the spine",
        "weight: 80 lb cover",
        "weight: 80 lb cover\n    caliper: 3 mm",
        "gap-too-small",
        "spine",
    ),
    Fault(
        "latch brad at the edge",
        "pivot: yes",
        "bottom: 1/16\n    pivot: yes",
        "hole-near-edge",
        "latch_brad",
    ),
    Fault(
        "legs too short",
        "leg: 3/8 in\n    through: latch",
        "leg: 1/8 in\n    through: latch",
        "legs-too-short",
        "latch_brad",
    ),
    Fault(
        "a layer left out",
        "through: latch, back_inner_mat, back_cover",
        "through: latch, back_cover",
        "layer-not-pierced",
        "back_inner_mat",
    ),
    Fault(
        "no tape",
        "  tape_roll: {name: Double-sided tape, kind: tape, width: 1/4 in, roll: 1000 in}\n",
        "",
        "no-adhesive",
        "",
    ),
    Fault(
        "brads behind the mats",
        "attach: spine, front_cover\n",
        "attach: spine, front_cover, front_inner_mat, front_outer_mat\n",
        "fastened-too-late",
        "front_inner_mat",
    ),
    Fault(
        "cover larger than the sheet",
        "panel_height: 11",
        "panel_height: 13",
        "larger-than-sheet",
        "back_cover",
    ),
)


@pytest.mark.parametrize("fault", FAULTS, ids=lambda fault: fault.name)
def test_a_seeded_mistake_is_found(fault: Fault) -> None:
    text = FOLIO.read_text()
    assert fault.old in text, "the fault no longer applies to the folio"
    design = read_design(text.replace(fault.old, fault.new, 1).encode(), "folio.yaml")
    findings = check_edition(design, IMPERIAL).findings
    matching = [
        f
        for f in findings
        if f.code == fault.code and (f"'{fault.names}'" in f.message or not fault.names)
    ]
    assert matching, [str(finding) for finding in findings]
    assert all(finding.position.line > 1 for finding in matching)


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.parametrize("edition", EDITIONS.values(), ids=lambda edition: edition.name)
def test_shipped_designs_have_no_finding(path: Path, edition) -> None:  # type: ignore[no-untyped-def]
    assert check_edition(read_design_file(path), edition).findings == ()
