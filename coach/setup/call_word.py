"""The word that calls the coach: said before an answer, it opens the ear outside windows."""

from collections.abc import Sequence

from rapidfuzz import fuzz

from coach.errors import UsageError
from coach.files.names import ALIKE
from coach.language import Language
from coach.language.pack import normal
from coach.model.person import Person

#: What is told to have none.
OFF = "off"
#: A shorter word is in too much of what is said.
LEAST_LETTERS, MOST_WORDS = 4, 2


def call_word(word: str | None, people: Sequence[Person], language: Language) -> str:
    """The word, '' for none; `word` is what was told, None where nothing was.

    Told nothing, two or more people have that of the language, since there answers are said for
    others to hear, and who is alone has none. UsageError for a word that would not do.
    """
    if word is None:
        return language.words.get("call", "") if len(people) > 1 else ""
    chosen = normal(word)
    if chosen == OFF:
        return ""
    why = _unfit(chosen, people, language)
    if why:
        usual = language.words.get("call", "coach")
        raise UsageError(f"--call: {word!r} {why}", f"Such as: --call {usual}; none: --call {OFF}")
    return chosen


def _unfit(word: str, people: Sequence[Person], language: Language) -> str:
    """Why a word could not be told from what else is said; '' where it can."""
    letters = word.replace(" ", "")
    if not letters.isalpha() or len(word.split()) > MOST_WORDS:
        return "is not a word or two"
    if len(letters) < LEAST_LETTERS:
        return "is too short to be heard for sure"
    for some in language.answers.values():
        for phrase in some:
            if fuzz.ratio(word, phrase) >= ALIKE or f" {word} " in f" {phrase} ":
                return f"sounds like the answer {phrase!r}"
    for person in people:
        if person.name and fuzz.ratio(word, normal(person.name)) >= ALIKE:
            return f"sounds like the name {person.name!r}"
    return ""
