"""The workbench of one `step` of a session: a state under change, and the effects so far.

It lives only inside one call of `step`, so the outside stays pure. Each value of the session is
replaced whole, by assignment; the phase alone changes by `enter`, which asks the chart.
"""

import math
from dataclasses import replace
from typing import Generic, TypeVar, overload

from coach.model.answers import Answer, Meaning
from coach.model.day import Change, Day
from coach.model.facts import Fact
from coach.model.messages import Message, message
from coach.model.questions import MOST
from coach.model.start import Options
from coach.planning import fitting
from coach.session import home_time, windows
from coach.session.change_facts import of_change
from coach.session.changing import changed
from coach.session.dialogue import (
    After,
    Asking,
    Listening,
    Questions,
    Queued,
    Saying,
    Speech,
    Window,
)
from coach.session.effects import (
    LEAD,
    CloseWindow,
    Cut,
    Effect,
    OpenWindow,
    Play,
    PlayNote,
    Record,
    Say,
    Tone,
)
from coach.session.memory import Notes, Tries
from coach.session.state import Course, Devices, Phase, Session
from coach.session.timers import Rests, Standstill

#: A cue whose end nobody reports counts as said after this long: the device may be gone.
LONGEST_CUE = 20.0
#: A note whose end nobody reports counts as played after this long.
LONGEST_NOTE = 25.0
#: Seconds by which a plan must change for what is left of it to be told.
TOLD = 120.0
#: Windows that are kept so that a late answer still finds its own.
WINDOWS_KEPT = 4

T = TypeVar("T")


class Value(Generic[T]):
    """One value of the session, as an attribute of the draft: assigning it makes a new session."""

    def __set_name__(self, owner: type, name: str) -> None:
        self._name = name

    @overload
    def __get__(self, draft: None, owner: type) -> "Value[T]": ...
    @overload
    def __get__(self, draft: "Draft", owner: type) -> T: ...
    def __get__(self, draft: "Draft | None", owner: type) -> "T | Value[T]":
        if draft is None:
            return self
        value: T = getattr(draft.s, self._name)
        return value

    def __set__(self, draft: "Draft", value: T) -> None:
        draft._session = changed(draft.s, {self._name: value})  # noqa: SLF001 a part of Draft


class UnlistedError(Exception):
    """A phase was to be entered that the chart does not list: a fault of the program."""


