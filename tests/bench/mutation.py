"""Mutation test of the planning rules: `python -m tests.bench.mutation [MODULE ...]`.

Each mutant changes one thing of one rule file: a comparison, a truth, a number, a text, a name of
an enum, a condition, a statement. It is killed when a test of the rules fails. A mutant lives only
in the memory of a child process; survivors are printed with their line.
"""

import ast
import copy
import importlib.abc
import importlib.machinery
import importlib.util
import os
import signal
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import ModuleType

import pytest

import coach.files.library  # noqa: F401

ROOT = Path(__file__).parents[2]
RULES = ROOT / "coach/planning/rules"
#: Fast tests; one failure is enough.
TESTS = ("sore", "gates", "signs", "time", "effort", "opening", "rules")
WORKERS = 2
#: Seconds after which a mutant counts as killed: it does not end.
PATIENCE = 60
#: Arguments of a rule that only explain it, and names of constants that do.
WORDS = frozenset({"source", "name", "say", "sure"})
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
    sites = [node for node in ast.walk(tree) if id(node) not in idle]
    for mark, node in enumerate(sites):
        node.mark = mark  # type: ignore[attr-defined]
    for mark, node in enumerate(sites):
        for new in changes(node):
            changed = _Put(mark, copy.deepcopy(new)).visit(copy.deepcopy(tree))
            text = ast.unparse(ast.fix_missing_locations(changed))
            if text != original:
                what = "gone" if new is None else ast.unparse(ast.fix_missing_locations(new))
                yield getattr(node, "lineno", 0), what.splitlines()[0][:70], text


class Loader(importlib.abc.MetaPathFinder, importlib.abc.Loader):
    """Loads one module from a text."""

    def __init__(self, name: str, source: str) -> None:
        self.name, self.source = name, source

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        found = fullname == self.name
        return importlib.util.spec_from_loader(fullname, self) if found else None

    def exec_module(self, module: ModuleType) -> None:
        exec(compile(self.source, self.name, "exec"), module.__dict__)  # noqa: S102


def started(module: str, source: str) -> int:
    """A child that tests with this source in place of the module; exit status 0 is survival."""
    child = os.fork()
    if child:
        return child
    signal.alarm(PATIENCE)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    sys.meta_path.insert(0, Loader(module, source))
    files = [f"tests/planning/test_{name}.py" for name in TESTS]
    os._exit(pytest.main(["-x", "-q", "-p", "no:cacheprovider", "-p", "no:randomly", *files]))


def survivors(module: str, every: Sequence[tuple[int, str, str]]) -> list[tuple[int, str]]:
    """Line and change of the mutants that no test kills."""
    waiting = list(every)
    running: dict[int, tuple[int, str]] = {}
    alive = []
    while waiting or running:
        while waiting and len(running) < WORKERS:
            line, what, source = waiting.pop(0)
            running[started(module, source)] = (line, what)
        child, status = os.wait()
        mutant = running.pop(child)
        if status == 0:
            alive.append(mutant)
    return sorted(alive)


def main(names: Sequence[str]) -> None:
    """Run every rule file, or the named ones, and print the table."""
    assert "coach.planning" not in sys.modules
    total = killed = 0
    for path in sorted(RULES.glob("*.py")):
        if path.stem in ("__init__", "rule") or (names and path.stem not in names):
            continue
        module, source = f"coach.planning.rules.{path.stem}", path.read_text(encoding="utf-8")
        if not survivors(module, [(0, "unchanged", source)]):
            raise SystemExit(f"{path.name} as it is fails its tests")
        every = list(mutants(source))
        alive = survivors(module, every)
        total, killed = total + len(every), killed + len(every) - len(alive)
        print(f"{path.stem:10s} {len(every):4d} mutants, {len(alive):3d} alive", flush=True)
        for line, what in alive:
            print(f"    {path.name}:{line}: {what}", flush=True)
    print(f"killed {killed} of {total}: {100 * killed / max(total, 1):.1f} %")


if __name__ == "__main__":
    main(sys.argv[1:])
