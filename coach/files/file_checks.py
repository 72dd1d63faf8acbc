"""Checking files by themselves, whatever kind they are: one of them, or all.

Each check looks at the file alone first: its own mistakes come before those of other files.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from coach.errors import FileError
from coach.files.document import Document, read
from coach.files.extending import written
from coach.files.find import FileKind, files
from coach.files.key_move_files import key_moves_files, key_moves_of
from coach.files.movements import entries, entries_of, load_movements, movement_files
from coach.files.places import place_of
from coach.files.routines import routine_of
from coach.files.settings import load_settings
from coach.files.voices import voice_of
from coach.files.words import language_files, language_of
from coach.model.movement import Movement

#: Gives the catalogue to a check that needs it.
Catalogue = Callable[[], Mapping[str, Movement]]
Check = Callable[[Document, Sequence[Path], Catalogue], object]


def _movements(document: Document, user_dirs: Sequence[Path], _: Catalogue) -> object:
    entries_of(document)
    others = [path for path in movement_files(user_dirs) if path != document.path]
    return entries([*others, document.path])


def _routine(document: Document, user_dirs: Sequence[Path], catalogue: Catalogue) -> object:
    written(document, user_dirs)
    return routine_of(document, catalogue(), user_dirs)


def _key_moves(document: Document, user_dirs: Sequence[Path], catalogue: Catalogue) -> object:
    others = [path for path in key_moves_files(user_dirs) if path != document.path]
    return key_moves_of([*others, document.path], catalogue())


#: By the folder that a file stands in.
_FOLDERS: Mapping[str, Check] = {
    "routines": _routine,
    "movements": _movements,
    "boulders": _key_moves,
    "places": lambda document, *_: place_of(document),
    "voices": lambda document, *_: voice_of(document),
    "words": lambda document, _, catalogue: language_of(document, catalogue()),
    "config": lambda document, *_: load_settings(document.path),
}
#: By a key that only this kind has, for a file that stands anywhere else.
_KEYS: Mapping[str, str] = {
    "movements": "movements",
    "family": "movements",
    "variations": "boulders",
    "circuits": "places",
    "words_per_minute": "voices",
}


def verify_file(path: Path, user_dirs: Sequence[Path] = ()) -> None:
    """FileError for the first mistake of a file; the files that it refers to count as well."""
    document = read(path)
    folder = path.absolute().parent.name
    if folder not in _FOLDERS:
        folder = next((kind for key, kind in _KEYS.items() if key in document.values), "routines")
    _FOLDERS[folder](document, user_dirs, lambda: load_movements(user_dirs))


def verify_all(user_dirs: Sequence[Path] = ()) -> tuple[list[Path], list[FileError]]:
    """The files without a mistake, and the first mistake of each other one.

    Routines and words are looked at once the movements that they name are all good.
    """
    seen = _Seen()
    catalogue = seen.catalogue(user_dirs)
    if catalogue is not None:
        routines = files(FileKind.ROUTINE, user_dirs).values()
        seen.check(routines, lambda document: _routine(document, user_dirs, lambda: catalogue))
        key_moves = key_moves_files(user_dirs)
        seen.check(key_moves, lambda document: _key_moves(document, user_dirs, lambda: catalogue))
        words = language_files(user_dirs).values()
        seen.check(words, lambda document: language_of(document, catalogue))
    seen.check(files(FileKind.PLACE, user_dirs).values(), place_of)
    seen.check(files(FileKind.VOICE, user_dirs).values(), voice_of)
    return seen.good, seen.mistakes


@dataclass
class _Seen:
    """Files that were looked at."""

    good: list[Path] = field(default_factory=list)
    mistakes: list[FileError] = field(default_factory=list)

    def check(self, paths: Iterable[Path], load: Callable[[Document], object]) -> None:
        """Look at some files."""
        for path in paths:
            try:
                load(read(path))
            except FileError as mistake:
                self.mistakes.append(mistake)
            else:
                self.good.append(path)

    def catalogue(self, user_dirs: Sequence[Path]) -> Mapping[str, Movement] | None:
        """Look at the movements, each file alone and then together; None for a mistake."""
        self.check(movement_files(user_dirs), entries_of)
        if self.mistakes:
            return None
        try:
            return load_movements(user_dirs)
        except FileError as mistake:
            self.mistakes.append(mistake)
            self.good.remove(Path(mistake.path))
            return None
