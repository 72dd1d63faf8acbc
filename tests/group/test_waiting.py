"""No state of a group waits for ever: with nothing but time it ends, and soon enough.

The judge knows of the machine only its next time and that it is over. From states all along many
sessions it lets time alone pass.
"""

import random
from pathlib import Path

import pytest

from coach.group.gathering import Group
from coach.group.group_step import deadline, step
from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.session.effects import Effect, Say
from coach.session.events import Answered, DeviceLost, Event, Reopened, Started, TimePassed
from coach.session.state import Phase
from tests.group.runs import group
from tests.group.watched import random_words

#: Seconds that a session may last beyond its plan: the longest course of standing still, the cues
#: that come with it, and hangs that begin later because nobody reports here that calls were said.
BOUND = 700.0 + 300.0 + 100.0
SAID = (
    "hurt",
    "pause",
    "stop",
    "stay",
    "feel:sore",
    "person:2",
    "hurts",
    "out",
    "late",
    "return",
    "part:knees",
    "let-in",
    "resume",
    "next",
    "undo",
    "again",
    "where",
    "more-time:2",
    "no",
)


def left_alone(now: Group) -> tuple[Group, int, dict[str, int]]:
    """Nothing but time: the end, how many times were due, and how often each cue was said."""
    dues, cues = 0, dict[str, int]()
    while now.phase is not Phase.OVER:
        at = deadline(now)
        assert at is not None, f"{now.phase} in {now.act} waits for ever"
        before = now
        now, effects = step(now, TimePassed(max(at, now.at)))
        assert now != before, "nothing came of it"
        for effect in effects:
            if isinstance(effect, Say):
                key = f"{effect.what.key} {dict(effect.what.values).get('people', '')}"
                cues[key] = cues.get(key, 0) + 1
        dues += 1
        assert dues < 5000, "it goes round and round"
    return now, dues, cues


@pytest.mark.no_cover
@pytest.mark.parametrize("seed", range(3))
def test_from_every_state_time_alone_leads_to_the_end(seed: int) -> None:
    dice = random.Random(seed)
    given = group(minutes=30, hurting=((2, Part.FINGERS, Feel.SORE),), late=(5,))
    now, _ = step(given, Started(0.0))
    for _ in range(120):
        if now.phase is Phase.OVER:
            break
        at = deadline(now)
        assert at is not None
        event: Event = TimePassed(max(at, now.at))
        if dice.random() < 0.5:
            when = now.at + dice.uniform(0, max(at - now.at, 0.0))
            key = dice.choice(SAID)
            window = now.window.number if now.window is not None else None
            event = Answered(when, parse(key), 0, when, window)
        elif dice.random() < 0.05:
            event = dice.choice((Reopened(now.at + 1, 60.0), DeviceLost(now.at, "microphone", "")))
        now, _ = step(now, event)
        if dice.random() < 0.1:
            plan_end = now.at + given.programme.seconds + BOUND
            ended, _, _ = left_alone(now)
            assert ended.ended is not None
            assert ended.ended <= plan_end


@pytest.mark.parametrize("word", ["pause", "stop"])
def test_a_pause_that_nobody_ends_is_reminded_of_and_saved(word: str) -> None:
    now, _ = step(group(minutes=30), Started(0.0))
    now, _ = step(now, Answered(20.0, parse(word), 0, 20.0))

    ended, _, cues = left_alone(now)

    assert ended.how == "ended"
    assert ended.ended == pytest.approx(620.0, abs=25.0)
    assert max(cues.values()) <= 3


@pytest.mark.parametrize(("word", "minutes"), [("pause", (2, 5, 10)), ("stop", (1, 3, 10))])
def test_standing_still_is_reminded_of_at_its_minutes(
    word: str, minutes: tuple[float, ...]
) -> None:
    now, _ = step(group(minutes=30), Started(0.0))
    now, _ = step(now, Answered(20.0, parse(word), 0, 20.0))
    due: list[float] = []
    while now.ended is None:
        at = max(deadline(now) or 0.0, now.at)
        now, effects = step(now, TimePassed(at))
        if now.ended is not None or any(e.what.key == "group-still" for e in said(effects)):
            due.append(at)
    assert due == [20.0 + 60.0 * one for one in minutes]


def test_staying_is_reminded_of_after_three_and_six_minutes_and_goes_on_after_ten() -> None:
    now, _ = step(group(minutes=30), Started(0.0))
    for _ in range(3):
        now, _ = step(now, TimePassed(now.wake or 0.0))
    stayed = now.at + 1
    now, _ = step(now, Answered(stayed, parse("stay"), 0, stayed))
    due: list[float] = []
    while now.standing is not None:
        at = max(deadline(now) or 0.0, now.at)
        now, effects = step(now, TimePassed(at))
        if now.standing is None or any(e.what.key == "group-still" for e in said(effects)):
            due.append(at - stayed)
    assert due == [180.0, 360.0, 600.0]


def said(effects: tuple[Effect, ...]) -> list[Say]:
    return [one for one in effects if isinstance(one, Say)]


def test_of_somebody_hurt_it_is_asked_again_louder_and_then_said_once_a_minute() -> None:
    """After 10, 30 and 60 s, then for ten minutes what to do; it never goes on by itself."""
    now, _ = step(group(minutes=30), Started(0.0))
    now, _ = step(now, Answered(20.0, parse("hurt"), 0, 20.0))
    told: list[tuple[float, str, bool]] = []
    while now.phase is Phase.HURT:
        now, effects = step(now, TimePassed(max(deadline(now) or 0.0, now.at)))
        told += [(e.at, e.what.key, e.for_the_room) for e in effects if isinstance(e, Say)]
    asked = [one for one in told if one[1].startswith(("group-hurt", "hurt-"))]

    assert [key for _, key, _ in asked[:3]] == ["group-hurt", "group-hurt", "hurt-anybody"]
    # nobody reports here that a cue has ended, so that the first one waits for its longest time
    assert [at - 20.0 for at, _, _ in asked[1:3]] == pytest.approx([40, 100], abs=3.0)
    assert {key for _, key, _ in asked[3:]} == {"hurt-stay"}
    assert len(asked) == 3 + 9
    assert all(louder for _, _, louder in asked)
    assert now.how == "hurt"
    assert now.ended == pytest.approx(720.0, abs=25.0)


def test_staying_goes_on_by_itself_at_last() -> None:
    now, _ = step(group(minutes=30), Started(0.0))
    for _ in range(3):
        now, _ = step(now, TimePassed(now.wake or 0.0))
    now, _ = step(now, Answered(now.at + 1, parse("stay"), 0, now.at + 1))

    ended, _, _ = left_alone(now)

    assert ended.how == "done"


def test_the_next_time_and_what_is_done_then_are_one_value(tmp_path: Path) -> None:
    """A live-lock: a next time at which nothing is done. `left_alone` would go round in it."""
    words = random_words(random.Random(3), 12)
    assert words
    now, _ = step(group(minutes=30), Started(0.0))
    _, dues, _ = left_alone(now)
    assert dues < 400
