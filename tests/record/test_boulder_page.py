"""The page of a boulder, from three days that the real core ran, recounted from the facts alone."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from coach.files.answers_file import read_answers
from coach.files.library import load_library
from coach.files.words import load_language
from coach.journal import Journal
from coach.journal.earlier_tries import earlier_tries, known_boulders
from coach.journal.named_boulders import boulders
from coach.model.facts import CauseTold, Filmed, NoteMade, Tried, Varied
from coach.model.key_moves import CAUSES
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.model.tries import Boulder, Went
from coach.record import boulder_page
from coach.record.boulder_page import BoulderDay, overview, page
from coach.runtime.rehearsal import rehearse
from coach.session.step import new_session
from tests.beginning import entry
from tests.record.rehearsed import Committed

WHO = (Person(1, "", AgeBand.ADULT),)
FLINT = Boulder("flint 4", "overhang", 9, "leap", 5, "left")
#: Three days: what she says, at which second.
DAYS = (
    (
        "2026-03-03T18:00:00+01:00",
        "00:05 let's try",
        "04:20 move five",
        "04:40 i filmed it",
        "08:00 fell at five, bad timing",
        "08:20 one swing",
        "14:20 move five",
        "14:50 keep this",
        "19:00 i have to go",
    ),
    (
        "2026-03-10T18:00:00+01:00",
        "00:05 let's try",
        "04:40 on the mat",
        "04:50 move four",
        "08:40 fell at five, the grip went",
        "12:00 i have to go",
    ),
    (
        "2026-03-17T18:00:00+01:00",
        "00:05 let's try",
        "04:40 fell at five, bad timing",
        "08:40 fell at five, bad timing",
        "14:30 move seven",
        "18:00 i have to go",
    ),
)


class Keeping:
    """Keeps what is committed."""

    def __init__(self) -> None:
        self.committed: list[Committed] = []

    def commit(self, event, facts, wall) -> None:  # type: ignore[no-untyped-def]
        self.committed.append((event, facts, wall))


def lived(journal: Journal, folder: Path, begun: str, *script: str) -> list[str]:
    """One day into the journal, with what the days before left; what was said."""
    library = load_library("rests", "tarnwick", ())
    language = load_language("en", library.movements, ())
    place = library.place.name
    options = Options(
        WHO,
        60.0,
        (),
        same_place=True,
        boulders=((1, FLINT),),
        known=known_boulders(journal, WHO, place),
        went=earlier_tries(journal, WHO, place),
        wall=begun[:19].replace("T", " "),
    )
    path = folder / "script.txt"
    path.write_text("\n".join(script), "utf-8")
    keeper = Keeping()
    made = rehearse(
        new_session(library, options), language, read_answers(path, language.breath), keeper
    )
    assert made.unsaid == ()
    session = journal.begin(entry(library, options, datetime.fromisoformat(begun)))
    for event, facts, at in keeper.committed:
        journal.commit(session, event, facts, at)
    journal.close_session(session, made.session.how)
    return [one.text for one in made.transcript.entries if one.kind == "said"]


@pytest.fixture(scope="module")
def days(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    """The journal of three days, and what was said on each."""
    folder = tmp_path_factory.mktemp("days")
    with Journal.open(folder / "journal.db", write=True) as journal:
        yield journal, [lived(journal, folder, *day) for day in DAYS]


def lines_of(journal: Journal) -> list[str]:
    """The page."""
    words = load_language("en", load_library("rests", "tarnwick", ()).movements, ())
    [(boulder, told)] = boulders(journal, WHO[0], "tarnwick")
    return list(page(boulder, told, words.word))


def facts_of(journal: Journal, *kinds: type) -> list:  # type: ignore[type-arg]
    """Every fact of these kinds, day by day."""
    return [fact for row in journal.sessions() for fact in journal.facts(row.id, *kinds)]


def test_it_begins_with_what_the_boulder_is_and_how_far_it_went(days) -> None:  # type: ignore[no-untyped-def]
    journal, _ = days
    first, second, *_ = lines_of(journal)
    tries = facts_of(journal, Tried)
    assert first == "flint 4: overhang, a leap at move 5, left hand, 9 moves."
    highest = max(one.move for one in tries)
    assert second == f"{len(tries)} tries on 3 days; highest: move {highest} of 9."


def test_each_try_stands_with_where_it_ended_why_and_what_its_change_gave(days) -> None:  # type: ignore[no-untyped-def]
    """Recounted from the facts, fact by fact, without the page's own reading of them."""
    journal, _ = days
    told = [
        line.strip()
        for line in lines_of(journal)
        if line.startswith("  ") and line.strip()[0].isdigit()
    ]
    expected, number = [], 0
    for row in journal.sessions():
        for fact in journal.facts(row.id, Tried, CauseTold, Varied):
            if isinstance(fact, Tried):
                number += 1
                ended = f"move {fact.move} of 9" if fact.move else "not told"
                expected.append([f"{number}. {ended}"])
            elif isinstance(fact, CauseTold):
                expected[-1].append(
                    {"timing": "the timing was off", "grip": "the grip went"}[fact.cause]
                )
            else:
                expected[-1].append(fact.gave)
    assert len(told) == len(expected) >= 8
    for line, parts in zip(told, expected, strict=True):
        assert all(part in line for part in parts), (line, parts)
    assert any("one swing: no better" in line for line in told)
    assert any("one swing: better" in line or "a standstill: better" in line for line in told)


