"""A block of hard tries by voice alone, in real time: `pytest tests/bench/leap_by_voice.py`.

From what the boulder is about to the end, a quarter of an hour: no test run includes it.
Speaker, microphone, recogniser, files and journal are as they are; the climber is another
synthesiser than the coach, and touches nothing.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import numpy as np
import pytest

from coach.audio.port import RATE, Samples
from coach.errors import ExitCode
from coach.files.paths import paths
from coach.journal import Journal
from coach.model.facts import BoulderNamed, CauseTold, StepEnded, Tried
from coach.session.events import Answered, Event, SoundStarted, Source
from coach.setup.choices import Choices
from coach.setup.settling import remember, settle
from tests.audio.pulse import Pulse
from tests.cli.test_by_voice import ACKNOWLEDGED, REACTION
from tests.cli.test_start import PATIENCE, Session
from tests.hearing.voices import needs, say

pytestmark = [pytest.mark.sound, pytest.mark.timeout(900)]

#: How often she says an answer.
TIMES = 3
#: Seconds between the parts of one breath, and of a rest between tries and some more.
COMMA, LONGEST_REST = 0.4, 300.0
TRYING, ASKED = r"try · ear open", r"answer · ear open"
#: What she waits for, what she says then, part by part, and the answers that it is.
TALK: tuple[tuple[str, tuple[str, ...], tuple[str, ...]], ...] = (
    (ASKED, ("a big leap", "flint", "move five"), ("key-move:leap", "circuit:flint", "move:5")),
    (ASKED, ("let's try",), ("go",)),
    (r"climb · ear open", ("skip this",), ("skip",)),
    (TRYING, ("move five",), ("move:5",)),
    # two minutes are rested whatever is said; after that her own word ends it
    (r"Half a minute left", ("i'm ready",), ("ready",)),
    (TRYING, ("move five", "bad timing"), ("move:5", "cause:timing")),
    (r"Half of it", ("one swing",), ("variation:one-swing",)),
    (r"Half a minute left", ("one more",), ("another",)),
    (r"climb · ear open", ("skip this",), ("skip",)),
    (TRYING, ("got to the top",), ("topped",)),
    (ASKED, ("that's enough",), ("enough",)),
    (ASKED, ("very hard",), ("effort:7",)),
)


@dataclass(frozen=True)
class Left:
    """What the session left."""

    code: int
    events: list[Event]
    facts: list[object]

    def of(self, kind: type) -> list[object]:
        """The facts of one kind."""
        return [fact for fact in self.facts if isinstance(fact, kind)]

    def said(self) -> list[str]:
        """Keys of the sentences that sounded."""
        return [event.what.key for event in self.events if isinstance(event, SoundStarted)]


@pytest.fixture(scope="module")
def left(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Left]:
    """One session for all tests of this file."""
    needs("flite")
    with pytest.MonkeyPatch.context() as patch, Pulse() as pulse:
        patch.setenv("COACH_HOME", str(tmp_path_factory.mktemp("home")))
        day = Choices(circuits="chalk, slate, flint", comfortable="chalk")
        remember(paths(), settle(day, paths(), datetime.now(UTC)).settings)
        settled = ["--hurting", "no", "--age", "adult", "--minutes", "60"]
        session = Session(["rest", "--plain", *settled], terminal=False, without=())
        try:
            for pattern, parts, keys in TALK:
                session.wait_for(pattern, LONGEST_REST)
                time.sleep(REACTION)
                tell(session, pulse, parts, len(keys))
            session.rest()
        finally:
            session.close()
        with Journal.open(paths().journal, write=False) as journal:
            (row,) = journal.sessions()
            kinds = (BoulderNamed, CauseTold, StepEnded, Tried)
            yield Left(
                session.process.returncode,
                list(journal.events(row.id)),
                list(journal.facts(row.id, *kinds)),
            )


def breath(parts: tuple[str, ...]) -> Samples:
    """The parts with a comma's pause between them."""
    gap = np.zeros(round(COMMA * RATE), np.float32)
    sounds = [say(part, "flite", "slt") for part in parts]
    return np.concatenate([piece for sound in sounds for piece in (sound, gap)][:-1])


def tell(session: Session, pulse: Pulse, parts: tuple[str, ...], answers: int) -> None:
    """Say it, once more where nothing came of it."""
    for times in range(1, TIMES + 1):
        pulse.say(breath(parts)).wait()
        try:
            for _ in range(answers):
                session.wait_for(r'\d "', ACKNOWLEDGED if times < TIMES else PATIENCE)
        except AssertionError:
            print(f"said again: {parts}")
            if times == TIMES:
                raise
        else:
            return


def test_every_word_is_heard_and_no_key_was_touched(left: Left) -> None:
    answers = [event for event in left.events if isinstance(event, Answered)]
    wanted = [key for _, _, keys in TALK for key in keys]
    heard = [event.answer.key for event in answers]
    assert left.code == ExitCode.OK
    assert {event.source for event in answers} == {Source.VOICE}
    # what was not heard the first time was said again: a part may come twice
    assert list(dict.fromkeys(heard)) == list(dict.fromkeys(wanted))


def test_the_boulder_is_what_she_told_and_the_change_is_of_its_move(left: Left) -> None:
    named = left.of(BoulderNamed)[-1]
    assert (named.boulder, named.about, named.key_at) == ("flint", "leap", 5)  # type: ignore[attr-defined]
    said = left.said()
    for key in ("prepare-leap", "vary-offer-move", "vary-one-swing", "drill-first"):
        assert key in said, key


def test_the_tries_and_why_they_ended_are_on_record(left: Left) -> None:
    tried = [(one.boulder, one.move, one.result) for one in left.of(Tried)]  # type: ignore[attr-defined]
    assert tried == [("flint", 5, "below"), ("flint", 5, "below"), ("flint", 0, "topped")]
    assert [one.cause for one in left.of(CauseTold)] == ["timing"]  # type: ignore[attr-defined]
