"""JSON Lines exports with something wrong in them: for imports that must take all or nothing."""

import json
from random import Random

ODD: tuple[object, ...] = (
    None, True, -1, 0, 10**30, 1.5, "", "x", "\ud800", "2026-13-40T99:00",
    "0001-01-01T00:00:00+14:00", [], {}, [[]], {"a": 1}, "NaN", [0] * 50,
)  # fmt: skip


def mutated(text: str, chance: Random) -> str:
    """The same export with one to three changes: bytes, lines, fields, depth, size."""
    for _ in range(chance.randint(1, 3)):
        text = chance.choice((_byte, _line, _field, _field, _field, _deep, _cut))(text, chance)
    return text


def _byte(text: str, chance: Random) -> str:
    at = chance.randrange(max(len(text), 1))
    return text[:at] + chance.choice('{}[]",:0a\n\\') + text[at + 1 :]


def _cut(text: str, chance: Random) -> str:
    return text[: chance.randrange(max(len(text), 1))]


def _line(text: str, chance: Random) -> str:
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    chance.choice((lambda: lines.pop(at), lambda: lines.insert(other, lines[at])))()
    return "".join(lines)


def _field(text: str, chance: Random) -> str:
    """One value anywhere in a line, without the checksum that would give it away."""
    lines = text.splitlines(keepends=True)
    if not lines:
        return text
    at = chance.randrange(len(lines))
    try:
        fields = json.loads(lines[at])
        fields.pop("crc", None)
        _spoil(fields, chance)
        lines[at] = json.dumps(fields) + "\n"
    except (AttributeError, RecursionError, TypeError, ValueError):
        return text
    return "".join(lines)


def _spoil(value: object, chance: Random) -> None:
    keys = list(value) if isinstance(value, dict) else list(range(len(value)))  # type: ignore[arg-type]
    if not keys:
        return
    key = chance.choice(keys)
    inner = value[key]  # type: ignore[index]
    if isinstance(inner, dict | list) and inner and chance.random() < 0.7:
        _spoil(inner, chance)
    elif isinstance(value, dict) and chance.random() < 0.2:
        del value[key]
    else:
        value[key] = chance.choice(ODD)  # type: ignore[index]


def _deep(text: str, chance: Random) -> str:
    depth = chance.choice((50, 5000, 200_000))
    lines = text.splitlines(keepends=True)
    at = chance.randrange(len(lines) + 1)
    lines.insert(at, '{"line":"aim","aim":' + "[" * depth + "]" * depth + "}\n")
    return "".join(lines)
