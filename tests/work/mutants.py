"""How much the tests of the work notice: small faults put into it one by one.

In: a seed and how many.  Out: which faults no test in ``tests/work`` notices, and how many of each
module are noticed.  As a command, ``python -m tests.work.mutants``.

Faults are spread over all functions of ``gatherfold.work``, and of the geometry that it uses, in
proportion to their lines: a comparison turned round, one more or one less, another sign, ``and``
for ``or``, two arguments exchanged, a dropped ``not``, nothing returned, a statement left out.
Each is tried in a process of its own; two at a time.  The tests that are soon done run first, the
others where those notice nothing.  What nobody can notice is listed, with the reason, in
``equivalent_mutants.txt``.
"""

from __future__ import annotations

import argparse
import ast
import copy
import importlib
import itertools
import os
import random
import signal
import sys
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec
from importlib.util import spec_from_loader
from pathlib import Path
from types import ModuleType
from typing import Literal

ROOT = Path(__file__).parents[2]
WORK = ROOT / "builder/gatherfold/work"
EQUIVALENT = Path(__file__).with_name("equivalent_mutants.txt")
#: The functions outside of the work that it uses; None is all of a module.
GEOMETRY: dict[str, frozenset[str] | None] = {
    "builder/gatherfold/geometry/pose.py": frozenset(
        {"apply", "then", "_moved", "_along", "_product", "_row", "shifted", "turned", "flipped"}
    ),
    "builder/gatherfold/geometry/edges.py": frozenset({"is_vertical"}),
    "builder/gatherfold/geometry/outline.py": frozenset({"flattened", "_chords", "contains"}),
    "builder/gatherfold/resolve/resolved.py": frozenset({"folds_outward"}),
}
#: Which tests are most likely to notice a fault of a module: they run first.
NEAREST: dict[str, tuple[str, ...]] = {
    "pose.py": ("test_poses.py",),
    "edges.py": ("test_poses.py",),
    "outline.py": ("test_poses.py",),
    "resolved.py": ("test_poses.py",),
    "space.py": ("test_poses.py", "test_small_parts.py"),
    "regions.py": ("test_regions.py", "test_small_parts.py"),
    "paths.py": ("test_path_depths.py", "test_paths.py", "test_small_parts.py"),
    "parts.py": ("test_poses.py", "test_ready_parts.py", "test_small_plays.py"),
    "putting.py": ("test_ways_in.py", "test_small_parts.py"),
    "turning.py": ("test_turning.py", "test_ways_in.py", "test_fastened_layers.py"),
    "closing.py": ("test_closing.py",),
    "piercing.py": ("test_fastened_layers.py",),
    "layers.py": ("test_open_and_at_rest.py", "test_fastened_layers.py"),
    "finished.py": ("test_open_and_at_rest.py", "test_fastened_layers.py", "test_resting.py"),
    "glue_areas.py": ("test_open_and_at_rest.py", "test_glue_areas.py"),
    "replaying.py": ("test_replaying.py",),
    "play.py": ("test_small_plays.py", "test_structures.py"),
    "moving.py": ("test_small_plays.py", "test_structures.py"),
    "placing.py": ("test_small_plays.py", "test_structures.py"),
    "moments.py": ("test_small_plays.py", "test_structures.py"),
}
#: The tests of small works and of what a maker knows; then those that ask everything.
FIRST = (
    "test_small_parts.py", "test_poses.py", "test_ready_parts.py", "test_fastened_layers.py",
    "test_open_and_at_rest.py", "test_small_plays.py", "test_ways_in.py", "test_turning.py",
    "test_closing.py", "test_pieces.py", "test_structures.py",
)  # fmt: skip
REST = (
    "test_path_depths.py", "test_resting.py", "test_layers_in_parts.py", "test_gaps.py",
    "test_glue_areas.py", "test_replaying.py", "test_regions.py",
    "test_agreement.py", "test_layers.py",
)  # fmt: skip
#: The largest designs take as long as all others together, and so does the oracle on whole ones.
_LARGE = ("observatory-folio", "keepsake-box", "letter-envelope", "covered-board", "hinged-album")
_LEFT_OUT = (*_LARGE, "every_turn", "other_turns", "whole_units")
#: Far longer than the tests take: what takes longer goes round for ever.
LONGEST = 90
Outcome = Literal["killed at once", "killed", "for ever", "survived"]
_CODES: dict[int, Outcome] = {0: "survived", 1: "killed at once", 2: "killed", 3: "for ever"}


