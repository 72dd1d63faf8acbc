"""Boulders that count are boulders that can have been climbed, and their pace makes the rest.

Judged by what is on the record and what was said; the least seconds of a boulder are written here
again, from an attempt's 28.9 +- 10.8 s (White DJ, Olsen PD 2010, J Strength Cond Res 24(5)).
"""

import re
from itertools import pairwise
from typing import Any

import pytest

from coach.model.facts import Climbed, RuleFired, StepEnded
from coach.model.plan import StepKind
from coach.session.events import Source
from coach.session.looking import look
from coach.session.state import Phase
from tests.climber import Day, Pace, rehearsed
from tests.session.stage import Play

LEAST = {"easy": 15.0, "middle": 25.0}
USUAL, SLOW, QUICK, AT_ONCE = Pace(40, 80), Pace(70, 110), Pace(20, 45), Pace(3, 5)


def said(day: Day, pattern: str) -> list[str]:
    return [
        e.text for e in day.transcript.entries if e.kind == "said" and re.search(pattern, e.text)
    ]


def rules(day: Day) -> set[str]:
    return {fact.rule for fact in day.facts if isinstance(fact, RuleFired)}


@pytest.mark.parametrize("pace", [USUAL, SLOW, QUICK])
def test_nobody_is_asked_who_climbs_as_people_do(pace: Pace) -> None:
    assert not said(rehearsed(60.0, pace), "Tell me how many")


def test_all_done_after_seconds_is_asked_and_silence_counts_what_can_be() -> None:
    day = rehearsed(60.0, AT_ONCE, answers={"all-climbed": "nothing"})
    climbed = [fact for fact in day.facts if isinstance(fact, Climbed)]
    assert len(said(day, "All 5")) >= 2
    assert all(fact.boulders * LEAST[fact.tier] <= fact.seconds for fact in climbed)
    assert day.tries == 0


def test_the_number_is_the_answer_and_each_batch_is_asked_about_once() -> None:
    day = rehearsed(60.0, AT_ONCE, answers={"all-climbed": "count:5"})
    batches = [step for _, step in day.steps if step.kind is StepKind.CLIMB and step.amount == 5]
    assert len(said(day, "All 5")) == len(batches)
    ended = [f for f in day.facts if isinstance(f, StepEnded) and f.planned and f.kind == "climb"]
    assert all(fact.amount == 5 for fact in ended if fact.step in {b.name for b in batches})


def test_what_is_missing_comes_before_the_hard_tries_and_is_said_so() -> None:
    day = rehearsed(60.0, AT_ONCE, answers={"all-climbed": "count:3"})
    assert "count-short" in rules(day)
    assert said(day, "short. Made up before the hard tries.")


def test_the_whole_batch_by_its_number_after_seconds_is_asked_about_once() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(12.0)
    play.say("count:5")
    play.run(5.0)
    assert play.found(Climbed) == []
    assert play.session.questions.asking.question == "all-climbed"
    play.say("count:5")
    assert [fact.boulders for fact in play.found(Climbed)] == [5]


def test_a_number_on_the_way_is_no_end() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(120.0)
    play.say("count:3")
    play.run(60.0)
    play.say("done")
    [first] = play.found(Climbed)
    assert first.boulders == 5
    assert not any("Tell me how many" in text for text in play.said)


@pytest.mark.parametrize("pace", [SLOW, QUICK])
def test_after_the_first_batch_the_rest_is_planned_at_her_pace(pace: Pace) -> None:
    planned: dict[str, float] = {}

    def seen(s: Any, now: float) -> None:
        if len([one for one in s.course.past if one.kind is StepKind.CLIMB]) == 1:
            ahead = [one for one in s.course.steps if one.block.value == "easy" and one.amount]
            planned.update({one.name: one.seconds / one.amount for one in ahead})

    rehearsed(90.0, pace, seen=seen)
    assert planned
    assert all(each == pytest.approx(pace.easy, abs=1.0) for each in planned.values())


def gained(word: str, **more: Any) -> tuple[Day, int]:
    """A quick hour in which the gained minutes are answered so, and the tries that were offered."""
    day = rehearsed(60.0, QUICK, answers={"time-gained": word}, **more)
    offers = said(day, "minutes ahead: ")
    numbers = {"one": 1, "2": 2, "3": 3}
    return day, numbers[re.findall(r": (\w+) more", offers[0])[0]] if offers else 0


def test_gained_minutes_are_offered_once_and_only_her_own_words_take_them() -> None:
    (yes, offered), (silent, _), (home, _) = map(gained, ("more-tries", "nothing", "home-early"))
    assert offered >= 1
    assert yes.tries == silent.tries + offered
    assert silent.tries == home.tries
    assert {"more-tries"} <= rules(yes)
    assert {"home-early"} <= rules(silent) & rules(home)
    # the slack of a plan, and the last question
    assert silent.session.ended < yes.session.ended <= 60 * 60.0 + 40.0


def test_a_tired_day_is_offered_no_more_tries() -> None:
    day, offered = gained("more-tries", told=((1, "tired"),))
    assert not offered
    assert "more-tries" not in rules(day)


