"""Any events, in any order, for one to three people, keep what must never bend."""

from dataclasses import dataclass, field, replace
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from coach.files.library import load_library
from coach.files.words import load_language
from coach.model.answers import ANYTIME, Meaning, parse
from coach.model.body import Feel, Part, within
from coach.model.facts import StepEnded
from coach.model.nature import Tendency
from coach.model.person import AgeBand, Person
from coach.model.plan import StepKind
from coach.model.questions import QUESTIONS
from coach.model.start import Options
from coach.runtime.rehearsal import TextWorld
from coach.session import events
from coach.session.chart import CHART
from coach.session.draft import Draft, UnlistedError
from coach.session.effects import FIRST_LEAD, LEAD, Effect, End, OpenWindow, Record, Say, WakeAt
from coach.session.events import (
    Answered,
    ClockJumped,
    DeviceLost,
    DeviceReturned,
    Event,
    KeyClaimed,
    Reopened,
    Source,
    SpeechBegan,
    SpeechEnded,
    Started,
    Sureness,
    TimePassed,
)
from coach.session.state import Phase, Session
from coach.session.step import RefusedError, new_session, step
from tests import oracle

_FULL = load_library("full", None, ())
_PLACE = replace(_FULL.place, equipment=_FULL.place.equipment | {"scale"})
LIBRARY = replace(_FULL, place=_PLACE)
LANGUAGE = load_language("en", LIBRARY.movements)
KEYS = sorted(LANGUAGE.answers)
STANDING = (Phase.PAUSED, Phase.STOPPED, Phase.HURT)


@dataclass
class Clockwork:
    """Elapsed and paused seconds, counted without the session's help."""

    began: float | None = None
    elapsed: float = 0.0
    paused: float = 0.0


@dataclass
class Load:
    """What was hung and rested so far, counted without the session's help."""

    hung: dict[tuple[str, int], float] = field(default_factory=dict)
    """Seconds of work by step and go."""
    rested_at: dict[int, float] = field(default_factory=dict)
    """By person, before when they may not hang again, unless somebody says so."""
    since: float | None = None


def seconds_of(running: Any) -> float:
    """Seconds that one go of the running step is meant to take at most."""
    step = running.step
    if step.kind is not StepKind.DOSE:
        return float(step.seconds)
    names = {form.movement for form in (*step.forms, *step.intended) if form.movement}
    return max(LIBRARY.movements[name].seconds_each for name in names)


def speaker(before: Any, event: Answered) -> int:
    """Whose answer it is: of whoever was asked, whoever is on the wall, or whoever gave it.

    A voice or key that nobody is told apart by comes as that of the first person.
    """
    asking, running = before.questions.asking, before.course.running
    answers = QUESTIONS[asking.question].answers + asking.offered if asking is not None else ()
    if event.answer.key in answers and asking.who:
        return int(asking.who)
    if event.who == 1 and running is not None and running.step.turn:
        return int(running.step.turn)
    return event.who


