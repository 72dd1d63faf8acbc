"""A climber who answers at a pace of her own: a whole session by the real core, in a moment.

`rehearsed` gives what was said and recorded, and when; nothing here knows the planner.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from coach.files.answers_file import Scripted
from coach.files.library import load_library
from coach.files.words import load_language
from coach.language.pack import Language
from coach.model.answers import parse
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.start import Options
from coach.runtime.rehearsal import REACTION, TextWorld, Transcript
from coach.runtime.runner import NoKeeper, Runner
from coach.session.effects import Effect, OpenWindow, Record
from coach.session.events import Event, Started
from coach.session.step import new_session

ADULT = (Person(1, age=AgeBand.ADULT, edge="medium"),)
#: What she answers where nothing else is told.
ANSWERS = {
    "minutes": "minutes:60",
    "hurting": "no",
    "gate-body": "feel:fine",
    "gate-shoulders": "feel:fine",
    "gate-fingers": "feel:fine",
    "gate-fingers-now": "feel:fine",
    "go-ahead": "go",
    "another": "another",
    "try-result": "ended-middle",
    "try-cause": "cause:tired",
    "try-effort": "felt-same",
    "went-for-it": "went",
    "effort": "effort:5",
    "focus": "focus:1",
    "shorter-rests": "no",
    "re-warm": "rewarm",
}


@dataclass(frozen=True)
class Pace:
    """Seconds of one boulder by tier, with coming off, walking and waiting, and of a try."""

    easy: float = 40.0
    middle: float = 80.0
    hard: float = 40.0
    focus: float | None = None
    """Where a focus is chosen; None for as long as without."""

    def of(self, block: str) -> float:
        return self.middle if block == "middle" else self.easy


@cache
def hall() -> Library:
    """The whole routine in the invented hall; read once, for a session never changes it."""
    return load_library("full", "tarnwick")


@cache
def english() -> Language:
    """Its words."""
    return load_language("en", hall().movements)


@dataclass
class Climber(TextWorld):
    """Answers each window as soon as it may; batches and tries end at her pace."""

    climbs: Pace = Pace()
    answers: Mapping[str, str] = field(default_factory=dict)
    also: Callable[[Any, float], str | None] = lambda session, now: None
    """Anything else that she says: the session and the time -> an answer key or None."""
    session: Any = None

    def _next_answer(self) -> tuple[float, Scripted] | None:
        s, window, now = self.session, self.window, self.now()
        if s is None:
            return None
        told = self.also(s, now)
        if told is not None:
            return now, self._said(told)
        if window is None:
            return None
        soon = max(window.at + REACTION, now)
        if s.questions.asking is not None and s.phase.value in ("ask", "check-in", "debrief"):
            key = {**ANSWERS, **self.answers}.get(s.questions.asking.question)
            return (soon, self._said(key)) if key in window.answers else None
        running = s.course.running
        if s.phase.value != "work" or running is None or running.since is None:
            return None
        step = running.step
        if step.kind is StepKind.CLIMB:
            spent = step.amount * self.climbs.of(step.block.value)
            return max(running.since + spent, soon), self._said("done")
        if step.kind is StepKind.TRY:
            return max(running.since + self.climbs.hard, soon), self._said(window.answers[0])
        return None

    def _said(self, key: str) -> Scripted:
        return Scripted(0.0, self._person(), parse(key), key, self._count)

    def _person(self) -> int:
        running, asking = self.session.course.running, self.session.questions.asking
        if asking is not None and asking.who:
            return int(asking.who)
        return int(running.step.turn or 1) if running is not None else 1

    def _give(self, at: float, item: Scripted) -> Any:
        event = super()._give(at, item)
        self._given.clear()
        self.window = None if item.answer and item.answer.key in _ENDS else self.window
        return event


_ENDS = frozenset({"done"})


@dataclass
class Day:
    """What happened in a session."""

    session: Any
    transcript: Transcript
    facts: list[Fact]
    steps: list[tuple[float, Any]]
    """When the work of each step began, and the step."""

    @property
    def first_try(self) -> float | None:
        """Minute at which the first hard try began."""
        return next((at / 60 for at, one in self.steps if one.kind is StepKind.TRY), None)

    @property
    def tries(self) -> int:
        return sum(one.kind is StepKind.TRY for _, one in self.steps)

    def boulders(self, block: str) -> int:
        """Boulders of a tier before the first try."""
        found = 0
        for _, one in self.steps:
            if one.kind is StepKind.TRY:
                break
            if one.kind is StepKind.CLIMB and one.block.value == block:
                found += one.amount
        return found


def rehearsed(
    minutes: float | None = 60.0,
    pace: Pace = Pace(),
    *,
    people: tuple[Person, ...] = ADULT,
    library: Library | None = None,
    answers: Mapping[str, str] | None = None,
    also: Callable[[Any, float], str | None] = lambda session, now: None,
    seen: Callable[[Any, float], None] = lambda session, now: None,
    **options: Any,
) -> Day:
    """A whole session of somebody who answers at this pace."""
    library = library or hall()
    movements = library.movements
    language = english() if movements is hall().movements else load_language("en", movements)
    language = language.naming(people)
    told = Options(people, minutes, options.pop("hurting", ()), True, **options)
    world = Climber(language, (), climbs=pace, answers=answers or {}, also=also)
    transcript = Transcript(language)
    facts: list[Fact] = []
    steps: list[tuple[float, Any]] = []
    begun: set[tuple[str, int]] = set()

    def watch(session: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        world.session = session
        transcript.seen(session, event, effects)
        facts.extend(effect.fact for effect in effects if isinstance(effect, Record))
        running = session.course.running
        if running is not None and running.since is not None:
            key = (running.step.name, running.go)
            if key not in begun:
                begun.add(key)
                steps.append((running.since, running.step))
        seen(session, event.at)

    session = new_session(library, told)
    runner = Runner(session, world, NoKeeper(), world.clock.wall, watch)
    return Day(runner.run(Started(0.0)), transcript, facts, steps)


__all__ = ["ADULT", "Climber", "Day", "OpenWindow", "Pace", "rehearsed", "replace"]
