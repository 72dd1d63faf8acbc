"""Where speech begins, pauses and ends, to the chunk: the figures of docs/hearing.md, one by one.

A chunk is 512 samples (32 ms). Each has an exact level, in dB over a room at -60 dB re full scale,
and a probability of speech; the room was heard for two seconds before.
"""

from collections.abc import Sequence

import numpy as np
import pytest

from coach.hearing.endpoint import Endpointer, Mark, NoiseFloor, active_db, level_db
from tests.hearing.voices import Floats

CHUNK, BEFORE, ROOM = 512, 62, -60.0


def level(db: float, count: int = CHUNK) -> Floats:
    """Sound whose mean power is exactly so many dB re full scale, in any even part of it."""
    return (10 ** (db / 20) * np.resize([1.0, -1.0], count)).astype(np.float32)


class Ear:
    """An end-pointer that is told what each chunk is."""

    def __init__(self, room: float = ROOM, first: int = 0) -> None:
        self.room, self.speech = room, 0.0
        self.ears = Endpointer(lambda _: self.speech, first)
        self.hear(*[(0.0, 0.0)] * BEFORE)
        self.start = self.ears.heard

    def hear(self, *chunks: tuple[float, float]) -> list[tuple[str, int]]:
        """What is marked: kind, and the chunk after which it was, from 1."""
        found = []
        for number, (over, self.speech) in enumerate(chunks, 1):
            found += [(mark.kind.value, number) for mark in self.marks(over)]
        return found

    def marks(self, over: float) -> list[Mark]:
        self.given = self.ears.feed(level(self.room + over))
        return self.given

    def silent(self) -> bool:
        return self.ears.onset is None

    def begun(self) -> "Ear":
        """Two chunks of clear speech have begun."""
        assert self.hear((20.0, 1.0), (20.0, 1.0)) == [("began", 2)]
        return self


@pytest.mark.parametrize(
    ("over", "speech", "begins"),
    [(8.05, 0.5, True), (7.95, 1.0, False), (8.05, 0.49, False), (13.9, 0.49, False),
     (14.05, 0.0, True), (30.0, 0.0, True)],
)  # fmt: skip
def test_speech_begins_eight_db_over_the_room_and_from_fourteen_on_all_may_be(
    over: float, speech: float, begins: bool
) -> None:
    assert Ear().hear(*[(over, speech)] * 2) == [("began", 2)] * begins
    assert Ear().hear((over, speech), (0.0, 1.0), (over, speech), (0.0, 1.0)) == []


def test_it_ends_after_seven_silent_chunks_or_nine_that_are_as_low_as_the_room() -> None:
    """0.22 s and 0.29 s; after four, 0.13 s, it may have ended."""
    silent, talk = (0.0, 0.34), (0.0, 0.35)
    assert Ear().begun().hear(*[silent] * 7) == [("paused", 4), ("ended", 7)]
    assert Ear().begun().hear(*[talk] * 9) == [("paused", 4), ("ended", 9)]
    assert Ear().begun().hear(*[(6.4, 1.0)] * 9) == [("paused", 4), ("ended", 9)]
    assert Ear().begun().hear(*[(6.6, 1.0)] * 20) == []
    assert Ear().begun().hear(*[(13.9, 0.34)] * 7) == [("paused", 4), ("ended", 7)]
    assert Ear().begun().hear(*[(14.1, 0.0)] * 20) == []
    spoken = (20.0, 1.0)
    assert Ear().begun().hear(*[silent] * 6, spoken, *[silent] * 7) == [
        ("paused", 4), ("paused", 11), ("ended", 14),
    ]  # fmt: skip
    # a chunk that is low but no silence interrupts the seven, not the nine
    mixed = [*[silent] * 4, talk, *[silent] * 4]
    assert Ear().begun().hear(*mixed) == [("paused", 4), ("ended", 9)]


def test_who_talks_on_is_reported_from_a_second_and_a_half_on_every_quarter() -> None:
    """Whole chunks: after 47 of them (1.504 s), and from then on after every eight (0.256 s)."""
    found = Ear().begun().hear(*[(20.0, 1.0)] * 70)
    assert found == [("still", chunk) for chunk in (45, 53, 61, 69)]


def test_the_marks_tell_when_how_long_and_how_surely() -> None:
    ear = Ear()
    ear.hear((20.0, 0.6), (20.0, 0.9))
    began = ear.given[0]
    assert (began.onset, began.now, began.voiced, began.speech) == (
        ear.start, ear.start + 2 * CHUNK, 2 * CHUNK, 0.9,
    )  # fmt: skip
    assert ear.ears.onset == ear.start
    ear.hear((20.0, 0.95), (20.0, 0.7), *[(0.0, 0.0)] * 2, (20.0, 0.4), *[(0.0, 0.1)] * 7)
    (ended,) = ear.given
    assert (ended.onset, ended.now, ended.voiced, ended.speech) == (
        ear.start, ear.start + 14 * CHUNK, 5 * CHUNK, 0.95,
    )  # fmt: skip
    assert ear.silent()
    ear.hear((20.0, 0.6), (20.0, 0.5))
    assert (ear.given[0].onset, ear.given[0].speech) == (ear.start + 14 * CHUNK, 0.6)


