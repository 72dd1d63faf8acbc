"""Turns on one landing: an own rest is a promise, judged by the clock alone."""

from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.planning import recovery, try_turns

times = st.floats(0.0, 600.0)
orders = st.permutations([1, 2, 3]).flatmap(
    lambda order: st.integers(1, 3).map(lambda count: order[:count])
)


@given(orders, st.dictionaries(st.integers(1, 3), times), times, st.floats(0.0, 60.0))
def test_nobody_is_called_before_their_rest_is_over(
    waiting: list[int], ready_at: dict[int, float], now: float, soonest: float
) -> None:
    call = try_turns.next_call(waiting, ready_at, now, soonest)
    assert call is not None
    assert call.who in waiting
    assert now + call.wait >= ready_at.get(call.who, 0.0) - 1e-6
    # whoever was passed over is not made to wait for somebody who is ready later
    assert all(now + call.wait <= max(ready_at.get(w, now), now) + soonest + 1e-6 for w in waiting)


def test_turns_are_swapped_rather_than_a_rest_shortened() -> None:
    assert try_turns.next_call([1, 2], {1: 200.0, 2: 90.0}, 100.0) == try_turns.Call(2, 0.0)
    assert try_turns.next_call([1, 2], {1: 110.0, 2: 90.0}, 100.0, soonest=30.0) == try_turns.Call(
        1, 10.0
    )
    assert try_turns.next_call([1, 2], {}, 100.0) == try_turns.Call(1, 0.0)
    assert try_turns.next_call([], {}, 100.0) is None


@pytest.mark.parametrize("seed", range(200))
def test_a_block_of_one_to_three_keeps_every_promise(seed: int) -> None:
    chance, now = Random(seed), 0.0
    people = list(range(1, chance.randint(1, 3) + 1))
    own = {who: chance.uniform(120.0, 360.0) for who in people}
    down: dict[int, float] = {}
    ready: dict[int, float] = {}
    waiting = people * 5
    while waiting:
        call = try_turns.next_call(tuple(dict.fromkeys(waiting)), ready, now, 20.0)
        assert call is not None
        now += call.wait
        if call.who in down:
            assert now - down[call.who] >= own[call.who] - 1e-6
        waiting.remove(call.who)
        now += chance.uniform(5.0, 90.0)
        down[call.who] = now
        ready[call.who] = now + own[call.who]


class TestOwnRest:
    # Glaister M et al. 2010, J Strength Cond Res 24(12):3296-3301: own rests are learnt over the
    # first three trials, and vary by 11.1 % from one to the next.
    def test_no_claim_before_three_sessions(self) -> None:
        assert recovery.own_rest([[300.0] * 9, [300.0] * 9]) == 0.0
        assert recovery.own_rest([[300.0], [310.0], [290.0]]) == 300.0

    def test_inside_the_noise_nothing_is_claimed(self) -> None:
        usual = recovery.PLANNED
        assert recovery.own_rest([[usual * 1.09]] * 4) == 0.0
        assert recovery.own_rest([[usual * 1.25]] * 4) > usual

    @given(st.lists(st.lists(st.floats(0.0, 3000.0), max_size=5), max_size=6))
    def test_it_stays_within_two_to_six_minutes(self, sessions: list[list[float]]) -> None:
        found = recovery.own_rest(sessions)
        assert found == 0.0 or 120.0 <= found <= 360.0

    def test_one_long_day_weighs_no_more_than_another(self) -> None:
        assert recovery.own_rest([[350.0] * 20, [240.0], [240.0]]) == 240.0

    def test_an_own_rest_is_two_to_six_minutes(self) -> None:
        assert [recovery.within_own(s) for s in (30.0, 240.0, 900.0)] == [120.0, 240.0, 360.0]
