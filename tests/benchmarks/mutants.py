"""How many small faults the tests notice: faults are put in one at a time, and the tests that run that line are run.

    .venv/bin/pip install -e '.[test,coverage]'
    .venv/bin/python -m coverage run -m pytest && .venv/bin/python -m coverage combine
    .venv/bin/python tests/benchmarks/mutants.py --seed 1 --count 300

The first run remembers which test runs which line (`dynamic_context` in pyproject.toml). A mutant is a module with one
fault:
`<` for `<=`, `+` for `-`, another number, `min` for `max`, `and` for `or`, a `not` or a sign that is lost. It is killed
if one of those tests fails. They run in a process of their own, the most special ones first, until one fails or
`--seconds` of processor time are used. Mutants that no test can notice are listed, with the reason, in
`mutants_alike.csv`; they count as not killed, and the rate without them is printed beside.

The same seed gives the same mutants for the same sources.
"""

from __future__ import annotations

import argparse
import ast
import copy
import csv
import importlib
import importlib.abc
import importlib.util
import os
import random
import signal
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from types import CodeType, FrameType, ModuleType
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
ROOMS = ("stack", "threads", "fits", "mechanics", "questions")
ALIKE = Path(__file__).with_name("mutants_alike.csv")
_AT_FIRST = 25
"""Tests that are run before the others are so much as loaded."""
LOADED_ONCE = ("numpy", "scipy.special", "scipy.optimize", "scipy.stats", "pint", "hypothesis", "pytest")
"""What every test wants: loaded before the processes fork."""

_OPERATORS: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE), ast.LtE: (ast.Lt, ast.Gt), ast.Gt: (ast.GtE, ast.LtE), ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,), ast.NotEq: (ast.Eq,), ast.Is: (ast.IsNot,), ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,), ast.NotIn: (ast.In,), ast.And: (ast.Or,), ast.Or: (ast.And,),
    ast.Add: (ast.Sub,), ast.Sub: (ast.Add,), ast.Mult: (ast.Div,), ast.Div: (ast.Mult,), ast.Pow: (ast.Mult,),
    ast.FloorDiv: (ast.Div,), ast.Mod: (ast.Mult,), ast.BitAnd: (ast.BitOr,), ast.BitOr: (ast.BitAnd,),
}  # fmt: skip
_NAMES = {"min": "max", "minimum": "maximum", "floor": "ceil", "any": "all", "sin": "cos", "amin": "amax"}
_NAMES |= {after: before for before, after in _NAMES.items()}
_IDLE = ("decorator_list", "annotation", "returns", "format_spec", "type_params")
"""Parts of a tree in which a fault changes nothing that runs, or only how a number is written."""


def faulty(node: ast.AST) -> Iterator[ast.AST]:
    """The node with one fault, once for each fault that it can have."""
    if isinstance(node, (ast.BinOp, ast.BoolOp)):
        for other in _OPERATORS.get(type(node.op), ()):
            yield _with(node, op=other())
    elif isinstance(node, ast.Compare):
        for at, op in enumerate(node.ops):
            for other in _OPERATORS[type(op)]:
                yield _with(node, ops=[*node.ops[:at], other(), *node.ops[at + 1 :]])
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, (ast.USub, ast.Not)):
        yield node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, (bool, int, float)):
        value = node.value
        yield ast.Constant(not value if isinstance(value, bool) else value + 1 if value in (0, 1) else 2 * value)
    elif isinstance(node, ast.IfExp):
        yield _with(node, body=node.orelse, orelse=node.body)
    elif isinstance(node, ast.Return) and isinstance(node.value, ast.BinOp) and type(node.value.op) in _OPERATORS:
        yield _with(node, value=ast.UnaryOp(ast.USub(), node.value))
    elif isinstance(node, ast.Call):
        called = node.func
        name = called.id if isinstance(called, ast.Name) else called.attr if isinstance(called, ast.Attribute) else ""
        if name in _NAMES:
            renamed = {"id" if isinstance(called, ast.Name) else "attr": _NAMES[name]}
            yield _with(node, func=_with(called, **renamed))
        elif name in ("abs", "sqrt") and len(node.args) == 1:
            yield node.args[0]


def _with(node: ast.AST, **changed: Any) -> ast.AST:
    new = copy.copy(node)
    for field, value in changed.items():
        setattr(new, field, value)
    return new


def places(tree: ast.AST) -> Iterator[tuple[ast.AST, str, int | None, ast.AST, str]]:
    """Every node where a fault matters: its parent, the field and the place there, the node, the function it is in."""

    def below(node: ast.AST, function: str) -> Iterator[tuple[ast.AST, str, int | None, ast.AST, str]]:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            function = f"{function}.{node.name}".strip(".")
        for field, value in ast.iter_fields(node):
            if field in _IDLE or (isinstance(node, ast.keyword) and node.arg == "strict"):
                continue
            for at, child in enumerate(value) if isinstance(value, list) else [(None, value)]:
                if isinstance(child, ast.AST):
                    yield node, field, at, child, function
                    yield from below(child, function)

    yield from below(tree, "")


