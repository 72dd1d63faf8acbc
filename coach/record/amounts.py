"""Amounts and names in words, as history and trends print them."""

import re
from collections.abc import Iterable, Sequence


def duration(seconds: float) -> str:
    """'45 s', '12 min', '3 h 05'."""
    if round(seconds) < 90:
        return f"{round(seconds)} s"
    minutes = round(seconds / 60)
    return f"{minutes} min" if minutes < 100 else f"{minutes // 60} h {minutes % 60:02}"


def count(number: float, one: str, many: str = "") -> str:
    """'1 try', '3 tries'."""
    return f"{number:g} {one if number == 1 else many or one + 's'}"


#: Heads of answers that say nothing to a reader.
_HEADS = re.compile(r"\b(feel|part|cause|tissue|sign|style|hand|key-move|focus):")

#: What English writes with a hyphen.
_ONE_WORD = ("check-in", "go-ahead", "warm-up", "make-up", "cool-down")


def in_words(name: str) -> str:
    """A name that the core gave to a rule, an answer or a movement: 'feel:fingers:sore'."""
    text = re.sub("[:-]", " ", _HEADS.sub("", name))
    for word in _ONE_WORD:
        text = text.replace(word.replace("-", " "), word)
    return text


def listed(items: Sequence[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join([", ".join(items[:-1]), items[-1]] if len(items) > 1 else items)


def median(values: Iterable[float]) -> float | None:
    """The median, or None of nothing."""
    ordered = sorted(values)
    middle = len(ordered) // 2
    if not ordered:
        return None
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2
