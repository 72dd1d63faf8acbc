"""From the microphone to answers: end of speech, scoring, judgement.

Steppable: it is fed blocks of samples and gives events; it has no thread and no clock. All
times are samples of the session's timeline divided by its rate. While nobody speaks only the
speech detector runs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from coach.audio.sound_device import RATE, Samples
from coach.hearing import bands
from coach.hearing.acceptor import ADDRESS
from coach.hearing.asking import Askings
from coach.hearing.endpoint import (
    BEGIN,
    CHUNK,
    HANG,
    LONG,
    LOW_HANG,
    PAUSE,
    Detector,
    Endpointer,
    Mark,
    MarkKind,
    active_db,
)
from coach.hearing.own_takes import OwnTakes
from coach.hearing.rate import RATIO, Downsampler
from coach.hearing.recogniser_health import Here, WatchedRecogniser
from coach.hearing.recogniser_port import HEARING_RATE, Recogniser, Scored, Spoken
from coach.hearing.vocabulary import Meant, Vocabulary
from coach.model.answers import ANYTIME, CALLED, Meaning, parse
from coach.session.effects import CloseWindow, OpenWindow
from coach.session.events import (
    QUIET,
    Answered,
    DeviceLost,
    Event,
    Source,
    SpeechBegan,
    SpeechEnded,
    Sureness,
)

#: Sound before the onset that is scored too: detectors miss soft first consonants.
PRE_ROLL = round(0.3 * HEARING_RATE)

#: Speech that never pauses is looked at through its last 1.8 s, at least 0.9 s of them.
LOOK = round(1.8 * HEARING_RATE)
LEAST_LOOK = round(0.9 * HEARING_RATE)

#: Speech that ended and was no longer than this is looked at as a whole too.
WHOLE = round(2.6 * HEARING_RATE)

#: Why the quiet is gone.
TOO_LOUD = "Talk around is taken for answers too often."

#: Less speech than this is a click or a cough: two chunks of speech are, three are not.
LEAST = round(0.09 * HEARING_RATE)


@dataclass(frozen=True, slots=True)
class _Heard:
    """The best answer for one piece of speech."""

    phrase: str
    meant: Meant
    score: float
    sureness: Sureness


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece of speech with all that its judgement hangs on, so that it can be judged later."""

    sound: Samples
    meant: Mapping[str, Meant]
    against: tuple[str, ...]
    noise_db: float
    speech: float
    """The highest probability of speech in it."""
    lesson: str
    """The answer whose phrase is taught meanwhile; '' for none."""


@dataclass(frozen=True, slots=True)
class _Paused:
    """What was made of speech when it may have ended, before it was known to have."""

    now: int
    heard: _Heard | None


