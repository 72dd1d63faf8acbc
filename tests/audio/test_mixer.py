"""The mixer starts sounds to the sample, cuts without a click, and tells about each one."""

from collections import defaultdict

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.audio.mixer import FADE, KNEE, Mixer, MixEvent, MixKind, soft_limit
from coach.audio.sound_device import Samples


def ones(n: int, level: float = 0.1) -> Samples:
    return np.full(n, level, np.float32)


def play(mixer: Mixer, *blocks: int) -> tuple[Samples, list[MixEvent]]:
    rendered, happened = [], []
    for n in blocks:
        block, events = mixer.render(n)
        rendered.append(block)
        happened += events
    return np.concatenate(rendered), happened


def test_a_sound_starts_and_ends_at_its_samples() -> None:
    mixer = Mixer()
    mixer.schedule(1, ones(100), 250)
    out, events = play(mixer, 200, 200)
    assert np.flatnonzero(out).tolist() == list(range(250, 350))
    assert events == [MixEvent(MixKind.STARTED, 1, 250), MixEvent(MixKind.ENDED, 1, 350)]


def test_a_sound_whose_time_has_passed_starts_at_once_and_says_how_late() -> None:
    mixer = Mixer()
    mixer.render(480)
    mixer.schedule(1, ones(10), 400)
    _, events = mixer.render(480)
    assert events[0] == MixEvent(MixKind.STARTED, 1, 480, late=80)


def test_overlapping_sounds_are_summed() -> None:
    mixer = Mixer()
    mixer.schedule(1, ones(20), 0)
    mixer.schedule(2, ones(20, 0.2), 10)
    out, _ = mixer.render(40)
    assert out == pytest.approx([0.1] * 10 + [0.3] * 10 + [0.2] * 10 + [0.0] * 10)


def test_a_loud_sum_is_bent_below_full_scale_and_a_soft_one_is_left_alone() -> None:
    mixer = Mixer()
    mixer.schedule(1, ones(20, 0.9), 0)
    mixer.schedule(2, ones(20, 0.9), 0)
    out, _ = mixer.render(20)
    assert KNEE < out.max() < 1.0
    assert soft_limit(ones(5, KNEE)) == pytest.approx(KNEE)


def test_a_cut_fades_within_five_milliseconds_and_without_a_step() -> None:
    mixer = Mixer()
    mixer.schedule(1, ones(48_000, 0.5), 0)
    mixer.render(1000)
    mixer.cut()
    out, events = play(mixer, 100, 480, 480)
    assert events == [MixEvent(MixKind.CUT, 1, 1000)]
    assert not out[FADE:].any()
    assert np.abs(np.diff(np.concatenate([[0.5], out]))).max() < 0.5 * np.pi / 2 / FADE * 1.1
    assert mixer.idle


def test_a_cut_spares_what_it_keeps_and_what_is_scheduled_after_it() -> None:
    mixer = Mixer()
    for number in (1, 2, 3):
        mixer.schedule(number, ones(600), 0 if number < 3 else 5000)
    mixer.render(100)
    mixer.cut(keep=2, at=200)
    mixer.schedule(4, ones(10), 150)
    _, events = play(mixer, 1000)
    assert {(e.kind, e.sound) for e in events} == {
        (MixKind.CUT, 1),
        (MixKind.ENDED, 2),
        (MixKind.CUT, 3),
        (MixKind.STARTED, 4),
        (MixKind.ENDED, 4),
    }
    assert all(e.at == 200 for e in events if e.kind is MixKind.CUT)


def test_a_number_in_use_is_refused() -> None:
    mixer = Mixer()
    mixer.schedule(7, ones(10), 0)
    with pytest.raises(ValueError, match="7"):
        mixer.schedule(7, ones(10), 100)


def test_an_empty_sound_still_starts_and_ends() -> None:
    mixer = Mixer()
    mixer.schedule(1, ones(0), 3)
    assert [e.kind for e in mixer.render(10)[1]] == [MixKind.STARTED, MixKind.ENDED]


sounds = st.tuples(st.integers(0, 900), st.integers(0, 400))
cuts = st.tuples(st.none() | st.integers(0, 5), st.none() | st.integers(0, 1500))


@given(
    st.lists(sounds, max_size=6),
    st.lists(st.integers(1, 300), min_size=12, max_size=12),
    st.dictionaries(
        st.integers(0, 11), st.tuples(*[st.one_of(st.none(), st.integers(0, 1500))] * 2)
    ),
)
def test_whatever_the_blocks_and_cuts_each_sound_is_told_once_and_exactly(
    planned: list[tuple[int, int]],
    blocks: list[int],
    cut_before: dict[int, tuple[int | None, int | None]],
) -> None:
    mixer = Mixer()
    for number, (at, length) in enumerate(planned):
        mixer.schedule(number, ones(length), at)
    told: dict[int, list[MixEvent]] = defaultdict(list)
    out: list[Samples] = []
    for n, size in enumerate([*blocks, 4000]):
        if n in cut_before:
            mixer.cut(*cut_before[n])
        begin = mixer.position
        block, events = mixer.render(size)
        assert len(block) == size
        assert all(begin <= e.at <= begin + size for e in events)
        assert [e.at for e in events] == sorted(e.at for e in events)
        out.append(block)
        for e in events:
            told[e.sound].append(e)
    assert mixer.idle
    whole = np.concatenate(out)
    expected = np.zeros(len(whole))
    for number, (at, length) in enumerate(planned):
        kinds = [e.kind for e in told[number]]
        if kinds == [MixKind.CUT]:
            assert told[number][0].at <= at
            continue
        assert kinds in ([MixKind.STARTED, MixKind.ENDED], [MixKind.STARTED, MixKind.CUT])
        start, end = told[number]
        assert start.at == at
        assert start.late == 0
        stop = at + length if end.kind is MixKind.ENDED else end.at
        assert stop <= at + length
        expected[at:stop] += 0.1
        if end.kind is MixKind.CUT:
            tail = np.arange(stop, min(at + length, stop + FADE))
            expected[tail] += 0.1 * (0.5 + 0.5 * np.cos(np.pi * (tail - stop) / FADE))
    assert whole == pytest.approx(expected, abs=1e-5)
