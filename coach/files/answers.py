"""Answers files: one answer a line, `MM:SS [who:] words`; '#' begins a comment."""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

from coach.errors import FileError
from coach.files.names import file_advice, nearest
from coach.model.answers import Answer

_LINE = re.compile(r"(?P<m>\d{1,3}):(?P<s>[0-5]\d)\s+(?:(?P<who>\d{1,2}):\s*)?(?P<words>\S.*)")


@dataclass(frozen=True, slots=True)
class Scripted:
    """One answer of a file."""

    at: float
    """Seconds after the start from which it is waiting to be said."""
    who: int
    answer: Answer
    words: str
    line: int


def read_answers(
    path: Path, find: Callable[[str], Answer | None], phrases: Iterable[str] = ()
) -> tuple[Scripted, ...]:
    """All answers of a file in order of time; FileError with the line of the first mistake.

    `find` takes what was said to its answer; `phrases` are what can be said, for the nearest one.
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
        answer = find(match["words"])
        if answer is None:
            what = f"no answer is called {match['words']!r}"
            guess = nearest(match["words"], phrases)
            meant = f"Did you mean {guess!r}? " if guess else ""
            do = f"{meant}docs/answers.md lists the phrases."
            raise FileError(path, what, do, line=number)
        at = 60.0 * int(match["m"]) + float(match["s"])
        found.append(Scripted(at, int(match["who"] or 1), answer, match["words"], number))
    return tuple(sorted(found, key=lambda item: item.at))
