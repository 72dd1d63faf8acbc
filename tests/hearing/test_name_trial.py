"""Names are tried by several voices: of six one may miss, and what is taken for another is one."""

from collections.abc import Mapping, Sequence

import numpy as np
import pytest

from coach.hearing.name_trial import missed
from coach.hearing.recogniser_health import Here
from coach.hearing.recogniser_port import Scored, Spoken
from tests.hearing.voices import Floats

PHRASES = {1: ("number one", "runa"), 2: ("number two", "odalys")}
SURE, UNSURE = 5.0, -2.0


class Ear:
    """Hears in a sound what its first sample after the silence stands for."""

    name, lacking = "whisper", ""

    def __init__(self, hears: Mapping[float, tuple[Scored, ...]]) -> None:
        self.hears = hears
        self.names: Sequence[str] = ()

    def score(
        self,
        sound: Floats,
        phrases: Sequence[str],
        against: Sequence[str] = (),
        names: Sequence[str] = (),
    ) -> tuple[Scored, ...]:
        self.names = names
        return self.hears[float(sound[sound != 0][0])]

    def keep(self, phrase: str, spoken: Spoken, *, gathered: bool) -> None:
        raise AssertionError("nothing is learnt")


def tried(*heard: tuple[Scored, ...]) -> frozenset[int]:
    """Whether the second person's name is missed, where its voices are heard as these."""
    hears = {float(number): one for number, one in enumerate(heard, 1)}
    said = [np.full(100, number, np.float32) for number in hears]
    return missed(Here(Ear(hears)), {2: said}, PHRASES)


GOOD = (Scored("odalys", SURE), Scored("runa", UNSURE))


def test_a_name_that_every_voice_gets_through_with_stays() -> None:
    assert tried(*[GOOD] * 6) == frozenset()


@pytest.mark.parametrize(
    "bad",
    [
        (),
        (Scored("odalys", UNSURE),),
        (Scored("runa", SURE),),
        (Scored("odalys", SURE), Scored("number one", SURE - 1.0)),
    ],
    ids=["not heard", "asked back", "another", "two alike"],
)
def test_one_voice_of_six_may_miss_and_no_more(bad: tuple[Scored, ...]) -> None:
    assert tried(bad, *[GOOD] * 5) == frozenset()
    assert tried(bad, bad, *[GOOD] * 4) == {2}


def test_where_few_voices_are_there_none_may_miss() -> None:
    assert tried((), *[GOOD] * 4) == {2}
    assert tried((Scored("number two", SURE),)) == frozenset()
