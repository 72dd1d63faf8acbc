"""What is deleted is gone: from the tables, from the bytes of the file and of its log."""

from dataclasses import replace
from datetime import UTC, datetime

import pytest

from coach.errors import JournalError
from coach.journal import Journal
from coach.journal.deletion import delete_person, delete_session, find
from coach.journal.entries import entries
from coach.journal.journal_checks import verify
from coach.journal.persons import known_people, person_of
from coach.model.answers import Answer, Meaning
from coach.model.body import Feel, Part
from coach.model.facts import BoulderNamed, Felt
from coach.model.messages import message
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.model.tries import Boulder, Went
from coach.model.usual_edge import EdgeSetup, Usual
from coach.session.events import Answered, SoundStarted, TimePassed
from tests.journal.made import start

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
ADA = Person(1, "Adelheid", AgeBand.ADULT, "slate", "medium", "6C")
BO = Person(2, "Bohumil", AgeBand.UNDER_18, "marble")


def _bytes(journal: Journal) -> bytes:
    files = journal.path.parent.glob(journal.path.name + "*")
    return b"".join(item.read_bytes() for item in files)


def _names(journal: Journal) -> list[tuple[str, int]]:
    return [(one.name, one.sessions) for one in known_people(journal).people]


def test_a_deleted_session_leaves_no_byte(journal: Journal) -> None:
    kept = journal.begin(start("2026-03-04T18:00:00+01:00"))
    gone = journal.begin(replace(start(place="Velvet Quarry"), routine="secret-evening"))
    for turn in range(200):
        fact = BoulderNamed(float(turn), 1, f"private-boulder-{turn}")
        journal.commit(gone, TimePassed(float(turn)), [fact], NOW)
    journal.close_session(gone, "done")
    journal.commit(kept, TimePassed(1.0), [], NOW)
    for text in (b"Velvet Quarry", b"secret-evening", b"private-boulder"):
        assert text in _bytes(journal)
    words = delete_session(journal, gone, NOW).words
    assert list(find(journal.path.parent.iterdir(), words)) == []
    for text in (b"Velvet Quarry", b"secret-evening", b"private-boulder"):
        assert text not in _bytes(journal)
    assert [row.id for row in journal.sessions()] == [kept]
    assert verify(journal.path).whole


def test_a_session_that_is_not_there(journal: Journal) -> None:
    kept = journal.begin(start())
    with pytest.raises(JournalError, match="no session 9"):
        delete_session(journal, type(kept)(9), NOW)


def test_a_deleted_person_leaves_no_byte_and_the_others_keep_theirs(journal: Journal) -> None:
    settled = Options(
        people=(ADA, BO),
        hurting=((1, Part.FINGERS, Feel.SORE), (2, Part.KNEES, Feel.STIFF)),
        signs=((2, Part.KNEES),),
        practised=((1, "quiet-feet"), (2, "straight-arms")),
        boulders=((1, Boulder("basalt 1")), (2, Boulder("slate 9"))),
        went=(Went(1, "basalt 1", "top"), Went(2, "slate 9", "top")),
        notes=((1, "basalt 1", "left-heel"), (2, "slate 9", "right-toe")),
        films=((1, "basalt 1"), (2, "slate 9")),
        usual=((2, Usual(EdgeSetup("small", "edge", "off"), 9, 40.0, 1.0)),),
    )
    shared = journal.begin(replace(start(people=(ADA, BO)), settled=settled))
    hers = Felt(1.0, 1, Part.FINGERS, Feel.SORE)
    his = Felt(2.0, 2, Part.KNEES, Feel.HURTING)
    said = SoundStarted(0.5, 1, message("turn", name="Bohumil", text="now Bohumil, then Adelheid"))
    journal.commit(shared, said, [], NOW)
    answer = Answer(Meaning.FEEL, Part.KNEES, Feel.HURTING)
    journal.commit(shared, TimePassed(1.0), [hers], NOW)
    journal.commit(shared, Answered(2.0, answer, who=2, onset=1.7), [his], NOW)
    journal.close_session(shared, "done")
    alone = journal.begin(start("2026-03-05T18:00:00+01:00", people=(replace(BO, who=1),)))
    journal.close_session(alone, "done")
    mine = entries(journal, ADA)

    assert _names(journal) == [("Bohumil", 2), ("Adelheid", 1)]
    gone = delete_person(journal, person_of(journal, Person(1, "Bohumil")), NOW)
    assert (gone.alone, gone.shared, gone.scoured) == (1, 1, True)
    assert list(find(journal.path.parent.iterdir(), gone.words)) == []

    assert b"Bohumil" not in _bytes(journal)
    # the word also names a field of what a session began with, and stands in an index
    known = (b'"hurting":[', b"'\"hurting\"'")
    assert b"hurting" not in _bytes(journal).replace(known[0], b"").replace(known[1], b"")
    assert _names(journal) == [("Adelheid", 1)]
    (row,) = journal.sessions()
    assert row.id == shared
    assert list(journal.facts(shared)) == [hers]
    events = list(journal.events(shared))
    assert events == [TimePassed(0.5), TimePassed(1.0), TimePassed(2.0)]
    began = journal.start_of(shared)
    assert began.people == (ADA, Person(2))
    assert began.settled.hurting == ((1, Part.FINGERS, Feel.SORE),)
    assert began.settled.signs == ()
    assert b"slate 9" not in _bytes(journal)
    assert b"straight-arms" not in _bytes(journal)
    assert began.settled.usual == ()
    assert began.settled.films == ((1, "basalt 1"),)
    assert began.rules_version != start().rules_version  # never replayed
    assert entries(journal, ADA) == mine
    assert verify(journal.path).whole


def test_a_person_nobody_knows(journal: Journal) -> None:
    journal.begin(start(people=(ADA,)))
    with pytest.raises(JournalError, match="no session knows 'Bohumil'"):
        delete_person(journal, person_of(journal, BO, 2), NOW)
