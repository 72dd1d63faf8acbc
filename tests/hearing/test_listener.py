"""Answers out of real synthetic voices, through the whole chain, block by block."""

from collections.abc import Callable

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.files.library import load_library
from coach.files.words import load_language
from coach.hearing.endpoint import CHUNK, HANG, LOW_HANG, PAUSE
from coach.hearing.listener import Listener
from coach.hearing.recogniser_port import HEARING_RATE
from coach.hearing.scorer import WhisperScorer
from coach.model.answers import CALLED
from coach.session.effects import CloseWindow, OpenWindow
from coach.session.events import Answered, Event, SpeechBegan, SpeechEnded, Sureness
from tests.hearing.phrases import PHRASES
from tests.hearing.voices import VOICES, Floats, say, track

BLOCK = RATE // 50
STEP = ("done", "skip", "more-time", "easier")


class Run:
    """A listener, fed with a track; calls are made when their time has come."""

    def __init__(
        self, scorer: WhisperScorer, address: str = "", compute_seconds: float = 0.0
    ) -> None:
        self.listener = Listener(scorer, PHRASES, address=address, compute_seconds=compute_seconds)
        self.calls: list[tuple[float, Callable[[], None]]] = []
        self.events: list[Event] = []

    def at(self, seconds: float, call: Callable[[], None]) -> None:
        self.calls.append((seconds, call))

    def window(
        self, number: int, answers: tuple[str, ...], opens: float, closes: float | None = None
    ) -> None:
        self.at(opens, lambda: self.listener.open(OpenWindow(number, answers, opens)))
        if closes is not None:
            self.at(closes, lambda: self.listener.close(CloseWindow(number, closes)))

    def cue(self, text: str, start: float, end: float) -> None:
        self.at(start, lambda: self.listener.sounding(text, start, None))
        self.at(end, lambda: self.listener.sounding(text, start, end))

    def hear(self, sound: Floats) -> list[Answered]:
        calls = sorted(self.calls, key=lambda pair: pair[0])
        for first in range(0, len(sound), BLOCK):
            while calls and calls[0][0] <= first / RATE:
                calls.pop(0)[1]()
            self.events += self.listener.feed(sound[first : first + BLOCK], first)
        return [event for event in self.events if isinstance(event, Answered)]


def keys(answers: list[Answered]) -> list[str]:
    return [answer.answer.key for answer in answers]


@pytest.mark.parametrize("voice", VOICES, ids=" ".join)
@pytest.mark.parametrize(
    ("text", "key"),
    [("I'm done", "done"), ("skip this", "skip"), ("more time", "more-time"), ("stop", "stop")],
)
def test_an_answer_is_heard_in_its_window(
    scorer: WhisperScorer, voice: tuple[str, str], text: str, key: str
) -> None:
    run = Run(scorer)
    run.window(7, STEP, 0.5)
    sound = say(text, *voice)
    answers = run.hear(track(3.0, (1.0, sound)))
    assert keys(answers) == [key]
    answer = answers[0]
    assert answer.window == (7 if key != "stop" else None)
    assert answer.onset == pytest.approx(1.0, abs=0.12)
    assert answer.at - (1.0 + len(sound) / RATE) < 0.35
    # what must not be missed may cost a question
    assert answer.sureness is Sureness.SURE or key == "stop"


def test_the_same_sound_gives_the_same_events(scorer: WhisperScorer) -> None:
    def once() -> list[Event]:
        run = Run(scorer)
        run.window(1, STEP, 0.5)
        run.hear(track(3.0, (1.0, say("make it easier"))))
        return run.events

    assert once() == once()


