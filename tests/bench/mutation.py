"""Mutation test of the planning rules: `python -m tests.bench.mutation [MODULE ...]`.

`--every N` tries one in N mutants, `sore:12,30` those of some lines of a module.

Each mutant changes one thing of one rule file: a comparison, a truth, a number, a text, a name of
an enum, a condition, a statement. It is killed when a test of the rules fails. A mutant lives only
in the memory of a child process; survivors are printed with their line.

Found for pain, signs, skipping, sore, stiff, time and tries: first every mutant; after tests were
added, those of the lines of each survivor again, the last few by hand. Killed: pain 55 of 55,
signs 85 of 86, skipping 40 of 40, sore 179 of 187, stiff 50 of 50, 75 of 76 in time, tries
16 of 16. Of the other five every mutant in one run: effort 84 of 90, gating 148 of 164, hurt
10 of 11, idle 51 of 59, opening 107 of 119, together 400 of 443 (90.3 %); `test_moments` was
written for survivors after that run and is not counted in these figures.

What lives, and why it may. Signs: that a sign of the published list comes in an answer about signs
(no other answer names one). Sore: which caps a check may lift by their name, 'tired' among them,
and what a sore muscle's is called; the part that a sentence without a part is about; that a gate,
and the check that comes again, are of the part at hand, where there is no other; that nothing else
speaks beside a part that is not told. Time: a second more or less once the end has passed.

Effort: a default load of 1 where 0 and 1 are both below the limit, and what cannot be: a form
that is not there, a step without forms. Gating: what soreness needs to be lifted, where the rule
before it has held back already whoever has not rested, and a gate of no part lifts nothing; the
name of a tag that only its own rule reads; a rest before a first step; opening the go-ahead again
where it was never shut; that a step with a turn is a try. Hurt: that it stands alone, where
nothing else fires on the same words. Idle: seconds that are always told. Opening: a question
before the first step, which no rest precedes.
"""

import ast
import copy
import json
import os
import signal
import sys
from argparse import ArgumentParser
from collections.abc import Iterator, Sequence
from dataclasses import fields
from functools import partial
from importlib import import_module
from itertools import zip_longest
from pathlib import Path
from types import FrameType, ModuleType

import pytest

from coach.planning.rules import Rule

ROOT = Path(__file__).parents[2]
RULES = ROOT / "coach/planning/rules"
#: Fast tests; one failure is enough. Those named first for a rule file are tried first.
TESTS = (
    "rule_edges",
    "sore",
    "gates",
    "signs",
    "time",
    "effort",
    "opening",
    "fingers",
    "rules",
    "last_tries",
    "moments",
)
FIRST = {
    "effort": ("effort",),
    "gating": ("gates", "moments"),
    "hurt": ("signs",),
    "idle": ("time", "moments"),
    "opening": ("moments", "opening", "fingers"),
    "pain": ("rule_edges", "sore"),
    "signs": ("rule_edges", "signs"),
    "skipping": ("rule_edges", "time"),
    "sore": ("rule_edges", "sore"),
    "stiff": ("rule_edges", "sore"),
    "time": ("rule_edges", "time"),
    "tries": ("last_tries",),
}
#: Seconds of computing after which a mutant counts as killed: it does not end.
PATIENCE = 60
#: Arguments of a rule that only explain it, and names of constants that do.
WORDS = frozenset({"source", "name", "say", "sure", "fires", "does"})
SOURCES = ("_SOURCE", "_YOUNG")
_COMPARE: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
#: Nodes of which Python keeps one for all trees: a mark on them would stand everywhere.
_SHARED = (ast.cmpop, ast.boolop, ast.operator, ast.unaryop, ast.expr_context)
#: Enum members that stand for each other.
_MEMBERS = {
    "CapReason": {"SORE": "SIGN", "SIGN": "SORE", "COLD": "SIGN", "GATE": "COLD"},
    "Feel": {"SORE": "TIRED", "TIRED": "SORE", "HURTING": "SORE", "STIFF": "TIRED"},
    "Part": {"FINGERS": "KNEES", "SKIN": "FINGERS"},
    "Tissue": {"SKIN": "MUSCLE", "MUSCLE": "JOINT", "JOINT": "SKIN"},
    "Meaning": {"GO": "YES", "SILENCE": "YES", "NO": "YES", "FEEL": "SIGN", "SKIP": "DONE"},
    "BlockKind": {"COOL_DOWN": "STRENGTH", "EASY": "MIDDLE", "HARD": "EASY", "BOARD": "MAT"},
    "StepKind": {"TRY": "CLIMB", "REST": "ASK", "CLIMB": "TRY", "ASK": "REST"},
    "After": {"PART": "OVER", "EMERGENCY": "OVER", "OVER": "PART"},
    "AgeBand": {"UNDER_16": "ADULT", "UNDER_18": "ADULT", "UNKNOWN": "ADULT", "ADULT": "UNKNOWN"},
}


