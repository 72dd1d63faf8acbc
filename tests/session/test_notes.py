"""Spoken notes and filmed tries."""

from typing import Any

import pytest

from coach.model.answers import ANYTIME
from coach.model.facts import CauseTold, Filmed, NoteMade, Tried
from coach.model.plan import StepKind
from coach.model.tries import Boulder, Went
from coach.session.effects import EndNote, KeepNote, Play, PlayNote, Tone
from coach.session.events import DeviceLost, NoteKept, Reopened, Source
from coach.session.looking import look
from coach.session.notes import MOST, clock_at
from coach.session.state import Phase
from tests.session.stage import Play as Session

FLINT = Boulder("flint 4")


def resting(**more: Any) -> Session:
    """In the rest after a first try."""
    play = Session(
        routine="rests", minutes=120.0, boulders=((1, FLINT),), wall="2026-03-03 18:30:00", **more
    )
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("ended-top")
    play.run(10.0)
    assert play.session.phase is Phase.REST
    return play


def silent(play: Session) -> None:
    """Let the world record nothing by itself."""
    play.world._events = [e for e in play.world._events if not isinstance(e[2], NoteKept)]


def tones(play: Session) -> list[Tone]:
    return [effect.tone for effect in play.effects if isinstance(effect, Play)]


def test_a_note_is_kept_between_two_tones_and_nothing_counts_meanwhile() -> None:
    play = resting()
    before = len(play.effects)
    play.say("keep")
    (keep,) = (e for e in play.effects if isinstance(e, KeepNote))
    start = next(e for e in play.effects[before:] if isinstance(e, Play) and e.tone is Tone.START)
    assert keep.at >= start.at + 0.16
    assert (keep.name, keep.most) == ("20260303183000-1", 20.0)
    assert play.session.window is None
    assert look(play.session).recording
    play.run(6.0)
    (made,) = play.found(NoteMade)
    assert (made.boulder, made.name, made.seconds) == ("flint 4", keep.name, 4.0)
    assert tones(play)[-1] is Tone.END
    assert "Kept: 4 seconds." in play.said
    assert not look(play.session).recording
    assert play.session.window is not None


def test_it_is_played_once_before_the_next_try_on_that_boulder() -> None:
    play = resting()
    play.say("keep")
    play.until(Phase.WORK, StepKind.TRY)
    assert [e.name for e in play.effects if isinstance(e, PlayNote)] == ["20260303183000-1"]
    play.say("ended-middle", source=Source.KEY)
    play.until(Phase.WORK, StepKind.TRY)
    assert len([e for e in play.effects if isinstance(e, PlayNote)]) == 1


def test_a_note_of_an_earlier_day_is_played_before_the_first_try_on_its_boulder() -> None:
    notes = ((1, "flint 4", "old-1"), (1, "slate", "old-2"), (2, "flint 4", "old-3"))
    play = resting(notes=notes)
    assert [e.name for e in play.effects if isinstance(e, PlayNote)] == ["old-1"]


