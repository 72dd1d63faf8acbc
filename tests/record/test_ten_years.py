"""Real days of invented years: no proposal asks for more than was usual, nor loads what hurts."""

from statistics import median

import pytest

from coach.record.proposal import FEW, Beside, propose
from coach.record.suggest import FULL
from tests.bench.ten_years import LIVES, Life, year


@pytest.mark.parametrize("life", [LIVES[1], LIVES[2], LIVES[9]], ids=lambda life: str(life.title))
def test_nobody_is_asked_for_more(life: Life) -> None:
    for day, _, entries, known in year(life, 15):
        for answer in ("", "easier", "not-today"):
            made = propose(known, Beside(answer, now=None))
            lately = [entry.digest.seconds / 60 for entry in entries[-5:]]
            if made.minutes is not None:
                # the usual length, as a nearest five minutes
                assert made.minutes <= median(lately) + 2.5
            if made.most_tries is not None:
                tries = [entry.digest.hard_tries for entry in entries]
                assert made.most_tries <= max([FEW, *tries])
            if known.stands:
                assert made.tries(day) == 0
                assert made.kind != FULL
                assert not made.boulder
            if answer == "easier":
                plain = propose(known, Beside())
                assert (made.minutes or 0) <= (plain.minutes or 0)
                assert made.most_tries is not None
                assert plain.most_tries is None or made.most_tries <= plain.most_tries