def test_outside_windows_only_answers_for_any_time_count(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    answers = run.hear(
        track(6.0, (0.5, say("skip this")), (2.0, say("my fingers are sore")), (4.0, say("pause")))
    )
    assert keys(answers) == ["feel:fingers:sore", "pause"]
    assert all(answer.window is None for answer in answers)


def test_an_answer_belongs_to_the_window_that_was_open_when_it_began(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    run.window(1, STEP, 0.3, closes=1.2)
    run.window(2, ("another", "enough"), 1.3)
    answers = run.hear(track(3.0, (1.0, say("make it easier"))))
    assert [(a.answer.key, a.window) for a in answers] == [("easier", 1)]


def test_speech_that_began_before_the_window_is_dropped(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    run.window(1, STEP, 1.25)
    assert run.hear(track(3.0, (1.0, say("make it easier")))) == []


def test_other_talk_in_a_window_is_no_answer_and_its_end_is_told(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    run.window(1, STEP, 0.2)
    assert run.hear(track(4.0, (0.5, say("we went to the lake on saturday")))) == []
    kinds = [type(event) for event in run.events]
    assert kinds[0] is SpeechBegan
    assert kinds[-1] is SpeechEnded


def test_while_our_own_cue_sounds_only_answers_for_any_time_count(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    run.window(1, STEP, 0.2)
    run.cue("Shake out your arms and breathe.", 0.9, 2.6)
    answers = run.hear(track(6.0, (1.1, say("I'm done")), (4.0, say("I'm done"))))
    assert [(a.answer.key, round(a.onset)) for a in answers] == [("done", 4)]


@pytest.mark.parametrize("echo_db", [-46.0, -36.0, -26.0])
def test_what_our_own_voice_says_is_never_obeyed(scorer: WhisperScorer, echo_db: float) -> None:
    text = "Stop now, or feeling sore, or let's finish here"
    voice = say(text)
    run = Run(scorer)
    run.window(1, ("finish", "resume", "feel:sore"), 0.2)
    gain = np.float32(10 ** ((echo_db + 26.0) / 20))
    run.cue(text, 1.0, 1.0 + len(voice) / RATE)
    assert run.hear(track(6.0, (1.02, voice * gain))) == []


def test_stop_is_heard_through_our_own_cue(scorer: WhisperScorer) -> None:
    cue = say("Shake out your arms and breathe slowly", "espeak-ng", "en-us+f3")
    run = Run(scorer)
    run.cue("Shake out your arms and breathe slowly", 1.0, 1.0 + len(cue) / RATE)
    quiet_cue = cue * np.float32(0.1)
    answers = run.hear(track(5.0, (1.0, quiet_cue), (1.6, say("stop stop"))))
    assert keys(answers) == ["stop"]


def test_after_the_address_word_answers_count_outside_windows(scorer: WhisperScorer) -> None:
    run = Run(scorer, address="coach")
    answers = run.hear(track(6.0, (0.5, say("coach, skip that")), (3.0, say("skip that"))))
    assert [(a.answer.key, a.addressed, a.window) for a in answers] == [("skip", True, None)]


@pytest.mark.parametrize("key", CALLED)
def test_every_answer_of_the_pack_counts_after_the_address_word(
    scorer: WhisperScorer, key: str
) -> None:
    phrases = load_language("en", load_library("full", None, ()).movements).answers
    run = Run(scorer, address="coach")
    run.listener = Listener(scorer, phrases, address="coach")
    answers = run.hear(track(4.0, (0.5, say(f"coach, {phrases[key][0]}"))))
    assert keys(answers) == [key]


def test_talk_that_never_pauses_does_not_block_an_answer(scorer: WhisperScorer) -> None:
    talk = say(
        "and then he said that the weather on the coast had been so much better than here "
        "and that they would all go there again next summer if the house is free by then",
        "flite",
        "rms",
    ) * np.float32(0.15)
    run = Run(scorer)
    run.window(1, STEP, 2.0)
    answers = run.hear(track(9.0, (0.5, talk), (4.0, say("make it easier"))))
    assert keys(answers) == ["easier"]
    assert answers[0].onset >= 2.0


@pytest.mark.parametrize(
    "sound",
    [
        np.zeros(4 * RATE, np.float32),
        np.ones(4 * RATE, np.float32),
        np.full(4 * RATE, np.nan, np.float32),
        np.sign(np.sin(np.arange(4 * RATE) / 30)).astype(np.float32),
        np.random.default_rng(3).normal(0, 5, (4 * RATE, 2)).astype(np.float32),
    ],
    ids=["silence", "offset", "not a number", "clipped tone", "loud stereo noise"],
)
def test_broken_sound_gives_no_answer_and_no_error(scorer: WhisperScorer, sound: Floats) -> None:
    run = Run(scorer)
    run.window(1, STEP, 0.1)
    assert run.hear(sound) == []


def test_a_gap_in_the_sound_ends_what_was_open(scorer: WhisperScorer) -> None:
    run = Run(scorer)
    run.window(1, STEP, 0.2)
    sound = track(3.0, (0.5, say("make it easier")))
    cut = RATE // 50 * 40
    run.hear(sound[:cut])
    after = run.listener.feed(np.zeros(2 * RATE, np.float32), 10 * RATE)
    assert [event for event in after if isinstance(event, Answered)] == []
    late = say("make it easier")
    events: list[Event] = []
    first = 12 * RATE
    for begin in range(0, RATE * 3, BLOCK):
        block = track(3.0, (0.5, late))[begin : begin + BLOCK]
        events += run.listener.feed(block, first + begin)
    answers = [event for event in events if isinstance(event, Answered)]
    assert keys(answers) == ["easier"]
    assert answers[0].onset == pytest.approx(12.5, abs=0.12)


def test_compute_time_is_charged_where_the_device_is_simulated(scorer: WhisperScorer) -> None:
    def at(charge: float) -> float:
        run = Run(scorer, compute_seconds=charge)
        run.window(1, STEP, 0.2)
        return run.hear(track(3.0, (1.0, say("make it easier"))))[0].at

    # the recogniser works while the end is awaited: that much costs nothing
    hidden = (HANG - PAUSE) * CHUNK / HEARING_RATE
    assert at(hidden / 2) == at(0.0)
    longer = (LOW_HANG - PAUSE) * CHUNK / HEARING_RATE
    assert 0.3 - longer - 1e-9 <= at(0.3) - at(0.0) <= 0.3 - hidden + 1e-9


@pytest.mark.parametrize("voice", VOICES[:3], ids=" ".join)
def test_how_a_try_went_is_heard_part_by_part_in_one_breath(
    scorer: WhisperScorer, voice: tuple[str, str]
) -> None:
    """Each pause is shorter than the session takes to close the window of the try."""
    run = Run(scorer)
    run.listener = Listener(scorer, load_language("en", load_library("full").movements).answers)
    run.window(3, ("down", "topped", "ended-middle", "move:4", "move:5", "move:6"), 0.5)
    parts, at = [], 1.0
    for text in ("move five", "my foot", "felt harder"):
        sound = say(text, *voice)
        parts.append((at, sound))
        at += len(sound) / RATE + 0.4
    # the first part closes it
    run.at(2.4, lambda: run.listener.close(CloseWindow(3, 2.4)))
    answers = run.hear(track(at + 1.5, *parts))
    assert keys(answers)[:2] == ["move:5", "cause:foot"]
    assert {answer.window for answer in answers} == {3}


def test_what_ended_a_try_ends_none(scorer: WhisperScorer) -> None:
    """On the wall a cause alone is talk: only after an end that was told does it count."""
    run = Run(scorer)
    run.listener = Listener(scorer, load_language("en", load_library("full").movements).answers)
    run.window(3, ("down", "topped", "ended-middle", "move:4", "move:5", "move:6"), 0.5)
    assert keys(run.hear(track(3.0, (1.0, say("my foot"))))) == []
