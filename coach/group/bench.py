"""The workbench of one step of a group: room for the leader's voice, timers that stand and run."""

from dataclasses import replace

from coach.group.gathering import Act, AskedLeader, Group
from coach.model.answers import Answer
from coach.model.messages import Message, message
from coach.model.questions import MOST, QUESTIONS
from coach.session.bounds import ASKS, Tally
from coach.session.dialogue import Window
from coach.session.state import Phase
from coach.session.workbench import Workbench

#: Seconds after the cues of a change until they are said once more.
AGAIN_AFTER = 8.0
#: Seconds for which the leader's answers count after a cue; later the address word or a key.
OPEN_FOR = 20.0


class GroupBench(Workbench[Group]):
    """A group under change."""

    between = 1.0  # the leader can begin to speak
    quiet = False
    """Whether the leader tells it by a key: what is about one person is then shown, not said."""

    @property
    def g(self) -> Group:
        """The group."""
        return self._state

    @g.setter
    def g(self, group: Group) -> None:
        self._state = group

    def _counted(self, what: Message) -> Tally:
        # a turn that is taken and one that is left bring the group further, as does a change over
        g = self.g
        ahead = len(g.callouts) + 2 * len(g.pending) + len(g.seated)
        return self.speech.tally.counted(-ahead, g.swapped, what)

    def _hurt(self) -> bool:
        return self.g.phase is Phase.HURT

    def _moving(self) -> bool:
        return self.g.act is Act.ROTA

    def _unanswered(self, what: Message) -> bool:
        return self.g.phase is Phase.HURT and self.g.reminded > 0

    # windows

    def open_window(
        self,
        answers: tuple[str, ...],
        who: int = 0,
        wait: float = OPEN_FOR,
        beside: tuple[str, ...] = (),
    ) -> None:
        """Open a window for the leader; the one before closes."""
        if sum(not key.startswith("person:") for key in answers) > MOST:  # a group is larger
            raise ValueError(f"a window takes {MOST} answers at most: {answers}")
        self.opened(Window(0, answers, self.now, None, who, beside))
        self.g = replace(self.g, closes=self.now + wait)

    def close_window(self) -> None:
        """Close the open window, if there is one."""
        super().close_window()
        self.g = replace(self.g, closes=None)

    def ask(self, asked: AskedLeader, answers: tuple[str, ...], wait: float) -> None:
        """Ask the leader about somebody."""
        question = QUESTIONS.get(asked.question)
        plain = (word for word, meant in question.plain if meant) if question is not None else ()
        beside = (*question.also, *plain) if question is not None else ()
        self.open_window(answers, asked.who, wait, beside)
        self.g = replace(self.g, asked=asked)

    def about_nobody(self) -> None:
        """Nothing more is told of whoever was named, nor asked if it was not yet said."""
        unsaid = tuple(one for one in self.speech.queue if not one.what.key.startswith(ASKS))
        self.speech = replace(self.speech, queue=unsaid)
        self.g = replace(self.g, asked=None)
        self.close_window()

    # time

    def stand(self) -> None:
        """Let all timers stand, if they do not yet."""
        if self.g.standing is None:
            self.g = replace(self.g, standing=self.now)

    def run_on(self) -> None:
        """Let them run again: everything to come is later by as long as they stood."""
        assert self.g.standing is not None, "they stand"
        self.delay(self.now - self.g.standing)
        self.g = replace(self.g, standing=None)

    def delay(self, seconds: float) -> None:
        """Everything to come is later by some seconds."""
        running = self.g.running
        if running is not None and running.until is not None:
            assert running.since is not None, "what has an end has begun"
            running = replace(running, since=running.since + seconds, until=running.until + seconds)
        ready = self.g.ready_at
        self.g = replace(
            self.g,
            rota_at=self.g.rota_at + seconds,
            ready_at=None if ready is None else ready + seconds,
            running=running,
        )

    # answers

    def took(self, answer: Answer, did: Message | None) -> None:
        """Show what was heard and what it did."""
        heard = message("heard", answer=answer.key)
        self.listening = replace(self.listening, heard=heard, did=did)

    def refuse(self, answer: Answer) -> None:
        """Show that it is not taken now."""
        self.refused = True
        self.took(answer, message("not-now", answer=answer.key))

    def tell(self, answer: Answer, what: Message) -> None:
        """Say what an answer did, and show it."""
        self.took(answer, what)
        self.say(what)

    def tell_of(self, answer: Answer, shown: Message, said: Message) -> None:
        """Show what an answer about one person did; what is said names nobody."""
        self.took(answer, shown)
        if not self.quiet:
            self.say(said)
