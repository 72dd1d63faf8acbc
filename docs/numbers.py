"""Every number that decides something in a session or the record, and where it is from.

A constant's comment names a publication or common practice; where it names neither, it is ours.
"""

import ast
import re
from collections.abc import Iterator
from importlib import import_module

from docs.cited import ROOT, cited
from docs.generate import table

PACKAGES = ("planning", "record", "session", "group", "setup", "model")
FILES = tuple(path for name in PACKAGES for path in sorted((ROOT / "coach" / name).rglob("*.py")))
_OURS = re.compile(r"\bour (own |stricter )?(choice|estimate)\b|\bours\b", re.IGNORECASE)
_LONGEST = 60


def constants() -> Iterator[tuple[str, str, str, str]]:
    """Module, name, value and comment of each constant that holds a number."""
    for path in FILES:
        text = path.read_text("utf-8")
        lines = text.splitlines()
        module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
        for node in ast.parse(text).body:
            names = [name for name in _assigned(node) if name.strip("_").isupper()]
            if not names or not _holds_a_number(node):
                continue
            comment: list[str] = []
            line = node.lineno - 2
            while line >= 0 and lines[line].startswith("#:"):
                comment.insert(0, lines[line].removeprefix("#:").strip())
                line -= 1
            values = [getattr(import_module(module), name) for name in names]
            told = ", ".join(map(_short, values))
            yield module.removeprefix("coach."), ", ".join(names), told, " ".join(comment)


def numbers() -> str:
    """The constants as Markdown."""
    rows, of, before = [], "", ""
    for module, name, value, comment in constants():
        # one comment may stand over several that belong together
        before, of = comment or (before if module == of else ""), module
        rows.append((f"`{module}.{name}`", value, before.rstrip("."), sure(before)))
    return table(("number", "value", "what it is", "how sure"), rows)


def sure(comment: str) -> str:
    """How sure a number is, by the words of its comment: the least sure that any of it is."""
    if _OURS.search(comment) is not None:
        return "our choice"
    if "common practice" in comment.lower():
        return "common practice"
    return "published" if cited(comment) else "our choice"


def _assigned(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.AnnAssign):
        targets: list[ast.expr] = [node.target]
    elif isinstance(node, ast.Assign):
        targets = node.targets
    else:
        return []
    found = [one for target in targets for one in getattr(target, "elts", [target])]
    return [one.id for one in found if isinstance(one, ast.Name)]


def _holds_a_number(node: ast.stmt) -> bool:
    value = getattr(node, "value", None)
    if value is None or any(isinstance(one, ast.Call) for one in ast.walk(value)):
        return False
    return any(
        isinstance(one, ast.Constant)
        and isinstance(one.value, int | float)
        and not isinstance(one.value, bool)
        for one in ast.walk(value)
    )


def _short(value: object) -> str:
    text = re.sub(r"<[^<>]*: '?([^'<>]*)'?>", r"\1", repr(value)).replace("|", "or")
    return text if len(text) <= _LONGEST else text[: _LONGEST - 3] + "..."
