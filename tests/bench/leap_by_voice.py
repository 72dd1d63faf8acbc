"""A block of hard tries by voice alone, in real time: `pytest tests/bench/leap_by_voice.py`.

From what the boulder is about to the end, a quarter of an hour: no test run includes it.
Speaker, microphone, recogniser, files and journal are as they are; the climber is another
synthesiser than the coach, and touches nothing.
"""

import time
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest

from coach.errors import ExitCode
from coach.files.movements import load_movements
from coach.files.paths import paths
from coach.files.words import load_language
from coach.journal import Journal
from coach.model.facts import BoulderNamed, CauseTold, StepEnded, Tried
from coach.session.events import Answered, Event, SoundStarted, Source
from coach.setup.choices import Choices
from coach.setup.settling import remember, settle
from tests.audio.pulse import Pulse
from tests.cli.test_by_voice import ACKNOWLEDGED
from tests.cli.test_start import PATIENCE, Session
from tests.hearing.leap_session import CIRCUITS, REACTION, TALK, TIMES, Line, breath
from tests.hearing.voices import needs

pytestmark = [pytest.mark.sound, pytest.mark.timeout(1200)]

VOICE = ("flite", "slt")
#: Longest rest between tries, and some more: seconds.
LONGEST_REST = 300.0
#: What the screen shows where a line of hers is due.
SHOWN = {
    "ask": r"answer · ear open",
    "drill": r"climb · ear open",
    "try": r"try · ear open",
    "rest-half": r"Halfway",
    "rest-nearly-over": r"Half a minute left",
}


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
        day = Choices(circuits=", ".join(CIRCUITS), comfortable="chalk")
        remember(paths(), settle(day, paths(), datetime.now(UTC)).settings)
        settled = ["--hurting", "no", "--age", "adult", "--minutes", "60"]
        session = Session(["rest", "--plain", *settled], terminal=False, without=())
        try:
            for line in TALK:
                session.wait_for(SHOWN[line.when], LONGEST_REST)
                time.sleep(REACTION)
                tell(session, pulse, line)
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


def phrase(key: str) -> str:
    """How the screen shows that an answer was heard."""
    return load_language("en", load_movements()).at(CIRCUITS).phrase(key)


def tell(session: Session, pulse: Pulse, line: Line) -> None:
    """Say it, in other words where nothing came of it; what was heard of it is not said again."""
    left = line.words(0)
    for times in range(1, TIMES + 1):
        pulse.say(breath(tuple(left.values()), VOICE)).wait()
        patience = ACKNOWLEDGED if times < TIMES else PATIENCE
        while left:
            try:
                text = session.wait_for(r'\d "[^"]*"', patience)
            except AssertionError:
                break
            left = {key: part for key, part in left.items() if f'"{phrase(key)}"' not in text}
        if not left:
            return
        print(f"said again: {left}")
        left = {key: words for key, words in line.words(times).items() if key in left}
    raise AssertionError(f"never heard: {left}")


def test_every_word_is_heard_and_no_key_was_touched(left: Left) -> None:
    answers = [event for event in left.events if isinstance(event, Answered)]
    wanted = [key for line in TALK for key in line.keys]
    heard = [event.answer.key for event in answers]
    assert left.code == ExitCode.OK
    assert {event.source for event in answers} == {Source.VOICE}
    # what was not heard the first time was said again: a part may come twice, and later
    assert set(heard) == set(wanted)
    ends = [key for line in TALK for key in line.keys[-1:]]
    assert [key for key in dict.fromkeys(heard) if key in ends] == list(dict.fromkeys(ends))


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
