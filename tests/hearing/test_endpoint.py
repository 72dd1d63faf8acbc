"""Where speech begins and ends, with a detector that says what the test wants."""

import numpy as np
import pytest

from coach.hearing.endpoint import BEGIN, Detector, Endpointer, Mark, MarkKind
from coach.hearing.recogniser_port import HEARING_RATE
from tests.hearing.voices import Floats


def noise(seconds: float, db: float, seed: int = 1) -> Floats:
    """White noise of a level in dB re full scale."""
    rng = np.random.default_rng(seed)
    n = round(seconds * HEARING_RATE)
    return rng.normal(0, 10 ** (db / 20), n).astype(np.float32)


def room(room_db: float, *sounds: tuple[float, float, float]) -> Floats:
    """Ten seconds of a room with louder sounds in it: from, for so many seconds, level."""
    total = noise(10.0, room_db)
    for number, (start, seconds, db) in enumerate(sounds, 2):
        begin = round(start * HEARING_RATE)
        total[begin : begin + round(seconds * HEARING_RATE)] += noise(seconds, db, number)
    return total


def marks(sound: Floats, detector: Detector) -> list[Mark]:
    """What is found in it."""
    ears = Endpointer(detector)
    return [mark for at in range(0, len(sound), 960) for mark in ears.feed(sound[at : at + 960])]


def ended(found: list[Mark], since: float = 1.0) -> list[Mark]:
    """What ended; a stream's first second, in which the room is not known yet, is left out."""
    ends = [mark for mark in found if mark.kind is MarkKind.ENDED]
    return [mark for mark in ends if mark.onset >= since * HEARING_RATE]


def spans(found: list[Mark], since: float = 1.0) -> list[tuple[float, float]]:
    """Onset and the time at which the end was known, in seconds."""
    return [(mark.onset / HEARING_RATE, mark.now / HEARING_RATE) for mark in ended(found, since)]


def always(_: object) -> float:
    """A detector that takes all for speech, as it takes a hall full of talk."""
    return 1.0


def test_an_answer_ends_though_the_room_goes_on_talking() -> None:
    ((onset, known),) = spans(marks(room(-36.0, (5.0, 0.6, -26.0)), always))
    assert onset == pytest.approx(5.0, abs=0.1)
    assert 5.6 < known < 5.95


def test_a_room_that_talks_is_nobodys_answer() -> None:
    assert ended(marks(room(-36.0), always)) == []


def test_a_short_gap_within_an_answer_does_not_end_it() -> None:
    ((onset, known),) = spans(marks(room(-40.0, (5.0, 0.4, -26.0), (5.6, 0.4, -26.0)), always))
    assert onset == pytest.approx(5.0, abs=0.1)
    assert known > 6.0


def test_who_talks_on_is_reported_while_it_lasts() -> None:
    found = marks(room(-50.0, (4.0, 4.0, -26.0)), always)
    assert sum(mark.kind is MarkKind.STILL for mark in found) >= 8


def test_what_the_detector_hardly_takes_for_speech_is_told_as_such() -> None:
    sound = room(-50.0, (5.0, 0.6, -26.0))
    assert [mark.speech < BEGIN for mark in ended(marks(sound, lambda _: 0.05))] == [True]
    assert [mark.speech for mark in ended(marks(sound, always))] == [1.0]


def test_a_short_word_that_the_detector_misses_is_found_by_its_level() -> None:
    ((onset, known),) = spans(marks(room(-46.0, (5.0, 0.3, -26.0)), lambda _: 0.0))
    assert onset == pytest.approx(5.0, abs=0.1)
    assert 5.3 < known < 5.65


def test_a_faint_sound_that_the_detector_hardly_takes_for_speech_is_none() -> None:
    assert ended(marks(room(-50.0, (5.0, 0.6, -40.0)), lambda _: 0.3)) == []


def test_speech_that_opens_a_stream_is_not_taken_for_the_room() -> None:
    sound = np.concatenate([noise(0.4, -26.0), noise(3.0, -60.0, 2)])
    ((onset, known),) = spans(marks(sound, always), 0.0)
    assert onset == 0.0
    assert 0.4 < known < 0.8