class Machine(RuleBasedStateMachine):
    """A session under arbitrary events."""

    @initialize(
        ages=st.lists(st.sampled_from(AgeBand), min_size=1, max_size=3),
        minutes=st.one_of(st.none(), st.sampled_from([50.0, 75.0, 90.0, 120.0])),
        hurting=st.one_of(
            st.none(),
            st.lists(
                st.tuples(st.just(1), st.sampled_from(Part), st.sampled_from(Feel)), max_size=1
            ),
        ),
    )
    def begin(self, ages: list[AgeBand], minutes: float | None, hurting: Any) -> None:
        people = tuple(Person(n, age=age) for n, age in enumerate(ages, 1))
        told = tuple(hurting) if hurting is not None else None
        options = Options(people, minutes, told, True if minutes else None)
        self.session = new_session(LIBRARY, options)
        self.world = TextWorld(LANGUAGE, ())
        self.clock = Clockwork()
        self.load = Load()
        self.sounding: set[int] = set()
        self.windows: list[OpenWindow] = []
        self.send(Started(0.0))

    def send(self, event: Event) -> None:
        before = self.session
        self.session, effects = step(before, event)
        self.count(before, self.session)
        self.check_effects(before, event, effects)
        self.check_work(before, event)
        self.check_raises(before, event, effects)
        for effect in effects:
            if not isinstance(effect, Record):
                self.world.carry_out(effect)

    def check_work(self, before: Any, event: Event) -> None:
        """Oracle of the running step: no go is longer than meant, no rest after it is lost."""
        load, after = self.load, self.session
        ran = before.course.running
        if ran is not None and ran.since is not None and ran.step.hangs:
            now = after.course.running
            goes_on = now is not None and (now.step.name, now.go, now.since) == (
                ran.step.name,
                ran.go,
                ran.since,
            )
            end = after.at if ran.until is None else min(after.at, ran.until)
            if not goes_on and end > ran.since:
                key = (ran.step.name, ran.go)
                load.hung[key] = load.hung.get(key, 0.0) + end - ran.since
                movement = LIBRARY.movements[
                    next(form.movement for form in ran.step.forms if form.movement)
                ]
                assert isinstance(event, Reopened) or load.hung[key] <= seconds_of(ran) + 1e-6
                interrupted = now is not None and (now.step.name, now.go) == key
                rested = 0.0 if interrupted else end + movement.rest
                load.rested_at |= {form.who: rested for form in ran.step.forms if form.movement}
        meaning = event.answer.meaning if isinstance(event, Answered) else None
        alone = len(after.people) == 1
        if (meaning is Meaning.READY and alone) or isinstance(event, Reopened):
            load.rested_at = {}
            load.hung = {} if isinstance(event, Reopened) else load.hung
        now = after.course.running
        if now is None or now.since is None or not now.step.hangs:
            return
        if ran is None or ran.since != now.since:
            hanging = (form.who for form in now.step.forms if form.movement)
            rested = max(load.rested_at.get(who, 0.0) for who in hanging)
            assert now.since >= rested - 1e-6, (event, now, rested)
            assert now.go <= max(now.step.most, 1)

    def check_raises(self, before: Any, event: Event, effects: tuple[Effect, ...]) -> None:
        """The oracle: what became heavier without an answer that was entitled to it."""
        after: Any = self.session
        gone = {
            effect.fact.step
            for effect in effects
            if isinstance(effect, Record)
            and isinstance(effect.fact, StepEnded)
            and effect.fact.outcome == "done"
        }
        gone |= {one.name for one in after.course.past if one.kind is StepKind.ASK}
        left = tuple(one for one in before.course.steps if one.name not in gone)
        if not (before.course.planned and after.course.planned) or after.phase in (
            Phase.OVER,
            Phase.DEBRIEF,
        ):
            return
        states = (before.day, left), (after.day, after.course.steps)
        counts = isinstance(event, Answered) and (
            event.source is Source.KEY
            or event.sureness is Sureness.SURE
            or event.answer.key in before.listening.confirmed
        )
        if isinstance(event, Answered) and counts:
            question = (
                before.questions.asking.question if before.questions.asking is not None else ""
            )
            found = oracle.unentitled(*states, speaker(before, event), event.answer, question)
        else:
            found = oracle.raises(*states)
        assert not found, (event, before.questions.asking, found)

    def count(self, before: Session, after: Session) -> None:
        clock = self.clock
        if before.phase is Phase.OVER:
            return
        passed = after.at - before.at
        clock.elapsed += passed
        if before.phase in STANDING or (
            isinstance(self.event, Reopened) if hasattr(self, "event") else False
        ):
            clock.paused += passed

    def check_effects(self, before: Session, event: Event, effects: tuple[Effect, ...]) -> None:
        if before.phase is Phase.OVER:
            assert all(isinstance(effect, End | Say | WakeAt) for effect in effects)
        for effect in effects:
            if isinstance(effect, Say):
                lead = FIRST_LEAD if isinstance(event, Started) else LEAD
                assert effect.at >= event.at + lead - 1e-9
                LANGUAGE.text(effect.what)
            if isinstance(effect, OpenWindow):
                assert 2 <= len(effect.answers) <= 8, effect
                assert all(parse(key).key == key for key in effect.answers)

    @property
    def now(self) -> float:
        return self.world.now()

    @rule(times=st.integers(1, 12))
    def time_passes(self, times: int) -> None:
        for _ in range(times):
            if self.session.wake is None and not self.world._events:
                return
            self.event = self.world.wait(self.session.wake)
            self.send(self.event or TimePassed(self.now))

    @rule(
        key=st.sampled_from(KEYS),
        who=st.integers(1, 3),
        ago=st.floats(0.0, 2.0),
        source=st.sampled_from(Source),
        sure=st.sampled_from(Sureness),
        window=st.integers(-2, 1),
        addressed=st.booleans(),
    )
    def anything_said(
        self,
        key: str,
        who: int,
        ago: float,
        source: Source,
        sure: Sureness,
        window: int,
        addressed: bool,
    ) -> None:
        number = self.session.listening.next_window + window - 1
        said = number if window < 1 else None
        self.event = Answered(
            self.now,
            parse(key),
            min(who, len(self.session.people)),
            max(self.now - ago, 0.0),
            said,
            source,
            sure,
            addressed=addressed,
        )
        self.send(self.event)

    @precondition(lambda self: self.session.window is not None)
    @rule(data=st.data(), sure=st.sampled_from(Sureness))
    def window_answered(self, data: st.DataObject, sure: Sureness) -> None:
        window = self.session.window
        assert window is not None
        key = data.draw(st.sampled_from(window.answers))
        self.event = Answered(
            self.now, parse(key), 1, max(self.now, window.opens), window.number, Source.VOICE, sure
        )
        self.send(self.event)

    @rule(gap=st.sampled_from([5.0, 70.0, 1000.0, 1300.0]))
    def machine_sleeps(self, gap: float) -> None:
        self.event = ClockJumped(self.now, gap)
        self.send(self.event)

    @precondition(lambda self: self.session.phase is not Phase.OVER)
    @rule(gap=st.sampled_from([3.0, 400.0, 1300.0, 11000.0]))
    def process_dies(self, gap: float) -> None:
        self.world._events.clear()
        self.world._sounding.clear()
        self.world.clock.advance(gap + max(self.session.at - self.now, 0.0))
        self.event = Reopened(self.now, gap)
        self.send(self.event)

    @rule(device=st.sampled_from(["microphone", "speaker"]), back=st.booleans())
    def device(self, device: str, back: bool) -> None:
        self.event = DeviceReturned(self.now, device) if back else DeviceLost(self.now, device, "x")
        self.send(self.event)

    @rule(ended=st.booleans())
    def speech(self, ended: bool) -> None:
        self.event = SpeechEnded(self.now, self.now) if ended else SpeechBegan(self.now, self.now)
        self.send(self.event)

    @rule(part=st.sampled_from(Part), who=st.integers(1, 3))
    def cleared(self, part: Part, who: int) -> None:
        self.event = KeyClaimed(self.now, f"cleared:{part}", who)
        self.send(self.event)

    @rule(text=st.sampled_from(["42.5", "199", "0", "-3", "900", "x"]), who=st.integers(1, 3))
    def reading(self, text: str, who: int) -> None:
        before = self.session if hasattr(self, "session") else None
        self.event = KeyClaimed(self.now, f"reading:{text}", who)
        self.send(self.event)
        if before is not None:
            assert (self.session.course.steps, self.session.day) == (
                before.course.steps,
                before.day,
            )

    @invariant()
    def time_adds_up(self) -> None:
        if hasattr(self, "session"):
            expected = self.clock.elapsed - self.clock.paused
            assert self.session.recorded_seconds == pytest.approx(expected, abs=1e-6)

    @invariant()
    def nothing_above_a_cap(self) -> None:
        s = getattr(self, "session", None)
        if s is None or s.course.running is None or s.day is None:
            return
        for form in s.course.running.step.forms:
            assert within(form.load, s.day.caps, form.who), (s.course.running.step, s.day.caps)

    @invariant()
    def one_window(self) -> None:
        if hasattr(self, "session"):
            assert sum(window.closes is None for window in self.session.listening.windows) <= 1


