"""What can be changed in a source file, one thing at a time.

A comparison, a truth, a number, a text, a member of an enum, a condition, a statement.
"""

import ast
import copy
from collections.abc import Iterator

#: Arguments of a rule that only explain it, those of a type that change nothing it does, and names
#: of constants that explain.
WORDS = frozenset({"source", "name", "say", "sure", "fires", "does", "frozen", "slots"})
SOURCES = ("_SOURCE", "_YOUNG")
#: Tables of examples to read aloud: any word of the hall would do.
EXAMPLES = ("VALUES",)
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
    "AfterSign": {"PART": "OVER", "EMERGENCY": "OVER", "OVER": "PART"},
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
            case ast.AnnAssign(target=ast.Name(id=name)) if name in EXAMPLES:
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


def mutants(source: str) -> Iterator[tuple[int, str, int, int]]:
    """Line, what stands there instead, and the place and number by which `mutated` makes it."""
    tree = ast.parse(source)
    for mark, node in enumerate(_sites(tree)):
        before = ast.unparse(node) if isinstance(node, ast.expr | ast.stmt) else ""
        for number, new in enumerate(changes(node)):
            what = "gone" if new is None else ast.unparse(ast.fix_missing_locations(new))
            if what != before:
                yield getattr(node, "lineno", 0), what.splitlines()[0][:70], mark, number


def mutated(source: str, mark: int, number: int) -> str:
    """The source of a mutant."""
    tree = ast.parse(source)
    for index, node in enumerate(_sites(tree)):
        node.mark = index  # type: ignore[attr-defined]
        if index == mark:
            new = [*changes(node)][number]
    changed = _Put(mark, copy.deepcopy(new)).visit(tree)
    return ast.unparse(ast.fix_missing_locations(changed))


def _sites(tree: ast.Module) -> list[ast.AST]:
    """Every node that can be changed, in a fixed order."""
    idle = words(tree)
    return [
        node for node in ast.walk(tree) if id(node) not in idle and not isinstance(node, _SHARED)
    ]