def test_an_onset_is_looked_for_up_to_three_tenths_back_in_what_is_loud() -> None:
    """Detectors come late: ten-millisecond pieces at 8 dB over the room belong to it."""
    for back, wanted in ((3, 3 * CHUNK), (20, 4_800)):
        ear = Ear()
        ear.hear(*[(8.1, 0.0)] * back)
        began = ear.start + back * CHUNK
        ear.begun()
        assert ear.ears.onset == began - wanted // 160 * 160
    ear = Ear()
    ear.hear(*[(7.9, 0.0)] * 5)
    ear.begun()
    assert ear.ears.onset == ear.start + 5 * CHUNK
    # never into speech that has ended, nor before the stream
    ear = Ear().begun()
    split = ear.ears.split()
    assert split is not None
    assert (split.onset, split.now) == (ear.start, ear.start + 2 * CHUNK)
    assert ear.ears.split() is None
    ear.begun()
    assert ear.ears.onset == ear.start + 2 * CHUNK
    early = Endpointer(lambda _: 1.0, 7)
    assert [mark.onset for _ in range(2) for mark in early.feed(level(-20.0))] == [7]


def test_a_room_of_zeros_counts_as_seventy_db_under_full_scale() -> None:
    for db, begins in ((-62.1, False), (-61.9, True)):
        ear = Ear(-200.0)
        assert ear.ears.noise_db == -90.0
        assert ear.hear(*[(200.0 + db, 1.0)] * 2) == [("began", 2)] * begins


def test_eight_seconds_are_remembered_whatever_the_blocks() -> None:
    dice = np.random.default_rng(5)
    sound = (0.001 * dice.standard_normal(700_000)).astype(np.float32)
    ears, at, first = Endpointer(lambda _: 0.0, 1_000), 0, 1_000
    for size in (1, 511, 512, 4_000, 100_000, 300_000, 7, 250_000):
        assert ears.lacking == ears.heard + CHUNK - first - at
        ears.feed(sound[at : at + size])
        at += size
        assert ears.heard == first + at // CHUNK * CHUNK
        assert 0 < ears.lacking <= CHUNK
        least = max(0, at - 128_000)
        assert np.array_equal(ears.sound(first + least, first + at), sound[least:at])
    assert len(ears.sound(0, first)) == 0
    assert np.array_equal(ears.sound(first + at - 9, first + at + 99), sound[at - 9 : at])
    assert len(ears.sound(first + at + 5, first + at + 9)) == 0
    taken = ears.sound(first + at - 9, first + at)
    taken[:] = 9.0
    assert ears.sound(first + at - 9, first + at).max() < 1.0


def floors(levels: Sequence[float]) -> list[float]:
    floor, found = NoiseFloor(), []
    for one in levels:
        assert floor.feed(level(one)) == pytest.approx(one, abs=1e-4)
        found.append(floor.db)
    return found


def test_a_room_is_the_fifteenth_percentile_of_the_last_four_seconds() -> None:
    """125 chunks; with less than half a second of it, 15 chunks, a room is silent."""
    levels = np.random.default_rng(2).uniform(-70, -20, 400).tolist()
    found = floors(levels)
    assert found[:14] == [-90.0] * 14
    for number, floor in list(enumerate(found, 1))[14:]:
        last = sorted(levels[max(0, number - 125) : number])
        assert floor == pytest.approx(last[len(last) * 15 // 100], abs=1e-4)


def test_levels_are_mean_powers() -> None:
    """By hand: 20 log10 of the amplitude of a square wave; -90 dB is the least."""
    assert level_db(np.zeros(0, np.float32)) == pytest.approx(-90.0)
    assert level_db(np.zeros(9, np.float32)) == pytest.approx(-90.0)
    assert level_db(np.full(9, 0.1, np.float32)) == pytest.approx(-20.0, abs=1e-4)
    assert active_db(np.zeros(319, np.float32)) == -90.0
    assert active_db(np.zeros(320, np.float32)) == pytest.approx(-90.0)
    assert active_db(np.full(320, 1.0, np.float32)) == pytest.approx(0.0, abs=1e-4)
    # of five pieces two within 15 dB of the loudest; a rest of less than 20 ms is left out
    loud = np.concatenate([level(db, 320) for db in (-20.0, -34.0, -36.0, -60.0, -90.0)])
    wanted = 10 * np.log10((10**-2.0 + 10**-3.4) / 2)
    assert active_db(np.concatenate([loud, level(0.0, 319)])) == pytest.approx(wanted, abs=1e-3)