Machine.TestCase.settings = settings(max_examples=150, stateful_step_count=60, deadline=None)
TestMachine = pytest.mark.no_cover(Machine.TestCase)


@pytest.mark.parametrize("age", [AgeBand.UNDER_18, AgeBand.ADULT])
@pytest.mark.parametrize("minutes", [50.0, 90.0])
def test_silence_from_beginning_to_end_raises_nothing(age: AgeBand, minutes: float) -> None:
    machine = Machine()
    machine.begin(ages=[age], minutes=minutes, hurting=[])
    for _ in range(1000):
        machine.time_passes(times=1)
        machine.nothing_above_a_cap()
    assert machine.session.phase is Phase.OVER


def test_every_phase_takes_every_event_or_refuses_it() -> None:
    kinds = {
        kind
        for kind in vars(events).values()
        if isinstance(kind, type) and issubclass(kind, Event) and kind is not Event
    }
    assert set(CHART) == set(Phase)
    assert set().union(*CHART.values()) == kinds
    begun = {phase: row for phase, row in CHART.items() if phase not in (Phase.NEW, Phase.OVER)}
    assert all(kinds - set(row) == {Started} for row in begun.values())


def test_a_phase_that_the_chart_does_not_list_cannot_be_entered() -> None:
    draft = Draft(new_session(LIBRARY, Options((Person(1),))), frozenset({Phase.CHECK_IN}))
    with pytest.raises(UnlistedError, match="new does not become hurt"):
        draft.enter(Phase.HURT)
    draft.enter(Phase.CHECK_IN)
    assert draft.s.phase is Phase.CHECK_IN
    with pytest.raises(AttributeError):
        draft.s.phase = Phase.OVER  # type: ignore[misc]


@pytest.mark.parametrize("phase", [Phase.NEW, Phase.OVER, Phase.WORK])
def test_a_refused_event_changes_nothing(phase: Phase) -> None:
    session = replace(new_session(LIBRARY, Options((Person(1),))), phase=phase)
    event = TimePassed(5.0) if phase is Phase.NEW else Started(5.0)
    assert type(event) not in CHART[phase]
    with pytest.raises(RefusedError, match=phase.value):
        step(session, event)
    assert session.at == 0.0


def test_every_question_has_an_answer_that_the_pack_knows() -> None:
    for question in QUESTIONS.values():
        assert 2 <= len(question.answers) <= 8
        for key in question.answers:
            assert key in LANGUAGE.answers
    assert set(ANYTIME) <= set(LANGUAGE.answers)
    assert parse("go").tendency is Tendency.RAISING
