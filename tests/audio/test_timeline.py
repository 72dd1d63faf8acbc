"""The timeline counts holes as played, ignores jitter, and never goes back."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.audio.sample_timeline import JITTER, STOPPED, Stamps, Timeline
from coach.audio.sound_device import RATE

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


@given(st.lists(st.floats(0, 0.2), min_size=60, max_size=60), st.integers(0, 9))
def test_single_blocks_that_are_late_are_no_hole(late: list[float], prompt: int) -> None:
    timeline = started()
    for k, delay in enumerate(late, 1):
        assert run(timeline, 100.0 + k * STEP + (0 if k % 10 == prompt else delay)) == 0


@given(
    st.floats(JITTER * 1.2, STOPPED * 0.9), st.lists(st.floats(0, 0.1), min_size=99, max_size=99)
)
def test_a_lasting_hole_is_counted_as_played(size: float, late: list[float]) -> None:
    timeline = started()
    for k in range(1, 100):
        jitter = 0 if k % 5 == 0 else late[k - 1]
        run(timeline, 100.0 + k * STEP + size + jitter)
    counted = timeline.rendered - 100 * BLOCK
    assert counted == pytest.approx(size * RATE, abs=(JITTER + 0.001) * RATE)


def test_small_holes_add_up_until_they_are_counted() -> None:
    timeline, behind = started(), 0.0
    for k in range(1, 2000):
        behind += 0.008 if k % 100 == 0 else 0
        run(timeline, 100.0 + k * STEP + behind)
    assert timeline.rendered - 2000 * BLOCK == pytest.approx(behind * RATE, abs=0.03 * RATE)


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
        assert run(timeline, 100.0 + k * STEP * 1.00015) == 0
    assert timeline.anchor == pytest.approx(100.0 + 40_000 * STEP * 0.00015, abs=0.001)


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
    firsts = [stamps.stamp(480 * k + 3000 * (k % 2), 480) for k in range(100)]
    assert np.diff(firsts).tolist() == [480] * 99
    gap = round(0.2 * RATE)
    later = [stamps.stamp(480 * k + gap, 480) for k in range(100, 200)]
    assert sum(np.diff(later) != 480) <= 2
    assert later[-1] - firsts[-1] == 480 * 100 + gap


def test_stamps_that_began_late_are_mended_by_prompter_blocks() -> None:
    stamps = Stamps()
    stamped = [stamps.stamp(480 * k + (5000 if k < 5 else 0), 480) for k in range(100)]
    assert stamped[0] == 5000
    assert stamped[-1] == 480 * 99


def test_stamps_follow_a_long_stop_at_once() -> None:
    stamps = Stamps()
    assert [stamps.stamp(480 * k, 480) for k in range(3)] == [0, 480, 960]
    assert stamps.stamp(10 * RATE, 480) == 10 * RATE
