"""A session without sound on a fake clock: scripted answers in, a transcript and its totals out.

It is the world of `coach rehearse`. Cues take the time that saying their words takes.
"""

import heapq
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Generic

from coach.clock import FakeClock
from coach.files.answers_file import Scripted
from coach.language import Language
from coach.model import scale
from coach.model.answers import ANYTIME
from coach.model.messages import Message, message
from coach.model.voice_profile import seconds
from coach.runtime.runner import Keeper, NoKeeper, Runner
from coach.session.effects import (
    CloseWindow,
    Cut,
    Effect,
    KeepNote,
    OpenWindow,
    Play,
    PlayNote,
    Record,
    Say,
)
from coach.session.events import (
    Answered,
    Event,
    KeyClaimed,
    NoteKept,
    SoundEnded,
    SoundStarted,
    Source,
    Started,
)
from coach.session.kinds import SOLO, Kind, S, Stepped

#: Seconds between a window's tone and the first word of an answer, and the length of the answer.
REACTION = 0.6
SPOKEN = 0.6
#: Seconds of a note.
NOTE = 4.0


@dataclass(frozen=True, slots=True)
class TranscriptLine:
    """One line of the transcript."""

    at: float
    kind: str
    """'said', 'heard', 'changed' or 'recorded'."""
    text: str
    seconds: float = 0.0
    on_the_move: bool = False
    question: bool = False


@dataclass(frozen=True, slots=True)
class Totals:
    """What a session cost the climber."""

    minutes: float
    speech_seconds: float
    cues: int
    questions: int
    answers: int
    longest_on_the_move: float
    """Seconds of the longest cue while somebody hangs or climbs."""
    most_words_on_the_move: int


@dataclass
class TextWorld:
    """Events from a script and a fake clock; effects become sounds that only take time."""

    language: Language
    script: Sequence[Scripted]
    clock: FakeClock = field(default_factory=FakeClock)
    pace: float = 160.0
    window: OpenWindow | None = None
    anytime: frozenset[str] = frozenset(ANYTIME)
    """Answer keys that need no window; after the address word, say."""
    weighs: int = 0
    """Who may tell a scale's reading; 0 for nobody."""
    _events: list[tuple[float, int, Event]] = field(default_factory=list)
    _count: int = 0
    _given: set[int] = field(default_factory=set)
    _sounding: dict[int, float] = field(default_factory=dict)

    def now(self) -> float:
        """Seconds on the timeline."""
        return self.clock.monotonic()

    def post(self, event: Event) -> None:
        """Let an event come at its time."""
        self._count += 1
        heapq.heappush(self._events, (event.at, self._count, event))

    def wait(self, until: float | None) -> Event | None:
        """The next event before `until`; the clock jumps to it."""
        answer = self._next_answer()
        due = [until] if until is not None else []
        due += [self._events[0][0]] if self._events else []
        due += [answer[0]] if answer is not None else []
        if not due:
            raise RuntimeError("nothing is left to happen and the session has not ended")
        at = min(due)
        self.clock.advance(max(at - self.now(), 0.0))
        if self._events and self._events[0][0] <= at:
            return heapq.heappop(self._events)[2]
        if answer is not None and answer[0] <= at:
            return self._give(*answer)
        return None

    def _next_answer(self) -> tuple[float, Scripted] | None:
        """The first answer of the script that would be said next: anytime, or in the window."""
        best: tuple[float, Scripted] | None = None
        for item in self.script:
            if item.line in self._given:
                continue
            if item.answer is None:
                if not self.weighs:
                    continue
                at = max(item.at, self.now())
            elif item.answer.key in self.anytime:
                at = max(item.at, self.now())
            elif self.window is not None and _takes(self.window, item.answer.key):
                at = max(item.at, self.window.at + REACTION, self.now())
            else:
                continue
            if best is None or at < best[0]:
                best = (at, item)
        return best

    def _give(self, at: float, item: Scripted) -> Answered | KeyClaimed:
        self._given.add(item.line)
        if item.answer is None:
            return KeyClaimed(at, scale.claim(item.reading or 0.0), item.who)
        in_window = self.window is not None and _takes(self.window, item.answer.key)
        window = self.window.window if self.window is not None and in_window else None
        return Answered(at + SPOKEN, item.answer, item.who, at, window, Source.FILE, also=item.also)

    @property
    def unsaid(self) -> tuple[Scripted, ...]:
        """Answers of the script that never found a window."""
        return tuple(item for item in self.script if item.line not in self._given)

    def carry_out(self, effect: Effect) -> None:
        """Sounds take time; windows decide which answers can be said."""
        match effect:
            case Say():
                text = self.language.text(effect.what)
                self._sound(effect.sound, effect.what, effect.at, seconds(text, self.pace))
            case Play():
                self._sound(effect.sound, Message(f"tone-{effect.tone.value}"), effect.at, 0.15)
            case PlayNote():
                what = message("note", name=effect.name)
                self._sound(effect.sound, what, effect.at, NOTE)
            case KeepNote():
                seconds_kept = min(NOTE, effect.most)
                self.post(NoteKept(effect.at + seconds_kept, effect.name, seconds_kept, "silence"))
            case Cut():
                self._cut()
            case OpenWindow():
                self.window = effect
            case CloseWindow():
                if self.window is not None and self.window.window == effect.window:
                    self.window = None
            case _:
                pass

    def _sound(self, sound: int, what: Message, at: float, length: float) -> None:
        start = max(at, self.now())
        self._sounding[sound] = start + length
        self.post(SoundStarted(start, sound, what, length))
        self.post(SoundEnded(start + length, sound))

    def _cut(self) -> None:
        """What sounds ends now, and what waits to sound never does."""
        self._events = [
            item
            for item in self._events
            if not (
                isinstance(item[2], SoundStarted | SoundEnded) and item[2].sound in self._sounding
            )
        ]
        heapq.heapify(self._events)
        for sound, ends in self._sounding.items():
            if ends > self.now():
                self.post(SoundEnded(self.now(), sound, True))
        self._sounding.clear()


