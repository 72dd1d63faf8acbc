"""A sentence as a voice is to read it out: units, grades and trade words, by `voices/spoken`."""

import re
import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from coach.errors import FileError
from coach.files.find import FileKind, data_root

#: The grades of boulders that end in a sign: "6B+", "5+" (font scale, an open convention).
_GRADE = r"(?<![\w.,])([3-9][ABCabc]?)([{signs}])(?![\w])"


@dataclass(frozen=True, slots=True)
class Spelling:
    """What is read out otherwise than it is written; `of` reads it from files."""

    words: Mapping[str, str] = field(default_factory=dict)
    units: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    signs: Mapping[str, str] = field(default_factory=dict)

    def spoken(self, text: str) -> str:
        """The text with each of them put into words; the rest as it was."""
        for pattern, change in self._changes():
            text = re.sub(pattern, change, text)
        return text

    def _changes(self) -> Sequence[tuple[str, Callable[[re.Match[str]], str]]]:
        made: list[tuple[str, Callable[[re.Match[str]], str]]] = []
        if self.signs:
            signs = "".join(re.escape(sign) for sign in self.signs)
            pattern = _GRADE.format(signs=signs)
            made.append((pattern, lambda m: f"{m[1]} {self.signs[m[2]]}"))
        if self.units:
            units = "|".join(sorted(map(re.escape, self.units), key=len, reverse=True))
            made.append((rf"(?<![\w])(\d+(?:[.,]\d+)?)\s?({units})(?![\w])", self._unit))
        if self.words:
            words = "|".join(sorted(map(re.escape, self.words), key=len, reverse=True))
            made.append((rf"(?i)(?<![\w])({words})(?![\w])", self._word))
        return made

    def _unit(self, match: re.Match[str]) -> str:
        one, many = self.units[match[2]]
        return f"{match[1]} {one if match[1] == '1' else many}"

    def _word(self, match: re.Match[str]) -> str:
        said = self.words[match[1].lower()]
        return said[0].upper() + said[1:] if match[1][0].isupper() else said


def of(language: str, user_dirs: Sequence[Path] = ()) -> Spelling:
    """The spelling of a language, a climber's own entries over ours; FileError for a mistake."""
    words: dict[str, str] = {}
    units: dict[str, tuple[str, str]] = {}
    signs: dict[str, str] = {}
    folders = [
        data_root(FileKind.VOICE),
        *(user / FileKind.VOICE.value for user in reversed(user_dirs)),
    ]
    for folder in folders:
        path = folder / "spoken" / f"{language}.toml"
        if not path.is_file():
            continue
        try:
            table = tomllib.loads(path.read_text("utf-8"))
            words.update({name.lower(): str(said) for name, said in table.get("words", {}).items()})
            units.update(
                {name: (str(a), str(b)) for name, (a, b) in table.get("units", {}).items()}
            )
            signs.update({name: str(said) for name, said in table.get("signs", {}).items()})
        except (tomllib.TOMLDecodeError, ValueError, TypeError, AttributeError) as error:
            raise FileError(path, f"it can't be read: {error}", "Compare it with ours.") from error
        if "" in words or "" in words.values():
            raise FileError(path, "a word is empty", "Give each a word and how it is said.")
    return Spelling(words, units, signs)
