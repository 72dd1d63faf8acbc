"""How the conditions of a run went: each comparison below, at and above, each operand both ways.

`watch(packages)` lets the modules of some packages of `coach` that are loaded from then on tell
how each of their conditions goes; `gone` holds what they told. An operand of `and` or `or` tells
when it alone decides: those that call nobody and would not have been asked are asked then too.
Nothing that is watched is fit to be judged.
"""

import ast
import operator
import sys
from collections.abc import Callable, Iterable, Sequence
from importlib.abc import Loader, MetaPathFinder
from importlib.machinery import ModuleSpec, PathFinder, SourceFileLoader
from types import CodeType, ModuleType
from typing import Any

#: A condition by its file, its number there, and how it went.
Outcome = tuple[str, int, str]
_ORDERS: dict[type[ast.cmpop], Callable[[Any, Any], Any]] = {
    ast.Lt: operator.lt, ast.LtE: operator.le, ast.Gt: operator.gt, ast.GtE: operator.ge,
}  # fmt: skip
#: What the sources call.
_NAME = "__conditions__"


class Conditions:
    """How conditions went since the last `clear`."""

    def __init__(self) -> None:
        self.gone: set[Outcome] = set()
        self._asking = 0

    def truth(self, file: str, site: int, value: Any) -> Any:
        """A condition, which is told; it stays what it is."""
        if not self._asking:
            self.gone.add((file, site, "yes" if value else "no"))
        return value

    def order(self, file: str, site: int, kind: str, left: Any, right: Any) -> Any:
        """A comparison, and whether the left is below, at or above."""
        value = getattr(operator, kind)(left, right)
        if not self._asking:
            self.gone.add((file, site, "at" if left == right else "yes" if value else "no"))
        return value

    def joined(
        self, file: str, site: int, neutral: bool, cheap: Sequence[bool], *asked: Callable[[], Any]
    ) -> Any:
        """`and` (whose neutral operand is true) or `or`, and which operand alone decides."""
        result, deciding = None, list[int]()
        decided = False
        for number, operand in enumerate(asked):
            if not decided:
                result = operand()
                decided = bool(result) is not neutral
                deciding += [number] * decided
            elif not cheap[number] or self._else(operand) is not neutral:
                deciding.append(number)
        if not self._asking:
            how = f"by {deciding[0]}" if len(deciding) == 1 else str(len(deciding))
            self.gone.add((file, site, how))
        return result

    def _else(self, operand: Callable[[], Any]) -> bool | None:
        """What an operand would have said; None where it can't be asked."""
        self._asking += 1
        try:
            return bool(operand())
        except Exception:  # noqa: BLE001 - it is guarded by those before it
            return None
        finally:
            self._asking -= 1


CONDITIONS = Conditions()


class _Watched(ast.NodeTransformer):
    """Lets the conditions of a source be told."""

    def __init__(self, file: str) -> None:
        self.file, self.site = file, 0

    def _call(self, kind: str, node: ast.AST, *given: ast.expr) -> ast.expr:
        self.site += 1
        told = [ast.Constant(self.file), ast.Constant(self.site), *given]
        called = ast.Attribute(ast.Name(_NAME, ast.Load()), kind, ast.Load())
        return ast.copy_location(ast.Call(called, told, []), node)

    def visit_Compare(self, node: ast.Compare) -> ast.AST:
        self.generic_visit(node)
        order = _ORDERS.get(type(node.ops[0])) if len(node.ops) == 1 else None
        if order is None:
            return self._call("truth", node, node)
        kind = ast.Constant(order.__name__)
        return self._call("order", node, kind, node.left, node.comparators[0])

    def visit_BoolOp(self, node: ast.BoolOp) -> ast.AST:
        if any(isinstance(one, ast.NamedExpr) for one in ast.walk(node)):
            self.generic_visit(node)
            return self._call("truth", node, node)
        empty = ast.arguments([], [], None, [], [], None, [])
        cheap: list[ast.expr] = [ast.Constant(_cheap(one)) for one in node.values]
        self.generic_visit(node)
        asked = [ast.Lambda(empty, one) for one in node.values]
        neutral = ast.Constant(isinstance(node.op, ast.And))
        return self._call("joined", node, neutral, ast.Tuple(cheap, ast.Load()), *asked)

    def visit_UnaryOp(self, node: ast.UnaryOp) -> ast.AST:
        self.generic_visit(node)
        if isinstance(node.op, ast.Not):
            node.operand = self._call("truth", node, node.operand)
        return node

    def visit_If(self, node: ast.If) -> Any:
        return self._tested(node)

    def visit_IfExp(self, node: ast.IfExp) -> Any:
        return self._tested(node)

    def visit_While(self, node: ast.While) -> Any:
        return self._tested(node)

    def visit_comprehension(self, node: ast.comprehension) -> ast.AST:
        self.generic_visit(node)
        node.ifs = [self._call("truth", one, one) for one in node.ifs]
        return node

    def visit_match_case(self, node: ast.match_case) -> ast.AST:
        self.generic_visit(node)
        guard = node.guard or ast.Constant(True)
        node.guard = self._call("truth", node.body[0], guard)
        return node

    def visit_FunctionDef(self, node: ast.FunctionDef) -> Any:
        return self._reached(node)

    def visit_ExceptHandler(self, node: ast.ExceptHandler) -> Any:
        return self._reached(node)

    def visit_ClassDef(self, node: ast.ClassDef) -> ast.AST:
        node.body = [
            self.visit(one) if isinstance(one, ast.FunctionDef | ast.ClassDef) else one
            for one in node.body
        ]
        return node

    def _reached(self, node: Any) -> Any:
        self.generic_visit(node)
        told = ast.Expr(self._call("truth", node.body[0], ast.Constant(True)))
        node.body.insert(0, ast.copy_location(told, node.body[0]))
        return node

    def _tested(self, node: Any) -> Any:
        self.generic_visit(node)
        node.test = self._call("truth", node.test, node.test)
        return node


def _cheap(node: ast.expr) -> bool:
    """Whether it may be asked for nothing: it calls nobody."""
    return not any(isinstance(one, ast.Call | ast.comprehension) for one in ast.walk(node))


class _Loader(SourceFileLoader):
    def get_code(self, fullname: str) -> CodeType:
        path = self.get_filename(fullname)
        tree = _Watched(fullname).visit(ast.parse(self.get_data(path)))
        code: CodeType = compile(ast.fix_missing_locations(tree), path, "exec")
        return code

    def exec_module(self, module: ModuleType) -> None:
        module.__dict__[_NAME] = CONDITIONS
        super().exec_module(module)


class _Finder(MetaPathFinder):
    def __init__(self, packages: Iterable[str]) -> None:
        self.packages = frozenset(packages)

    def find_spec(
        self, name: str, path: Sequence[str] | None = None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if not name.startswith("coach.") or name.split(".")[1] not in self.packages:
            return None
        found = PathFinder.find_spec(name, path, target)
        if found is not None and found.origin is not None:
            loader: Loader = _Loader(name, found.origin)
            found.loader = loader
        return found


def watch(packages: Iterable[str]) -> None:
    """Let what is loaded of these packages from now on tell; RuntimeError where it is loaded."""
    finder = _Finder(packages)
    for name in sys.modules:
        if finder.find_spec(
            name, getattr(sys.modules.get(name.rpartition(".")[0]), "__path__", None)
        ):
            raise RuntimeError(f"{name} is loaded already")
    sys.meta_path.insert(0, finder)