@dataclass(frozen=True)
class Mutant:
    """A fault: the number-th one that can be put into a module."""

    module: str
    function: str
    line: int
    number: int
    what: str

    @property
    def label(self) -> str:
        """Something to know it by when lines have moved."""
        return f"{self.module} {self.function}: {self.what}"


# ---- which faults there are


_COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
}
_OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Add,
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
}
#: Functions that give the same whichever of their arguments comes first.
_EITHER_WAY = frozenset({"min", "max", "math.hypot", "whole"})
#: Makes a changed copy of a node; a statement may give several statements.
Change = Callable[[ast.AST], ast.AST]


def _changes(node: ast.AST) -> Iterator[tuple[str, Change]]:
    """The faults that can be put into one node."""
    match node:
        case ast.Compare(ops=[operator]) if type(operator) in _COMPARISONS:
            yield "comparison", _with_comparison
            if isinstance(operator, ast.Lt | ast.LtE | ast.Gt | ast.GtE):
                yield "turned comparison", _turned_comparison
        case ast.BinOp(op=operator) if type(operator) in _OPERATORS:
            yield "operator", _with_operator
        case ast.UnaryOp(op=ast.USub() | ast.Not()):
            yield "without sign or not", lambda n: n.operand  # type: ignore[attr-defined]
        case ast.BoolOp():
            yield "and or", _with_other_junction
        case ast.Constant(value=bool()):
            yield "true false", lambda n: ast.Constant(not n.value)  # type: ignore[attr-defined]
        case ast.Constant(value=int()):
            yield "one more", lambda n: ast.Constant(n.value + 1)  # type: ignore[attr-defined]
            yield "one less", lambda n: ast.Constant(n.value - 1)  # type: ignore[attr-defined]
        case ast.Call(func=function, args=[first, second, *_]) if not (
            _is_starred(first, second) or ast.unparse(function) in _EITHER_WAY
        ):
            yield "exchanged arguments", _with_exchanged_arguments
        case ast.IfExp():
            yield "exchanged branches", _with_exchanged_branches
        case ast.Return(value=ast.expr()):
            yield "nothing returned", lambda _: ast.Return(ast.Constant(None))
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.AugAssign():
            yield "left out", _left_out
        case ast.Assign(targets=[ast.Subscript() | ast.Attribute()]):
            yield "left out", _left_out
        case ast.If(orelse=[]) | ast.Continue() | ast.Break():
            yield "left out", _left_out
        case _:
            pass


def _is_starred(*nodes: ast.AST) -> bool:
    return any(isinstance(node, ast.Starred) for node in nodes)


def _is_strict(node: ast.AST) -> bool:
    return isinstance(node, ast.keyword) and node.arg == "strict"


def _with_comparison(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.Compare)
    node.ops = [_COMPARISONS[type(node.ops[0])]()]
    return node


def _turned_comparison(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.Compare)
    node.left, node.comparators = node.comparators[0], [node.left]
    return node


def _with_operator(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.BinOp)
    node.op = _OPERATORS[type(node.op)]()
    return node


def _with_other_junction(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.BoolOp)
    node.op = ast.Or() if isinstance(node.op, ast.And) else ast.And()
    return node


def _with_exchanged_arguments(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.Call)
    node.args = [node.args[1], node.args[0], *node.args[2:]]
    return node


def _with_exchanged_branches(node: ast.AST) -> ast.AST:
    assert isinstance(node, ast.IfExp)
    node.body, node.orelse = node.orelse, node.body
    return node


def _left_out(node: ast.AST) -> ast.AST:
    return ast.Pass()


