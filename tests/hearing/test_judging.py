"""What the listener makes of scores: a detector and a recogniser that say what a test tells them.

Speech is loud noise in a quiet room. Times are those of docs/hearing.md, in chunks of 32 ms.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import cycle

import numpy as np
import pytest

from coach.audio.sound_device import RATE
from coach.hearing.acceptor import ADDRESS
from coach.hearing.listener import Listener, clean
from coach.hearing.recogniser_port import Scored, Spoken
from coach.model.answers import CALLED, parse
from coach.session.effects import CloseWindow, OpenWindow
from coach.session.events import (
    Answered,
    DeviceLost,
    Event,
    Source,
    SpeechBegan,
    SpeechEnded,
    Sureness,
    TakeHeard,
)
from tests.hearing.voices import Floats

BLOCK = RATE // 50
CHUNK = 0.032
PHRASES = {
    "stop": ("stop now",), "done": ("all done", "i am done", "done"), "skip": ("skip that",),
    "harder": ("make it harder",), "no": ("no",),
}  # fmt: skip
#: Score that is sure of every answer, over a room in which the bands are those from 30 dB on.
SURE = 5.0


@dataclass
class Told:
    """A recogniser that gives each phrase the score that a test told; it keeps what it is asked."""

    scores: dict[str, float]
    name: str = "whisper"
    lacking: str = ""
    asked: list[tuple[Floats, tuple[str, ...], tuple[str, ...]]] = field(default_factory=list)
    kept: list[tuple[str, Spoken, bool]] = field(default_factory=list)

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        self.asked.append((sound, tuple(phrases), tuple(against)))
        found = [Scored(one, self.scores[one]) for one in (*phrases, *against)
                 if one in self.scores]  # fmt: skip
        return tuple(sorted(found, key=lambda one: -one.score))

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        self.kept.append((phrase, spoken, gathered))


class Bench:
    """A listener with its recogniser; loud sound is speech as surely as `speech` says."""

    def __init__(self, scores: dict[str, float] | None = None, speech: float = 1.0,
                 **more: object) -> None:  # fmt: skip
        self.told = Told(scores if scores is not None else {"all done": SURE})
        self.listener = Listener(
            self.told, PHRASES,
            detector=lambda chunk: speech if max(chunk) > 0.004 else 0.0, **more,  # type: ignore[arg-type]
        )  # fmt: skip
        self.now, self.events = 0.0, list[Event]()
        self._dice = np.random.default_rng(1)

    def hear(self, seconds: float, db: float = -70.0) -> "Bench":
        """So much more sound of a level."""
        count = round((self.now + seconds) * RATE) - round(self.now * RATE)
        sound = (10 ** (db / 20) * self._dice.standard_normal(count)).astype(np.float32)
        for first in range(0, count, BLOCK):
            block = sound[first : first + BLOCK]
            self.events += self.listener.feed(block, round(self.now * RATE) + first)
        self.now += seconds
        return self

    def window(self, number: int = 1, *answers: str, **more: object) -> "Bench":
        """A window opens; a fifth of a second passes."""
        effect = OpenWindow(number, answers or ("done", "skip"), self.now, **more)  # type: ignore[arg-type]
        self.listener.open(effect)
        return self.hear(0.2)

    def say(self, seconds: float = 0.6, db: float = -20.0, after: float = 1.0) -> "Bench":
        """Something, and silence after it."""
        return self.hear(seconds, db).hear(after)

    @property
    def answers(self) -> list[Answered]:
        return [event for event in self.events if isinstance(event, Answered)]

    @property
    def kinds(self) -> list[type]:
        return [type(event) for event in self.events]


def test_an_answer_in_a_window_tells_all_about_itself() -> None:
    bench = Bench({"all done": 4.0, "skip that": -3.0}).hear(2.0).window(7, who=2).say()
    assert bench.kinds == [SpeechBegan, Answered]
    began, answer = bench.events
    assert isinstance(began, SpeechBegan)
    assert isinstance(answer, Answered)
    assert began.onset == answer.onset == pytest.approx(2.2, abs=0.03)
    assert began.at == pytest.approx(2.2 + 2 * CHUNK, abs=0.04)
    # known when seven chunks of silence are over
    assert answer.at == pytest.approx(2.8 + 7 * CHUNK, abs=0.04)
    assert answer.answer == parse("done")
    assert (answer.window, answer.who, answer.score) == (7, 2, 4.0)
    assert (answer.source, answer.sureness) == (Source.VOICE, Sureness.SURE)
    assert answer.addressed is False
    # asked once, in the pause, with three tenths of a second from before it began
    ((sound, phrases, against),) = bench.told.asked
    assert len(sound) / 16_000 == pytest.approx(0.3 + 0.6 + 4 * CHUNK, abs=0.05)
    assert {*phrases} == {"all done", "i am done", "done", "skip that", "stop now"}
    assert against == ()


def test_what_nobody_means_is_over_when_it_is_over_and_only_told_in_a_window() -> None:
    bench = Bench({}).hear(2.0).window().say()
    assert bench.kinds == [SpeechBegan, SpeechEnded]
    ended = bench.events[1]
    assert isinstance(ended, SpeechEnded)
    assert ended.onset == pytest.approx(2.2, abs=0.03)
    assert ended.at == pytest.approx(2.8 + 7 * CHUNK, abs=0.04)
    assert Bench({}).hear(2.0).say().say().events == []
    bench.listener.close(CloseWindow(1, bench.now))
    assert bench.hear(0.1).say().kinds == [SpeechBegan, SpeechEnded]
    # outside windows what counts at any time is answered at once, and nothing else is told
    assert Bench({"stop now": SURE, "all done": 9.0}).hear(2.0).say().kinds == [Answered]


@pytest.mark.parametrize(("seconds", "looks"), [(0.03, 0), (0.07, 1), (2.4, 1), (2.9, None)])
def test_a_click_is_no_word_and_what_is_too_long_is_looked_at_in_parts(
    seconds: float, looks: int | None
) -> None:
    bench = Bench({}).hear(2.0).window()
    bench.hear(seconds, -20.0)
    during = len(bench.told.asked)
    bench.hear(1.0)
    whole = [len(sound) / 16_000 for sound, *_ in bench.told.asked[during:]]
    if looks is None:
        assert all(one <= 1.8 + 1e-9 for one in whole)
    else:
        lengths = [one for one in whole if one > seconds]
        assert len(lengths) == looks


def test_a_sure_answer_needs_the_next_meaning_to_be_behind() -> None:
    """Another phrase of its own is no rival; one of ours that sounds is."""
    for scores, sure in (
        ({"all done": 1.0, "i am done": 0.9}, True),
        ({"all done": 1.0, "i am done": 0.9, "skip that": -1.1}, True),
        ({"all done": 1.0, "i am done": 0.9, "skip that": -0.9}, False),
        ({"all done": -1.0}, True), ({"all done": -1.1}, False),
        ({"done": -0.5}, True), ({"done": -0.6}, False),  # a single word: half a logit more
    ):  # fmt: skip
        answer = Bench(scores).hear(2.0).window().say(db=-20.0).answers[0]
        assert (answer.sureness is Sureness.SURE) is sure, scores
    assert Bench({"all done": -4.1}).hear(2.0).window().say().answers == []
    # the room decides which bands hold
    near = (
        Bench({"all done": 0.1}).hear(2.0, -60.0).window().hear(0.6, -48.0).hear(1.0, -60.0).answers
    )
    assert near[0].sureness is Sureness.SURE


def test_loud_sound_that_is_hardly_speech_has_to_be_sure() -> None:
    for speech, score, heard in ((0.49, -2.0, 0), (0.49, 3.0, 1), (0.5, -2.0, 1)):
        bench = Bench({"all done": score}, speech=speech).hear(2.0).window().say()
        assert len(bench.answers) == heard, (speech, score)


def test_after_its_name_an_answer_counts_outside_windows() -> None:
    bench = Bench({"coach, all done": -1.0 - ADDRESS}, address="coach", addressed=("done",))
    (answer,) = bench.hear(2.0).say().answers
    assert (answer.addressed, answer.window, answer.who) == (True, None, 1)
    assert (answer.sureness, answer.score) == (Sureness.SURE, -1.0 - ADDRESS)
    less = Bench({"coach, all done": -1.1 - ADDRESS}, address="coach", addressed=("done",))
    assert less.hear(2.0).say().answers[0].sureness is Sureness.UNSURE
    # the name does not make a single word a longer phrase
    for score, sure in ((-0.5, True), (-0.6, False)):
        one = Bench({"coach, no": score - ADDRESS}, address="coach", addressed=("no",))
        answer = one.hear(2.0).say().answers[0]
        assert (answer.sureness is Sureness.SURE) is sure
    usual = Bench({}, address="coach").hear(2.0).say().told.asked[0][1]
    assert {one for one in usual if one.startswith("coach, ")} == {
        f"coach, {phrase}" for key in CALLED for phrase in PHRASES.get(key, ())[:2]
    }


def test_talk_that_goes_on_is_answered_by_two_looks_that_agree() -> None:
    """From a second and a half on every quarter; a look has at least .9 s, at most 1.8."""
    bench = Bench().hear(2.0).window().hear(1.4, -20.0)
    assert bench.told.asked == []
    bench.hear(0.6, -20.0)
    (answer,) = bench.answers
    assert answer.at == pytest.approx(2.2 + 1.5 + 8 * CHUNK, abs=0.07)
    assert answer.onset == pytest.approx(2.2, abs=0.06)
    assert all(0.9 <= len(sound) / 16_000 <= 1.8 for sound, *_ in bench.told.asked)
    asked = len(bench.told.asked)
    # what was used up is not used again: the next look has .9 s after it
    bench.hear(0.7, -20.0)
    assert len(bench.told.asked) == asked
    bench.hear(0.9, -20.0)
    assert len(bench.answers) == 2
    assert bench.answers[1].onset >= answer.at


def scripted(bench: Bench, *scores: dict[str, float]) -> None:
    """The recogniser gives these scores one after the other, then the last two in turn."""
    given = iter(scores)
    turn = cycle(scores[-2:])

    def score(_: Floats, phrases: Sequence[str], __: Sequence[str] = ()) -> tuple[Scored, ...]:
        told = next(given, None) or next(turn)
        return tuple(Scored(one, told[one]) for one in phrases if one in told)

    bench.told.score = score  # type: ignore[method-assign, assignment]


DONE, SKIP, DOUBT = {"all done": SURE}, {"skip that": SURE}, {"all done": -3.0}


def test_looks_that_do_not_agree_tell_nothing() -> None:
    """A look is judged once the next hears something: so the first is asked about second."""
    bench = Bench().hear(3.0).window()
    scripted(bench, SKIP, DONE, DONE, SKIP, DONE, SKIP)
    assert bench.hear(2.8, -20.0).answers == []
    assert bench.hear(0.2, -20.0).answers == []
    for newer, older in ((DONE, DOUBT), (DOUBT, DONE)):  # of two that agree the less sure counts
        unsure = Bench().hear(3.0).window()
        scripted(unsure, newer, older)
        assert unsure.hear(1.9, -20.0).answers[0].sureness is Sureness.UNSURE


def test_a_look_never_reaches_back_before_its_window() -> None:
    bench = Bench().hear(3.0).hear(1.0, -20.0)
    opened = bench.now
    listened = OpenWindow(1, ("done",), opened)
    bench.listener.open(listened)
    assert bench.hear(0.85, -20.0).answers == []
    (answer,) = bench.hear(0.6, -20.0).answers
    assert answer.onset == opened
    assert answer.window == 1


def test_of_unsure_answers_four_are_told_then_that_it_is_too_loud_once() -> None:
    """Six an hour, of which two are kept for what must not be missed."""
    bench = Bench({"all done": -3.0}).hear(2.0).window()
    for _ in range(7):
        bench.say()
    told = [kind for kind in bench.kinds if kind in (Answered, DeviceLost)]
    assert told == [Answered] * 4 + [DeviceLost]
    lost = next(event for event in bench.events if isinstance(event, DeviceLost))
    assert (lost.device, lost.why) == (
        "quiet", "Talk around is taken for answers too often.",
    )  # fmt: skip
    bench.told.scores = {"stop now": -3.0}
    for _ in range(4):
        bench.say()
    assert [one.answer.key for one in bench.answers[4:]] == ["stop", "stop"]
    every = Bench({"all done": -3.0}, sparing=False).hear(2.0).window()
    for _ in range(7):
        every.say()
    assert len(every.answers) == 7


def test_the_end_of_a_cue_ends_what_the_ear_took_for_speech() -> None:
    """What comes after it is speech of its own: it belongs to the window that then is open."""
    bench = Bench({}).hear(2.0)
    bench.listener.sounding("Breathe out slowly.", 2.0, None)
    bench.hear(1.0, -20.0)
    bench.listener.open(OpenWindow(1, ("done", "skip"), 3.0))
    bench.listener.sounding("Breathe out slowly.", 2.0, 3.0)
    bench.told.scores = {"all done": SURE}
    bench.say(0.7)
    assert [one.answer.key for one in bench.answers] == ["done"]
    assert bench.answers[0].onset == pytest.approx(3.0, abs=0.07)
    # our own words are what it may be instead; none that counts is among them
    during = Bench({}).hear(2.0)
    during.listener.sounding("Stop now, breathe.", 2.0, 4.0)
    _, phrases, against = during.say().told.asked[0] if during.told.asked else (0, (), ())
    assert "stop now" not in phrases
    quiet = Bench({}).hear(2.0)
    quiet.listener.sounding("Breathe out.", 2.0, 4.0)
    _, phrases, against = quiet.say().told.asked[0]
    assert phrases == ("stop now",)
    assert against == ("breathe", "out", "breathe out")


def test_a_gap_begins_anew() -> None:
    bench = Bench().hear(2.0).window().hear(0.4, -20.0)
    bench.now += 5.0
    assert bench.hear(1.0).answers == []
    assert bench.say().answers[0].onset == pytest.approx(8.6, abs=0.05)


def test_the_time_of_the_recogniser_counts_where_it_does_not_pass() -> None:
    """Three tenths of a second begin in the pause, three chunks before the end is known."""
    usual = Bench().hear(2.0).window().say().answers[0].at
    slow = Bench(compute_seconds=0.3).hear(2.0).window().say().answers[0].at
    assert slow - usual == pytest.approx(0.3 - 3 * CHUNK, abs=1e-6)
    look = Bench(compute_seconds=0.3).hear(2.0).window().hear(2.0, -20.0).answers[0].at
    assert look - Bench().hear(2.0).window().hear(2.0, -20.0).answers[0].at == pytest.approx(0.3)


def test_a_lesson_keeps_what_was_said_and_obeys_nothing() -> None:
    bench = Bench({"stop now": -4.4, "skip that": -9.0}).hear(2.0)
    bench.window(4, "skip", "no", teaches="stop").say().say()
    takes = [event for event in bench.events if isinstance(event, TakeHeard)]
    assert [(one.answer, one.takes) for one in takes] == [("stop", 1), ("stop", 2)]
    assert bench.answers == []
    assert SpeechEnded not in bench.kinds
    assert [(phrase, gathered) for phrase, _, gathered in bench.told.kept] == [
        ("stop now", False)] * 2  # fmt: skip
    spoken = bench.told.kept[0][1]
    assert spoken.onset == pytest.approx(0.3 * 16_000, abs=2)
    assert (spoken.end - spoken.onset) / 16_000 == pytest.approx(0.6, abs=0.05)
    assert len(spoken.sound) - spoken.end == 7 * 512
    # longer than one take: no answer, and no take
    long = Bench({"stop now": SURE}).hear(2.0).window(4, "skip", "no", teaches="stop")
    assert long.hear(3.0, -20.0).hear(1.0).answers == []
    assert long.told.kept == []


def test_a_sure_answer_that_nobody_took_back_is_a_take_as_well() -> None:
    bench = Bench().hear(2.0).window().say().hear(21.0)
    assert [(phrase, gathered) for phrase, _, gathered in bench.told.kept] == [("all done", True)]
    doubted = Bench().hear(2.0).window().say()
    doubted.listener.doubt()
    assert doubted.hear(21.0).told.kept == []
    called = Bench({"coach, all done": SURE}, address="coach", addressed=("done",)).hear(2.0).say()
    assert called.answers
    assert called.hear(21.0).told.kept == []
    unsure = Bench({"all done": -3.0}).hear(2.0).window().say()
    assert unsure.hear(21.0).told.kept == []


def test_sound_from_any_device_is_made_plain() -> None:
    given = np.array([[0.5, 0.25], [np.nan, 0.0], [np.inf, np.inf], [-np.inf, -np.inf], [3, 3]])
    assert clean(given.astype(np.float32)).tolist() == [0.375, 0.0, 1.0, -1.0, 1.0]
    assert clean(np.array([-3.0, np.nan], np.float32)).tolist() == [-1.0, 0.0]
    assert clean(np.zeros((4, 2), np.float32)).dtype == np.float32