def words(tree: ast.Module) -> set[int]:
    """Ids of the nodes that only explain or type: docstrings, sources, annotations, asserts."""
    idle: list[ast.AST | None] = []
    for node in ast.walk(tree):
        match node:
            case ast.keyword(arg=name) if name in WORDS:
                idle.append(node)
            case ast.Expr(value=ast.Constant()) | ast.Assert() | ast.Import() | ast.ImportFrom():
                idle.append(node)
            case ast.Assign(targets=[ast.Name(id=name)]) if name in SOURCES:
                idle.append(node)
            case ast.FunctionDef(returns=note) | ast.AnnAssign(annotation=note):
                idle.append(note)
            case ast.arg(annotation=note):
                idle.append(note)
    return {id(inner) for node in idle if node is not None for inner in ast.walk(node)}


def changes(node: ast.AST) -> Iterator[ast.AST | None]:
    """What can stand in place of a node; None where it goes."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in _COMPARE:
            yield ast.Compare(node.left, [_COMPARE[type(op)]()], node.comparators)
        case ast.BoolOp(op=op, values=values):
            yield ast.BoolOp(ast.Or() if isinstance(op, ast.And) else ast.And(), values)
            for index in range(len(values)):
                rest = [*values[:index], *values[index + 1 :]]
                yield rest[0] if len(rest) == 1 else ast.BoolOp(op, rest)
        case ast.UnaryOp(op=ast.Not(), operand=operand):
            yield operand
        case ast.If():
            yield ast.If(ast.Constant(False), node.body, node.orelse)
            yield ast.If(ast.Constant(True), node.body, node.orelse)
        case ast.Expr(value=ast.Call()) | ast.AugAssign():
            yield None
        case _:
            yield from _values(node)


def _values(node: ast.AST) -> Iterator[ast.AST]:
    """Other values, members and sums."""
    match node:
        case ast.Constant(value=bool(truth)):
            yield ast.Constant(not truth)
        case ast.Constant(value=int(number) | float(number)):
            yield ast.Constant(number + 1)
        case ast.Constant(value=str(text)) if text:
            yield ast.Constant(f"{text}x")
        case ast.Attribute(value=ast.Name(id=name), attr=member):
            if member in _MEMBERS.get(name, {}):
                yield ast.Attribute(node.value, _MEMBERS[name][member], ast.Load())
        case ast.BinOp(op=ast.Add() | ast.Sub() | ast.Mult() | ast.FloorDiv()):
            yield ast.BinOp(node.left, ast.Sub(), node.right)
            yield ast.BinOp(node.left, ast.Add(), node.right)


class _Put(ast.NodeTransformer):
    """Puts one node in the place of the node with a mark."""

    def __init__(self, mark: int, new: ast.AST | None) -> None:
        self.mark, self.new = mark, new

    def visit(self, node: ast.AST) -> ast.AST:
        if getattr(node, "mark", None) == self.mark:
            return ast.Pass() if self.new is None else self.new
        return self.generic_visit(node)


def mutants(source: str) -> Iterator[tuple[int, str, str]]:
    """Line, what stands there instead, and the source of each mutant."""
    tree = ast.parse(source)
    idle = words(tree)
    original = ast.unparse(tree)
    sites = [
        node for node in ast.walk(tree) if id(node) not in idle and not isinstance(node, _SHARED)
    ]
    for mark, node in enumerate(sites):
        node.mark = mark  # type: ignore[attr-defined]
    for mark, node in enumerate(sites):
        for new in changes(node):
            changed = _Put(mark, copy.deepcopy(new)).visit(copy.deepcopy(tree))
            text = ast.unparse(ast.fix_missing_locations(changed))
            if text != original:
                what = "gone" if new is None else ast.unparse(ast.fix_missing_locations(new))
                yield getattr(node, "lineno", 0), what.splitlines()[0][:70], text


def put_in(module: ModuleType, source: str) -> None:
    """Make a loaded rule file be this source, wherever its names have been imported."""
    old = dict(module.__dict__)
    new = {name: old[name] for name in ("__name__", "__file__", "__package__", "__spec__")}
    exec(compile(source, str(module.__file__), "exec"), new)  # noqa: S102
    for before, after in zip(old["RULES"], new["RULES"], strict=True):
        for field in fields(Rule):
            object.__setattr__(before, field.name, getattr(after, field.name))
    for other in [*sys.modules.values()]:
        for name in getattr(other, "__dict__", {}).keys() & new.keys() - {"RULES"}:
            own = getattr(old[name], "__module__", module.__name__) == module.__name__
            if own and not name.startswith("__") and other.__dict__[name] is old[name]:
                setattr(other, name, new[name])


class Mutation:
    """Takes the place of running the tests: for each mutant, a child that runs them."""

    def __init__(self, names: Sequence[str], every: int) -> None:
        self.every = every
        told = (name.partition(":") for name in names)
        self.lines = {name: {int(n) for n in lines.split(",") if n} for name, _, lines in told}
        """Modules that are tried, with the lines that are; all of them where none is named."""

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Try every rule file, or the named ones, and print the table."""
        total = killed = 0
        calls = called(session.items)
        for path in sorted(RULES.glob("*.py")):
            if path.stem in ("__init__", "rule") or (self.lines and path.stem not in self.lines):
                continue
            module = import_module(f"coach.planning.rules.{path.stem}")
            source = path.read_text(encoding="utf-8")
            items = sorted(session.items, key=partial(_late, path.stem))
            if killer(items, module, source) is not None:
                raise SystemExit(f"{path.name} as it is fails its tests")
            lines = self.lines.get(path.stem)
            every = [
                one for one in list(mutants(source))[:: self.every] if not lines or one[0] in lines
            ]
            alive = []
            for line, what, text in every:
                place = (str(path), _function(source, line))
                able = [i for i in items if not place[1] or place in calls[i.nodeid]]
                found = killer(able, module, text)
                if found is None:
                    alive.append((line, what))
                elif found >= 0:
                    items.remove(able[found])
                    items.insert(0, able[found])
            total, killed = total + len(every), killed + len(every) - len(alive)
            print(f"{path.stem:10s} {len(every):4d} mutants, {len(alive):3d} alive", flush=True)
            for line, what in sorted(alive):
                print(f"    {path.name}:{line}: {what}", flush=True)
        print(f"killed {killed} of {total}: {100 * killed / max(total, 1):.1f} %")
        return True


