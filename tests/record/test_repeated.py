"""A part that was sore or hurt again and again, from sessions that the real core ran."""

from dataclasses import replace
from datetime import datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.entries import entries
from coach.journal.persons import person_of
from coach.model.body import Feel, Part
from coach.model.facts import CapSet, Felt
from coach.model.messages import Message
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.record.repeated import repeated
from coach.record.suggest import FULL, Grounds, suggest
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from coach.setup.earlier_days import of_record
from tests.beginning import entry
from tests.record.rehearsed import Committed, _Keeper

PERSON = Person(1, "", AgeBand.ADULT)
FIRST = datetime.fromisoformat("2026-03-02T18:00:00+01:00")
ENDS = "01:30 stop\n01:45 finish\n"
HURT = "00:20 i got hurt\n00:35 no\n00:50 my wrist\n01:05 no\n01:20 finish here\n"
#: Letter -> what is told at the start, and the answers of the day.
DAYS: dict[str, tuple[tuple[tuple[int, Part, Feel], ...], str]] = {
    ".": ((), ENDS),
    "s": (((1, Part.FINGERS, Feel.SORE),), ENDS),
    "h": (((1, Part.FINGERS, Feel.HURTING),), ENDS),
    "w": ((), HURT),
    "e": (((1, Part.ELBOWS, Feel.SORE),), ENDS),
}


@cache
def ran(letter: str) -> tuple[Options, tuple[Committed, ...]]:
    hurting, script = DAYS[letter]
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    options = Options((PERSON,), 90.0, hurting, True)
    keeper = _Keeper()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "day.txt"
        path.write_text(script, "utf-8")
        rehearse(
            new_session(library, options), language, read_answers(path, language.breath), keeper
        )
    return options, tuple(keeper.committed)


def journal_of(days: str, path: Path) -> Journal:
    journal = Journal.open(path / "journal.db", write=True)
    library = load_library("full", "tarnwick", ())
    for number, letter in enumerate(days):
        options, committed = ran(letter)
        session = journal.begin(entry(library, options, FIRST + timedelta(days=2 * number)))
        for event, facts, at in committed:
            journal.commit(session, event, facts, at)
        journal.close_session(session, "done")
    return journal


@pytest.mark.parametrize(
    ("days", "told"),
    [
        ("", []),
        ("ss", []),
        ("sss", [(Part.FINGERS, Feel.SORE, 3, 3)]),
        ("s.s.s", [(Part.FINGERS, Feel.SORE, 3, 5)]),
        ("ss...s", []),
        ("se.es", []),
        ("sessee", [(Part.ELBOWS, Feel.SORE, 3, 5)]),
        ("h....h", [(Part.FINGERS, Feel.HURTING, 2, 6)]),
        ("h.....h", []),
        ("ssh", [(Part.FINGERS, Feel.SORE, 3, 3)]),
        ("ww", [(Part.WRISTS, Feel.HURTING, 2, 2)]),
        ("w.s", []),
    ],
)
def test_three_of_five_sore_or_two_of_six_hurting_are_told(
    days: str, told: list[tuple[Part, Feel, int, int]], tmp_path: Path
) -> None:
    with journal_of(days, tmp_path) as journal:
        known = entries(journal, person_of(journal, PERSON))
        found = [(one.part, one.feel, one.times, one.within) for one in repeated(known)]
        options = of_record(Options((PERSON,)), journal, FIRST.date() + timedelta(days=20))
    assert found == told
    assert [who for who, _ in options.again] == [1] * len(told)
    made = suggest(Grounds(known, FIRST.date() + timedelta(days=40)))
    advised = [one.text for one in made.reasons if "have a clinician look" in one.text]
    assert len(advised) == len(told)
    assert not told or made.kind != FULL


def test_it_is_said_once_at_the_start() -> None:
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    again = ((1, repeated_of("sss")),)
    options = replace(ran(".")[0], again=again)
    done = rehearse(new_session(library, options), language, ())
    said = [one.text for one in done.transcript.entries if one.kind == "said"]
    assert [text for text in said if "sore in 3 of the last 3" in text] == [said[1]]


def test_what_stands_is_spared_and_counts_once() -> None:
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    options = replace(ran(".")[0], complaints=((1, "hurt:wrists"),))
    keeper = _Keeper()
    rehearse(new_session(library, options), language, (), keeper)
    facts = [fact for _, each, _ in keeper.committed for fact in each]
    assert not any(isinstance(fact, Felt) for fact in facts)
    assert any(isinstance(f, CapSet) and (f.part, f.most) == (Part.WRISTS, 0) for f in facts)


def repeated_of(days: str) -> Message:
    with TemporaryDirectory() as folder, journal_of(days, Path(folder)) as journal:
        (one,) = repeated(entries(journal, person_of(journal, PERSON)))
    return one.told