class Draft:
    """A session under change."""

    go_on = False
    """Ask for `course.go_on` once the handler is done: questions, then steps."""
    silent = False
    """Whether silence is taken for the answer that is resolved."""
    refused = False
    """Whether the answer that was heard is not taken now."""
    also: tuple[Answer, ...] = ()
    """What else of the try was told in the same breath."""
    breath = 0.0
    """Seconds that our own words wait for more of it."""

    began = Value[float]()
    ended = Value[float | None]()
    how = Value[str]()
    effort = Value[int | None]()
    efforts = Value[tuple[tuple[int, int], ...]]()
    slept = Value[float]()
    wake = Value[float | None]()
    options = Value[Options]()
    course = Value[Course]()
    speech = Value[Speech]()
    listening = Value[Listening]()
    questions = Value[Questions]()
    standing = Value[Standstill]()
    rests = Value[Rests]()
    tries = Value[Tries]()
    notes = Value[Notes]()
    devices = Value[Devices]()

    def __init__(self, session: Session, leads_to: frozenset[Phase] = frozenset()) -> None:
        self._session = session
        self._leads_to = leads_to
        self.effects: list[Effect] = []

    @property
    def s(self) -> Session:
        """The session as it is now."""
        return self._session

    @property
    def now(self) -> float:
        """Time of the event."""
        return self.s.at

    @property
    def day(self) -> Day:
        """The day, once check-in has made one."""
        assert self.s.day is not None
        return self.s.day

    @day.setter
    def day(self, day: Day) -> None:
        self._session = changed(self.s, {"day": day})

    def enter(self, phase: Phase) -> None:
        """Be in a phase; UnlistedError where the chart does not list it for this event."""
        if phase is not self.s.phase and phase not in self._leads_to:
            raise UnlistedError(f"{self.s.phase} does not become {phase} by this event")
        self._session = changed(self.s, {"phase": phase})

    def record(self, fact: Fact) -> None:
        """Commit a fact with this event."""
        self.effects.append(Record(fact))

    # sounds

    def say(self, what: Message, after: After = After.NOTHING, within: float = math.inf) -> None:
        """Say it now, or after what is being said; not at all where that takes too many seconds."""
        item = Queued(what, after, self.now + within)
        if self.speech.saying is None:
            self._speak(item, self.now + LEAD + self.breath)
        else:
            self.speech = replace(self.speech, queue=(*self.speech.queue, item))

    def _speak(self, item: Queued, at: float) -> None:
        resting = self.rests.resting
        since = resting.since if resting is not None else -1.0
        tally = self.speech.tally.counted(len(self.course.past), since, item.what)
        self.speech = replace(self.speech, tally=tally)
        sound, last = self.speech.next_sound, self.speech.last_cue
        if tally.over(item.what, hurt=self.how == "hurt"):
            # left out: what was to follow it follows at once
            self.speech = replace(
                self.speech,
                saying=Saying(sound, item.what, item.after, self.now),
                next_sound=sound + 1,
            )
            return
        longest = LONGEST_CUE
        if item.what.key == "note":
            longest = LONGEST_NOTE
            self.effects.append(PlayNote(sound, str(item.what.value("name")), at))
        else:
            last = item.what
            self.effects.append(
                Say(sound, item.what, at, windows.moving(self.s), self._unanswered(last))
            )
        saying = Saying(sound, item.what, item.after, at + longest)
        self.speech = replace(self.speech, next_sound=sound + 1, last_cue=last, saying=saying)

    def _unanswered(self, what: Message) -> bool:
        """Whether somebody who is hurt was asked before and did not answer."""
        asking = self.questions.asking
        again = self.s.phase is Phase.HURT and asking is not None and asking.times > 1
        return again or what.key == "saved-unanswered"

    def said(self) -> After:
        """The sounding cue has ended: start the next one; what was to happen after it."""
        saying = self.speech.saying
        assert saying is not None
        queue = tuple(item for item in self.speech.queue if item.until >= self.now)
        self.speech = replace(self.speech, saying=None, queue=queue)
        if queue:
            first, *rest = queue
            self.speech = replace(self.speech, queue=tuple(rest))
            self._speak(first, self.now + LEAD)
        return saying.after

    def unask(self) -> None:
        """The words of a question that is not asked any more: not said, and no window after."""
        saying, queue = self.speech.saying, self.speech.queue
        if saying is not None and saying.after is After.WINDOW:
            saying = replace(saying, after=After.NOTHING)
        queue = tuple(item for item in queue if item.after is not After.WINDOW)
        self.speech = replace(self.speech, saying=saying, queue=queue)

    def hush(self) -> None:
        """Silence everything that sounds or waits."""
        self.effects.append(Cut())
        self.speech = replace(self.speech, saying=None, queue=())

    def tone(self, tone: Tone, at: float | None = None) -> None:
        """Play a tone: now, or at a time."""
        sound = self.speech.next_sound
        self.effects.append(Play(sound, tone, self.now if at is None else at))
        self.speech = replace(self.speech, next_sound=sound + 1)

    def to(self, who: int) -> int:
        """Whose name begins a sentence to a person: 0 for no name, where one is alone."""
        return who if len(self.s.people) > 1 else 0

    def tell(self, what: Message) -> None:
        """Show and say what an answer did."""
        self.show(what)
        self.say(what)

    def refuse(self, answer: Answer) -> None:
        """Show why an answer is not taken now; its tone is another."""
        self.refused = True
        if answer.meaning in (Meaning.YES, Meaning.NO):
            why = "nothing-asked"
        elif self.standing.paused_since is not None and answer.meaning.nature.moves:
            why = "not-now-standing"
        elif not self.course.planned:
            why = "not-now-early"
        else:
            why = "not-now"
        self.show(message(why, answer=answer.key))

    def show(self, what: Message | None) -> None:
        """Show what an answer did."""
        self.listening = replace(self.listening, did=what)

    # windows

    def open_window(
        self, answers: tuple[str, ...], who: int = 0, at: float | None = None, teaches: str = ""
    ) -> None:
        """Open a window for answers that the language pack can hear; the one before closes."""
        known = self.s.library.words
        answers = tuple(key for key in answers if not known or key in known)
        if len(answers) > MOST:
            raise ValueError(f"a window takes {MOST} answers at most: {answers}")
        self.close_window()
        beside = windows.beside(self.s, answers)
        number, opens = self.listening.next_window, self.now if at is None else at
        self.effects.append(OpenWindow(number, answers, opens, who, beside, teaches))
        kept = self.listening.windows[-(WINDOWS_KEPT - 1) :]
        self.listening = replace(
            self.listening,
            next_window=number + 1,
            windows=(*kept, Window(number, answers, opens, None, who, beside)),
            confirmed=(),
        )

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        window = self.listening.window
        if window is not None:
            self.effects.append(CloseWindow(window.number, self.now))
            closed = replace(window, closes=self.now)
            windows = (*self.listening.windows[:-1], closed)
            self.listening = replace(self.listening, windows=windows)

    # the plan

    def ask_later(self, asking: Asking) -> None:
        """Ask at the next boundary, once."""
        pending = self.questions.pending
        if asking not in pending:
            self.questions = replace(self.questions, pending=(*pending, asking))

    def ask_first(self, asking: Asking) -> None:
        """Ask it before whatever else waits."""
        left = tuple(one for one in self.questions.pending if one != asking)
        self.questions = replace(self.questions, pending=(asking, *left))

    def take(self, change: Change, by: str, gate: str = "", *, quiet: bool = False) -> None:
        """Put a change of plan into force, on the record and, unless quiet, in words."""
        for fact in of_change(self.now, self.day, self.course.steps, change, by, gate):
            self.record(fact)
        tries = fitting.tries(self.course.steps)
        ended = home_time.ends(self.s) if self.course.planned else 0.0
        self.day = change.day
        fired = (*self.course.fired, *change.fired)
        self.course = replace(self.course, steps=change.steps, fired=fired)
        if quiet or not self.course.planned:
            return
        told = dict(change.say.values) if change.say is not None else {}
        if change.say is not None:
            self.tell(change.say)
        if "minutes" not in told and "tries" not in told:
            self._tell_what_is_left(ended, tries)

    def _tell_what_is_left(self, ended: float, had: int) -> None:
        """Where a change took or gave minutes or a try: what there is now, in the same breath.

        `ended` is when she went home before it, `had` the tries.
        """
        tries = fitting.tries(self.course.steps)
        if abs(home_time.ends(self.s) - ended) > TOLD or tries != had:
            minutes = home_time.minutes_left(self.s)
            trying = [one for one in self.s.people if fitting.tries(self.course.steps, one)]
            if len(self.s.people) == 1 or not trying:
                self.say(message("left", minutes=minutes, tries=tries))
            elif len(trying) == 1:
                whose = f"person:{trying[0]}"
                self.say(message("left-for", minutes=minutes, tries=tries, first=whose))
            else:
                self.say(message("left-in-all", minutes=minutes, tries=tries))