def test_notes_films_and_what_comes_next_are_there(days) -> None:  # type: ignore[no-untyped-def]
    journal, _ = days
    lines = lines_of(journal)
    [film], [note] = facts_of(journal, Filmed), facts_of(journal, NoteMade)
    assert f"  filmed: {film.clock}" in lines
    assert f"  notes: {note.name}" in lines
    helped = [fact for fact in facts_of(journal, Varied) if fact.gave == "better"][-1]
    title = {"one-swing": "one swing", "from-still": "from a standstill"}[helped.variation]
    assert lines[-1] == f"Next: {title}: it helped before."


def test_two_sentences_before_the_first_try_of_a_day_tell_the_last_one(days) -> None:  # type: ignore[no-untyped-def]
    _, (first, second, third) = days
    assert not any(one.startswith("Last time") for one in first)
    assert sum(one.startswith("Last time: 5 of 9.") for one in second) == 1
    assert "Last time: 5 of 9. The grip went." in third


def test_the_list_has_a_row_for_it(days) -> None:  # type: ignore[no-untyped-def]
    journal, _ = days
    [row] = overview(boulders(journal, WHO[0], "tarnwick"))
    tries = len(facts_of(journal, Tried))
    assert row == ("flint 4", f"{tries} tries", "3 days", "move 7 of 9", "2026-03-17")


@pytest.mark.parametrize("cause", CAUSES)
def test_what_ended_a_try_is_written_as_it_is_said(cause: str) -> None:
    words = load_language("en", load_library("rests", "tarnwick", ()).movements, ())
    sentence = words.word(f"ended-by-{cause}")
    assert f"{boulder_page.cause(replace(UNTOLD, cause=cause)).capitalize()}." == sentence


UNTOLD = Went(1, "flint 4", "untold")


@pytest.mark.parametrize(
    ("went", "far"),
    [
        (UNTOLD, "not told"),
        (replace(UNTOLD, result="start"), "low"),
        (replace(UNTOLD, result="middle"), "in the middle"),
        (replace(UNTOLD, result="top"), "near the top"),
        (replace(UNTOLD, result="below"), "not topped"),
        (replace(UNTOLD, result="below", move=4), "move 4 of 9"),
        (replace(UNTOLD, result="topped", move=9), "topped"),
    ],
)
def test_how_far_a_try_got_is_told_as_exactly_as_it_is_known(went: Went, far: str) -> None:
    assert boulder_page.height(went, 9) == far
    assert boulder_page.height(went, 0) == far.removesuffix(" of 9")


def called(name: str) -> str:
    """A name as it is."""
    return name


def test_the_page_of_a_boulder_of_which_little_is_known_leaves_out_what_is_not() -> None:
    bare = Boulder("flint 5")
    assert list(page(bare, (), called)) == ["flint 5.", "0 tries on 0 days."]
    known = replace(bare, moves=1, hand="right")
    went = replace(UNTOLD, gone=True, felt="same")
    lines = list(page(known, (BoulderDay("2026-03-03", (went, UNTOLD)),), called))
    assert lines == [
        "flint 5: right hand, 1 move.",
        "2 tries on 1 day.",
        "",
        "2026-03-03",
        "  1. not told; went for it; as hard as before",
        "  2. not told",
        "",
        "Next: say why a try ended, and one change that fits is offered.",
    ]
    [row] = overview([(known, ())])
    assert row == ("flint 5", "0 tries", "0 days", "not told", "")


def test_the_next_day_begins_with_what_is_known_of_the_last() -> None:
    foot, grip = replace(UNTOLD, cause="foot"), replace(UNTOLD, cause="grip")
    assert boulder_page.plan((foot, grip), called) == "look at what ended it: the grip went."
    assert boulder_page.plan((grip, UNTOLD), called) == "look at what ended it: the grip went."
    topped = boulder_page.plan((foot, replace(UNTOLD, result="topped")), called)
    assert topped == "topped; again with a change, or another hard one."
