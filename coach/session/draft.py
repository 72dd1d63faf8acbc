"""The workbench of one `step` of a session: a state under change, and the effects so far.

It lives only inside one call of `step`, so the outside stays pure. Each value of the session is
replaced whole, by assignment; the phase alone changes by `enter`, which asks the chart.
"""

from dataclasses import replace

from coach.model.answers import Answer, Meaning
from coach.model.day import Change, Day
from coach.model.messages import Message, message
from coach.model.questions import MOST, OF_TRIES, QUESTIONS
from coach.model.start import Options
from coach.planning import fitting
from coach.session import home_time, windows
from coach.session.bounds import Tally
from coach.session.change_facts import of_change
from coach.session.changing import changed
from coach.session.dialogue import (
    After,
    Asking,
    Questions,
    Window,
)
from coach.session.memory import Notes, Tries
from coach.session.state import Course, Devices, Phase, Session
from coach.session.timers import Rests, Standstill
from coach.session.workbench import Nested, Workbench

#: Seconds for which an answer that was given, or that silence gave, may be said again.
SETTLED = 60.0
#: Seconds by which a plan must change for what is left of it to be told.
TOLD = 120.0
#: The sentences that tell it.
WHAT_IS_LEFT = frozenset({"left", "left-for", "left-in-all", "left-or-tries"})


class UnlistedError(Exception):
    """A phase was to be entered that the chart does not list: a fault of the program."""


