"""What a score is taken for, at every noise and for every answer: judged by the scores."""

from itertools import pairwise

import numpy as np
import pytest

from coach.hearing.bands import Band, bands, judge
from coach.model.answers import ANYTIME, Answer, Meaning, parse
from coach.model.nature import Tendency
from coach.session.events import Sureness

#: Recogniser and dB over the room -> from which score each kind of answer is acted on and asked
#: about, how far the next must be behind, and what a single word needs more. Our own choice, from
#: `python -m tests.bench.hearing`: docs/hearing.md has what comes of it.
DANGER, LOWERING, NEUTRAL, RAISING = "danger", Tendency.LOWERING, Tendency.NEUTRAL, Tendency.RAISING
NONE = (3.0, 2.0, 2.0)
CHOSEN = {
    ("whisper", 30.0): (
        (0.0, -4.5, 1.0), (0.0, -4.0, 2.0), (-1.0, -4.0, 2.0), (0.5, -3.5, 2.5), 0.5,
    ),
    ("whisper", 18.0): (
        (-0.5, -4.5, 1.0), (0.0, -4.0, 2.0), (-1.0, -4.0, 2.0), (2.0, -3.5, 2.5), 0.5,
    ),
    ("whisper", 8.0): (
        (0.0, -4.5, 1.0), (0.0, -4.0, 2.5), (-1.0, -4.0, 3.0), (1.5, -3.5, 3.0), 0.5,
    ),
    ("whisper", -30.0): (NONE, NONE, NONE, (4.0, 2.5, 3.0), 0.5),
    ("vosk", 0.0): (
        (-0.5, -1.5, 0.0), (-0.3, -1.0, 0.0), (-0.3, -1.0, 0.0), (-0.1, -0.5, 0.0), 0.0,
    ),
}  # fmt: skip
KEYS = ("stop", "feel:sore", "easier", "done", "harder")


def kind(answer: Answer) -> int:
    """0 what must not be missed, 1 what lowers, 2 what does neither, 3 what raises."""
    if answer.tendency is Tendency.RAISING:
        return 3
    told = answer.key in ANYTIME or answer.meaning in (Meaning.FEEL, Meaning.SIGN)
    return 0 if told else 1 if answer.tendency is Tendency.LOWERING else 2


@pytest.mark.parametrize(("name", "over"), sorted(CHOSEN))
def test_from_which_score_on_an_answer_is_sure_or_asked_about(name: str, over: float) -> None:
    *by_kind, short = CHOSEN[name, over]
    found = bands(name, over)
    assert found.short == short
    for key in {*KEYS, *ANYTIME, *(meaning.value for meaning in Meaning)}:
        try:
            answer = parse(key)
        except ValueError:
            continue  # it needs a part or a number
        assert (found.of(answer).act, found.of(answer).ask, found.of(answer).margin) == (
            by_kind[kind(answer)]
        ), key


def test_a_band_holds_from_its_noise_to_the_next() -> None:
    for louder, found in ((30.0, 30.0), (29.9, 18.0), (18.0, 18.0), (17.9, 8.0), (8.0, 8.0),
                          (7.9, -30.0), (-99.0, -30.0), (-120.0, -30.0), (90.0, 30.0)):  # fmt: skip
        assert bands("whisper", louder) == bands("whisper", found)
    assert bands("vosk", -120.0) == bands("vosk", 60.0)


@pytest.mark.parametrize(("name", "over"), sorted(CHOSEN))
def test_danger_is_cheapest_to_tell_and_raising_dearest(name: str, over: float) -> None:
    found = bands(name, over)
    for one, other in pairwise((found.danger, found.neutral, found.raising)):
        assert one.ask <= other.ask
        assert one.margin <= other.margin
    assert found.raising.act > max(found.neutral.act, found.lowering.act, found.danger.act)


def test_a_score_is_judged_by_its_band() -> None:
    band = Band(2.0, -1.0, 3.0)
    for score in np.arange(-3.0, 6.0, 0.25):
        for behind in np.arange(0.0, 5.0, 0.25):
            for short in (0.0, 0.5):
                told = judge(band, float(score), float(score - behind), short)
                sure = score >= 2.0 + short and behind >= 3.0
                asked = Sureness.UNSURE if score >= -1.0 else None
                assert told is (Sureness.SURE if sure else asked)
    assert judge(band, 2.0, -2.0) is Sureness.SURE  # a phrase of several words needs no more
