"""Checking one file by itself, whatever kind it is.

Each check looks at the file alone first: its own mistakes come before those of other files.
"""

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from coach.files.document import Document, read
from coach.files.extending import written
from coach.files.movements import entries, entries_of, load_movements, movement_files
from coach.files.places import place_of
from coach.files.routines import routine_of
from coach.files.settings import load_settings
from coach.files.voices import voice_of
from coach.files.words import language_of

Check = Callable[[Document, Sequence[Path]], object]


def _movements(document: Document, user_dirs: Sequence[Path]) -> object:
    entries_of(document)
    others = [path for path in movement_files(user_dirs) if path != document.path]
    return entries([*others, document.path])


def _routine(document: Document, user_dirs: Sequence[Path]) -> object:
    written(document, user_dirs)
    return routine_of(document, load_movements(user_dirs), user_dirs)


def _words(document: Document, user_dirs: Sequence[Path]) -> object:
    return language_of(document, load_movements(user_dirs))


#: By the folder that a file stands in.
_FOLDERS: Mapping[str, Check] = {
    "routines": _routine,
    "movements": _movements,
    "places": lambda document, _: place_of(document),
    "voices": lambda document, _: voice_of(document),
    "words": _words,
    "config": lambda document, _: load_settings(document.path),
}
#: By a key that only this kind has, for a file that stands anywhere else.
_KEYS: Mapping[str, str] = {
    "movements": "movements",
    "family": "movements",
    "circuits": "places",
    "words_per_minute": "voices",
}


def verify_file(path: Path, user_dirs: Sequence[Path] = ()) -> None:
    """FileError for the first mistake of a file; the files that it refers to count as well."""
    document = read(path)
    folder = path.absolute().parent.name
    if folder not in _FOLDERS:
        folder = next((kind for key, kind in _KEYS.items() if key in document.values), "routines")
    _FOLDERS[folder](document, user_dirs)