def _takes(window: OpenWindow, key: str) -> bool:
    """Whether a window asks for an answer, or takes it beside."""
    return key in (*window.answers, *window.beside)


@dataclass
class Transcript:
    """Collects what is said, heard, changed and recorded."""

    language: Language
    pace: float = 160.0
    entries: list[TranscriptLine] = field(default_factory=list)

    def seen(self, session: Stepped, event: Event, effects: tuple[Effect, ...]) -> None:
        """Note one turn of the loop."""
        if isinstance(event, Answered):
            told = (event.answer, *event.also)
            text = ", ".join(self.language.phrase(one.key) for one in told)
            several = len(session.people) > 1
            self._add(event.onset, "heard", f"{event.who}: {text}" if several else text)
            if session.did is not None:
                self._add(event.at, "changed", self.language.text(session.did))
        elif isinstance(event, KeyClaimed) and session.did is not None:
            self._add(event.at, "changed", self.language.text(session.did))
        for effect in effects:
            if isinstance(effect, Say):
                text = self.language.text(effect.what)
                question = effect.what.key.startswith("ask-")
                self.entries.append(
                    TranscriptLine(
                        effect.at,
                        "said",
                        text,
                        seconds(text, self.pace),
                        effect.on_the_move,
                        question,
                    )
                )
            elif isinstance(effect, Cut) and effect.keep is None:
                # what was silenced before it began was never said
                self.entries = [
                    one for one in self.entries if one.kind != "said" or one.at <= event.at
                ]
            elif isinstance(effect, Record):
                self._add(effect.fact.at, "recorded", describe(effect.fact))

    def _add(self, at: float, kind: str, text: str) -> None:
        self.entries.append(TranscriptLine(at, kind, text))

    def totals(self) -> Totals:
        """What it cost."""
        said = [entry for entry in self.entries if entry.kind == "said"]
        moving = [entry for entry in said if entry.on_the_move]
        return Totals(
            minutes=round(max((entry.at for entry in self.entries), default=0.0) / 60.0, 1),
            speech_seconds=round(sum(entry.seconds for entry in said), 1),
            cues=len(said),
            questions=sum(entry.question for entry in said),
            answers=sum(entry.kind == "heard" for entry in self.entries),
            longest_on_the_move=round(max((entry.seconds for entry in moving), default=0.0), 2),
            most_words_on_the_move=max((len(entry.text.split()) for entry in moving), default=0),
        )


def describe(fact: object) -> str:
    """A fact in one line: its name and what is not empty."""
    from dataclasses import fields

    values = [
        f"{one.name} {value:g}" if isinstance(value, float) else f"{one.name} {value}"
        for one in fields(fact)  # type: ignore[arg-type]
        if one.name not in ("at", "who") and (value := getattr(fact, one.name)) not in ("", None)
    ]
    return f"{type(fact).__name__}: {', '.join(values)}"


def clock_time(at: float) -> str:
    """Seconds as MM:SS."""
    whole = int(at)
    return f"{whole // 60:02d}:{whole % 60:02d}"


@dataclass
class Rehearsed(Generic[S]):
    """A session that ran in seconds, on a clock that jumps."""

    session: S
    transcript: Transcript
    unsaid: tuple[Scripted, ...]


def rehearse(
    session: S,
    language: Language,
    script: Sequence[Scripted],
    keeper: Keeper | None = None,
    also: Callable[[S, Event, tuple[Effect, ...]], None] = lambda *_: None,
    kind: Kind[Any] = SOLO,
) -> Rehearsed[S]:
    """Run a session to its end on a fake clock."""
    world = TextWorld(language, script, anytime=frozenset(kind.anytime))
    transcript = Transcript(language)

    def seen(now: S, event: Event, effects: tuple[Effect, ...]) -> None:
        transcript.seen(now, event, effects)
        world.weighs = now.weighs
        also(now, event, effects)

    runner = Runner(session, world, keeper or NoKeeper(), world.clock.wall, seen, kind=kind)
    ended = runner.run(Started(0.0))
    return Rehearsed(ended, transcript, world.unsaid)
