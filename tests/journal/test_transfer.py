"""Sessions leave a journal and come back, or into another, without loss and without doubles."""

import io
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.errors import JournalError
from coach.journal import Journal, codec, lines
from coach.journal.backup import backup, restore
from coach.journal.codec import Recorded
from coach.journal.entries import entries
from coach.journal.journal_checks import verify
from coach.journal.kept_aims import add_aim, all_aims, drop_aim
from coach.journal.rescue import rescue
from coach.journal.transfer import CUT, Transferred, Whole, merge, put, put_all
from coach.model.aim import Aim, AimKind
from coach.model.body import Feel, Part
from coach.model.facts import Felt
from coach.model.person import Person
from coach.session.events import Started, TimePassed
from tests.journal.made import any_whole, held, start

NOW = datetime(2026, 3, 3, 18, 0, tzinfo=UTC)

some = settings(max_examples=12)
journals = st.lists(any_whole(), max_size=4)


@contextmanager
def a_journal(sessions: list[Whole]) -> Iterator[Journal]:
    with (
        tempfile.TemporaryDirectory() as folder,
        Journal.open(Path(folder) / "journal.db", write=True) as journal,
    ):
        put_all(journal, sessions)
        yield journal


def _exported(journal: Journal, name: str = "export.jsonl") -> Path:
    path = journal.path.with_name(name)
    with path.open("w", encoding="utf-8", newline="\n") as to:
        lines.export(journal, to)
    return path


@some
@given(journals)
def test_export_and_import_give_the_same_journal(sessions: list[Whole]) -> None:
    with a_journal(sessions) as journal, a_journal([]) as other:
        imported = lines.read(_exported(journal), other)
        assert imported.wrong == ""
        assert held(other) == held(journal)
        assert sum(imported.outcomes.values()) == len(held(journal))
        assert _exported(other).read_bytes() == _exported(journal).read_bytes()
        again = lines.read(_exported(journal), other)
        assert again.outcomes[Transferred.SAME] == len(held(journal))
        assert held(other) == held(journal)


@some
@given(journals)
def test_backup_and_restore_give_the_same_journal(sessions: list[Whole]) -> None:
    with a_journal(sessions) as journal:
        copy, back = journal.path.with_name("copy"), journal.path.with_name("back")
        backup(journal.path, copy)
        restore(copy, back)
        with Journal.open(back, write=False) as restored:
            assert held(restored) == held(journal)
        assert verify(back).whole


@st.composite
def two_journals(draw: st.DrawFn) -> tuple[list[Whole], list[Whole]]:
    """Journals that share sessions: the same, cut short, gone on, or gone other ways."""
    both = draw(journals)
    ours, theirs = list(draw(journals)), list(draw(journals))
    for one in both:
        other = one
        for _ in range(draw(st.integers(0, 2))):
            other = draw(st.sampled_from([_shorter, _longer, _ended, _elsewhere]))(other)
        ours.append(one)
        theirs.append(other)
    return ours, theirs


def _shorter(one: Whole) -> Whole:
    return replace(one, recorded=one.recorded[:-1], how=None)


def _longer(one: Whole) -> Whole:
    seq = len(one.recorded) + 1
    return replace(one, recorded=(*one.recorded, Recorded(seq, NOW.isoformat(), TimePassed(9.0))))


def _ended(one: Whole) -> Whole:
    return replace(one, how="closed")


def _elsewhere(one: Whole) -> Whole:
    changed = tuple(replace(each, event=TimePassed(77.0)) for each in one.recorded)
    return replace(one, recorded=changed)


@settings(max_examples=20)
@given(two_journals())
def test_merge_is_the_same_in_either_order_and_makes_no_doubles(
    pair: tuple[list[Whole], list[Whole]],
) -> None:
    ours, theirs = pair
    with a_journal(ours) as one, a_journal(theirs) as other, a_journal(ours) as kept:
        first = held(other)
        merge(one, other)
        assert held(other) == first  # the other is only read
        merge(other, kept)
        assert held(one) == held(other)
        once = held(one)
        merge(one, other)
        merge(one, kept)
        assert held(one) == once
        assert verify(one.path).whole


def test_a_session_that_went_on_elsewhere_is_completed() -> None:
    begun = Whole("a" * 8, "", start(), None, (Recorded(1, NOW.isoformat(), Started(0.0)),))
    gone_on = replace(_longer(begun), how="done")
    with a_journal([begun]) as journal:
        assert put(journal, gone_on) is Transferred.EXTENDED
        assert put(journal, begun) is Transferred.SAME
        assert held(journal) == [gone_on]


