"""A lesson in a simulated hall: her takes are kept, and nothing she says in it is obeyed.

Chart, planner, voice, mixer, ear and recogniser are the real ones.
"""

from pathlib import Path

import numpy as np
import pytest

from coach.audio.echo import EchoCanceller
from coach.audio.sound_device import RATE
from coach.audio.tones import tones
from coach.clock import FakeClock
from coach.errors import AudioError
from coach.files.library import load_library
from coach.files.voices import load_voice
from coach.files.words import load_language
from coach.hearing.listener import Listener
from coach.hearing.own_takes import MEANT, OwnTakes
from coach.hearing.recogniser_port import Scored, Spoken
from coach.hearing.recognisers import load
from coach.hearing.scorer import WhisperScorer
from coach.hearing.takes import GATHERED, MOST_GATHERED, load_all, path_of
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import CloseWindow, Effect, OpenWindow
from coach.session.events import Answered, Event, Started, TakeHeard
from coach.session.lessons import PHRASES, TAKES
from coach.session.step import new_session
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.simulated_room import SimulatedRoom
from tests.audio.simulated_stage import SimulatedStage
from tests.bench.sound_hall import hall
from tests.hearing.hall_session import COMPUTE, ECHO_DB, SNR_DB, Ready
from tests.hearing.test_listener import Run
from tests.hearing.voices import Floats, needs, say, track

LIBRARY = load_library("full", None, ())
LANGUAGE = load_language("en", LIBRARY.movements)


class Pupil:
    """Answers the check-in and says each phrase three times, a second and a half apart."""

    def __init__(self, room: SimulatedRoom, voice: tuple[str, str]) -> None:
        self.room, self.voice = room, voice
        self.answers: list[Answered] = []
        self.takes: list[TakeHeard] = []
        self.planned = False

    def watch(self, thing: Effect | Event) -> None:
        if isinstance(thing, Answered):
            self.answers.append(thing)
        elif isinstance(thing, TakeHeard):
            self.takes.append(thing)
        elif isinstance(thing, OpenWindow):
            self.opened(thing)
        elif isinstance(thing, CloseWindow):
            self.planned = self.planned or len(self.takes) >= TAKES * len(PHRASES)

    def opened(self, window: OpenWindow) -> None:
        at = window.at + 0.8
        if window.teaches:
            for take in range(TAKES):
                sound = say(LANGUAGE.answers[window.teaches][0], *self.voice)
                self.room.speak(sound, at + take * (1.5 + len(sound) / RATE))
        elif "yes" in window.answers:
            self.room.speak(say("yes please", *self.voice), at)
        elif "feel:sore" in window.answers:
            self.room.speak(say(LANGUAGE.answers["no"][0], *self.voice), at)


def play(scorer: WhisperScorer, cache: Path, voice: tuple[str, str], seconds: float) -> Pupil:
    """A first session's check-in in a hall."""
    profile = load_voice("steady")
    noise = hall(30.0, seed=3)
    room = SimulatedRoom(FakeClock(), echo_db=ECHO_DB, noise=noise, snr_db=SNR_DB, seed=3)
    speaks = Voice(engine(profile.engine), profile, Cache(cache))
    ear = Listener(scorer, LANGUAGE.answers, compute_seconds=COMPUTE)
    stage = SimulatedStage(room, Ready(speaks), tones(), LANGUAGE.text, ear, echo=EchoCanceller())
    pupil = Pupil(room, voice)
    stage.watch(pupil.watch)
    people = (Person(1, age=AgeBand.ADULT),)
    session = new_session(LIBRARY, Options(people, 90.0, None, True, learn_voice=True))
    runner = Runner(session, stage, NoKeeper(), FakeClock().wall)
    stage.start()
    going = runner.take(Started(0.0))
    while going and stage.now() < seconds and not pupil.planned:
        event = stage.wait(min(runner.wake or seconds, stage.now() + 0.5))
        if event is not None or (runner.wake is not None and stage.now() >= runner.wake):
            going = runner.take(event if event is not None else runner.due())
    stage.stop()
    speaks.close()
    return pupil


@pytest.mark.timeout(300)
def test_a_lesson_in_a_hall_keeps_her_takes_and_obeys_none(tmp_path: Path) -> None:
    needs("flite")
    takes = tmp_path / "en"
    scorer = load("whisper", None, takes)
    assert isinstance(scorer, WhisperScorer)
    pupil = play(scorer, tmp_path, ("flite", "slt"), 75.0)
    assert [one.answer.key for one in pupil.answers] == ["no", "yes"]
    assert [(one.answer, one.takes) for one in pupil.takes] == [
        (key, take + 1) for key in PHRASES for take in range(TAKES)
    ]
    phrases = {LANGUAGE.answers[key][0] for key in PHRASES}
    found, wrong = load_all(takes)
    assert {phrase: len(some) for phrase, some in found.items()} == dict.fromkeys(phrases, TAKES)
    assert not wrong
    assert scorer.taught is not None
    assert set(scorer.taught.phrases) == phrases


