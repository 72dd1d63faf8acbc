"""Whatever the screen shows is taken: it changes something, or is answered by a sentence.

The judge presses each shown answer in the states that chance has reached. 'Does nothing right now'
is no answer to what is offered.
"""

from dataclasses import replace
from itertools import chain, product
from random import Random

import pytest

from coach.model.answers import LETTERED, parse
from coach.model.messages import message
from coach.model.plan import StepKind
from coach.session.bounds import Tally
from coach.session.effects import Record, Say
from coach.session.events import Answered, Source
from coach.session.looking import look
from coach.session.state import Phase, Session
from coach.session.step import step
from tests.session.stage import Play
from tests.session.test_liveness import begun, shaken

#: What the screen says where an answer means nothing.
_NOTHING = frozenset({"not-now", "not-now-standing", "not-now-early", "nothing-asked"})


def does_nothing(s: Session, key: str, who: int, source: Source) -> str:
    """Why an answer that is shown does nothing; '' where it does something, or is answered."""
    window = s.window
    number = window.number if window is not None and key in window.answers else None
    if source is Source.KEY:
        number = look(s).window
    after, effects = step(s, Answered(s.at, parse(key), who, s.at, number, source))
    did = after.did
    if did is not None and did.key in _NOTHING:
        return did.key
    told = did is not None or any(isinstance(one, Say | Record) for one in effects)
    return "" if told or _plain(after) != _plain(s) else "nothing at all"


def _plain(s: Session) -> Session:
    """A session without what any answer changes: what was heard, and that it came."""
    listening = replace(s.listening, heard=None, did=None, windows=(), next_window=0)
    speech = replace(s.speech, tally=Tally(), next_sound=0)
    return replace(s, listening=listening, speech=speech, wake=None)


def found_in(play: Play) -> list[str]:
    """What is shown in the state of now and does nothing, by whom and how.

    'Say again' beside a cue that sounds is left out, as that one is not said twice; 'carry on' has
    the letter of 'pause', and is an answer where it means something.
    """
    s: Session = play.session
    here = s.course.running.step.name if s.course.running is not None else ""
    view = look(s)
    left_out = {*view.idle, *view.answers, "again", "resume"}
    letters = ((key, s.people[0], Source.KEY) for key in LETTERED if key not in left_out)
    ways = chain(product(view.answers, s.people[:2], (Source.VOICE, Source.KEY)), letters)
    return [
        f"{s.phase} {here} {who} {source} {key}: {why}"
        for key, who, source in ways
        if (why := does_nothing(s, key, who, source))
    ]


def shaken_and_looked_at(play: Play, dice: Random) -> list[str]:
    """What is shown and does nothing, in states that chance comes to from here."""
    found = found_in(play)
    for _ in range(25):
        shaken(play, dice, 4)
        if play.session.phase is Phase.OVER:
            break
        found += found_in(play)
    return found


@pytest.mark.parametrize("seed", range(15))
def test_what_is_shown_does_something(seed: int) -> None:
    dice = Random(seed)
    play, _ = begun(dice)
    assert shaken_and_looked_at(play, dice) == []


@pytest.mark.parametrize("people", [1, 2])
@pytest.mark.parametrize("phase", [Phase.WORK, Phase.REST])
def test_what_is_shown_between_hard_tries_does_something(people: int, phase: Phase) -> None:
    for seed in range(4):
        play = Play(people=people, routine="rests", minutes=60.0)
        play.until(Phase.WORK, StepKind.TRY)
        if phase is Phase.REST:
            play.say("down")
            play.until(Phase.REST)
        assert shaken_and_looked_at(play, Random(seed)) == []


@pytest.mark.parametrize("key", ["filmed", "cause:skin", "closer"])
def test_of_a_try_that_there_was_not_it_is_said_so(key: str) -> None:
    play = Play(people=2, routine="rests", minutes=60.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.say("down")
    play.run(40.0)
    play.say(key, who=2, source=Source.KEY)
    assert play.session.did == message("no-try-yet", who=2)
