"""Puts a changed source in the place of a loaded module, wherever its names have been imported.

Functions keep their identity and get new code, so that tables and wrappers that hold them have the
change too. What can't be put in place without loading everything anew, a member of an enum say, is
refused: such a mutant is not tried.
"""

import ast
import sys
from dataclasses import fields, is_dataclass
from enum import EnumType
from functools import cached_property
from types import FunctionType, ModuleType
from typing import Any


class Unputtable(Exception):
    """The change can't be brought into a running process."""


def changed_names(original: ast.Module, text: str) -> set[str]:
    """The names at the top of a module whose statements differ, and what is made of them there."""
    found: set[str] = set()
    for before, after in zip(original.body, ast.parse(text).body, strict=True):
        if ast.dump(before) == ast.dump(after):
            continue
        match before:
            case ast.FunctionDef(name=name) | ast.ClassDef(name=name):
                found.add(name)
            case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
                found.add(name)
            case _:
                raise Unputtable
    more = True
    while more:
        made = {name for one in original.body for name in _made_of(one, found)}
        more = not made <= found
        found |= made
    return found


def _made_of(statement: ast.stmt, names: set[str]) -> list[str]:
    """The name that a statement gives to what it makes of these: of a function by calling it."""
    match statement:
        case ast.Assign(targets=[ast.Name(id=name)]) | ast.AnnAssign(target=ast.Name(id=name)):
            value = statement.value
        case _:
            return []
    if value is None:
        return []
    used = [one for one in ast.walk(value) if isinstance(one, ast.Name) and one.id in names]
    called = {id(one.func) for one in ast.walk(value) if isinstance(one, ast.Call)}
    return [name] * any(one.id.isupper() or id(one) in called for one in used)


def put_in(module: ModuleType, text: str, names: set[str]) -> None:
    """Make these names of a loaded module be what a source says."""
    old = module.__dict__
    new = {name: old[name] for name in ("__name__", "__file__", "__package__", "__spec__")}
    exec(compile(text, str(module.__file__), "exec"), new)  # noqa: S102
    for name in names:
        _put(module, name, old[name], new[name])


def _put(module: ModuleType, name: str, before: Any, after: Any) -> None:
    if isinstance(before, type):
        _put_class(before, after)
    elif _function(before) is not None:
        _put_code(_function(before), _function(after))
        getattr(before, "cache_clear", lambda: None)()
    elif not _put_value(before, after):
        for other in [*sys.modules.values()]:
            if not getattr(other, "__name__", "").startswith(("coach", "tests")):
                continue
            for held, value in [*vars(other).items()]:
                if value is before and (other is module or held == name):
                    setattr(other, held, after)


def _put_value(before: Any, after: Any) -> bool:
    """Change a value in place, where it has one."""
    if type(before) is not type(after) and not is_dataclass(before):
        return False
    if isinstance(before, dict):
        before.clear()
        before.update(after)
        return True
    if isinstance(before, tuple) and before and all(is_dataclass(one) for one in before):
        return len(before) == len(after) and all(map(_put_value, before, after))
    if is_dataclass(before) and not isinstance(before, type):
        for field in fields(before):
            object.__setattr__(before, field.name, getattr(after, field.name))
        return True
    return False


def _put_class(before: type, after: type) -> None:
    if isinstance(before, EnumType):
        raise Unputtable
    for name, new in vars(after).items():
        old = vars(before).get(name)
        if _function(old) is not None and _function(new) is not None:
            _put_code(_function(old), _function(new))
        elif isinstance(new, int | float | str | tuple | frozenset) and not name.startswith("__"):
            setattr(before, name, new)


def _function(value: Any) -> FunctionType | None:
    """The function in a value: plain, cached, a property, a method of a class."""
    if isinstance(value, property):
        value = value.fget
    elif isinstance(value, staticmethod | classmethod):
        value = value.__func__
    elif isinstance(value, cached_property):
        value = value.func
    while hasattr(value, "__wrapped__"):
        value = value.__wrapped__
    return value if isinstance(value, FunctionType) else None


def _put_code(before: FunctionType | None, after: FunctionType | None) -> None:
    assert before is not None
    if after is None or len(before.__code__.co_freevars) != len(after.__code__.co_freevars):
        raise Unputtable
    before.__code__ = after.__code__
    before.__defaults__, before.__kwdefaults__ = after.__defaults__, after.__kwdefaults__
    for old, new in zip(before.__closure__ or (), after.__closure__ or (), strict=True):
        if not isinstance(new.cell_contents, type):
            old.cell_contents = new.cell_contents
