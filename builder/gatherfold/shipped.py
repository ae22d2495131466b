"""Where the layouts and designs that come with Gatherfold are, installed or in a checkout."""

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def _shipped_folder(name: str) -> Path:
    """Beside the code in an installed package, at the top of the repository in a checkout."""
    installed = _PACKAGE / "shipped" / name
    return installed if installed.is_dir() else _PACKAGE.parents[1] / name


LAYOUTS = _shipped_folder("layouts")
#: The layout of the designer's own proof sheet; no pattern is built with it.
PROOF_LAYOUT = LAYOUTS / "proof"
#: What all layouts share, as their templates and stylesheets name it.
COMMON_FOLDER = "common"
COMMON = LAYOUTS / COMMON_FOLDER
#: What a layout's folder must have.
MAIN_TEMPLATE = "document.html.j2"
#: The layout whose files are named by the design and the edition alone.
PATTERN = "pattern"
DESIGNS = _shipped_folder("designs")


def layout_names() -> list[str]:
    """Name the layouts a pattern can be built with.

    >>> "pattern" in layout_names()
    True
    """
    folders = (path for path in LAYOUTS.iterdir() if path != PROOF_LAYOUT)
    return sorted(path.name for path in folders if (path / "style.css").is_file())


def design_names() -> list[str]:
    """Name the designs that come with the package.

    >>> "letter-envelope" in design_names()
    True
    """
    return sorted(path.stem for path in DESIGNS.glob("*.yaml"))


def find_layout(name: str, beside: Path) -> Path | None:
    """The folder of a shipped layout, or of a designer's own given by its path.

    A relative path is taken from the folder of the design, ``beside``.
    """
    shipped = LAYOUTS / name
    if name in layout_names():
        return shipped
    own = beside / name
    return own if own.is_dir() else None