def test_of_a_session_that_went_two_ways_the_longer_one_counts() -> None:
    one = Whole("a" * 8, "", start(), "done", (Recorded(1, NOW.isoformat(), Started(0.0)),))
    other = _longer(_elsewhere(one))
    with a_journal([one]) as journal:
        assert put(journal, other) is Transferred.BOTH
        assert put(journal, one) is Transferred.SAME
        assert put(journal, other) is Transferred.SAME
        kept = held(journal)
        assert len(kept) == 2
        assert other in kept
        assert [each.recorded for each in kept if each != other] == [one.recorded]
        assert [row.uid for row in journal.sessions()] == [other.uid]
        assert len(entries(journal, Person(1))) == 1


def test_aims_travel_too(journal: Journal) -> None:
    aim = Aim("x", AimKind.BOULDER, "the arete", by="2026-06-01")
    add_aim(journal, aim)
    with a_journal([]) as other, a_journal([]) as third:
        lines.read(_exported(journal), other)
        merge(third, other)
        assert all_aims(third) == [aim]
        drop_aim(third, "x", NOW)
        assert all_aims(third) == []
        merge(third, other)
        lines.read(_exported(journal), third)
        assert all_aims(third) == [], "what was dropped stays dropped"


# --- damage ------------------------------------------------------------------------------------


@pytest.fixture
def exported(journal: Journal) -> Path:
    """Three sessions of five events, as JSON Lines."""
    for day in (3, 5, 7):
        session = journal.begin(start(f"2026-03-0{day}T18:00:00+01:00"), uid=f"day{day}")
        for turn in range(5):
            journal.commit(session, TimePassed(turn + 0.25), [], NOW)
        journal.close_session(session, "done")
    return _exported(journal)


def _taken(path: Path) -> tuple[list[Whole], str]:
    before = path.read_bytes()
    with a_journal([]) as other:
        assert lines.read(path, other).wrong
        assert held(other) == [], "all or nothing"
        imported = lines.read(path, other, partly=True)
        assert path.read_bytes() == before
        assert verify(other.path).whole
        return held(other), imported.wrong


def test_a_file_cut_short_gives_what_stands_before(exported: Path) -> None:
    text = exported.read_text()
    second = text.index('"day5"', text.index('"session":"day5"'))
    exported.write_text(text[: text.index("\n", second + 400) - 20])
    taken, wrong = _taken(exported)
    assert "line " in wrong
    assert "damaged" in wrong
    assert [(one.uid, one.how) for one in taken] == [("day3", "done"), ("day5", CUT)]
    assert 0 < len(taken[1].recorded) < 5


def test_a_file_cut_at_the_end_of_a_line_is_known_as_cut(exported: Path) -> None:
    kept = exported.read_text().splitlines(keepends=True)[:-1]
    exported.write_text("".join(kept))
    taken, wrong = _taken(exported)
    assert "not complete" in wrong
    assert [one.uid for one in taken] == ["day3", "day5", "day7"]


def test_every_flipped_digit_is_found_out(exported: Path) -> None:
    text = exported.read_text()
    for place in [at for at in range(len(text)) if text.startswith(".25", at)]:
        exported.write_text(text[:place] + ".75" + text[place + 3 :])
        _, wrong = _taken(exported)
        assert "does not match its checksum" in wrong


@pytest.mark.parametrize(
    "text", ["", "hello\n", "{}\n", '{"line":"head","format":"other","version":1}\n', "[1]\n", "\0"]
)
def test_another_file_is_refused(text: str, journal: Journal, tmp_path: Path) -> None:
    path = tmp_path / "other.txt"
    path.write_text(text)
    with pytest.raises(JournalError, match="no journal in JSON Lines"):
        lines.read(path, journal)
    assert held(journal) == []


def test_a_file_of_a_newer_version_is_refused(journal: Journal, tmp_path: Path) -> None:
    path = tmp_path / "new.jsonl"
    path.write_text(f'{{"line":"head","format":"{lines.FORMAT}","version":99}}\n')
    with pytest.raises(JournalError, match="newer version") as refused:
        lines.read(path, journal)
    assert "Install" in refused.value.do


def test_a_missing_file_is_named(journal: Journal, tmp_path: Path) -> None:
    with pytest.raises(JournalError, match=r"gone\.jsonl: it can't be read: No such file"):
        lines.read(tmp_path / "gone.jsonl", journal)


def _open_session(journal: Journal) -> None:
    """A session that runs, of five events, in a journal whose others are sealed."""
    session = journal.begin(start("2026-03-09T18:00:00+01:00"), uid="day9")
    for turn in range(5):
        journal.commit(session, TimePassed(turn + 0.25), [], NOW)


