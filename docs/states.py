"""The chart of a session as Markdown, from the table that runs it.

Which event is taken where is read off the table. Which phase follows which is found by trying:
sessions with answers drawn by a seeded die, and in each new kind of situation that they come to
every kind of event. The same program draws the same chart.
"""

import random
from dataclasses import dataclass, field

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import ANYTIME, Meaning, parse
from coach.model.person import AgeBand, Person
from coach.model.start import Options
from coach.session import events as happened
from coach.session.events import Answered, Event, Source
from coach.session.state import Phase, Session
from coach.session.step import new_session, step
from coach.session.table import TABLE, ignore, refuse

SESSIONS, EVENTS = 80, 400
#: Answers that are named in the chart; the others are "an answer".
NAMED = {Meaning.STOP, Meaning.PAUSE, Meaning.HURT, Meaning.RESUME, Meaning.FINISH}
_LABELS: dict[type[Event], str] = {
    happened.Started: "started",
    happened.TimePassed: "time has come",
    happened.SoundEnded: "cue said",
    happened.ClockJumped: "the machine slept",
    happened.Reopened: "taken up again",
}


def taken() -> str:
    """Phase by event: what the table says, as a Markdown table."""
    kinds = list(TABLE[Phase.NEW])
    rows = [
        "| event | " + " | ".join(TABLE) + " |",
        "| --- |" + " :-: |" * len(TABLE),
    ]
    for kind in kinds:
        marks = " | ".join(_mark(TABLE[phase][kind]) for phase in TABLE)
        rows.append(f"| {kind.__name__} | {marks} |")
    return "\n".join(rows)


def _mark(handler: object) -> str:
    return "refused" if handler is refuse else "." if handler is ignore else "yes"


@dataclass
class _Explorer:
    """Runs sessions at random and notes which phase followed which, and by what."""

    dice: random.Random = field(default_factory=lambda: random.Random(7))
    edges: dict[tuple[Phase, Phase], set[str]] = field(default_factory=dict)
    tried: set[tuple[object, ...]] = field(default_factory=set)
    keys: list[str] = field(default_factory=list)

    def explore(self) -> None:
        """Run them all."""
        library = load_library("full", None, ())
        self.keys = sorted(load_language("en", library.movements).answers)
        for number in range(SESSIONS):
            people = (Person(1, age=AgeBand.ADULT),)
            settled = ((90.0, (), True), (None, None, None))[number % 2]
            self._run(new_session(library, Options(people, *settled)))

    def _run(self, session: Session) -> None:
        session = self._take(session, happened.Started(0.0))
        for _ in range(EVENTS):
            if session.phase is Phase.OVER and session.saying is None:
                return
            session = self._take(session, self._next(session))

    def _next(self, session: Session) -> Event:
        die, now = self.dice.random(), session.at
        if die < 0.02:
            return self._answered(session, self.dice.choice(ANYTIME))
        if die < 0.03 and session.phase is not Phase.OVER:
            return self.dice.choice(
                [happened.ClockJumped(now + 1.0, 600.0), happened.Reopened(now + 60.0, 60.0)]
            )
        if session.saying is not None:
            return happened.SoundEnded(now + 2.0, session.saying.sound)
        if die < 0.5:
            window = session.window
            offered = window.answers if window is not None and die < 0.4 else self.keys
            return self._answered(session, self.dice.choice(offered))
        return happened.TimePassed(max(session.wake or now, now) + 0.01)

    def _answered(self, session: Session, key: str) -> Answered:
        at = session.at + 1.0
        return Answered(at, parse(key), onset=at, source=Source.KEY)

    def _take(self, session: Session, event: Event) -> Session:
        situation = _situation(session)
        if situation not in self.tried:
            self.tried.add(situation)
            for other in self._every(session):
                self._note(session, other)
        return self._note(session, event)

    def _note(self, session: Session, event: Event) -> Session:
        after, _ = step(session, event)
        if after.phase is not session.phase:
            self.edges.setdefault((session.phase, after.phase), set()).add(_label(event))
        return after

    def _every(self, session: Session) -> list[Event]:
        """One event of each kind that the session can take now."""
        if session.phase in (Phase.NEW, Phase.OVER):
            return []
        now = session.at
        due = max(session.wake or now, now) + 0.01
        return [
            happened.TimePassed(due),
            happened.ClockJumped(now + 1.0, 600.0),
            happened.Reopened(now + 60.0, 60.0),
            *(self._answered(session, key) for key in self.keys),
        ]


def _situation(session: Session) -> tuple[object, ...]:
    """What kind of moment it is: enough to tell apart what may follow."""
    running, resting = session.running, session.resting
    return (
        session.phase,
        session.asking and session.asking.question,
        running and (running.step.kind, running.since is None, running.between),
        resting is None,
        session.saying is None,
        session.pending[:1] and session.pending[0].question,
        session.planned,
        bool(session.steps),
    )


def _label(event: Event) -> str:
    if isinstance(event, Answered):
        meaning = event.answer.meaning
        return meaning.value if meaning in NAMED else "an answer"
    return _LABELS[type(event)]


def diagram() -> str:
    """Which phase follows which, as a Mermaid state diagram."""
    explorer = _Explorer()
    explorer.explore()
    names = {phase: phase.value.replace("-", "_") for phase in Phase}
    lines = ["stateDiagram-v2", f"    [*] --> {names[Phase.NEW]}"]
    order = list(Phase)
    for before, after in sorted(
        explorer.edges, key=lambda e: (order.index(e[0]), order.index(e[1]))
    ):
        labels = ", ".join(sorted(explorer.edges[before, after]))
        lines.append(f"    {names[before]} --> {names[after]}: {labels}")
    lines.append(f"    {names[Phase.OVER]} --> [*]")
    return "\n".join(lines)
