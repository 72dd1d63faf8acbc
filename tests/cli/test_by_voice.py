"""A session by voice alone, in real time: speaker, microphone, recogniser and journal as they are.

The climber is another synthesiser than the coach. One sweep at the start lays the recording of
the speaker over the journal; after that nothing is fitted.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.clock import SystemClock
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.facts import Felt
from coach.session.effects import Tone
from coach.session.events import Answered, Event, SoundStarted, Source
from coach.setup.choices import Choices
from coach.setup.settling import Setup, settle
from coach.speech.cache import Cache
from coach.speech.engines import engine
from coach.speech.voice import Voice
from tests.audio.pulse import Pulse
from tests.audio.signals import find, likeness
from tests.cli.test_start import PATIENCE, Session
from tests.hearing.voices import needs, say

pytestmark = [pytest.mark.sound(session=True), pytest.mark.timeout(300)]

#: How far a cue may begin from its journalled start, and how far around it is looked for: seconds.
NEAR, LOOK = 0.05, 0.4
#: Seconds between what the climber sees and what she says.
REACTION = 0.8
#: Seconds without a word in which she says it again, and how often she says it.
ACKNOWLEDGED, TIMES = 4.0, 2
START = ("start", "mat-and-board", "--plain")
WORK = r"\b(stay|move|breathe) ·"
QUESTION = r"answer · ear open"

#: What the climber waits for, and the answer that she gives then.
TALK = (
    (WORK, "done"),
    (WORK, "skip"),
    (WORK, "pause"),
    (r"paused ·", "resume"),
    (WORK, "feel:fingers:sore"),
    (QUESTION, "tissue:joint"),
    (QUESTION, "no"),
    (WORK, "stop"),
    (r"stopped · ear open", "finish"),  # a part has no load: nobody asks how hard it was
)


@dataclass(frozen=True)
class Heard:
    """What a session left: its events, its facts about feeling, the sound of its speaker."""

    code: int
    text: str
    events: list[Event]
    felt: list[Felt]
    how: str | None
    sound: Samples
    setup: Setup


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Heard]:
    """One session for all tests of this file."""
    needs("flite")
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch, Pulse() as pulse:
        patch.setenv("COACH_HOME", str(home))
        told = Choices("mat-and-board", 30, hurting="no", same_place=True, age=("adult",))
        setup = settle(told, paths(), SystemClock().wall())
        with pulse.recording() as recording:
            session = Session(
                [*START, "--minutes", "30", "--hurting", "no", "--same-place", "--age", "adult"],
                terminal=False,
                without=(),
            )
            try:
                text = talk(session, pulse, setup)
            finally:
                session.close()
        with Journal.open(paths().journal, write=False) as journal:
            (row,) = journal.sessions()
            yield Heard(
                session.process.returncode,
                text,
                list(journal.events(row.id)),
                [fact for fact in journal.facts(row.id, Felt) if isinstance(fact, Felt)],
                row.how,
                recording.samples(),
                setup,
            )


def talk(session: Session, pulse: Pulse, setup: Setup) -> str:
    """Say every answer in its turn; what the session printed after the last."""
    for pattern, answer in TALK:
        session.wait_for(pattern)
        time.sleep(REACTION)
        phrase = setup.language.phrase(answer)
        for times in range(1, TIMES + 1):
            pulse.say(say(phrase, "flite", "slt")).wait()
            try:
                session.wait_for(f'"{phrase}"', ACKNOWLEDGED if times < TIMES else PATIENCE)
            except AssertionError:
                print(f"said again: {phrase}")
                if times == TIMES:
                    raise
            else:
                break
    return session.rest()


def test_every_answer_is_on_record_as_heard(heard: Heard) -> None:
    answers = [event for event in heard.events if isinstance(event, Answered)]

    assert [event.answer.key for event in answers] == [answer for _, answer in TALK]
    assert {event.source for event in answers} == {Source.VOICE}
    assert {(fact.part.value, fact.feel.value) for fact in heard.felt} >= {("fingers", "sore")}


def test_the_session_ends_on_record(heard: Heard) -> None:
    assert heard.code == ExitCode.OK
    assert heard.how == "ended"
    assert "On the record: " in heard.text


def test_every_cue_begins_where_the_journal_says(heard: Heard, home: Path) -> None:
    started = [event for event in heard.events if isinstance(event, SoundStarted)]
    sync, *others = started
    at_sync = find(heard.sound, tones()[Tone.SYNC])
    profile = heard.setup.voice
    voice = Voice(engine(profile.engine), profile, Cache(home))
    sounds = {event.sound: sound_of(event, heard.setup, voice) for event in others}
    voice.close()

    strayed = {}
    for event in others:
        expected = at_sync + round((event.at - sync.at) * RATE)
        strayed[event.sound] = found_near(heard.sound, sounds[event.sound], expected)
        what = heard.setup.language.text(event.what) if event.what.key != "tone" else "(tone)"
        print(f"{event.at:8.3f} s  {1000 * strayed[event.sound]:+7.1f} ms  {what}")

    assert len(strayed) >= 20
    assert max(map(abs, strayed.values())) <= NEAR


def sound_of(event: SoundStarted, setup: Setup, voice: Voice) -> Samples:
    """The samples that the coach played for it."""
    if event.what.key == "tone":
        return tones()[Tone(str(event.what.value("name")))]
    return voice.render(setup.language.text(event.what))


def found_near(recording: Samples, sound: Samples, expected: int) -> float:
    """Seconds from where a sound was expected to where its beginning is found.

    Looks at the first third of a second, since a cue may have been cut.
    """
    sound = sound[: RATE // 3]
    first = max(0, expected - round(LOOK * RATE))
    like = likeness(recording[first : expected + round(LOOK * RATE) + len(sound)], sound)
    return (first + int(like.argmax()) - expected) / RATE
