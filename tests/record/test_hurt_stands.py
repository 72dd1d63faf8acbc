"""A hurt of a real session stands for the person later, whatever the spelling of a name."""

from datetime import datetime
from pathlib import Path

import pytest

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.body_statements import stands_for
from coach.journal.persons import person_of
from coach.model.body import Feel, Part
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from tests.beginning import entry
from tests.record.rehearsed import _Keeper

HURT = """
00:20 i got hurt
00:35 no
00:50 my wrist
01:05 no
01:20 finish here
"""


def hurt_into(journal: Journal, name: str, folder: Path) -> None:
    """A session in which somebody of this name hurts a wrist, run by the real core."""
    library = load_library("full", "tarnwick", ())
    language = load_language("en", library.movements, ())
    path = folder / "hurt.txt"
    path.write_text(HURT, "utf-8")
    options = Options((Person(1, name, AgeBand.ADULT),), 90.0, (), True)
    keeper = _Keeper()
    rehearse(new_session(library, options), language, read_answers(path, language.breath), keeper)
    session = journal.begin(
        entry(library, options, datetime.fromisoformat("2026-03-03T18:00:00+01:00"))
    )
    for event, facts, at in keeper.committed:
        journal.commit(session, event, facts, at)
    journal.close_session(session, "hurt")


@pytest.mark.parametrize("told", ["Lena", ""])
@pytest.mark.parametrize("again", ["Lena", "lena", "Lena ", ""])
def test_a_hurt_stands_whatever_the_spelling(told: str, again: str, tmp_path: Path) -> None:
    with Journal.open(tmp_path / "journal.db", write=True) as journal:
        hurt_into(journal, told, tmp_path)
        person = person_of(journal, Person(1, again, AgeBand.ADULT))
        stands = stands_for(journal, person)
    assert [(one.part, one.feel) for one in stands] == [(Part.WRISTS, Feel.HURTING)]
    assert stands[0].ends_by == "well:wrists"