def _late(stem: str, item: pytest.Item) -> bool:
    """Whether a test comes after those that are most about a rule file."""
    return item.path.stem.removeprefix("test_") not in FIRST[stem]


def _function(source: str, line: int) -> int:
    """First line of the function that a line is in, 0 for none."""
    for node in ast.parse(source).body:
        if isinstance(node, ast.FunctionDef) and node.lineno <= line <= (node.end_lineno or 0):
            return node.lineno
    return 0


def called(items: Sequence[pytest.Item]) -> dict[str, set[tuple[str, int]]]:
    """Which functions of the rule files each test calls, by file and first line.

    A mutant inside a function needs no other tests: none of them runs what was changed.
    """
    source, sink = os.pipe()
    child = os.fork()
    if not child:
        status = 1
        try:
            os.close(source)
            _silence()
            with os.fdopen(sink, "w") as pipe:
                for item, following in zip_longest(items, items[1:]):
                    pipe.write(json.dumps([item.nodeid, _calls(item, following)]) + "\n")
            status = 0
        finally:
            os._exit(status)
    os.close(sink)
    with os.fdopen(source) as pipe:
        found = {name: {(f, n) for f, n in calls} for name, calls in map(json.loads, pipe)}
    os.waitpid(child, 0)
    return found


def _calls(item: pytest.Item, following: pytest.Item | None) -> list[tuple[str, int]]:
    seen: set[tuple[str, int]] = set()
    root = str(RULES)

    def note(frame: FrameType, event: str, _: object) -> None:
        if event == "call" and frame.f_code.co_filename.startswith(root):
            seen.add((frame.f_code.co_filename, frame.f_code.co_firstlineno))

    sys.setprofile(note)
    item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
    sys.setprofile(None)
    return sorted(seen)


def _silence() -> None:
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)


#: Most that the exit status of a child can tell.
_TOLD = 250


def killer(items: Sequence[pytest.Item], module: ModuleType, source: str) -> int | None:
    """Index of a test that fails, in a child, with this source in place of the module's.

    None where every test passes; -1 where the child failed otherwise, or which test is too far on.
    """
    child = os.fork()
    if child:
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        return None if status == 0 else status - 1 if 1 <= status <= _TOLD else -1
    status = _TOLD + 1
    try:
        signal.setitimer(signal.ITIMER_PROF, PATIENCE)
        _silence()
        put_in(module, source)
        for index, (item, following) in enumerate(zip_longest(items, items[1:])):
            item.ihook.pytest_runtest_protocol(item=item, nextitem=following)
            if item.session.testsfailed:
                status = min(index, _TOLD) + 1
                break
        else:
            status = 0
    finally:
        os._exit(status)


def main(arguments: Sequence[str]) -> None:
    """Collect the tests and try the mutants."""
    parser = ArgumentParser(prog="python -m tests.bench.mutation")
    parser.add_argument("names", nargs="*", metavar="MODULE[:LINE,...]")
    parser.add_argument("--every", type=int, default=1, help="only one in so many mutants")
    wanted = parser.parse_args(arguments)
    files = [f"tests/planning/test_{name}.py" for name in TESTS]
    options = ["-q", "-s", "-o", "timeout=0", "-p", "no:cacheprovider", "-p", "no:randomly"]
    sys.exit(pytest.main([*options, *files], plugins=[Mutation(wanted.names, wanted.every)]))


if __name__ == "__main__":
    main(sys.argv[1:])
