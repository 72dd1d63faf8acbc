"""A session that a test plays through by hand: time runs on, answers are given at will."""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from typing import Any

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import parse
from coach.model.body import Feel, Part
from coach.model.day import Library
from coach.model.facts import Fact
from coach.model.movement import Unit
from coach.model.person import AgeBand, Person
from coach.model.plan import ON_THE_WALL, StepKind
from coach.model.start import Options
from coach.model.tries import Boulder, Went
from coach.runtime.rehearsal import TextWorld
from coach.session.effects import Effect, Record, Say
from coach.session.events import Answered, Event, Source, Started, Sureness, TimePassed
from coach.session.state import Phase, Session
from coach.session.step import new_session, step

LIBRARY = load_library("full", None, ())
LANGUAGE = load_language("en", LIBRARY.movements)


@cache
def library_of(routine: str, place: str | None = None) -> Library:
    """A shipped routine at a place.

    'goes' is the full one with a hang in goes by feel, 'weighed' where there is a scale.
    """
    if routine == "goes":
        return _with_goes()
    if routine == "weighed":
        hall = LIBRARY.place
        return replace(LIBRARY, place=replace(hall, equipment=hall.equipment | {"scale"}))
    plain = routine == "full" and place is None
    return LIBRARY if plain else load_library(routine, place, ())


def _with_goes() -> Library:
    """The full routine with uneven hangs counted in goes, and always there."""
    movements = {
        name: replace(m, unit=Unit.GOES, amount=3, least=1, most=4, seconds_each=7.0)
        if name.startswith("uneven-hang")
        else m
        for name, m in LIBRARY.movements.items()
    }
    blocks = tuple(
        replace(
            block,
            items=tuple(
                replace(item, sets=1, least_sets=1) if item.movement == "uneven-hang" else item
                for item in block.items
            ),
        )
        for block in LIBRARY.routine.blocks
    )
    return replace(LIBRARY, movements=movements, routine=replace(LIBRARY.routine, blocks=blocks))


@cache
def _begun(routine: str, place: str | None, options: Options) -> tuple[Session, tuple[Effect, ...]]:
    """A session with its first event; many tests begin alike, and a session is never changed."""
    return step(new_session(library_of(routine, place), options), Started(0.0))


class Play:
    """A session under way."""

    def __init__(
        self,
        *,
        people: int = 1,
        minutes: float | None = 90.0,
        hurting: tuple[tuple[int, Part, Feel], ...] | None = (),
        same_place: bool | None = True,
        age: AgeBand = AgeBand.ADULT,
        signs: tuple[tuple[int, Part], ...] = (),
        routine: str = "full",
        place: str | None = None,
        names: tuple[str, ...] = ("", "", ""),
        boulders: tuple[tuple[int, Boulder], ...] = (),
        went: tuple[Went, ...] = (),
        **more: Any,
    ) -> None:
        persons = tuple(
            Person(n, names[n - 1], age=age, edge="medium") for n in range(1, people + 1)
        )
        options = Options(
            persons, minutes, hurting, same_place, signs, boulders=boulders, went=went, **more
        )
        self.language = LANGUAGE.naming(persons)
        self.world = TextWorld(self.language, ())
        self.said: list[str] = []
        self.facts: list[Fact] = []
        self.effects: list[Effect] = []
        self.session: Any
        self.session, effects = _begun(routine, place, options)
        self._carry_out(effects)

    @property
    def now(self) -> float:
        """Seconds on the timeline."""
        return self.world.now()

    def send(self, event: Event) -> None:
        """One event."""
        self.session, effects = step(self.session, event)
        self._carry_out(effects)

    def _carry_out(self, effects: Iterable[Effect]) -> None:
        for effect in effects:
            self.effects.append(effect)
            if isinstance(effect, Say):
                self.said.append(self.language.text(effect.what))
            if isinstance(effect, Record):
                self.facts.append(effect.fact)
            else:
                self.world.carry_out(effect)

    def next(self) -> None:
        """The next thing that happens by itself."""
        self.send(self.world.wait(self.session.wake) or TimePassed(self.now))

    def run(self, seconds: float) -> None:
        """Let some time pass."""
        until = self.now + seconds
        while self.now < until and self.session.phase is not Phase.OVER:
            wake = self.session.wake
            at = until if wake is None else min(until, wake)
            event = self.world.wait(at)
            if event is not None or (wake is not None and self.now >= wake):
                self.send(event or TimePassed(self.now))

    def until(self, phase: Phase, kind: StepKind | None = None, question: str = "") -> None:
        """Let time pass until a phase, a kind of step, or a question with its window open."""
        for _ in range(4000):
            s = self.session
            asked = s.questions.asking is not None and s.questions.asking.question == question
            there = s.phase is phase and (not question or (asked and s.window is not None))
            running = s.course.running.step.kind if s.course.running is not None else None
            if there and kind in (None, running):
                return
            if (
                s.questions.asking is not None
                and s.window is not None
                and s.questions.asking.question != question
            ):
                # how many were climbed: all of them, the first that is offered
                counted = s.questions.asking.question == "all-climbed"
                easy = _EASY.get(s.questions.asking.question, "")
                self.say(s.window.answers[0] if counted else easy)
            elif s.phase is Phase.WORK and s.window is not None and running in ON_THE_WALL:
                self.say(s.window.answers[0])
            self.next()
        raise AssertionError(f"never came to {phase} {kind} {question}")

    def say(
        self,
        key: str,
        *,
        who: int = 1,
        sure: Sureness = Sureness.SURE,
        source: Source = Source.VOICE,
        addressed: bool = False,
    ) -> None:
        """An answer in the window that is open now."""
        if not key:
            return
        window = self.session.window
        takes = window is not None and key in (*window.answers, *window.beside)
        number = window.number if window is not None and takes else None
        onset = max(self.now, window.opens if window is not None else 0.0)
        self.send(
            Answered(
                self.now,
                parse(key),
                who,
                onset,
                number,
                source,
                sure,
                addressed=addressed,
            )
        )

    def found(self, kind: type[Fact]) -> list[Any]:
        """The facts of a kind so far."""
        return [fact for fact in self.facts if type(fact) is kind]

    @property
    def heard_last(self) -> str:
        """What was said last."""
        return self.said[-1]


#: What a climber on a good day says.
_EASY = {
    "gate-body": "feel:fine",
    "gate-shoulders": "feel:fine",
    "gate-fingers": "feel:fine",
    "gate-fingers-now": "feel:fine",
    "go-ahead": "go",
    "time-gained": "home-early",
    "another": "enough",
    "try-result": "ended-top",
    "try-cause": "cause:grip",
    "try-effort": "felt-same",
    "went-for-it": "went",
    "which-boulder": "count:3",
    "boulder-style": "no",
    "seen-film": "no",
    "hurting": "no",
    "place": "same",
    "minutes": "minutes:90",
    "effort": "effort:5",
    "re-warm": "rewarm",
    "tissue": "tissue:muscle",
    "sign": "no",
}
