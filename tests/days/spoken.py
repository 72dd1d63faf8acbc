"""What a language pack makes of messages and of phrases, by a line for each: no session, no voice.

`script(code)` holds every sentence filled in each way, those that are only shown included;
`heard(code)` what phrases mean, alone and several in one breath, and how people, places and things
are called.
"""

import hashlib
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from random import Random

from coach.files.movements import load_movements
from coach.files.words import load_language
from coach.language import Language, normal
from coach.language.script import SHOWN
from coach.language.script import script as every_line
from coach.model.answers import parse
from coach.model.breath import DESCRIBES
from coach.model.messages import Message, Value
from coach.model.person import Person

#: Breaths that are drawn.
BREATHS = 120
WHO = (Person(1, "Runa"), Person(2, ""), Person(3, "Done"), Person(4, "Osk"))
CIRCUITS = ("slate", "done", "flint", "")
THINGS: tuple[Value, ...] = (
    0,
    1,
    12,
    2.5,
    3.0,
    True,
    "fingers",
    "done",
    "cat-arch",
    "no such thing",
)
SIDES, AMOUNTS = ("", "left", "right"), (0, 1, 12)


def script(code: str) -> str:
    """A line a key: how many sentences come of it, and a digest of them."""
    language = load_language(code, load_movements(()))
    shown = {f"also-{key}": text for key, text in language.says.items() if key.startswith(SHOWN)}
    told = defaultdict[str, list[str]](list)
    for line in every_line(replace(language, says={**language.says, **shown})):
        told[line.key].append(f"{line.text}|{line.words}|{line.seconds(150.0):.2f}")
    return "\n".join([*(f"{key} {len(some)} #{_digest(some)}" for key, some in told.items()), ""])


def heard(code: str) -> str:
    """A line for each phrase, breath, name and thing."""
    language = load_language(code, load_movements(()))
    lines = [*_phrases(language), *_breaths(language), *_called(language), *_moved(language)]
    return "\n".join([*lines, ""])


def _digest(lines: list[str]) -> str:
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:6]


def _phrases(language: Language) -> Iterator[str]:
    times = sorted(language.times)[::60]
    for key, phrases in [*language.answers.items(), *((one, language.times[one]) for one in times)]:
        found = [f"{text}={_keys(language, f' {text.upper()}! ')}" for text in phrases]
        yield f"{key} {language.phrase(key)} #{_digest(found)}"
    yield f"{len(language.said)} phrases; {sorted(language.phrases(('done', 'yes', 'none')))}"
    for text in ("done", " DONE", "feel:knees:sore", "hm hm", ""):
        answer = language.find(text)
        yield f"{text!r} {answer and answer.key} {_keys(language, text)}"
    yield f"{[language.phrase(key) for key in ('done', 'none')]} {normal(' A-b,  c! ')!r}"


def _breaths(language: Language) -> Iterator[str]:
    dice = Random(language.code)
    told = sorted(
        text
        for key, phrases in language.answers.items()
        if parse(key).meaning.nature.tells or parse(key).meaning in DESCRIBES
        for text in phrases
    )
    between = ["", ",", *language.words["in-one-breath"].split()]
    for _ in range(BREATHS):
        some = dice.sample(told, dice.choice((1, 2, 2, 3)))
        if dice.random() < 0.1:
            some.append("hm hm")
        breath = f" {dice.choice(between)} ".join(some)
        yield f"{breath}: {_keys(language, breath)}"


def _keys(language: Language, text: str) -> str:
    return " ".join(one.key for one in language.breath(text))


def _called(language: Language) -> Iterator[str]:
    named = language.naming(WHO)
    keys = ("person:1", "person:2", "person:3", "person:4")
    yield f"{dict(named.names)} {[named.answers.get(key) for key in keys]}"
    here = language.at(CIRCUITS)
    yield f"{[here.answers.get(f'circuit:{one}') for one in CIRCUITS]}"
    for one in (language, named):
        yield f"{[one.word(thing) for thing in THINGS]}"
        says = {**one.says, "x": "{people}. {parts}; {block}, {station}, {n?one|# of|none}"}
        mine = replace(one, says=says)
        for who, people in product((0, 1, 2), ("", "1", "2 4", "1+2 3+4+5")):
            values: dict[str, Value] = {"who": who, "people": people, "n": who}
            values |= {"parts": ("", "hips", "hips knees back")[who]}
            values |= {"block": ("easy", "hard", "?")[who], "station": ("wall", "mat", "?")[who]}
            yield mine.text(Message("x", tuple(sorted(values.items()))))


def _moved(language: Language) -> Iterator[str]:
    says = {**language.says, "x": "{movement}: {cue} {form} {dose}"}
    mine = replace(language, says=says)
    for name in (*language.movements, "", "no-such"):
        told = []
        for side, amount in product(SIDES, AMOUNTS):
            values: dict[str, Value] = {
                "movement": name,
                "side": side,
                "amount": amount,
                "kind": "climb",
            }
            told.append(mine.text(Message("x", tuple(sorted(values.items())))))
            del values["amount"]
            told.append(mine.text(Message("x", tuple(sorted(values.items())))))
        yield f"{name} #{_digest(told)}"
