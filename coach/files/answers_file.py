"""Answers files: one answer a line, `MM:SS [who:] words`; '#' begins a comment.

A scale's reading at the edge check is a line too, such as `18:30 42.5 kg`.
"""

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from coach.errors import FileError
from coach.files.names import file_advice, nearest
from coach.model import scale
from coach.model.answers import Answer

_LINE = re.compile(r"(?P<m>\d{1,3}):(?P<s>[0-5]\d)\s+(?:(?P<who>\d{1,2}):\s*)?(?P<words>\S.*)")


@dataclass(frozen=True, slots=True)
class Scripted:
    """One answer of a file."""

    at: float
    """Seconds after the start from which it is waiting to be said."""
    who: int
    answer: Answer | None
    """None for a scale's reading, which is told by key."""
    words: str
    line: int
    reading: float | None = None
    """The scale's reading in kilograms, where it is one."""
    also: tuple[Answer, ...] = ()
    """What else of a try the same breath tells."""


def read_answers(
    path: Path, find: Callable[[str], Sequence[Answer]], phrases: Iterable[str] = ()
) -> tuple[Scripted, ...]:
    """All answers of a file in order of time; FileError with the line of the first mistake.

    `find` takes what was said to its answers, as `Language.breath` does; `phrases` are what can be
    said, for the nearest one.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        reason = error.strerror or str(error)
        raise FileError(path, f"can't be read: {reason}", file_advice(path)) from error
    except UnicodeDecodeError as error:
        raise FileError(path, "is not UTF-8 text", "Save it as UTF-8.") from error
    found = []
    for number, line in enumerate(text.splitlines(), 1):
        stripped = line.split("#", 1)[0].strip()
        if not stripped:
            continue
        match = _LINE.fullmatch(stripped)
        if match is None:
            what = f"{stripped!r} is not 'MM:SS [who:] words'"
            raise FileError(path, what, "For example: 12:30 all done", line=number)
        words = match["words"]
        reading = scale.kilograms(words) if scale.has_unit(words) else None
        if reading is not None and not scale.believed(reading):
            what = f"{words!r} is no reading of a scale"
            do = f"Write {scale.LEAST:g} to {scale.MOST:g} kg."
            raise FileError(path, what, do, line=number)
        answers = find(words) if reading is None else ()
        if not answers and reading is None:
            what = f"no answer is called {words!r}"
            guess = nearest(words, phrases)
            meant = f"Did you mean {guess!r}? " if guess else ""
            do = f"{meant}docs/answers.md lists the phrases."
            raise FileError(path, what, do, line=number)
        at = 60.0 * int(match["m"]) + float(match["s"])
        answer, *also = answers or (None,)
        who = int(match["who"] or 1)
        found.append(Scripted(at, who, answer, words, number, reading, tuple(also)))
    return tuple(sorted(found, key=lambda item: item.at))
