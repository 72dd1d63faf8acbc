"""The forms of facts that the core really writes, so that no test is made of others.

`python -m tests.record.forms [DAYS]` runs so many days of the real core and adds to `forms.json`
what they write: of each kind of fact the words that are the core's own, whether it is everybody's
(who 0) or one person's, and of steps the kinds that each block has. Rules have the names that
planning gives them. A kind that no day wrote is not judged.
"""

import ast
import importlib
import json
import re
import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields
from enum import Enum
from pathlib import Path
from typing import Any

from coach.model import facts
from coach.model.facts import Fact
from coach.planning.rules import RULES
from tests.days import living
from tests.record import real

TABLE = Path(__file__).with_name("forms.json")
#: Fields whose words are the core's own. What people say or call things, and what a file of
#: movements holds, is theirs.
OWN = frozenset(
    {"after", "because", "block", "by", "feet", "grip", "how", "kind", "outcome", "question",
     "reason", "rule", "side", "step", "sure", "tier", "why"}
)  # fmt: skip
#: Days that are run where nobody says how many.
DAYS = 100

Forms = dict[str, dict[str, list[str]]]
"""Kind of fact -> field -> the words that are written there."""


def form(value: object) -> str:
    """A word as it is compared: numbers within it are all alike."""
    return re.sub(r"\d+", "#", str(value.value if isinstance(value, Enum) else value))


_RULES = {form(rule.name) for rule in RULES}


def words_of(given: Mapping[str, object]) -> Iterator[tuple[str, str]]:
    """Field -> word of those fields that have words, and who it is about."""
    for field, value in given.items():
        if field == "who" and isinstance(value, int):
            yield field, "somebody" if value else "everybody"
        elif field in OWN and isinstance(value, str):
            yield field, form(value)
    kind, block = given.get("kind"), given.get("block")
    if isinstance(kind, str) and isinstance(block, str):
        yield "kind in block", f"{form(kind)} in {form(block)}"


def known() -> Forms:
    """The table."""
    found: Forms = json.loads(TABLE.read_text("utf-8"))
    return found


def added(table: Forms, given: Iterable[Fact]) -> Forms:
    """The table with what some facts are like."""
    for fact in given:
        kind = table.setdefault(type(fact).__name__, {})
        values = {one.name: getattr(fact, one.name) for one in fields(fact)}
        for field, word in words_of(values):
            if word not in kind.setdefault(field, []):
                kind[field].append(word)
    return table


def odd(source: str) -> Iterator[str]:
    """The facts in a Python file that the core would never write, a line each."""
    if facts.__name__ not in source:
        return
    table = known()
    tree = ast.parse(source)
    named = _imported(tree)
    for call in ast.walk(tree):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name):
            kind = named.get(call.func.id)
            if kind is None:
                continue
            for field, word in words_of(_told(call, kind)):
                if field == "rule" and word in _RULES:
                    continue
                if kind.__name__ in table and word not in table[kind.__name__].get(field, ()):
                    yield f"line {call.lineno}: {kind.__name__}, {field}: {word!r}"


def _imported(tree: ast.Module) -> dict[str, type[Fact]]:
    """The kinds of facts that a file knows, by the name that it has for each."""
    found: dict[str, type[Fact]] = {}
    for one in ast.walk(tree):
        if isinstance(one, ast.ImportFrom) and one.module == facts.__name__:
            for name in one.names:
                kind = getattr(facts, name.name)
                if isinstance(kind, type) and issubclass(kind, Fact):
                    found[name.asname or name.name] = kind
    return found


def _told(call: ast.Call, kind: type[Fact]) -> dict[str, object]:
    """Field -> value of those that stand there as they are."""
    names = [one.name for one in fields(kind)]
    given: dict[str, ast.expr] = {}
    for name, value in zip(names, call.args, strict=False):
        if isinstance(value, ast.Starred):
            break
        given[name] = value
    given |= {one.arg: one.value for one in call.keywords if one.arg}
    return {name: _value(value) for name, value in given.items()}


def _value(written: ast.expr) -> object:
    """A constant, or a member of an enumeration; something else is anything."""
    if isinstance(written, ast.Constant):
        return written.value
    if isinstance(written, ast.Attribute) and isinstance(written.value, ast.Name):
        for module in ("coach.model.body", "coach.model.person", "coach.model.facts"):
            kind: Any = getattr(importlib.import_module(module), written.value.id, None)
            if isinstance(kind, type) and issubclass(kind, Enum):
                return kind[written.attr]
    return ...


def main(days: str = str(DAYS)) -> None:
    """Run days, and add their forms to the table."""
    table = known() if TABLE.exists() else {}
    for seed in range(int(days)):
        for _, caused, _ in real.day(seed).committed:
            added(table, caused)
        if seed % 4 == 0:
            lived = living.live(seed, ("curious by keys", "shouting", "hurt")[seed // 4 % 3])
            added(table, (line.what for line in lived.lines("kept")))
    ordered = {
        kind: {f: sorted(words) for f, words in table[kind].items()} for kind in sorted(table)
    }
    TABLE.write_text(json.dumps(ordered, indent=1, ensure_ascii=False) + "\n", "utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
