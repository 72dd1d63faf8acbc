"""The timeline counts holes as played, ignores jitter, and never goes back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.audio.port import RATE
from coach.audio.timeline import BELIEVED, JITTER, STOPPED, Stamps, Timeline

BLOCK = 1200
STEP = BLOCK / RATE


def run(timeline: Timeline, leaves: float) -> int:
    hole = timeline.place(leaves)
    timeline.rendered += BLOCK + max(0, hole)
    return hole


def started(at: float = 100.0) -> Timeline:
    timeline = Timeline()
    run(timeline, at)
    return timeline


def test_time_begins_with_the_first_sample_that_leaves() -> None:
    timeline = Timeline()
    assert timeline.now(99.0) == 0.0
    assert timeline.index(99.0) is None
    run(timeline, 100.0)
    assert timeline.now(99.0) == 0.0
    assert timeline.now(100.01) == pytest.approx(0.01)
    assert timeline.index(99.5) == -RATE // 2


def test_time_never_runs_ahead_of_what_was_given() -> None:
    timeline = started()
    assert timeline.now(105.0) == pytest.approx(STEP)


@given(st.lists(st.floats(-0.9 * JITTER, 0.9 * JITTER), min_size=20, max_size=60))
def test_jitter_is_no_hole(jitters: list[float]) -> None:
    timeline = started()
    holes = [run(timeline, 100.0 + k * STEP + j) for k, j in enumerate(jitters, 1)]
    # The anchor may follow part of the jitter; together they stay below what is believed.
    assert all(abs(hole) <= 2 * JITTER * RATE for hole in holes)
    assert sum(hole != 0 for hole in holes) <= len(holes) / BELIEVED


@given(st.floats(JITTER * 1.2, STOPPED * 0.9))
def test_a_lasting_hole_is_counted_as_played_once(size: float) -> None:
    timeline = started()
    holes = [run(timeline, 100.0 + k * STEP + size) for k in range(1, 20)]
    believed = [hole for hole in holes if hole]
    assert len(believed) == 1
    assert believed[0] == pytest.approx(size * RATE, abs=2)
    after = 100.0 + 19 * STEP + size
    assert timeline.index(after) == pytest.approx((after - 100.0) * RATE, abs=2)


def test_a_stream_that_is_early_is_held_back() -> None:
    timeline = started()
    assert timeline.place(100.0 + STEP - 0.3, fresh=True) == round(-0.3 * RATE)


def test_a_long_stop_is_not_counted() -> None:
    timeline = started()
    assert run(timeline, 100.0 + STEP + 60.0) == 0
    assert timeline.now(160.0 + STEP) == pytest.approx(STEP)


def test_a_clock_that_is_a_little_off_is_followed_without_a_hole() -> None:
    timeline = started()
    for k in range(1, 40_000):
        assert run(timeline, 100.0 + k * STEP * 1.0002) == 0
    assert timeline.anchor == pytest.approx(100.0 + 40_000 * STEP * 0.0002, abs=0.001)


@given(st.lists(st.tuples(st.floats(0, 0.5), st.floats(-2, 2)), max_size=40))
def test_time_never_goes_back(steps: list[tuple[float, float]]) -> None:
    timeline, clock, seen = started(), 100.0, 0.0
    for passed, stray in steps:
        clock += passed
        run(timeline, clock + stray)
        now = timeline.now(clock)
        assert now >= seen
        seen = now


def test_forgiven_seconds_are_not_counted() -> None:
    timeline = started()
    timeline.rendered = 10 * RATE
    timeline.forgive(3.0)
    assert timeline.now(105.0) == pytest.approx(2.0)


def test_stamps_are_unbroken_until_a_gap_is_believed() -> None:
    stamps = Stamps()
    gap = round(0.2 * RATE)
    firsts = [stamps.stamp(480 * k + 30 * (k % 2), 480) for k in range(5)]
    assert firsts == [480 * k for k in range(5)]
    later = [stamps.stamp(480 * k + gap, 480) for k in range(5, 10)]
    assert later == [480 * k for k in (5, 6)] + [480 * k + gap for k in (7, 8, 9)]