def _functions(tree: ast.Module) -> Iterator[ast.FunctionDef]:
    """The functions of a module and the methods of its classes, outermost ones."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef):
            yield node
        elif isinstance(node, ast.ClassDef):
            yield from (each for each in node.body if isinstance(each, ast.FunctionDef))


def _nodes(function: ast.FunctionDef) -> Iterator[tuple[ast.AST, str, int | None, ast.AST]]:
    """Every node within a function, with what holds it and where; not its annotations, nor what
    only says that something cannot be: an assertion, or ``strict`` of two of one length."""
    waiting: list[ast.AST] = [function]
    while waiting:
        parent = waiting.pop()
        for field, value in ast.iter_fields(parent):
            if field in ("annotation", "returns", "decorator_list", "type_params"):
                continue
            if parent is function and field == "args":
                continue
            for index, child in _children(value):
                if isinstance(child, ast.Assert) or _is_never(child) or _is_strict(child):
                    continue
                yield parent, field, index, child
                waiting.append(child)


def _children(value: object) -> Iterator[tuple[int | None, ast.AST]]:
    if isinstance(value, ast.AST):
        yield None, value
    elif isinstance(value, list):
        yield from ((n, each) for n, each in enumerate(value) if isinstance(each, ast.AST))


def _is_never(node: ast.AST) -> bool:
    return isinstance(node, ast.match_case) and "assert_never" in ast.unparse(node)


def _sites(tree: ast.Module) -> list[tuple[ast.FunctionDef, ast.AST, str, int | None, str, Change]]:
    """All faults of a module, in one order."""
    found = []
    for function in _functions(tree):
        sites = []
        for parent, field, index, child in _nodes(function):
            for what, change in _changes(child):
                sites.append((function, parent, field, index, what, change))
        found += sorted(sites, key=lambda site: _place(site[1], site[2], site[3]))
    return found


def _place(parent: ast.AST, field: str, index: int | None) -> tuple[int, int]:
    child = _child(parent, field, index)
    return getattr(child, "lineno", 0), getattr(child, "col_offset", 0)


def _child(parent: ast.AST, field: str, index: int | None) -> ast.AST:
    value = getattr(parent, field)
    child: ast.AST = value if index is None else value[index]
    return child


def mutants_of(module: str, names: frozenset[str] | None = None) -> list[Mutant]:
    """All faults that can be put into a module, or into some functions of it."""
    tree = ast.parse((ROOT / module).read_text())
    found = []
    for number, (function, parent, field, index, what, change) in enumerate(_sites(tree)):
        if names is not None and function.name not in names:
            continue
        child = _child(parent, field, index)
        line = getattr(child, "lineno", function.lineno)
        before = ast.unparse(child)
        after = ast.unparse(ast.fix_missing_locations(change(copy.deepcopy(child))))
        text = f"{what}: {_short(before)} → {_short(after)}"
        found.append(Mutant(module, function.name, line, number, text))
    return found


def _short(text: str) -> str:
    line = " ".join(text.split())
    return line if len(line) < 70 else line[:67] + "..."


def mutated(mutant: Mutant) -> ast.Module:
    """The module with a fault in it."""
    tree = ast.parse((ROOT / mutant.module).read_text())
    _, parent, field, index, _, change = _sites(tree)[mutant.number]
    child = change(_child(parent, field, index))
    if index is None:
        setattr(parent, field, child)
    else:
        getattr(parent, field)[index] = child
    return ast.fix_missing_locations(tree)


def chosen(seed: int, count: int) -> list[Mutant]:
    """So many faults, spread over all functions by their lines."""
    modules: dict[str, frozenset[str] | None] = {
        str(path.relative_to(ROOT)): None for path in sorted(WORK.glob("*.py"))
    }
    by_function: list[tuple[int, list[Mutant]]] = []
    for module, names in {**modules, **GEOMETRY}.items():
        tree = ast.parse((ROOT / module).read_text())
        every = mutants_of(module, names)
        for function in _functions(tree):
            own = [
                each
                for each in every
                if each.function == function.name
                and function.lineno <= each.line <= (function.end_lineno or function.lineno)
            ]
            if own:
                by_function.append(((function.end_lineno or 0) - function.lineno + 1, own))
    lines = sum(length for length, _ in by_function)
    found: list[Mutant] = []
    due = random.Random(seed).random()
    for length, own in by_function:
        due += length * count / lines
        wanted = min(int(due), len(own))
        due -= int(due)
        # What is drawn for one function stays when another one is changed.
        drawn = random.Random(f"{seed} {own[0].module} {own[0].function}")
        found += drawn.sample(own, wanted)
    # To return nothing instead of nothing is no fault.
    return [each for each in found if "return None → return None" not in each.what]


# ---- trying one


def _import_name(module: str) -> str:
    """The name by which the module of a path in the repository is imported."""
    path = module.removeprefix("builder/").removesuffix(".py").removesuffix("/__init__")
    return path.replace("/", ".")


class _Faulty(MetaPathFinder, Loader):
    """Imports one module with its fault."""

    def __init__(self, mutant: Mutant) -> None:
        self._name = _import_name(mutant.module)
        self._path = str(ROOT / mutant.module)
        self._code = compile(mutated(mutant), self._path, "exec")

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != self._name:
            return None
        is_package = self._path.endswith("__init__.py")
        spec = spec_from_loader(fullname, self, origin=self._path, is_package=is_package)
        if spec is not None and is_package:
            spec.submodule_search_locations = [str(Path(self._path).parent)]
        return spec

    def exec_module(self, module: ModuleType) -> None:
        exec(self._code, module.__dict__)


def _prepare() -> None:
    """Import all that the work is not a part of, and what it is given."""
    import numpy
    import pytest
    import shapely

    from tests.work import hand_made, oracle
    from tests.work.designs import DESIGNS, resolved_of
    from tests.work.random_works import random_answers

    assert numpy and pytest and shapely and hand_made and oracle
    for file in DESIGNS:
        resolved_of(file)
    random_answers(seed=7, each=8)
    assert not any(name.startswith("gatherfold.work") for name in sys.modules)


def _forget() -> None:
    """Forget all of the program, so that it is imported again."""
    without = ("oracle", "made", "random_works", "hand_made", "mutants")
    kept = {f"tests.work.{name}" for name in without} | {"tests", "tests.work", "__main__"}
    for name in list(sys.modules):
        if name.split(".")[0] in ("gatherfold", "tests") and name not in kept:
            del sys.modules[name]


def _tried(mutant: Mutant | None) -> int:
    """Run the tests in this process, with a fault; give the code of what came of it."""
    if mutant is not None:
        if not mutant.module.startswith("builder/gatherfold/work/"):
            _forget()
        sys.meta_path.insert(0, _Faulty(mutant))
    name = Path(mutant.module).name if mutant is not None else ""
    done: set[str] = set()
    for code, files in ((1, NEAREST.get(name, ())), (1, FIRST), (2, REST)):
        for file in (file for file in files if file not in done):
            done.add(file)
            if not _passes(file.removesuffix(".py"), _LEFT_OUT if code == 2 else ()):
                return code
    return 0


def _passes(file: str, left_out: Sequence[str]) -> bool:
    """Whether all tests of a file pass; called as they are, for that is soon done."""
    try:
        module = importlib.import_module(f"tests.work.{file}")
        for name, test in vars(module).items():
            if not name.startswith("test_") or any(each in name for each in left_out):
                continue
            for arguments in _arguments(test):
                words = " ".join(str(value) for value in arguments.values())
                if not any(each in words for each in left_out):
                    test(**arguments)
    except BaseException:
        traceback.print_exc()
        return False
    return True


def _arguments(test: object) -> Iterator[dict[str, object]]:
    """What a test is called with, by its parameters."""
    marks = [m for m in getattr(test, "pytestmark", ()) if m.name == "parametrize"]
    columns = []
    for mark in marks:
        names, rows = mark.args[0], mark.args[1]
        several = not isinstance(names, str)
        keys = tuple(names) if several else (names,)
        columns.append([dict(zip(keys, row if several else (row,), strict=True)) for row in rows])
    for rows in itertools.product(*columns):
        yield {key: value for row in rows for key, value in row.items()}


def _started(mutant: Mutant | None, log: Path) -> int:
    """Try a fault in a new process."""
    pid = os.fork()
    if pid:
        return pid
    try:
        os.setsid()
        sink = os.open(log, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
        os.dup2(sink, 1)
        os.dup2(sink, 2)
        os._exit(_tried(mutant))
    except BaseException:
        os._exit(1)


def _all_tried(mutants: Sequence[Mutant], logs: Path) -> Iterator[tuple[Mutant, Outcome, float]]:
    """Try all, two at a time."""
    waiting = list(enumerate(mutants))
    running: dict[int, tuple[Mutant, float]] = {}
    while waiting or running:
        while waiting and len(running) < 2:
            number, mutant = waiting.pop(0)
            running[_started(mutant, logs / f"{number}.log")] = mutant, time.monotonic()
        pid, status = os.waitpid(-1, os.WNOHANG)
        if pid in running:
            mutant, start = running.pop(pid)
            code = os.waitstatus_to_exitcode(status)
            yield mutant, _CODES.get(code, "killed at once"), time.monotonic() - start
            continue
        for late, (mutant, start) in list(running.items()):
            if time.monotonic() - start > LONGEST:
                os.killpg(late, signal.SIGKILL)
                os.waitpid(late, 0)
                del running[late]
                yield mutant, "for ever", time.monotonic() - start
        time.sleep(0.05)


# ---- the command


def equivalent() -> dict[str, str]:
    """The faults that nobody can notice, with the reason of each."""
    found = {}
    if EQUIVALENT.exists():
        for line in EQUIVALENT.read_text().splitlines():
            if line.strip() and not line.startswith("#"):
                label, _, why = line.partition(" — ")
                found[label.strip()] = why.strip()
    return found


def _summary(found: Sequence[tuple[Mutant, Outcome]], excused: dict[str, str]) -> bool:
    """Print how many faults of each module were noticed; whether that is enough."""
    whole, killed, argued = Counter[str](), Counter[str](), Counter[str]()
    for mutant, outcome in found:
        is_argued = outcome == "survived" and mutant.label in excused
        argued[mutant.module] += is_argued
        whole[mutant.module] += not is_argued
        killed[mutant.module] += outcome != "survived"
    print(f"{'module':34s} {'faults':>6s} {'killed':>6s} {'share':>6s} equivalent")
    for module in sorted(whole):
        share = killed[module] / max(whole[module], 1)
        numbers = f"{whole[module]:6d} {killed[module]:6d} {share:6.0%} {argued[module]}"
        print(f"{module:34s} {numbers}")
    share = killed.total() / max(whole.total(), 1)
    numbers = f"{whole.total():6d} {killed.total():6d} {share:6.1%} {argued.total()}"
    print(f"{'together':34s} {numbers}")
    least = min((killed[m] / whole[m] for m in whole if whole[m]), default=1.0)
    return share >= 0.9 and least >= 0.8


def main(arguments: list[str] | None = None) -> int:
    """Put faults into the work and say which ones no test notices."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=320)
    parser.add_argument("--module", help="only the faults of one module")
    parser.add_argument("--label", help="only the faults whose label has this in it")
    parser.add_argument("--all", action="store_true", help="every fault, not a choice of them")
    parser.add_argument("--start", type=int, default=0, help="leave out so many of them")
    parser.add_argument("--again", type=Path, help="only those that survived, by an earlier report")
    parser.add_argument("--logs", type=Path, default=Path("mutants"))
    asked = parser.parse_args(arguments)
    mutants = chosen(asked.seed, asked.count)
    if asked.all:
        modules = sorted(str(p.relative_to(ROOT)) for p in WORK.glob("*.py"))
        mutants = [m for module in modules for m in mutants_of(module)]
    mutants = mutants[asked.start :]
    if asked.module:
        mutants = [each for each in mutants if each.module.endswith(asked.module)]
    if asked.label:
        mutants = [each for each in mutants if asked.label in each.label]
    if asked.again:
        survived = asked.again.read_text()
        mutants = [each for each in mutants if each.label in survived]
    asked.logs.mkdir(parents=True, exist_ok=True)
    _prepare()
    start = time.monotonic()
    if _tried_alone(asked.logs / "sound.log"):
        print("the tests do not pass without a fault: see sound.log")
        return 1
    print(f"without a fault: {time.monotonic() - start:.1f} s", flush=True)
    found: list[tuple[Mutant, Outcome]] = []
    excused = equivalent()
    for mutant, outcome, seconds in _all_tried(mutants, asked.logs):
        found.append((mutant, outcome))
        if outcome == "survived":
            word = "equivalent" if mutant.label in excused else "SURVIVED"
            print(f"{word} {mutant.module}:{mutant.line} {mutant.label}", flush=True)
        elif outcome == "for ever" or asked.label:
            print(f"{outcome} ({seconds:.1f} s) {mutant.label}", flush=True)
    print(f"{time.monotonic() - start:.0f} s; {dict(Counter(o for _, o in found))}")
    return 0 if _summary(found, excused) else 1


def _tried_alone(log: Path) -> bool:
    """Run the tests without any fault; whether any of them fails."""
    _, status = os.waitpid(_started(None, log), 0)
    return os.waitstatus_to_exitcode(status) != 0


if __name__ == "__main__":
    sys.exit(main())
