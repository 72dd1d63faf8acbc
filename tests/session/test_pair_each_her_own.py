"""Two share one board and one wall: what one of them tells ends and opens only her own.

Judged by the record and by what was asked when; the plan is not looked at.
"""

import re
from collections.abc import Callable
from typing import Any

import pytest

from coach.model.body import CapReason
from coach.model.facts import Climbed, Felt, StepEnded
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.session.events import Source
from coach.session.state import Phase
from tests.climber import rehearsed
from tests.session.stage import Play

PAIR = tuple(Person(who, age=AgeBand.ADULT, edge="medium") for who in (1, 2))
THREE = (*PAIR, Person(3, age=AgeBand.ADULT, edge="medium"))
#: What is asked about the board, and a movement that it is asked about.
ASKED = {"gate-shoulders": "scapular", "gate-fingers": "edge-check"}


@pytest.mark.parametrize("people", [PAIR, THREE])
@pytest.mark.parametrize("minutes", [30.0, 60.0, 90.0])
def test_each_is_asked_about_her_own_hang_before_anybody_else_moves(
    people: tuple[Person, ...], minutes: float
) -> None:
    log: list[tuple[str, int]] = []
    day = rehearsed(minutes, people=people, seen=noting(log))
    hangs = [one for one in log if one[0].startswith(tuple(ASKED.values()))]
    assert {who for _, who in hangs} == {person.who for person in people}
    for question, movement in ASKED.items():
        asked = [n for n, one in enumerate(log) if one[0] == question]
        assert len(asked) == len(people)
        for n in asked:
            before, who = log[n - 1]
            assert before.startswith(movement)
            assert who == log[n][1]
    assert day.session.ended


def noting(log: list[tuple[str, int]]) -> Callable[[Any, float], None]:
    """Note each movement as it begins, and each question about the board, with whose it is."""

    def seen(session: Any, now: float) -> None:
        running, asking = session.course.running, session.questions.asking
        found = None
        if asking is not None and asking.question in ASKED:
            found = (asking.question, asking.who)
        elif running is not None and running.since is not None:
            doing = [form for form in running.step.forms if form.movement]
            found = (doing[0].movement, doing[0].who if len(doing) == 1 else 0)
        if found is not None and found not in log[-1:]:
            log.append(found)

    return seen


def climbing(people: int) -> Play:
    """So many on a batch of easy boulders, long enough for all of them."""
    play = Play(people=people)
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(210.0)
    return play


def running(play: Play) -> str:
    step = play.session.course.running
    return step.step.name if step is not None else ""


@pytest.mark.parametrize("people", [2, 3])
def test_a_batch_is_over_with_the_last_who_tells_it(people: int) -> None:
    play = climbing(people)
    batch = running(play)
    for left in range(people - 1, 0, -1):
        play.say("done")
        play.run(3.0)
        assert running(play) == batch
        assert not play.found(Climbed)
        assert play.said[-1] == f"One done, {'one' if left == 1 else left} still climbing."
    play.say("done")
    climbed = [fact for fact in play.found(Climbed) if fact.tier == "easy"]
    assert [(fact.who, fact.boulders) for fact in climbed] == [
        (who, 5) for who in range(1, people + 1)
    ]


def test_what_waits_to_be_said_of_the_minutes_is_dropped_when_they_change() -> None:
    play = climbing(2)
    while not play.said[-1].startswith("I heard no number"):
        play.run(1.0)
    before = len(play.said)
    play.say("fewer:5")
    play.run(12.0)
    told = [text for text in play.said[before:] if "minutes" in text]
    numbers = {re.findall(r"\d+", text)[0] for text in told}
    assert len(numbers) == 1


@pytest.mark.parametrize("people", [2, 3])
def test_what_hurts_on_a_batch_is_asked_about_before_anybody_climbs_on(people: int) -> None:
    play = climbing(people)
    play.say("feel:hurting")
    play.run(3.0)
    assert play.said[-1].startswith("Who is it")


def test_the_same_one_twice_does_not_end_it_for_the_other() -> None:
    play = climbing(2)
    batch = running(play)
    for _ in range(2):
        play.say("done", who=2)
        play.run(3.0)
    assert running(play) == batch
    play.say("done", who=1)
    assert running(play) != batch