def test_nothing_is_said_or_asked_into_a_note() -> None:
    play = Session(routine="rests", minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.run(20.0)
    play.say("down")
    play.run(10.0)
    play.say("keep")
    silent(play)
    said = len(play.said)
    play.run(15.0)
    assert play.said[said:] == []
    assert not play.session.questions.asking
    play.send(NoteKept(play.now, play.session.notes.recording.name, 12.0, "silence"))
    play.run(10.0)
    assert play.session.questions.asking.question == "try-result"


def test_words_of_the_rest_are_not_said_into_it() -> None:
    play = resting()
    play.run(85.0)
    play.say("keep")
    silent(play)
    play.run(12.0)
    assert "Halfway." not in play.said


@pytest.mark.parametrize("how", ["pause", "stop", "finish", "hurt"])
def test_whatever_breaks_in_ends_the_note_and_keeps_what_there_is(how: str) -> None:
    play = resting()
    play.say("keep")
    silent(play)
    play.run(3.0)
    play.say(how, source=Source.KEY)
    assert any(isinstance(e, EndNote) for e in play.effects)
    play.send(NoteKept(play.now, play.session.notes.recording.name, 2.0, "ended"))
    assert play.found(NoteMade)[0].seconds == 2.0
    assert tones(play)[-1] is Tone.END


def test_the_end_of_the_rest_ends_it_as_well() -> None:
    play = resting()
    play.run(172.0)
    play.say("keep")
    silent(play)
    play.run(22.0)
    assert any(isinstance(e, EndNote) for e in play.effects)


def test_a_lost_microphone_keeps_what_there_is_and_says_so() -> None:
    play = resting()
    play.say("keep")
    silent(play)
    play.send(DeviceLost(play.now, "microphone", "unplugged"))
    play.send(NoteKept(play.now, play.session.notes.recording.name, 3.2, "microphone"))
    play.run(10.0)
    assert "The microphone dropped out. 3 seconds kept." in play.said
    assert len(play.found(NoteMade)) == 1
    play.say("keep", source=Source.KEY)
    play.run(10.0)
    assert "No microphone, no note." in play.said


@pytest.mark.parametrize(
    ("why", "said"), [("disk", "I couldn't save the note."), ("silence", "Nothing was kept.")]
)
def test_a_note_that_could_not_be_kept_is_told(why: str, said: str) -> None:
    play = resting()
    play.say("keep")
    silent(play)
    play.send(NoteKept(play.now, "another", 5.0, "silence"))
    play.send(NoteKept(play.now, play.session.notes.recording.name, 0.0, why))
    play.run(5.0)
    assert said in play.said
    assert play.found(NoteMade) == []


def test_a_note_whose_end_nobody_reports_is_over_in_the_end() -> None:
    play = resting()
    play.say("keep")
    silent(play)
    play.run(MOST + 10.0)
    assert play.session.notes.recording is None
    assert play.session.window is not None


def test_a_crash_ends_it() -> None:
    play = resting()
    play.say("keep")
    silent(play)
    play.send(Reopened(play.now + 5.0, 5.0))
    assert play.session.notes.recording is None


def test_a_note_is_kept_in_a_rest_only_and_one_at_a_time() -> None:
    play = resting()
    play.say("keep")
    play.say("keep", source=Source.KEY)
    assert len([e for e in play.effects if isinstance(e, KeepNote)]) == 1
    play.until(Phase.WORK, StepKind.TRY)
    play.say("keep", source=Source.KEY)
    assert len([e for e in play.effects if isinstance(e, KeepNote)]) == 1
    assert "keep" not in ANYTIME


# films


def test_a_filmed_try_has_its_clock_time_and_the_debrief_tells_it() -> None:
    play = resting()
    play.say("filmed")
    (filmed,) = play.found(Filmed)
    assert (filmed.boulder, filmed.number, filmed.clock) == ("flint 4", 1, "18:30")
    play.say("finish", source=Source.KEY)
    play.until(Phase.OVER)
    assert "Filmed: try 1, 18:30." in play.said


def test_it_can_be_told_before_its_result_and_not_before_a_try() -> None:
    play = Session(routine="rests", minutes=120.0)
    play.until(Phase.WORK, StepKind.TRY)
    play.say("filmed", source=Source.KEY)
    assert play.found(Filmed) == []
    play.run(10.0)
    play.say("down")
    play.say("filmed", source=Source.KEY)
    (filmed,) = play.found(Filmed)
    assert (filmed.boulder, filmed.number, filmed.clock) == ("boulder 1", 1, "")
    play.say("finish", source=Source.KEY)
    play.until(Phase.OVER)
    assert "Filmed: try 1." in play.said


def test_the_next_check_in_asks_what_was_seen() -> None:
    went = (Went(1, "flint 4", "middle", today=False),)
    play = Session(routine="rests", minutes=120.0, films=((1, "flint 4"),), went=went)
    play.until(Phase.CHECK_IN, question="seen-film")
    assert play.said[-1] == "The film of flint 4: what ended it, or no?"
    play.say("cause:foot")
    assert play.found(CauseTold)[0].cause == "foot"
    play.until(Phase.WORK, StepKind.TRY)
    silence = Session(routine="rests", minutes=120.0, films=((1, "flint 4"),), went=went)
    silence.until(Phase.WORK, StepKind.TRY)
    assert silence.found(CauseTold) == []
    assert silence.found(Tried) == []


def test_the_clock_goes_round() -> None:
    assert clock_at("2026-03-03 23:59:30", 45.0) == "00:00"
    assert clock_at("", 45.0) == ""