class Draft(Workbench[Session]):
    """A session under change."""

    go_on = False
    """Ask for `course.go_on` once the handler is done: questions, then steps."""
    silent = False
    """Whether silence is taken for the answer that is resolved."""
    spoken = False
    """Whether somebody has just said something that is taken."""
    together = False
    """Whether the answer counts for several, as nobody told whose it was."""
    also: tuple[Answer, ...] = ()
    """What else of the try was told in the same breath."""

    began = Nested[float]()
    ended = Nested[float | None]()
    how = Nested[str]()
    effort = Nested[int | None]()
    efforts = Nested[tuple[tuple[int, int], ...]]()
    slept = Nested[float]()
    wake = Nested[float | None]()
    options = Nested[Options]()
    course = Nested[Course]()
    questions = Nested[Questions]()
    standing = Nested[Standstill]()
    rests = Nested[Rests]()
    tries = Nested[Tries]()
    notes = Nested[Notes]()
    devices = Nested[Devices]()

    def __init__(self, session: Session, leads_to: frozenset[Phase] = frozenset()) -> None:
        super().__init__(session)
        self._leads_to = leads_to

    @property
    def s(self) -> Session:
        """The session as it is now."""
        return self._state

    @property
    def day(self) -> Day:
        """The day, once check-in has made one."""
        assert self.s.day is not None
        return self.s.day

    @day.setter
    def day(self, day: Day) -> None:
        self._state = changed(self.s, {"day": day})

    def enter(self, phase: Phase) -> None:
        """Be in a phase; UnlistedError where the chart does not list it for this event."""
        if phase is not self.s.phase and phase not in self._leads_to:
            raise UnlistedError(f"{self.s.phase} does not become {phase} by this event")
        self._state = changed(self.s, {"phase": phase})

    # sounds

    def _counted(self, what: Message) -> Tally:
        resting = self.rests.resting
        since = resting.since if resting is not None else -1.0
        return self.speech.tally.counted(len(self.course.past), since, what)

    def _hurt(self) -> bool:
        return self.how == "hurt"

    def _moving(self) -> bool:
        return windows.moving(self.s)

    def _unanswered(self, what: Message) -> bool:
        asking = self.questions.asking
        again = self.s.phase is Phase.HURT and asking is not None and asking.times > 1
        return again or what.key == "saved-unanswered"

    def unask(self) -> None:
        """The words of a question that is not asked any more: not said, and no window after."""
        saying, queue = self.speech.saying, self.speech.queue
        if saying is not None and saying.after is After.WINDOW:
            saying = replace(saying, after=After.NOTHING)
        queue = tuple(item for item in queue if item.after is not After.WINDOW)
        self.speech = replace(self.speech, saying=saying, queue=queue)

    def to(self, who: int) -> int:
        """Whose name begins a sentence to a person: 0 for no name, where one is alone."""
        return who if len(self.s.people) > 1 else 0

    def tell(self, what: Message) -> None:
        """Show and say what an answer did."""
        self.show(what)
        self.say(what)

    def refuse(self, answer: Answer) -> None:
        """Show why an answer is not taken now; its tone is another.

        What only says again how the last question was settled is heard, and no more.
        """
        if answer.key in self.questions.settled and self.now - self.questions.settled_at <= SETTLED:
            self.show(None)
            return
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

    # windows

    def open_window(
        self, answers: tuple[str, ...], who: int = 0, at: float | None = None, teaches: str = ""
    ) -> None:
        """Open a window for answers that the language pack can hear; the one before closes."""
        known = self.s.library.words
        answers = tuple(key for key in answers if not known or key in known)
        if len(answers) > MOST:
            raise ValueError(f"a window takes {MOST} answers at most: {answers}")
        opens, beside = self.now if at is None else at, windows.beside(self.s, answers)
        self.opened(Window(0, answers, opens, None, who, beside), teaches)

    # the plan

    def ask_later(self, asking: Asking) -> None:
        """Ask at the next boundary, once; what keeps somebody safe before how a try went."""
        pending = self.questions.pending
        if asking not in pending:
            overtakes = QUESTIONS[asking.question].safety
            later = tuple(one for one in pending if overtakes and one.question in OF_TRIES)
            sooner = tuple(one for one in pending if one not in later)
            self.questions = replace(self.questions, pending=(*sooner, asking, *later))

    def ask_first(self, asking: Asking) -> None:
        """Ask it before whatever else waits."""
        left = tuple(one for one in self.questions.pending if one != asking)
        self.questions = replace(self.questions, pending=(asking, *left))

    def take(
        self, change: Change, by: str, gate: str = "", *, quiet: bool = False, whose: int = 0
    ) -> None:
        """Put a change of plan into force, on the record and, unless quiet, in words.

        `whose` is whom it is about where several are there: their name begins the sentence.
        """
        for fact in of_change(self.now, self.day, self.course.steps, change, by, gate):
            self.record(fact)
        untold = quiet or not self.course.planned
        same = change.day == self.day and change.steps == self.course.steps
        ended = 0.0 if untold or same else home_time.ends(self.s)
        tries = fitting.tries(self.course.steps)
        self._complained(change.day)
        self.day = change.day
        fired = (*self.course.fired, *change.fired)
        self.course = replace(self.course, steps=change.steps, fired=fired)
        if not same and self.course.if_silent is not None:
            self.expect_silence()
        if untold:
            return
        told = dict(change.say.values) if change.say is not None else {}
        if "minutes" in told:
            told["minutes"] = home_time.minutes_left(self.s)  # with what runs, as it is shown
        if whose:
            told["who"] = whose
        if change.say is not None:
            self.tell(message(change.say.key, **told))
        if same:
            return
        alone = len(self.s.people) == 1
        if "minutes" not in told and "tries" not in told and not (alone and "left" in told):
            self.tell_what_is_left(ended, tries)
        elif self._drop_what_was_left():
            self._say_what_is_left()  # what waited to be said may have told of tries that went

    def _complained(self, day: Day) -> None:
        new = (one for one in day.reports if one not in self.day.reports)
        if any(one.complains for one in new):
            self.questions = replace(self.questions, complained_at=self.now)

    def what_is_left(self) -> Message | None:
        """What waits to be said of the minutes left."""
        queued = (one.what for one in self.speech.queue)
        return next((what for what in queued if what.key in WHAT_IS_LEFT), None)

    def _drop_what_was_left(self) -> bool:
        """What waits to be said of the minutes left is no longer so; whether there was any."""
        had = self.speech.queue
        queue = tuple(one for one in had if one.what.key not in WHAT_IS_LEFT)
        self.speech = replace(self.speech, queue=queue)
        return queue != had

    def expect_silence(self) -> None:
        """When it ends if whoever told no end of the last batch says nothing any more."""
        silent = self.course.silent
        if not silent and self.course.if_silent is None:
            return
        at = home_time.if_silent(self.s) if silent else None
        self.course = replace(self.course, if_silent=at)

    def tell_what_is_left(self, ended: float, had: int) -> None:
        """Where a change took or gave minutes or a try: what there is now, in the same breath.

        `ended` is when she went home before it, `had` the tries.
        """
        tries = fitting.tries(self.course.steps)
        if abs(home_time.ends(self.s) - ended) > TOLD or tries != had:
            self._drop_what_was_left()
            self._say_what_is_left()

    def _say_what_is_left(self) -> None:
        tries = fitting.tries(self.course.steps)
        minutes = home_time.minutes_left(self.s)
        either = home_time.what_is_left(self.s)
        trying = [one for one in self.s.people if fitting.tries(self.course.steps, one)]
        if either is not None:
            self.say(either)
        elif len(self.s.people) == 1 or not trying:
            self.say(message("left", minutes=minutes, tries=tries))
        elif len(trying) == 1:
            whose = f"person:{trying[0]}"
            self.say(message("left-for", minutes=minutes, tries=tries, first=whose))
        else:
            self.say(message("left-in-all", minutes=minutes, tries=tries))