def test_the_last_batch_of_whoever_is_slow_has_the_boulders_that_fit() -> None:
    day = rehearsed(20.0, Pace(70, 110))
    assert [fact.boulders for fact in day.facts if isinstance(fact, Climbed)] == [5, 3]
    assert day.session.ended <= 20 * 60.0 + 40.0


@pytest.mark.parametrize("tag", ["", "tired", "hard-yesterday", "break:illness"])
def test_minutes_that_hold_no_try_bring_no_boulder_that_nobody_asked_for(tag: str) -> None:
    day = rehearsed(120.0, Pace(20, 45), told=((1, tag),) if tag else ())
    assert [step.name for _, step in day.steps if ".more-" in step.name] == []


@pytest.mark.parametrize("minutes", [45.0, 60.0, 90.0, 120.0])
@pytest.mark.parametrize("pace", [USUAL, SLOW, QUICK, Pace(20, 110), Pace(70, 45)])
def test_what_is_left_is_her_time_from_minute_twenty_on(minutes: float, pace: Pace) -> None:
    """Within two minutes, once she has said what becomes of gained minutes; usually at once."""
    shown: list[tuple[float, float]] = []
    known: list[float] = []

    def seen(s: Any, now: float) -> None:
        if s.course.planned and s.ended is None and now >= 20 * 60:
            shown.append((now, float(look(s).ends_at or 0.0)))
            asked = s.questions.asking is not None or s.questions.pending
            if pace is USUAL or (s.day.go and not asked):
                known.append(shown[-1][1])

    day = rehearsed(minutes, pace, seen=seen, answers={"time-gained": "more-tries"})
    ended = day.session.ended
    assert known
    assert max(abs(at - ended) for at in known) < 120.0
    jumps = [abs(b - a) for (_, a), (_, b) in pairwise(shown)]
    assert max(jumps) < 300.0


def test_what_is_asked_before_hard_tries_cannot_be_skipped() -> None:
    """'Skip this' in the rest that 'more time' gives at the go-ahead leaves no go out."""
    play = Play()
    play.until(Phase.ASK, question="go-ahead")
    play.say("more-time")
    play.until(Phase.REST)
    assert "skip" not in play.session.window.answers
    play.say("skip", source=Source.KEY)
    play.until(Phase.ASK, question="go-ahead")
    assert not play.session.day.go


@pytest.mark.parametrize(("told", "again"), [("count:5", 0), ("count:3", 2)])
def test_a_count_told_after_the_batch_was_given_up_still_counts(told: str, again: int) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    name = play.session.course.running.step.name
    while play.session.phase is not Phase.REST:
        play.run(5.0)
    assert play.found(Climbed) == []
    play.say(told)
    assert [fact.boulders for fact in play.found(Climbed)] == [5 - again]
    made_up = [one for one in play.session.course.steps if one.makes_up == name]
    assert sum(one.amount for one in made_up) == again
    assert play.session.course.boulders == 5 - again


def test_whoever_was_quick_before_is_not_given_up_on_her_last_boulder() -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(100.0)
    play.say("count:5")
    play.until(Phase.WORK, StepKind.CLIMB)
    name = play.session.course.running.step.name
    play.run(210.0)
    assert play.session.course.running.step.name == name


@pytest.mark.parametrize("minutes", [45.0, 60.0, 90.0])
def test_who_tells_nothing_of_the_boulders_still_winds_down(minutes: float) -> None:
    """What makes up for them serves hard tries: it does not take the last minutes once none fit."""
    play = Play(minutes=minutes)
    play.until(Phase.ASK, question="gate-body")
    play.say("feel:fine")
    while not play.session.ended:
        play.run(10.0)
    ended = play.found(StepEnded)
    assert any(fact.block == "cool-down" and fact.amount for fact in ended)
    assert play.now < minutes * 60.0 + 60.0


def test_the_end_of_winding_down_is_no_part_of_the_warm_up() -> None:
    play = Play(minutes=45.0)
    while (running := play.session.course.running) is None or running.step.block != "cool-down":
        play.run(5.0)
    name, words = running.step.name, len(play.said)
    play.run(8.0)
    play.say("done")
    assert [fact.outcome for fact in play.found(StepEnded) if fact.step == name] == ["done"]
    assert not any("warm-up" in text for text in play.said[words:])


@pytest.mark.parametrize("feel", ["feel:sore", "feel:hurting"])
def test_what_is_sore_between_boulders_is_asked_about_before_the_next(feel: str) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(60.0)
    play.say(feel)
    play.run(6.0)
    assert play.said[-1] == "Where?"
    play.say("part:shoulders")
    play.run(12.0)
    told = "Skin, muscle or joint?" if feel == "feel:sore" else "Nothing on the shoulders"
    assert any(text.startswith(told) for text in play.said[-3:])


@pytest.mark.parametrize(("climbed", "still"), [(100.0, 600.0), (150.0, 610.0)])
def test_who_climbed_until_a_pause_has_stood_no_longer_than_it(
    climbed: float, still: float
) -> None:
    play = Play()
    play.until(Phase.WORK, StepKind.CLIMB)
    play.run(climbed)
    play.say("pause", source=Source.KEY)
    play.run(still)
    play.say("resume", source=Source.KEY)
    play.run(2.0)
    assert "10 minutes without moving. Ease into it." in play.said
