"""Pictures that steps name must be there: the one check of a design that looks at the disk."""

from pathlib import Path

from gatherfold.findings import Finding, error
from gatherfold.model import Design

_KINDS = (".jpg", ".jpeg", ".png", ".svg")


def check_pictures(design: Design) -> list[Finding]:
    """A finding for each picture that is missing or of a kind that cannot be placed."""
    folder = Path(design.file).parent
    findings = []
    for step in design.steps:
        if step.picture is None:
            continue
        position = step.places.get(("picture", step.picture), step.position)
        if Path(step.picture).suffix.lower() not in _KINDS:
            message = f"'{step.picture}' is no picture that can be placed"
            remedy = f"Use one of: {', '.join(_KINDS)}."
            findings.append(error("picture-kind", position, message, remedy))
        elif not _is_there(folder / step.picture):
            message = f"the picture '{step.picture}' is not there"
            remedy = f"Put it beside the design, in {folder}, or mend its name."
            findings.append(error("missing-picture", position, message, remedy))
    return findings


def picture_bytes(design: Design) -> dict[str, bytes]:
    """The pictures that steps place, by the name they are placed by; OSError where one is gone."""
    folder = Path(design.file).parent
    names = {step.picture for step in design.steps if step.picture is not None}
    return {name: (folder / name).read_bytes() for name in sorted(names)}


def _is_there(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # a name longer than the disk allows
        return False
