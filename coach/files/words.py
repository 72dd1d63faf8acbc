"""Language packs: `voices/words/*.toml`, checked so that no sentence or phrase can be missing."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from coach.errors import FileError
from coach.files.document import Document, read
from coach.files.find import PACKAGE
from coach.files.names import advice
from coach.language import Language, normal
from coach.model.answers import parse
from coach.model.movement import Family, Movement

_TABLES = ("say", "answers", "words")


def _folders(user_dirs: Sequence[Path]) -> list[Path]:
    ours = (PACKAGE / "_data" / "voices" / "words", PACKAGE.parent / "voices" / "words")
    return [*(user / "voices" / "words" for user in user_dirs), *ours]


def language_files(user_dirs: Sequence[Path] = ()) -> dict[str, Path]:
    """The file of every language pack by its code; a user's own wins over ours."""
    return {
        path.stem: path
        for folder in reversed(_folders(user_dirs))
        for path in sorted(folder.glob("*.toml"))
    }


def list_languages(user_dirs: Sequence[Path] = ()) -> list[str]:
    """The codes of all language packs."""
    return sorted(language_files(user_dirs))


def load_language(
    code: str, movements: Mapping[str, Movement], user_dirs: Sequence[Path] = ()
) -> Language:
    """A language pack by its code; FileError with the nearest, or for the first mistake in it."""
    known = language_files(user_dirs)
    if code not in known:
        what = "there is no such language"
        raise FileError(f"voices/words/{code}.toml", what, advice(code, known))
    return language_of(read(known[code]), movements)


def language_of(document: Document, movements: Mapping[str, Movement]) -> Language:
    """The language that a file describes."""
    for name in document.values:
        if name not in _TABLES:
            raise document.error((name,), "unknown table", advice(name, _TABLES))
    for name in _TABLES:
        if not isinstance(document.values.get(name), dict):
            raise document.error((name,), f"the table [{name}] is missing", "Add it.")
    says, words = _texts(document, "say"), _texts(document, "words")
    answers = _answers(document)
    answers |= _focuses(document.name, movements, answers)
    return Language(document.name, says, answers, words, movements)


def _focuses(
    code: str, movements: Mapping[str, Movement], answers: Mapping[str, Sequence[str]]
) -> dict[str, tuple[str, ...]]:
    """The titles of focuses as answers, but for one that means something else already."""
    taken = {normal(text) for texts in answers.values() for text in texts}
    found: dict[str, tuple[str, ...]] = {}
    for movement in movements.values():
        title = movement.title.get(code, "")
        if movement.family is Family.FOCUS and normal(title) and normal(title) not in taken:
            found[f"focus:{movement.name}"] = (title,)
            taken.add(normal(title))
    return found


def _texts(document: Document, table: str) -> Mapping[str, str]:
    texts: Mapping[str, str] = document.values[table]
    for key, value in texts.items():
        if not isinstance(value, str):
            raise document.error((table, key), "is not a text", "Put it in quotes.")
    return texts


def _answers(document: Document) -> dict[str, tuple[str, ...]]:
    answers: dict[str, tuple[str, ...]] = {}
    seen: dict[str, str] = {}
    for key, phrases in document.values["answers"].items():
        place = ("answers", key)
        try:
            parse(key)
        except ValueError as error:
            raise document.error(place, str(error), "docs/answers.md lists them.") from error
        texts = phrases if isinstance(phrases, list) else []
        if not texts or not all(isinstance(text, str) and normal(text) for text in texts):
            raise document.error(place, "is not a list of phrases", 'Write ["one", "two"].')
        for text in map(normal, texts):
            if seen.setdefault(text, key) != key:
                what = f"{text!r} already means {seen[text]!r}"
                raise document.error(place, what, "Give each answer phrases of its own.")
        answers[key] = tuple(texts)
    return answers
