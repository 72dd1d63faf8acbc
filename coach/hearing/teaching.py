"""Teaching a phrase: takes cut out of a stream of sound, and what they change, take by take."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from coach.hearing import bands
from coach.hearing.endpoint import BEGIN, CHUNK, HANG, Detector, Endpointer, Mark, MarkKind
from coach.hearing.listener import LEAST, PRE_ROLL
from coach.hearing.recogniser_port import HEARING_RATE, Scored, Spoken
from coach.hearing.scorer import WhisperScorer
from coach.hearing.takes import take_of
from coach.hearing.taught import Take, Taught
from coach.model.answers import parse

Floats = npt.NDArray[np.float32]

#: A take is no longer than this: an answer is short, and the recogniser looks at 3 s.
LONGEST = 2.6
#: How far over the room a take counts as, in dB: who teaches does it where it is quiet.
IN_QUIET = 30.0
#: Silence put after a sound that ends with its last word, in samples at 16 kHz.
AFTER = 8_000


class Cutter:
    """Finds what was said in sound that it is fed at 16 kHz."""

    def __init__(self, detector: Detector | None = None) -> None:
        self._ears = Endpointer(detector)

    def feed(self, sound: Floats) -> list[Spoken]:
        """What was said by the end of this sound."""
        marks = self._ears.feed(sound)
        return [self._cut(mark) for mark in marks if self._is_take(mark)]

    def _is_take(self, mark: Mark) -> bool:
        short = mark.now - mark.onset <= LONGEST * HEARING_RATE
        spoken = mark.voiced >= LEAST and mark.speech >= BEGIN
        return mark.kind is MarkKind.ENDED and spoken and short

    def _cut(self, mark: Mark) -> Spoken:
        begin = mark.onset - PRE_ROLL
        sound = self._ears.sound(begin, mark.now)
        missing = mark.now - begin - len(sound)
        return Spoken(sound, PRE_ROLL - missing, len(sound) - HANG * CHUNK)


def takes_in(sound: Floats, detector: Detector | None = None) -> list[Spoken]:
    """What is said in a whole sound at 16 kHz."""
    return Cutter(detector).feed(np.concatenate([sound, np.zeros(AFTER, np.float32)]))


@dataclass(frozen=True, slots=True)
class Lesson:
    """A phrase, the answer that it means, and what was said."""

    key: str
    phrase: str
    spoken: tuple[Spoken, ...]


@dataclass(frozen=True, slots=True)
class LessonResult:
    """What teaching a phrase changed, of so many takes."""

    lesson: Lesson
    takes: tuple[Take, ...]
    before: int
    """Heard without any teaching."""
    now: int
    """Heard when all takes but the one that is tried are known."""


def learn(
    scorer: WhisperScorer,
    centre: Floats,
    lessons: Sequence[Lesson],
    phrases: Mapping[str, Sequence[str]],
    earlier: Mapping[str, Sequence[Take]],
) -> list[LessonResult]:
    """Takes of each phrase, and how many are heard before and after, each left out once.

    `phrases` are those that count beside the ones taught, by answer; `earlier` the takes there
    are of other phrases.
    """
    taken = {
        lesson.phrase: [take_of(scorer.encode, centre, one) for one in lesson.spoken]
        for lesson in lessons
    }
    return [
        LessonResult(
            lesson,
            tuple(taken[lesson.phrase]),
            _heard(scorer, lesson, phrases, [None] * len(lesson.spoken)),
            _heard(
                scorer,
                lesson,
                phrases,
                [
                    Taught({**earlier, **taken, lesson.phrase: _without(taken, lesson, n)}, centre)
                    for n in range(len(lesson.spoken))
                ],
            ),
        )
        for lesson in lessons
    ]


def _without(taken: Mapping[str, list[Take]], lesson: Lesson, number: int) -> list[Take]:
    takes = taken[lesson.phrase]
    return takes[:number] + takes[number + 1 :]


def _heard(
    scorer: WhisperScorer,
    lesson: Lesson,
    phrases: Mapping[str, Sequence[str]],
    taught: Sequence[Taught | None],
) -> int:
    """How many takes are heard as what they mean, asking back included."""
    means = {phrase: key for key, some in phrases.items() for phrase in some}
    means[lesson.phrase] = lesson.key
    band = bands.bands(scorer.name, IN_QUIET).of(parse(lesson.key))
    kept, count = scorer.taught, 0
    try:
        for one, so_far in zip(lesson.spoken, taught, strict=True):
            scorer.taught = so_far
            scored = scorer.score(one.sound, tuple(means))
            count += _is(scored, means, lesson.key, band)
    finally:
        scorer.taught = kept
    return count


def _is(scored: Sequence[Scored], means: Mapping[str, str], key: str, band: bands.Band) -> bool:
    if not scored or means[scored[0].phrase] != key:
        return False
    return bands.judge(band, scored[0].score, -np.inf) is not None