@dataclass(frozen=True)
class Mutant:
    """A module with one fault: the place in its tree, and which of the faults that are possible there."""

    module: Path
    place: int
    variant: int
    line: int
    last: int
    function: str
    before: str
    after: str
    text: str
    """The line that it begins on, with `<here>` before the node."""

    @property
    def key(self) -> tuple[str, str, str, str]:
        """What stays the same when lines are added elsewhere."""
        return str(self.module.relative_to(ROOT)), self.function, self.text, self.after

    def code(self) -> CodeType:
        """The module with the fault, compiled."""
        tree = ast.parse(self.module.read_text(encoding="utf-8"))
        parent, field, at, node, _ = list(places(tree))[self.place]
        new = ast.copy_location(list(faulty(node))[self.variant], node)
        if at is None:
            setattr(parent, field, new)
        else:
            getattr(parent, field)[at] = new
        return compile(ast.fix_missing_locations(tree), str(self.module), "exec")

    def __str__(self) -> str:
        before, after = (" ".join(text.split())[:90] for text in (self.before, self.after))
        return f"{self.module.relative_to(ROOT)}:{self.line} {self.function}: {before}  ->  {after}"


def mutants_of(module: Path) -> Iterator[Mutant]:
    """All mutants of a module, in the order of its text."""
    source = module.read_text(encoding="utf-8")
    lines = [line.encode() for line in source.splitlines()]  # a tree counts columns in bytes
    for place, (_, _, _, node, function) in enumerate(places(ast.parse(source))):
        for variant, other in enumerate(faulty(node)):
            first, last, at = node.lineno, node.end_lineno, node.col_offset  # type: ignore[attr-defined]
            text = (lines[first - 1][:at] + b"<here>" + lines[first - 1][at:]).decode().strip()
            yield Mutant(module, place, variant, first, last, function, ast.unparse(node), ast.unparse(other), text)


def sample(seed: int, count: int, rooms: Sequence[str] = ROOMS) -> list[Mutant]:
    """`count` mutants of all that the rooms have, every one as likely as any other."""
    modules = sorted(path for room in rooms for path in (ROOT / "fitcheck" / room).rglob("*.py"))
    return random.Random(seed).sample([mutant for module in modules for mutant in mutants_of(module)], count)


class Map:
    """Which tests run which line."""

    def __init__(self, remembered: Path) -> None:
        from coverage import CoverageData

        self.data = CoverageData(str(remembered))
        self.data.read()
        tests = {}
        for path in (ROOT / "tests").rglob("test_*.py"):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                    tests[f"{path.stem}.{node.name}"] = f"{path.relative_to(ROOT)}::{node.name}"
        self.named = tests
        self.modules = {name.rpartition("/fitcheck/")[2]: name for name in self.data.measured_files()}
        self.size: defaultdict[str, int] = defaultdict(int)
        self.lines: dict[str, dict[int, set[str]]] = {}
        for short, name in self.modules.items():
            lines = self.lines[short] = {}
            for line, contexts in self.data.contexts_by_lineno(name).items():
                lines[line] = {tests[one] for c in contexts if (one := c.rpartition("|")[2]) in tests}
                for test in lines[line]:
                    self.size[test] += 1

    def tests(self, mutant: Mutant) -> list[str]:
        """The tests that run a line of the mutant, or, where it runs as the module is loaded, any of the module.

        First come those of which the module is the largest part. Behind them the others of the same files: what is
        cached is run by the first test that asks for it, and seen by the next.
        """
        lines = self.lines.get(str(mutant.module.relative_to(ROOT / "fitcheck")), {})
        found = set().union(*(lines.get(line, set()) for line in range(mutant.line, mutant.last + 1)))
        found = found or set().union(*lines.values())
        part = Counter(test for tests in lines.values() for test in tests)
        direct = sorted(found, key=lambda test: (-part[test] / self.size[test], test))
        files = {test.partition("::")[0] for test in direct[:5]}
        beside = sorted(test for test in self.named.values() if test.partition("::")[0] in files and test not in found)
        return direct + beside


