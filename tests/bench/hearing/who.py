"""Answers to a "who is it?", and how they are repaired: `python -m tests.bench.hearing.who [N]`.

Groups of twelve, the window of the question as the group opens it, voices that neither training
nor any threshold has heard, in a quiet room and in a hall at 20 dB. First the roll-call: the names
that the ear can't tell are called by number (`coach.runtime.name_voices`). Then each of N is said
by name where the name stays, else by number, in turns until it is right: what is ignored is asked
for again ("Say their number."), what is asked back gets a yes, whoever else was taken is taken back
by "undo that"; each time the same voice then says the number.
"""

import sys
import tempfile
from collections import Counter
from dataclasses import replace
from itertools import cycle
from pathlib import Path

from coach.files.library import load_library
from coach.files.paths import Paths
from coach.files.settings import Settings
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.group.phrases import heard_from, who_of
from coach.hearing.scorer import WhisperScorer
from coach.language import Language
from coach.model.person import Person
from coach.model.start import Options
from coach.runtime.name_voices import missed
from coach.setup.settling import Setup
from tests.bench.hearing import material
from tests.bench.hearing.trials import Condition, Spoken, stream

#: People of invented groups. On those of the first the score of a name was set; on none of the
#: others anything was.
ROSTERS = (
    "Runa Odalys Bertil Quentin Isolde Tamsin Leopold Marisol Anselm Philippa Corwin Dagny",
    "Marta Simon Astrid Lorenz Juno Paula Nils Valentina Oskar Fenja Gideon Ruth",
    "Hannah Jonas Mirela Konrad Selma David Alva Benedikt Tilda Arvid Rosalind Peter",
)
CONDITIONS = (Condition("quiet"), Condition("hall 20 dB", "hall", 20.0))
#: Times that a leader says it at most.
TURNS = 4


def by_number(people: tuple[Person, ...], language: Language) -> frozenset[int]:
    """Who is called by number after the roll-call, with the voices that are here."""
    library, profile = load_library("full"), load_voice("steady")
    setup = Setup(library, Options(people), profile, language, Settings(), kind="group")
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        return missed(setup, people, Paths(place, place, place, place), print)


def spoken(
    count: int, language: Language, named: dict[int, str], people: int, *, number: bool
) -> list[Spoken]:
    """So many answers, person after person, voice after voice."""
    window = (*who_of(range(1, people + 1)), "no")
    voices = [voice for voice in material.HELD_OUT if material.has(voice.engine)]
    made = []
    for turn, voice in zip(range(count), cycle(voices), strict=False):
        # each time round the voices begin with another person
        who = (turn + turn // len(voices)) % people + 1
        phrases = language.answers[f"person:{who}"]
        phrase = phrases[0] if number or who not in named else named[who]
        made.append(said(f"person:{who}", phrase, voice, window))
    return made


def said(key: str, phrase: str, voice: material.Voice, window: tuple[str, ...]) -> Spoken:
    """One answer by a voice."""
    return Spoken(key, phrase, material.say(voice, phrase), voice.label, window)


def repaired(
    scorer: WhisperScorer, language: Language, condition: Condition, first: list[Spoken]
) -> tuple[Counter[str], list[int]]:
    """What came of the first time, and how many were right after each further turn."""
    voices = {voice.label: voice for voice in material.HELD_OUT}
    left, kinds = first, Counter[str]()
    right: list[int] = []
    for turn in range(TURNS):
        result = stream(scorer, language.answers, condition, left, seed=5 + turn)
        again: list[Spoken] = []
        done = 0
        for outcome in result.outcomes:
            one = outcome.spoken
            kinds[outcome.kind] += not turn
            voice = voices[one.speaker]
            if outcome.kind == "acted":
                done += 1
            elif outcome.kind == "asked" and one.key != "yes":
                again.append(said("yes", "yes", voice, ("yes", "no")))
            elif one.key == "yes":
                again.append(replace(one))
            else:
                again.append(said(one.key, language.answers[one.key][0], voice, one.window))
        right.append(done + (right[-1] if right else 0))
        left = again
        if not left:
            break
    return kinds, right


def main() -> None:
    """Print for each group who keeps the name, and each room's outcomes and turns."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    scorer = WhisperScorer()
    pack = load_language("en", load_library("full").movements)
    for roster in ROSTERS:
        people = tuple(Person(who, name) for who, name in enumerate(roster.split(), 1))
        every = {one.who: one.name.lower() for one in people}
        numbers = by_number(people, heard_from(pack, every))
        kept = {who: name for who, name in every.items() if who not in numbers}
        print(f"by number: {' '.join(one.name for one in people if one.who in numbers) or '-'}")
        ways = (("names, no roll-call", every, False), ("after roll-call", kept, False),
                ("numbers alone", kept, True))  # fmt: skip
        for how, named, number in ways:
            language = heard_from(pack, named)
            for condition in CONDITIONS:
                each = count // len(CONDITIONS)
                first = spoken(each, language, named, len(people), number=number)
                kinds, right = repaired(scorer, language, condition, first)
                told = ", ".join(f"{kind} {n}" for kind, n in kinds.most_common())
                turns = " ".join(map(str, right))
                print(
                    f"{how:20} {condition.name:10} of {each}: {told}; right after turn {turns}",
                    flush=True,
                )


if __name__ == "__main__":
    main()