def test_rescue_saves_each_session_up_to_its_first_fault(exported: Path, journal: Journal) -> None:
    _open_session(journal)
    journal.db.execute("UPDATE event SET body = '{\"at\":9}' WHERE session = 4 AND seq = 3")
    before = journal.path.read_bytes()
    with a_journal([]) as other:
        rescued = rescue(journal, other)
        assert rescued.whole == 3
        assert rescued.lost == ()
        (cut,) = rescued.cut
        assert "event 3 (TimePassed) does not match its checksum; 2 events were saved" in cut
        kept = held(other)
        assert [(one.uid, one.how, len(one.recorded)) for one in kept] == [
            ("day3", "done", 5),
            ("day5", "done", 5),
            ("day7", "done", 5),
            ("day9", CUT, 2),
        ]
    assert journal.path.read_bytes() == before


def test_rescue_names_what_is_lost(exported: Path, journal: Journal) -> None:
    _open_session(journal)
    journal.db.execute("UPDATE session SET body = '{' WHERE id = 4")
    journal.db.execute("UPDATE seal SET body = x'00' WHERE session = 2")
    with a_journal([]) as other:
        rescued = rescue(journal, other)
        assert rescued.whole == 2
        assert [one.split(" of ")[0] for one in rescued.lost] == [
            "session 2",
            "session 4",
        ]


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE library SET body = '{'",
        "DELETE FROM shelf",
        "UPDATE shelf SET body = x'28b52ffd'",
        "UPDATE session SET uid = 'x' || uid, body = ''",
        "UPDATE seal SET sha = 'wrong'",
        "DELETE FROM told",
        "DELETE FROM digest",
        "PRAGMA foreign_keys = OFF; DELETE FROM session; DELETE FROM attendance",
    ],
)
def test_rescue_takes_every_seal_that_reads(exported: Path, journal: Journal, harm: str) -> None:
    was = held(journal)
    journal.db.executescript(harm)
    with a_journal([]) as other:
        assert rescue(journal, other).whole == 3
        kept = held(other)
        assert verify(other.path).whole
    assert [one.uid for one in kept] == ["day3", "day5", "day7"]
    assert [one.recorded for one in kept] == [one.recorded for one in was]


def _one_event(journal: Journal) -> None:
    one = Recorded(1, NOW.isoformat(), TimePassed(60.0), (Felt(60.0, 1, Part.FINGERS, Feel.SORE),))
    put(journal, Whole("a", "", start(), None, (one,)))


def _came_back(journal: Journal) -> list[Recorded]:
    with a_journal([]) as other:
        assert lines.read(_exported(journal), other).wrong == ""
        (one,) = held(other)
        return list(one.recorded)


def test_a_text_of_an_earlier_version_is_exported_as_it_stands(journal: Journal) -> None:
    _one_event(journal)
    body = '{"at":60.0,"who":1,"part":"fingers","feel":"sore"}'
    crc = codec.checksum(NOW.isoformat(), ("TimePassed", '{"at":60.0}'), [("Felt", body)])
    journal.db.execute("UPDATE fact SET body = ?", (body,))
    journal.db.execute("UPDATE event SET crc = ?", (crc,))

    (back,) = _came_back(journal)

    assert back.facts == (Felt(60.0, 1, Part.FINGERS, Feel.SORE),)
    assert f'"fact":{body}}}' in _exported(journal).read_text("utf-8")


@pytest.mark.parametrize("body", ['{ "at": 60 }', '{"at":\n60.0}', '{"at":60.0,"more":1}'])
def test_a_text_that_does_not_match_its_checksum_is_exported_anew(
    journal: Journal, body: str
) -> None:
    _one_event(journal)
    journal.db.execute("UPDATE event SET body = ?", (body,))

    assert [one.event for one in _came_back(journal)] == [TimePassed(60.0)]
    assert '"event":{"at":60.0},' in _exported(journal).read_text("utf-8")


def test_what_cannot_be_read_is_not_exported(journal: Journal) -> None:
    _one_event(journal)
    journal.db.execute("UPDATE event SET body = '{}'")

    with pytest.raises(JournalError, match=r"journal\.db: a stored TimePassed is damaged: at"):
        _exported(journal)


def test_export_is_plain_text(journal: Journal) -> None:
    put(journal, Whole("a", "", start(place="the\u2028 🪨"), None, ()))
    to = io.StringIO()
    lines.export(journal, to)
    assert len(to.getvalue().splitlines()) >= 4
    assert len(to.getvalue().split("\n")) == 5  # head, library, session, end