class _Faulty(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from its mutant and leaves all others alone."""

    def __init__(self, mutant: Mutant) -> None:
        parts = mutant.module.relative_to(ROOT).with_suffix("").parts
        self.package = parts[-1] == "__init__"
        self.name, self.mutant = ".".join(parts[:-1] if self.package else parts), mutant

    def find_spec(self, name: str, path: Any, target: ModuleType | None = None) -> Any:
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(
            name, self.mutant.module, loader=self,
            submodule_search_locations=[str(self.mutant.module.parent)] if self.package else None,
        )  # fmt: skip

    def exec_module(self, module: ModuleType) -> None:
        exec(self.mutant.code(), module.__dict__)


class _Watch:
    """Stops a test that hangs, and all of them once the time is used; remembers which one failed."""

    def __init__(self, seconds: float) -> None:
        self.seconds, self.failed, self.used_up = seconds, "", False
        signal.signal(signal.SIGPROF, self.hangs)

    def hangs(self, number: int, frame: FrameType | None) -> None:
        raise TimeoutError("a test of a mutant hangs")

    def pytest_runtest_setup(self, item: Any) -> None:
        signal.setitimer(signal.ITIMER_PROF, max(60.0, self.seconds))

    def pytest_runtest_teardown(self, item: Any) -> None:
        signal.setitimer(signal.ITIMER_PROF, 0)
        if time.process_time() > self.seconds:
            self.used_up = True
            item.session.shouldstop = "time used"

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.failed = report.nodeid

    def pytest_collectreport(self, report: Any) -> None:
        if report.failed:
            self.failed = f"{report.nodeid} (cannot be loaded)"


def _in_child(mutant: Mutant, tests: list[str], seconds: float) -> str:
    """What becomes of a mutant, told by the process that is left with it: "killed by ...", or "survived ..."."""
    import pytest

    sys.meta_path.insert(0, _Faulty(mutant))
    sys.dont_write_bytecode = False
    try:
        importlib.import_module("fitcheck")
        importlib.import_module(".".join(mutant.module.relative_to(ROOT).with_suffix("").parts))
    except Exception as error:
        return f"killed as it is loaded: {type(error).__name__}"
    watch = _Watch(seconds)
    doctests = [str(mutant.module.relative_to(ROOT))]
    options = ["-x", "-q", "-p", "no:cacheprovider", "-p", "no:xdist"]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]  # of what is loaded already
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
        # Few at first: to load every file of tests takes longer than most mutants live.
        for chosen in (tests[:_AT_FIRST], [*tests[_AT_FIRST:], *doctests]):
            code = pytest.main([*options, *chosen], plugins=[watch]) if chosen else pytest.ExitCode.OK
            if watch.failed:
                return f"killed by {watch.failed}"
            if code not in (pytest.ExitCode.OK, pytest.ExitCode.INTERRUPTED, pytest.ExitCode.NO_TESTS_COLLECTED):
                raise RuntimeError(f"pytest ends with {code!r}")
            if watch.used_up:
                return "survived, time used up"
    return "survived"


def tried(mutant: Mutant, tests: list[str], seconds: float) -> str:
    """The mutant in a process of its own."""
    reads, writes = os.pipe()
    if (child := os.fork()) == 0:
        try:
            os.setpgrp()
            said = _in_child(mutant, tests, seconds)
        except BaseException as error:
            said = f"not tried: {type(error).__name__}: {error}"
        os.write(writes, said.encode())
        os._exit(0)
    os.close(writes)
    with os.fdopen(reads) as pipe:
        said = pipe.read()
    os.waitpid(child, 0)
    return said or "killed by its process's end"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=300, help="mutants of the sample [300]")
    parser.add_argument("--first", type=int, default=0, help="begin with this one of the sample [0]")
    parser.add_argument("--last", type=int, help="end before this one")
    parser.add_argument("--only", help="numbers of the sample to try, 3,17")
    parser.add_argument("--seconds", type=float, default=60.0, help="processor time for the tests of one mutant [60]")
    parser.add_argument("--coverage", type=Path, default=ROOT / ".coverage", help="what `coverage run` has written")
    parser.add_argument("--jobs", type=int, default=os.cpu_count(), help="how many at a time")
    asked = parser.parse_args()
    os.chdir(ROOT)
    sys.path.insert(0, str(ROOT))
    os.environ["PYTHONPATH"] = str(ROOT)
    for name in LOADED_ONCE:
        importlib.import_module(name)
    mapped, chosen = Map(asked.coverage), list(enumerate(sample(asked.seed, asked.count)))
    chosen = chosen[asked.first : asked.last]
    if asked.only:
        chosen = [chosen[int(number)] for number in asked.only.split(",")]
    alike = {}
    if ALIKE.exists():
        with ALIKE.open(encoding="utf-8") as file:
            alike = {(r["module"], r["function"], r["text"], r["after"]): r["why"] for r in csv.DictReader(file)}
    killed = same = 0
    with ThreadPoolExecutor(asked.jobs) as pool:
        results = pool.map(lambda one: tried(one[1], mapped.tests(one[1]), asked.seconds), chosen)
        for (number, mutant), said in zip(chosen, results, strict=True):
            why = alike.get(mutant.key)
            killed += said.startswith("killed")
            same += why is not None
            print(f"{number:4d} {said}{f' (alike: {why})' if why else ''}\n       {mutant}", flush=True)
    print(f"{killed} of {len(chosen)} killed, {killed / len(chosen):.0%}; {same} are known to be alike: ", end="")
    print(f"{killed / max(len(chosen) - same, 1):.0%} of the others")


if __name__ == "__main__":
    main()
