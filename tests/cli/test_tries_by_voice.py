"""One hard try, a note about it, and the next one, by voice alone and in real time.

Speaker, microphone, recogniser, files and journal are as they are; the climber is another
synthesiser than the coach. The whole takes under two minutes.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from soxr import resample

from coach.audio.note_files import load
from coach.audio.sound_device import RATE, Samples
from coach.audio.tones import tones
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.facts import NoteMade, Rested, Tried
from coach.session.effects import Tone
from coach.session.events import Answered, Event, SoundStarted, Source
from tests.audio.pulse import Pulse
from tests.audio.signals import find, likeness, share_found
from tests.cli.test_by_voice import ACKNOWLEDGED, LOOK, NEAR, REACTION, found_near
from tests.cli.test_start import PATIENCE, Session
from tests.hearing.voices import needs, say

pytestmark = [pytest.mark.sound(session=True), pytest.mark.timeout(400)]

#: How often she says an answer.
TIMES = 3
#: Seconds of a rest between tries, and some more.
LONGEST_REST = 220.0
#: How much of a sound must be there, where a busy machine drops a moment.
MOST_OF_IT = 0.75
#: Samples a second that hold what words are known by.
SPEECH = 8000
#: What is said into the note; no answer counts meanwhile.
NOTE = "left heel first, then the far hold with the right hand"
TRYING, RESTING, ASKED = r"try · ear open", r"rest · ear open", r"answer · ear open"
#: What the climber waits for, what she says then, and whether it is an answer.
TALK = (
    (ASKED, "let's try", True),
    (TRYING, "i'm down", True),
    (ASKED, "got to the top", True),
    (RESTING, "keep this", True),
    (r"note · ear shut", NOTE, False),
    # two minutes are rested whatever is said; after that her own word ends it
    (r"Half a minute left", "i'm ready", True),
    (TRYING, "on the mat", True),
    (RESTING, "stop now", True),
    (r"stopped · ear open", "finish here", True),
    (ASKED, "very hard", True),
)
#: What is heard of it, in this order.
KEYS = ("go", "down", "topped", "keep", "ready", "down", "stop", "finish", "effort:7")


@dataclass(frozen=True)
class Heard:
    """What the session left."""

    code: int
    took: float
    home: Path
    events: list[Event]
    tried: list[Tried]
    rested: list[Rested]
    notes: list[NoteMade]
    sound: Samples
    began: int
    """Sample of it at which the first sound begins, a sweep."""
    aside: list[str]
    """Files in its folder for temporary ones."""


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Heard]:
    """One session for all tests of this file."""
    needs("flite")
    home, aside = tmp_path_factory.mktemp("home"), tmp_path_factory.mktemp("aside")
    for _, words, _ in TALK:
        say(words, "flite", "slt")
    with pytest.MonkeyPatch.context() as patch, Pulse() as pulse:
        patch.setenv("COACH_HOME", str(home))
        patch.setenv("TMPDIR", str(aside))
        with pulse.recording() as recording:
            began = time.monotonic()
            settled = ["--hurting", "no", "--age", "adult", "--boulder", "flint 4"]
            session = Session(["rest", "--plain", *settled], terminal=False, without=())
            try:
                talk(session, pulse)
            finally:
                session.close()
            took = time.monotonic() - began
        sound = recording.samples()
        with Journal.open(paths().journal, write=False) as journal:
            (row,) = journal.sessions()
            yield Heard(
                session.process.returncode,
                took,
                home,
                list(journal.events(row.id)),
                list(journal.facts(row.id, Tried)),  # type: ignore[arg-type]
                list(journal.facts(row.id, Rested)),  # type: ignore[arg-type]
                list(journal.facts(row.id, NoteMade)),  # type: ignore[arg-type]
                sound,
                find(sound, tones()[Tone.SYNC]),
                sorted(str(path) for path in aside.rglob("*")),
            )


def talk(session: Session, pulse: Pulse) -> str:
    """Say everything in its turn, once more where nothing came of it; what was printed last."""
    for pattern, words, answers in TALK:
        session.wait_for(pattern, LONGEST_REST)
        time.sleep(REACTION)
        for times in range(1, TIMES + 1):
            pulse.say(say(words, "flite", "slt")).wait()
            if not answers:
                break
            try:
                session.wait_for(r'\d "', ACKNOWLEDGED if times < TIMES else PATIENCE)
            except AssertionError:
                print(f"said again: {words}")
                if times == TIMES:
                    raise
            else:
                break
    return session.rest()


def started(heard: Heard, key: str, name: str = "") -> list[SoundStarted]:
    """The sounds of a message that began, the earliest first."""
    return [
        event
        for event in heard.events
        if isinstance(event, SoundStarted)
        and event.what.key == key
        and (not name or event.what.value("name") == name)
    ]


def test_every_answer_is_heard_and_the_tries_are_on_record(heard: Heard) -> None:
    answers = [event for event in heard.events if isinstance(event, Answered)]
    print(f"the session took {heard.took:.0f} s")

    assert heard.code == ExitCode.OK
    assert tuple(event.answer.key for event in answers) == KEYS
    assert {event.source for event in answers} == {Source.VOICE}
    assert [(one.boulder, one.result) for one in heard.tried] == [
        ("flint 4", "topped"),
        ("flint 4", "untold"),
    ]
    assert heard.took <= 300.0


def test_the_rest_ended_by_her_own_yes_only(heard: Heard) -> None:
    (rest, *_) = heard.rested
    ready = next(e for e in heard.events if isinstance(e, Answered) and e.answer.key == "ready")

    assert rest.seconds < rest.suggested
    assert rest.at == ready.at


def test_the_note_in_its_file_is_what_she_said(heard: Heard) -> None:
    (note,) = heard.notes
    said, kept = say(NOTE, "flite", "slt"), load(paths_of(heard), note.name)

    assert note.seconds == pytest.approx(len(kept) / RATE, abs=0.01)
    assert share_found(kept, said) >= MOST_OF_IT


def test_a_tone_stands_at_its_start_and_at_its_end(heard: Heard) -> None:
    """Both are in what left the speaker, and neither the note's own sound nor speech is between."""
    keep = next(e for e in heard.events if isinstance(e, Answered) and e.answer.key == "keep")
    first = next(e for e in started(heard, "tone", "start") if e.at > keep.at)
    last = next(e for e in started(heard, "tone", "end") if e.at > first.at)
    (note,) = heard.notes

    assert abs(strays(heard, first, tones()[Tone.START])) <= NEAR
    assert abs(strays(heard, last, tones()[Tone.END])) <= NEAR
    assert last.at - first.at >= note.seconds
    begin, end = (at(heard, one) for one in (first, last))
    assert np.abs(heard.sound[begin + RATE : end - RATE // 10]).max() < 0.01


def test_it_is_played_back_before_the_next_try(heard: Heard) -> None:
    (note,) = heard.notes
    (played,) = started(heard, "note")
    (_, called) = started(heard, "try")
    kept = load(paths_of(heard), note.name)
    begin = at(heard, played) - round(LOOK * RATE)

    assert played.what.value("name") == note.name
    assert share_found(heard.sound[begin : begin + len(kept) + RATE], kept) >= MOST_OF_IT
    assert played.at + note.seconds <= called.at


def test_nothing_else_of_the_microphone_is_stored(heard: Heard) -> None:
    """One note, cues that no synthesiser of hers made, and nothing beside them."""
    known = {"config/config.toml", "state/coach.log"}
    known |= {f"data/journal.db{part}" for part in ("", "-wal", "-shm", "-writer")}
    files = {str(path.relative_to(heard.home)) for path in heard.home.rglob("*") if path.is_file()}
    # the record is backed up after a session; it holds no sound
    files -= {name for name in files if name.startswith("data/backups/journal-")}
    (note,) = heard.notes
    cues = {name for name in files if name.startswith("cache/cues/") and name.endswith(".pcm")}
    # beside the cues stands a number: how loud the voice is
    known |= {name for name in files if name.startswith("cache/cues/") and name.endswith(".number")}
    assert all((heard.home / one).stat().st_size < 100 for one in known & files if ".number" in one)

    assert files - cues - known == {f"data/notes/{note.name}.wav"}
    assert heard.aside == []
    spoken = [resample(say(words, "flite", "slt"), RATE, SPEECH) for _, words, _ in TALK]
    for name in cues:
        stored = np.frombuffer((heard.home / name).read_bytes()[32:], "<i2").astype(np.float32)
        cue = resample(stored / np.float32(32767), RATE, SPEECH)
        shorter = [words for words in spoken if len(words) <= len(cue)]
        assert all(likeness(cue, words).max() < 0.7 for words in shorter)


def paths_of(heard: Heard) -> Path:
    """Where its notes are."""
    return heard.home / "data" / "notes"


def at(heard: Heard, event: SoundStarted) -> int:
    """The sample of the recording at which a sound should begin."""
    sync = next(e for e in heard.events if isinstance(e, SoundStarted))
    return heard.began + round((event.at - sync.at) * RATE)


def strays(heard: Heard, event: SoundStarted, sound: Samples) -> float:
    """Seconds from where a sound should begin in the recording to where it is found."""
    return found_near(heard.sound, sound, at(heard, event))