class Listener:
    """Hears answers in the sound that it is fed.

    `phrases` gives each answer key its phrases, `address` the word that opens the ear outside
    windows ('' for none) for the answers of `addressed`, or the usual ones. `compute_seconds` is
    added to the time of each answer where the recogniser's own time does not pass by itself, on a
    simulated device. Not `sparing`, it tells every unsure answer, however many were asked about.
    """

    def __init__(
        self,
        recogniser: Recogniser | WatchedRecogniser,
        phrases: Mapping[str, Sequence[str]],
        *,
        address: str = "",
        addressed: Sequence[str] = (),
        compute_seconds: float = 0.0,
        detector: Detector | None = None,
        sparing: bool = True,
    ) -> None:
        self._engine = recogniser if isinstance(recogniser, WatchedRecogniser) else Here(recogniser)
        self._vocabulary = Vocabulary(phrases, address, tuple(addressed) or CALLED)
        self._compute = compute_seconds
        self._detector = detector
        self._next: int | None = None
        self._origin = 0
        self._down = Downsampler()
        self._ears = Endpointer(detector)
        # A device's blocks are small; work is only done on what completes a chunk.
        self._waiting: list[Samples] = []
        # The last look at speech that goes on: what it heard, or what it has yet to be asked.
        self._rolling: _Heard | _Piece | None = None
        self._paused: _Paused | None = None
        self._spent = 0
        self._told = False
        self._cue_ends: list[float] = []
        self._askings, self._sparing = Askings(), sparing
        self._own = OwnTakes(self._engine, phrases)

    @property
    def noise_db(self) -> float:
        """Level of the room between words, in dB re full scale."""
        return self._ears.noise_db

    def open(self, window: OpenWindow) -> None:
        """From window.at on these answers count."""
        self._vocabulary.open(window)

    def close(self, window: CloseWindow) -> None:
        """The window takes no speech that begins after window.at."""
        self._vocabulary.close(window)

    def doubt(self) -> None:
        """What was heard last may not have been meant: a key was pressed, or it was not taken."""
        self._own.doubt()

    def sounding(self, text: str, start: float, end: float | None) -> None:
        """A cue ('' for a tone) leaves the speaker from start; once more with its end."""
        self._vocabulary.sounding(text, start, end)
        if text and end is not None:
            self._cue_ends.append(end)

    def feed(self, samples: Samples, first: int) -> list[Event]:
        """Hear samples at RATE, the first of which has this index on the timeline."""
        events: list[Event] = self._engine.changes(first / RATE)
        if first != self._next:
            self._restart(first)
        self._next = first + len(samples)
        self._waiting.append(samples)
        if sum(map(len, self._waiting)) < self._down.needs(self._ears.lacking):
            return events
        sound = self._down.feed(clean(np.concatenate(self._waiting)))
        self._waiting = []
        for mark in self._ears.feed(sound):
            events += self._marked(mark)
        now = self._seconds(self._ears.heard)
        self._own.pass_time(now)
        while self._cue_ends and self._cue_ends[0] <= now:
            end = self._cue_ends.pop(0)
            onset = self._ears.onset
            if onset is not None and self._seconds(onset) < end:
                mark_ = self._ears.split()
                assert mark_ is not None
                events += self._marked(mark_)
        return events

    def _restart(self, first: int) -> None:
        """The sound has a gap: what was open before it is over."""
        self._origin = -(-first // RATIO)
        self._waiting = []
        self._down = Downsampler()
        self._ears = Endpointer(self._detector, self._origin)
        self._rolling = self._paused = None
        self._spent = self._origin

    def _seconds(self, sample: int) -> float:
        return sample / HEARING_RATE

    def _marked(self, mark: Mark) -> list[Event]:
        now = self._seconds(mark.now)
        match mark.kind:
            case MarkKind.BEGAN:
                self._rolling = self._paused = None
                onset = self._seconds(mark.onset)
                self._told = self._vocabulary.window_at(onset) is not None
                return [SpeechBegan(now, onset)] if self._told else []
            case MarkKind.STILL:
                return self._look(mark)
            case MarkKind.PAUSED:
                if self._has_whole(mark):
                    self._paused = _Paused(mark.now, self._all_of(mark))
                return []
            case _:
                heard = self._whole(mark) if self._has_whole(mark) else []
                if not heard and self._is_long(mark):
                    heard = self._look(mark)
                if not heard and self._told:
                    heard = [SpeechEnded(now, self._seconds(mark.onset))]
                self._told = False
                self._rolling = self._paused = None
                return heard

    def _is_long(self, mark: Mark) -> bool:
        return mark.now - mark.onset > LONG or mark.onset < self._spent

    def _has_whole(self, mark: Mark) -> bool:
        return mark.now - mark.onset <= WHOLE and mark.onset >= self._spent and mark.voiced >= LEAST

    def _whole(self, mark: Mark) -> list[Event]:
        """Speech that began and ended: one look at all of it, taken while its end was awaited."""
        looked = self._paused
        if looked is None or mark.now - looked.now > (LOW_HANG - PAUSE) * CHUNK:
            looked = _Paused(mark.now, self._all_of(mark))
        if looked.heard is None:
            return []
        known = max(self._seconds(looked.now) + self._compute, self._seconds(mark.now))
        onset, spoken = self._seconds(mark.onset), self._spoken(mark)
        key, window = self._vocabulary.taught(onset)
        if key and looked.heard.meant.key == key:
            self._told = False
            return [self._own.lesson(key, window, spoken, known)]
        return self._told_of(looked.heard, onset, known, spoken)

    def _spoken(self, mark: Mark) -> Spoken:
        """All of what was said, with a little before it."""
        begin = max(mark.onset - PRE_ROLL, self._spent)
        sound = self._ears.sound(begin, mark.now)
        first = mark.now - len(sound)
        return Spoken(sound, max(mark.onset - first, 0), len(sound) - HANG * CHUNK)

    def _all_of(self, mark: Mark) -> _Heard | None:
        begin = max(mark.onset - PRE_ROLL, self._spent)
        return self._judged(self._piece(begin, mark, self._seconds(mark.onset)))

    def _look(self, mark: Mark) -> list[Event]:
        """Speech that goes on: its last seconds, and only what two looks running agree on.

        A look never reaches back beyond the opening of the window that is open now, so that
        whatever it hears began in that window. After one that heard nothing a look decides nothing
        alone: it is judged only if the next one hears something, which spares half of them.
        """
        begin = max(mark.now - LOOK, mark.onset - PRE_ROLL, self._spent)
        opened = self._vocabulary.opened(self._seconds(mark.now))
        if opened is not None:
            begin = max(begin, round(opened * HEARING_RATE))
        if mark.now - begin < LEAST_LOOK:
            return []
        onset = self._seconds(max(begin, mark.onset))
        piece, before = self._piece(begin, mark, onset), self._rolling
        if before is None:
            self._rolling = piece
            return []
        self._rolling = heard = self._judged(piece)
        if heard is None:
            return []
        if isinstance(before, _Piece):
            before = self._judged(before)
        if before is None or heard.meant != before.meant:
            return []
        self._rolling = None
        self._spent = mark.now
        if before.sureness is not Sureness.SURE:
            heard = before
        return self._told_of(heard, onset, self._seconds(mark.now) + self._compute)

    def _piece(self, begin: int, mark: Mark, onset: float) -> _Piece | None:
        now = self._seconds(mark.now)
        meant = self._vocabulary.at(onset, now)
        if not meant:
            return None
        ours = self._vocabulary.own_words(onset, now)
        against = tuple(one for one in ours if one not in meant)
        sound = self._ears.sound(begin, mark.now)
        lesson, _ = self._vocabulary.taught(onset)
        return _Piece(sound, meant, against, self._ears.noise_db, mark.speech, lesson)

    def _judged(self, piece: _Piece | None) -> _Heard | None:
        if piece is None:
            return None
        meant = piece.meant
        names = tuple(phrase for phrase, what in meant.items() if _is_person(what))
        known = (tuple(meant), piece.against, *((names,) if names else ()))
        scored = self._engine.score(piece.sound, *known)
        if not scored or scored[0].phrase not in meant:
            return None
        best = scored[0]
        what = meant[best.phrase]
        over = active_db(piece.sound) - piece.noise_db
        table = bands.bands(self._engine.name, over)
        band = table.of(parse(what.key))
        short = 0.0 if " " in best.phrase.rpartition(", ")[2] else table.short
        share = ADDRESS if what.addressed else 0.0
        next_other = _next_other(scored, meant, what.key)
        sureness = bands.judge(band, best.score + share, next_other + share, short)
        if what.key == piece.lesson:
            # she was asked to say it, perhaps because it is hardly heard
            sureness = Sureness.SURE
        if piece.speech < BEGIN and sureness is not Sureness.SURE:
            return None
        return _Heard(best.phrase, what, best.score, sureness) if sureness else None

    def _told_of(
        self, heard: _Heard, onset: float, at: float, spoken: Spoken | None = None
    ) -> list[Event]:
        """The answer; of one that is unsure only as many as may be asked about."""
        if heard.meant.key == self._vocabulary.taught(onset)[0]:
            return []  # said in a lesson, and longer than one take
        answer = self._answered(heard, onset, at)
        self._vocabulary.heard(heard.meant, self._seconds(self._ears.heard))
        if heard.sureness is Sureness.SURE:
            self._askings.answered(at)
            alone = spoken if not heard.meant.addressed else None
            self._own.answered(heard.meant.key, heard.phrase, alone, at)
            return [answer]
        if not self._sparing or self._askings.allow(at, danger=heard.meant.key in ANYTIME):
            return [answer]
        return [DeviceLost(at, QUIET, TOO_LOUD)] if self._askings.too_loud() else []

    def _answered(self, heard: _Heard, onset: float, at: float) -> Answered:
        return Answered(
            at,
            parse(heard.meant.key),
            who=heard.meant.who,
            onset=onset,
            window=heard.meant.window,
            source=Source.VOICE,
            sureness=heard.sureness,
            score=heard.score,
            addressed=heard.meant.addressed,
        )


def _is_person(what: Meant) -> bool:
    """Whether a phrase answers "who is it?", where that is asked."""
    return parse(what.key).meaning is Meaning.PERSON and not what.addressed


def _next_other(scored: Sequence[Scored], meant: Mapping[str, Meant], key: str) -> float:
    """Score of the best phrase that means something else."""
    for one in scored:
        if one.phrase not in meant or meant[one.phrase].key != key:
            return one.score
    return -np.inf


def clean(samples: Samples) -> Samples:
    """Mono, finite, within -1 to 1, without an offset that would hide speech."""
    mono = samples.mean(axis=1) if samples.ndim > 1 else samples
    return np.clip(np.nan_to_num(mono, nan=0.0, posinf=1.0, neginf=-1.0), -1.0, 1.0).astype(
        np.float32
    )
