"""What a group leaves in the journal: per person, on a page, without somebody, and looked at."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coach.errors import CoachError, UsageError
from coach.exports.session_page import page
from coach.files.answers_file import read_answers
from coach.group.arrangement import options_of
from coach.group.gathering import Group
from coach.group.group_step import new_group, step
from coach.group.kind import GROUP
from coach.group.phrases import ANY_TIME
from coach.journal import Journal, SessionId, follow
from coach.journal.deletion import delete_person
from coach.journal.entries import entries
from coach.journal.persons import person_of
from coach.model.facts import Fact, StepEnded
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.beginning import take_up
from coach.runtime.keeper import JournalKeeper
from coach.runtime.rehearsal import TextWorld
from coach.runtime.replay import rules_version
from coach.runtime.runner import Runner
from coach.runtime.watching import CUT_OFF, LEFT_UP, LONG_AGO, Watching, lines
from coach.session.events import (
    JOURNAL,
    Answered,
    DeviceLost,
    DeviceReturned,
    Reopened,
    Started,
)
from coach.session.state import Phase
from coach.session.step import new_session
from coach.session.view import Ear
from tests.beginning import entry
from tests.group.runs import BOARDS, WALL, language, library

PEOPLE = (
    Person(1, "Runa", AgeBand.ADULT),
    Person(2, "Osk", AgeBand.UNDER_16),
    Person(3, "", AgeBand.ADULT),
    Person(4, "Tarn"),
)
BEGAN = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)
WORDS = "12:00 number one\n12:04 is hurting\n14:00 number four\n14:04 is out\n"


def kept(folder: Path, rules: str = "", until: float = 1e9) -> tuple[Journal, SessionId, Group]:
    """A group session in a journal, up to some second."""
    given = new_group(library(), Options(PEOPLE, 45.0), (*BOARDS, WALL))
    journal = Journal.open(folder / "journal.db", write=True)
    start = replace(
        entry(library(), given.options, BEGAN),
        rules_version=rules or rules_version(),
        kind=GROUP.name,
        options=options_of(given.stations, ()),
    )
    session = journal.begin(start)
    path = folder / "said.txt"
    path.write_text(WORDS, encoding="utf-8")
    script = read_answers(path, language().breath)
    world = TextWorld(language(), script, anytime=frozenset(ANY_TIME))
    keeper = JournalKeeper(journal, session)
    runner = Runner(given, world, keeper, world.clock.wall, kind=GROUP)
    going = runner.take(Started(0.0))
    while going and world.now() < until:
        going = runner.take(runner.next())
    if not going:
        journal.close_session(session, runner.session.how)
    return journal, session, runner.session


def facts_of(journal: Journal, session: SessionId) -> list[Fact]:
    return list(journal.facts(session))


def test_each_person_has_a_session_of_their_own_on_the_record(tmp_path: Path) -> None:
    journal, session, _ = kept(tmp_path)
    with journal:
        for person in (one for one in PEOPLE if one.name):
            (entry,) = entries(journal, person)
            assert (entry.id, entry.with_others) == (session, 3)
        told = [e for e in journal.events(session) if isinstance(e, Answered)]
        assert [(e.answer.key, e.who) for e in told] == [
            ("person:1", 0), ("hurts", 1), ("person:4", 0), ("out", 4),
        ]  # fmt: skip


def test_the_page_tells_done_left_out_and_why(tmp_path: Path) -> None:
    journal, session, _ = kept(tmp_path)
    with journal:
        facts = facts_of(journal, session)
    begun = datetime(2026, 3, 3, 18, tzinfo=UTC)

    made = page("Group <1>", begun, PEOPLE, facts, language().title)
    hidden = page("Group", begun, PEOPLE, facts, language().title, pseudonyms=True)

    assert "Group &lt;1&gt;" in made
    assert "<h2>1 Runa</h2>" in made
    assert "<td>under 16</td>" in made
    assert "hurt after 12 min" in made
    assert "Easy boulders" in made
    assert not any(name in hidden for name in ("Runa", "Osk", "Tarn"))
    assert "<h2>Climber 2</h2>" in hidden


def test_somebody_is_deleted_for_good_and_the_others_keep_theirs(tmp_path: Path) -> None:
    journal, session, _ = kept(tmp_path)
    with journal:
        before = [f for f in facts_of(journal, session) if f.who == 2]
        gone = delete_person(journal, person_of(journal, PEOPLE[0], 4), BEGAN)
        assert (gone.alone, gone.shared) == (0, 1)
        left = facts_of(journal, session)
        assert not [fact for fact in left if fact.who == 1]
        assert [fact for fact in left if fact.who == 2] == before
        assert entries(journal, PEOPLE[0]) == []
        keys = [e.answer.key for e in journal.events(session) if isinstance(e, Answered)]
        assert "hurts" not in keys
    raw = b"".join(path.read_bytes() for path in tmp_path.glob("journal.db*"))
    assert b"Runa" not in raw


def test_a_follower_sees_what_the_leader_sees(tmp_path: Path) -> None:
    journal, _, group = kept(tmp_path, until=13 * 60)
    with journal, follow(tmp_path / "journal.db") as follower:
        watching = Watching(follower)
        now = BEGAN + timedelta(seconds=group.at)
        picture = watching.picture(now)
        assert picture is not None
        seats = {who for seat in group.seated for who in group.members(seat)}
        shown = {who for stand in picture.stands if stand.name != "mat" for who in stand.now}
        assert shown == seats
        assert not picture.over
        later = watching.picture(now + timedelta(seconds=5))
        assert later is not None
        assert later.now == picture.now + 5
        names = {1: "Runa"}
        assert [name for name, _, _ in lines(picture, names)] == [
            "board 1",
            "board 2",
            "wall",
            "mat",
        ]
        assert lines(None, names) == ()
        # nothing came of it where something was due: it was cut off, and runs no more
        assert group.wake is not None
        due = BEGAN + timedelta(seconds=group.wake)
        assert watching.picture(due + timedelta(seconds=CUT_OFF - 1)) is not None
        assert watching.picture(due + timedelta(seconds=CUT_OFF + 1)) is None


def test_a_follower_waits_and_follows_one_person_as_well(tmp_path: Path) -> None:
    options = Options((Person(1),), 90.0, (), True)
    start, now = entry(library("full"), options, BEGAN), BEGAN + timedelta(seconds=30)
    path = tmp_path / "journal.db"
    with Journal.open(path, write=True) as journal, follow(path) as follower:
        watching = Watching(follower)
        assert watching.picture(now) is None
        session = journal.begin(start)
        assert watching.picture(now) is None
        journal.commit(session, Started(0.0), (), now)
        picture = watching.picture(now)
        assert picture is not None
        assert picture.stands == ()
        journal.close_session(session, "done")
        last = watching.picture(now)
        assert last is not None
        assert last.over
        assert watching.picture(now + timedelta(seconds=LEFT_UP + 1)) is None
        journal.commit(journal.begin(start), Started(0.0), (), now)
        after = watching.picture(now)
        assert after is not None
        assert not after.over
    assert new_session(start.library, options).people == (1,)


def test_a_session_of_another_version_is_not_followed(tmp_path: Path) -> None:
    journal, _, _ = kept(tmp_path, rules="another", until=30)
    now = datetime.fromisoformat("2026-03-03T18:00:30+00:00")
    raises = pytest.raises(CoachError, match="another version")
    with journal, follow(tmp_path / "journal.db") as follower, raises:
        Watching(follower).picture(now)


def test_an_old_session_of_another_version_keeps_nobody_from_the_next(tmp_path: Path) -> None:
    journal, _, _ = kept(tmp_path, rules="another", until=30)
    now = BEGAN + timedelta(seconds=LONG_AGO + 120)
    with journal, follow(tmp_path / "journal.db") as follower:
        watching = Watching(follower)
        assert watching.picture(now) is None
        start = entry(library("full"), Options((Person(1),), 90.0, (), True), now)
        journal.commit(journal.begin(start), Started(0.0), (), now)
        assert watching.picture(now) is not None


def test_what_was_cut_is_recorded_as_part_of_it(tmp_path: Path) -> None:
    journal, session, _ = kept(tmp_path)
    with journal:
        cut = [f for f in facts_of(journal, session) if isinstance(f, StepEnded)]
    assert {"done", "cut"} <= {fact.outcome for fact in cut}


def test_a_group_that_was_cut_off_goes_on_where_it_was(tmp_path: Path) -> None:
    journal, session, before = kept(tmp_path, until=13 * 60)
    later = datetime.fromisoformat("2026-03-03T18:30:00+00:00")
    with journal:
        begun = take_up(journal, ["group"], True, later, print)
        assert begun is not None
        assert begun.id == session
        assert begun.session == before
        assert isinstance(begun.first, Reopened)
        group, _ = step(begun.session, begun.first)
        assert group.phase is Phase.PAUSED
        now = group.rota_second
        assert all(seat.end > now for seat in group.seated), "nobody's turn went by meanwhile"
        journal.close_session(session, "closed")
        with pytest.raises(UsageError, match="no session waits"):
            take_up(journal, ["group"], True, later, print)


def test_a_group_at_its_end_is_closed_instead(tmp_path: Path) -> None:
    journal, session, _ = kept(tmp_path)
    with journal:
        journal.db.execute("UPDATE session SET how = NULL WHERE id = ?", (session,))
        now = datetime.fromisoformat("2026-03-03T20:00:00+00:00")
        with pytest.raises(UsageError, match="was over"):
            take_up(journal, ["group"], True, now, print)
        assert journal.unfinished() is None


def test_a_record_that_takes_nothing_is_told_once_and_holds_nobody_up() -> None:
    group = new_group(library(), Options(PEOPLE, 45.0), (*BOARDS, WALL))
    events = (
        Started(0.0),
        DeviceLost(1.0, JOURNAL, "the disk is full"),
        DeviceLost(1.5, JOURNAL, "the disk is full"),
        DeviceLost(2.0, "microphone", "unplugged"),
        DeviceReturned(3.0, JOURNAL),
        DeviceReturned(3.5, JOURNAL),
    )
    for event in events:
        group, _ = GROUP.step(group, event)

    told = [queued.what.key for queued in group.speech.queue]
    assert (told.count("not-saving"), told.count("saving-again")) == (1, 1)
    assert group.lost == {"microphone"}
    assert GROUP.look(group).ear is Ear.GONE
