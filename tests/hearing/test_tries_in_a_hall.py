"""Hard tries of two people in hall noise, heard by the real recogniser, on time and on disk.

A quarter of an hour with four tries each, a note, a change of boulder and a warning sign.
The ear is closed while only the hall speaks, which is what takes the machine's time; with an ear
that is always open it is `python -m tests.bench.tries_in_a_hall`.
"""

import itertools
from typing import TypeVar

import pytest

from coach.audio.note_files import load
from coach.audio.tones import tones
from coach.hearing.recognisers import load as recogniser
from coach.model.facts import BoulderNamed, Fact, NoteMade, Rested, SignTold, Tried
from coach.planning import recovery
from coach.session.effects import LEAD, Tone
from coach.session.events import Answered, SoundStarted
from coach.session.rests import NEARLY
from coach.session.waits import BREATH
from tests.audio.signals import share_found
from tests.hearing.tries_session import NOTE, VOICES, Block, block, found_at
from tests.hearing.voices import say

pytestmark = pytest.mark.timeout(600)
ROUNDS, SEED = 4, 1
#: Seconds by which a time may differ from the script.
NEAR = 0.05
#: What the two tell of their tries, in turn; after five questions each the last is not asked.
TOLD = ["middle", "start", "top", "middle", "topped", "top", "untold", "untold"]


Kind = TypeVar("Kind", bound=Fact)


@pytest.fixture(scope="module")
def heard(tmp_path_factory: pytest.TempPathFactory) -> Block:
    """One block for all tests of this file."""
    folder = tmp_path_factory.mktemp("block")
    one = block(recogniser("whisper"), ROUNDS, SEED, folder, gated=True)
    print(f"{one.seconds / 60:.1f} minutes of tries in {one.took:.0f} s")
    return one


def of(heard: Block, kind: type[Kind]) -> list[Kind]:
    """The facts of a kind that are on disk."""
    return [fact for fact in heard.facts if isinstance(fact, kind)]


def downs(heard: Block) -> list[Answered]:
    """The answers that ended the tries."""
    return [e for e in heard.events if isinstance(e, Answered) and e.answer.key == "down"]


def sounds(heard: Block, key: str, tone: str = "") -> list[SoundStarted]:
    """What the journal says that was played."""
    return [
        e
        for e in heard.events
        if isinstance(e, SoundStarted)
        and e.what.key == key
        and (not tone or e.what.value("name") == tone)
    ]


def test_it_lasts_about_a_quarter_of_an_hour(heard: Block) -> None:
    assert 13 * 60 <= heard.seconds <= 18 * 60


def test_nothing_wrong_is_done_and_nothing_that_nobody_said(heard: Block) -> None:
    first = [one for one in heard.script.said if not one.again]
    missed = [one.key for one in first if one.outcome == "missed"]
    print(f"{len(first)} answers, {len(missed)} missed at first: {', '.join(missed)}")

    assert [one for one in heard.script.said if one.outcome == "wrong"] == []
    assert heard.script.strays == []
    assert len(missed) <= len(first) / 4


def test_every_try_and_its_result_is_on_disk(heard: Block) -> None:
    tried = of(heard, Tried)

    assert [(one.who, one.number) for one in tried] == [
        (who, number) for number in range(1, ROUNDS + 1) for who in (1, 2)
    ]
    assert [one.result for one in tried] == TOLD
    assert [one.boulder for one in tried if one.who == 1] == ["flint 4"] * 2 + ["number 4"] * 2
    assert [one.boulder for one in tried if one.who == 2] == ["slate 2"] * ROUNDS
    assert of(heard, BoulderNamed)[-1].boulder == "number 4"


def test_each_try_lasts_from_its_tone_to_the_tone_that_answers_down(heard: Block) -> None:
    """Both are looked for in what left the speaker."""
    starts = sounds(heard, "tone", "start")
    for one, down in zip(of(heard, Tried), downs(heard), strict=True):
        start = max(tone.at for tone in starts if tone.at < down.at)
        begins = found_at(heard.speaker, tones()[Tone.START], start)
        ends = found_at(heard.speaker, tones()[Tone.HEARD], down.at)

        assert ends - begins == pytest.approx(one.seconds, abs=NEAR)


def test_down_is_answered_soon_after_it_was_said(heard: Block) -> None:
    ends = [one.ends for one in heard.script.said if one.key == "down" and one.outcome != "missed"]
    late = [down.at - end for end, down in zip(ends, downs(heard), strict=True)]
    print(f"down is answered {1000 * max(late):.0f} ms after its last sound at most")

    assert max(late) <= 1.0


def test_rests_are_as_long_as_suggested_and_their_words_come_in_time(heard: Block) -> None:
    rests = of(heard, Rested)
    lasts = downs(heard)[1::2]
    calls = [one.at for one in sounds(heard, "try") + sounds(heard, "note")]
    assert len(rests) >= ROUNDS - 1
    for number, (rest, down) in enumerate(zip(rests, lasts, strict=False)):
        if number < ROUNDS - 1:
            assert rest.seconds == pytest.approx(rest.suggested, abs=NEAR)
            assert near(calls, down.at + rest.seconds + LEAD)
        half = [one.at for one in sounds(heard, "rest-half")]
        nearly = [one.at for one in sounds(heard, "rest-nearly-over")]
        asked = [one.at for one in sounds(heard, "ask-try-result")]
        assert near(asked, down.at + BREATH + LEAD)
        if number < ROUNDS - 1:
            assert near(half, down.at + rest.seconds / 2 + LEAD)
            assert near(nearly, down.at + rest.seconds - NEARLY + LEAD)


def near(times: list[float], wanted: float) -> bool:
    """Whether one of the times is the wanted one."""
    return min(abs(at - wanted) for at in times) <= NEAR


def test_nobody_rests_under_the_least(heard: Block) -> None:
    tones_ = [tone.at for tone in sounds(heard, "tone", "start")]
    for who in (0, 1):
        mine = downs(heard)[who::2]
        for one, after in itertools.pairwise(mine):
            begins = max(at for at in tones_ if at < after.at)
            assert begins - one.at >= recovery.LEAST


def test_the_note_is_in_its_file_between_two_tones_and_played_once(heard: Block) -> None:
    (note,) = of(heard, NoteMade)
    keep = next(e for e in heard.events if isinstance(e, Answered) and e.answer.key == "keep")
    start = next(e.at for e in sounds(heard, "tone", "start") if e.at > keep.at)
    end = next(e.at for e in sounds(heard, "tone", "end") if e.at > start)
    begins = found_at(heard.speaker, tones()[Tone.START], start)
    ends = found_at(heard.speaker, tones()[Tone.END], end)
    kept = load(heard.notes, note.name)
    (played,) = sounds(heard, "note")

    assert ends - begins >= note.seconds
    assert share_found(kept, say(NOTE, *VOICES[SEED][1]), least=0.8) >= 0.9
    assert played.at == pytest.approx(found_at(heard.speaker, kept, played.at), abs=NEAR)
    assert [path.name for path in heard.notes.iterdir()] == [f"{note.name}.wav"]


def test_after_the_warning_sign_she_has_no_further_try(heard: Block) -> None:
    (sign,) = of(heard, SignTold)

    assert sign.who == 2
    assert max(down.at for down in downs(heard)) < sign.at