def lesson(scorer: WhisperScorer, said: Floats) -> list[Event]:
    """What is heard of something that is said in the lesson of *stop*."""
    run = Run(scorer)
    run.at(0.3, lambda: run.listener.open(OpenWindow(1, ("skip", "no"), 0.3, teaches="stop")))
    run.hear(track(4.5, (0.8, said)))
    return [one for one in run.events if isinstance(one, Answered | TakeHeard)]


def test_what_must_not_be_missed_counts_in_a_lesson(scorer: WhisperScorer) -> None:
    needs("flite")
    (heard,) = lesson(scorer, say("my fingers are sore", "flite", "rms"))
    assert isinstance(heard, Answered)
    assert heard.answer.key == "feel:fingers:sore"


def test_takes_without_a_pause_between_them_stop_nothing(scorer: WhisperScorer) -> None:
    needs("flite")
    said = say("stop now", "flite", "rms")
    heard = lesson(scorer, np.concatenate([said, said, said, said]))
    assert not any(isinstance(one, Answered) for one in heard)


# -- what is gathered afterwards


class Kept:
    """An engine that only notes what it is to keep."""

    name = "whisper"
    lacking = ""

    def __init__(self) -> None:
        self.kept: list[tuple[str, bool]] = []

    def score(self, *what: object) -> tuple[Scored, ...]:
        return ()

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        self.kept.append((phrase, gathered))


SPOKEN = Spoken(say("all done", "espeak-ng", "en-gb")[::3], 0, 8000)


def own(kept: Kept) -> OwnTakes:
    return OwnTakes(kept, LANGUAGE.answers)  # type: ignore[arg-type]


def test_an_answer_that_nobody_took_back_is_gathered_when_it_is_sure_to_have_been_meant() -> None:
    kept = Kept()
    takes = own(kept)
    takes.answered("done", "all done", SPOKEN, 10.0)
    takes.pass_time(10.0 + MEANT - 0.1)
    assert not kept.kept
    takes.pass_time(10.0 + MEANT)
    takes.pass_time(11.0 + MEANT)
    assert kept.kept == [("all done", True)]
    takes.answered("done", "all done", SPOKEN, 100.0)  # one a session is enough
    takes.pass_time(200.0)
    assert kept.kept == [("all done", True)]


@pytest.mark.parametrize("after", ["no", "back", "resume"])
def test_an_answer_that_is_taken_back_is_not_gathered(after: str) -> None:
    kept = Kept()
    takes = own(kept)
    takes.answered("pause", "take a pause", SPOKEN, 10.0)
    takes.answered(after, LANGUAGE.answers[after][0], None, 14.0)
    takes.pass_time(100.0)
    assert not kept.kept


def test_a_key_or_a_refusal_after_an_answer_leaves_it_ungathered() -> None:
    kept = Kept()
    listener = Listener(kept, LANGUAGE.answers)
    listener._own.answered("pause", "take a pause", SPOKEN, 0.0)
    listener.doubt()
    listener._own.pass_time(100.0)
    assert not kept.kept


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("takes") / "en"


def test_only_what_she_taught_is_gathered_and_little_of_it(
    scorer: WhisperScorer, folder: Path
) -> None:
    needs("espeak-ng")
    try:
        scorer.learn(folder)
        scorer.keep("all done", SPOKEN, gathered=True)
        assert not folder.exists()
        scorer.keep("all done", SPOKEN, gathered=False)
        for _ in range(MOST_GATHERED + 1):
            scorer.keep("all done", SPOKEN, gathered=True)
            scorer.keep("skip that", SPOKEN, gathered=True)
        found, _ = load_all(folder)
        assert {phrase: len(some) for phrase, some in found.items()} == {
            "all done": 1 + MOST_GATHERED
        }
        assert path_of(folder, "all done", gathered=True).name.endswith(f"{GATHERED}.npz")
    finally:
        scorer.taught, scorer._folder, scorer.foreign = None, None, False


def test_a_disk_that_takes_nothing_costs_no_session(
    scorer: WhisperScorer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    needs("espeak-ng")

    def full(*what: object, **more: object) -> None:
        raise AudioError("full", "Free some space.")

    monkeypatch.setattr("coach.hearing.takes.save", full)
    try:
        scorer.learn(tmp_path / "en")
        scorer.keep("all done", SPOKEN, gathered=False)
        assert scorer.taught is None
    finally:
        scorer.taught, scorer._folder, scorer.foreign = None, None, False
