"""Several things told of a try in one breath are found, and nothing else is."""

import pytest

from coach.files.words import load_language
from coach.language import Language
from coach.model.answers import parse
from coach.model.breath import in_one_breath
from tests.session.stage import LANGUAGE, LIBRARY

GERMAN = load_language("de", LIBRARY.movements)


@pytest.mark.parametrize(
    ("language", "text", "keys"),
    [
        (LANGUAGE, "fell at move five, foot slipped", "move:5 cause:foot"),
        (
            LANGUAGE,
            "Fell at five, left foot slipped, closer than before.",
            "move:5 cause:foot closer",
        ),
        (LANGUAGE, "topped, felt easier", "topped felt-easier"),
        (LANGUAGE, "no power left, and in the middle", "ended-middle cause:tired"),
        (LANGUAGE, "I'm down, my foot, it felt harder", "down cause:foot felt-harder"),
        (LANGUAGE, "a foot slipped", "cause:foot"),
        (LANGUAGE, "topped, in the middle", ""),
        (LANGUAGE, "foot slipped, all done", ""),
        (LANGUAGE, "fell at the supermarket", ""),
        (GERMAN, "Bei Zug f\u00fcnf gefallen, Fu\u00df rutschte", "move:5 cause:foot"),
        (GERMAN, "in der Mitte, keine Kraft mehr, war h\u00e4rter",
         "ended-middle cause:tired felt-harder"),
    ],
)  # fmt: skip
def test_the_parts_of_a_breath_are_found(language: Language, text: str, keys: str) -> None:
    assert [one.key for one in language.breath(text)] == keys.split()


def test_a_breath_tells_each_thing_once() -> None:
    foot, grip = parse("cause:foot"), parse("cause:grip")
    assert in_one_breath((foot, parse("topped"))) == (parse("topped"), foot)
    assert in_one_breath((foot, grip)) == ()
    assert in_one_breath((foot, parse("done"))) == ()
    assert in_one_breath((foot,)) == ()
