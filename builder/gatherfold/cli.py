"""The command line: the only place that reads arguments; what they ask for is in
:mod:`gatherfold.commands`.  Exit statuses:

0: done, no errors in the design's fit; 1: errors in the fit; 2: the design, a layout or the
command cannot be read.
"""

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import gatherfold
from gatherfold import commands

_VERSION = f"gatherfold {gatherfold.__version__}"
#: More kits than this are no class: plan them in several.
MOST_KITS = 60

_ABOUT = """\
Turns one design (a YAML file) into a pattern: cut lists, sheet maps, drawings, supplies, cautions
and steps, typeset as PDF in inches on Letter and in millimetres on A4.

A first pattern in three commands:

  gatherfold start my-folio                   a design to start from, in my-folio.yaml
  gatherfold check my-folio.yaml              does everything fit, in both unit systems?
  gatherfold build my-folio.yaml --out out    out/my-folio-imperial.pdf, -metric.pdf and .json
"""

_BUILD = """\
Examples:

  gatherfold build folio.yaml --out out
  gatherfold build folio.yaml --out out --edition metric
  gatherfold build folio.yaml --out out --set panel_width="9 in" --set reveal="1/4 in"
  gatherfold build folio.yaml --out class --kits 12 --layout pattern,handout,bench
  gatherfold build folio.yaml --out class --layout handout --side-by-side
  gatherfold build folio.yaml --out out --machine-files

A size set here replaces the formula of that measure; everything that depends on it follows. When
the design does not fit, nothing is written; --draft writes pages that are marked as a draft, and
no files for a machine.
"""


_CHECK = """\
Errors come first, then warnings, advice, and advice that the design accepts:

  accepted:
    - {advice: no-dry-fit, about: spine, because: "the class lays it in a jig"}

Errors and warnings cannot be accepted. The proof sheet is for the designer, not for the buyer: for
each edition the findings, what fits where and with what margin, the gaps when closed, how far
conversion departs, and the sheets. It is written even when the design does not fit.

  gatherfold check folio.yaml --proof folio-proof.pdf --json folio-proof.json
"""


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command and give its exit status."""
    given = sys.argv[1:] if arguments is None else arguments
    if list(given) == ["--version"]:
        # The parser asks for the names of editions, and with them for the model and geometry.
        print(_VERSION)
        return commands.DONE
    options = _parser().parse_args(given)
    try:
        status: int = options.run(options)
        return status
    except gatherfold.DesignUnreadable as problem:
        commands.print_findings(problem.findings)
        return commands.UNREADABLE
    except (commands.Stop, gatherfold.NoSuchName, gatherfold.DocumentProblem) as reason:
        print(f"gatherfold: {reason}", file=sys.stderr)
        return commands.UNREADABLE
    except OSError as problem:
        what = problem.filename or ""
        print(f"gatherfold: {what}: {problem.strerror or problem}", file=sys.stderr)
        return commands.UNREADABLE
    except KeyboardInterrupt:
        print("gatherfold: stopped; nothing was written", file=sys.stderr)
        return commands.UNREADABLE


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="gatherfold",
        description=_ABOUT,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.add_argument("--version", action="version", version=_VERSION)
    chosen = parser.add_subparsers(title="commands", required=True, metavar="COMMAND")
    _add_build(chosen)
    _add_check(chosen)
    _add_start(chosen)
    _add_compare(chosen)
    return parser


def _add_design_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("design", type=Path, metavar="DESIGN.yaml", help="the design file")
    parser.add_argument(
        "--edition",
        choices=(*gatherfold.EDITION_NAMES, "both"),
        default="both",
        help="the unit system (default: both)",
    )
    parser.add_argument(
        "--kits",
        type=_kits,
        default=1,
        metavar="N",
        help="plan the sheets for so many kits together, such as a class of 12 (default: 1)",
    )
    parser.add_argument(
        "--all", action="store_true", help="also list what follows from another finding"
    )
    parser.add_argument(
        "--set",
        action="append",
        default=[],
        metavar='NAME="VALUE"',
        help="replace the value of a measure; may be given several times",
    )


def _add(
    chosen: Any, run: Callable[[argparse.Namespace], int], help: str, about: str, epilog: str = ""
) -> argparse.ArgumentParser:
    """A command that is called as the function that runs it."""
    parser: argparse.ArgumentParser = chosen.add_parser(
        run.__name__,
        help=help,
        description=about,
        epilog=epilog,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    parser.set_defaults(run=run)
    return parser


def _add_build(chosen: Any) -> None:
    what = "the PDF editions and the JSON of everything computed"
    build = _add(chosen, commands.build, f"make {what}", f"Makes {what}.", _BUILD)
    _add_design_options(build)
    build.add_argument("--out", type=Path, default=Path(), metavar="DIR", help="output folder")
    build.add_argument(
        "--layout",
        metavar="NAME,...",
        help=f"layouts, with commas between them: {', '.join(gatherfold.layout_names())}, or a "
        "folder beside the design (default: what the design names, else pattern)",
    )
    build.add_argument(
        "--side-by-side",
        action="store_true",
        help="make one more document with inches and millimetres in two columns",
    )
    build.add_argument(
        "--paper", choices=gatherfold.PAPER_NAMES, help="print every edition on this paper instead"
    )
    build.add_argument(
        "--draft", action="store_true", help="build although the design does not fit; marks pages"
    )
    build.add_argument(
        "--html", action="store_true", help="write the composed HTML of each edition as well"
    )
    build.add_argument(
        "--machine-files",
        action="store_true",
        help="write SVG and DXF files of every sheet and piece for a cutting machine as well",
    )


def _add_check(chosen: Any) -> None:
    check = _add(
        chosen,
        commands.check,
        "say what does not fit, without building anything",
        "Resolves the design, plans its sheets and says what does not fit.",
        _CHECK,
    )
    _add_design_options(check)
    check.add_argument(
        "--proof", type=Path, metavar="FILE.pdf", help="write the proof sheet, errors or not"
    )
    check.add_argument(
        "--json", type=Path, metavar="FILE.json", help="write findings and figures as JSON"
    )


def _add_start(chosen: Any) -> None:
    about = "Copies a shipped design to NAME.yaml, for you to change."
    start = _add(chosen, commands.start, "begin a design from a shipped one", about)
    start.add_argument("name", metavar="NAME", help="the new design's name")
    start.add_argument(
        "--from",
        dest="source",
        default="observatory-folio",
        metavar="SHIPPED",
        help=f"one of: {', '.join(gatherfold.design_names())}",
    )


def _add_compare(chosen: Any) -> None:
    about = "Says which measures and pieces differ between two designs or revisions."
    what = "say what changed between two designs, piece by piece"
    parser = _add(chosen, commands.compare, what, about)
    parser.add_argument("old", type=Path, metavar="OLD.yaml")
    parser.add_argument("new", type=Path, metavar="NEW.yaml")
    parser.add_argument(
        "--edition", choices=gatherfold.EDITION_NAMES, help="default: the new design's own"
    )


def _kits(text: str) -> int:
    """How many kits: a whole number that a class could need."""
    if text.isdecimal() and text.isascii() and len(text) < 4 and 1 <= int(text) <= MOST_KITS:
        return int(text)
    raise argparse.ArgumentTypeError(f"write a whole number from 1 to {MOST_KITS}, not '{text}'")
