"""Language packs: `voices/words/*.toml`, checked so that no sentence or phrase can be missing.

Beside them stand a person's own words: `words.toml`, phrases by language and answer, added to
those of the pack.
"""

from collections.abc import Mapping, Sequence
from pathlib import Path

import tomlkit

from coach.errors import FileError
from coach.files.atomic import write_text
from coach.files.document import Document, read
from coach.files.find import PACKAGE
from coach.files.key_move_files import load_key_moves, sentences
from coach.files.key_move_files import words as titles
from coach.files.names import advice
from coach.language import Language, normal
from coach.model.answers import Meaning, parse
from coach.model.key_moves import NO_KEY_MOVES, KeyMoves
from coach.model.movement import Family, Movement

_TABLES = ("say", "answers", "words")
#: How times of day are said; a language may do without.
_CLOCK = "clock"
_HOURS = 12


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
    table = load_key_moves(None, user_dirs)
    return language_of(read(known[code]), movements, _own(user_dirs), table)


def language_of(
    document: Document,
    movements: Mapping[str, Movement],
    own: Sequence[Document] = (),
    table: KeyMoves = NO_KEY_MOVES,
) -> Language:
    """The language that a file describes, with a person's own words of that language.

    What the movements and the key moves have to say stands with them, and is taken from there.
    """
    for name in document.values:
        if name not in (*_TABLES, _CLOCK):
            raise document.error((name,), "unknown table", advice(name, (*_TABLES, _CLOCK)))
    for name in _TABLES:
        if not isinstance(document.values.get(name), dict):
            raise document.error((name,), f"the table [{name}] is missing", "Add it.")
    says, words = _texts(document, "say"), _texts(document, "words")
    answers = _answers(document, ("answers",), {})
    for words_ in own:
        answers = _with_own(answers, words_, document.name)
    answers |= _focuses(document.name, movements, answers)
    answers |= _variations(document.name, table, answers)
    says = {**says, **dict(sentences(table, document.name))}
    words = {**words, **dict(titles(table, document.name))}
    return Language(document.name, says, answers, words, movements, times=_times(document))


def _times(document: Document) -> dict[str, tuple[str, ...]]:
    """Every five minutes of a dial of twelve hours: 'until:430' -> 'until ten past seven'.

    The table has the words of the hours, twelve first, and a sentence for each five minutes, with
    `{hour}` and `{next}` for the hour and the one after it.
    """
    table = document.values.get(_CLOCK)
    if table is None:
        return {}
    hours = table.get("hours") if isinstance(table, dict) else None
    if not isinstance(hours, list) or len(hours) != _HOURS:
        raise document.error((_CLOCK, "hours"), "is not a list of twelve words", "Twelve first.")
    found: dict[str, tuple[str, ...]] = {}
    for minutes in range(0, 60 * _HOURS, 5):
        hour, rest = divmod(minutes, 60)
        sentence = table.get(str(rest))
        if not isinstance(sentence, str):
            raise document.error((_CLOCK, str(rest)), "is not a text", "Put it in quotes.")
        said = sentence.replace("{hour}", hours[hour])
        said = said.replace("{next}", hours[(hour + 1) % _HOURS])
        found[f"{Meaning.UNTIL.value}:{minutes}"] = (said,)
    return found


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


def _variations(
    code: str, table: KeyMoves, answers: Mapping[str, Sequence[str]]
) -> dict[str, tuple[str, ...]]:
    """The titles of variations as answers, but for one that means something else already."""
    taken = {normal(text) for texts in answers.values() for text in texts}
    titles_ = {name: one.title.get(code, "") for name, one in table.variations.items()}
    return {
        f"variation:{name}": (title,)
        for name, title in titles_.items()
        if normal(title) and normal(title) not in taken
    }


def _texts(document: Document, table: str) -> Mapping[str, str]:
    texts: Mapping[str, str] = document.values[table]
    for key, value in texts.items():
        if not isinstance(value, str):
            raise document.error((table, key), "is not a text", "Put it in quotes.")
    return texts


def _answers(
    document: Document, table: tuple[str, ...], seen: dict[str, str]
) -> dict[str, tuple[str, ...]]:
    """The answers of a table; `seen` tells what each phrase means already."""
    answers: dict[str, tuple[str, ...]] = {}
    values: Mapping[str, object] = document.values[table[0]]
    for key, phrases in values.items():
        place = (*table, key)
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


def own_words_file(data: Path) -> Path:
    """Where a person's own words are."""
    return data / "words.toml"


def _own(user_dirs: Sequence[Path]) -> list[Document]:
    return [read(path) for path in map(own_words_file, user_dirs) if path.exists()]


def own_words(data: Path, code: str) -> dict[str, tuple[str, ...]]:
    """A person's own words of a language: answer key -> phrases; FileError for a mistake."""
    found: dict[str, tuple[str, ...]] = {}
    for document in _own((data,)):
        found |= _own_answers(document, code, {})
    return found


def _own_answers(document: Document, code: str, seen: dict[str, str]) -> dict[str, tuple[str, ...]]:
    for name, table in document.values.items():
        if not isinstance(table, dict):
            what = "is no table of a language"
            raise document.error((name,), what, "Put it under [en], say.")
    return _answers(document, (code,), seen) if code in document.values else {}


def _with_own(
    answers: dict[str, tuple[str, ...]], document: Document, code: str
) -> dict[str, tuple[str, ...]]:
    """The answers of a pack with phrases of a person's own, which stand after the pack's."""
    seen = {normal(text): key for key, texts in answers.items() for text in texts}
    joined = dict(answers)
    for key, texts in _own_answers(document, code, seen).items():
        joined[key] = tuple(dict.fromkeys((*answers.get(key, ()), *texts)))
    return joined


_HEAD = """\
Words of your own, beside those of the language packs, by language and answer; coach words lists
all. What the recogniser can't know has to be taught: coach words teach.
"""


def add_own_word(data: Path, code: str, key: str, phrase: str) -> None:
    """Add a phrase to a person's own words; comments that are there stay.

    FileError for a mistake that is there already.
    """
    path = own_words_file(data)
    own_words(data, code)
    document = _written(path)
    table = document.setdefault(code, tomlkit.table())
    phrases = table.setdefault(key, tomlkit.array())
    if phrase not in phrases:
        phrases.append(phrase)
        write_text(path, tomlkit.dumps(document))


def remove_own_word(data: Path, code: str, phrase: str) -> bool:
    """Take a phrase out of a person's own words; whether it was there."""
    path = own_words_file(data)
    keys = [key for key, texts in own_words(data, code).items() if phrase in texts]
    if not keys:
        return False
    document = _written(path)
    table = document[code]
    for key in keys:
        left = [text for text in own_words(data, code)[key] if text != phrase]
        if left:
            table[key] = left
        else:
            del table[key]
    write_text(path, tomlkit.dumps(document))
    return True


def _written(path: Path) -> tomlkit.TOMLDocument:
    if path.exists():
        return tomlkit.parse(path.read_text(encoding="utf-8"))
    document = tomlkit.document()
    for line in _HEAD.splitlines():
        document.add(tomlkit.comment(line))
    return document