def test_who_is_done_keeps_her_boulders_when_the_other_never_tells() -> None:
    play = climbing(2)
    batch = running(play)
    play.say("done", who=2)
    while running(play) == batch:
        play.run(10.0)
    ended = {fact.who: fact for fact in play.found(StepEnded) if fact.step == batch}
    assert (ended[1].amount, ended[2].amount) == (0, 5)
    assert [(fact.who, fact.boulders) for fact in play.found(Climbed)] == [(2, 5)]


@pytest.mark.parametrize("first", [1, 2])
def test_a_number_told_by_one_is_not_the_number_of_the_other(first: int) -> None:
    play, other = climbing(2), 3 - first
    batch = running(play)
    play.say("done", who=first)
    play.run(3.0)
    play.say("count:3", who=other)
    while running(play) == batch:
        play.run(10.0)
    ended = {fact.who: fact.amount for fact in play.found(StepEnded) if fact.step == batch}
    assert ended == {first: 5, other: 3}


def test_what_hurts_is_asked_about_while_the_other_goes_on_climbing() -> None:
    play = climbing(2)
    play.say("feel:hurting", who=2)
    play.until(Phase.ASK, question="which-part")
    play.say("part:elbows", who=2)
    assert any(text.endswith(" for you.") for text in play.said)
    assert not any("then home" in text for text in play.said)
    play.until(Phase.WORK, StepKind.CLIMB)
    forms = play.session.course.running.step.forms
    assert [form.who for form in forms if form.movement] == [1]


def test_one_who_is_too_quick_is_asked_and_the_other_goes_on_climbing() -> None:
    play = Play(people=2)
    play.until(Phase.WORK, StepKind.CLIMB)
    batch = running(play)
    play.run(15.0)
    play.say("done")
    play.until(Phase.ASK, question="all-climbed")
    play.say("count:5")
    play.run(3.0)
    assert running(play) == batch
    play.run(200.0)
    play.say("done")
    assert {fact.boulders for fact in play.found(Climbed)} == {5}


def test_whoever_went_home_before_is_not_asked_how_hard_it_was() -> None:
    play = Play(people=2, routine="rests", minutes=60.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down", who=1)
    play.say("leaving", who=2, source=Source.KEY)
    play.say("finish", source=Source.KEY)
    asked = set()
    for _ in range(60):
        asking = play.session.questions.asking
        if asking is not None and asking.question == "effort":
            asked.add(asking.who)
        play.run(2.0)
    assert asked == {1}


def of(play: Play, who: int) -> list[str]:
    """How the body of one of them was told to feel."""
    return [fact.feel.value for fact in play.found(Felt) if fact.who == who]


@pytest.mark.parametrize("after", [0.0, 25.0, 100.0])
@pytest.mark.parametrize("feel", ["feel:hurting", "feel:sore", "feel:wrists:hurting"])
def test_what_one_tells_by_name_is_never_the_answer_of_the_other(after: float, feel: str) -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="gate-fingers")
    asked = play.session.questions.asking.who
    play.run(after)
    play.say(feel, who=3 - asked, addressed=True)
    play.run(45.0)
    spared = {cap.who for cap in play.session.day.caps if cap.reason is CapReason.SORE}
    assert spared == {3 - asked}
    assert {"sore", "hurting"} & {
        fact.feel.value for fact in play.found(Felt) if fact.who == asked
    } == set()


@pytest.mark.parametrize("feel", ["feel:hurting", "feel:sore", "feel:stiff"])
def test_late_complaints_of_nobody_by_name_are_asked_about(feel: str) -> None:
    play = Play(people=2)
    play.until(Phase.ASK, question="gate-fingers")
    play.run(25.0)
    play.say(feel)
    play.run(12.0)
    assert play.said[-1].startswith("Who is it")


@pytest.mark.parametrize("tells", [1, 2])
def test_a_batch_whose_last_climber_is_out_ends_with_what_the_others_climbed(tells: int) -> None:
    play = climbing(2)
    play.say("done", who=2)
    play.run(5.0)
    play.say("feel:fingers:hurting", who=1, source=Source.KEY)
    play.run(10.0)
    play.say("person:1")
    while play.session.course.running is None or play.session.phase is not Phase.WORK:
        if play.session.phase in (Phase.STOPPED, Phase.PAUSED):
            play.say("resume", source=Source.KEY)
        play.next()
    play.run(20.0)
    play.say("done", who=tells)
    play.run(5.0)
    assert {(fact.who, fact.boulders) for fact in play.found(Climbed)} == {(2, 5)}
